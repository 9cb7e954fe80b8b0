"""No two signs of the catalogue look alike in print at the size of a rehearsal score."""

from __future__ import annotations

from functools import cache
from itertools import combinations

from PIL import Image, ImageChops, ImageDraw, ImageStat

from stavebound.drawing.figures import Figure
from stavebound.engrave.outline import outline, sign_box
from stavebound.geometry import Point
from tests.support.staves import CATALOGUE

# Pixels of a space on a stave of 8 mm at 300 dots an inch.
SPACE = 300 / 25.4 * 2
FINER = 8
SIZE = 40
# An eye does not see a shift of so many pixels between two signs that stand apart.
NEAR = range(-2, 3)
# What must differ: pixels full of ink, and the share of the ink of both signs.
# Marks stand by their signs only, and small ones differ by less than signs do.
LEAST_PIXELS = 8.0
LEAST_SHARE = 0.22

Turned = tuple[str, bool]


@cache
def drawn(name: str, mirrored: bool = False) -> Image.Image:
    """The sign round its centre, black 255, each pixel as dark as the part that is inked."""
    sign = CATALOGUE.sign(name)
    box = sign_box(sign, mirrored)
    x, y = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    image = Image.new("L", (SIZE * FINER, SIZE * FINER), 0)
    first_ring = len(sign.strokes) + len(sign.discs)
    holes = range(first_ring + 1, first_ring + 2 * len(sign.rings), 2)
    for index, figure in enumerate(outline(sign, mirrored)):
        place = [
            (((p.x - x) * SPACE + SIZE / 2) * FINER, ((y - p.y) * SPACE + SIZE / 2) * FINER)
            for p in _corners(figure)
        ]
        ImageDraw.Draw(image).polygon(place, fill=0 if index in holes else 255)
    return image.resize((SIZE, SIZE), Image.Resampling.BOX)


def _corners(figure: Figure) -> list[Point]:
    if not figure.curved:
        return list(figure.points)
    found = []
    for start in range(0, len(figure.points) - 1, 3):
        piece = figure.points[start : start + 4]
        for step in range(8):
            t = step / 8
            shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            pairs = list(zip(shares, piece, strict=True))
            found.append(Point(sum(k * p.x for k, p in pairs), sum(k * p.y for k, p in pairs)))
    return found


def pixels(image: Image.Image) -> float:
    """How much ink there is, in pixels full of it."""
    return ImageStat.Stat(image).sum[0] / 255


def distance(a: Image.Image, b: Image.Image) -> float:
    """The ink that is in one of the two only, laid over each other as well as may be."""
    return min(
        pixels(ImageChops.difference(a, ImageChops.offset(b, dx, dy))) for dx in NEAR for dy in NEAR
    )


def looks() -> list[Turned]:
    """Every sign, and turned over where that makes a difference."""
    found = []
    for name in CATALOGUE.signs:
        found.append((name, False))
        if distance(drawn(name), drawn(name, True)) >= 1:
            found.append((name, True))
    return found


def test_no_two_signs_look_alike() -> None:
    measured = []
    for a, b in combinations(looks(), 2):
        apart = distance(drawn(*a), drawn(*b))
        measured.append((apart / (pixels(drawn(*a)) + pixels(drawn(*b))), apart, a, b))
    share, *_, one, other = min(measured)
    print(f"least share {share:.3f}: {one} and {other}")
    print(f"least pixels {min(apart for _, apart, *_ in measured):.1f}")
    assert [each for each in measured if each[0] < LEAST_SHARE or each[1] < LEAST_PIXELS] == []


def test_looking_finds_signs_that_are_alike() -> None:
    """A sign moved by a pixel is the same; one that is cut short is not."""
    dash, moved = drawn("level long"), ImageChops.offset(drawn("level long"), 1, 0)
    assert distance(dash, moved) == 0
    assert distance(drawn("level long"), drawn("level")) > LEAST_PIXELS
