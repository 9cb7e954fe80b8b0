"""Sentences about a score: its music and its starting position, in a language of the labels.

In: values of a score, the schools that read and print the names, the language. Out: plain
text. Numbers never stand without what they number ("first" is always "arms in first" or
"feet in first").
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

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
)
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import arms_shape, hand_shape
from stavebound.trade.tables import School
from stavebound.wording.labels import labels
from stavebound.wording.translation import name_in


def in_words(number: int, language: str) -> str:
    """A number up to eight in words, above in figures."""
    words = labels(language)["numbers"].split()
    return words[number - 1] if number <= len(words) else str(number)


def music_facts(music: Music, with_tempo: bool, language: str) -> tuple[str, ...]:
    """Counts, tempo where it is asked for, and introduction, each as a short phrase."""
    return tuple(_music_facts(music, with_tempo, language))


def _music_facts(music: Music, with_tempo: bool, language: str) -> Iterator[str]:
    words = labels(language)

    def counted(number: int, one: str, several: str) -> str:
        return words[one if number == 1 else several].format(number=in_words(number, language))

    if music.bars_per_count:
        yield counted(music.bars_per_count, "bar_to_a_count", "bars_to_a_count")
    else:
        yield counted(music.counts_per_bar or 1, "count_to_a_bar", "counts_to_a_bar")
    if music.tempo and with_tempo:
        yield words["tempo_said"].format(tempo=music.tempo)
    if music.introduction:
        yield counted(music.introduction, "introduction_of_one", "introduction_of")


def start_words(
    score: Score, read: School, printed: School, catalogue: Catalogue, language: str
) -> str:
    """The starting position in words, names as the printing school has them."""
    words = labels(language)

    def name(plain: str) -> str:
        return name_in(language, "arms", printed_name(plain, printed))

    changes = score.start.changes if score.start else ()
    parts = [text for change in changes if (text := _said(change, read, catalogue, name, language))]
    if score.barre:
        parts.append(words[f"start_barre_{score.barre}"])
    text = words["join"].join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def printed_name(plain: str, school: School) -> str:
    """A shape of the arms as a school names it, or in plain English where it does not."""
    return school.arms.get(plain, plain)


def _said(
    change: Change, read: School, catalogue: Catalogue, name: Callable[[str], str], language: str
) -> str:
    """`name` gives the shape of an arm, or of both, as it is printed."""
    words = labels(language)
    match change:
        case FeetChange(position, front, rise) if position:
            return words["start_feet"].format(
                position=name_in(language, "feet", position),
                rise=words[f"rise_{rise.replace(' ', '_')}"] if rise else "",
                front=_of_side("start_front", front, words),
            )
        case ArmsChange(written, lead):
            shape = arms_shape(catalogue, read, written)
            return words["start_arms"].format(
                shape=name(shape.name if shape else written),
                lead=_of_side("start_lead", lead, words),
            )
        case HandChange(side, written) if written:
            hand = hand_shape(catalogue, read, written)
            shape_said = name(hand.name if hand else written)
            return words["start_arm"].format(side=words[f"limb_{side}"], shape=shape_said)
        case FootChange(side, way, place, raised) if way and (raised or place):
            said = words["start_raised" if raised else "start_free"]
            return said.format(
                side=words[f"limb_{side}"],
                degrees=raised,
                place=name_in(language, "place", place) if place else "",
                way=words[f"way_{way}"],
            )
        case FacingChange(to):
            eighth = direction_of(to, read)
            if eighth is None:
                return ""
            direction = words[f"facing_{DIRECTIONS[eighth].replace(' ', '_')}"]
            return words["start_facing"].format(direction=direction)
    return ""


def _of_side(sentence: str, side: Side | None, words: Mapping[str, str]) -> str:
    return words[sentence].format(side=words[f"limb_{side}"]) if side else ""
