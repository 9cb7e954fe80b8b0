"""What every sheet of a book shares: its template's values and its anchors."""

from __future__ import annotations

from collections.abc import Mapping

from stavebound.book.papers import Paper
from stavebound.book.templates import render
from stavebound.book.values import Edition
from stavebound.book.words import Reading
from stavebound.score.model import Prose, Run, Words
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import labels

READING = "reading"
GLOSSARY = "glossary"


def words_of_layout(edition: Edition) -> Mapping[str, str]:
    return labels(edition.plan.language)


def page(edition: Edition, template: str, **values: object) -> str:
    """A template of the edition's layout, with the plan and the layout's own words."""
    words = words_of_layout(edition)
    return render(edition.plan.layout, template, plan=edition.plan, words=words, **values)


def page_css(edition: Edition, paper: Paper) -> str:
    """The style sheet of all sheets on this paper."""
    return render(edition.plan.layout, "page.css", paper=paper)


def reading_of(edition: Edition, where: str) -> Reading:
    """How running text is read in this edition; `where` keeps anchors of different files apart."""
    entries = {fold_name(entry.term): entry for entry in edition.plan.glossary}
    return Reading(entries, words_of_layout(edition), where)


def chapter_anchor(index: int) -> str:
    return f"chapter-{index}"


def exercise_anchor(number: int) -> str:
    return f"exercise-{number}"


def line_anchor(number: int, index: int) -> str:
    """Of a line of music, by its exercise; one for all the words that stand under it."""
    return f"line.{number}.{index}"


def caution_words(prose: Prose, catalogue: Catalogue) -> Words:
    """A caution's own words, or the usual ones."""
    return prose.words or usual_caution(prose.get("about") or "", catalogue)


def usual_caution(about: str, catalogue: Catalogue) -> Words:
    text = next(row.text for row in catalogue.cautions.caution if row.about == about)
    return (Run("text", text),)
