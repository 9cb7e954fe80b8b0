"""Books: from a plan to a bound PDF.

In: a book's file, the paper, the manuscript, how many processes. Out: the book at its place,
or nothing new there at all. Body and front first, then what refers to pages with the page
numbers found, then the front once more with all of them, and the margins; then everything
is bound. What stands together here is pressed at the same time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, time
from functools import partial
from itertools import chain
from os.path import realpath
from pathlib import Path

from stavebound.book.common import margins_css, named, page_css, spreads
from stavebound.book.editions import (
    body_sheets,
    front_sheets,
    reference_sheets,
    referring_sheets,
)
from stavebound.book.layouts import Asked, Layout, book_layouts
from stavebound.book.places import places
from stavebound.book.values import Manuscript, Sheet
from stavebound.build.earlier import placed
from stavebound.build.enlarging import enlarged, has_larger
from stavebound.build.loading import load, load_project, load_style, with_style
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.sizes import has_staves, on_one_page
from stavebound.build.values import House, Report
from stavebound.diagnostics import Outcome
from stavebound.engrave.parts import Setting
from stavebound.plan.book import BookPlan
from stavebound.press.bind import bind
from stavebound.press.margins import Fits, always, leaves, margin_chapters
from stavebound.press.numbering import number_pages, printed_numbers
from stavebound.press.pool import Press, load_press, open_press
from stavebound.press.values import Chapter, Folios, Metadata, Pressed, PressError
from stavebound.wording.labels import labels
from stavebound.workers import Tell, seldom_collecting

# How often the contents are set until their own page numbers agree with them, and pages of the
# body that refer to others.
TRIES = 3
BODY_TRIES = 8


# A pressed sheet with its rank.
_Part = tuple[tuple[int, int], Pressed]


class OutIsSourceError(Exception):
    """The place for the PDF is that of a file from which the book is made."""


class Unknown(dict[str, str]):
    """Page numbers that are not known yet: as wide as most, in a first setting."""

    def __missing__(self, anchor: str) -> str:
        return "00"


def layouts_for(path: Path, house: House, root: Path | None = None) -> tuple[Layout, ...]:
    """The layout of a book, read from its own file alone; all that there are for books where
    it cannot be told."""
    plan = load(path, str(path), root, wanted="book").content
    books = book_layouts(house.layouts)
    own = plan.layout if isinstance(plan, BookPlan) else None
    return tuple(layout for layout in books if layout.name == own) or books


@seldom_collecting()
def build_book(
    path: Path,
    out: Path,
    asked: Asked,
    jobs: int,
    house: House,
    tell: Tell,
    style: Path | None = None,
    root: Path | None = None,
) -> Report:
    """Build the edition that is asked for, of those that the book's layout has, with the style
    that is named over its own; `root` holds what the book names, where it was asked for. Where
    the build fails, an earlier book at `out` is set aside, and said so."""
    build = partial(_built, path, out, asked, jobs, house, tell, style, root)
    return placed(out, build)


def _built(
    path: Path,
    out: Path,
    asked: Asked,
    jobs: int,
    house: House,
    tell: Tell,
    style: Path | None,
    root: Path | None,
) -> tuple[Report, bytes | None]:
    """What was found, and the book; none where a fault is in the way."""
    tell("reading and checking")
    project = with_style(load_project(path, str(path), jobs, root), load_style(style))
    if any(realpath(name) == realpath(out) for name, _ in project.texts):
        raise OutIsSourceError(str(out))
    manuscript = manuscript_of(project, asked, house, jobs, meanwhile=load_press)
    report = Report(manuscript.diagnostics, dict(project.texts))
    if manuscript.value is None:
        return report, None
    sized = in_their_sizes(manuscript.value, jobs, tell)
    report = replace(report, diagnostics=(*report.diagnostics, *sized.diagnostics))
    if sized.value is None:
        return report, None
    parts, pdf = press_book(sized.value, jobs, tell)
    return replace(report, costs=tuple(_costs(parts, sized.value))), pdf


def in_their_sizes(manuscript: Manuscript, jobs: int, tell: Tell) -> Outcome[Manuscript]:
    """With every exercise engraved, also those whose staves are as large as their page has room
    for."""
    if not has_larger(manuscript):
        return Outcome(manuscript, ())
    make = _chapters(manuscript)
    with open_press(manuscript.faces, jobs, lambda key: tell(f"measured {key}")) as press:
        sheets = body_sheets(manuscript, manuscript.setting)
        drafts = press(replace(make(sheet), draft=True) for _, sheet in sheets)
    return enlarged(manuscript, drafts, jobs)


def press_book(manuscript: Manuscript, jobs: int, tell: Tell) -> tuple[tuple[Pressed, ...], bytes]:
    """The parts, and the bound PDF of them. PressError where the press fails."""
    with open_press(manuscript.faces, jobs, lambda key: tell(f"pressed {key}")) as press:
        manuscript, body = _in_sizes(manuscript, press, jobs)
        parts, margins = _settled(manuscript, manuscript.setting, body, press)
    return parts, bind(parts, margins, _metadata(manuscript), manuscript.paper.shift)


def _in_sizes(
    manuscript: Manuscript, press: Press, jobs: int
) -> tuple[Manuscript, tuple[_Part, ...]]:
    """The manuscript with its exercises in the sizes that their pages have room for, where these
    are not known yet, and the sheets of its body that refer to no page."""
    make = _chapters(manuscript)
    before = tuple(body_sheets(manuscript, manuscript.setting))
    pressed = press(make(sheet) for _, sheet in before)
    known = has_larger(manuscript)
    resized = manuscript if known else on_one_page(manuscript, pressed, jobs)
    after = before if resized is manuscript else tuple(body_sheets(resized, resized.setting))
    kept = {
        own[1].key: part
        for own, other, part in zip(before, after, pressed, strict=True)
        if own == other
    }
    again = press(make(sheet) for _, sheet in after if sheet.key not in kept)
    whole = kept | {part.key: part for part in again}
    return resized, tuple((rank, whole[sheet.key]) for rank, sheet in after)


def _costs(parts: tuple[Pressed, ...], manuscript: Manuscript) -> Iterator[str]:
    """What each page costs that was made up from a galley, by its number, its exercise and by
    name; that there is none, where the edition has none."""
    if not any(part.planned for part in parts):
        yield f"no page of the edition {manuscript.edition.name} is made up of blocks that cost"
    titles = iter(f"{piece.number} {piece.score.title}" for _, piece in manuscript.pieces)
    bound = iter(number_pages(parts))
    numbers = {(page.part, page.page): page.label for page in bound if page.part is not None}
    for at, part in enumerate(parts):
        named = ((next(titles) if has_staves(own) else None, own) for own in part.planned)
        pages = [(title, page) for title, own in named for page in own.pages]
        for index, (title, page) in enumerate(pages, part.pages - len(pages)):
            table = "  ".join(f"{name} {cost:.1f}" for name, cost in page.costs)
            of = f" ({title})" if title else ""
            yield f"page {numbers[at, index]}{of}: {page.cost:.1f}  {table}"


def _settled(
    manuscript: Manuscript, setting: Setting, own: tuple[_Part, ...], press: Press
) -> tuple[tuple[Pressed, ...], tuple[Pressed, ...]]:
    """All parts in order, those that refer to pages with the numbers that are printed, and the
    layer of the margins; `own` are those of the body that refer to none."""
    make, fits = _chapters(manuscript), _heads(manuscript)
    language = labels(manuscript.language)["language"]
    set_front = front_sheets(manuscript, setting)
    set_referring = referring_sheets(manuscript, setting)

    def fronts(numbers: Mapping[str, str]) -> tuple[Chapter, ...]:
        return tuple(make(sheet) for sheet in set_front(numbers))

    ranks = {part.key: rank for rank, part in own}

    def drafts() -> Iterator[Chapter]:
        yield from fronts(Unknown())
        for rank, sheet in set_referring(Unknown()):
            ranks[sheet.key] = rank
            yield make(sheet)

    def referring(numbers: Mapping[str, str]) -> Iterator[Chapter]:
        return (make(sheet) for _, sheet in set_referring(numbers))

    pressed = press(replace(chapter, draft=True) for chapter in drafts())
    front = tuple(part for part in pressed if part.key not in ranks)
    body = (*(part for _, part in own), *(part for part in pressed if part.key in ranks))
    body = _body_settled(tuple(sorted(body, key=lambda part: ranks[part.key])), referring, press)
    for _ in range(TRIES):
        numbers = printed_numbers((*front, *body))
        sheets = reference_sheets(manuscript, setting, numbers)
        references = press(make(sheet) for sheet in sheets)
        parts = (*front, *body, *references)
        told = leaves(parts, fits, manuscript.plan.title if manuscript.paper.loose else "")
        css = margins_css(manuscript)
        margins = margin_chapters(told, css, language, manuscript.paper.size)
        known = fronts(printed_numbers(parts))
        again, layer = _parted(press(chain(known, margins)), len(known))
        if _places(again) == _places(front):
            return (*again, *body, *references), layer
        front = again
    raise PressError("the page numbers of the contents do not settle")


def _body_settled(
    body: tuple[Pressed, ...],
    referring: Callable[[Mapping[str, str]], Iterator[Chapter]],
    press: Press,
) -> tuple[Pressed, ...]:
    """The body, those of its parts that refer to pages of it with the numbers that are printed."""
    for _ in range(BODY_TRIES):
        again = {part.key: part for part in press(referring(printed_numbers(body)))}
        before = tuple(part for part in body if part.key in again)
        body = tuple(again.get(part.key, part) for part in body)
        if _places(tuple(again.values())) == _places(before):
            return body
    raise PressError("the page numbers of the key do not settle")


def _heads(manuscript: Manuscript) -> Fits:
    """What fits into the running heads of the layout, as they are set."""
    found = places(manuscript.layout.places, manuscript.paper)
    head = next((place for place in found if "head" in place.of), None)
    if head is None:
        return always
    return lambda text, share: head.width(text, manuscript.faces) <= share * head.room


def _parted(
    parts: tuple[Pressed, ...], count: int
) -> tuple[tuple[Pressed, ...], tuple[Pressed, ...]]:
    return parts[:count], parts[count:]


def _places(parts: tuple[Pressed, ...]) -> list[object]:
    """All of these parts that other pages, and the margins of their own, depend on."""
    return [
        (
            part.pages,
            [(anchor.name, anchor.page) for anchor in part.anchors],
            [(mark.level, mark.label, mark.page) for mark in part.bookmarks],
        )
        for part in parts
    ]


def _chapters(manuscript: Manuscript) -> Callable[[Sheet], Chapter]:
    """What makes a sheet ready for the press."""
    css, setting = page_css(manuscript), spreads(manuscript)

    def make(sheet: Sheet) -> Chapter:
        return Chapter(
            key=sheet.key,
            html=sheet.html,
            images=sheet.images,
            folios=Folios(sheet.folios),
            css=css,
            blind=sheet.blind,
            openings=sheet.openings,
            spreads=replace(setting, facing=sheet.facing),
        )

    return make


def _metadata(manuscript: Manuscript) -> Metadata:
    plan, beside = manuscript.plan, named(manuscript)
    return Metadata(
        title=f"{plan.title}: {beside}" if beside else plan.title,
        author=plan.author or "",
        subject=plan.subtitle or "",
        language=labels(manuscript.language)["language"],
        created=datetime.combine(plan.date, time(), UTC),
    )
