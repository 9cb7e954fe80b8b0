"""The key: the ways of writing that a book uses, each with a picture, and no others.

In: the features found in the book's scores. Out: the table's rows for them, in
its order, each with the position that shows it; pictures are proved like staves.
"""

from __future__ import annotations

from itertools import groupby

from stavebound.dance.pose import Posed, Subject
from stavebound.dance.state import fold
from stavebound.diagnostics import Span
from stavebound.engrave.parts import Setting
from stavebound.engrave.picture import before_move, picture
from stavebound.engrave.system import System
from stavebound.readback.claims import ReadingKey
from stavebound.readback.expected import Written, WrittenLine, WrittenPhrasing
from stavebound.readback.prove import prove
from stavebound.score.model import Change
from stavebound.score.read import read_position
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import KeyRow, School


class PictureError(ValueError):
    """A picture that a book has of its own which cannot be drawn in its house's style, or does
    not say what it shows; the message names it."""


def key_groups(
    used: frozenset[str], catalogue: Catalogue
) -> tuple[tuple[str, tuple[KeyRow, ...]], ...]:
    """The rows for the features used, by group. KeyError where a feature has no row."""
    known = {row.feature for row in catalogue.key.row}
    if unknown := used - known:
        raise KeyError(f"the key has no row for {', '.join(sorted(unknown))}")
    rows = [row for row in catalogue.key.row if row.feature in used]
    return tuple(
        (group, tuple(members)) for group, members in groupby(rows, key=lambda row: row.group)
    )


def shown(
    posed: Posed, where: str, setting: Setting, named: bool = False, phrased: bool = False
) -> System:
    """The picture of a pose, and of the one before it where a limb moves, or where a phrasing
    joins the two. PictureError, which names `where` it is from, where it cannot be drawn."""
    drawn = picture(posed, setting, named, phrased)
    if drawn.value is None or drawn.diagnostics:
        raise PictureError(f"it cannot be drawn: {where}")
    return drawn.value


def drawn(position: str, setting: Setting, school: School, key: ReadingKey) -> str:
    """The picture as SVG, read back. PictureError where it does not say what is written."""
    posed = posed_in(position, setting.catalogue, school)
    system = shown(posed, position, setting)
    return proved_picture(system, posed, position, setting, key)


def row_picture(row: KeyRow, setting: Setting, school: School, key: ReadingKey) -> str:
    """The picture of a row as SVG, read back. PictureError where it does not say what is
    written."""
    posed = posed_in(row.show, setting.catalogue, school, row.before)
    system = shown(posed, row.show, setting, phrased=row.phrased)
    return proved_picture(system, posed, row.show, setting, key, row.phrased)


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
    bows = (WrittenPhrasing(0, 1, span),) if phrased else ()
    written = WrittenLine(moments, 0, False, span, bows)
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
