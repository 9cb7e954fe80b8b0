"""References: &amp; and its kin, and what is wrong with those that are not XML's.

In: a stretch of text. Out: the first fault in it, or None.
"""

from __future__ import annotations

import re
from html.entities import html5

from stavebound.diagnostics import Diagnostic
from stavebound.source.places import Places

_STANDARD = ("amp", "lt", "gt", "quot", "apos")
_REFERENCE = re.compile(r"&(?:#([0-9]{1,7})|#x([0-9a-fA-F]{1,6})|([^\W\d][\w.\-]*));")
_OPEN_END = re.compile(rf"&(?:{'|'.join(_STANDARD)}|#[0-9]+|#x[0-9a-fA-F]+)(?!\w)")
_ALLOWED = re.compile("[\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def reference_fault(text: str, places: Places, start: int, end: int) -> Diagnostic | None:
    """The first & between the two offsets that begins no reference of XML."""
    at = text.find("&", start, end)
    while at >= 0:
        match = _REFERENCE.match(text, at, end)
        if match is None:
            return _stray(text, places, at)
        if match[3] is None and not _is_character(match):
            message = f"{match[0]} names no character that XML allows"
            return Diagnostic("X203", message, places.span(at, len(match[0])), ("Delete it.",))
        if match[3] is not None and match[3] not in _STANDARD:
            return _unknown(places, match)
        at = text.find("&", match.end(), end)
    return None


def _stray(text: str, places: Places, at: int) -> Diagnostic:
    open_end = _OPEN_END.match(text, at)
    if open_end is not None:
        span = places.span(at, len(open_end[0]))
        message = f"there is no semicolon after {open_end[0]}"
        return Diagnostic("X203", message, span, (f"Write {open_end[0]};",))
    hint = "Write &amp; for the sign itself."
    return Diagnostic("X203", "this & begins no reference", places.span(at), (hint,))


def _is_character(match: re.Match[str]) -> bool:
    number = int(match[1]) if match[1] else int(match[2], 16)
    return number < 0x110000 and _ALLOWED.fullmatch(chr(number)) is not None


def _unknown(places: Places, match: re.Match[str]) -> Diagnostic:
    character = html5.get(f"{match[3]};")
    known = ", ".join(f"&{name};" for name in _STANDARD)
    hints = [f"XML knows {known} only."]
    if character is not None:
        numbers = "".join(f"&#{ord(one)};" for one in character)
        hints.insert(0, f"Type the character itself, or {numbers}")
    message = f"XML does not know {match[0]}"
    return Diagnostic("X203", message, places.span(match.start(), len(match[0])), tuple(hints))
