"""The rules as functions: what cases cannot say in a few lines."""

from collections.abc import Callable
from time import process_time

import pytest

from stavebound.body.reach import BodyPoint
from stavebound.body.skeleton import arm
from stavebound.check.books import check_book
from stavebound.check.scores import check_lone_score
from stavebound.dance.points import hand_point
from stavebound.dance.pose import HandPose
from stavebound.diagnostics import Diagnostic, Severity
from stavebound.plan.book import BookPlan
from stavebound.score.model import Depth
from stavebound.source.rules import NAMESPACE
from stavebound.trade.catalogue import Catalogue
from tests.support.sources import root_of, score_faults, score_of, whole


def hints_of(example: str, catalogue: Catalogue) -> list[str]:
    score = score_of(whole(example))
    faults = score_faults(score, catalogue, catalogue.schools.school[0])
    return [hint for fault in faults for hint in fault.hints]


HINTS = {
    "a near name": ('<arms in="bras bass"/>', "Did you mean “bras bas”?"),
    "another school's name": (
        '<arms in="preparatory"/>',
        "The Russian school's “preparatory” is “bras bas” for the English school.",
    ),
    "the names there are": ('<arms in="sixth"/>', "It has “bras bas”, “demi-seconde”, “first”,"),
    "the names of one arm": (
        '<hand side="left" in="third"/>',
        'For this hand write in="first" or in="second".',
    ),
    "where the shape is": (
        '<hand side="left" in="second" height="eyes"/>',
        "“second” is height shoulder-0.25 (give or take 0.15), out 0.50 (give or take 0.10), "
        "depth level.",
    ),
    "how far out": (
        '<hand side="left" height="shoulder" out="0.60" forward="0"/>',
        "At this height and forward 0.00, out can be -0.31 to 0.56.",
    ),
    "how far forward": (
        '<hand side="left" height="shoulder" out="0.60" depth="front"/>',
        "Forward is not written, and at this height and so far out no distance is within reach "
        "of a hand that is in front.",
    ),
    "another division": (
        '<frame at="2 e"/>',
        'Declare divide="quarters" (1 e and a) on the music, the phrase or the upbeat.',
    ),
    "where bars begin": (
        '<phrase counts="4"><bar at="2" counts="1"/><frame at="1"/></phrase>',
        "Bars begin here at 1 and 3.",
    ),
    "a shorter bar": (
        '<phrase counts="3"><frame at="1"/></phrase>',
        'Or say that it is shorter: <bar at="3" counts="1"/>.',
    ),
    "the same moment": ('<frame at="1 5/3"/>', 'This moment is written at="2 2/3".'),
}


@pytest.mark.parametrize(("example", "hint"), HINTS.values(), ids=HINTS)
def test_hints_say_how_to_mend_it(example: str, hint: str, catalogue: Catalogue) -> None:
    assert [found for found in hints_of(example, catalogue) if found.startswith(hint)] != []


def test_what_the_hints_propose_is_sound(catalogue: Catalogue) -> None:
    for change in (
        '<hand side="left" height="shoulder" out="0.56" depth="level" forward="0"/>',
        '<hand side="left" height="shoulder" out="0.50" depth="front" forward="0.23"/>',
        '<hand side="left" in="second" height="shoulder-0.25" out="0.50" depth="level"/>',
    ):
        assert hints_of(change, catalogue) == []


def test_a_caution_asked_of_a_lone_score_is_a_warning(catalogue: Catalogue) -> None:
    score = score_of(whole('<frame at="1" step="Grands Jetés"/>'))
    (fault,) = check_lone_score(score, catalogue)
    assert (fault.code, fault.severity) == ("B501", Severity.WARNING)


STEPS = {
    "sauté": True,
    "SAUTÉS": True,
    "temps levés sautés": True,
    "arabesque sautée": True,
    "petit jeté": True,
    "grand pas de chat": True,
    "saut de basque": True,
    "gargouillade": True,
    "tour en l’air": True,
    "doubles tours en l'air": True,
    "ballonné": True,
    "ballotté": True,
    "cabriole": True,
    "entrechat six": True,
    "soubresaut": True,
    "sissonne": True,
    "assemblé": True,
    "changements": True,
    "échappé sauté": True,
    "emboîté": True,
    "temps de flèche": True,
    "battement jeté": False,
    "rond de jambe en l’air": False,
    "échappé": False,
    "pas de bourrée": False,
    "pas de basque": False,
    "tour piqué": False,
    "battements tendus jetés": False,
    "demi-plié": False,
    "jetons": False,
    "port de bras": False,
}


@pytest.mark.parametrize(("step", "springs"), STEPS.items())
def test_steps_that_ask_for_a_caution(step: str, springs: bool, catalogue: Catalogue) -> None:
    score = score_of(whole(f'<frame at="1" step="{step}"/>'))
    assert bool(check_lone_score(score, catalogue)) == springs


# ---------------------------------------------------------------- reach

STRETCHED = ("arabesque", "stretched")


def test_rounded_arms_are_shorter_than_stretched_ones(catalogue: Catalogue) -> None:
    """Common practice: a rounded arm reaches up to .91 of its length, a stretched one from .95."""
    reach = arm(catalogue.person)
    for row in catalogue.shapes.hand:
        hand = HandPose(Depth(row.depth), row.height, row.out, row.forward)
        share = round(reach.share(hand_point(hand, catalogue)), 2)
        if row.name.startswith(STRETCHED):
            assert 0.95 <= share <= 1, row.name
        else:
            assert 0.8 <= share <= 0.92, row.name


def test_reach_ends_where_it_is_said_to_end(catalogue: Catalogue) -> None:
    reach, tips = arm(catalogue.person), BodyPoint(0.3, 0.7, 0.2)
    out, forward = reach.out(tips), reach.forward(tips)
    assert out is not None
    assert forward is not None
    assert reach.holds(tips._replace(out=out[1]))
    assert not reach.holds(tips._replace(out=out[1] + 0.001))
    assert reach.holds(tips._replace(forward=forward))
    assert not reach.holds(tips._replace(forward=forward + 0.001))
    assert reach.out(tips._replace(height=0.0)) is None
    assert reach.forward(tips._replace(height=0.0)) is None


# ---------------------------------------------------------------- size


def quickly(check: Callable[[], tuple[Diagnostic, ...]]) -> tuple[Diagnostic, ...]:
    before = process_time()
    faults = check()
    assert process_time() - before < 10
    return faults


def test_a_score_longer_than_any_is_refused_at_once(catalogue: Catalogue) -> None:
    phrase = '<phrase counts="99"><frame at="1"/></phrase>'
    text = whole('<music metre="2/4" bars-per-count="12"/>' + 102 * phrase)
    score = score_of(text)
    faults = quickly(lambda: score_faults(score, catalogue, catalogue.schools.school[0]))
    assert [fault.code for fault in faults] == ["T312"]


def test_thousands_of_faults_are_found_in_seconds(catalogue: Catalogue) -> None:
    frames = "".join(
        f'<frame at="9 {1 + index % 11}/12"><arms in="name {index}"/><hand side="left"/></frame>'
        for index in range(4_000)
    )
    bars = "".join(f'<bar at="{1 + index % 4} 1/7"/>' for index in range(900))
    score = score_of(whole(f'<phrase counts="4">{bars}{frames}</phrase>'))
    faults = quickly(lambda: score_faults(score, catalogue, catalogue.schools.school[0]))
    assert len({fault.code for fault in faults}) > 6


def test_thousands_of_terms_are_looked_up_in_seconds(catalogue: Catalogue) -> None:
    terms = "".join(f"<text><term>fondu {index} en l’air</term></text>" for index in range(4_000))
    entries = "".join(f'<entry term="fondue {index} à terre">x</entry>' for index in range(4_000))
    plan = root_of(
        f'<book xmlns="{NAMESPACE}" title="Many" date="2026-03-02"><preface>{terms}</preface>'
        f'<chapter title="One"><exercise score="a.xml"/></chapter>'
        f"<glossary>{entries}</glossary></book>"
    )
    assert isinstance(plan, BookPlan)
    score = score_of(whole("<aim>Anything.</aim>"))
    faults = quickly(lambda: check_book(plan, {"a.xml": score}, catalogue))
    assert {fault.code for fault in faults} == {"B502", "B503"}
