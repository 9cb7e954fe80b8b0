"""Words of the class that a beginner writes, and what the messages say was meant."""

from __future__ import annotations

import re

import pytest

from stavebound.book.layouts import edition_names, paper_names
from stavebound.diagnostics import Diagnostic
from stavebound.options import FORMATS
from stavebound.score.unfolding.unfold import unfold
from stavebound.source.datatypes import Datatype, allows
from stavebound.source.meant import load_meant, meant_element, tag_of
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.suggest import folded
from stavebound.trade.catalogue import Catalogue
from tests.support.sources import faults_of, score_of, source_of, whole
from tests.support.staves import LAYOUTS

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


TENDU = (
    '<define step="tendu" counts="2" takes="to"><frame at="1">'
    '<foot side="working" to="{to}" place="pointed"/></frame>'
    '<frame at="2"><feet in="first"/></frame></define>'
)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        # attributes: the value is an attribute of its own, or the two are exchanged
        (score('<foot side="right" to="front" pointed="yes"/>'), 'place="pointed"'),
        (score('<foot side="left" to="side" flexed="true" place="pointed"/>'), 'ankle="flexed"'),
        (score('<foot side="right" front="pointed"/>'), 'place="pointed"'),
        (score('<foot side="right" position="tendu"/>'), 'place="pointed"'),
        (score('<feet to="fifth" front="right"/>'), "“in”"),
        (score('<feet in="fifth" right="front"/>'), 'front="right"'),
        (score('<feet in="first" turnout="parallel"/>'), "“turned”"),
        (score('<feet in="first" rise="half point"/>'), "“on”"),
        (score('<knees demi="yes"/>'), 'bend="half"'),
        (score('<arms to="fifth"/>'), "“in”"),
        (score('<hand side="left" at="hip"/>'), 'touching="hip"'),
        (score('<hand side="left" touches="hip"/>'), 'touching="hip"'),
        (score('<head direction="left"/>'), "“turn”"),
        (score('<body lean="left"/>'), "“tilt”"),
        (score('<body lean="forward"/>'), 'bend="front"'),
        (score('<turn to="right" turns="2" on="left"/>'), "“by”"),
        (score('<turn side="left" by="1" on="right"/>'), 'to="left"'),
        (score('<tempo bpm="60">slower</tempo>'), "“counts”"),
        (whole('<barre side="left"/>'), 'hand="left"'),
        (whole('<music time="3/4" counts="1"/>'), "“metre”"),
        (whole('<music metre="3/4" counts="1"/>'), "“counts-per-bar”"),
        (book('<exercise src="a.xml"/>'), "“score”"),
        # values
        (score('<foot side="right" to="fifth"/>'), '<feet in="fifth">'),
        (score('<feet in="pointed"/>'), '<foot place="pointed">'),
        (score('<feet in="together"/>'), "“parallel”"),
        (score('<feet in="sixth"/>'), "“parallel”"),
        (score('<feet in="fifth right"/>'), "“fifth”"),
        (score('<foot side="left" to="behind" place="pointed"/>'), "“back”"),
        (score('<foot side="left" to="second" place="pointed"/>'), "“side”"),
        (score('<foot side="left" to="front" height="90"/>'), 'raised="90"'),
        (score('<facing to="upstage"/>'), "“back”"),
        (score('<facing to="upstage left"/>'), "“back left”"),
        (score('<facing to="downstage right"/>'), "“front right”"),
        (score('<facing to="stage left"/>'), "“left”"),
        (score('<facing to="stage right"/>'), "“right”"),
        (score('<facing to="corner 2"/>'), "“2”"),
        (score('<facing to="right front"/>'), "“front right”"),
        (score('<travel to="downstage left" of="stage"/>'), "“front left”"),
        (score('<travel to="upstage" of="stage"/>'), "“back”"),
        (score('<travel to="front" of="audience"/>'), "“stage”"),
        (score('<travel to="front" of="dancer"/>'), "“body”"),
        (score('<travel to="diagonal right" of="stage"/>'), "“front right” or “back right”"),
        (score('<travel to="front" of="body" path="diagonal"/>'), "“straight”"),
        (score('<turn to="outside" by="1" on="left"/>'), "“working”"),
        (score('<turn to="inside" by="1" on="left"/>'), "“supporting”"),
        (score('<hand side="left" touching="bar"/>'), "“barre”"),
        (score('<turn to="clockwise" by="1" on="left"/>'), "“right”"),
        (score('<turn to="left" by="2 turns" on="both"/>'), "“2”"),
        (score('<turn to="left" by="1 and a half" on="both"/>'), "“1 1/2”"),
        (score('<turn to="left" by="1" on="air"/>'), "“neither”"),
        (score('<hand side="left" height="waist + 0.4" out="0.3" depth="level"/>'), "“waist+0.4”"),
        (score('<hand side="left" height="waist" out=".3" depth="level"/>'), "“0.3”"),
        (score('<hand side="left" height="waist" out="0,3" depth="level"/>'), "“0.3”"),
        (score('<hand side="left" height="waist" out="0.3" depth="back"/>'), "“behind”"),
        (score('<hand side="left" touching="the hip"/>'), "“hip”"),
        (score('<hand side="left" in="second" arm="straight"/>'), "“stretched”"),
        (score('<body bend="sideways"/>'), "“left” or “right”"),
        (whole('<phrase counts="8 counts"><frame at="1"/></phrase>'), "“8”"),
        (whole('<phrase counts="4"><frame at="1a"/></phrase>'), "“1 a”"),
        (whole('<phrase counts="4"><frame at="1.25"/></phrase>'), "“1 1/4”"),
        (whole('<music metre="polka" counts-per-bar="1"/>'), "“2/4”"),
        # elements
        (score('<weight on="left"/>'), '<feet weight="left"/>'),
        (score('<torso bend="back"/>'), "<body>"),
        (score('<shoulders turn="left"/>'), "<body>"),
        (score("<port-de-bras/>"), "<arms>"),
        (score('<développé to="side"/>'), '<foot side="right" to="front" raised="90" via="knee"/>'),
        (score("<fifth/>"), '<feet in="fifth">'),
        (whole("<purpose>Strength.</purpose>"), "<aim>"),
        (whole("<common-faults>Heels.</common-faults>"), "<fault>"),
        (whole("<corrections>Heels.</corrections>"), "<fault>"),
        (whole("<mistakes>Heels.</mistakes>"), "<fault>"),
        (f'<exercise xmlns="{NAMESPACE}" title="A"/>', "<score>"),
    ],
)
def test_what_a_beginner_types_is_answered_with_what_was_meant(text: str, hint: str) -> None:
    """One slip, one message, and its first hint could be written instead."""
    (fault, *more) = faults_in(text)
    assert fault.hints[0] == f"Did you mean {hint}?"
    assert not [other for other in more if other.code != "S104"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (whole('<music metre="3/4" counts-per-bar="1" tempo="Andante"/>'), 'tempo="66"'),
        (score('<tempo counts="adagio"/>'), "Andante.</tempo>"),
        (whole(TENDU + '<phrase counts="4"><do step="tendu" to="fifth"/></phrase>'), "close="),
        (whole(TENDU + '<phrase counts="4"><do step="tendu" to="croix"/></phrase>'), "en="),
        (whole('<phrase counts="4"><frame at="and 1"/></phrase>'), 'at="1 and"'),
        (whole('<phrase counts="4"><frame at="0"/></phrase>'), "<upbeat>"),
        (whole('<phrase counts="4" repeat="2"><frame at="1"/></phrase>'), "<again/>"),
        (whole('<barre hand="both"/>'), "one hand"),
        (whole("<dancers>12</dancers>"), "pupils"),
        (whole("<title>Pliés</title>"), 'title="…"'),
        (whole("<centre/>"), "no <barre>"),
        (score('<knees side="left" bend="half"/>'), '<knee side="left" bend="half"/>'),
        (score('<hold of="left arm"/>'), "of one limb nothing is written"),
        (score('<return of="arms"/>'), '<arms in="bras bas"/>'),
        (score('<pause counts="2"/>'), "no length"),
        (score('<hand side="left" palm="forward"/>'), "up, down, in"),
        (score('<eyes to="front"/>'), "by the head"),
        (score('<look to="right"/>'), "by the head"),
        (score('<arms in="second" palm="down"/>'), '<hand side="right" palm="down"/>'),
        (score('<arms in="second" palms="down"/>'), '<hand side="right" palm="down"/>'),
        (score('<arms in="second" path="curved"/>'), 'bow="front"'),
        (score('<hand side="left" in="second" path="curved"/>'), 'bow="front"'),
        (score('<foot side="left" in="fifth"/>'), '<feet in="fifth" front="right"/>'),
        (score('<body bend="none"/>'), '<return of="body"/>'),
        (score('<head turn="none"/>'), '<return of="head"/>'),
        (score('<hips tilt="none"/>'), '<return of="hips"/>'),
        (score('<hold for="2"/>'), "until the frame"),
        (score('<pause for="2"/>'), "no length"),
        (score('<still for="2"/>'), "until the next frame"),
        (
            whole('<phrase counts="4"><frame at="1"/></phrase><again>2</again>'),
            'times="2"',
        ),
        (whole('<note>A <term lang="fr">plié</term>.</note>'), "by its <entry>"),
        (whole('<note>A <term language="fr">plié</term>.</note>'), "by its <entry>"),
        (score("<quality>softly</quality>"), 'quality="…"'),
        (score("plié"), 'step="…"'),
        (whole('<phrase counts="4"><frame at="1" cue="Now"/></phrase>'), "<cue>"),
        (book("<image/>"), "pictures"),
    ],
)
def test_what_has_no_word_of_its_own_is_explained(text: str, said: str) -> None:
    (fault,) = faults_in(text)
    assert said in fault.hints[0]


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        # An element that is only guessed is judged by what it has, not by what it lacks.
        (score("<fot/>"), ["S102"]),
        (score('<fot side="lft" of="left" at="2"/>'), ["S102", "S106"]),
        (score("<fot>Stretched.</fot>"), ["S102"]),
        (score('<arm in="second"/>'), ["S102"]),
        (whole("<phras/>"), ["S102"]),
        (whole('<phras><music metre="2/4"/><frame at="1"/></phras>'), ["S102"]),
        # Names that nothing has, and what is typed in full inside a guess, are certain.
        (whole('<phras><frme/><frame at="x"/></phras>'), ["S102", "S102", "S107"]),
        (whole("<phras><frame/></phras>"), ["S102", "S105"]),
    ],
)
def test_a_guess_is_not_judged_as_if_it_had_been_typed(text: str, codes: list[str]) -> None:
    assert sorted(fault.code for fault in faults_in(text)) == codes


@pytest.mark.parametrize(
    ("before", "step", "hint"),
    [
        (TENDU, "tendue", "Did you mean “tendu”?"),
        (TENDU, "frappé", "Defined are “tendu”."),
        ("", "tendu", "No step is defined for this score."),
    ],
)
def test_a_step_that_nobody_has_defined(before: str, step: str, hint: str) -> None:
    text = whole(f'{before}<phrase counts="4"><do step="{step}"/></phrase>')
    outcome = unfold(source_of(text).root)
    (fault,) = (one for one in outcome.diagnostics if one.code == "U102")
    assert fault.hints[0] == hint
    assert any(f'<define step="{step}"' in each and "<steps from=" in each for each in fault.hints)


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
        (
            '<foot side="left" to="croisé devant" place="pointed"/>',
            "S106",
            "where the dancer faces",
        ),
        ('<foot side="left" to="effacé derrière" raised="45"/>', "S106", "where the dancer faces"),
        ('<foot side="left" to="écarté devant" raised="45"/>', "S106", "where the dancer faces"),
        ("<arabesque/>", "S102", 'raised="90"'),
    ],
)
def test_what_no_one_word_says_is_told_in_a_sentence(change: str, code: str, said: str) -> None:
    (fault,) = faults_in(score(change))
    assert (fault.code, fault.span and fault.span.line) == (code, 2)
    assert said in fault.hints[0]


@pytest.mark.parametrize("named", ["first", "second", "third", "fourth"])
def test_arms_by_the_number_of_an_arabesque(named: str, catalogue: Catalogue) -> None:
    number = {"first": 1, "second": 2, "third": 3, "fourth": 4}[named]
    for words in (f"{named} arabesque", f"arabesque {number}"):
        faults = faults_of(score_of(score(f'<arms in="{words}"/>')), {}, catalogue)
        (fault,) = (fault for fault in faults if fault.code == "T322")
        assert fault.hints[0].startswith("Write each hand")


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
    layouts = LAYOUTS.values()
    choices = {*paper_names(layouts), *edition_names(layouts), *FORMATS}
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


SENTENCES = {**TABLE.sayings, **TABLE.about}


@pytest.mark.parametrize("word", sorted(SENTENCES))
def test_what_a_saying_shows_could_be_written(word: str) -> None:
    assert folded(word) == word or word in TABLE.about
    for tag in re.findall(r"<[^<>…]*/>", SENTENCES[word]):
        assert faults_in(whole(tag) if tag == "<again/>" else score(tag)) == ()


def test_what_is_said_about_an_element_is_said_of_one_that_there_is() -> None:
    about = {words.split()[0] for words in TABLE.about}
    beside = {name for one, others in TABLE.beside.items() for name in (one, *others)}
    assert about | beside <= {rule.name for rule in RULES}


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
