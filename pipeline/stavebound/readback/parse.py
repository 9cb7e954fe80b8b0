"""Parse: an SVG in our grammar becomes outlines and texts.

In: SVG text. Out: a `Page`, or a fault at its line and column. Nothing but the
grammar of `svg/draw.py` is accepted: whatever else a file holds might show
ink that would go unread.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.faces import BOLD, REGULAR
from stavebound.readback.values import Outline, Page, Spot, TextRead

ATTRIBUTES: Mapping[str, frozenset[str]] = {
    "svg": frozenset({"xmlns", "width", "height", "viewBox"}),
    "title": frozenset(),
    "path": frozenset({"d", "fill"}),
    "text": frozenset(
        {"x", "y", "font-family", "font-style", "font-weight", "font-size", "fill", "aria-label"}
    ),
}
NAMESPACE = "http://www.w3.org/2000/svg"
PATH_LETTERS = frozenset("MLCZ0123456789.,- ")
NUMBER_LETTERS = frozenset("0123456789.-")
# Of red, green and blue less than half: what is lighter could stand on the page unseen.
INK = re.compile("#([0-7][0-9a-f]){3}")
HINT = "Only an SVG that stavebound wrote, and that nobody has changed since, can be read."


class _GrammarError(Exception):
    """What is not in the grammar."""


@dataclass(slots=True)
class _Open:
    """What has been read so far of a document that is being read; `place` is the line and
    column of the last tag."""

    outlines: list[Outline] = field(default_factory=list)
    texts: list[TextRead] = field(default_factory=list)
    path: list[str] = field(default_factory=list)
    attributes: dict[str, str] = field(default_factory=dict)
    letters: list[str] = field(default_factory=list)
    place: tuple[int, int] = (1, 1)


def parse_svg(svg: str, shown: str) -> Outcome[Page]:
    """`shown` names the file in faults."""
    found = _Open()
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def start(name: str, given: dict[str, str]) -> None:
        # By the time an error is caught, the parser has gone on to where the tag ends.
        found.place = parser.CurrentLineNumber, parser.CurrentColumnNumber + 1
        _start(name, given, found)

    parser.StartElementHandler = start
    parser.EndElementHandler = lambda name: _end(name, found)
    parser.CharacterDataHandler = lambda text: _letters(text, found)
    parser.StartDoctypeDeclHandler = _doctype
    try:
        parser.Parse(svg.encode(), True)
    except expat.ExpatError as error:
        what = f"this is no well-formed XML ({expat.ErrorString(error.code)})"
        return _not_ours(what, Span(shown, error.lineno, error.offset + 1))
    except _GrammarError as error:
        return _not_ours(str(error), Span(shown, *found.place))
    return Outcome(Page(tuple(found.outlines), tuple(found.texts)))


def _not_ours(what: str, span: Span) -> Outcome[Page]:
    return Outcome(None, (Diagnostic("R101", what, span, (HINT,)),))


def _doctype(*_: object) -> None:
    raise _GrammarError("a document type has no place in an SVG of ours")


def _start(name: str, given: dict[str, str], found: _Open) -> None:
    known = ATTRIBUTES.get(name)
    if known is None or (name == "svg") != (not found.path) or len(found.path) > 1:
        raise _GrammarError(f"an element <{name}> has no place here")
    for attribute in given:
        if attribute not in known:
            raise _GrammarError(f"<{name}> has an attribute “{attribute}” that is not ours")
    if "fill" in given and not INK.fullmatch(given["fill"]):
        raise _GrammarError(f"“{given['fill']}” is no ink of ours")
    found.path.append(name)
    found.attributes, found.letters = given, []
    if name == "svg":
        _size(given)
    elif name == "path":
        found.outlines += _outlines(given.get("d", ""))


def _end(name: str, found: _Open) -> None:
    found.path.pop()
    if name == "text":
        found.texts.append(_text("".join(found.letters), found.attributes))


def _letters(text: str, found: _Open) -> None:
    if found.path[-1] in ("svg", "path") and text.strip():
        raise _GrammarError("words have no place here")
    found.letters.append(text)


def _size(given: Mapping[str, str]) -> None:
    width, height = given.get("width", ""), given.get("height", "")
    if given.get("xmlns") != NAMESPACE:
        raise _GrammarError("the element <svg> is not in the SVG namespace")
    if not (width.endswith("mm") and height.endswith("mm")):
        raise _GrammarError("the size is not given in millimetres")
    if given.get("viewBox") != f"0 0 {width[:-2]} {height[:-2]}":
        raise _GrammarError("the view box is not as large as the drawing")


def _text(letters: str, given: Mapping[str, str]) -> TextRead:
    xs = tuple(_number(x) for x in given.get("x", "").split(" "))
    if len(xs) not in (1, len(letters)):
        raise _GrammarError("a text has neither one place nor one for each letter")
    return TextRead(
        letters,
        xs,
        _number(given.get("y", "")),
        _number(given.get("font-size", "")),
        given.get("font-style") == "italic",
        _weight(given.get("font-weight", str(REGULAR))),
    )


def _weight(text: str) -> int:
    if text not in (str(REGULAR), str(BOLD)):
        raise _GrammarError(f"“{text}” is no weight of ours")
    return int(text)


def _number(text: str) -> float:
    if not text or not NUMBER_LETTERS.issuperset(text):
        raise _GrammarError(f"“{text}” is no length")
    try:
        return float(text)
    except ValueError:
        raise _GrammarError(f"“{text}” is no length") from None


def _outlines(data: str) -> list[Outline]:
    """The figures of a path: M, then only L or only C, then Z."""
    if not PATH_LETTERS.issuperset(data) or not data.endswith("Z"):
        raise _GrammarError("a path is not made of closed figures")
    try:
        return [_outline(figure) for figure in data.split("Z")[:-1]]
    except ValueError:
        raise _GrammarError("a path has a command or a number that is not ours") from None


def _outline(figure: str) -> Outline:
    """ValueError where the figure is not in the grammar."""
    if figure[:1] != "M":
        raise ValueError(figure)
    if "C" not in figure:
        return Outline(tuple(map(_point, figure[1:].split("L"))))
    begin, *curves = figure[1:].split("C")
    points = [_point(begin)]
    for curve in curves:
        one, two, three = curve.split(" ")
        points += map(_point, (one, two, three))
    return Outline(tuple(points), True)


def _point(place: str) -> Spot:
    x, y = place.split(",")
    return float(x), float(y)
