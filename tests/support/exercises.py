"""Exercises of any length, as a class would dance them: two to eight signs a frame.

In: how many bars, and a seed. Out: a score, the same one for the same two. Arms, feet,
knees, head and body move in a mix, and nothing in it is wrong or crowded. In `wandering` no
place of a hand or a free foot is danced twice, as hardly any score has it: the worst case
for an engraver that remembers what it has seen.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle, product
from random import Random
from typing import TypeVar

from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.sources import score_of

T = TypeVar("T")

BARS_A_PHRASE = 4
COUNTS_A_BAR = 2

# What the legs do on a count, and what they come back to on the next.
LEGS = (
    ('<foot side="right" to="front" place="pointed"/>', '<feet in="fifth" front="right"/>'),
    ('<foot side="right" to="side" place="pointed"/>', '<feet in="fifth" front="left"/>'),
    ('<foot side="left" to="back" place="pointed"/>', '<feet in="fifth" front="right"/>'),
    ('<foot side="right" to="side" raised="45"/>', '<feet in="first"/>'),
    (
        '<foot side="left" to="front" raised="90" path="straight"/>',
        '<feet in="fifth" front="left"/>',
    ),
    (
        '<foot side="right" to="back" raised="65" path="straight"/>',
        '<feet in="third" front="left"/>',
    ),
    ('<feet in="second"/><knees bend="half"/>', '<feet in="first"/><knees bend="none"/>'),
    ('<knees bend="half"/>', '<knees bend="none"/>'),
    ('<feet on="half point"/><knees bend="half"/>', '<feet on="whole foot"/><knees bend="none"/>'),
    (
        '<foot side="right" to="front" place="ankle"/><knee side="left" bend="half"/>',
        '<feet in="fifth" front="right"/><knee side="left" bend="none"/>',
    ),
)
ARMS = (
    '<arms in="first"/>',
    '<arms in="second"/>',
    '<arms in="fifth"/>',
    '<arms in="third" lead="left"/>',
    '<arms in="fourth" lead="right"/>',
    '<hand side="right" in="second" palm="down"/><hand side="left" in="bras bas"/>',
    '<hand side="left" height="shoulder+0.4" out="0.40" depth="front"/>'
    '<hand side="right" in="bras bas"/>',
)
CENTRE = (
    '<head turn="right"/>',
    '<head tilt="left 2"/>',
    '<return of="head"/>',
    '<body bend="back"/>',
    '<return of="body"/>',
)


def exercise(bars: int, seed: int = 1, phrased: bool = False) -> Score:
    """A score of so many bars; every phrase is danced in one breath where it is `phrased`."""
    chance = Random(seed)
    return _score(_changing(LEGS, chance), _changing(ARMS, chance), bars, chance, phrased)


def wandering(bars: int, seed: int = 1) -> Score:
    """A score of at most 400 bars in which every hand and every free foot has a place of its
    own."""
    chance = Random(seed)
    return _score(_free_feet(chance), _free_hands(chance), bars, chance)


def _score(
    legs: Iterator[tuple[str, str]],
    arms: Iterator[str],
    bars: int,
    chance: Random,
    phrased: bool = False,
) -> Score:
    frames = zip(legs, arms, cycle(CENTRE), strict=False)
    written = [_bar(bar, *next(frames), chance) for bar in range(bars)]
    phrases = [written[first : first + BARS_A_PHRASE] for first in range(0, bars, BARS_A_PHRASE)]
    inside = "".join(_phrase(phrase, phrased) for phrase in phrases)
    return score_of(
        f'<score xmlns="{NAMESPACE}" title="Exercise" school="english" promise="none">'
        f'<music metre="2/4" counts-per-bar="{COUNTS_A_BAR}"/>'
        f'<start><feet in="fifth" front="right"/><arms in="demi-bras"/></start>'
        f"{inside}</score>"
    )


def _free_feet(chance: Random) -> Iterator[tuple[str, str]]:
    for place in _places("knee", range(5, 45), range(12), chance):
        side, to = chance.choice(["right", "left"]), chance.choice(["front", "back"])
        yield f'<foot side="{side}" to="{to}" {place}/>', f'<feet in="fifth" front="{side}"/>'


def _free_hands(chance: Random) -> Iterator[str]:
    hands = [_places("shoulder", range(20, 80), range(20, 30), chance) for _ in ("right", "left")]
    for right, left in zip(*hands, strict=True):
        yield (
            f'<hand side="right" {right} depth="front"/><hand side="left" {left} depth="front"/>'
        )


def _places(line: str, heights: range, outs: range, chance: Random) -> list[str]:
    """All places so many hundredths above a line and out, in any order."""
    places = list(product(heights, outs))
    chance.shuffle(places)
    return [f'height="{line}+0.{up:02}" out="0.{out:02}"' for up, out in places]


def _phrase(bars: list[str], phrased: bool) -> str:
    """Bars; a breath goes to the last count that always has a frame."""
    counts = COUNTS_A_BAR * len(bars)
    breath = f'<phrasing from="1" to="{counts - 1}"/>' if phrased else ""
    return f'<phrase counts="{counts}">{"".join(bars)}{breath}</phrase>\n'


def _changing(rows: tuple[T, ...], chance: Random) -> Iterator[T]:
    """Rows by chance, never one twice in succession."""
    row = rows[0]
    while True:
        row = chance.choice([other for other in rows if other != row])
        yield row


def _bar(bar: int, legs: tuple[str, str], arms: str, centre: str, chance: Random) -> str:
    """Out on the first count with the arms, back after it; head or body with one of the two."""
    count = COUNTS_A_BAR * (bar % BARS_A_PHRASE) + 1
    first, then = chance.sample([centre, ""], 2)
    after = chance.choice([f"{count} and", f"{count + 1}", f"{count + 1}"])
    out, back = legs
    return (
        f'<frame at="{count}" step="tendu">{out}{arms}{first}</frame>'
        f'<frame at="{after}">{back}{then}</frame>'
    )
