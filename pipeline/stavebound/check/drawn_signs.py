"""A house's signs: known, each set once, drawable, and in print neither too thin nor alike.

In: one style or several, the last uppermost, and the catalogue. Out: diagnostics at
what a style says of a sign.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, product

from stavebound.check.likeness import drawing_box, unlike, unlike_turned_over
from stavebound.check.once import set_once
from stavebound.check.phrasing import hints
from stavebound.diagnostics import Diagnostic, Span
from stavebound.plan.book import DrawnPiece, StyleSheet
from stavebound.plan.house_signs import Shaping, Shapings, shaped, shapings
from stavebound.suggest import suggest
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.printing import FINEST_LINE, LEAST_WHITE, STAVE_HEIGHT
from stavebound.trade.tables import Sign

# Factors by which a sign is still read as itself.
FACTORS = {"size": (0.7, 1.5), "weight": (0.6, 1.6)}
# How far a drawing reaches from its centre, in spaces: further it is among other signs.
REACH = 1.0
# How thick a piece of a drawing may be, and of how many a sign may be made.
THICKEST = 0.5
MOST_PIECES = 24
# How far its middle may be beside its centre where it looks the same turned over.
CENTRED = 0.005
# What is shorter than this has no direction.
NO_LENGTH = 0.001


def signs_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    for setting in style.signs:
        if setting.name is not None and setting.name not in catalogue.signs:
            names = list(catalogue.signs)
            yield Diagnostic(
                "B510",
                f"the catalogue has no sign “{setting.name}”",
                setting.origin.of("of"),
                hints(
                    suggest(setting.name, names),
                    f"There are {len(names)}; stavebound signs prints them all.",
                ),
            )


def signs_set_once(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    return set_once("B511", ((f"the sign “{one.name}”", one.origin) for one in style.signs))


def signs_in_measure(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    for setting in style.signs:
        for name, factor in (("size", setting.size), ("weight", setting.weight)):
            if factor is not None and not _in_measure(name, float(factor)):
                low, high = FACTORS[name]
                yield Diagnostic(
                    "B512",
                    f"a sign's {name} cannot be {factor}",
                    setting.origin.of(name),
                    (f"Expected a factor from {low:g} to {high:g}; 1 is the usual {name}.",),
                )


def _in_measure(name: str, factor: float) -> bool:
    low, high = FACTORS[name]
    return low <= factor <= high


def signs_drawable(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    for setting in style.signs:
        if len(setting.drawing) > MOST_PIECES:
            yield Diagnostic(
                "E404",
                f"this sign is drawn with {len(setting.drawing)} pieces",
                setting.origin.of("of"),
                (f"Draw it with {MOST_PIECES} pieces or fewer: a sign is read at a glance.",),
            )
        for drawn in setting.drawing:
            if fault := _undrawable(drawn):
                what, attribute, remedy = fault
                yield Diagnostic("E404", what, drawn.origin.of(attribute), (remedy,))


def signs_printed(sheets: Sequence[StyleSheet], catalogue: Catalogue) -> Iterator[Diagnostic]:
    """What comes of the styles together: no line too thin to print, no two signs alike. Signs
    that cannot be drawn, or are out of measure, are left as they usually are."""
    shapings_of_all = shapings(sheets, catalogue.signs)
    changed = {name: shaping for name, shaping in shapings_of_all.items() if _sound(shaping)}
    signs = {**catalogue.signs}
    signs |= {name: shaped(signs[name], shaping) for name, shaping in changed.items()}
    heights = [float(sheet.stave_height) for sheet in sheets if sheet.stave_height]
    space = (heights[-1] if heights else STAVE_HEIGHT) / 4
    room = _room(sheets, catalogue, space)
    for name, shaping in changed.items():
        yield from _closed(name, signs[name], shaping)
        yield from _thin(name, signs[name], shaping, space)
        yield from _high(name, signs[name], shaping, room)
    yield from _alike(signs, changed)
    yield from _even(signs, changed, catalogue)


def _sound(shaping: Shaping) -> bool:
    return (
        _in_measure("size", shaping.size)
        and _in_measure("weight", shaping.weight)
        and len(shaping.drawing) <= MOST_PIECES
        and not any(_undrawable(drawn) for drawn in shaping.drawing)
    )


def _undrawable(drawn: DrawnPiece) -> tuple[str, str, str] | None:
    """What is wrong with a piece of a drawing, at which attribute, and the remedy."""
    *numbers, last = (float(number) for number in drawn.numbers)
    if drawn.kind != "discs" and not NO_LENGTH <= last <= THICKEST:
        remedy = f"Expected a width from {NO_LENGTH:g} to {THICKEST:g} spaces."
        return f"a line cannot be {last:g} spaces wide", "width", remedy
    if drawn.kind in ("discs", "rings"):
        x, y, size = numbers[0], numbers[1], numbers[2] if drawn.kind == "rings" else last
        if size < NO_LENGTH:
            return "this has no size", "diameter", "Give it a diameter."
        reach, name = max(abs(x), abs(y)) + size / 2, "at"
    else:
        points = list(zip(numbers[0::2], numbers[1::2], strict=True))
        if drawn.kind == "strokes" and _near(points[0], points[1]):
            return "this stroke has no length", "to", "End it elsewhere than where it begins."
        if drawn.kind == "curves" and _turns_in_a_point(points):
            remedy = "Let each control point stand apart from the end that it belongs to."
            return "this curve turns in a point", "controls", remedy
        reach, name = max(abs(number) for number in numbers), "from"
    if reach > REACH:
        remedy = f"Draw it within {REACH:g} space of the sign's centre, on every side."
        return "this reaches too far from the sign's centre", name, remedy
    return None


def _near(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return abs(a[0] - b[0]) < NO_LENGTH and abs(a[1] - b[1]) < NO_LENGTH


def _turns_in_a_point(points: list[tuple[float, float]]) -> bool:
    """Whether a cubic stands still somewhere, so that its line has no direction there."""
    a, b, c, d = points
    if _near(a, b) or _near(c, d) or _near(a, d):
        return True
    steps = [step / 64 for step in range(65)]
    return any(_near(_speed(points, t), (0.0, 0.0)) for t in steps)


def _speed(points: list[tuple[float, float]], t: float) -> tuple[float, float]:
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = points
    e, f, g = (1 - t) ** 2, 2 * t * (1 - t), t * t
    return (
        e * (x2 - x1) + f * (x3 - x2) + g * (x4 - x3),
        e * (y2 - y1) + f * (y3 - y2) + g * (y4 - y3),
    )


def _closed(name: str, sign: Sign, shaping: Shaping) -> Iterator[Diagnostic]:
    if any(2 * width >= diameter for _, _, diameter, width in sign.rings):
        yield Diagnostic(
            "E404",
            f"the ring of the sign “{name}” is so heavy that it is closed",
            _place(shaping),
            ("Give it a smaller weight or width, or a larger diameter.",),
        )


def _thin(name: str, sign: Sign, shaping: Shaping, space: float) -> Iterator[Diagnostic]:
    lines = chain(sign.strokes, sign.rings, sign.curves)
    thinnest = min((row[-1] for row in lines), default=1.0) * space
    if thinnest < FINEST_LINE:
        yield Diagnostic(
            "E405",
            f"a line of the sign “{name}” would be {thinnest:.3f} mm thick in print",
            _place(shaping),
            (
                f"No line may be thinner than {FINEST_LINE:g} mm: give it more weight or a larger "
                f"size, or the stave more height.",
            ),
        )


def _room(sheets: Sequence[StyleSheet], catalogue: Catalogue, space: float) -> float:
    """The room for a sign between two lines of the stave, in spaces."""
    distances = {row.name: row.value for row in catalogue.engraving.distance}
    for sheet in sheets:
        distances |= {setting.name: float(setting.spaces) for setting in sheet.distances}
    line = max(distances["stave line"], FINEST_LINE / space)
    return 1 - line - 2 * max(distances["line clearance"], LEAST_WHITE / space)


def _high(name: str, sign: Sign, shaping: Shaping, room: float) -> Iterator[Diagnostic]:
    height = drawing_box(sign).height
    if height > room:
        yield Diagnostic(
            "E407",
            f"the sign “{name}” would be {height:.2f} spaces high, and there is room for "
            f"{room:.2f} between two lines of the stave",
            shaping.origin.of("size", "of"),
            ("Draw it less high or smaller, or give the stave more height.",),
        )


def _alike(signs: dict[str, Sign], changed: Shapings) -> Iterator[Diagnostic]:
    """Of each changed sign the one that it can be taken for most easily."""
    apart: dict[frozenset[str], float] = {}
    for name, other in product(changed, signs):
        if name != other and frozenset({name, other}) not in apart:
            apart[frozenset({name, other})] = unlike(signs[name], signs[other])
    told: set[frozenset[str]] = set()
    for name, shaping in changed.items():
        distance, other = min((apart[frozenset({name, one})], one) for one in signs if one != name)
        if distance < 1 and frozenset({name, other}) not in told:
            told.add(frozenset({name, other}))
            yield Diagnostic(
                "E406",
                f"the sign “{name}” looks too much like the sign “{other}”",
                _place(shaping),
                ("Draw the two further apart: two signs that look alike are read as one.",),
            )


def _even(signs: dict[str, Sign], changed: Shapings, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """A drawing that is the same turned over, where the usual one tells right from left, or
    stands round its centre."""
    for name, shaping in changed.items():
        usual, own = catalogue.signs[name], signs[name]
        if unlike_turned_over(own) >= 1:
            continue
        if unlike_turned_over(usual) >= 1:
            yield Diagnostic(
                "E406",
                f"the sign “{name}” looks too much like itself turned over",
                _place(shaping),
                ("Draw it so that right and left are told apart.",),
            )
        elif _aside(own) > CENTRED >= _aside(usual):
            yield Diagnostic(
                "E406",
                f"the sign “{name}” stands beside its centre, and looks too much like itself "
                "turned over: its place could be read in two ways",
                _place(shaping),
                ("Draw it round its centre, as far to the left of it as to the right.",),
            )


def _aside(sign: Sign) -> float:
    box = drawing_box(sign)
    return abs(box.left + box.right) / 2


def _place(shaping: Shaping) -> Span:
    return shaping.origin.of("weight", "size", "of")
