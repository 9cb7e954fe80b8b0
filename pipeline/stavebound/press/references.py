"""Links, destinations and outline of a bound book.

In: the joined pages, and the places recorded when each chapter was laid out.
Out: the same book, in which every id is a named destination, every link goes to
one, and the outline is nested by the levels of the bookmarks. It always holds
that no link of ours leads nowhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from urllib.parse import unquote

from pikepdf import Array, Dictionary, Name, NameTree, Object, OutlineItem, Page, Pdf, String

from stavebound.press.numbering import anchor_pages, is_left, page_places
from stavebound.press.values import WORD, Pressed, PressError

ANCHOR_SCHEME = "stavebound:"


def name_destinations(book: Pdf, parts: Sequence[Pressed], shift: float) -> None:
    """Give the book a name tree of all anchors, those on left-hand pages moved by `shift`
    points. PressError where an id is used twice."""
    places = anchor_pages(parts)
    tree = NameTree.new(book)
    for part in parts:
        for anchor in part.anchors:
            place = places[anchor.name]
            x = round(anchor.x + shift, 3) if is_left(place) else anchor.x
            tree[anchor.name] = _destination(book.pages[place], x, anchor.y)
    book.Root.Names = Dictionary(Dests=tree.obj)


def point_links(book: Pdf, parts: Sequence[Pressed]) -> None:
    """Point all links inside the book at named destinations; others stay as they are.

    PressError names every anchor that a link asks for and no chapter has.
    """
    names = {anchor.name for part in parts for anchor in part.anchors}
    missing = set()
    for link in _links(book):
        target = _target(link)
        if target is None:
            continue
        if target not in names:
            missing.add(target)
            continue
        link.Dest = String(target)
        if Name.A in link:
            del link.A
    if missing:
        raise PressError(f"links to anchors that no chapter has: {', '.join(sorted(missing))}")


def write_outline(book: Pdf, parts: Sequence[Pressed]) -> None:
    """Nest the bookmarks of all chapters by level, each under the nearest one above it."""
    places = page_places(parts)
    with book.open_outline() as outline:
        branches: list[tuple[int, list[OutlineItem]]] = [(0, outline.root)]
        for index, part in enumerate(parts):
            for bookmark in (mark for mark in part.bookmarks if mark.level != WORD):
                while branches[-1][0] >= bookmark.level:
                    branches.pop()
                page = book.pages[places[index, bookmark.page]]
                item = OutlineItem(bookmark.label, _destination(page, 0, bookmark.y))
                branches[-1][1].append(item)
                branches.append((bookmark.level, item.children))


def _links(book: Pdf) -> Iterator[Object]:
    for page in book.pages:
        for annotation in page.obj.get(Name.Annots, ()):
            if annotation.Subtype == Name.Link:
                yield annotation


def _target(link: Object) -> str | None:
    """The anchor that a link inside the book asks for; None where it leads out of the book."""
    if Name.Dest in link:
        return str(link.Dest)
    address = str(link.A.URI)
    if not address.startswith(ANCHOR_SCHEME):
        return None
    return unquote(address.removeprefix(ANCHOR_SCHEME))


def _destination(page: Page, x: float, y: float) -> Array:
    return Array([page.obj, Name.XYZ, x, y, None])
