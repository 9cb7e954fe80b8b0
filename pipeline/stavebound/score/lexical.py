"""The small words of the dialect: attribute values to values and back.

In: text that the schema has already found well formed. Out: values; and from a
value, the one way to write it. `at(at_text(x)) == x` and so on for each pair.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from stavebound.score.model import At, Height


def one_line(text: str) -> str:
    """Text with each run of white space as one space, and none at the ends."""
    return " ".join(text.split())


def at(text: str) -> At:
    count, _, part = text.partition(" ")
    if "/" in part:
        return At(int(count), fraction=Fraction(part))
    return At(int(count), syllable=part or None)


def at_text(value: At) -> str:
    part = value.syllable or (str(value.fraction) if value.fraction else "")
    return f"{value.count} {part}".rstrip()


def height(text: str) -> Height:
    for sign in "+-":
        line, found, offset = text.partition(sign)
        if found:
            return Height(line, Decimal(sign + offset))
    return Height(text)


def height_text(value: Height) -> str:
    return value.line + (f"{value.offset:+}" if value.offset else "")
