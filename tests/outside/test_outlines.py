"""Files of lines where no fonts are: resvg, a renderer in Rust, is given none, and shows every
word where print has it. Print is the press's PDF, as PDFium shows it."""

from __future__ import annotations

import io
import re

import pytest
import resvg_py
from PIL import Image

from stavebound.engrave.parts import Setting
from stavebound.proof.lines import drawn_lines
from stavebound.proof.outlines import with_outlines
from tests.support.shown import DPI, apart, in_print, without_fonts
from tests.support.staves import MEASURE, SETTING, engraved, small_score, styled

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


@pytest.mark.parametrize("name", SETTINGS)
def test_words_stand_where_print_has_them_though_there_are_no_fonts(name: str) -> None:
    setting = SETTINGS[name]
    svg = proved(setting)
    printed = in_print(svg, setting)
    assert apart(without_fonts(with_outlines(svg, setting.faces)), printed) == 0
    moved = re.sub(r'font-style="italic" (font-size="[\d.]+">A)', r"\1", svg)
    assert moved != svg
    assert apart(without_fonts(with_outlines(moved, setting.faces)), printed) > 100
    assert apart(without_fonts(svg), printed) > 1000, "without outlines words are not there"


def test_the_text_itself_shows_nothing_where_there_are_fonts() -> None:
    svg = with_outlines(proved(SETTING), SETTING.faces)
    files = [str(face.path) for face in SETTING.faces.faces]
    data = resvg_py.svg_to_bytes(
        svg_string=svg, skip_system_fonts=True, font_files=files, background="#ffffff", dpi=DPI
    )
    shown = Image.open(io.BytesIO(data)).convert("L")
    assert shown.tobytes() == without_fonts(svg).tobytes()
