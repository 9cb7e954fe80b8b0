"""A small book in three chapters, and ways to look at what comes off the press."""

import dataclasses
import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime

import pikepdf
import pypdfium2

from stavebound.faces import load_faces
from stavebound.press import (
    Chapter,
    Folios,
    Metadata,
    Pressed,
    bind,
    leaves,
    margin_chapters,
    press_chapters,
)

FACES = load_faces()
CSS = """
@page { size: A5; margin: 18mm 15mm }
html { font: 10pt/1.3 "Crimson Text" }
body { margin: 0 }
h1 { bookmark-level: 1 }
h2 { bookmark-level: 2 }
img { width: 100% }
.turn { break-before: page }
"""
A5 = 148.0, 210.0
MARGINS = """
.leaf { font: 10pt/1.3 "Crimson Text"; text-align: center }
.head { top: 9mm; left: 15mm; right: 15mm }
.folio { bottom: 9mm; left: 15mm; right: 15mm }
"""
STAVE = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="16mm" viewBox="0 0 80 16">
<path d="M0,3.9L0,4.1L80,4.1L80,3.9ZM0,7.9L0,8.1L80,8.1L80,7.9Z"/>
<text x="1" y="14" font-family="Crimson Text, serif" font-style="italic" font-size="3">AVAo</text>
</svg>"""
# How far left-hand pages stand to the left of right-hand ones, in points.
SHIFT = -9.0
METADATA = Metadata(
    title="A small book – für alle",
    author="A. Notator",
    subject="Three exercises",
    language="en",
    created=datetime(2026, 1, 2, 3, 4, 5, tzinfo=UTC),
)


def chapter(key: str, body: str, folios: Folios = Folios.ARABIC, **more: object) -> Chapter:
    html = f'<!DOCTYPE html><html lang="en"><title>{key}</title><body>{body}</body></html>'
    plain = Chapter(key, html, (("plain", STAVE),), folios, CSS)
    return dataclasses.replace(plain, **more)  # type: ignore[arg-type]


STAVES_CSS = """
@page { size: A4; margin: 15mm }
body { margin: 0; font-family: "Crimson Text" }
img { display: block; margin-bottom: 2mm; overflow: visible }
p img { display: inline; margin: 0 }
"""


def pressed(svgs: tuple[tuple[str, str], ...], body: str = "", *within: tuple[str, str]) -> bytes:
    """Staves on a page of their own, below the body; `within` are images that it has itself."""
    images = "".join(f'<img src="stave:{name}" alt="a stave">' for name, _ in svgs)
    sheet = chapter("staves", body + images, images=(*within, *svgs), css=STAVES_CSS)
    (part,) = press_chapters([sheet], FACES)
    return part.pdf


FRONT = chapter(
    "front",
    '<p id="title">Title</p><p class="turn" id="imprint">Imprint</p>'
    '<h1 class="turn" id="how">How to read</h1>'
    '<p><a href="stavebound:plies">Pliés, 1</a> <a href="stavebound:côté">side, 3</a></p>',
    Folios.ROMAN,
    blind=(0, 1),
)
PLIES = chapter(
    "plies",
    '<h1 id="plies">Pliés</h1><img src="stave:plain" alt="a stave"><h2 id="a">A</h2>'
    '<a href="#côté">below</a> <a href="https://example.org/">elsewhere</a>'
    '<h2 id="côté" class="turn">B</h2><p class="turn">more of B</p>',
    openings=("côté",),
)
TENDUS = chapter(
    "tendus",
    '<h1 id="tendus">Tendus</h1><img src="stave:two é" alt="a stave">',
    images=(("two é", STAVE),),
)
BOOK = (FRONT, PLIES, TENDUS)


def press_book(jobs: int) -> tuple[tuple[Pressed, ...], bytes]:
    parts = press_chapters(BOOK, FACES, jobs)
    return parts, bind(parts, strips(parts, jobs), METADATA, SHIFT)


def strips(parts: Sequence[Pressed], jobs: int = 1, css: str = MARGINS) -> tuple[Pressed, ...]:
    """The margins of these parts, pressed."""
    return press_chapters(margin_chapters(leaves(parts), css, "en", A5), FACES, jobs)


@contextmanager
def read(pdf: bytes) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        yield document
    finally:
        document.close()


def page_texts(pdf: bytes) -> list[str]:
    with read(pdf) as document:
        return [document[index].get_textpage().get_text_range() for index in range(len(document))]


def embedded(pdf: bytes) -> set[str]:
    """The names of all fonts of a file, without the tags of subsets; each must be embedded."""
    names = set()
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        for thing in opened.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                assert len(thing.FontFile2.read_bytes()) > 1000
                names.add(str(thing.FontName).partition("+")[2])
    return names
