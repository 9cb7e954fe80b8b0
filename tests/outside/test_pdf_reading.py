"""The finished PDF's own drawing, read back: the press changes nothing that is read.

PDFium (through pypdfium2) takes the page apart into paths and letters; its
paths, moved to the page, and its letters go through the later stages of the
reader, and must say what the SVG of the same line says. Source of the page's
units: ISO 32000-1, 8.3 (72 to the inch, y upwards).
"""

from __future__ import annotations

import ctypes
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from pypdfium2 import raw

from stavebound.book.layouts import Asked
from stavebound.book.values import Manuscript
from stavebound.build.loading import load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import House
from stavebound.faces import BOLD, REGULAR
from stavebound.geometry import Box
from stavebound.readback.read import read_page, read_svg
from stavebound.readback.values import (
    FrameRead,
    Outline,
    Page,
    TextRead,
)
from tests.support.readers import KEY
from tests.support.staves import CATALOGUE, FACES

BOOK = Path(__file__).parents[2] / "books" / "syllabus" / "book.xml"
MM = 25.4 / 72
# Millimetres: what the press may round away.
ROUNDING = 0.02
# The fields of what was read that say where a sign stands.
PLACED = ("at", "height", "out")
# Figures that are read as one (ISO 32000-1, 14.9.4).
SAID = re.compile(rb"/Span <</ActualText <[0-9A-F]+>>> BDC\n(.*?)\nEMC", re.DOTALL)
# Millimetres: a stave of the music is wider, one of a picture is not.
SHORTEST = 25.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A page as PDFium sees it, in millimetres from its upper left corner."""

    outlines: tuple[Outline, ...]
    texts: tuple[TextRead, ...]


@pytest.fixture(scope="module")
def manuscript() -> Manuscript:
    project = load_project(BOOK, BOOK.name)
    made = manuscript_of(project, Asked(), House(CATALOGUE, FACES)).value
    assert made is not None
    return made


@pytest.fixture(scope="module")
def pages(demonstration_book: Path) -> tuple[Drawn, ...]:
    with pypdfium2.PdfDocument(as_shown(demonstration_book)) as document:
        return tuple(drawn(document[at]) for at in range(len(document)))


def as_shown(path: Path) -> bytes:
    """The file without what it says of its letters: PDFium tells that in their place."""
    with pikepdf.open(path) as document:
        for page in document.pages:
            page.contents_coalesce()
            shown = SAID.sub(rb"\1", page.Contents.read_bytes())
            page.Contents.write(shown)
        kept = io.BytesIO()
        document.save(kept)
    return kept.getvalue()


def drawn(page: pypdfium2.PdfPage) -> Drawn:
    height = page.get_height()
    paths = [
        item
        for item in page.get_objects(max_depth=4)
        if item.type == raw.FPDF_PAGEOBJ_PATH and item.container is None
    ]
    outlines = tuple(outline for path in paths for outline in outlines_of(path, height))
    return Drawn(outlines, tuple(texts_of(page.get_textpage(), height)))


def outlines_of(path: pypdfium2.PdfObject, height: float) -> Iterator[Outline]:
    """The closed figures of a path, on the page."""
    matrix = path.get_matrix()
    points: list[tuple[float, float]] = []
    curved = False
    for index in range(raw.FPDFPath_CountSegments(path.raw)):
        segment = raw.FPDFPath_GetPathSegment(path.raw, index)
        x, y = ctypes.c_float(), ctypes.c_float()
        assert raw.FPDFPathSegment_GetPoint(segment, x, y)
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO and points:
            yield closed(points, curved)
            points, curved = [], False
        px, py = matrix.on_point(x.value, y.value)
        points.append((px * MM, (height - py) * MM))
        curved = curved or kind == raw.FPDF_SEGMENT_BEZIERTO
    if points:
        yield closed(points, curved)


def closed(points: list[tuple[float, float]], curved: bool) -> Outline:
    """A figure without the line back to its beginning, which PDFium may write out."""
    back = (
        len(points) > 1
        and max(abs(a - b) for a, b in zip(points[0], points[-1], strict=True)) < ROUNDING / 10
    )
    if back and (not curved or len(points) % 3 == 2):
        points = points[:-1]
    return Outline(tuple(points), curved)


def texts_of(page: pypdfium2.PdfTextPage, height: float) -> Iterator[TextRead]:
    """Letters that touch put together, and of what is no count words that are a space apart."""
    last: TextRead | None = None
    end = 0.0
    for index in range(page.count_chars()):
        letter = letter_at(page, index, height)
        if letter is None:
            continue
        gap, blank = letter.xs[0] - end, width_of(" ", letter)
        between = "" if abs(gap) < ROUNDING else " "
        worded = letter.italic or letter.weight != REGULAR
        apart = min(abs(gap), abs(gap - blank)) if worded else abs(gap)
        if last and alike(last, letter) and apart < ROUNDING:
            last = replace(last, letters=last.letters + between + letter.letters)
        else:
            if last:
                yield last
            last = letter
        end = letter.xs[0] + width_of(letter.letters, letter)
    if last:
        yield last


def alike(one: TextRead, other: TextRead) -> bool:
    """Whether two texts stand in one line in one face."""
    faces = (one.italic, one.weight) == (other.italic, other.weight)
    return faces and abs(one.y - other.y) < ROUNDING


def width_of(letters: str, text: TextRead) -> float:
    return FACES.width(letters, text.size, "italic" if text.italic else "normal", text.weight)


def letter_at(page: pypdfium2.PdfTextPage, index: int, height: float) -> TextRead | None:
    """None where nothing is drawn; PDFium puts spaces of its own into wide gaps."""
    if raw.FPDFText_IsGenerated(page.raw, index):
        return None
    x, y = ctypes.c_double(), ctypes.c_double()
    assert raw.FPDFText_GetCharOrigin(page.raw, index, x, y)
    letter = chr(raw.FPDFText_GetUnicode(page.raw, index))
    drawn_by = raw.FPDFText_GetTextObject(page.raw, index)
    if not drawn_by or not letter.isprintable():
        return None
    matrix = raw.FS_MATRIX()
    assert raw.FPDFPageObj_GetMatrix(drawn_by, matrix)
    size = ctypes.c_float()
    assert raw.FPDFTextObj_GetFontSize(drawn_by, size)
    name = ctypes.create_string_buffer(80)
    raw.FPDFFont_GetBaseFontName(raw.FPDFTextObj_GetFont(drawn_by), name, 80)
    scale = abs(matrix.d) * size.value
    place = (x.value * MM,), (height - y.value) * MM
    weight = BOLD if b"Bold" in name.value else REGULAR
    return TextRead(letter, *place, scale * MM, b"Italic" in name.value, weight)


def around(page: Drawn, top: float, floor: float, box: Box) -> Page:
    """What is drawn on the page where a line with this box, in spaces, has its ink."""
    space = (floor - top) / 4
    above, below = floor - box.top * space - ROUNDING, floor - box.bottom * space + ROUNDING
    near = [
        outline for outline in page.outlines if all(above <= y <= below for _, y in outline.points)
    ]
    texts = [text for text in page.texts if above <= text.y <= below]
    return Page(tuple(near), tuple(texts))


def staves_on(page: Drawn, height: float) -> list[tuple[float, float]]:
    """The top and floor lines of the page's staves, from above: five level lines, as wide as
    a line of music and as far apart as in staves so high."""
    levels = sorted(
        sum(y for _, y in outline.points) / 4
        for outline in page.outlines
        if len(outline.points) == 4
        and max(x for x, _ in outline.points) - min(x for x, _ in outline.points) > SHORTEST
        and max(y for _, y in outline.points) - min(y for _, y in outline.points) < 0.5
    )
    return [
        (top, top + height)
        for top in levels
        if all(near(top + number * height / 4, levels) for number in range(5))
    ]


def near(wanted: float, levels: list[float]) -> bool:
    return any(abs(level - wanted) < ROUNDING for level in levels)


def told(frame: FrameRead) -> tuple[object, ...]:
    """A frame without its places."""
    subjects = [
        tuple(getattr(subject, name.name) for name in fields(subject) if name.name not in PLACED)
        for subject in frame.subjects
    ]
    return (
        frame.count,
        frame.bar,
        [type(subject) for subject in frame.subjects],
        subjects,
        frame.texts,
    )


def places(frame: FrameRead) -> list[float]:
    values = [
        getattr(subject, name)
        for subject in frame.subjects
        for name in PLACED
        if hasattr(subject, name)
    ]
    return [number for value in values for number in numbers(value)]


def numbers(value: float | tuple[float, float]) -> tuple[float, ...]:
    return value if isinstance(value, tuple) else (value,)


def test_the_exercises_in_the_finished_book_read_as_their_svg_does(
    manuscript: Manuscript, pages: tuple[Drawn, ...]
) -> None:
    """Line by line, in the order of the book; what stands before the first chapter, on the title
    page and where one learns to read, is as high in some houses and not in others."""
    printed = [line for _, piece in manuscript.pieces for line in piece.lines]
    heights = {4 * line.space for line in printed}
    found = [
        (page, *lines)
        for page in pages
        for lines in sorted(lines for height in heights for lines in staves_on(page, height))
    ]
    found = found[-len(printed) :]
    assert len(found) == len(printed)
    for (page, top, floor), line in zip(found, printed, strict=True):
        reading = read_page(around(page, top, floor, line.box), KEY, FACES)
        wanted = read_svg(line.svg, "line.svg", KEY, FACES).value
        assert reading is not None
        assert wanted is not None
        assert reading.faults == wanted.faults == ()
        assert (reading.bars, reading.final) == (wanted.bars, wanted.final)
        for one, other in zip(reading.frames, wanted.frames, strict=True):
            assert told(one) == told(other)
            assert places(one) == pytest.approx(places(other), abs=ROUNDING)
