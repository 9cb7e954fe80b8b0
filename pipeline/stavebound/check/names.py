"""Names: schools that the tables have, and names of the arms that the school has.

In: a `Danced`. Out: a diagnostic for each name that cannot be read, with the names
that could.
"""

from __future__ import annotations

from collections.abc import Iterator

from stavebound.check.phrasing import hints, listed, quoted
from stavebound.dance.danced import Danced
from stavebound.diagnostics import Diagnostic, Span
from stavebound.score.model import ArmsChange, HandChange
from stavebound.source.meant import likely, saying
from stavebound.suggest import did_you_mean, suggest
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.naming import (
    arms_names,
    arms_shape,
    contact_row,
    hand_names,
    hand_shape,
    own_name,
)
from stavebound.trade.tables import ArmsShape


def school_known(name: str | None, span: Span, catalogue: Catalogue) -> Iterator[Diagnostic]:
    """For a score's school as for a book's."""
    if name is not None and catalogue.school(name) is None:
        schools = [row.name for row in catalogue.schools.school]
        yield Diagnostic(
            "T321",
            f"there is no school “{name}” in the tables",
            span,
            hints(suggest(name, schools), f"Expected {listed(schools, 'or')}."),
        )


def scores_school(danced: Danced) -> Iterator[Diagnostic]:
    score = danced.score
    yield from school_known(score.school, score.origin.of("school"), danced.catalogue)


def arms_named(danced: Danced) -> Iterator[Diagnostic]:
    catalogue, school = danced.catalogue, danced.school
    for change, shape in _arms(danced):
        if shape is not None:
            continue
        span = change.origin.of("in")
        if hand_shape(catalogue, school, change.name):
            hint = f'Write <hand side="right" in="{change.name}"/>, and the left hand likewise.'
            message = f"“{change.name}” is a shape of one arm, not of both"
            yield Diagnostic("T324", message, span, (hint,))
        else:
            names = arms_names(catalogue, school)
            yield _unknown(change.name, span, names, danced)


def hand_named(danced: Danced) -> Iterator[Diagnostic]:
    catalogue, school = danced.catalogue, danced.school
    for change in _hands(danced):
        name = change.name or ""
        if not name or hand_shape(catalogue, school, name):
            continue
        span, shape = change.origin.of("in"), arms_shape(catalogue, school, name)
        if shape is None:
            yield _unknown(name, span, hand_names(catalogue, school), danced)
            continue
        one, other = (f'in="{own_name(hand, school)}"' for hand in shape.hands)
        message = f"“{name}” names two different arms, and this is one hand"
        hint = f"For this hand write {one} or {other}."
        both = f'For both write <arms in="{name}" lead="…"/>.'
        yield Diagnostic("T323", message, span, (hint, both))


def lead_where_arms_differ(danced: Danced) -> Iterator[Diagnostic]:
    for change, shape in _arms(danced):
        if shape and not _alike(shape) and change.lead is None:
            first = shape.hands[0]
            yield Diagnostic(
                "T325",
                f"“{change.name}” has two different arms, and it is not said which is which",
                change.origin.of("in"),
                (f'Write lead="right" or lead="left" for the arm that is {first}.',),
            )


def no_lead_where_arms_are_alike(danced: Danced) -> Iterator[Diagnostic]:
    for change, shape in _arms(danced):
        if shape and _alike(shape) and change.lead is not None:
            yield Diagnostic(
                "T326",
                f"lead says nothing here: both arms of “{change.name}” are {shape.hands[0]}",
                change.origin.of("lead"),
                ("Delete lead, or name a shape whose arms differ.",),
            )


def _arms(danced: Danced) -> Iterator[tuple[ArmsChange, ArmsShape | None]]:
    for step in danced.steps:
        if isinstance(step.change, ArmsChange):
            yield step.change, arms_shape(danced.catalogue, danced.school, step.change.name)


def _hands(danced: Danced) -> Iterator[HandChange]:
    for step in danced.steps:
        if isinstance(step.change, HandChange):
            yield step.change


def _alike(shape: ArmsShape) -> bool:
    return shape.hands[0] == shape.hands[1]


def _unknown(name: str, span: Span, names: tuple[str, ...], danced: Danced) -> Diagnostic:
    school = danced.school
    own = [each for each in names if each in school.arms.values()]
    plain = [each for each in names if each not in own]
    return Diagnostic(
        "T322",
        f"the {school.label} school has no arms “{name}”",
        span,
        hints(
            *(tuple(_elsewhere(name, danced)) or (_meant(name, names, danced),)),
            f"It has {listed(quoted(own))}.",
            f"Every score may use the plain names too: {listed(quoted(plain))}.",
        ),
    )


def _meant(name: str, names: tuple[str, ...], danced: Danced) -> str | None:
    if contact_row(danced.catalogue, name):
        return f'Where a hand touches it, write <hand side="…" touching="{name}"/>.'
    return saying(name) or did_you_mean(likely(name, names)[:1])


def _elsewhere(name: str, danced: Danced) -> Iterator[str]:
    """Where another school has the name: what it means there, and what it is called here."""
    for other in danced.catalogue.schools.school:
        for shape, own in other.arms.items():
            if own == name and other.name != danced.school.name:
                here = own_name(shape, danced.school)
                yield (
                    f"The {other.label} school's “{name}” is “{here}” for the "
                    f"{danced.school.label} school."
                )
