"""The signs of a house: what its styles make of the packaged drawings.

In: styles, the last uppermost, and the catalogue. Out: for every sign that a style
touches how it is shaped, and the catalogue with those drawings laid over its own.
Size scales a whole drawing round the sign's centre; weight then scales the widths
of strokes, curves and rings, and nothing else: a disc is all ink, so that a
heavier one would only be a larger one. A ring grows heavier inwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from stavebound.plan.book import DRAWN, DrawnPiece, SignSetting, StyleSheet
from stavebound.score.origin import Origin, origin_field
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import Sign

KINDS = tuple(kind for kind, _ in DRAWN.values())
# What is said of a sign that a house draws anew.
DRAWN_ANEW = {"description": "drawn by the house", "source": "the house style"}


@dataclass(frozen=True, slots=True)
class Shaping:
    """What a house makes of one sign; `drawing` is empty where it keeps the packaged one.

    `origin` is where the last word on it was said.
    """

    size: float = 1.0
    weight: float = 1.0
    drawing: tuple[DrawnPiece, ...] = ()
    origin: Origin = origin_field()


Shapings = Mapping[str, Shaping]


def shapings(sheets: Iterable[StyleSheet], names: Iterable[str]) -> Shapings:
    """By the names of those signs that some sheet changes. What is said of a sign
    itself goes before what is said of all, and a later sheet before an earlier."""
    settings = [setting for sheet in sheets for setting in sheet.signs]
    for_all = [setting for setting in settings if setting.name is None]
    own: dict[str, list[SignSetting]] = {name: [] for name in names}
    for setting in settings:
        if setting.name in own:
            own[setting.name].append(setting)
    found = {name: _shaping((*for_all, *some)) for name, some in own.items() if for_all or some}
    return {name: shaping for name, shaping in found.items() if shaping != Shaping()}


def _shaping(settings: Iterable[SignSetting]) -> Shaping:
    shaping = Shaping()
    for setting in settings:
        shaping = Shaping(
            shaping.size if setting.size is None else float(setting.size),
            shaping.weight if setting.weight is None else float(setting.weight),
            setting.drawing or shaping.drawing,
            setting.origin,
        )
    return shaping


def with_house_signs(catalogue: Catalogue, sheets: Iterable[StyleSheet]) -> Catalogue:
    """The catalogue with the house's drawings; its digest tells them from the packaged."""
    changed = shapings(sheets, catalogue.signs)
    if not changed:
        return catalogue
    signs = {
        name: shaped(sign, changed[name]) if name in changed else sign
        for name, sign in catalogue.signs.items()
    }
    return catalogue.under(sorted(changed.items()), signs=signs)


def shaped(sign: Sign, shaping: Shaping) -> Sign:
    """The sign as the house draws it."""
    drawing = sign
    if shaping.drawing:
        own = {kind: _rows(kind, shaping.drawing) for kind in KINDS}
        drawing = sign.model_copy(update={**own, **DRAWN_ANEW})
    parts = {
        kind: tuple(_scaled(kind, row, shaping) for row in getattr(drawing, kind)) for kind in KINDS
    }
    return drawing.model_copy(update=parts)


def _rows(kind: str, drawing: Iterable[DrawnPiece]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(n) for n in drawn.numbers) for drawn in drawing if drawn.kind == kind)


def _scaled(kind: str, row: tuple[float, ...], shaping: Shaping) -> tuple[float, ...]:
    *places, last = (number * shaping.size for number in row)
    return (*places, last if kind == "discs" else last * shaping.weight)
