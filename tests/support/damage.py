"""Damage: a source with one slip that the schema refuses, at a place that a seed chooses."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

TAG = re.compile(r'<([a-z][\w-]*)((?:\s+[\w:-]+="[^"]*")*)\s*(/?)>')
ATTRIBUTE = re.compile(r'\s((?!xmlns)[\w-]+)="([^"]*)"')
OTHER_NAMES = ("hand", "phrase", "note", "zzz")

Slip = Callable[[str, re.Match[str], random.Random], str]


def damaged(text: str, seed: int) -> str:
    """The text with a slip in one of its tags."""
    chance = random.Random(seed)
    tag = chance.choice(list(TAG.finditer(text)))
    return chance.choice(SLIPS)(text, tag, chance)


def _no_value(text: str, tag: re.Match[str], chance: random.Random) -> str:
    return _changed(text, tag, chance, 2, lambda value: "")


def _other_attribute(text: str, tag: re.Match[str], chance: random.Random) -> str:
    return _changed(text, tag, chance, 1, lambda name: f"zz{name}")


def _no_attribute(text: str, tag: re.Match[str], chance: random.Random) -> str:
    return _changed(text, tag, chance, 0, lambda whole: "")


def _changed(
    text: str, tag: re.Match[str], chance: random.Random, group: int, change: Callable[[str], str]
) -> str:
    found = list(ATTRIBUTE.finditer(text, tag.start(2), tag.end(2)))
    if not found:
        return _inside(text, tag, "<zzz/>")
    start, end = chance.choice(found).span(group)
    return text[:start] + change(text[start:end]) + text[end:]


def _other_name(text: str, tag: re.Match[str], chance: random.Random) -> str:
    new = chance.choice((*OTHER_NAMES, f"{tag[1]}e", f"zz{tag[1]}"))
    opened = text[: tag.start(1)] + new
    if tag[3]:
        return opened + text[tag.end(1) :]
    start, end = _end_tag(text, tag)
    return f"{opened}{text[tag.end(1) : start]}</{new}>{text[end:]}"


def _end_tag(text: str, tag: re.Match[str]) -> tuple[int, int]:
    depth = 0
    for other in re.finditer(rf"<(/?){tag[1]}(?=[\s/>])[^>]*?(/?)>", text[tag.start() :]):
        depth += -1 if other[1] else 0 if other[2] else 1
        if depth == 0:
            return tag.start() + other.start(), tag.start() + other.end()
    raise AssertionError(tag[0])


def _child(text: str, tag: re.Match[str], chance: random.Random) -> str:
    return _inside(text, tag, "<zzz/>")


def _text(text: str, tag: re.Match[str], chance: random.Random) -> str:
    return _inside(text, tag, "zz")


def _twice(text: str, tag: re.Match[str], chance: random.Random) -> str:
    again = tag[0] if tag[3] else ""
    return text[: tag.end()] + again + text[tag.end() :]


def _inside(text: str, tag: re.Match[str], what: str) -> str:
    if tag[3]:
        return f"{text[: tag.end() - 2]}>{what}</{tag[1]}>{text[tag.end() :]}"
    return text[: tag.end()] + what + text[tag.end() :]


SLIPS: tuple[Slip, ...] = (
    _no_value,
    _other_attribute,
    _no_attribute,
    _other_name,
    _child,
    _text,
    _twice,
)
