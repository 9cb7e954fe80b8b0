"""What an eye sees of a frame in print, and how much ink tells two frames apart.

In: frames of families (`families.py`). Out: what they add to a bare stave, as an image of a
renderer that is not ours (resvg), spread as an eye spreads it; square millimetres of full ink.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from math import floor

import resvg_py
from PIL import Image, ImageChops, ImageFilter

from stavebound.book.key import shown
from stavebound.book.reading import in_key
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.geometry import Box
from stavebound.proof.outlines import with_outlines
from stavebound.svg.staves import draw_staves
from tests.support.families import TABLE, Family, Filled
from tests.support.staves import CATALOGUE, ENGLISH, FACES, SETTING

INCH = 25.4
# All that a frame can have is between these heights, in spaces from the floor line, and no
# further than this beyond the ends of its stave.
BOTTOM, TOP, ASIDE = -5.5, 9.0, 1.5
FULL = 255


@dataclass(frozen=True, slots=True)
class Eye:
    """What an eye does to a page of so many dots an inch, in dots: it `spreads` each, and sees
    no `shift` of so many."""

    dpi: int
    spread: float
    shift: int

    @property
    def dot(self) -> float:
        """A dot in square millimetres."""
        return (INCH / self.dpi) ** 2


def eye_at(dpi: int) -> Eye:
    dots = dpi / INCH
    return Eye(dpi, TABLE["eye"]["spread"] * dots, floor(TABLE["eye"]["shift"] * dots + 0.5))


def seen_by(eye: Eye, family: Family, filled: Filled) -> Image.Image:
    """What a frame adds to a bare stave, spread; white is full ink."""
    system = shown(family.posed(filled, CATALOGUE, ENGLISH), family.source(filled), lowest())
    frame, bare = printed(svg_of(system), eye.dpi), printed(svg_of(bare_of(system)), eye.dpi)
    return ImageChops.subtract(bare, frame).filter(ImageFilter.GaussianBlur(eye.spread))


@lru_cache(maxsize=1)
def lowest() -> Setting:
    """The lowest stave that a packaged book has, without the learner's centre line."""
    setting = min(SETTING, in_key(SETTING), key=lambda one: one.style.stave_height)
    return replace(setting, style=replace(setting.style, centre_line=False))


def svg_of(system: System) -> str:
    """As it is drawn, on a piece of paper of one height."""
    box = Box(system.box.left - ASIDE, BOTTOM, system.box.right + ASIDE, TOP)
    return with_outlines(draw_staves(replace(system, box=box), FACES), FACES)


def bare_of(system: System) -> System:
    (stave,) = system.staves
    bare = replace(stave, signs=(), ways=(), phrasings=(), marks=())
    texts = tuple(text for text in system.texts if text.lane == "counts")
    return replace(system, staves=(bare,), texts=texts)


@lru_cache(maxsize=2)
def printed(svg: str, dpi: int) -> Image.Image:
    data = resvg_py.svg_to_bytes(
        svg_string=svg, skip_system_fonts=True, background="#ffffff", dpi=dpi
    )
    return Image.open(io.BytesIO(data)).convert("L")


def differing(one: Image.Image, other: Image.Image, eye: Eye) -> float:
    """The least of all small shifts, in square millimetres."""
    reach = range(-eye.shift, eye.shift + 1)
    shifted = (ImageChops.offset(other, dx, dy) for dx, dy in product(reach, reach))
    return min(ink_of(ImageChops.difference(one, each)) for each in shifted) * eye.dot


def ink_of(image: Image.Image) -> float:
    """In dots full of ink."""
    return sum(shade * many for shade, many in enumerate(image.histogram())) / FULL
