"""Files of lines where no fonts are: resvg, a renderer in Rust, is given none, and shows every
word where print has it. Print is the press's PDF, as PDFium shows it."""

from __future__ import annotations

import io

import pypdfium2
import pytest
import resvg_py
from PIL import Image, ImageChops, ImageFilter

from stavebound.engrave.parts import Setting
from stavebound.press import Chapter, press_chapters
from stavebound.proof.lines import drawn_lines
from stavebound.proof.outlines import with_outlines
from tests.support.staves import MEASURE, SETTING, engraved, small_score, styled

DPI = 300
# Of 255: what is ink for certain, and the lightest that may stand for it a pixel beside.
INK, TRACE = 96, 176
CSS = "@page { size: 120mm 60mm; margin: 0 } html, body, img { margin: 0; display: block }"
# Upright, slanted and heavy; accents, ligatures that print does not make, and figures.
SCORE = small_score(
    '<start><feet in="fifth" front="right"/><arms in="second"/></start><phrase counts="8">'
    '<frame at="1" step="demi-plié" quality="softly, without effort"><knees bend="half"/>'
    '<tempo counts="72">a little quicker</tempo><cue>AVANT d’œuvre &amp; là</cue></frame>'
    '<frame at="5 and" step="à la seconde"><turn to="right" by="3/8" on="both"/></frame></phrase>'
)
SETTINGS = {"usual": SETTING, "another face": styled('<type text="Spectral"/>')}


def proved(setting: Setting) -> str:
    (line,) = drawn_lines(engraved(SCORE, MEASURE, setting), SCORE.title, setting)
    return line.svg


def without_fonts(svg: str) -> Image.Image:
    data = resvg_py.svg_to_bytes(
        svg_string=svg, skip_system_fonts=True, background="#ffffff", dpi=DPI
    )
    return Image.open(io.BytesIO(data)).convert("L")


def in_print(svg: str, setting: Setting) -> Image.Image:
    html = '<!DOCTYPE html><html lang="en"><title>A</title><body><img src="stave:line" alt="a">'
    (part,) = press_chapters([Chapter("one", html, (("line", svg),), css=CSS)], setting.faces)
    with pypdfium2.PdfDocument(part.pdf) as document:
        found: Image.Image = document[0].render(scale=DPI / 72).to_pil().convert("L")
    return found


def lost(one: Image.Image, other: Image.Image) -> int:
    """How many pixels are ink in the first and not even nearly so in the second."""
    ink = one.point(lambda grey: 255 * (grey < INK))
    bare = other.filter(ImageFilter.MinFilter(3)).point(lambda grey: 255 * (grey > TRACE))
    return ImageChops.multiply(ink, bare).histogram()[255]


def apart(svg: str, printed: Image.Image) -> int:
    shown = without_fonts(svg)
    page = printed.crop((0, 0, *shown.size))
    return lost(shown, page) + lost(page, shown)


@pytest.mark.parametrize("name", SETTINGS)
def test_words_stand_where_print_has_them_though_there_are_no_fonts(name: str) -> None:
    setting = SETTINGS[name]
    svg = proved(setting)
    printed = in_print(svg, setting)
    assert apart(with_outlines(svg, setting.faces), printed) == 0
    moved = svg.replace('font-style="italic" font-size="2.7">A', 'font-size="2.7">A')
    assert moved != svg
    assert apart(with_outlines(moved, setting.faces), printed) > 100
    assert apart(svg, printed) > 1000, "without outlines words are not there"


def test_the_text_itself_shows_nothing_where_there_are_fonts() -> None:
    svg = with_outlines(proved(SETTING), SETTING.faces)
    files = [str(face.path) for face in SETTING.faces.faces]
    data = resvg_py.svg_to_bytes(
        svg_string=svg, skip_system_fonts=True, font_files=files, background="#ffffff", dpi=DPI
    )
    shown = Image.open(io.BytesIO(data)).convert("L")
    assert shown.tobytes() == without_fonts(svg).tobytes()
