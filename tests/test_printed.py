"""Repeats printed as signs: what is printed once, in which order it is danced, what stays
written out, and a proof that fails where a mark is wrong."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.book.repeats import repeat_picture, shown_bars
from stavebound.build.proving import prove_score
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.system import PlacedMark, PlacedText, System
from stavebound.readback.read import read_svg
from stavebound.readback.repeats import joined
from stavebound.readback.values import Reading
from stavebound.score.form import BarForm, FormError, Leap, expanded, form_features
from stavebound.score.model import Score
from stavebound.score.printed import Printed, with_signs, written_out
from stavebound.score.write import write_score
from stavebound.source.rules import NAMESPACE
from stavebound.svg.draw import draw
from tests.outside.test_repeats import Form, forms, text_of
from tests.readers import KEY
from tests.sources import score_of
from tests.staves import CATALOGUE, FACES, MEASURE, SETTING, engraved, school_of, styled
from tests.strategies import scores
from tests.test_engrave import CASES, FOLDER, page_of, printed_in, score_in

MARKED = [case for case in CASES if case.startswith("repeats")]
START = '<start><feet in="first"/><arms in="bras bas"/></start>'


def signs_of(score: Score) -> Printed:
    return with_signs(score, CATALOGUE, school_of(score))


def of_text(inside: str) -> Score:
    music = '<music metre="4/4" counts-per-bar="4"/>'
    return score_of(f'<score xmlns="{NAMESPACE}" title="R">{music}{START}{inside}</score>')


def phrase(step: str, counts: int = 4, frame: str = "") -> str:
    return (
        f'<phrase counts="{counts}"><frame at="1" step="{step}">'
        f'<knees bend="half"/>{frame}</frame><frame at="3"><knees bend="none"/></frame></phrase>'
    )


A, B, C, D = (phrase(step) for step in "ABCD")


# ---------------------------------------------------------------- the order


@settings(max_examples=100)
@given(forms())
def test_what_is_printed_is_danced_as_the_written_out_score(form: Form) -> None:
    """Every bar is a phrase of its own, named by its number."""
    score = score_of(text_of(form))
    printed = signs_of(score)
    steps = [one.frames[0].step for one in printed.score.phrases]
    assert expanded(printed.bars) == printed.order
    assert [steps[at] for at in printed.order] == [one.frames[0].step for one in score.phrases]
    assert len(set(steps)) == len(steps)


PLAIN, OPENS, CLOSES = BarForm(), BarForm(opens=True), BarForm(closes=2)
ALONE = BarForm(opens=True, closes=2)
FINE = BarForm(after=("fine",))
FIRST, LAST = BarForm(ending=(1,), closes=2, closed=True), BarForm(ending=(2,))
TWO_OF_THREE, THIRD = BarForm(ending=(1, 2), closes=2, closed=True), BarForm(ending=(3,))
AL_FINE = BarForm(leap=Leap("da-capo", "fine"))
IN_FULL = BarForm(leap=Leap("da-capo", "fine", repeats=True))
AL_CODA = BarForm(leap=Leap("dal-segno", "coda"))
SEGNO, CODA = BarForm(before=("segno",)), BarForm(before=("coda",))
TO_CODA = BarForm(after=("to-coda",))


@pytest.mark.parametrize(
    ("bars", "order"),
    [
        ((OPENS, CLOSES, PLAIN), (1, 2, 1, 2, 3)),
        ((BarForm(opens=True, closes=3), ALONE, PLAIN), (1, 1, 1, 2, 2, 3)),
        ((OPENS, TWO_OF_THREE, THIRD, PLAIN), (1, 2, 1, 2, 1, 3, 4)),
        ((PLAIN, FINE, AL_FINE), (1, 2, 3, 1, 2)),
        ((PLAIN, SEGNO, TO_CODA, AL_CODA, CODA), (1, 2, 3, 4, 2, 3, 5)),
        ((OPENS, FIRST, LAST, FINE, AL_FINE), (1, 2, 1, 3, 4, 5, 1, 3, 4)),
        ((ALONE, FINE, IN_FULL), (1, 1, 2, 3, 1, 1, 2)),
        ((PLAIN, BarForm(leap=Leap("da-capo"))), (1, 2, 1, 2)),
    ],
)
def test_the_order_is_that_of_every_musician(
    bars: tuple[BarForm, ...], order: tuple[int, ...]
) -> None:
    """Worked out by hand."""
    assert tuple(at + 1 for at in expanded(bars)) == order


@pytest.mark.parametrize(
    "bars",
    [
        (OPENS, PLAIN),
        (PLAIN, CLOSES),
        (OPENS, OPENS, CLOSES),
        (PLAIN, LAST),
        (PLAIN, AL_FINE),
        (FINE, FINE, AL_FINE),
        (FINE, AL_FINE, AL_FINE),
        (OPENS, FIRST, THIRD),
        (PLAIN, TO_CODA, AL_CODA, CODA),
    ],
)
def test_signs_that_tell_no_order_are_refused(bars: tuple[BarForm, ...]) -> None:
    with pytest.raises(FormError):
        expanded(bars)


# ---------------------------------------------------------------- what stays written out


ENDED = "<ending>{}</ending><ending>{}</ending>"
TURNED = phrase("A", frame='<feet in="second" by="spring"/>')
TWO_MORE = "<da-capo/><da-capo/>"
BREATH = A.replace("<frame", '<phrasing from="3" to="1"/><frame', 1)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        (f"<repeat>{A}{B}</repeat>{C}", "A B C"),
        (f'<repeat times="4">{A}</repeat>', "A"),
        (f"<repeat>{A}{ENDED.format(B, C)}</repeat>{D}", "A B C D"),
        (f"{A}<fine/>{B}<da-capo to='fine'/>", "A B"),
        (f"{A}<segno/>{B}<to-coda/>{C}<dal-segno to='coda'/><coda/>{D}", "A B C D"),
        # A repeat in a repeat is written out, and the outer one is not.
        (f"<repeat>{A}<repeat>{B}</repeat></repeat>{C}", "A B B C"),
        # After the jump a repeat that is written out is danced once, and signs do not say so.
        (f"<repeat>{A}<repeat>{B}</repeat></repeat><da-capo/>", "A B B A B"),
        # Several jumps.
        (f"{A}{TWO_MORE}", "A A A"),
        # The second time begins in another position, and the spring looks otherwise.
        (f"<repeat>{TURNED}</repeat>", "A A"),
        # Nothing says the last time where it has no ending of its own.
        (f'<repeat times="2">{A}<ending>{B}</ending></repeat>{C}', "A B A C"),
        # Endings that do not come in the order of their times.
        (f'<repeat times="3">{A}<ending of="1 3">{B}</ending><ending of="2">{C}</ending></repeat>',
         "A B A C A B"),
        # No bar line at the end of six counts.
        (f"<repeat>{phrase('A', 6)}</repeat>", "A A"),
        # A breath from the first time into the second.
        (f"<repeat>{BREATH}</repeat>", "A A"),
        # An upbeat is not danced again.
        (f'<upbeat counts="1"><frame at="4"/></upbeat>{A}<da-capo/>', "A A"),
        # One repeat stays, the other is printed.
        (f"<repeat>{phrase('A', 6)}{phrase('B', 2)}</repeat><repeat>{phrase('C', 6)}</repeat>{D}",
         "A B C C D"),
    ],
)  # fmt: skip
def test_what_signs_would_not_tell_stays_written_out(text: str, printed: str) -> None:
    found = signs_of(of_text(text))
    steps = (frame.step for one in found.score.phrases for frame in one.frames)
    assert " ".join(filter(None, steps)) == printed


def test_a_score_without_repeats_is_printed_as_it_is() -> None:
    score = of_text(A + B)
    assert signs_of(score) == written_out(score, CATALOGUE, school_of(score))


# ---------------------------------------------------------------- printed, and read back


def repeated(score: Score, first: int, times: int, ended: bool) -> Score:
    """The score with its phrases from `first` on in a repeat, the last as an ending for every
    time if it is `ended`."""
    parts = re.split(r"(<phrase .*?</phrase>)", write_score(score), flags=re.DOTALL)
    places = [at for at, part in enumerate(parts) if part.startswith("<phrase")]
    first = min(first, len(places) - 1)
    own = [parts[at] for at in places[first:]]
    body, last = own[:-1], own[-1]
    if ended and body:
        again = re.sub(r' id="[^"]*"', "", last)
        own = [*body, f"<ending>{last}</ending>", *[f"<ending>{again}</ending>"] * (times - 1)]
    for at in places[first:]:
        parts[at] = ""
    parts[places[first]] = f'<repeat times="{times}">{"".join(own)}</repeat>'
    return score_of("".join(parts))


@settings(max_examples=60)
@given(scores(), st.integers(0, 2), st.integers(2, 4), st.booleans(), st.sampled_from([7, 9, 14]))
def test_random_scores_with_repeats_are_read_back_and_danced_as_written(
    score: Score, first: int, times: int, ended: bool, height: int
) -> None:
    """Whether all of it, some or none is printed as signs."""
    setting = styled(f'<stave height="{height}"/>')
    score = repeated(score, first, times, ended)
    printed = signs_of(score)
    outcome = engrave(printed.score, school_of(score), 200.0, setting, printed)
    if outcome.value is None or outcome.diagnostics:
        return
    assert prove_score(outcome.value, printed.score, setting, printed) == ()


def lines_of(engraved_: Engraved) -> list[Reading]:
    """What the ink of every line says."""
    readings = [
        read_svg(draw(system, FACES), "line.svg", KEY, FACES).value for system in engraved_.systems
    ]
    return [reading for reading in readings if reading]


def bars_read(readings: list[Reading], upbeat: int) -> list[list[object]]:
    """The frames of every bar as they were read: count, limbs and words; those of an upbeat
    left out, which has so many bar lines."""
    found: dict[int, list[object]] = {}
    before = -upbeat
    for reading in readings:
        for frame in reading.frames:
            limbs = [(type(read).__name__, read.limbs) for read in frame.limbs]
            said = (
                frame.count,
                limbs,
                frame.step,
                sorted(f"{way.kind} {way.limb}" for way in frame.ways),
            )
            found.setdefault(before + frame.bar, []).append(said)
        before += reading.bars
    return [found.get(at, []) for at in range(max(found) + 1)]


@pytest.mark.parametrize("case", MARKED)
def test_what_is_read_is_danced_as_the_written_out_score_reads(case: str) -> None:
    """The bars of the ink, put one after the other as its signs say, are the bars of the ink of
    the written-out score."""
    score, printed = score_in(case), printed_in(case)
    upbeat = 1
    marked = lines_of(page_of(case, False).result)
    plain = bars_read(lines_of(engraved(score)), upbeat)
    forms_read = joined(reading.form for reading in marked)[upbeat:]
    once = bars_read(marked, upbeat)
    assert printed.parts
    assert len(plain) > len(once)
    assert [once[at] for at in expanded(forms_read)] == plain


# ---------------------------------------------------------------- marks that are wrong


def changed(case: str, change: Callable[[System], System | None]) -> list[Engraved]:
    """The case with one of its lines changed, for each that can be."""
    result = page_of(case, False).result
    found = []
    for at, system in enumerate(result.systems):
        if (other := change(system)) is not None:
            systems = (*result.systems[:at], other, *result.systems[at + 1 :])
            found.append(replace(result, systems=systems))
    return found


def other_mark(
    at: int, change: Callable[[PlacedMark], PlacedMark | None]
) -> Callable[[System], System | None]:
    def apply(system: System) -> System | None:
        (stave,) = system.staves
        if at >= len(stave.marks):
            return None
        marks = list(stave.marks)
        new = change(marks.pop(at))
        own = replace(stave, marks=(*marks, *((new,) if new else ())))
        return replace(system, staves=(own,))

    return apply


def other_text(
    at: int, change: Callable[[PlacedText], PlacedText | None]
) -> Callable[[System], System | None]:
    def apply(system: System) -> System | None:
        own = [text for text in system.texts if text.lane == "repeat"]
        if at >= len(own):
            return None
        new = change(own[at])
        others = tuple(text for text in system.texts if text is not own[at])
        return replace(system, texts=(*others, *((new,) if new else ())))

    return apply


def mark_moved(dx: float, dy: float) -> Callable[[PlacedMark], PlacedMark]:
    return lambda mark: replace(
        mark, figures=tuple(figure.moved(dx, dy) for figure in mark.figures)
    )


ANOTHER: dict[str, str] = {
    "1.": "2.", "2.": "3.", "3.": "4.", "1. 2.": "1. 3.", "×4": "×5", "Fine": "Fino",
    "To Coda": "Two Coda", "D.S. al Coda": "D.C. al Coda",
    "D.C. al Fine, with repeats": "D.C. al Fine",
}  # fmt: skip
MARK_CHANGES: dict[str, Callable[[PlacedMark], PlacedMark | None]] = {
    "gone": lambda mark: None,
    "moved across": mark_moved(0.05, 0.0),
    "lacking a piece": lambda mark: replace(mark, figures=mark.figures[:-1]),
}
TEXT_CHANGES: dict[str, Callable[[PlacedText], PlacedText | None]] = {
    "gone": lambda text: None,
    "moved across": lambda text: replace(text, x=text.x - 0.05),
    "another": lambda text: replace(text, text=ANOTHER[text.text]),
    "slanted": lambda text: replace(text, italic=True),
}


@pytest.mark.parametrize("case", MARKED)
@pytest.mark.parametrize("at", range(8))
def test_the_proof_fails_where_a_mark_or_a_word_is_wrong(case: str, at: int) -> None:
    changes = [other_mark(at, change) for change in MARK_CHANGES.values()]
    changes += [other_text(at, change) for change in TEXT_CHANGES.values()]
    printed = printed_in(case)
    for change in changes:
        for wrong in changed(case, change):
            assert prove_score(wrong, printed.score, SETTING, printed)


@pytest.mark.parametrize("case", MARKED)
def test_the_proof_fails_where_bar_lines_are_wrong(case: str) -> None:
    """Every bar line of a repeat with its lines as thick as each other, or gone."""
    printed = printed_in(case)
    for width in (0.07, None):
        for at in range(len(page_of(case, False).result.systems[0].staves[0].rules)):
            for wrong in changed(case, other_rule(at, width)):
                assert prove_score(wrong, printed.score, SETTING, printed)


def other_rule(at: int, width: float | None) -> Callable[[System], System | None]:
    """A line of this width in place of a heavy one, or none."""

    def apply(system: System) -> System | None:
        (stave,) = system.staves
        if at >= len(stave.rules) or stave.rules[at].width < 0.1:
            return None
        rules = list(stave.rules)
        rule = rules.pop(at)
        new = (replace(rule, width=width),) if width else ()
        return replace(system, staves=(replace(stave, rules=(*rules, *new)),))

    return apply


def test_a_fault_of_a_mark_stands_at_its_repeat() -> None:
    case = "repeats-and-endings"
    printed = printed_in(case)
    other = replace(printed, bars=(*printed.bars[:-1], BarForm(opens=True, closes=5)))
    (fault,) = prove_score(page_of(case, False).result, printed.score, SETTING, other)
    assert fault.code == "R201"
    assert fault.span is not None
    lines = (FOLDER / f"{case}.xml").read_text(encoding="utf-8").splitlines()
    assert '<repeat times="4">' in lines[fault.span.line - 1]
    assert "danced 4 times" in fault.message


def test_the_proof_fails_where_signs_tell_another_order() -> None:
    """Each mark alone is as it should be, and all of them together say something else."""
    case = "repeats-and-endings"
    printed = printed_in(case)
    other = replace(printed, order=printed.order[1:])
    (fault,) = prove_score(page_of(case, False).result, printed.score, SETTING, other)
    assert fault.message.startswith("the ink says the bars 1 2 1 2 3")


@pytest.mark.parametrize("name", ["segno", "coda"])
def test_the_proof_fails_where_a_drawing_is_another(name: str) -> None:
    repeats = CATALOGUE.repeats
    signs = {row.name: row for row in repeats.sign}
    other = next(row for row in repeats.sign if row.name != name)
    swapped = tuple(
        row.model_copy(update={"strokes": other.strokes, "curves": other.curves})
        if row.name == name
        else row
        for row in signs.values()
    )
    catalogue = replace(CATALOGUE, repeats=repeats.model_copy(update={"sign": swapped}))
    setting = replace(SETTING, catalogue=catalogue)
    printed = printed_in("repeats-dal-segno")
    page = engraved(printed.score, MEASURE, setting, printed)
    assert prove_score(page, printed.score, setting, printed)


# ---------------------------------------------------------------- the key


EVERY_FEATURE = (
    BarForm(opens=True, closes=3, ending=(1,), before=("segno", "coda"), after=("fine", "to-coda")),
    BarForm(leap=Leap("da-capo")),
    BarForm(leap=Leap("dal-segno")),
)


def test_the_key_has_a_row_for_each_feature_and_each_shows_it() -> None:
    rows = CATALOGUE.repeats.key
    assert [row.feature for row in rows] == list(dict.fromkeys(row.feature for row in rows))
    assert {row.feature for row in rows} == form_features(EVERY_FEATURE)
    for row in rows:
        assert row.feature in form_features(shown_bars(row))
        assert repeat_picture(row, SETTING, CATALOGUE.schools.school[0]).startswith("<svg")
