"""What every sheet of a book shares: its template's values and its anchors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import floor

from markupsafe import Markup

from stavebound.book.blocks import Spreads
from stavebound.book.grid import POINTS
from stavebound.book.layouts import Section
from stavebound.book.papers import Paper
from stavebound.book.templates import render
from stavebound.book.values import Manuscript
from stavebound.book.words import Meanings, html_of
from stavebound.engrave.style import Style
from stavebound.faces import Faces
from stavebound.score.model import Prose
from stavebound.score.words import fold_name
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import labels
from stavebound.wording.translation import caution_in


def words_of_layout(manuscript: Manuscript) -> Mapping[str, str]:
    return labels(manuscript.labels)


def named(manuscript: Manuscript) -> str | None:
    """What an edition is called beside the book's title; nothing where it is the book."""
    label = manuscript.edition.label
    return words_of_layout(manuscript)[label] if label else None


def page(manuscript: Manuscript, template: str, **values: object) -> str:
    """A template of the edition's layout, with the plan, the layout's own words, and the tag
    of the language of the text."""
    return render(
        manuscript.layout.folders,
        template,
        plan=manuscript.plan,
        words=words_of_layout(manuscript),
        language=labels(manuscript.language)["language"],
        **values,
    )


def section_page(section: Section, manuscript: Manuscript, **values: object) -> str:
    """A section's own template, with its anchor and its heading, if it has one."""
    heading = words_of_layout(manuscript)[section.label] if section.label else None
    usual = {"anchor": section.name, "heading": heading}
    return page(manuscript, section.template, **(usual | values))


def page_css(manuscript: Manuscript) -> str:
    """The style sheet of all sheets, in the faces of the house."""
    return _css(manuscript, "page.css")


def spreads(manuscript: Manuscript) -> Spreads:
    """How exercises are made up into pages of its paper."""
    paper, layout = manuscript.paper, manuscript.layout
    apart = manuscript.setting.style.distance("staves apart") * POINTS
    over = (paper.column + paper.gap) * POINTS, -paper.beside * POINTS
    outwards = over if paper.column else (0.0, 0.0)
    costs = {**layout.costs, **manuscript.edition.costs}
    return Spreads(paper.lines, paper.leading, apart, costs, layout.measures, outwards)


def margins_css(manuscript: Manuscript) -> str:
    """The style sheet of the margins, which are stamped over the bound pages."""
    return _css(manuscript, "margins.css")


def leaf_paper(paper: Paper, style: Style) -> Paper:
    """The same paper with a narrower margin over it, and as many more lines; its foot stays."""
    top = style.distance("leaf top margin")
    lines = floor((paper.height - paper.bottom - top) * POINTS / paper.leading)
    top = paper.height - paper.bottom - lines * paper.leading / POINTS
    return replace(paper, top=top, lines=lines)


def _css(manuscript: Manuscript, name: str) -> str:
    faces = face_names(manuscript.faces)
    paper = manuscript.paper
    leaf = leaf_paper(paper, manuscript.setting.style)
    return render(manuscript.layout.folders, name, paper=paper, leaf=leaf, faces=faces)


def face_names(faces: Faces) -> Mapping[str, str | bool]:
    """The families as a style sheet calls them, and whether that of the text has small
    capitals."""
    own = faces.face().small_capitals
    return {
        "text": faces.family,
        "headings": faces.families[-1].family,
        "small_capitals": own,
    }


def reading_of(manuscript: Manuscript, where: str) -> Meanings:
    """How running text is read in this edition; `where` keeps anchors of different files apart."""
    entries = {fold_name(entry.term): entry for entry in manuscript.plan.glossary}
    return Meanings(entries, labels(manuscript.language), where, manuscript.explained)


def chapter_anchor(index: int) -> str:
    return f"chapter-{index}"


def exercise_anchor(number: int) -> str:
    return f"exercise-{number}"


def line_anchor(number: int, index: int) -> str:
    """Of a line of music, by its exercise; one for all the words that stand under it."""
    return f"line.{number}.{index}"


def caution_html(
    prose: Prose, manuscript: Manuscript, reading: Meanings, catalogue: Catalogue
) -> Markup:
    """A caution's own words, or the usual ones."""
    if prose.words:
        return html_of(prose.words, reading)
    return usual_caution(prose.get("about") or "", manuscript, catalogue)


def usual_caution(about: str, manuscript: Manuscript, catalogue: Catalogue) -> Markup:
    """In the language of the text that it stands in."""
    return Markup("{}").format(caution_in(manuscript.language, about, catalogue))


def in_labels(text: str, manuscript: Manuscript) -> Markup:
    """Words of the layout within a text, marked where their language is another than its own."""
    if manuscript.labels == manuscript.language:
        return Markup("{}").format(text)
    return Markup('<span lang="{}">{}</span>').format(labels(manuscript.labels)["language"], text)
