"""A score held against the rules of the trade.

In: a score that was read from a valid source, as it is danced, or what remains of a
damaged one. Out: all that is wrong, in the order of the file. A score with errors here
cannot be engraved as it was meant; one that is too long cannot even be danced.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import islice

from stavebound.check import (
    arms,
    barre,
    bars,
    beats,
    bends,
    breaths,
    cautions,
    contacts,
    counts,
    facing,
    feet,
    hands,
    holding,
    identity,
    joints,
    kneeling,
    lasting,
    lifted,
    moves,
    names,
    parts,
    position,
    slightly,
    sounds,
    toes,
    travel,
    words,
)
from stavebound.check.promises import kept
from stavebound.dance.danced import Danced, dance
from stavebound.diagnostics import Diagnostic
from stavebound.score.model import Score
from stavebound.score.unfolding.remains import Remains
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School

MOST_FAULTS = 1_000
"""Faults looked for by one rule; a score with more of them is beyond reading."""

ScoreRule = Callable[[Danced], Iterable[Diagnostic]]

RULES: tuple[ScoreRule, ...] = (
    counts.counts_in_their_phrase,
    counts.frames_in_order,
    counts.one_frame_a_moment,
    counts.syllables_of_the_division,
    counts.fractions_below_one,
    bars.bars_begin_where_said,
    bars.bars_said_once,
    bars.said_bars_say_something,
    bars.last_bar_full,
    bars.one_way_of_counting_bars,
    bars.some_way_of_counting_bars,
    breaths.phrasings_between_counts,
    breaths.phrasings_one_after_another,
    names.scores_school,
    hands.hand_says_something,
    hands.place_in_full,
    slightly.slightly_of_a_shape,
    arms.marks_of_a_known_hand,
    arms.no_stretched_arm_with_a_bent_elbow,
    feet.feet_say_something,
    feet.front_foot_said,
    feet.no_front_foot_side_by_side,
    feet.some_foot_to_rise_on,
    feet.foot_says_something,
    feet.free_foot_in_full,
    feet.one_place_of_a_foot,
    feet.free_or_standing,
    feet.foot_stands_alone,
    feet.weight_of_two_feet,
    feet.parallel_says_so_already,
    joints.no_place_of_a_straight_joint,
    joints.elbow_in_reach,
    joints.knee_in_reach,
    joints.knee_of_a_foot_at_the_leg,
    joints.no_knee_in_the_floor,
    kneeling.no_rise_on_the_knees,
    kneeling.no_spring_from_the_knees,
    kneeling.no_foot_lifted_from_under_the_knees,
    kneeling.no_bend_on_the_knees,
    toes.out_goes_with_a_height,
    toes.toes_off_the_floor,
    toes.toes_in_reach,
    toes.no_crossing_through_the_leg,
    toes.what_is_said_of_this_foot,
    toes.beats_at_the_ankle,
    toes.wrapped_round_the_ankle,
    toes.leg_of_a_known_foot,
    contacts.both_hands_touch,
    contacts.one_place_of_a_touching_hand,
    moves.nothing_moves_to_the_start,
    moves.stepping_to_a_free_foot,
    moves.springs_take_off_and_land,
    moves.slides_keep_the_floor,
    moves.which_foot_moves,
    moves.closing_on_its_own_side,
    moves.one_way_of_a_limb,
    moves.way_from_somewhere,
    moves.via_of_a_free_foot,
    moves.thrown_or_unfolded,
    beats.flight_of_a_spring,
    beats.beats_from_a_front_foot,
    beats.landing_after_the_last_beat,
    kept.steps_as_named,
    bends.bends_forgotten,
    lifted.lifted_feet_come_down,
    sounds.sounding_feet_are_on_the_floor,
    travel.travel_on_feet,
    holding.nothing_held_moves,
    holding.nothing_moves_in_stillness,
    holding.nothing_passed_is_held,
    holding.something_is_held,
    facing.turned_on_standing_feet,
    facing.turned_on_both_feet,
    facing.spotted_turns,
    lasting.turns_last_from_a_moment,
    lasting.only_the_turn_lasts,
    barre.some_barre_to_hold,
    parts.part_says_something,
    parts.turned_no_further_than_it_goes,
    position.start_said,
    position.start_in_full,
    position.limbs_written_once,
    position.somebody_bears_weight,
    words.scores_words,
    words.measures_say_something,
    identity.scores_identities,
)

# What depends on the meaning of names: nothing can be said of it where the
# score's school is not known.
RULES_OF_NAMES: tuple[ScoreRule, ...] = (
    names.arms_named,
    names.hand_named,
    names.lead_where_arms_differ,
    names.no_lead_where_arms_are_alike,
    hands.name_and_place_agree,
    hands.depth_and_forward_agree,
    hands.hand_in_reach,
    contacts.hands_that_touch_are_together,
    contacts.shapes_that_bring_hands_together,
    contacts.the_body_is_there,
    contacts.the_leg_is_there,
    contacts.elbow_of_a_near_hand,
    arms.line_of_the_arm_in_reach,
    arms.no_bent_elbow_at_full_reach,
    joints.hand_within_reach_of_its_elbow,
    facing.number_of_the_school,
    facing.facing_follows_from_the_turns,
    barre.hand_on_the_side_of_the_barre,
    barre.hand_left_on_the_barre,
    position.only_what_changes,
)


# What looks at one element alone, whatever is danced before it and after it.
ALONE = frozenset(
    {
        counts.fractions_below_one,
        names.scores_school,
        hands.hand_says_something,
        slightly.slightly_of_a_shape,
        feet.feet_say_something,
        feet.front_foot_said,
        feet.no_front_foot_side_by_side,
        feet.foot_says_something,
        feet.free_foot_in_full,
        feet.one_place_of_a_foot,
        feet.free_or_standing,
        joints.no_place_of_a_straight_joint,
        toes.out_goes_with_a_height,
        toes.no_crossing_through_the_leg,
        contacts.one_place_of_a_touching_hand,
        moves.nothing_moves_to_the_start,
        moves.one_way_of_a_limb,
        holding.nothing_moves_in_stillness,
        parts.part_says_something,
        parts.turned_no_further_than_it_goes,
        position.limbs_written_once,
        words.scores_words,
        words.measures_say_something,
        identity.scores_identities,
        names.arms_named,
        names.hand_named,
        names.lead_where_arms_differ,
        names.no_lead_where_arms_are_alike,
        hands.name_and_place_agree,
        contacts.shapes_that_bring_hands_together,
        facing.number_of_the_school,
    }
)

# What asks how the dance goes on.
AHEAD = frozenset(
    {
        bars.last_bar_full,
        breaths.phrasings_between_counts,
        breaths.phrasings_one_after_another,
        kept.steps_as_named,
        bends.bends_forgotten,
        lifted.lifted_feet_come_down,
        position.somebody_bears_weight,
    }
)


def check_length(score: Score) -> tuple[Diagnostic, ...]:
    """The fault of a score that is too long to be danced."""
    return tuple(counts.too_long(score))


def check_score(danced: Danced) -> tuple[Diagnostic, ...]:
    """All faults of a score by itself."""
    rules = RULES + RULES_OF_NAMES if _reads(danced.score, danced.catalogue) else RULES
    return _found(rules, danced)


def check_remains(remains: Remains, catalogue: Catalogue, school: School) -> tuple[Diagnostic, ...]:
    """All faults that are none of what a score has lost; `school` reads its names."""
    faults: tuple[Diagnostic, ...] = ()
    parts = ((remains.pieces, ALONE.__contains__), (remains.begun, _follows(remains)))
    for score, applies in parts:
        if score is None or check_length(score):
            continue
        named = remains.named and _reads(score, catalogue)
        rules = RULES + RULES_OF_NAMES if named else RULES
        faults += _found(filter(applies, rules), dance(score, catalogue, school))
    return in_order(dict.fromkeys(faults))


def _follows(remains: Remains) -> Callable[[ScoreRule], bool]:
    return lambda rule: remains.whole or rule not in AHEAD


def _reads(score: Score, catalogue: Catalogue) -> bool:
    """Whether it is known what the score's names mean."""
    return score.school is None or catalogue.school(score.school) is not None


def _found(rules: Iterable[ScoreRule], danced: Danced) -> tuple[Diagnostic, ...]:
    return in_order(fault for rule in rules for fault in islice(rule(danced), MOST_FAULTS))


def check_lone_score(score: Score, catalogue: Catalogue) -> tuple[Diagnostic, ...]:
    """Warnings for a score that is looked at without the book that prints it."""
    return in_order(cautions.cautions_alone(score, catalogue))


def in_order(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """By file, line and column; at one place in the order of the rules."""
    return tuple(sorted(faults, key=lambda fault: (fault.span is not None, fault.span)))
