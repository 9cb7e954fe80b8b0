"""One pass of the XML parser over a text: what it met, in the order of the file.

In: text as UTF-8 bytes. Out: events with their offsets in bytes, up to the end
or to the first fault. Always holds: nothing outside the bytes is looked at, no
entity is expanded, no limit below is passed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple
from xml.parsers import expat

from stavebound.source.places import character_offsets
from stavebound.source.tags import after_tag

DEEPEST = 64
"""Elements inside one another, at the most."""
MOST_ELEMENTS = 200_000
MOST_CHILDREN = 5_000
"""Elements right inside one element, at the most; the library for the grammar takes time by
their square."""
MOST_ATTRIBUTES = 64
"""Attributes of one element, at the most; declarations of namespaces likewise."""
LONGEST_ATTRIBUTE = 4_000
"""Characters in one value, at the most."""
LONGEST_NAME = 200
"""Characters in the name of an element or attribute with its namespace, at the most."""
LONGEST_TEXT = 200_000
"""Characters between two tags, at the most."""


class Start(NamedTuple):
    """A start tag at its "<". Names are "namespace name"; attributes alternate name and value."""

    at: int
    name: str
    attributes: tuple[str, ...]


class End(NamedTuple):
    """An end tag at its "<", or the place after the tag of an empty element."""

    at: int


class CharacterRun(NamedTuple):
    """All characters between two tags."""

    text: str


class Refusal(NamedTuple):
    """What is well-formed and yet refused. `attribute` is the index of the one that is meant."""

    code: str
    at: int
    message: str
    hint: str
    attribute: int | None = None


class Breach(NamedTuple):
    """Where the text stops being XML, with the parser's number for it."""

    error: int
    at: int


@dataclass(frozen=True, slots=True)
class Scan:
    """What was met before `fault`, or before the end where there is none."""

    events: tuple[Start | End | CharacterRun, ...]
    fault: Refusal | Breach | None


@dataclass(frozen=True, slots=True)
class Located:
    """A scan with the offset in characters of each event, and of its fault (else 0)."""

    events: tuple[Start | End | CharacterRun, ...]
    offsets: tuple[int, ...]
    fault: Refusal | Breach | None
    fault_offset: int


class _RefusedError(Exception):
    def __init__(
        self, code: str, at: int, message: str, hint: str, attribute: int | None = None
    ) -> None:
        super().__init__(message)
        self.refusal = Refusal(code, at, message, hint, attribute)


def scan(encoded: bytes) -> Scan:
    """All events of a text in UTF-8 without a byte order mark, and its first fault."""
    parser = expat.ParserCreate("utf-8", " ")
    listener = _Listener(parser, len(encoded))
    fault: Refusal | Breach | None = None
    try:
        parser.Parse(encoded, True)
    except _RefusedError as refused:
        fault = refused.refusal
    except expat.ExpatError as error:
        fault = Breach(error.code, parser.ErrorByteIndex)
    return Scan(tuple(listener.events), fault)


def placed(text: str, found: Scan) -> Located:
    """The scan of a text with offsets in characters. A run starts where the tag before it ends."""
    bytes_of_tags = [event.at for event in found.events if not isinstance(event, CharacterRun)]
    if found.fault is not None:
        bytes_of_tags.append(max(found.fault.at, bytes_of_tags[-1] if bytes_of_tags else 0))
    tags = character_offsets(text.encode("utf-8"), bytes_of_tags)
    offsets: list[int] = []
    for event in found.events:
        if isinstance(event, CharacterRun):
            offsets.append(_after(text, offsets[-1]))
        else:
            offsets.append(next(tags))
    fault_offset = next(tags, 0)
    if isinstance(found.fault, Refusal):
        fault_offset = _refused_at(text, found.fault, fault_offset, offsets)
    return Located(found.events, tuple(offsets), found.fault, fault_offset)


def _refused_at(text: str, fault: Refusal, offset: int, offsets: list[int]) -> int:
    """Where it begins: the parser tells of a DOCTYPE at its end and of a run not at all."""
    if fault.code == "X301":
        return text.rfind("<!DOCTYPE", 0, offset)
    return offsets[-1] if fault.at < 0 else offset


def _after(text: str, offset: int) -> int:
    """The offset after the tag of an event; that of an empty element's end is after it already."""
    started = text.startswith("<", offset) and not text.startswith(("<!", "<?"), offset)
    return after_tag(text, offset) if started else offset


class _Listener:
    """Writes down what a parser meets, and stops it at the first thing refused."""

    def __init__(self, parser: expat.XMLParserType, size: int) -> None:
        self.parser = parser
        self.events: list[Start | End | CharacterRun] = []
        # How many elements each of those that are open holds so far.
        self.children = [0]
        self.elements = 0
        self.bindings: list[str] = []
        parser.ordered_attributes = True
        parser.buffer_text = True
        # A run longer than the buffer would come in pieces.
        parser.buffer_size = size + 1
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.run
        parser.StartNamespaceDeclHandler = self.bind
        parser.StartDoctypeDeclHandler = self.doctype

    def start(self, name: str, attributes: list[str]) -> None:
        event = Start(self.parser.CurrentByteIndex, name, tuple(attributes))
        self.elements += 1
        self.children[-1] += 1
        _check_number(event.at, len(self.children), self.elements, self.children[-1])
        _check_tag(event, len(self.bindings))
        self.children.append(0)
        self.bindings.clear()
        self.events.append(event)

    def end(self, _name: str) -> None:
        self.children.pop()
        self.events.append(End(self.parser.CurrentByteIndex))

    def run(self, text: str) -> None:
        self.events.append(CharacterRun(text))
        if len(text) > LONGEST_TEXT:
            message = f"this text is longer than {LONGEST_TEXT:,} characters"
            raise _RefusedError("X304", -1, message, "Divide it, or delete what was not meant.")

    def bind(self, prefix: str | None, _namespace: str | None) -> None:
        self.bindings.append(prefix or "")

    def doctype(self, *_parts: object) -> None:
        message = "a DOCTYPE is not allowed, and no entities are"
        hint = "Delete it, and write out what its entities stand for."
        raise _RefusedError("X301", self.parser.CurrentByteIndex, message, hint)


def _check_number(at: int, depth: int, elements: int, children: int) -> None:
    """Refuse an element that is one too many."""
    if depth > DEEPEST:
        message = f"elements are nested more than {DEEPEST} deep here"
        raise _RefusedError("X302", at, message, "Close the elements where they end.")
    if elements > MOST_ELEMENTS:
        message = f"the file has more than {MOST_ELEMENTS:,} elements"
        raise _RefusedError("X303", at, message, "Divide the file.")
    if children > MOST_CHILDREN:
        message = f"the element around this one holds more than {MOST_CHILDREN:,} elements"
        raise _RefusedError("X307", at, message, "Divide it.")


def _check_tag(event: Start, bindings: int) -> None:
    """Refuse a start tag that holds too much."""
    at, attributes = event.at, event.attributes
    if max(len(attributes) // 2, bindings) > MOST_ATTRIBUTES:
        message = f"this element has more than {MOST_ATTRIBUTES} attributes"
        raise _RefusedError("X306", at, message, "Delete those that the schema does not know.")
    if any(len(name) > LONGEST_NAME for name in (event.name, *attributes[::2])):
        message = f"a name in this tag is longer than {LONGEST_NAME} characters"
        raise _RefusedError("X308", at, message, "Look for a missing space or quotation mark.")
    for index, value in enumerate(attributes[1::2]):
        if len(value) > LONGEST_ATTRIBUTE:
            message = f"this value is longer than {LONGEST_ATTRIBUTE:,} characters"
            hint = "Shorten it; running text belongs in elements."
            raise _RefusedError("X305", at, message, hint, index)
