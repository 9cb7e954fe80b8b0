"""What is wrong inside one tag, in plain words and at the exact place.

In: a text and the offset of a "<" in it that a name follows. Out: the first
fault of that tag, or None where it is well written.

    <knees bend=half/>      <frame at="1>          <frame at="1"step="plié">
                ^ no quotes           ^ not closed             ^ no space
"""

from __future__ import annotations

import re

from stavebound.diagnostics import Diagnostic
from stavebound.source.places import Places
from stavebound.source.references import reference_fault
from stavebound.source.tags import NAME, tag_name

_SPACE = re.compile(r"[ \t\n]*")
_NAME = re.compile(NAME)
_EQUALS = re.compile(r"[ \t\n]*=[ \t\n]*")
_BARE_VALUE = re.compile(r"[^\s\"'<>/]*")
# A value that ends like this has taken in the beginning of the next attribute.
_SWALLOWED = re.compile(rf"""\s{NAME}\s*=\s*["']$""")
_CURLY = ("“", "”", "„", "«", "»", "‘", "’", "‚")


def tag_fault(text: str, places: Places, offset: int) -> Diagnostic | None:
    """The first fault of the start tag at the offset, None where there is none."""
    at = offset + len("<") + len(tag_name(text, offset))
    last: re.Match[str] | None = None
    while True:
        space = _end(_SPACE, text, at)
        if text.startswith((">", "/>"), space):
            return None
        if space == at and last is not None and _SWALLOWED.search(text, last.end(), at):
            return _swallowed(text, places, last)
        name = _NAME.match(text, space)
        if name is None:
            return _no_name(text, places, offset, space)
        if space == at:
            return _no_space(places, name)
        fault, at = _value(text, places, name)
        if fault is not None:
            return fault
        last = name


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    return at if match is None else match.end()


def _no_name(text: str, places: Places, offset: int, at: int) -> Diagnostic:
    """Neither an attribute nor the end of the tag stands where one of them must."""
    tag = tag_name(text, offset)
    opened = ((places.span(offset, len(tag) + 1), "the tag begins here"),)
    if at >= len(text):
        message = f"the file ends inside the tag <{tag}"
        return Diagnostic(
            "X202", message, places.span(offset, len(tag) + 1), ("Close it with />.",)
        )
    if text[at] == "<":
        message = f"the tag <{tag} is not closed before the next <"
        return Diagnostic("X205", message, places.span(at), ("Close it with > or />.",), opened)
    if text[at] == "/":
        hint = "Write /> with nothing between."
        return Diagnostic("X205", "this / does not close the tag", places.span(at), (hint,), opened)
    message = f"{text[at]} cannot stand here in the tag <{tag}"
    hint = 'Expected an attribute such as name="value", or the end of the tag.'
    return Diagnostic("X205", message, places.span(at), (hint,), opened)


def _swallowed(text: str, places: Places, name: re.Match[str]) -> Diagnostic:
    at = _end(_EQUALS, text, name.end())
    hint = f"Write {text[at]} after the value."
    return Diagnostic("X205", f"the value of {name[0]} is not closed", places.span(at), (hint,))


def _no_space(places: Places, name: re.Match[str]) -> Diagnostic:
    message = f"there is no space before {name[0]}"
    hints = (
        f"Write a space before it, if “{name[0]}” is an attribute.",
        "Else look at the value before it: its quotation marks may be in the wrong place.",
    )
    return Diagnostic("X205", message, places.span(name.start(), len(name[0])), hints)


def _value(text: str, places: Places, name: re.Match[str]) -> tuple[Diagnostic | None, int]:
    """The fault of an attribute from its = on, and the offset after it."""
    span = places.span(name.start(), len(name[0]))
    equals = _EQUALS.match(text, name.end())
    if equals is None:
        message = f"the attribute {name[0]} has no value"
        return Diagnostic("X205", message, span, (f'Write {name[0]}="…".',)), name.end()
    at = equals.end()
    quote = text[at : at + 1]
    if quote not in ("'", '"'):
        return _no_quotes(text, places, name[0], at), at
    close = text.find(quote, at + 1)
    wrong = text.find("<", at + 1, close if close >= 0 else len(text))
    if close < 0 or wrong >= 0:
        return _not_closed(text, places, name[0], at, wrong), at
    return reference_fault(text, places, at + 1, close), close + 1


def _no_quotes(text: str, places: Places, name: str, at: int) -> Diagnostic:
    if text.startswith(_CURLY, at):
        message = f"the value of {name} has curly quotation marks"
        hint = 'XML wants straight ones: ".'
        return Diagnostic("X205", message, places.span(at), (hint,))
    if text.startswith("=", at):
        return Diagnostic(
            "X205", f"there is a second = after {name}", places.span(at), ("Delete it.",)
        )
    value = text[at : _end(_BARE_VALUE, text, at)]
    message = f"the value of {name} has no quotation marks"
    return Diagnostic(
        "X205", message, places.span(at, len(value)), (f'Write {name}="{value or "…"}".',)
    )


def _not_closed(text: str, places: Places, name: str, at: int, wrong: int) -> Diagnostic:
    """A value that runs on to the end of the file, or into the next tag."""
    quote = text[at]
    message = f"the value of {name} is not closed: there is no second {quote}"
    if wrong < 0:
        return Diagnostic("X202", message, places.span(at), (f"Write {quote} after the value.",))
    hints = (f"Write {quote} after the value.", "If a < is meant in it, write &lt; instead.")
    related = ((places.span(wrong), "no < can stand in a value"),)
    return Diagnostic("X205", f"the value of {name} is not closed", places.span(at), hints, related)
