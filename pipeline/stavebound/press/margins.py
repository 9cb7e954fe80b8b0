"""What the margins of the bound pages say: folios and running heads.

In: pressed chapters in the order of the book. Out: a `Leaf` for each bound page,
and strips that have nothing but the margins of all of them, to be pressed, cut and stamped
over the book. A running head names the chapter on the left and what the chapter's
page deals with on the right, both taken from the bookmarks; a page on which a
chapter begins has none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape

from stavebound.press.numbering import BoundPage, is_left, number_pages
from stavebound.press.values import WORD, Bookmark, Chapter, Folios, Pressed

# How many bound pages have their margins laid out as one; an even number.
PORTION = 256

# Of a line that says from which word to which, what each of them has; the dash has the rest.
HALF = 0.48

# A strip: what stands in the margins of so many pages, one page below the other.
STRIP_CSS = """
@page {{ size: {width}mm {long}mm; margin: 0 }}
body {{ margin: 0 }}
.leaf {{ position: relative; height: {height}mm }}
.head, .folio {{ position: absolute; white-space: nowrap }}
"""


@dataclass(frozen=True, slots=True)
class Leaf:
    """The margins of one bound page; empty strings print nothing."""

    folio: str = ""
    head: str = ""


# Whether a text takes no more than that share of the line of a running head.
Fits = Callable[[str, float], bool]


def always(text: str, share: float) -> bool:
    """For heads that are short by their nature."""
    return True


def leaves(parts: Sequence[Pressed], fits: Fits = always, opening: str = "") -> tuple[Leaf, ...]:
    """The margins of every bound page in order; a head that does not fit loses its last words.
    `opening` is that of pages on which a chapter begins."""
    first = _shortened(opening, 1.0, fits)
    return tuple(
        Leaf() if page.bare else Leaf(page.label, _head(page, is_left(at), parts, fits) or first)
        for at, page in enumerate(number_pages(parts))
    )


def margin_chapters(
    margins: Sequence[Leaf], css: str, language: str, size: tuple[float, float]
) -> Iterator[Chapter]:
    """The layer of margins as strips: chapters of one long page, on which the margins of the
    bound pages stand one below the other, to be cut when they are bound.

    `size` is the page's, in millimetres. `css` is the layout's own and says how `.head` and
    `.folio` look and where they stand in a `.leaf`, which is `.left` or `.right`.
    """
    for start in range(0, len(margins), PORTION):
        yield _strip(start, margins[start : start + PORTION], css, language, size)


def _strip(
    start: int, margins: Sequence[Leaf], css: str, language: str, size: tuple[float, float]
) -> Chapter:
    width, height = size
    long = f"{height * len(margins):.4f}"
    own = STRIP_CSS.format(width=width, height=height, long=long)
    html = (
        f'<!DOCTYPE html><html lang="{escape(language)}"><head><title>Margins</title>'
        f"<style>{own}</style></head><body>{''.join(_leaf(start, margins))}</body></html>"
    )
    return Chapter(key=f"margins {start + 1}", html=html, folios=Folios.NONE, css=css)


def _leaf(start: int, margins: Sequence[Leaf]) -> Iterator[str]:
    for at, leaf in enumerate(margins, start):
        texts = (("head", leaf.head), ("folio", leaf.folio))
        inside = (f'<div class="{name}">{escape(text)}</div>' for name, text in texts if text)
        side = "left" if is_left(at) else "right"
        yield f'<div class="leaf {side}">{"".join(inside)}</div>'


def _head(page: BoundPage, left: bool, parts: Sequence[Pressed], fits: Fits) -> str:
    if page.part is None:
        return ""
    marks = [mark for mark in parts[page.part].bookmarks if mark.page <= page.page]
    listed = [mark for mark in marks if mark.level == WORD and mark.page == page.page]
    titles = [mark for mark in marks if mark.level != WORD]
    chapters = [mark for mark in titles if mark.level == 1]
    if not chapters or chapters[-1].page == page.page:
        return ""
    if listed:
        words = tuple(dict.fromkeys(_words(mark) for mark in (listed[0], listed[-1])))
        whole, share = " – ".join(words), 1.0 if len(words) == 1 else HALF
        return whole if fits(whole, 1.0) else " – ".join(_shortened(w, share, fits) for w in words)
    begun_before = titles[-1].page < page.page
    return _shortened(_words(titles[-1] if begun_before and not left else chapters[-1]), 1.0, fits)


def _shortened(text: str, share: float, fits: Fits) -> str:
    """As many of the words as fit, with points for those that are left out."""
    if fits(text, share):
        return text
    words = text.split(" ")
    while len(words) > 1 and not fits(f"{' '.join(words)} …", share):
        words.pop()
    return f"{' '.join(words)} …"


def _words(mark: Bookmark) -> str:
    return " ".join(mark.label.split())
