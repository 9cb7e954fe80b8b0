"""The one number formatter: millimetres to a thousandth, no trailing noughts."""

from __future__ import annotations


def number(value: float) -> str:
    """The shortest text of a length to three places; never "-0"."""
    text = f"{value:.3f}"
    if text[-1] != "0":
        return text
    text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
