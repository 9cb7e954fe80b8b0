"""Words as print has them, however they were typed.

In: words of a score, and the quotation marks of their language. Out: the same words with true
apostrophes, quotation marks, dashes and ellipses in the place of the keyboard's. What is a
mark of print already stays, so that what was set is set again alike; no other letter changes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate

from stavebound.score.model import Frame, Phrase, Prose, Run, Score, Words, plain

APOSTROPHE, OPENING, ELLIPSIS, DASH, LONG_DASH = "’‘…–—"
# Two or three hyphens are a dash; so is one between spaces, and one between two numbers, if
# they are not a date.
KEYED = re.compile(r"""['"]|\.{3}|---?|(?<=[ \u00a0])-(?=[ \u00a0])|(?<![\d-])\d+-\d+(?![\d-])""")
MARKS = {"...": ELLIPSIS, "--": DASH, "---": LONG_DASH}
# What a quotation opens behind, if it is not the beginning.
OPENS = re.compile(r"[\s(\[–—“‘«\"'-]")
# A single mark by which a quotation could be closed.
CLOSES = re.compile(r"(?<=\S)'(?!\w)")
# Attributes of a text that are printed.
PRINTED = ("title", "by")
# What stands for a mark that has no words of its own, such as a side.
WORD = "x"


@dataclass(frozen=True, slots=True)
class Quotes:
    """The quotation marks of a language, with the spaces inside them."""

    opening: str
    closing: str


def typeset_score(score: Score, quotes: Quotes) -> Score:
    return replace(
        score,
        title=typeset_text(score.title, quotes),
        level=score.level and typeset_text(score.level, quotes),
        music=score.music and replace(score.music, words=typeset(score.music.words, quotes)),
        upbeat=score.upbeat and _phrase(score.upbeat, quotes),
        phrases=tuple(_phrase(phrase, quotes) for phrase in score.phrases),
        prose=typeset_prose(score.prose, quotes),
    )


def typeset_prose(texts: tuple[Prose, ...], quotes: Quotes) -> tuple[Prose, ...]:
    return tuple(
        replace(
            text,
            words=typeset(text.words, quotes),
            attributes=tuple(
                (name, typeset_text(value, quotes) if name in PRINTED else value)
                for name, value in text.attributes
            ),
        )
        for text in texts
    )


def typeset_text(text: str, quotes: Quotes) -> str:
    """Words that have no marks in them."""
    return plain(typeset((Run("text", text),), quotes))


def typeset(words: Words, quotes: Quotes) -> Words:
    """Running text; which way a quotation mark is turned depends on what stands before it, be
    it in the run before."""
    texts = [run.text or WORD for run in words]
    around = "".join(texts)
    if not KEYED.search(around):
        return words
    begins = accumulate(map(len, texts), initial=0)
    return tuple(
        replace(run, text=_set(around, begin, begin + len(run.text), quotes))
        for run, begin in zip(words, begins, strict=False)
    )


def _set(around: str, begin: int, end: int, quotes: Quotes) -> str:
    return "".join(_pieces(around, begin, end, quotes))


def _pieces(around: str, begin: int, end: int, quotes: Quotes) -> Iterator[str]:
    """The text from one place to another, piece by piece, each keyed mark as print has it."""
    for found in KEYED.finditer(around, begin, end):
        yield around[begin : found.start()]
        yield _mark(found, quotes)
        begin = found.end()
    yield around[begin:end]


def _mark(found: re.Match[str], quotes: Quotes) -> str:
    keyed, around, at = found[0], found.string, found.start()
    opens = at == 0 or OPENS.fullmatch(around[at - 1]) is not None
    if keyed == '"':
        return quotes.opening if opens else quotes.closing
    if keyed == "'":
        quoted = around[at + 1 : at + 2].isalpha() and CLOSES.search(around, at + 1)
        return OPENING if opens and quoted else APOSTROPHE
    return MARKS.get(keyed) or keyed.replace("-", DASH)


def _phrase(phrase: Phrase, quotes: Quotes) -> Phrase:
    return replace(phrase, frames=tuple(_frame(frame, quotes) for frame in phrase.frames))


def _frame(frame: Frame, quotes: Quotes) -> Frame:
    if not any(KEYED.search(text.text) for text in frame.texts):
        return frame
    texts = (replace(text, words=typeset(text.words, quotes)) for text in frame.texts)
    return replace(frame, texts=tuple(texts))
