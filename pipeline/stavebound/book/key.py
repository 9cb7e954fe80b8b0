"""Pictures of positions, as the key has them: each is proved like a stave.

In: a position in the dialect, or a row of the key. Out: its picture, read back.
"""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.dance.pose import Posed, Subject
from stavebound.dance.state import fold
from stavebound.diagnostics import Span
from stavebound.engrave.parts import Setting
from stavebound.engrave.picture import before_move, lasts, picture
from stavebound.engrave.system import System
from stavebound.readback.claims import ReadingKey
from stavebound.readback.expected import Written, WrittenLine, WrittenSpan
from stavebound.readback.prove import prove
from stavebound.remembering import remembered
from stavebound.score.model import Change
from stavebound.score.read import read_position
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import KeyRow, School

# No amounts but those of the table.
USUAL: Mapping[str, str] = {}
# How many pictures of rows are remembered, which the key and its leaf both have.
PICTURES = 512


class PictureError(ValueError):
    """A picture that a book has of its own which cannot be drawn in its house's style, or does
    not say what it shows; the message names it."""


def shown(
    posed: Posed, where: str, setting: Setting, named: bool = False, phrased: bool = False
) -> System:
    """The picture of a pose, and of the one before it where a limb moves, or where a phrasing
    joins the two. PictureError, which names `where` it is from, where it cannot be drawn."""
    drawn = picture(posed, setting, named, phrased)
    if drawn.value is None or drawn.diagnostics:
        raise PictureError(f"it cannot be drawn: {where}")
    return drawn.value


def row_system(
    row: KeyRow,
    setting: Setting,
    school: School,
    key: ReadingKey,
    amounts: Mapping[str, str] = USUAL,
) -> System:
    """The picture of a row, with these amounts in place of the usual ones, read back.
    PictureError where it does not say what is written."""
    position = setting.catalogue.key.position(row, amounts)
    return _proved_row(position, row.before, row.phrased, setting, school.name, key)


@remembered(PICTURES)
def _proved_row(
    position: str, before: str, phrased: bool, setting: Setting, school: str, key: ReadingKey
) -> System:
    reader = next(row for row in setting.catalogue.schools.school if row.name == school)
    posed = posed_in(position, setting.catalogue, reader, before)
    system = shown(posed, position, setting, phrased=phrased)
    proved_picture(system, posed, position, setting, key, phrased)
    return system


def proved_picture(
    system: System,
    posed: Posed,
    where: str,
    setting: Setting,
    key: ReadingKey,
    phrased: bool = False,
) -> str:
    """A picture of a pose as SVG, read back. PictureError, which names `where` it is from,
    where it does not say what the pose is."""
    svg, span = draw_staves(system, setting.faces), Span(where, 1, 1)
    first = before_move(posed, phrased)
    counts = ("1", "2") if phrased else (None, "1") if first else (None,)
    moments = tuple(
        Written(count, each, _shifts(system, each), 0, span)
        for count, each in zip(counts, (*first, posed), strict=True)
    )
    joins = (WrittenSpan(0, 1, span),)
    bows, turns = joins * phrased, joins * lasts(posed)
    written = WrittenLine(moments, 0, False, span, bows, lasting=turns)
    faults = prove(svg, written, key, setting.faces)
    if faults:
        raise PictureError(f"{where}: {faults[0].message}")
    return svg


def _shifts(system: System, posed: Posed) -> tuple[tuple[Subject, tuple[float, float]], ...]:
    """How far the signs of what is written there were moved."""
    own = {origin.span for _, origin in posed.written}
    return tuple(
        (subject, (sign.dx, sign.dy))
        for sign in system.staves[0].signs
        for subject in sign.subjects
        if sign.origin.span in own
    )


def posed_in(position: str, catalogue: Catalogue, school: School, before: str = "") -> Posed:
    """The pose of changes written in the dialect, after others where there are any."""
    changes = [_changes(text) for text in ((before, position) if before else (position,))]
    return fold(changes, catalogue, school)[-1]


def _changes(position: str) -> tuple[Change, ...]:
    text = f'<start xmlns="{NAMESPACE}">{position}</start>'
    parsed = parse_source(text, position)
    if parsed.value is None:
        raise ValueError(f"not well formed: {position}")
    return read_position(parsed.value.root).changes
