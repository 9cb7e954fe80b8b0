"""Why a text is not XML, in plain words and at the exact place.

In: a text that the parser has refused, what it had met before, and its number
for the fault. Out: one diagnostic. Always holds: the parser alone judges; here
the piece in which it stopped is looked at once more, to say what is wrong with
it and where that began.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType
from xml.parsers.expat import errors

from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.decode import ROOTS
from stavebound.source.events import End, Located, Start
from stavebound.source.places import Places
from stavebound.source.references import reference_fault
from stavebound.source.tagfaults import tag_fault
from stavebound.source.tags import NAME, after_tag, attribute_places, tag_name
from stavebound.suggest import nearest

_TAG = re.compile(f"<{NAME}")
_END_TAG = re.compile(rf"</{NAME}[ \t\n]*>")
_DECLARATION = re.compile(r"<!(DOCTYPE|ENTITY|ELEMENT|ATTLIST|NOTATION)", re.IGNORECASE)
_NO_SPACE = re.compile(r"[^ \t\n]")
_MARKUP = re.compile(r"[<&]|\]\]>|$", re.MULTILINE)
# What else can stand between two tags: how it opens, how it closes, what it is called.
_ASIDES = (
    ("<!--", "-->", "comment"),
    ("<![CDATA[", "]]>", "CDATA section"),
    ("<?", "?>", "processing instruction"),
)


def explain(text: str, places: Places, found: Located, error: int) -> Diagnostic:
    """The diagnostic for the parser's fault of that number."""
    return _TELLERS.get(error, _first_fault)(text, places, found)


# ---------------------------------------------------------------- tags that do not match


def _mismatch(text: str, places: Places, found: Located) -> Diagnostic:
    at = text.rfind("</", 0, found.fault_offset + 1)
    closing, open_tags = tag_name(text, at), _open_tags(found)
    opened = tag_name(text, open_tags[-1])
    message = f"</{closing}> does not close <{opened}>, which is open"
    hints = [f"Write </{opened}> before it, or end the tag <{opened} …> with />."]
    if closing not in [tag_name(text, offset) for offset in open_tags]:
        other = f"Delete it, or write <{closing}> where <{opened}> is opened."
        hints = [other, f"Expected </{opened}>."]
        if nearest(closing, [opened]):
            hints = [f"The two want one name: mend it here, </{opened}>, or there, <{closing}>."]
    related = ((_tag_span(text, places, open_tags[-1]), f"<{opened}> is opened here"),)
    return Diagnostic("X201", message, places.span(at, len(closing) + 3), tuple(hints), related)


def _unclosed_element(text: str, places: Places, found: Located) -> Diagnostic:
    end = places.span(len(text.rstrip()))
    open_tags = _open_tags(found)
    if not open_tags:
        return _no_element("the file holds no element", end.path)
    names = [tag_name(text, offset) for offset in open_tags]
    closing = "".join(f"</{name}>" for name in reversed(names[-4:]))
    related = ((_tag_span(text, places, open_tags[-1]), f"<{names[-1]}> is opened here"),)
    message = f"the file ends while <{names[-1]}> is open"
    return Diagnostic("X202", message, end, (f"Write {closing} where it ends.",), related)


def _no_element(message: str, path: str) -> Diagnostic:
    return Diagnostic("X104", message, Span(path, 1, 1), (f"Expected {ROOTS}.",))


def _open_tags(found: Located) -> list[int]:
    """The offsets of the tags that are open where the parser stopped, the outermost first."""
    open_tags: list[int] = []
    for event, offset in zip(found.events, found.offsets, strict=True):
        if isinstance(event, Start):
            open_tags.append(offset)
        elif isinstance(event, End):
            open_tags.pop()
    return open_tags


def _tag_span(text: str, places: Places, offset: int) -> Span:
    return places.span(offset, len(tag_name(text, offset)) + 1)


# ---------------------------------------------------------------- attributes and prefixes


def _twice(text: str, places: Places, found: Located) -> Diagnostic:
    offset = text.rfind("<", 0, found.fault_offset)
    first: dict[str, Span] = {}
    for place in attribute_places(text, offset):
        span = places.span(place.name_offset, len(place.name))
        if place.name in first:
            message = f"the attribute {place.name} stands twice in <{tag_name(text, offset)}>"
            related = ((first[place.name], "it stands here already"),)
            return Diagnostic("X206", message, span, ("Delete one of them.",), related)
        first[place.name] = span
    return _plain("X206", "an attribute stands twice in this tag", places, found)


def _prefix(text: str, places: Places, found: Located) -> Diagnostic:
    offset = found.fault_offset
    names = [(tag_name(text, offset), offset + len("<"))]
    names += [(place.name, place.name_offset) for place in attribute_places(text, offset)]
    for name, at in names:
        prefix, colon, rest = name.partition(":")
        # xml: needs no declaration; the others count as declared wherever they are.
        if colon and prefix not in ("xml", "xmlns") and f"xmlns:{prefix}" not in text:
            message = f"the prefix {prefix}: stands for no namespace"
            return Diagnostic(
                "X209", message, places.span(at, len(name)), (f"Write {rest} without it.",)
            )
    hint = "Delete the attributes that begin with xmlns: here."
    return _plain("X209", "a prefix is declared in a way that XML forbids", places, found, hint)


# ---------------------------------------------------------------- around the root


def _outside(text: str, places: Places, found: Located) -> Diagnostic:
    at = found.fault_offset
    declaration = _declaration(text, places, at)
    if declaration is not None:
        return declaration
    if text.startswith("<", at):
        message = "there is a second root element"
        hint = "A file has one root, and all else lies inside it."
        return Diagnostic("X207", message, _tag_span(text, places, at), (hint,))
    if not any(isinstance(event, Start) for event in found.events) and "xmlns" not in text:
        return _no_element("this is plain text, and holds no element", places.span(at).path)
    return _text_outside(places, at)


def _text_outside(places: Places, at: int) -> Diagnostic:
    message = "there is text outside the root element"
    return Diagnostic("X207", message, places.span(at), ("Move it inside, or delete it.",))


def _late_declaration(text: str, places: Places, found: Located) -> Diagnostic:
    hint = "Write <?xml …?> at the very beginning of the file, or leave it out."
    return _plain("X208", "the XML declaration is not at the beginning", places, found, hint)


def _bad_declaration(text: str, places: Places, found: Located) -> Diagnostic:
    hint = 'Expected <?xml version="1.0" encoding="UTF-8"?>, or nothing of the kind.'
    return _plain("X208", "the XML declaration is not well written", places, found, hint)


def _plain(code: str, message: str, places: Places, found: Located, *hints: str) -> Diagnostic:
    return Diagnostic(code, message, places.span(found.fault_offset), hints)


# ---------------------------------------------------------------- anything else


def _first_fault(text: str, places: Places, found: Located) -> Diagnostic:
    """Goes on from the last tag that was read, piece by piece, to the one that is wrong."""
    at = found.offsets[-1] if found.offsets else 0
    if not found.events and text.startswith("</", found.fault_offset - 1):
        hint = "Delete it, or write the tag that it should close."
        return _plain("X201", "a tag is closed before any is opened", places, found, hint)
    while at < len(text) and at <= found.fault_offset:
        step = _piece(text, places, at)
        if isinstance(step, Diagnostic):
            return step
        stray = _NO_SPACE.search(text, at, step)
        if not found.events and stray and text[at] != "<":
            return _text_outside(places, stray.start())
        at = step
    hint = "Look at what stands just before this place."
    return _plain("X208", "this is not well-formed XML", places, found, hint)


def _piece(text: str, places: Places, at: int) -> Diagnostic | int:
    """The fault of the piece of XML at the offset, or the offset after it."""
    for opening, closing, name in _ASIDES:
        if text.startswith(opening, at):
            return _aside(text, places, at, opening, closing, name)
    if _TAG.match(text, at):
        return tag_fault(text, places, at) or after_tag(text, at)
    if text.startswith("</", at):
        return _end_tag(text, places, at)
    if text.startswith("<", at):
        return _declaration(text, places, at) or _stray(text, places, at)
    if text.startswith("]]>", at):
        hint = "Write ]]&gt; instead."
        return Diagnostic("X208", "]]> cannot stand in text", places.span(at, 3), (hint,))
    following = _MARKUP.search(text, at + 1)
    end = len(text) if following is None else following.start()
    return reference_fault(text, places, at, end) or end


def _aside(
    text: str, places: Places, at: int, opening: str, closing: str, name: str
) -> Diagnostic | int:
    end = text.find(closing, at + len(opening))
    if end < 0:
        message = f"the file ends inside a {name}"
        return Diagnostic(
            "X202", message, places.span(at, len(opening)), (f"Close it with {closing}",)
        )
    dashes = text.find("--", at + len(opening), end + 1)
    if name == "comment" and 0 <= dashes < end:
        message = "two hyphens cannot stand inside a comment"
        hint = "Write a dash, or close the comment with -->"
        related = ((places.span(at, len(opening)), "the comment begins here"),)
        return Diagnostic("X208", message, places.span(dashes, 2), (hint,), related)
    return end + len(closing)


def _end_tag(text: str, places: Places, at: int) -> Diagnostic | int:
    match = _END_TAG.match(text, at)
    if match is not None:
        return match.end()
    hint = "Expected </ and a name and >, with nothing else between."
    return Diagnostic("X205", "this closing tag is not well written", places.span(at, 2), (hint,))


def _declaration(text: str, places: Places, at: int) -> Diagnostic | None:
    match = _DECLARATION.match(text, at)
    if match is None:
        return None
    hint = "Delete it, and write out what its entities stand for."
    message = "a DOCTYPE is not allowed, and no entities are"
    return Diagnostic("X301", message, places.span(at, len(match[0])), (hint,))


def _stray(text: str, places: Places, at: int) -> Diagnostic:
    hint = "Write &lt; for the sign itself; a tag has its name right after the <."
    return Diagnostic("X204", "this < begins no tag", places.span(at), (hint,))


_TELLERS: Mapping[int, Callable[[str, Places, Located], Diagnostic]] = MappingProxyType(
    {
        errors.codes[message]: teller
        for message, teller in (
            (errors.XML_ERROR_TAG_MISMATCH, _mismatch),
            (errors.XML_ERROR_NO_ELEMENTS, _unclosed_element),
            (errors.XML_ERROR_DUPLICATE_ATTRIBUTE, _twice),
            (errors.XML_ERROR_UNBOUND_PREFIX, _prefix),
            (errors.XML_ERROR_UNDECLARING_PREFIX, _prefix),
            (errors.XML_ERROR_RESERVED_PREFIX_XML, _prefix),
            (errors.XML_ERROR_RESERVED_PREFIX_XMLNS, _prefix),
            (errors.XML_ERROR_SYNTAX, _outside),
            (errors.XML_ERROR_JUNK_AFTER_DOC_ELEMENT, _outside),
            (errors.XML_ERROR_MISPLACED_XML_PI, _late_declaration),
            (errors.XML_ERROR_XML_DECL, _bad_declaration),
        )
    }
)
