"""Running text to HTML.

In: `Words` and what the marks need: the glossary's entries and the words for
the sides. Out: safe HTML. Every glossary term links to its entry and has an
anchor of its own, from which the glossary's page numbers come.
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest

from markupsafe import Markup, escape

from stavebound.plan.book import GlossaryEntry
from stavebound.score.model import Run, Words
from stavebound.score.words import entry_name, fold_name


@dataclass(frozen=True, slots=True)
class Meanings:
    """What the marks of running text mean in a book.

    `entries`: folded term → entry. `where` keeps anchors of different files apart.
    `explained`: terms lead to their entries.
    """

    entries: Mapping[str, GlossaryEntry]
    labels: Mapping[str, str]
    where: str
    explained: bool = True


def slug(text: str) -> str:
    """A word or a path as a part of an anchor's name; different texts give different names."""
    kept = string.ascii_letters + string.digits + "-"
    return "".join(char if char in kept else f"_{ord(char):x}_" for char in text)


# A space between plain text and a mark. By itself, for WeasyPrint breaks a line far too early
# where hyphenated text ends in a space that just does not fit before what follows.
SPACE = Markup("<span> </span>")
TEXT = re.compile(r"(?<![^>])[^<]+")
LONGEST_WORD = 16
LONG_WORD = re.compile(rf"(\S{{{LONGEST_WORD + 1},}})")
# Every second part of what is split by it is text, those between are marks.
MARKED = re.compile(r"(<[^>]*>)")
# A space on which no line is broken.
TIE = "\u00a0"
# A last word of fewer letters, with its stop, is no line by itself, unless the one before it is
# so long that the line that it leaves would have a hole.
LAST, LAST_TWO = 6, 14
# Words that are one with a hyphen.
COMPOUND = re.compile(r"(?<![\w&#-])[^\W\d_]+(?:-[^\W\d_]+)+(?![\w-])")
INLINE = ("term", "emphasis", "foreign")


def html_of(words: Words, reading: Meanings) -> Markup:
    return Markup("").join(_parted(words, reading))


def whole(html: Markup) -> Markup:
    """The same as a paragraph in which no line is broken behind the hyphen of a compound, unless
    that is very long."""

    def marked(found: re.Match[str]) -> str:
        return (
            f'<span class="whole">{found[0]}</span>' if len(found[0]) <= LONGEST_WORD else found[0]
        )

    return Markup(TEXT.sub(lambda text: COMPOUND.sub(marked, text[0]), str(html)))


def ended(html: Markup) -> Markup:
    """The same as a paragraph whose last two words are tied where the last is short."""
    parts = MARKED.split(str(html).rstrip())
    *words, tail = "".join(parts[::2]).split(" ")
    if not words or len(tail) >= LAST or len(words[-1]) + len(tail) > LAST_TWO:
        return whole(html)
    last = max(at for at, part in enumerate(parts[::2]) if " " in part) * 2
    parts[last] = TIE.join(parts[last].rsplit(" ", 1))
    return whole(Markup("".join(parts)))


def breakable(html: Markup) -> Markup:
    """The same for a cell of a table: a word that may be wider than the cell in pieces of the
    class `long`, which the style sheet breaks anywhere. Were it all of the cell, WeasyPrint
    would take minutes: it tries every letter on all that follows."""

    def in_pieces(text: re.Match[str]) -> str:
        parts = LONG_WORD.split(Markup(text[0]).unescape())
        return "".join(part for word in parts for part in _pieces(word))

    return Markup(TEXT.sub(in_pieces, str(html)))


def _pieces(text: str) -> Iterator[Markup]:
    if not LONG_WORD.fullmatch(text):
        yield escape(text)
        return
    for at in range(0, len(text), LONGEST_WORD):
        piece = text[at : at + LONGEST_WORD]
        yield Markup('<span class="long">{}</span>').format(piece)


def _parted(words: Words, reading: Meanings) -> Iterator[Markup]:
    for run, following in zip_longest(words, words[1:]):
        html = RUNS[run.kind](run, reading)
        marked = following is not None and following.kind in INLINE
        yield html.rstrip() + SPACE if marked and html.endswith(" ") else html


def entry_of(run: Run, entries: Mapping[str, GlossaryEntry]) -> GlossaryEntry | None:
    """The glossary's entry of a marked term."""
    return entries.get(fold_name(entry_name(run)))


def term_anchor(term: str) -> str:
    """How the anchors of a term's occurrences begin."""
    return f"term.{slug(term)}."


def term_of_anchor(anchor: str) -> str | None:
    """How the anchors of the same term begin; None where it is no term's."""
    kind, _, rest = anchor.partition(".")
    return f"{kind}.{rest.partition('.')[0]}." if kind == "term" else None


def entry_anchor(term: str) -> str:
    return f"entry.{slug(term)}"


def _text(run: Run, reading: Meanings) -> Markup:
    return Markup("{}").format(run.text)


def _term(run: Run, reading: Meanings) -> Markup:
    entry = entry_of(run, reading.entries)
    if entry is None:
        return _text(run, reading)
    word = in_language(run.text, entry.language)
    if not reading.explained:
        return word
    span = run.origin.span
    anchor = f"{term_anchor(entry.term)}{reading.where}.{span.line}.{span.column}"
    return Markup('<a class="term" id="{}" href="stavebound:{}">{}</a>').format(
        anchor, entry_anchor(entry.term), word
    )


def _side(run: Run, reading: Meanings) -> Markup:
    return Markup("{}").format(reading.labels[run.detail or "right"])


def _emphasis(run: Run, reading: Meanings) -> Markup:
    return Markup("<em>{}</em>").format(run.text)


def _foreign(run: Run, reading: Meanings) -> Markup:
    return foreign(run.text, run.detail)


def in_language(text: str, language: str | None) -> Markup:
    """A word of the trade, which is upright whatever its language: it is the book's own."""
    if language is None:
        return Markup("{}").format(text)
    return Markup('<span lang="{}">{}</span>').format(language, text)


def foreign(text: str, language: str | None) -> Markup:
    """Words of another language, marked as such."""
    if language is None:
        return Markup("{}").format(text)
    return Markup('<i lang="{}">{}</i>').format(language, text)


RUNS = {
    "text": _text,
    "term": _term,
    "side": _side,
    "emphasis": _emphasis,
    "foreign": _foreign,
}
