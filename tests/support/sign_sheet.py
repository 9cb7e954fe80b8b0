"""All that uses a sign, on one sheet: itself enlarged, the key's pictures, the plate's frames, and
the cases of engraving that show the least beside it.

In: the name of a sign. Out: pictures, each with what the reader finds wrong with it; as an
image, in the project's own faces.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from PIL import Image, ImageDraw, ImageFont

from stavebound.book.key import PictureError, posed_in, proved_picture, shown
from stavebound.book.reading import in_key
from stavebound.build.sign_catalogue import PLATE, packaged
from stavebound.dance.pose import Posed
from stavebound.engrave.outline import sign_box
from stavebound.engrave.parts import Setting
from stavebound.engrave.picture import sign_picture
from stavebound.engrave.system import System
from stavebound.proof.outlines import with_outlines
from stavebound.svg.draw import draw
from stavebound.svg.staves import draw_staves
from tests.support.engraved_cases import CASES, page_of, printed_in, setting_in
from tests.support.readers import KEY, faults_in, signs_of
from tests.support.shown import without_fonts
from tests.support.sources import score_of
from tests.support.staves import CATALOGUE, ENGLISH, FACES, SETTING, danced_of

MOST_CASES = 6
TIMES = 6.0
# In pixels; no wider picture is enlarged.
TITLE, WHITE, SMALL = 40, 30, 400
ENLARGED = 3


@dataclass(frozen=True, slots=True)
class Picture:
    """`name` is that of a sign, of a feature of the key, of a frame of the plate or of a case."""

    name: str
    title: str
    svg: str
    faults: tuple[str, ...] = ()


def pictures_with(sign: str) -> tuple[Picture, ...]:
    """KeyError where there is no such sign."""
    row = CATALOGUE.sign(sign)
    box = sign_box(row)
    half = max(box.width, box.height) / 2 + 0.1
    alone = draw(sign_picture(sign, TIMES, (half, half), SETTING), FACES)
    return (
        Picture(sign, f"{sign}: {row.meaning}", alone),
        *_in_key(sign),
        *_on_plate(sign),
        *_in_cases(sign),
    )


def _in_key(sign: str) -> Iterator[Picture]:
    small = in_key(SETTING)
    for row in CATALOGUE.key.row:
        posed = posed_in(row.show, CATALOGUE, ENGLISH, row.before)
        system = shown(posed, row.show, small, phrased=row.phrased)
        if sign in signs_of(system):
            title = f"key, {row.feature}: {row.meaning}"
            yield _proved(row.feature, title, system, posed, small, row.phrased)


def _on_plate(sign: str) -> Iterator[Picture]:
    plate = danced_of(score_of(packaged(PLATE), PLATE))
    for count, posed in enumerate(plate.poses[1:], 1):
        name = f"frame {count} of the plate"
        system = shown(posed, name, SETTING)
        if sign in signs_of(system):
            yield _proved(name, name, system, posed, SETTING)


def _proved(
    name: str, title: str, system: System, posed: Posed, setting: Setting, phrased: bool = False
) -> Picture:
    try:
        return Picture(
            name, title, proved_picture(system, posed, name, setting, KEY, phrased=phrased)
        )
    except PictureError as failure:
        return Picture(name, title, draw_staves(system, FACES), (str(failure),))


def _in_cases(sign: str) -> Iterator[Picture]:
    """The lines in which it stands, of the cases that have the fewest signs."""
    using = [case for case in CASES if _lines_with(sign, case)]
    fewest = sorted(using, key=lambda case: (_many(case), case))[:MOST_CASES]
    for case in fewest:
        setting, printed = setting_in(case), printed_in(case)
        found = faults_in(page_of(case, False).result, printed.score, setting, printed)
        faults = tuple(f"{fault.code} {fault.message}" for fault in found)
        for system in _lines_with(sign, case):
            svg = draw_staves(system, setting.faces)
            yield Picture(
                case, f"case {case}, bars {system.bars[0]} to {system.bars[1]}", svg, faults
            )


def _lines_with(sign: str, case: str) -> list[System]:
    return [one for one in page_of(case, False).result.systems if sign in signs_of(one)]


def _many(case: str) -> int:
    return sum(len(one.staves[0].signs) for one in page_of(case, False).result.systems)


def sheet_of(pictures: Iterable[Picture]) -> Image.Image:
    """One below the other, each under its title; what was misread is said there. Beside a small
    one stands the same enlarged."""
    rows = [
        (_titled(one), _beside(without_fonts(with_outlines(one.svg, FACES)))) for one in pictures
    ]
    face = next(each for each in FACES.faces if each.style == "normal")
    font = ImageFont.truetype(str(face.path), TITLE * 0.7)
    width = max(max(image.width, ceil(font.getlength(title))) for title, image in rows) + 2 * WHITE
    height = sum(TITLE + image.height + WHITE for _, image in rows) + WHITE
    sheet = Image.new("L", (width, height), 255)
    pen, y = ImageDraw.Draw(sheet), WHITE
    for title, image in rows:
        pen.text((WHITE, y), title, fill=0, font=font)
        sheet.paste(image, (WHITE, y + TITLE))
        y += TITLE + image.height + WHITE
    return sheet


def _beside(image: Image.Image) -> Image.Image:
    if image.width > SMALL:
        return image
    size = image.width * ENLARGED, image.height * ENLARGED
    large = image.resize(size, Image.Resampling.LANCZOS)
    both = Image.new("L", (image.width + WHITE + large.width, large.height), 255)
    both.paste(image, (0, 0))
    both.paste(large, (image.width + WHITE, 0))
    return both


def _titled(one: Picture) -> str:
    return "; MISREAD: ".join((one.title, *one.faults[:1]))
