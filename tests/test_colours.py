"""A second colour: from a table, on few things, and black where no style asks."""

from __future__ import annotations

import io

import pikepdf
import pytest

from stavebound.press import PressError
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.proof.outlines import outlines_hold, with_outlines, without_outlines
from stavebound.readback.read import read_svg
from stavebound.svg.staves import draw_staves
from stavebound.trade.colours import Colour
from tests.support.press_samples import STAVE, pressed
from tests.support.readers import KEY
from tests.support.staves import (
    CATALOGUE,
    FACES,
    MEASURE,
    engraved,
    printed_of,
    small_score,
    styled,
)

SCORE = small_score(
    '<start><feet in="first"/></start><phrase counts="16">'
    + "".join(
        f'<frame at="{at}" step="plié"><knees bend="{("none", "half")[at % 2]}"/></frame>'
        for at in range(1, 17)
    )
    + "</phrase>"
)
THINGS = [row.name for row in CATALOGUE.colours.thing]
# What is read at least: Web Content Accessibility Guidelines 2.2, 1.4.3, of small letters.
CONTRAST = 4.5


def luminance(value: str) -> float:
    """The same guidelines' relative luminance of a colour."""
    shares = [int(value[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [((s + 0.055) / 1.055) ** 2.4 if s > 0.04045 else s / 12.92 for s in shares]
    return sum(part * s for part, s in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("colour", CATALOGUE.colours.colour, ids=lambda colour: colour.name)
def test_a_colour_is_dark_enough_on_white(colour: Colour) -> None:
    assert 1.05 / (luminance(colour.value) + 0.05) >= CONTRAST


def test_colours_are_told_from_each_other_by_their_names_and_values() -> None:
    colours = CATALOGUE.colours.colour
    assert len({one.name for one in colours}) == len({one.value for one in colours}) == len(colours)


def in_colour(*things: str) -> str:
    """The second line of a score in which these are in colour."""
    colours = "".join(f'<colour of="{thing}" is="oxblood"/>' for thing in things)
    setting = styled(f'<stave height="9" centre-line="yes" line-names="every"/>{colours}')
    systems = engraved(SCORE, 60, setting).systems
    assert len(systems) > 1
    return draw_staves(systems[1], FACES)


def test_nothing_is_in_colour_where_no_style_asks() -> None:
    assert "fill" not in in_colour()


@pytest.mark.parametrize("thing", THINGS)
def test_what_is_in_colour_is_that_thing_alone_and_stands_where_it_stood(thing: str) -> None:
    plain, coloured = in_colour(), in_colour(thing)
    assert coloured.replace(' fill="#701c1c"', "") == plain
    assert coloured.count("fill=") == (5 if thing == "line names" else 1)


def test_the_reader_reads_coloured_lines_as_black_ones() -> None:
    setting = styled("".join(f'<colour of="{thing}" is="indigo"/>' for thing in THINGS))
    made = engraved(SCORE, MEASURE, setting)
    lines = drawn_lines(made, "Pliés", setting)
    assert not tuple(prove_lines(lines, made, printed_of(SCORE), setting, KEY))
    assert any("fill=" in line.svg for line in lines)


@pytest.mark.parametrize("ink", ["#ffffff", "#c0c0c0", "white", "none", "#701C1C", ""])
def test_the_reader_refuses_what_could_stand_there_unseen(ink: str) -> None:
    svg = in_colour(*THINGS).replace("#701c1c", ink, 1)
    (fault,) = read_svg(svg, "line.svg", KEY, FACES).diagnostics
    assert fault.code == "R101"
    assert "no ink" in fault.message


def test_the_press_paints_it_in_the_devices_colour_and_all_else_in_black() -> None:
    def inks(svg: str) -> set[str]:
        with pikepdf.open(io.BytesIO(pressed((("line", svg),)))) as opened:
            return {
                " ".join(f"{float(each):.2f}" for each in one.operands)
                for one in pikepdf.parse_content_stream(opened.pages[0])
                if str(one.operator) == "rg"
            }

    assert inks(in_colour()) == {"0.00 0.00 0.00"}
    assert inks(in_colour(*THINGS)) == {"0.00 0.00 0.00", "0.44 0.11 0.11"}


def test_the_press_refuses_what_is_no_ink() -> None:
    svg = STAVE.replace('<path d="', '<path fill="red" d="')
    with pytest.raises(PressError, match="“red” is no ink"):
        pressed((("line", svg),))


def test_outlines_of_words_are_in_the_inks_of_the_words() -> None:
    svg = in_colour(*THINGS)
    whole = with_outlines(svg, FACES)
    assert whole.count('<path aria-hidden="true"') == 2
    assert '<path aria-hidden="true" fill="#701c1c" d="' in whole
    assert without_outlines(whole) == svg
    assert outlines_hold(whole, FACES)
    assert not outlines_hold(whole.replace('"true" fill="#701c1c"', '"true"'), FACES)


def test_a_style_in_colour_is_another_style() -> None:
    one, other = styled('<colour of="centre line" is="sepia"/>'), styled("")
    assert one.style.colours == {"centre line": "#543a2a"}
    assert one.style.digest != other.style.digest
