"""The small words of the dialect: attribute values to values and back.

In: text that the schema has already found well formed. Out: values; and from a
value, the one way to write it. `at(at_text(x)) == x` and so on for each pair.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from stavebound.score.model import At, Beat, Height, Lean


def at(text: str) -> At:
    count, _, part = text.partition(" ")
    if "/" in part:
        return At(int(count), fraction=Fraction(part))
    return At(int(count), syllable=part or None)


def at_text(value: At) -> str:
    part = value.syllable or (_fraction_text(value.fraction) if value.fraction else "")
    return f"{value.count} {part}".rstrip()


def _fraction_text(value: Fraction) -> str:
    """A fraction as the schema wants it: always with a denominator, which is never 1."""
    scale = 2 if value.denominator == 1 else 1
    return f"{value.numerator * scale}/{value.denominator * scale}"


def lean(text: str) -> Lean:
    direction, _, amount = text.partition(" ")
    return Lean(direction, int(amount or 1))


def lean_text(value: Lean) -> str:
    return value.direction + (f" {value.amount}" if value.amount > 1 else "")


def beats(text: str) -> tuple[Beat, ...]:
    return tuple(Beat(word) for word in text.split(" "))


def beats_text(value: tuple[Beat, ...]) -> str:
    return " ".join(value)


def listed(text: str) -> tuple[str, ...]:
    """Words parted by commas."""
    return tuple(word.strip() for word in text.split(","))


def listed_text(value: tuple[str, ...]) -> str:
    return ", ".join(value)


def height(text: str) -> Height:
    for sign in "+-":
        line, found, offset = text.partition(sign)
        if found:
            return Height(line, Decimal(sign + offset))
    return Height(text)


def height_text(value: Height) -> str:
    return value.line + (f"{value.offset:+}" if value.offset else "")


def amount(text: str) -> Fraction:
    """So many turns or counts, whole ones and parts: 1 1/4."""
    return sum((Fraction(part) for part in text.split(" ")), Fraction(0))


def amount_text(value: Fraction) -> str:
    whole, part = divmod(value, 1)
    return " ".join(str(each) for each in (whole, part) if each)
