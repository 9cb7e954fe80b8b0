"""Toes: a free foot at a height of its own, and what is said of its leg.

In: a `Danced`. Out: diagnostics. How far toes are from the joint of the hip is
held against the body's lengths; how far forward they are is not written, so that
only a leg to the side can be found too short.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.body.skeleton import leg
from stavebound.check.phrasing import departures_of, listed
from stavebound.dance.danced import Danced, Moment
from stavebound.dance.points import toes_point
from stavebound.dance.pose import Free, Standing, Step
from stavebound.diagnostics import Diagnostic
from stavebound.score.departures import departure
from stavebound.score.model import Bend, FootChange, LegDirection

SLACK = 1e-6
# From memory: below this the toes would be drawn among those of standing feet.
LOWEST = 0.40
# From memory: of its length, how much of a stretched leg there is to see at least.
STRETCHED = 0.95
# The place at which a foot beats, or is wrapped; what is said of the ankle has its name too.
ANKLE = "ankle"
WRAPPED = "wrapped"


def out_goes_with_a_height(danced: Danced) -> Iterator[Diagnostic]:
    for _, _, change in _feet(danced):
        if change.out is not None and change.height is None:
            yield Diagnostic(
                "T391",
                "out says nothing without a height",
                change.origin.of("out"),
                ('Write height too, such as height="knee+0.40", or delete out.',),
            )


def toes_off_the_floor(danced: Danced) -> Iterator[Diagnostic]:
    for _, _, change, foot in _toes(danced):
        if foot.height is not None and foot.height < LOWEST - SLACK:
            yield Diagnostic(
                "T392",
                "toes as low as this are on the floor",
                change.origin.of("height"),
                (
                    'Write place="pointed" for toes on the floor, "off the floor" just above.',
                    f"A height of one's own begins at floor+{LOWEST:.2f}.",
                ),
            )


def toes_in_reach(danced: Danced) -> Iterator[Diagnostic]:
    reach = leg(danced.catalogue.person)
    length = reach.length
    for moment, _, change, foot in _toes(danced):
        far = reach.distance(toes_point(foot, danced.catalogue))
        if far > length + SLACK:
            yield Diagnostic(
                "T393",
                f"the {change.side} foot is too far from its hip",
                change.origin.of("out", "height"),
                (f"It is {far:.3f} of the dancer's height away, and a leg is {length:.3f} long.",),
            )
        elif _is_short(change, foot, moment) and far < STRETCHED * length:
            yield Diagnostic(
                "T394",
                f"the {change.side} leg is stretched, and its foot is too near for that",
                change.origin.of("out", "height"),
                (
                    f"It is {far:.3f} of the dancer's height from the hip, "
                    f"and a leg is {length:.3f} long.",
                    f'Bend the knee: <knee side="{change.side}" bend="half"/>, or leave out out.',
                ),
            )


def _is_short(change: FootChange, foot: Free, moment: Moment) -> bool:
    """Whether it is a straight leg all of whose length is seen."""
    straight = moment.after.knees.of(change.side).bend is Bend.NONE
    return foot.direction is LegDirection.SIDE and straight


def no_crossing_through_the_leg(danced: Danced) -> Iterator[Diagnostic]:
    for _, _, change in _feet(danced):
        if change.direction is LegDirection.SIDE and change.out is not None and change.out < 0:
            yield Diagnostic(
                "T395",
                f"the {change.side} foot cannot cross to the side: the other leg is there",
                change.origin.of("out"),
                ('A leg crosses in front or behind: to="front" or to="back".',),
            )


def what_is_said_of_this_foot(danced: Danced) -> Iterator[Diagnostic]:
    for _, step, change in _feet(danced):
        foot, table = step.after.feet.of(change.side), danced.catalogue.departures
        for name in departures_of(change):
            if isinstance(foot, Standing) and name not in table.of("standing"):
                yield Diagnostic(
                    "T396",
                    f"the {change.side} foot stands, and {name} is said of free feet only",
                    change.origin.of(name),
                    (f"Delete {name}; for a risen heel write on.",),
                )
            elif isinstance(foot, Free) and name not in table.of("free"):
                yield Diagnostic(
                    "T396",
                    f"the {change.side} foot is free, and {name} is said of standing feet only",
                    change.origin.of(name),
                    (f"Delete {name}, or write on for a foot that stands.",),
                )


def beats_at_the_ankle(danced: Danced) -> Iterator[Diagnostic]:
    for _, step, change in _feet(danced):
        foot, beating = step.after.feet.of(change.side), departure(change.departures, "beating")
        if beating and isinstance(foot, Free) and foot.place != ANKLE:
            yield Diagnostic(
                "T398",
                f"the {change.side} foot beats at the other ankle, and it is not there",
                change.origin.of("beating"),
                ('Write place="ankle", or delete beating.',),
            )


def wrapped_round_the_ankle(danced: Danced) -> Iterator[Diagnostic]:
    for _, step, change in _feet(danced):
        foot, ankle = step.after.feet.of(change.side), departure(change.departures, ANKLE)
        if ankle == WRAPPED and isinstance(foot, Free) and foot.place != ANKLE:
            yield Diagnostic(
                "T384",
                f"the {change.side} foot is wrapped round the other ankle, and it is not there",
                change.origin.of(ANKLE),
                ('Write place="ankle", or delete ankle.',),
            )


def leg_of_a_known_foot(danced: Danced) -> Iterator[Diagnostic]:
    for _, step, change in _feet(danced):
        written = departures_of(change)
        alone = not any((change.direction, change.place, change.raised, change.height, change.rise))
        if written and alone and step.before.feet.of(change.side) is None:
            yield Diagnostic(
                "T397",
                f"{listed(written)} of the {change.side} foot, and it is not known where it is",
                change.origin.of(*written),
                ("Write where it is too, such as to and place, or on.",),
            )


def _toes(danced: Danced) -> Iterator[tuple[Moment, Step, FootChange, Free]]:
    for moment, step, change in _feet(danced):
        foot = step.after.feet.of(change.side)
        if change.height is not None and isinstance(foot, Free) and foot.place is None:
            yield moment, step, change, foot


def _feet(danced: Danced) -> Iterator[tuple[Moment, Step, FootChange]]:
    for moment in danced.moments:
        for step in moment.steps:
            if isinstance(step.change, FootChange):
                yield moment, step, step.change
