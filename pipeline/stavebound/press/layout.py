"""One chapter through WeasyPrint: HTML in, PDF and places out.

In: a `Chapter` and the faces. Out: a `Pressed` chapter. It always holds that

- nothing is read but the chapter's own text, its staves and the font files: no
  network, no other file;
- no font of this machine is seen, so that none can stand in for the book's own;
- no text and no picture stands outside of its page;
- whatever WeasyPrint would only log (an unknown property, an image that failed,
  a link to nowhere, a character without a glyph) is raised as `PressError`.

Importing this module needs the shared libraries; `pool` looks for them first.
"""

from __future__ import annotations

import ctypes.util
import logging
import os
import re
import sys
import warnings
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import unquote
from xml.etree import ElementTree

from stavebound.book.blocks import PlannedExercise
from stavebound.claims import NO_ROOM
from stavebound.faces import Faces, font_face_css
from stavebound.press.values import Bookmark, Chapter, Destination, Pressed, PressError


@contextmanager
def _own_fonts_only() -> Iterator[None]:
    """Within, fontconfig starts from an empty list of fonts."""
    before = os.environ.get("FONTCONFIG_FILE")
    os.environ["FONTCONFIG_FILE"] = str(Path(__file__).with_name("fonts.conf"))
    try:
        yield
    finally:
        if before is None:
            del os.environ["FONTCONFIG_FILE"]
        else:
            os.environ["FONTCONFIG_FILE"] = before


@contextmanager
def _full_names_only() -> Iterator[None]:
    """Within, on Linux, no library is looked for by a part of its name: for each such name
    a compiler and a linker are started, a second in all, and find nothing that the loader
    does not find by the full name, which WeasyPrint tries afterwards."""
    before = ctypes.util.find_library
    if sys.platform == "linux":
        ctypes.util.find_library = _nothing
    try:
        yield
    finally:
        ctypes.util.find_library = before


def _nothing(name: str) -> None:
    """No file for this name."""


with _own_fonts_only(), _full_names_only(), warnings.catch_warnings():
    warnings.filterwarnings("ignore", message="No fonts configured")
    import weasyprint
    from weasyprint.formatting_structure.boxes import ReplacedBox, TextBox
    from weasyprint.html import UA, UA_COUNTER_STYLE
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    from stavebound.press.galley import BODY, Again, made_up, taken_out
    from stavebound.press.paint import PageFaces, Painting

STAVE_SCHEME = "stave:"
# An element that holds nothing, as HTML writes it.
VOID = re.compile(r"<(base|br|col|hr|img|link|meta|wbr)\b([^<>]*?)/?>")
# Rules of WeasyPrint's own that make styles for each element, whatever it is: those of notes,
# which no page has, and those of the marks of lists.
OF_NOTES = re.compile(r"^::(?:foot)?note-.*$", re.MULTILINE)
OF_MARKS = re.compile(r"^::marker", re.MULTILINE)
# PDF points to a CSS pixel.
POINTS = 0.75
# How far something may reach over the edge of its page, in CSS pixels: reckoning is not exact.
EDGE = 0.5
# How much of a text is told.
MOST_TOLD = 40


def _usual_rules() -> weasyprint.CSS:
    """How elements are set where no style sheet says anything, without what is never asked for."""
    rules = OF_MARKS.sub("li::marker", OF_NOTES.sub("", UA))
    return weasyprint.CSS(string=rules, counter_style=UA_COUNTER_STYLE.copy())


USUAL = _usual_rules()


class Desk:
    """Faces and style sheets, made ready once for all chapters that are laid out with them."""

    def __init__(self, faces: Faces) -> None:
        self._faces = faces
        self._fetcher = _Shelf(faces)
        with _own_fonts_only():
            self._configuration = FontConfiguration()
        self._sheets: dict[str, weasyprint.CSS] = {}

    def press(self, chapter: Chapter) -> Pressed:
        """Lay out one chapter. PressError tells what went wrong and in which chapter."""
        try:
            with _no_complaints():
                document, planned = self._lay_out(chapter)
                pdf = b"" if chapter.draft else document.write_pdf()
        except FatalURLFetchingError as fault:
            raise PressError(f"chapter {chapter.key}: {fault.__cause__}") from None
        except Exception as fault:
            if isinstance(fault, OSError) and fault.errno in NO_ROOM:
                raise
            raise PressError(f"chapter {chapter.key}: {_told(fault)}") from fault
        _refuse_other_faces(chapter, self._faces, document)
        _refuse_outside(chapter, document.pages)
        return _pressed(chapter, document, pdf, planned)

    def _lay_out(self, chapter: Chapter) -> tuple[Any, tuple[PlannedExercise, ...]]:
        root = ElementTree.fromstring(VOID.sub(r"<\1\2/>", chapter.html))
        others = taken_out(root)
        _refuse_repeated_ids(root)
        ink = PageFaces(self._faces, self._configuration)
        staves = _Staves(
            (STAVE_SCHEME + name, Painting(name, svg, ink)) for name, svg in chapter.images
        )

        def laid_out(page: ElementTree.Element) -> Any:
            return _Page(page, self._fetcher).render(
                font_config=self._configuration,
                stylesheets=[self._sheet(font_face_css(self._faces)), self._sheet(chapter.css)],
                cache=staves,
            )

        document = laid_out(root)
        if chapter.spreads is None:
            return document, ()
        again = Again(others, lambda sections: laid_out(_with_body(root, sections)).pages)
        pages, planned = made_up(document.pages, chapter.spreads, again)
        return document.copy(pages), planned

    def _sheet(self, css: str) -> weasyprint.CSS:
        """A style sheet, read once."""
        if css not in self._sheets:
            self._sheets[css] = weasyprint.CSS(
                string=css, font_config=self._configuration, url_fetcher=self._fetcher
            )
        return self._sheets[css]


def _pressed(
    chapter: Chapter, document: Any, pdf: bytes, planned: tuple[PlannedExercise, ...]
) -> Pressed:
    anchors = _anchors(document.pages)
    return Pressed(
        key=chapter.key,
        pdf=pdf,
        pages=len(document.pages),
        anchors=anchors,
        bookmarks=_bookmarks(document.pages),
        folios=chapter.folios,
        blind=chapter.blind,
        openings=_openings(chapter, anchors),
        planned=planned,
    )


class _Staves(dict[str, Painting]):
    """What WeasyPrint finds here it does not fetch. An address may be quoted in several ways."""

    def __contains__(self, url: object) -> bool:
        return super().__contains__(unquote(str(url)))

    def __getitem__(self, url: str) -> Painting:
        return super().__getitem__(unquote(url))


class _Page(weasyprint.HTML):  # type: ignore[misc]
    """The text of a chapter, whose elements are all closed but those that never hold anything.

    It is read as XML, in a fortieth of the time that HTML's rules for pages with faults take.
    """

    def __init__(self, root: ElementTree.Element, fetcher: URLFetcher) -> None:
        self.base_url, self.url_fetcher, self.media_type = None, fetcher, "print"
        wrapper = weasyprint.cssselect2.ElementWrapper
        self.wrapper_element = wrapper.from_html_root(root, content_language=None)
        self.etree_element = root

    def _ua_stylesheets(self, forms: bool = False) -> list[weasyprint.CSS]:
        return [USUAL]


def _with_body(
    root: ElementTree.Element, sections: Iterable[ElementTree.Element]
) -> ElementTree.Element:
    """A page with the same head that holds these alone."""
    page = ElementTree.Element(root.tag, root.attrib)
    page.extend(own for own in root if own.tag != BODY)
    ElementTree.SubElement(page, BODY).extend(sections)
    return page


class _Shelf(URLFetcher):  # type: ignore[misc]
    """All that a layout may fetch; any other address stops it."""

    def __init__(self, faces: Faces) -> None:
        super().__init__(fail_on_errors=True)
        self._fonts = {
            face.path.as_uri(): face.path for family in faces.families for face in family.faces
        }

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        if url in self._fonts:
            return URLFetcherResponse(url, self._fonts[url].read_bytes())
        raise PressError(f"{url} is asked for, but a chapter holds its own staves and fonts only")


class _Listener(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.records: list[logging.LogRecord] = []

    def emit(self, record: logging.LogRecord) -> None:
        if record.levelno >= logging.WARNING or record.exc_info:
            self.records.append(record)


@contextmanager
def _no_complaints() -> Iterator[None]:
    """Raises what WeasyPrint's log holds at the end of the block."""
    logger = logging.getLogger("weasyprint")
    listener, level = _Listener(), logger.level
    logger.addHandler(listener)
    # The reason of a failure is logged at this level, as an exception.
    logger.setLevel(logging.DEBUG)
    try:
        yield
    finally:
        logger.removeHandler(listener)
        logger.setLevel(level)
    _raise_records(listener.records)


def _raise_records(records: list[logging.LogRecord]) -> None:
    texts = [
        _told(record.exc_info[1])
        if record.exc_info and record.exc_info[1]
        else record.getMessage().strip()
        for record in records
    ]
    if texts:
        raise PressError("; ".join(dict.fromkeys(texts)))


def _told(fault: BaseException) -> str:
    return str(fault) if isinstance(fault, PressError) else f"{type(fault).__name__}: {fault}"


def _refuse_repeated_ids(root: Any) -> None:
    """WeasyPrint takes the first of two equal ids; the link to the second would go astray."""
    counts = Counter(element.get("id") for element in root.iter())
    repeated = sorted(name for name, count in counts.items() if name and count > 1)
    if repeated:
        raise PressError(f"ids used twice: {', '.join(repeated)}")


def _refuse_other_faces(chapter: Chapter, faces: Faces, document: Any) -> None:
    own = [family.family for family in faces.families]
    others = {font.family for font in document.fonts.values()} - set(own)
    if others:
        raise PressError(
            f"chapter {chapter.key}: text fell back to {', '.join(sorted(others))}; "
            f"the faces of this book are {' and '.join(own)}"
        )


def _refuse_outside(chapter: Chapter, pages: list[Any]) -> None:
    """What the checks of the sources let through and a page cannot hold."""
    for number, page in enumerate(pages, 1):
        for box in page._page_box.descendants(placeholders=True):
            if not isinstance(box, TextBox | ReplacedBox):
                continue
            right, bottom = box.position_x + box.width, box.position_y + box.height
            least = min(box.position_x, box.position_y)
            if least < -EDGE or right > page.width + EDGE or bottom > page.height + EDGE:
                what = repr(box.text[:MOST_TOLD]) if isinstance(box, TextBox) else "a picture"
                raise PressError(f"chapter {chapter.key}: {what} stands outside of page {number}")


def _anchors(pages: list[Any]) -> tuple[Destination, ...]:
    """Each id once: an element broken over pages begins on the first of them."""
    first: dict[str, Destination] = {}
    for index, page in enumerate(pages):
        for name, (x, y, *_corner) in page.anchors.items():
            place = Destination(name, index, _points(x), _points(page.height - y))
            first.setdefault(name, place)
    return tuple(first.values())


def _bookmarks(pages: list[Any]) -> tuple[Bookmark, ...]:
    return tuple(
        Bookmark(level, label, index, _points(page.height - y))
        for index, page in enumerate(pages)
        for level, label, (_x, y), _state in page.bookmarks
    )


def _openings(chapter: Chapter, anchors: tuple[Destination, ...]) -> tuple[int, ...]:
    pages = {anchor.name: anchor.page for anchor in anchors}
    if missing := [name for name in chapter.openings if name not in pages]:
        raise PressError(f"chapter {chapter.key}: no element has the id {', '.join(missing)}")
    return tuple(sorted({pages[name] for name in chapter.openings}))


def _points(pixels: float) -> float:
    return round(pixels * POINTS, 3)
