"""Diagnostics as people and editors read them.

In: diagnostics and the texts of the sources they speak of, by path as shown.
Out: text for a terminal, or JSON. Always holds: the diagnostics stand in the
order of files, lines and columns; no control character of a source reaches the
terminal; the caret stands under the fault, whatever the line is made of.

    scores/plies.xml:4:32: error[S106]: bend cannot be “haf”
        4 |     <frame at="3"><knees bend="haf"/></frame>
          |                                ^^^
          Did you mean “half”?
          Expected one of: none, half, full.

The JSON is a list of objects with these keys, all of them always there:
code, severity ("error" or "warning"), message, file, line, column, length (the
four null where there is no place), hints (a list of sentences) and related (a
list of objects with file, line, column, length and message). Lines and columns
count characters from 1.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable, Iterator, Mapping

from stavebound.diagnostics import Diagnostic, Severity, Span, told

WIDEST = 100
"""Columns of a source line that are shown, at the most."""
LONGEST = 400
"""Characters of a message or a hint that are shown, at the most."""
_BEFORE = 40
"""Columns shown before the fault, where a line is clipped."""
_TAB = "    "
_INDENT = " " * 10

_RESET = "\x1b[0m"
_STRONG = "\x1b[1m"
_FAINT = "\x1b[2m"
_SEVERITY_COLOUR = {Severity.ERROR: "\x1b[1;31m", Severity.WARNING: "\x1b[1;33m"}


def render_text(
    diagnostics: Iterable[Diagnostic],
    sources: Mapping[str, str],
    colour: bool = False,
    limit: int = 100,
) -> str:
    """The first `limit` diagnostics as lines for a terminal, and how many more there are.

    A place in a file that is not among the sources is named without its line.
    """
    found = sorted(told(diagnostics), key=_order)
    lines = {path: text.split("\n") for path, text in sources.items()}
    shown = [_one(diagnostic, lines, colour) for diagnostic in found[:limit]]
    if len(found) > limit:
        shown.append(f"… and {len(found) - limit} more")
    return "\n".join(shown)


def render_json(diagnostics: Iterable[Diagnostic]) -> str:
    """All diagnostics as a JSON list, in ASCII."""
    rows = [_row(diagnostic) for diagnostic in sorted(told(diagnostics), key=_order)]
    return json.dumps(rows, indent=2)


def _order(diagnostic: Diagnostic) -> tuple[bool, Span]:
    """Those of no place come first."""
    return (diagnostic.span is not None, diagnostic.span or Span("", 0, 0))


def _row(diagnostic: Diagnostic) -> dict[str, object]:
    return {
        "code": diagnostic.code,
        "severity": diagnostic.severity.value,
        "message": diagnostic.message,
        **_place(diagnostic.span),
        "hints": list(diagnostic.hints),
        "related": [{**_place(span), "message": words} for span, words in diagnostic.related],
    }


def _place(span: Span | None) -> dict[str, object]:
    if span is None:
        return {"file": None, "line": None, "column": None, "length": None}
    return {"file": span.path, "line": span.line, "column": span.column, "length": span.length}


# ---------------------------------------------------------------- text


def _one(diagnostic: Diagnostic, lines: Mapping[str, list[str]], colour: bool) -> str:
    severity = diagnostic.severity
    place = _named(diagnostic.span)
    label = _coloured(f"{severity}[{diagnostic.code}]", _SEVERITY_COLOUR[severity], colour)
    message = _coloured(_words(diagnostic.message), _STRONG, colour)
    parts = [f"{place}{label}: {message}"]
    parts += _excerpt(diagnostic.span, lines, _SEVERITY_COLOUR[severity], colour)
    parts += [f"{_INDENT}{_words(hint)}" for hint in diagnostic.hints]
    for span, words in diagnostic.related:
        parts.append(f"{_INDENT}{_named(span)}{_words(words)}")
        parts += _excerpt(span, lines, _FAINT, colour)
    return "\n".join(parts)


def _named(span: Span | None) -> str:
    return "" if span is None else f"{visible(span.path)}:{span.line}:{span.column}: "


def _words(text: str) -> str:
    text = text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
    return visible(text.replace("\n", " "))


def _excerpt(
    span: Span | None, lines: Mapping[str, list[str]], code: str, colour: bool
) -> Iterator[str]:
    """The source line with a caret under it; nothing where the line is not known or empty."""
    source = lines.get(span.path, []) if span else []
    if span is None or span.line > len(source) or not source[span.line - 1].strip():
        return
    line, before, under = _clipped(source[span.line - 1], span)
    caret = _coloured("^" * max(1, _width(under)), code, colour)
    yield f"{_coloured(f'{span.line:>7} |', _FAINT, colour)} {line}"
    yield f"{_coloured('        |', _FAINT, colour)} {' ' * _width(before)}{caret}"


def _clipped(line: str, span: Span) -> tuple[str, str, str]:
    """The line as shown, what of it comes before the fault, and the fault itself."""
    at = span.column - 1
    start = at - _BEFORE if len(line) > WIDEST and at > _BEFORE else 0
    end = start + WIDEST
    ahead, behind = "…" if start else "", "…" if end < len(line) else ""
    before = ahead + visible(line[start:at])
    under = visible(line[at : min(at + span.length, end)])
    return f"{before}{under}{visible(line[at + span.length : end])}{behind}", before, under


def visible(text: str) -> str:
    """One line of text with a picture for each character that would move or change the terminal."""
    return "".join(_picture(character) for character in text)


def _picture(character: str) -> str:
    number = ord(character)
    if character == "\t":
        return _TAB
    if number < 0x20:
        return chr(0x2400 + number)
    # Other controls, marks that turn the direction of writing, breaks of lines,
    # half of a pair: Cc, Cf, Zl, Zp, Cs.
    return "\N{REPLACEMENT CHARACTER}" if unicodedata.category(character) in _HARMFUL else character


_HARMFUL = ("Cc", "Cf", "Cs", "Zl", "Zp")


def _width(text: str) -> int:
    """Columns of a terminal that the text takes up."""
    return sum(_columns(character) for character in text)


def _columns(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def _coloured(text: str, code: str, colour: bool) -> str:
    return f"{code}{text}{_RESET}" if colour else text
