"""Orders that keep a score whole: words on a left page, all staves on the page that faces it.

In: the blocks of an exercise. Out: orders of them, each with how many stand on the left page. It
always holds that words keep their order among themselves, and staves theirs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stavebound.book.blocks import Block

# An order of blocks by their numbers, and how many of them stand on the left page.
Order = tuple[tuple[int, ...], int]


def orders(blocks: Sequence[Block]) -> Iterator[Order]:
    """With all words on the left page, and with the last of them under the staves. None where
    there are no words before the staves, or no staves."""
    words = tuple(at for at, block in enumerate(blocks) if not block.staves)
    staves = tuple(at for at, block in enumerate(blocks) if block.staves)
    if not staves or not staves[0]:
        return
    for left in range(len(words), staves[0] - 1, -1):
        if left == staves[0] or not blocks[words[left - 1]].kept:
            yield (*words[:left], *staves, *words[left:]), left


def with_staves(blocks: Sequence[Block], heights: Sequence[float]) -> tuple[Block, ...]:
    """The same words round staves of other heights, in points."""
    first = next(at for at, block in enumerate(blocks) if block.staves)
    words = (block for block in blocks[first:] if not block.staves)
    return (*blocks[:first], *(Block(height, staves=True) for height in heights), *words)


def ordered(blocks: Sequence[Block], order: Order, half: float) -> tuple[Block, ...]:
    """Blocks in an order: words that met staves meet words at half a line, and the last words
    before the staves do not cling to these."""
    numbers, _left = order
    return tuple(
        replace(
            blocks[at],
            before=half if at and blocks[at - 1].staves else blocks[at].before,
            kept=blocks[at].kept and not blocks[at + 1].staves,
        )
        for at in numbers
    )
