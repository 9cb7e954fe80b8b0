"""Sentences about a score: its music and its starting position, in a language of the labels.

In: values of a score, the schools that read and print the names, the language. Out: plain
text. Numbers never stand without what they number ("first" is always "arms in first" or
"feet in first").
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from stavebound.dance.state import BARRE
from stavebound.score.model import HandChange, Music, Score
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import own_name
from stavebound.trade.tables import School
from stavebound.wording.labels import ENGLISH, labels
from stavebound.wording.starting import said
from stavebound.wording.translation import name_in


def in_words(number: int, language: str) -> str:
    """A number up to eight in words, above in figures."""
    words = labels(language)["numbers"].split()
    return words[number - 1] if number <= len(words) else str(number)


def counts_said(music: Music, language: str) -> str:
    """How counts and bars go together, as a sentence."""
    if music.bars_per_count:
        said = _counted(music.bars_per_count, ("bar_to_a_count", "bars_to_a_count"), language)
    else:
        said = _counted(music.counts_per_bar or 1, ("count_to_a_bar", "counts_to_a_bar"), language)
    return _sentence(said)


def music_facts(music: Music, with_tempo: bool, language: str) -> tuple[str, ...]:
    """Tempo where it is asked for, and introduction, each as a short phrase."""
    return tuple(_music_facts(music, with_tempo, language))


def _music_facts(music: Music, with_tempo: bool, language: str) -> Iterator[str]:
    if music.tempo and with_tempo:
        yield labels(language)["tempo_said"].format(tempo=music.tempo)
    if music.introduction:
        kinds = ("introduction_of_one", "introduction_of")
        yield _counted(music.introduction, kinds, language)


def _counted(number: int, labelled: tuple[str, str], language: str) -> str:
    """By the label for one, or by that for several."""
    one, several = labelled
    return labels(language)[one if number == 1 else several].format(
        number=in_words(number, language)
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def status_words(score: Score, language: str) -> str:
    """How far a score has come and when it was changed last; empty where it says neither."""
    words = labels(language)
    status = words[f"status_{score.status}"] if score.status else ""
    day = day_words(score.date, words) if score.date else ""
    return _sentence(", ".join(filter(None, (status, day))))


def day_words(day: date, words: Mapping[str, str]) -> str:
    month = words["months"].split()[day.month - 1]
    number = words["first_day"] if day.day == 1 else str(day.day)
    return f"{number}\u00a0{month} {day.year}"


def start_words(
    score: Score,
    read: School,
    printed: School,
    catalogue: Catalogue,
    language: str,
    *,
    barre: bool = True,
) -> str:
    """The starting position in words, names as the printing school has them. The hand on the
    barre is said last, of the barre itself; without `barre`, where another line says it, not."""
    words = labels(language)
    departing = {row.name: row.said for row in catalogue.departures.value}

    def names(part: str, name: str) -> str:
        if part == "departure" and language == ENGLISH:
            return departing[name]
        return name_in(language, part, own_name(name, printed) if part == "arms" else name)

    held = HandChange(score.barre, departures=(("touching", BARRE),)) if score.barre else None
    changes = (one for one in (score.start.changes if score.start else ()) if one != held)
    parts = [text for one in changes if (text := said(one, words, names, read, catalogue))]
    if score.barre and barre:
        parts.append(words[f"start_barre_{score.barre}"])
    return _sentence(words["join"].join(parts))
