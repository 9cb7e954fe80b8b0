"""Sentences about a score: its music and its starting position, in English.

In: values of a score, the schools that read and print the names. Out: plain
text. Numbers never stand without what they number ("first" is always "arms in
first" or "feet in first").
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.score.model import HandChange, Music, Score
from stavebound.score.state import BARRE
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School
from stavebound.wording.labels import labels
from stavebound.wording.starting import said

COUNT_WORDS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight")


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
    """The starting position in words, names as the printing school has them. The hand on the
    barre is said last, of the barre itself."""
    words = labels("en")

    def names(part: str, name: str) -> str:
        return printed_name(name, printed) if part == "arms" else name

    held = HandChange(score.barre, touching=BARRE) if score.barre else None
    changes = (one for one in (score.start.changes if score.start else ()) if one != held)
    parts = [text for one in changes if (text := said(one, words, names, read, catalogue))]
    if score.barre:
        parts.append(words[f"start_barre_{score.barre}"])
    text = words["join"].join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def printed_name(plain: str, school: School) -> str:
    """A shape of the arms as a school names it, or in plain English where it does not."""
    return school.arms.get(plain, plain)
