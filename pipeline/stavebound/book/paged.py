"""The key on its pages: where each of its frames is used first, and where a group goes on.

In: a group of the key, the anchors of first uses, and the printed page number of every anchor.
Out: values for the template. Anchors on pages without a number have none here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stavebound.book.scales import ShownGroup, Strip
from stavebound.book.values import Numbers
from stavebound.trade.tables import KeyRow


@dataclass(frozen=True, slots=True)
class ShownFrame:
    """A frame of a strip; `page` is that of its first use, at `anchor`, if it has any."""

    row: KeyRow
    anchor: str
    page: str


@dataclass(frozen=True, slots=True)
class PagedStrip:
    """`continued` where it is the first of its group on a page, but not in the group."""

    strip: Strip
    cells: tuple[ShownFrame, ...]
    continued: bool


@dataclass(frozen=True, slots=True)
class PagedScale:
    note: str
    strips: tuple[PagedStrip, ...]


@dataclass(frozen=True, slots=True)
class PagedGroup:
    title: str
    scales: tuple[PagedScale, ...]


def paged(group: ShownGroup, uses: Mapping[str, str], numbers: Numbers) -> PagedGroup:
    strips = [strip for scale in group.scales for strip in scale.strips]
    begins = set(_begun(strips, numbers))
    return PagedGroup(
        group.title,
        tuple(
            PagedScale(
                scale.note,
                tuple(
                    PagedStrip(strip, tuple(_cells(strip, uses, numbers)), strip.anchor in begins)
                    for strip in scale.strips
                ),
            )
            for scale in group.scales
        ),
    )


def _begun(strips: list[Strip], numbers: Numbers) -> Iterator[str]:
    """The strips that stand on another page than the one before them."""
    pages = [_page(strip.anchor, numbers) for strip in strips]
    for strip, page, before in zip(strips[1:], pages[1:], pages, strict=False):
        if page != before:
            yield strip.anchor


def _cells(strip: Strip, uses: Mapping[str, str], numbers: Numbers) -> Iterator[ShownFrame]:
    for row in strip.rows:
        anchor = uses.get(row.feature, "")
        yield ShownFrame(row, anchor, _page(anchor, numbers) if anchor else "")


def _page(anchor: str, numbers: Numbers) -> str:
    """Numbers that are not known yet have none that is missing."""
    try:
        return numbers[anchor]
    except KeyError:
        return ""
