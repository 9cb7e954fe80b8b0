"""Running text: elements of words to runs.

In: an element whose content the schema allows to be mixed. Out: `Words`, composed, white
space folded as in print: each run of it one space, none at the ends, and none
inside a mark's ends, where it would be missing between words.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import replace

from stavebound.score.model import Origin, Run, Words
from stavebound.score.model import plain as plain
from stavebound.source.datatypes import collapsed
from stavebound.source.document import Element, Text

DETAIL = {"term": "entry", "side": "is", "foreign": "language"}

# White space as XML has it: a space that does not break stays as it is.
BLANK = re.compile(r"[ \t\r\n]+")


def origin_of(element: Element) -> Origin:
    return Origin(element.span, tuple((a.name, a.span) for a in element.attributes))


def composed(text: str) -> str:
    """A letter and its accents as one character, where there is one (Unicode's NFC)."""
    return unicodedata.normalize("NFC", text)


def words_of(element: Element) -> Words:
    return tidied(run for child in element.children for run in _runs(child))


def tidied(runs: Iterable[Run]) -> Words:
    """Runs as print has them: neighbouring texts joined, white space folded."""
    joined: list[Run] = []
    for run in runs:
        if run.kind == "text" and joined and joined[-1].kind == "text":
            joined[-1] = _joined(joined[-1], run)
        else:
            joined.append(run)
    return tuple(run for run in _trimmed(joined) if run.text or run.kind != "text")


def fold_name(text: str) -> str:
    """A word as it is compared and sorted: small letters, no accents, any apostrophe."""
    decomposed = unicodedata.normalize("NFKD", text.casefold().replace("’", "'"))
    return "".join(char for char in decomposed if not unicodedata.combining(char))


def entry_name(run: Run) -> str:
    """The glossary's entry that a marked term means, as it is written there."""
    return run.detail or run.text


def _runs(child: Element | Text) -> Iterator[Run]:
    """A run for a text; for a mark its run, between the white space at its ends."""
    if isinstance(child, Text):
        yield Run("text", composed(child.value), origin=Origin(child.span))
        return
    texts = [text for text in child.children if isinstance(text, Text)]
    inner = "".join(text.value for text in texts)
    words = composed(collapsed(inner))
    before, after = BLANK.match(inner), BLANK.search(inner, len(inner.rstrip(" \t\r\n")))
    if words and before:
        yield Run("text", " ", origin=Origin(child.span))
    yield _mark(child, words)
    if words and after:
        yield Run("text", " ", origin=Origin(child.span))


def _mark(child: Element, words: str) -> Run:
    """A mark's run; its place is that of its words, where it has any."""
    texts = [text for text in child.children if isinstance(text, Text) and text.value.strip()]
    detail = child.get(DETAIL.get(child.name, ""))
    origin = origin_of(child)
    if texts:
        origin = replace(origin, span=texts[0].span)
    return Run(child.name, words, composed(detail.value) if detail else None, origin)


def _joined(first: Run, second: Run) -> Run:
    origin = first.origin if first.text.strip() else second.origin
    return replace(first, text=first.text + second.text, origin=origin)


def _trimmed(runs: list[Run]) -> Iterator[Run]:
    for index, run in enumerate(runs):
        text = BLANK.sub(" ", run.text)
        if run.kind == "text" and index == 0:
            text = text.lstrip(" ")
        if run.kind == "text" and index == len(runs) - 1:
            text = text.rstrip(" ")
        yield replace(run, text=text)
