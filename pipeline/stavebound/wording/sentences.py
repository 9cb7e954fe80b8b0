"""Sentences about a score: its music and its starting position, in English.

In: values of a score, the schools that read and print the names. Out: plain
text. Numbers never stand without what they number ("first" is always "arms in
first" or "feet in first").
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.score.lanes import DIRECTIONS, FacingChange, direction_of
from stavebound.score.model import (
    ArmsChange,
    Change,
    FeetChange,
    FootChange,
    HandChange,
    Music,
    Score,
    Side,
    Way,
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_shape
from stavebound.trade.tables import School

COUNT_WORDS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight")
WAYS = {Way.FRONT: "to the front", Way.SIDE: "to the side", Way.BACK: "to the back"}


def in_words(number: int) -> str:
    """A number up to eight in words, above in figures."""
    return COUNT_WORDS[number] if number < len(COUNT_WORDS) else str(number)


def music_facts(music: Music, with_tempo: bool) -> tuple[str, ...]:
    """Counts, tempo where it is asked for, and introduction, each as a short phrase."""
    return tuple(_music_facts(music, with_tempo))


def _music_facts(music: Music, with_tempo: bool) -> Iterator[str]:
    if music.bars_per_count:
        yield f"{in_words(music.bars_per_count)} bars to a count"
    else:
        counts = music.counts_per_bar or 1
        yield f"{_counted(counts)} to a bar"
    if music.tempo and with_tempo:
        yield f"{music.tempo} counts a minute"
    if music.introduction:
        yield f"introduction of {_counted(music.introduction)}"


def _counted(number: int) -> str:
    return f"{in_words(number)} {'count' if number == 1 else 'counts'}"


def start_words(score: Score, read: School, printed: School, catalogue: Catalogue) -> str:
    """The starting position in words, names as the printing school has them."""
    changes = score.start.changes if score.start else ()
    parts = [text for change in changes if (text := _said(change, read, printed, catalogue))]
    if score.barre:
        parts.append(f"the {score.barre} hand on the barre")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def printed_name(plain: str, school: School) -> str:
    """A shape of the arms as a school names it, or in plain English where it does not."""
    return school.arms.get(plain, plain)


def _said(change: Change, read: School, printed: School, catalogue: Catalogue) -> str:
    match change:
        case FeetChange(position, front, rise) if position:
            before = f", {front} foot in front" if front else ""
            on = f" on {rise}" if rise and rise != "whole foot" else ""
            return f"feet in {position}{on}{before}"
        case ArmsChange(name, lead):
            shape = arms_shape(catalogue, read, name)
            words = printed_name(shape.name, printed) if shape else name
            return f"arms in {words}" + (f", {lead} arm leading" if lead else "")
        case HandChange(side, name) if name:
            return _hand_said(side, name, read, printed, catalogue)
        case FootChange(side, way, place, raised):
            return _foot_said(side, way, place, raised)
        case FacingChange(to):
            eighth = direction_of(to, read)
            return "" if eighth is None else f"facing {DIRECTIONS[eighth]}"
    return ""


def _hand_said(side: Side, name: str, read: School, printed: School, catalogue: Catalogue) -> str:
    shape = hand_shape(catalogue, read, name)
    plain = shape.name if shape else name
    return f"{side} arm in {printed_name(plain, printed)}"


def _foot_said(side: Side, way: Way | None, place: str | None, raised: int | None) -> str:
    where = f"raised to {raised}°" if raised else place
    return f"{side} foot {where} {WAYS[way]}" if way and where else ""
