"""Words of the class that a beginner writes, and what the messages say was meant."""

from __future__ import annotations

import re

import pytest

from stavebound.book.editions import MAKE_UPS
from stavebound.book.papers import PAPERS
from stavebound.diagnostics import Diagnostic
from stavebound.options import FORMATS
from stavebound.source.datatypes import Datatype, allows
from stavebound.source.meant import folded, load_meant, meant_element, tag_of
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.trade.catalogue import Catalogue
from tests.sources import faults_of, score_of, whole

TABLE = load_meant()
SCHEMA = load_schema()
RULES = tuple(SCHEMA.rules.values())
ATTRIBUTES = tuple(attribute for rule in RULES for attribute in rule.attributes)


def faults_in(text: str) -> tuple[Diagnostic, ...]:
    read = parse_source(text, "example.xml")
    return schema_faults(read.value, SCHEMA) if read.value else read.diagnostics


def caret(text: str, fault: Diagnostic) -> str:
    """The words of the source that stand over the caret."""
    assert fault.span
    start = fault.span.column - 1
    return text.splitlines()[fault.span.line - 1][start : start + fault.span.length]


def score(change: str) -> str:
    return whole(f"<phrase counts='4'>\n<frame at='1'>{change}</frame>\n</phrase>")


def book(inside: str) -> str:
    return (
        f"<book xmlns='{NAMESPACE}' title='A book' date='2026-03-02'>\n"
        f"<chapter title='At the barre'>{inside}<exercise score='a.xml'/></chapter></book>"
    )


@pytest.mark.parametrize(
    ("text", "code", "words", "hint"),
    [
        (score('<knees bend="deep"/>'), "S106", "deep", "“full”"),
        (score('<knees bend="demi-plié"/>'), "S106", "demi-plié", "“half”"),
        (score('<knees bend="grand plié"/>'), "S106", "grand plié", "“full”"),
        (score('<feet on="demi-pointe"/>'), "S106", "demi-pointe", "“half point”"),
        (score('<feet on="Relevé"/>'), "S106", "Relevé", "“half point”"),
        (score('<feet on="flat"/>'), "S106", "flat", "“whole foot”"),
        (score('<feet in="5th" front="left"/>'), "S106", "5th", "“fifth”"),
        (score('<feet in="cinquieme" front="left"/>'), "S106", "cinquieme", "“fifth”"),
        (score('<feet in="first" by="jump"/>'), "S106", "jump", "“spring”"),
        (score('<foot side="R" to="front" place="knee"/>'), "S106", "R", "“right”"),
        (score('<foot side="left" to="devant" place="knee"/>'), "S106", "devant", "“front”"),
        (score('<foot side="left" to="derrière" place="knee"/>'), "S106", "derrière", "“back”"),
        (score('<foot side="left" to="à la seconde" place="knee"/>'), "S106", "à la", "“side”"),
        (score('<foot side="left" to="side" place="tendu"/>'), "S106", "tendu", "“pointed”"),
        (score('<foot side="left" to="side" place="on the floor"/>'), "S106", "on", "“pointed”"),
        (score('<foot side="left" to="side" place="passé"/>'), "S106", "passé", "“knee”"),
        (score('<foot side="left" to="side" raised="45°"/>'), "S106", "45°", "“45”"),
        (score('<turn to="left" by="180" on="both"/>'), "S107", "180", "“1/2”"),
        (score('<facing to="downstage"/>'), "S106", "downstage", "“front”"),
        (score('<facing to="croisé"/>'), "S106", "croisé", "“front left” or “front right”"),
        (score('<head turn="slightly right"/>'), "S107", "slightly right", "“right”"),
        (score('<turn to="left" by="1.5" on="both"/>'), "S107", "1.5", "“1 1/2”"),
        (score('<turn to="left" by="1 and 1/2" on="both"/>'), "S107", "1 and", "“1 1/2”"),
        (whole('<caution about="jumps"/>'), "S106", "jumps", "“springs”"),
        (score('<hand side="left" on="barre"/>'), "S104", "on", "“touching”"),
        (score('<hands in="second"/>'), "S102", "hands", "<arms>"),
        (score('<arms position="2"/>'), "S104", "position", "“in”"),
        (score('<head inclined="left"/>'), "S104", "inclined", "“tilt”"),
        (score("<plié/>"), "S102", "plié", '<knees bend="half"/>'),
        (score('<releve deep="yes"/>'), "S102", "releve", '<feet on="half point"/>'),
        (score("<jump/>"), "S102", "jump", '<feet in="first" by="spring"/>'),
        (score('<arm side="left" in="second"/>'), "S102", "arm", "<hand>"),
        (whole('<phrase counts="eight"><frame at="1"/></phrase>'), "S107", "eight", "“8”"),
        (whole('<phrase counts="4"><frame at="2+"/></phrase>'), "S107", "2+", "“2 and”"),
        (whole('<phrase counts="4"><frame at="2and"/></phrase>'), "S107", "2and", "“2 and”"),
        (whole('<phrase counts="4"><frame at="2.5"/></phrase>'), "S107", "2.5", "“2 and”"),
        (whole('<phrase counts="4"><frame count="2"/></phrase>'), "S104", "count", "“at”"),
        (book('<exercise score="scores\\plies.xml"/>'), "S107", "scores", "“scores/plies.xml”"),
        (book('<exercise file="plies.xml"/>'), "S104", "file", "“score”"),
        (book('<score src="plies.xml"/>'), "S103", "score", '<exercise score="…"/>'),
        (book("<p>Words.</p>"), "S102", "p", "<text>"),
        (book("<text>Some <b>bold</b> words.</text>"), "S102", "b", "<emphasis>"),
        (f'<style xmlns="{NAMESPACE}"><stave height="9mm"/></style>', "S107", "9mm", "“9”"),
        (f'<style xmlns="{NAMESPACE}"><font text="A"/></style>', "S102", "font", "<type>"),
    ],
)
def test_a_word_of_the_class_is_answered_with_the_dialects_own(
    text: str, code: str, words: str, hint: str
) -> None:
    """One slip, one message, at its line."""
    (fault,) = faults_in(text)
    assert fault.code == code
    assert caret(text, fault).startswith(words)
    assert fault.hints[0] == f"Did you mean {hint}?"


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ('<arms in="2"/>', "second"),
        ('<arms in="2nd"/>', "second"),
        ('<hand side="right" in="à la seconde"/>', "second"),
        ('<arms in="fifth position"/>', "fifth"),
    ],
)
def test_a_position_of_the_arms_by_its_number(change: str, hint: str, catalogue: Catalogue) -> None:
    text = score(change)
    faults = faults_of(score_of(text), {}, catalogue)
    (fault,) = (fault for fault in faults if fault.code == "T322")
    assert fault.hints[0] == f"Did you mean “{hint}”?"
    assert fault.span
    assert fault.span.line == 2


@pytest.mark.parametrize(
    ("change", "code", "said"),
    [
        ('<hand side="both" in="second"/>', "S106", "<arms>"),
        ('<foot side="left" to="en croix" place="pointed"/>', "S106", 'en="croix"'),
        ('<foot side="left" to="croisé" place="pointed"/>', "S106", '<facing to="front left"/>'),
        ("<arabesque/>", "S102", 'raised="90"'),
    ],
)
def test_what_no_one_word_says_is_told_in_a_sentence(change: str, code: str, said: str) -> None:
    (fault,) = faults_in(score(change))
    assert (fault.code, fault.span and fault.span.line) == (code, 2)
    assert said in fault.hints[0]


@pytest.mark.parametrize("place", ["barre", "hip"])
def test_a_place_that_a_hand_touches_is_no_shape(place: str, catalogue: Catalogue) -> None:
    faults = faults_of(score_of(score(f'<hand side="left" in="{place}"/>')), {}, catalogue)
    (fault,) = (fault for fault in faults if fault.code == "T322")
    assert f'touching="{place}"' in fault.hints[0]


@pytest.mark.parametrize(
    ("start", "hint"),
    [
        ('<hand side="right" touching="barre"/>', '<barre hand="right"/>'),
        ('<hand side="right" in="first"/>', "the turn that is missing"),
    ],
)
def test_the_other_hand_on_the_barre(start: str, hint: str, catalogue: Catalogue) -> None:
    text = whole(
        f'<barre hand="left"/><start><feet in="first"/><arms in="first"/>{start}</start>'
        '<phrase counts="2"><frame at="1"><hand side="right" touching="barre"/></frame></phrase>'
    )
    faults = faults_of(score_of(text), {}, catalogue)
    fault = next(fault for fault in faults if fault.code == "T427")
    assert hint in fault.hints[-1]


def test_an_attribute_is_looked_for_in_what_could_stand_inside() -> None:
    (fault,) = faults_in(f'<style xmlns="{NAMESPACE}" height="9"/>')
    assert (fault.code, fault.hints[0]) == ("S104", "height is an attribute of <stave>.")


def test_a_number_is_not_likened_to_another() -> None:
    (fault,) = faults_in(score('<foot side="left" to="side" raised="200"/>'))
    assert fault.hints == ("Expected one of: 45, 65, 90, 105, 120, 135, 180.",)


def test_what_is_expected_is_said_once() -> None:
    (fault,) = faults_in(score('<head turn="right 9"/>'))
    assert fault.hints[-1].count("left or right, with 2 or 3") == 1


@pytest.mark.parametrize(("opened", "closed"), [("glosary", "glossary"), ("Frame", "frame")])
def test_two_names_of_one_tag_are_to_be_alike(opened: str, closed: str) -> None:
    """Which of the two is misspelled is not known where tags are read."""
    (fault,) = faults_in(f"<{opened}>\n</{closed}>")
    assert (fault.code, fault.span and fault.span.line) == ("X201", 2)
    assert fault.hints == (
        f"The two want one name: mend it here, </{opened}>, or there, <{closed}>.",
    )


# ---------------------------------------------------------------- the table


@pytest.mark.parametrize("table", [TABLE.values, TABLE.attributes, TABLE.elements])
def test_words_are_looked_up_as_they_stand(table: dict[str, tuple[str, ...]]) -> None:
    assert [word for word in table if folded(word) != word] == []


def test_each_value_is_the_dialects_or_the_programs(catalogue: Catalogue) -> None:
    choices = {*PAPERS, *MAKE_UPS, *FORMATS}
    arms = {name for school in catalogue.schools.school for name in school.arms.values()}
    plain = {row.name for row in catalogue.shapes.hand}
    for value in (value for values in TABLE.values.values() for value in values):
        assert value in choices | arms | plain or any(
            narrow(attribute.datatype) and allows(attribute.datatype, value)
            for attribute in ATTRIBUTES
        ), value


def narrow(datatype: Datatype) -> bool:
    """Whether the datatype refuses some word."""
    return not allows(datatype, "anything")


@pytest.mark.parametrize("word", sorted(TABLE.sayings))
def test_what_a_saying_shows_could_be_written(word: str) -> None:
    assert folded(word) == word
    for tag in re.findall(r"<[^<>…]*/>", TABLE.sayings[word]):
        assert faults_in(score(tag)) == ()


def test_each_attribute_is_the_dialects() -> None:
    names = {attribute.name for attribute in ATTRIBUTES}
    assert {name for listed in TABLE.attributes.values() for name in listed} <= names


@pytest.mark.parametrize("word", sorted(TABLE.elements))
def test_each_tag_could_stand_somewhere(word: str) -> None:
    for tag in TABLE.elements[word]:
        name = tag_of(tag)
        holders = [rule for rule in RULES if name in rule.children]
        assert holders or name in SCHEMA.roots
        assert meant_element(word, [name]) == tag
        if tag.endswith("/>") and "…" not in tag and holders[0].name != "score":
            assert faults_in(score(tag)) == ()
