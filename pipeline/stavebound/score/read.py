"""From a validated source to a score.

In: the root element of a file that the schema accepts. Out: a `Score`. Nothing
is looked up and nothing is judged here; what the words mean is for `state`,
whether they make sense for `check`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import cache
from typing import TypeVar

from stavebound.score import lexical
from stavebound.score.attitude import attitude
from stavebound.score.departures import Departures, departures
from stavebound.score.frame_texts import DOES, FRAME, PROMISE, read_texts, text_names
from stavebound.score.lanes import (
    FacingChange,
    Front,
    SmallSteps,
    TravelChange,
    TravelPath,
    TurnChange,
    TurnedOn,
)
from stavebound.score.model import (
    ArmsChange,
    Bend,
    Bow,
    CentreChange,
    CentrePart,
    Change,
    Depth,
    Division,
    ElbowChange,
    FeetChange,
    Flight,
    FootChange,
    Frame,
    HandChange,
    KneelChange,
    KneesChange,
    LegDirection,
    Legs,
    Music,
    PathForm,
    Phrase,
    Phrasing,
    Position,
    Prose,
    Return,
    Rise,
    SaidBar,
    Score,
    Side,
    Size,
    Transfer,
    Weight,
    WholeChange,
)
from stavebound.score.words import composed, origin_of, words_of
from stavebound.source.document import Element
from stavebound.source.schema import load_plain_schema

T = TypeVar("T")

PROSE = (
    "aim",
    "preparation",
    "finish",
    "times",
    "quality",
    "fault",
    "note",
    "variant",
    "caution",
    "source",
    "rights",
)


def read_score(root: Element) -> Score:
    music = only(root, "music")
    barre = only(root, "barre")
    start = only(root, "start")
    upbeat = only(root, "upbeat")
    return Score(
        title=required(root, "title", composed),
        phrases=tuple(_phrase(child) for child in all_of(root, "phrase")),
        identity=given(root, "id", str),
        school=given(root, "school", str),
        level=given(root, "level", composed),
        status=given(root, "status", str),
        date=given(root, "date", date.fromisoformat),
        pupils=given(root, "pupils", str),
        music=read_music(music) if music else None,
        barre=required(barre, "hand", Side) if barre else None,
        promises=root.get(PROMISE) is None,
        start=read_position(start) if start else None,
        upbeat=_phrase(upbeat) if upbeat else None,
        prose=read_prose(root),
        origin=origin_of(root),
    )


def read_position(element: Element) -> Position:
    """The changes inside an element, as a position."""
    return Position(_changes(element), origin_of(element))


def read_prose(element: Element) -> tuple[Prose, ...]:
    """The texts of an element, by kind in a fixed order, and as they stand within a kind."""
    return tuple(
        Prose(
            child.name,
            words_of(child),
            tuple((a.name, composed(a.value)) for a in child.attributes),
            origin_of(child),
        )
        for kind in PROSE
        for child in all_of(element, kind)
    )


def all_of(element: Element, *names: str) -> tuple[Element, ...]:
    return tuple(
        child for child in element.children if isinstance(child, Element) and child.name in names
    )


def only(element: Element, name: str) -> Element | None:
    return next(iter(all_of(element, name)), None)


def given(element: Element, name: str, convert: Callable[[str], T]) -> T | None:
    attribute = element.get(name)
    return convert(attribute.value) if attribute else None


def required(element: Element, name: str, convert: Callable[[str], T]) -> T:
    """The value of an attribute that the schema requires. KeyError for an unvalidated source."""
    attribute = element.get(name)
    if attribute is None:
        raise KeyError(f"{element.name} without {name}")
    return convert(attribute.value)


def read_music(element: Element) -> Music:
    return Music(
        metre=required(element, "metre", str),
        counts_per_bar=given(element, "counts-per-bar", int),
        bars_per_count=given(element, "bars-per-count", int),
        tempo=given(element, "tempo", int),
        introduction=given(element, "introduction", int),
        division=given(element, "divide", Division),
        words=words_of(element),
        origin=origin_of(element),
    )


def _phrase(element: Element) -> Phrase:
    return Phrase(
        counts=required(element, "counts", int),
        frames=tuple(_frame(child) for child in all_of(element, "frame")),
        bars=tuple(read_bar(child) for child in all_of(element, "bar")),
        division=given(element, "divide", Division),
        identity=given(element, "id", str),
        phrasings=tuple(read_phrasing(child) for child in all_of(element, "phrasing")),
        origin=origin_of(element),
    )


def read_phrasing(element: Element) -> Phrasing:
    return Phrasing(
        begin=required(element, "from", lexical.at),
        end=required(element, "to", lexical.at),
        origin=origin_of(element),
    )


def read_bar(element: Element) -> SaidBar:
    return SaidBar(
        at=required(element, "at", lexical.at),
        identity=given(element, "id", str),
        counts=given(element, "counts", int),
        metre=given(element, "metre", str),
        origin=origin_of(element),
    )


def _frame(element: Element) -> Frame:
    return Frame(
        at=required(element, "at", lexical.at),
        changes=_changes(element),
        texts=read_texts(element),
        does=given(element, DOES, composed),
        promises=element.get(PROMISE) is None,
        origin=origin_of(element),
    )


def _changes(element: Element) -> tuple[Change, ...]:
    names = (*CHANGES, *whole_names())
    return tuple(CHANGES.get(child.name, _whole)(child) for child in all_of(element, *names))


@cache
def whole_names() -> tuple[str, ...]:
    """The elements that say one thing of the whole dancer: all that the schema lets stand in a
    frame beside what is understood here and the texts."""
    (frame,) = load_plain_schema().named(FRAME)
    others = {*CHANGES, *text_names().elements}
    return tuple(name for name in frame.children if name not in others)


def _arms(element: Element) -> ArmsChange:
    return ArmsChange(
        name=required(element, "in", str),
        lead=given(element, "lead", Side),
        joined=element.get("hands") is not None,
        via=given(element, "via", str),
        path=given(element, "path", PathForm),
        bow=given(element, "bow", Bow),
        slightly=given(element, "slightly", lexical.listed) or (),
        origin=origin_of(element),
    )


# What of a limb's element says where it is and how it comes there; all else that the schema
# lets stand there is a departure.
ARRIVING = ("by", "beats", "legs", "size", "via", "path", "bow")
PLACES = {
    "hand": {"side", "in", "slightly", "height", "out", "depth", "forward", *ARRIVING},
    "feet": {"in", "front", "on", "weight", "moving", *ARRIVING},
    "foot": {"side", "to", "place", "raised", "height", "out", "on", *ARRIVING},
}


def _departures(element: Element) -> Departures:
    own = PLACES[element.name]
    return departures({one.name: one.value for one in element.attributes if one.name not in own})


def _hand(element: Element) -> HandChange:
    return HandChange(
        side=required(element, "side", Side),
        name=given(element, "in", str),
        height=given(element, "height", lexical.height),
        out=given(element, "out", Decimal),
        depth=given(element, "depth", Depth),
        forward=given(element, "forward", Decimal),
        departures=_departures(element),
        via=given(element, "via", str),
        path=given(element, "path", PathForm),
        bow=given(element, "bow", Bow),
        slightly=given(element, "slightly", lexical.listed) or (),
        origin=origin_of(element),
    )


def _feet(element: Element) -> FeetChange:
    return FeetChange(
        position=given(element, "in", str),
        front=given(element, "front", Side),
        rise=given(element, "on", Rise),
        weight=given(element, "weight", Weight),
        departures=_departures(element),
        by=given(element, "by", Transfer),
        moving=given(element, "moving", Side),
        flight=_flight(element),
        origin=origin_of(element),
    )


def _foot(element: Element) -> FootChange:
    return FootChange(
        side=required(element, "side", Side),
        direction=given(element, "to", LegDirection),
        place=given(element, "place", str),
        raised=given(element, "raised", int),
        height=given(element, "height", lexical.height),
        out=given(element, "out", Decimal),
        rise=given(element, "on", Rise),
        departures=_departures(element),
        by=given(element, "by", Transfer),
        via=given(element, "via", str),
        path=given(element, "path", PathForm),
        bow=given(element, "bow", Bow),
        flight=_flight(element),
        origin=origin_of(element),
    )


def _flight(element: Element) -> Flight:
    return Flight(
        beats=given(element, "beats", lexical.beats) or (),
        legs=given(element, "legs", Legs),
        size=given(element, "size", Size),
    )


def _kneel(element: Element) -> KneelChange:
    return KneelChange(
        on=required(element, "on", Weight),
        sitting=element.get("sitting") is not None,
        origin=origin_of(element),
    )


def _knees(element: Element) -> KneesChange:
    return KneesChange(
        bend=required(element, "bend", Bend),
        side=given(element, "side", Side),
        depth=given(element, "depth", Depth),
        height=given(element, "height", lexical.height),
        out=given(element, "out", Decimal),
        kept=element.get("kept") is not None,
        origin=origin_of(element),
    )


def _elbow(element: Element) -> ElbowChange:
    return ElbowChange(
        bend=required(element, "bend", Bend),
        side=required(element, "side", Side),
        depth=given(element, "depth", Depth),
        height=given(element, "height", lexical.height),
        out=given(element, "out", Decimal),
        origin=origin_of(element),
    )


def _centre(element: Element) -> CentreChange:
    return CentreChange(
        part=CentrePart(element.name),
        attitude=attitude({one.name: lexical.lean(one.value) for one in element.attributes}),
        origin=origin_of(element),
    )


def _return(element: Element) -> Return:
    return Return(required(element, "of", CentrePart), origin_of(element))


def _whole(element: Element) -> WholeChange:
    words = next(((one.name, one.value) for one in element.attributes), None)
    return WholeChange(element.name, words, origin_of(element))


def _facing(element: Element) -> FacingChange:
    return FacingChange(required(element, "to", str), origin_of(element))


def _turn(element: Element) -> TurnChange:
    return TurnChange(
        to=required(element, "to", Side),
        by=required(element, "by", lexical.amount),
        on=required(element, "on", TurnedOn),
        lasts=given(element, "lasts", lexical.amount),
        spotting=given(element, "spotting", str),
        origin=origin_of(element),
    )


def _travel(element: Element) -> TravelChange:
    return TravelChange(
        to=required(element, "to", str),
        of=required(element, "of", Front),
        path=given(element, "path", TravelPath) or TravelPath.STRAIGHT,
        steps=given(element, "steps", SmallSteps),
        origin=origin_of(element),
    )


CHANGES: dict[str, Callable[[Element], Change]] = {
    "arms": _arms,
    "hand": _hand,
    "feet": _feet,
    "foot": _foot,
    "kneel": _kneel,
    "knees": _knees,
    "knee": _knees,
    "elbow": _elbow,
    "head": _centre,
    "body": _centre,
    "hips": _centre,
    "return": _return,
    "facing": _facing,
    "turn": _turn,
    "travel": _travel,
}
