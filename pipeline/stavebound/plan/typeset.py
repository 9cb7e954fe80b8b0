"""A book's own words as print has them, however they were typed.

In: a plan, and the quotation marks of its language. Out: the same plan with true marks in all
that is printed of it; paths, names of layouts and the like stay as they are.
"""

from __future__ import annotations

from dataclasses import replace

from stavebound.plan.book import BookPlan, Chapter, Exercise, GlossaryEntry, Paragraph
from stavebound.score.typeset import Quotes, typeset, typeset_prose, typeset_text


def typeset_book(plan: BookPlan, quotes: Quotes) -> BookPlan:
    return replace(
        plan,
        title=typeset_text(plan.title, quotes),
        subtitle=plan.subtitle and typeset_text(plan.subtitle, quotes),
        author=plan.author and typeset_text(plan.author, quotes),
        edition=plan.edition and typeset_text(plan.edition, quotes),
        publisher=plan.publisher and typeset_text(plan.publisher, quotes),
        imprint=_paragraphs(plan.imprint, quotes),
        preface=_paragraphs(plan.preface, quotes),
        chapters=tuple(_chapter(chapter, quotes) for chapter in plan.chapters),
        prose=typeset_prose(plan.prose, quotes),
        glossary=tuple(_entry(entry, quotes) for entry in plan.glossary),
    )


def _paragraphs(paragraphs: tuple[Paragraph, ...], quotes: Quotes) -> tuple[Paragraph, ...]:
    return tuple(_paragraph(paragraph, quotes) for paragraph in paragraphs)


def _paragraph(paragraph: Paragraph, quotes: Quotes) -> Paragraph:
    return replace(paragraph, words=typeset(paragraph.words, quotes))


def _chapter(chapter: Chapter, quotes: Quotes) -> Chapter:
    items = (
        item if isinstance(item, Exercise) else _paragraph(item, quotes) for item in chapter.items
    )
    return replace(chapter, title=typeset_text(chapter.title, quotes), items=tuple(items))


def _entry(entry: GlossaryEntry, quotes: Quotes) -> GlossaryEntry:
    return replace(
        entry,
        term=typeset_text(entry.term, quotes),
        words=typeset(entry.words, quotes),
        said=entry.said and typeset_text(entry.said, quotes),
    )
