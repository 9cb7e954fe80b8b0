"""What every sheet of a book shares: its template's values and its anchors."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup

from stavebound.book.layouts import Section
from stavebound.book.templates import render
from stavebound.book.values import Edition
from stavebound.book.words import Reading, html_of
from stavebound.faces import Faces
from stavebound.score.model import Prose
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import labels


def words_of_layout(edition: Edition) -> Mapping[str, str]:
    return labels(edition.labels)


def named(edition: Edition) -> str | None:
    """What an edition is called beside the book's title; nothing where it is the book."""
    label = edition.make_up.label
    return words_of_layout(edition)[label] if label else None


def page(edition: Edition, template: str, **values: object) -> str:
    """A template of the edition's layout, with the plan, the layout's own words, and the tag
    of the language of the text."""
    return render(
        edition.layout.folders,
        template,
        plan=edition.plan,
        words=words_of_layout(edition),
        language=labels(edition.language)["language"],
        **values,
    )


def section_page(section: Section, edition: Edition, **values: object) -> str:
    """A section's own template, with its anchor and its heading, if it has one."""
    heading = words_of_layout(edition)[section.label] if section.label else None
    usual = {"anchor": section.name, "heading": heading}
    return page(edition, section.template, **(usual | values))


def page_css(edition: Edition) -> str:
    """The style sheet of all sheets, in the faces of the house."""
    return _css(edition, "page.css")


def margins_css(edition: Edition) -> str:
    """The style sheet of the margins, which are stamped over the bound pages."""
    return _css(edition, "margins.css")


def _css(edition: Edition, name: str) -> str:
    faces = face_names(edition.faces)
    return render(edition.layout.folders, name, paper=edition.paper, faces=faces)


def face_names(faces: Faces) -> Mapping[str, str]:
    """The families as a style sheet calls them."""
    return {"text": faces.family, "headings": faces.families[-1].family}


def reading_of(edition: Edition, where: str) -> Reading:
    """How running text is read in this edition; `where` keeps anchors of different files apart."""
    entries = {fold_name(entry.term): entry for entry in edition.plan.glossary}
    return Reading(entries, labels(edition.language), where, edition.explained)


def chapter_anchor(index: int) -> str:
    return f"chapter-{index}"


def exercise_anchor(number: int) -> str:
    return f"exercise-{number}"


def line_anchor(number: int, index: int) -> str:
    """Of a line of music, by its exercise; one for all the words that stand under it."""
    return f"line.{number}.{index}"


def caution_html(prose: Prose, edition: Edition, reading: Reading, catalogue: Catalogue) -> Markup:
    """A caution's own words, or the usual ones."""
    if prose.words:
        return html_of(prose.words, reading)
    return usual_caution(prose.get("about") or "", edition, catalogue)


def usual_caution(about: str, edition: Edition, catalogue: Catalogue) -> Markup:
    text = next(row.text for row in catalogue.cautions.caution if row.about == about)
    return in_labels(text, edition)


def in_labels(text: str, edition: Edition) -> Markup:
    """Words of the layout within a text, marked where their language is another than its own."""
    if edition.labels == edition.language:
        return Markup("{}").format(text)
    return Markup('<span lang="{}">{}</span>').format(labels(edition.labels)["language"], text)
