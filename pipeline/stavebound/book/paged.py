"""The key on its pages: where each of its frames is used first, and where a group goes on.

In: a group of the key, the anchors of first uses, and the printed page number of every anchor.
Out: values for the template. Anchors on pages without a number have none here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.book.scales import ShownGroup, Strip
from stavebound.book.values import Numbers
from stavebound.trade.repeats import RepeatKeyRow
from stavebound.trade.tables import KeyRow


@dataclass(frozen=True, slots=True)
class ShownFrame:
    """A frame of a strip; `page` is that of its first use, at `anchor`, if it has any. It is
    `unused` where its way of writing is here for its neighbours alone."""

    row: KeyRow
    anchor: str
    page: str
    unused: bool


@dataclass(frozen=True, slots=True)
class PagedStrip:
    strip: Strip
    frames: tuple[ShownFrame, ...]


@dataclass(frozen=True, slots=True)
class PagedLine:
    """`continued` where it is the first of its group on a page, but not in the group."""

    note: str
    strips: tuple[PagedStrip, ...]
    continued: bool


@dataclass(frozen=True, slots=True)
class PagedGroup:
    title: str
    lines: tuple[PagedLine, ...]


@dataclass(frozen=True, slots=True)
class PagedRepeat:
    """A sign of a repeat, with the page of its first use at `anchor`."""

    row: RepeatKeyRow
    anchor: str
    page: str


def first_page(row: RepeatKeyRow, uses: Mapping[str, str], numbers: Numbers) -> PagedRepeat:
    anchor = uses.get(row.feature, "")
    return PagedRepeat(row, anchor, _page(anchor, numbers) if anchor else "")


def paged(group: ShownGroup, uses: Mapping[str, str], numbers: Numbers) -> PagedGroup:
    return PagedGroup(
        group.title,
        tuple(
            PagedLine(
                line.note,
                tuple(
                    PagedStrip(strip, tuple(_frames(strip, uses, numbers))) for strip in line.strips
                ),
                continued,
            )
            for line, continued in zip(group.lines, _continued(group, numbers), strict=True)
        ),
    )


def _continued(group: ShownGroup, numbers: Numbers) -> Iterator[bool]:
    """Whether each line stands on another page than the one before it."""
    pages = [_page(line.strips[0].anchor, numbers) for line in group.lines]
    return (page != before for page, before in zip(pages, (pages[0], *pages), strict=False))


def _frames(strip: Strip, uses: Mapping[str, str], numbers: Numbers) -> Iterator[ShownFrame]:
    for row in strip.rows:
        anchor = uses.get(row.feature, "")
        page = _page(anchor, numbers) if anchor else ""
        yield ShownFrame(row, anchor, page, not anchor and not row.when and not row.phrased)


def _page(anchor: str, numbers: Numbers) -> str:
    """Numbers that are not known yet have none that is missing."""
    try:
        return numbers[anchor]
    except KeyError:
        return ""
