"""Signs in lanes: what stands below the stave and above the counts, and amounts of turns.

In: a `Posed` and the catalogue. Out: clusters of signs on the frame's axis, each in
its own lane, where nothing else stands, so that none of them ever moves; and the
label of a turn's amount.

       ╭─╮      phrasing, see `phrasing`
        >       what is said of the whole dancer, such as an accent
        1       counts
    ═══════════
    ═══════════ floor
                steps, slides and springs
        )(      what hands sound, as a clap
         ⊥      what feet sound, as a stamp
        ↑       facing
        ↗ (     travel, and the form of its path
        ↷ ½     turn, and how far
        ··      the feet that are turned on, and before it where the dancer spots
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from stavebound.dance.pose import Posed, Subject
from stavebound.dance.state import BOTH
from stavebound.engrave.gather import Cluster, Ink, Origins, gather
from stavebound.engrave.style import Style
from stavebound.faces import Faces
from stavebound.score.lanes import DIRECTIONS, TravelChange, TravelPath, TurnChange
from stavebound.score.lexical import amount_text
from stavebound.trade.catalogue import Catalogue

VULGAR = {
    Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾",
}  # fmt: skip
FACING = Subject("facing")
PATH_SIGN = {"curved": "curving", "circling": "circling"}


def counts_top(style: Style, faces: Faces) -> float:
    """The height up to which the counts reach, in spaces from the floor line."""
    return style.distance("counts lane") + faces.figure_height(style.size("count size"))


def written_signs(posed: Posed, top: float, catalogue: Catalogue) -> tuple[Cluster, ...]:
    """All that is written at this moment, on the stave, below it and above the counts, which
    reach up to `top`."""
    origins = dict(posed.written)
    said = _said(origins, top, catalogue)
    return (*gather(posed, catalogue), *_beneath(posed, origins, catalogue), *said)


def _said(origins: Origins, top: float, catalogue: Catalogue) -> Iterator[Cluster]:
    """What is said of the whole dancer off the stave."""
    for row in catalogue.lanes.off_stave:
        subject = Subject(row.name)
        if subject in origins:
            y = row.y + {"above": top, **catalogue.lanes.below}.get(row.lane, 0.0)
            inks = tuple(Ink(row.sign, x, y) for x in row.x)
            yield Cluster(inks, (subject,), origins[subject], fixed=True)


def _beneath(posed: Posed, origins: Origins, catalogue: Catalogue) -> Iterator[Cluster]:
    lanes = catalogue.lanes
    if FACING in origins:
        ink = _pointing("facing", DIRECTIONS[posed.pose.facing], lanes.facing.y)
        yield Cluster((ink,), (FACING,), origins[FACING], fixed=True)
    if posed.travel:
        inks = tuple(_travel(posed.travel, catalogue))
        yield Cluster(inks, (Subject("travel"),), posed.travel.origin, fixed=True)
    if posed.turn:
        inks = tuple(_turn(posed.turn, catalogue))
        yield Cluster(inks, (Subject("turn"),), posed.turn.origin, fixed=True)


def _pointing(sign: str, direction: str, y: float) -> Ink:
    """A sign that points in a direction; those to the left are those to the right turned over."""
    right = direction.replace("left", "right")
    return Ink(f"{sign} {right}", 0.0, y, mirrored=right != direction)


def _travel(travel: TravelChange, catalogue: Catalogue) -> Iterator[Ink]:
    row = catalogue.lanes.travel
    yield _pointing(f"travel by the {travel.of}", travel.to, row.y)
    if travel.path is not TravelPath.STRAIGHT:
        form, side = travel.path.split(" ")
        left = side == "left"
        yield Ink(PATH_SIGN[form], -row.path if left else row.path, row.y, left)
    if travel.steps:
        yield Ink(travel.steps.sign, row.steps_beside(travel.path), row.y)


def _turn(turn: TurnChange, catalogue: Catalogue) -> Iterator[Ink]:
    row = catalogue.lanes.turn
    yield Ink("turning", 0.0, row.y, mirrored=turn.to.sign < 0)
    for side in BOTH:
        if turn.on.on(side):
            yield Ink("weight", side.sign * row.foot, row.y + row.below)
    if turn.spotting:
        yield _pointing("spotting", turn.spotting, row.y)._replace(x=-row.spotting)


def amount(turn: TurnChange) -> str:
    """How far, as it is printed: 1½, or 3/8, which is set as a fraction."""
    whole, part = divmod(turn.by, 1)
    if part in VULGAR:
        return f"{whole or ''}{VULGAR[part]}"
    return amount_text(turn.by)
