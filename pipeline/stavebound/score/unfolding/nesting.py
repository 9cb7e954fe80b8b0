"""Steps made of steps: which are made of which, in circles or too deep.

In: the steps that are defined. Out: what is wrong with how they are made of each other; and
where nothing is, their order from the inside out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from stavebound.diagnostics import Diagnostic
from stavebound.score.unfolding.values import Definition, Steps
from stavebound.source.document import Attribute, Element

DEEPEST = 10
"""Steps made of steps made of steps, so many of them in each other."""

_Uses = Mapping[str, tuple[str, ...]]
"""Of each step the steps of which it is made, by name."""


def nesting_faults(steps: Steps) -> tuple[Diagnostic, ...]:
    """How deep steps are is told where none is made of itself."""
    return tuple(_circles(steps)) or tuple(_too_deep(steps))


def dos(element: Element) -> Iterator[Element]:
    return (inner for inner in element.walk() if inner.name == "do")


def place_of(element: Element, name: str) -> Attribute:
    """An attribute that is there. KeyError for an unvalidated source."""
    attribute = element.get(name)
    if attribute is None:
        raise KeyError(f"{element.name} without {name}")
    return attribute


def _circles(steps: Steps) -> Iterator[Diagnostic]:
    """Steps that are made of themselves, by way of others or at once: circles that have all of
    them between them."""
    uses = _uses_of(steps)
    left = _unended(_turned(_unended(uses)))
    told: set[str] = set()
    for name in uses:
        circle = _circle(name, uses) if name in left and name not in told else ()
        if circle:
            told |= set(circle)
            yield _round(circle, steps)


def _unended(uses: _Uses) -> _Uses:
    """What is left when each step is taken away that is made of nothing that is left."""
    waits = {name: len(used) for name, used in uses.items()}
    users = _turned(uses)
    free = [name for name, many in waits.items() if not many]
    while free:
        for user in users[free.pop()]:
            waits[user] -= 1
            if not waits[user]:
                free.append(user)
    left = {name for name, many in waits.items() if many}
    return {name: tuple(used for used in uses[name] if used in left) for name in left}


def _turned(uses: _Uses) -> _Uses:
    """Of each step those that are made of it."""
    users: dict[str, list[str]] = {name: [] for name in uses}
    for name, used in uses.items():
        for one in used:
            users[one].append(name)
    return {name: tuple(found) for name, found in users.items()}


def _circle(name: str, uses: _Uses) -> tuple[str, ...]:
    """The way from a step back to itself, without its end; nothing where there is none."""
    ways: list[tuple[str, ...]] = [(name,)]
    seen = {name}
    while ways:
        way = ways.pop()
        for used in uses[way[-1]]:
            if used == name:
                return way
            if used not in seen:
                seen.add(used)
                ways.append((*way, used))
    return ()


def _uses_of(steps: Steps) -> _Uses:
    """Of each step the known steps of which it is made, by name."""
    return {step.name: tuple(_used_by(step, steps)) for step in steps.values()}


def _used_by(step: Definition, steps: Steps) -> Iterator[str]:
    names = (place_of(do, "step").value for do in dos(step.element))
    return (name for name in dict.fromkeys(names) if name in steps)


def _round(circle: tuple[str, ...], steps: Steps) -> Diagnostic:
    follows = dict(zip(circle, (*circle[1:], circle[0]), strict=True))
    places = {
        name: next(
            place.span
            for do in dos(steps[name].element)
            if (place := place_of(do, "step")).value == follows[name]
        )
        for name in circle
    }
    names = " → ".join(f"“{name}”" for name in (*circle, circle[0]))
    return Diagnostic(
        "U105",
        f"a step cannot be made of itself: {names}",
        places[circle[0]],
        ("Take one of these uses out.",),
        tuple((places[name], f"“{name}” uses “{follows[name]}” here") for name in circle[1:]),
    )


def inner_first(names: Iterable[str], steps: Steps) -> Iterator[Definition]:
    """Steps and all they are made of, each once and after what it is made of.

    Only where no step is made of itself.
    """
    done: set[str] = set()
    waiting = list(reversed(tuple(names)))
    inside: dict[str, tuple[str, ...]] = {}
    while waiting:
        name = waiting[-1]
        if name not in inside:
            inside[name] = tuple(_used_by(steps[name], steps))
            waiting += [used for used in inside[name] if used not in done]
            continue
        waiting.pop()
        if name not in done:
            done.add(name)
            yield steps[name]


def _too_deep(steps: Steps) -> Iterator[Diagnostic]:
    """Steps made of steps made of steps, further than anybody can follow."""
    uses = _uses_of(steps)
    depths: dict[str, int] = {}
    for name in (step.name for step in inner_first(steps, steps)):
        depths[name] = 1 + max((depths[used] for used in uses[name]), default=0)
        if depths[name] == DEEPEST + 1:
            yield Diagnostic(
                "U112",
                f"“{name}” is made of steps that are more than {DEEPEST} deep in each other",
                place_of(steps[name].element, "step").span,
                ("Write some of them out.",),
            )
