"""Staves painted into the page: what WeasyPrint asks of an image, and what comes of it.

Pages are compared with those on which WeasyPrint itself draws the same SVG.
"""

from __future__ import annotations

import ctypes
import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pikepdf
import pypdfium2
import pytest
import weasyprint
from PIL import Image, ImageChops
from pypdfium2 import raw
from weasyprint.images import SVGImage

from stavebound.press import PressError, layout
from stavebound.press.paint import PageFaces
from stavebound.score.model import Score
from stavebound.svg.staves import draw_staves
from tests.support.exercises import exercise
from tests.support.press_samples import STAVE, embedded, page_texts, pressed, read
from tests.support.sources import root_of
from tests.support.staves import FACES, engraved, small_score, styled

CASES = Path(__file__).parent / "cases" / "engrave"
MM = 25.4 / 72
# The most that the press may move ink or a letter, in millimetres.
NEAR = 0.01
DPI = 600
# The share of its ink that a pixel loses where a straight edge moves by as much, of 255.
LOST = 255 * NEAR * DPI / 25.4
Corner = tuple[float, float]
DOTTED = styled('<stave height="12" centre-line="yes"/>')
WORDS = small_score(
    '<phrase counts="4"><frame at="1" step="dégagé à la seconde" quality="softly, like wool">'
    '<arms in="second"/></frame><frame at="2 and"><tempo counts="72">a little quicker</tempo>'
    '<arms in="fifth"/></frame><frame at="4" step="relevé"><feet on="half point"/>'
    "<cue>the oboe’s “là”</cue></frame></phrase>"
)


def case(name: str) -> Score:
    found = root_of((CASES / f"{name}.xml").read_text(encoding="utf-8"), name)
    assert isinstance(found, Score)
    return found


CURVED = [exercise(16), WORDS, case("ways"), case("travel"), case("phrasing"), case("crowded")]
SYSTEMS = (
    *chain.from_iterable(engraved(score).systems for score in CURVED),
    *engraved(exercise(8), 115, DOTTED).systems,
)
SVGS = tuple((f"line {at}", draw_staves(system, FACES)) for at, system in enumerate(SYSTEMS))


def without_words(svg: str) -> str:
    return re.sub("<text.*?</text>\n", "", svg)


def rendered(name: str, svg: str, ink: PageFaces) -> SVGImage:
    """The stave as WeasyPrint draws an SVG by itself."""
    context = SimpleNamespace(font_config=ink.configuration)
    return SVGImage(ElementTree.fromstring(svg), name, None, context)


@pytest.fixture
def by_weasyprint(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    with monkeypatch.context() as patch:
        patch.setattr(layout, "Painting", rendered)
        yield patch


# ---------------------------------------------------------------- what WeasyPrint asks


def test_an_image_is_asked_for_its_size_and_to_draw_itself() -> None:
    """The whole protocol: WeasyPrint takes any object that stands in its cache."""
    asked: list[object] = []

    class Image:
        def get_intrinsic_size(self, resolution: float, font_size: float) -> tuple[float, ...]:
            asked.append("size")
            return 40.0, 20.0, 2.0

        def draw(self, stream: object, width: float, height: float, style: object) -> None:
            asked.append((type(stream), width, height))

    html = weasyprint.HTML(string='<img src="stave:x" style="width: 80px">')
    html.render(cache={"stave:x": Image()}).write_pdf()
    assert set(asked) == {"size", (weasyprint.pdf.stream.Stream, 80.0, 40.0)}


def test_the_black_is_that_of_the_text_and_of_weasyprints_own_drawing(
    by_weasyprint: pytest.MonkeyPatch,
) -> None:
    drawn = pressed(SVGS[:1], "<p>words</p>")
    by_weasyprint.undo()
    painted = pressed(SVGS[:1], "<p>words</p>")
    assert colours(painted) == colours(drawn) == {("0 0 0", "rg")}


def colours(pdf: bytes) -> set[tuple[str, str]]:
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        found = pikepdf.parse_content_stream(opened.pages[0])
        return {
            (" ".join(f"{float(each):g}" for each in one.operands), str(one.operator))
            for one in found
            if str(one.operator) in ("g", "rg", "k", "sc", "scn", "cs", "sh")
        }


# ---------------------------------------------------------------- the same picture


def test_the_ink_is_where_weasyprint_draws_it(by_weasyprint: pytest.MonkeyPatch) -> None:
    bare = tuple((name, without_words(svg)) for name, svg in SVGS)
    drawn = pressed(bare)
    by_weasyprint.undo()
    painted = pressed(bare)
    with read(drawn) as one, read(painted) as other:
        assert len(one) == len(other) > 1
        for at in range(len(one)):
            apart = ImageChops.difference(grey(one[at]), grey(other[at])).histogram()
            assert sum(grey(one[at]).histogram()[:100]) > 10_000, "there is ink to compare"
            assert not any(apart[round(LOST) :])


def grey(page: pypdfium2.PdfPage) -> Image.Image:
    found: Image.Image = page.render(scale=DPI / 72).to_pil().convert("L")
    return found


def test_the_corners_of_every_figure_are_those_of_the_svg() -> None:
    svg = draw_staves(SYSTEMS[0], FACES)
    written = Counter(
        tuple(sorted((float(x), float(y)) for x, y in POINT.findall(figure)))
        for path in re.findall('<path d="(.*?)"/>', svg)
        for figure in path.split("Z")[:-1]
    )
    with pikepdf.open(io.BytesIO(pressed((("line", svg),)))) as opened:
        found = Counter(figures(opened.pages[0]))
    assert found == written


POINT = re.compile(r"(-?[\d.]+),(-?[\d.]+)")


def figures(page: pikepdf.Page) -> Iterator[tuple[Corner, ...]]:
    """The points of each filled figure, in millimetres of the stave."""
    across, corners, open_figures = 0.0, list[Corner](), list[list[Corner]]()
    for one in pikepdf.parse_content_stream(page):
        operands, name = list(one.operands), str(one.operator)
        if name in ("q", "Q"):
            across = 0.0
        elif name == "cm" and operands[:4] == [1, 0, 0, 1]:
            across = float(operands[4])
        elif name in ("m", "l", "c"):
            numbers = [float(each) for each in operands]
            corners += zip(numbers[::2], numbers[1::2], strict=True)
        elif name == "re":
            x, y, wide, high = (float(each) for each in operands)
            open_figures.append([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
        elif name == "h":
            open_figures.append(corners)
            corners = []
        elif name in ("f", "n"):
            for figure in open_figures if name == "f" else ():
                yield tuple(sorted((round(x + across, 3), round(y, 3)) for x, y in figure))
            open_figures = []


# ---------------------------------------------------------------- words stay words


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter on a page, its face, its place and its size in millimetres."""

    letter: str
    face: str
    page: int
    x: float
    y: float
    size: float


def letters(pdf: bytes) -> list[Letter]:
    with read(pdf) as document:
        texts = [page.get_textpage() for page in document]
        return [
            letter(page, text, at)
            for page, text in enumerate(texts)
            for at in range(text.count_chars())
            if not raw.FPDFText_IsGenerated(text.raw, at)
        ]


def letter(page: int, text: pypdfium2.PdfTextPage, at: int) -> Letter:
    x, y, size, matrix = ctypes.c_double(), ctypes.c_double(), ctypes.c_float(), raw.FS_MATRIX()
    assert raw.FPDFText_GetCharOrigin(text.raw, at, x, y)
    shown = raw.FPDFText_GetTextObject(text.raw, at)
    assert raw.FPDFPageObj_GetMatrix(shown, matrix)
    assert raw.FPDFTextObj_GetFontSize(shown, size)
    name = ctypes.create_string_buffer(80)
    raw.FPDFFont_GetBaseFontName(raw.FPDFTextObj_GetFont(shown), name, 80)
    return Letter(
        chr(raw.FPDFText_GetUnicode(text.raw, at)),
        name.value.decode().partition("+")[2],
        page,
        x.value * MM,
        y.value * MM,
        abs(matrix.d) * size.value * MM,
    )


def spot(letter: Letter) -> tuple[int, float, float]:
    return letter.page, round(letter.y, 1), letter.x


def test_every_letter_stands_where_weasyprint_sets_it(by_weasyprint: pytest.MonkeyPatch) -> None:
    """In the same face and size, to the rounding of Pango's units. It shows no spaces. Figures of
    a metre and the number of a tempo are looked at by themselves, as what is read for them has no
    places."""
    svgs = tuple((name, re.sub(' aria-label="[^"]*"', "", svg)) for name, svg in SVGS)
    drawn = sorted(letters(pressed(svgs)), key=spot)
    by_weasyprint.undo()
    by_weasyprint.setattr("stavebound.press.letters._metre", lambda runs: ())
    painted = sorted((each for each in letters(pressed(svgs)) if each.letter != " "), key=spot)
    assert len({each.face for each in painted}) == 3, "upright, slanted and bold"
    for one, other in zip(painted, drawn, strict=True):
        assert (one.letter, one.face, one.page) == (other.letter, other.face, other.page)
        assert (one.x, one.y) == pytest.approx((other.x, other.y), abs=NEAR)
        assert one.size == pytest.approx(other.size, rel=0.001)


WANTED = ("dégagé à la seconde", "relevé", "softly, like wool", "the oboe’s “là”")


@pytest.mark.parametrize("words", WANTED)
def test_words_of_a_stave_are_read_in_their_order(words: str) -> None:
    """Also where they go on in a next row."""
    lines = engraved(WORDS).systems
    svgs = tuple((f"line {at}", draw_staves(system, FACES)) for at, system in enumerate(lines))
    assert words in " ".join(page_texts(pressed(svgs))[0].split())
    with read(pressed(svgs)) as document:
        text = document[0].get_textpage()
        assert all(text.search(word).get_next() for word in words.split())


def test_counts_are_words_of_their_own_in_their_order() -> None:
    score = small_score(
        '<phrase counts="12"><frame at="9 and"><knees bend="half"/></frame>'
        '<frame at="10"><knees bend="none"/></frame><frame at="11"><arms in="fifth"/></frame>'
        "</phrase>"
    )
    (system,) = engraved(score).systems
    said = page_texts(pressed((("line", draw_staves(system, FACES)),)))[0].split()
    first = said.index("1")
    assert said[first : first + 13] == [*map(str, range(1, 10)), "&", "10", "11", "12"]


def test_white_space_without_a_glyph_is_as_wide_as_measured() -> None:
    words = "a\u2009b\u202fc\u00add e"
    svg = STAVE.replace("AVAo", words)
    painted = letters(pressed((("line", svg),)))
    shown = {each.letter: each.x for each in painted if each.letter != " "}
    size = painted[0].size
    for upto, last in ((2, "b"), (4, "c"), (6, "d"), (8, "e")):
        wide = FACES.width(words[:upto], size, "italic")
        assert shown[last] - shown["a"] == pytest.approx(wide, abs=NEAR)
    assert "\u00ad" not in page_texts(pressed((("line", svg),)))[0]


def test_a_face_is_embedded_once_for_staves_and_running_text() -> None:
    body = "<p>running <i>text</i></p>"
    pdf = pressed((("line", STAVE),), body)
    assert embedded(pdf) == {"Crimson-Text", "Crimson-Text-Italic"}
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        files = [
            thing
            for thing in opened.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor"
        ]
    assert len(files) == 2


# ---------------------------------------------------------------- nothing else is taken

FIGURE = '<path d="M0,3.9L0,4.1L80,4.1L80,3.9ZM0,7.9L0,8.1L80,8.1L80,7.9Z"/>'
STRANGE = {
    "no XML": (STAVE, "<svg", "line"),
    "an element": (FIGURE, '<image href="file:///etc/hostname"/>', "image"),
    "a group": (FIGURE, f"<g>{FIGURE}</g>", "}g"),
    "an open figure": ("80,7.9Z", "80,7.9", "closed figures"),
    "a relative command": ("L80,4.1", "l80,4.1", "closed figures"),
    "a figure of both kinds": ("L80,3.9Z", "C80,4 80,4 80,3.9Z", "closed figures"),
    "a stroke": ('<path d="', '<path stroke="#000" d="', "closed figures"),
    "no millimetres": ('width="80mm"', 'width="80"', "width"),
    "a letter without a place": ('x="1"', 'x="1 2"', "one for each letter"),
    "no place": ('x="1"', "", "float"),
    "no glyph": ("AVAo", "A♪", "\\u266a"),
    "no such face": ('font-style="italic"', 'font-weight="500"', "weight 500"),
}  # fmt: skip


@pytest.mark.parametrize("case", STRANGE)
def test_an_svg_that_is_not_in_the_grammar_is_refused(case: str) -> None:
    old, new, words = STRANGE[case]
    assert old in STAVE
    with pytest.raises(PressError, match=f"chapter staves: stave:line .*{re.escape(words)}"):
        pressed((("line", STAVE.replace(old, new)),))
