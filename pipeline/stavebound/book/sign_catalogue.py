"""The catalogue of signs as pages: every sign with what it means, the plate, and every form
of movement.

In: the setting, and the plate and the movements engraved. Out: a sheet. Every sign stands enlarged
by itself, and at print size in the frame of the plate that shows it with the fewest
others; pictures are proved like staves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from stavebound.book.common import face_names
from stavebound.book.key import proved_picture
from stavebound.book.layouts import Layout
from stavebound.book.papers import Paper
from stavebound.book.templates import render
from stavebound.book.values import Sheet
from stavebound.dance.features import LANES, features
from stavebound.dance.pose import Posed
from stavebound.engrave.columns import COUNTS
from stavebound.engrave.outline import sign_box
from stavebound.engrave.parts import Setting
from stavebound.engrave.picture import picture, sign_picture
from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.proof.lines import DrawnLine, OnPaper
from stavebound.readback.claims import ReadingKey
from stavebound.svg.draw import draw
from stavebound.wording.labels import ENGLISH, labels


@dataclass(frozen=True, slots=True)
class Shown:
    """A frame of the plate by its count, its pose, and its picture."""

    count: int
    posed: Posed
    system: System

    @property
    def signs(self) -> tuple[str, ...]:
        stave = self.system.staves[0]
        return (
            *(sign.sign for sign in stave.signs),
            *(name for way in stave.ways for name in way.marks),
        )

    def plainness(self, name: str) -> tuple[bool, int, int]:
        """How plainly it shows a sign: where it is a limb's and no part of a turn, with the
        fewest others, and without a movement."""
        turning = all(
            any(subject.kind in LANES for subject in sign.subjects)
            for sign in self.system.staves[0].signs
            if sign.sign == name
        )
        return turning, len(self.signs) + len(self.posed.moves), self.count


@dataclass(frozen=True, slots=True)
class UnderFrame:
    """The words under a frame of the plate, and their room in millimetres; `before` is what is
    left free at their left."""

    words: str
    room: float
    before: float


def signs_css(layout: Layout, paper: Paper, setting: Setting) -> str:
    return render(layout.folders, "page.css", paper=paper, faces=face_names(setting.faces))


def signs_margins(layout: Layout, paper: Paper, setting: Setting) -> str:
    """The style sheet of the margins, which are stamped over the bound pages."""
    return render(layout.folders, "margins.css", paper=paper, faces=face_names(setting.faces))


def signs_sheet(
    layout: Layout,
    plate: OnPaper,
    moves: tuple[DrawnLine, ...],
    setting: Setting,
    key: ReadingKey,
    language: str = ENGLISH,
) -> Sheet:
    """`moves` are the forms of movement, in the order of their table; `language` is that of
    the labels. KeyError where a sign of the catalogue is in no frame of the plate."""
    frames = tuple(_frames(plate, setting))
    words = labels(language)
    rows = {name: _row(name, frames, setting, words) for name in _sign_names(setting)}
    lines = [(f"plate-{index}", line) for index, line in enumerate(plate.lines, 1)]
    html = render(
        layout.folders,
        "signs.html",
        words=words,
        introduction=_introduction(setting, words),
        own=bool(setting.style.signs),
        groups=[
            {"title": group.title, "rows": [rows[name] for name in group.signs]}
            for group in setting.catalogue.groups.group
        ],
        lines=[
            {"name": name, "bars": _bars(line, words), "frames": _under(system, frames, setting)}
            for (name, line), system in zip(lines, plate.engraved.systems, strict=True)
        ],
        movements=_movements(setting),
    )
    images = (
        *_enlarged(setting),
        *_small(frames, {str(row["frame"]) for row in rows.values()}, setting, key),
        *((name, line.svg) for name, line in lines),
        *((_moving(at), line.svg) for at, line in enumerate(moves, 1)),
    )
    return Sheet("signs", html, images, "arabic")


def _under(system: System, frames: tuple[Shown, ...], setting: Setting) -> tuple[UnderFrame, ...]:
    """The words under the frames of a line, each from half way to the one before it to half way
    to the next."""
    posed = {str(frame.count): frame.posed for frame in frames}
    counts = sorted(
        (text.x + text.width / 2 - system.box.left, text.text)
        for text in system.texts
        if text.lane == COUNTS and text.text in posed
    )
    xs = [x for x, _ in counts]
    halves = [(one + other) / 2 for one, other in pairwise(xs)]
    edges = (2 * xs[0] - halves[0], *halves, 2 * xs[-1] - halves[-1])
    return tuple(
        UnderFrame(
            _names(posed[count], setting),
            (right - left) * system.space,
            0.0 if at else left * system.space,
        )
        for at, ((_, count), (left, right)) in enumerate(zip(counts, pairwise(edges), strict=True))
    )


def _names(posed: Posed, setting: Setting) -> str:
    """What is written in a frame, by the names that the key has."""
    found = features(posed, setting.catalogue)
    rows = (row for row in setting.catalogue.key.row if row.feature in found)
    return ", ".join(dict.fromkeys(row.name for row in rows))


def _introduction(setting: Setting, words: Mapping[str, str]) -> str:
    style = setting.style
    return words["signs_words"].format(
        enlarged=f"{style.distance('enlarged sign'):g}",
        space=_number(style.space, words),
        line_white=_number(style.line_clearance * style.space, words),
        sign_white=_number(style.sign_clearance * style.space, words),
    )


def _bars(line: DrawnLine, words: Mapping[str, str]) -> str:
    first, last = line.bars
    return words["plate_bars"].format(first=first, last=last)


def _number(value: float, words: Mapping[str, str]) -> str:
    return f"{value:.2f}".replace(".", words["decimal"])


def _movements(setting: Setting) -> list[dict[str, object]]:
    """The forms of movement by group, each with the name of its picture."""
    rows = enumerate(setting.catalogue.movements.movement, 1)
    return [
        {"title": group, "rows": [{"picture": _moving(at), "row": row} for at, row in members]}
        for group, members in groupby(rows, key=lambda item: item[1].group)
    ]


def _moving(number: int) -> str:
    return f"movement {number}"


def _sign_names(setting: Setting) -> Iterator[str]:
    for group in setting.catalogue.groups.group:
        yield from group.signs


def _frames(plate: OnPaper, setting: Setting) -> Iterator[Shown]:
    """The frames after the starting position, which has no count."""
    for count, posed in enumerate(plate.danced.poses[1:], 1):
        drawn = picture(posed, setting)
        if drawn.value is None or drawn.diagnostics:
            raise ValueError(f"cannot be drawn: frame {count} of the plate")
        yield Shown(count, posed, drawn.value)


def _row(
    name: str, frames: tuple[Shown, ...], setting: Setting, words: Mapping[str, str]
) -> dict[str, object]:
    sign = setting.catalogue.sign(name)
    using = [frame for frame in frames if name in frame.signs]
    if not using:
        raise KeyError(f"the plate has no frame with the sign {name}")
    box = sign_box(sign)
    frame = min(using, key=lambda frame: frame.plainness(name)).count
    width, height = _number(box.width, words), _number(box.height, words)
    return {
        "sign": sign,
        "frame": frame,
        "where": words["plate_frame"].format(frame=frame),
        "facts": words["sign_facts"].format(width=width, height=height, frame=frame),
    }


def _enlarged(setting: Setting) -> Iterator[tuple[str, str]]:
    """All in boxes of one size, that of the largest."""
    boxes = [sign_box(setting.catalogue.sign(name)) for name in _sign_names(setting)]
    half = max(box.width for box in boxes) / 2, max(box.height for box in boxes) / 2
    times = setting.style.distance("enlarged sign")
    for name in _sign_names(setting):
        yield f"sign {name}", draw(sign_picture(name, times, half, setting), setting.faces)


def _small(
    frames: tuple[Shown, ...], used: set[str], setting: Setting, key: ReadingKey
) -> Iterator[tuple[str, str]]:
    """At print size, all from one height to one height, so that their staves stand level."""
    own = [frame for frame in frames if str(frame.count) in used]
    bottom = min(frame.system.box.bottom for frame in own)
    top = max(frame.system.box.top for frame in own)
    for frame in own:
        box = frame.system.box
        system = replace(frame.system, box=Box(box.left, bottom, box.right, top))
        where = f"frame {frame.count} of the plate"
        yield f"frame {frame.count}", proved_picture(system, frame.posed, where, setting, key)
