"""The notator's hand: what shorthand unfolds to, what is wrong with it, and laws that hold of it.

A case is a score in cases/unfold; its comment says what the reference beside it
must show. A case whose name begins with "bad" says in comments what is to be
found in it, as the cases of `check` do.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.build.checking import check_files
from stavebound.build.loading import load
from stavebound.build.unfolding import unfold_file
from stavebound.build.values import open_house
from stavebound.codes import load_codes
from stavebound.diagnostics import Diagnostic, Span, has_errors, told
from stavebound.score.counts import time_line
from stavebound.score.model import Division
from stavebound.score.unfolding.exchange import EXCHANGES
from stavebound.score.unfolding.lines import counted, time_of
from stavebound.score.unfolding.unfold import unfold
from stavebound.score.unfolding.values import Hand
from stavebound.score.write import write_score
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_plain_schema
from stavebound.source.validate import validate
from tests.support.any_shorthand import any_shorthand
from tests.support.expectations import EXPECTATION
from tests.support.references import orphans, reference
from tests.support.sources import score_of, source_of

FOLDER = Path(__file__).parent / "cases" / "unfold"
GOOD = sorted(path for path in FOLDER.glob("*.xml") if not path.name.startswith("bad"))
BAD = sorted(FOLDER.glob("bad*.xml"))
PLAIN = load_plain_schema()
HOUSE = open_house()
NOWHERE = Span("", 1, 1)


# ---------------------------------------------------------------- cases


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_a_case_unfolds_as_its_reference_says(path: Path, update_references: bool) -> None:
    report, text = unfold_file(path, HOUSE.catalogue)
    assert not report.diagnostics
    reference(path.with_suffix(".txt"), text or "", update_references)


def test_each_reference_has_a_case() -> None:
    assert not orphans(FOLDER, "*.txt", [path.with_suffix(".txt") for path in GOOD])


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_what_a_case_unfolds_to_is_plain_and_stays_as_it_is(path: Path) -> None:
    score = score_of(path.read_text(encoding="utf-8"))
    text = write_score(score)
    assert validate(source_of(text).root, PLAIN) == ()
    assert score_of(text) == score


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_a_case_is_checked_engraved_and_proved(path: Path) -> None:
    assert check_files([path], HOUSE).diagnostics == ()


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_case_has_its_faults(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    wanted = [
        (number, match[2], match[3])
        for number, line in enumerate(lines, 1)
        for match in EXPECTATION.finditer(line)
    ]
    faults = told(load(path, path.name).diagnostics)
    assert sorted(_found(fault, lines) for fault in faults) == sorted(wanted)
    assert all(fault.hints for fault in faults)


def _found(fault: Diagnostic, lines: list[str]) -> tuple[int, str, str]:
    assert fault.span is not None
    start = fault.span.column - 1
    caret = lines[fault.span.line - 1][start : start + fault.span.length]
    return (fault.span.line, fault.code, caret)


# ---------------------------------------------------------------- places


def shorthand(inside: str) -> str:
    """A score whose `inside` begins at line 2."""
    music = '<music metre="2/4" counts-per-bar="2"/>'
    start = '<start><feet in="first"/><arms in="second"/></start>'
    return (
        f'<score xmlns="{NAMESPACE}" title="Short" working="right">{music}{start}\n{inside}</score>'
    )


def checked(text: str, folder: Path) -> list[tuple[str, int, tuple[int, ...]]]:
    """Code and line of all that is said of a score, with the lines where it is used."""
    path = folder / "score.xml"
    path.write_text(text, encoding="utf-8")
    return [
        (fault.code, fault.span.line, tuple(span.line for span, _ in fault.related))
        for fault in told(check_files([path], HOUSE).diagnostics)
        if fault.span
    ]


def test_a_plain_side_is_told_with_the_places_where_it_is_danced_to_the_other(
    tmp_path: Path,
) -> None:
    text = shorthand("""<phrase counts="2">
<frame at="1"><arms in="first"/><cue>Look left.</cue></frame>
</phrase>
<again side="other"/>
<phrase counts="2"><frame at="1"><arms in="second"/></frame></phrase>
<again phrases="3" side="other"/>
""")
    assert checked(text, tmp_path) == [("U117", 3, (5, 7))]


def test_a_fault_in_a_definition_points_at_the_definition_and_at_its_uses(tmp_path: Path) -> None:
    text = shorthand("""<define step="arms" counts="1">
<frame at="1"><arms in="secnod"/></frame>
</define>
<define step="both" counts="2">
<do step="arms"/>
</define>
<phrase counts="4">
<do step="both"/>
</phrase>
<phrase counts="4">
<do step="both"/>
</phrase>""")
    assert checked(text, tmp_path) == [("T322", 3, (6, 9, 12))]


def test_what_is_danced_again_is_faulty_where_it_was_written(tmp_path: Path) -> None:
    text = shorthand("""<phrase counts="4">
<frame at="1"><arms in="secnod"/></frame>
</phrase>
<again/>""")
    assert checked(text, tmp_path) == [("T322", 3, (5,))]


def test_what_is_at_fault_in_another_way_each_time_is_told_once(tmp_path: Path) -> None:
    """A quarter turn that nobody has turned back: each time the dancer faces elsewhere."""
    text = shorthand("""<repeat times="4"><phrase counts="2">
<frame at="1"><turn to="left" by="1/4" on="both"/></frame>
<frame at="2"><facing to="front"/></frame>
</phrase></repeat>
<again/>
<again times="3" side="other"/>""")
    assert checked(text, tmp_path) == [("T422", 4, (3, 2, 6, 7))]
    report = check_files([tmp_path / "score.xml"], HOUSE)
    assert len({fault.message for fault in report.diagnostics}) > 2
    assert told(report.diagnostics)[0].message == "the dancer faces left here, not front"


def test_two_tempi_of_two_lines_at_one_moment_are_told_to_be_of_one_frame(tmp_path: Path) -> None:
    text = shorthand("""<phrase counts="2">
<frame at="1"><tempo counts="60">slow</tempo></frame>
<over><frame at="1"><tempo counts="90">quick</tempo></frame></over>
</phrase>""")
    assert [fault[0] for fault in checked(text, tmp_path)] == ["S110"]
    (fault,) = check_files([tmp_path / "score.xml"], HOUSE).diagnostics
    assert fault.hints[-1] == "Frames of two lines at one moment become one frame."


def test_faults_of_what_a_step_is_given_are_told_each(tmp_path: Path) -> None:
    text = shorthand("""<define step="arms" counts="1" takes="arms"><frame at="1">
<arms in="{arms}"/></frame></define>
<phrase counts="2">
<do step="arms" with="arms secnod"/>
<do step="arms" with="arms thrid"/>
</phrase>
<again/>""")
    assert checked(text, tmp_path) == [("T322", 3, (5, 8)), ("T322", 3, (6, 8))]


def test_a_fault_that_comes_with_a_repetition_points_at_it(tmp_path: Path) -> None:
    """The other leg's foot stands at the knee of a leg that is in the air already."""
    text = shorthand("""<phrase counts="2">
<frame at="1"><foot side="right" to="side" raised="45"/></frame>
</phrase>
<again working="left"/>""")
    assert checked(text, tmp_path) == [("T354", 3, (5,))]


def test_a_step_too_long_for_its_phrase_points_at_the_step_and_its_use(tmp_path: Path) -> None:
    text = shorthand("""<define step="bends" counts="2">
<frame at="2"><knees bend="half"/></frame>
</define>
<phrase counts="4">
<do step="bends" at="4"/>
</phrase>""")
    assert checked(text, tmp_path) == [("T301", 3, (5, 6))]


def test_a_cue_of_a_phrase_is_that_of_a_frame_at_its_count() -> None:
    """The frame that is there, or one of its own; without a count, that of the first."""
    typed = shorthand("""<phrase counts="4"><cue>Horns</cue><cue at="2 and">Wait</cue>
<frame at="1"><knees bend="half"/><cue>deep</cue></frame>
</phrase>""")
    plain = shorthand("""<phrase counts="4">
<frame at="1"><knees bend="half"/><cue>deep; Horns</cue></frame>
<frame at="2 and"><cue>Wait</cue></frame>
</phrase>""")
    unfolded = [unfold(source_of(text).root).value for text in (typed, plain)]
    assert unfolded[0]
    assert unfolded[1]
    assert unfolded[0].score == unfolded[1].score


def test_a_cue_beyond_its_phrase_is_told_at_its_count(tmp_path: Path) -> None:
    text = shorthand("""<phrase counts="4"><frame at="1"/>
<cue at="9">Too late</cue></phrase>""")
    assert checked(text, tmp_path) == [("T301", 3, (2,))]


def test_a_step_danced_too_often_for_its_phrase_is_one_fault(tmp_path: Path) -> None:
    text = shorthand("""<define step="bends" counts="2">
<frame at="1"><knees bend="half"/></frame>
<frame at="2"><knees bend="none"/></frame>
</define>
<phrase counts="4">
<do step="bends" times="4"/>
<frame at="9"><arms in="first"/></frame>
</phrase>""")
    assert checked(text, tmp_path) == [("T301", 3, (6, 7)), ("T301", 8, (6,))]
    fault, _ = told(check_files([tmp_path / "score.xml"], HOUSE).diagnostics)
    assert "What is danced here goes on to count 8." in fault.hints


def test_a_fault_of_many_uses_is_told_once_with_some_of_them() -> None:
    places = [Span("a.xml", line, 1) for line in range(1, 7)]
    faults = [Diagnostic("T322", "x", Span("s.xml", 9, 9, 2, (place,))) for place in places]
    (fault,) = told(faults)
    assert fault.span == Span("s.xml", 9, 9, 2)
    assert [span for span, _ in fault.related] == places[:3]
    assert fault.hints == ("The same in 3 more uses.",)
    alone = Diagnostic("T322", "x", Span("s.xml", 9, 9, 2))
    assert told([*faults, alone]) == (alone,)


# ---------------------------------------------------------------- shared steps


STEPS = f"""<steps xmlns="{NAMESPACE}">
<define step="bend" counts="1" takes="bend half">
<frame at="1"><knees bend="{{bend}}"/></frame>
</define>
</steps>"""


def test_steps_come_from_a_shared_file(tmp_path: Path) -> None:
    (tmp_path / "book.xml").touch()
    (tmp_path / "steps.xml").write_text(STEPS, encoding="utf-8")
    (tmp_path / "scores").mkdir()
    score = tmp_path / "scores" / "score.xml"
    score.write_text(
        shorthand('<steps from="../steps.xml"/><phrase counts="2"><do step="bend"/></phrase>'),
        encoding="utf-8",
    )
    report, text = unfold_file(score, HOUSE.catalogue)
    assert not report.diagnostics
    assert text is not None
    assert '<knees bend="half"/>' in text
    assert check_files([tmp_path / "steps.xml", score], HOUSE).diagnostics == ()


@pytest.mark.parametrize(
    ("name", "code"), [("stepps.xml", "B601"), ("score.xml", "B603"), ("broken.xml", "S106")]
)
def test_a_file_of_steps_that_cannot_be_used_is_told(name: str, code: str, tmp_path: Path) -> None:
    (tmp_path / "steps.xml").write_text(STEPS, encoding="utf-8")
    (tmp_path / "broken.xml").write_text(STEPS.replace("{bend}", "haf"), encoding="utf-8")
    path = tmp_path / "score.xml"
    inside = f'<steps from="{name}"/><phrase counts="2"><frame at="1"/></phrase>'
    path.write_text(shorthand(inside), encoding="utf-8")
    loaded = load(path, str(path))
    assert [fault.code for fault in loaded.diagnostics] == [code]
    assert all(fault.span and fault.span.path in loaded.texts for fault in loaded.diagnostics)


def test_a_book_keeps_its_steps_in_its_folder(tmp_path: Path) -> None:
    (tmp_path / "book").mkdir()
    (tmp_path / "steps.xml").write_text(STEPS, encoding="utf-8")
    inside = '<steps from="../steps.xml"/><phrase counts="2"><do step="bend"/></phrase>'
    (tmp_path / "book" / "score.xml").write_text(shorthand(inside), encoding="utf-8")
    book = tmp_path / "book" / "book.xml"
    book.write_text(
        f'<book xmlns="{NAMESPACE}" title="A book" date="2026-03-02">'
        '<chapter title="One"><exercise score="score.xml"/></chapter></book>',
        encoding="utf-8",
    )
    found = [fault.code for fault in check_files([book], HOUSE).diagnostics]
    assert "B602" in found


# ---------------------------------------------------------------- laws


@settings(max_examples=80)
@given(any_shorthand())
def test_any_shorthand_unfolds_to_a_plain_score_or_is_told_what_is_wrong(text: str) -> None:
    """Where one comes out it is plain, and reads the same when it is printed."""
    outcome = unfold(source_of(text).root)
    for fault in outcome.diagnostics:
        assert fault.code in load_codes()
        assert fault.hints
        assert fault.span is not None
        assert (fault.span.path, fault.span.line) == ("example.xml", 1)
    assert (outcome.value is None) == has_errors(outcome.diagnostics)
    if outcome.value is not None:
        score = outcome.value.score
        assert score_of(write_score(score)) == score
        assert validate(source_of(write_score(score)).root, PLAIN) == ()
        time_line(score)


def test_every_attribute_that_can_say_a_side_has_its_exchange() -> None:
    """If only to say that it stays as it is; no other has one."""
    keys = ["barre", "start-position", "upbeat", "phrase"]
    for key in keys:
        keys += [inner for inner in PLAIN.rules[key].children.values() if inner not in keys]
    sides = re.compile(r"\b(right|left|front|back|behind)\b")
    known = {
        (PLAIN.rules[key].name, one.name)
        for key in keys
        for one in PLAIN.rules[key].attributes
        if any(sides.search(word.value) for word in one.datatype.words)
        or any(sides.search(form.pattern) for form in one.datatype.forms)
    }
    assert set(EXCHANGES) == known


def test_words_that_exchange_are_words_of_the_dialect() -> None:
    """A row whose words the attribute cannot have would exchange nothing."""
    rules = {rule.name: rule for rule in PLAIN.rules.values()}
    for (element, name), exchange in EXCHANGES.items():
        datatype = next(one.datatype for one in rules[element].attributes if one.name == name)
        words = {part for word in datatype.words for part in word.value.split(" ")}
        for word in {**exchange.other_side, **exchange.reverse}:
            fits = word in words if words else any(word in form.pattern for form in datatype.forms)
            assert fits, (element, name, word)


@given(
    st.fractions(min_value=-8, max_value=90, max_denominator=12),
    st.sampled_from(Division),
    st.integers(1, 9),
)
def test_a_time_is_counted_so_that_it_is_that_time(
    time: Fraction, division: Division, first: int
) -> None:
    hand = Hand({}, division, first=first)
    assert time_of(counted(time, hand), hand) == time
