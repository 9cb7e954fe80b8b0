"""Definitions: the steps a score can use, and whether each use of one makes sense.

In: the roots of a score and of the files whose steps it uses. Out: steps by
name, and all that is wrong with them and with their uses. Where nothing is
wrong, every `do` finds its step, everything the step takes, and an end.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.score import lexical
from stavebound.score.model import Division
from stavebound.score.read import all_of, given, required
from stavebound.score.unfolding.values import Definition, Steps
from stavebound.source.document import Attribute, Element
from stavebound.suggest import suggest

DEEPEST = 10
"""Steps made of steps made of steps, so many of them in each other."""

MOST_STEPS = 8
"""Steps named in one hint; a longer list is not read."""

PARAMETER = re.compile(r"\{([a-z][a-z\-]*)\}")

# En croix, with the foot in front after each: it closes behind from the side, then in front.
CROIX = (
    ("front", "working"),
    ("side", "supporting"),
    ("back", "supporting"),
    ("side", "working"),
)
FRONT_BY_WAY: Mapping[str, str] = {"front": "working", "back": "supporting"}
FRONT_BY_CLOSING: Mapping[str, str] = {"front": "working", "behind": "supporting"}

# How to say what has an attribute of its own.
HOW: Mapping[str, str] = {
    "to": 'to="front", or en="croix"',
    "front": 'close="front" or close="behind"',
}

Arguments = Mapping[str, str]

_Uses = Mapping[str, tuple[str, ...]]
"""Of each step the steps of which it is made, by name."""


@dataclass(frozen=True, slots=True)
class _Use:
    """A `do`, and the definition in which it stands, if it stands in one."""

    do: Element
    inside: Definition | None


def definitions(roots: Iterable[Element]) -> Outcome[Steps]:
    """The steps that are defined in these roots; the first definition of a name counts."""
    found: dict[str, Definition] = {}
    faults: list[Diagnostic] = []
    for element in (define for root in roots for define in all_of(root, "define")):
        definition = _definition(element)
        first = found.setdefault(definition.name, definition)
        if first is not definition:
            faults.append(_twice(definition, first))
    return Outcome(found, tuple(faults))


def uses_faults(root: Element, steps: Steps) -> tuple[Diagnostic, ...]:
    """All that is wrong with the uses of steps under a root and in the steps themselves."""
    own = [_Use(do, None) for child in root.elements if child.name != "define" for do in dos(child)]
    inner = [_Use(do, step) for step in steps.values() for do in dos(step.element)]
    return (
        *(fault for use in own + inner for fault in _of_use(use, steps)),
        *(fault for step in steps.values() for fault in _of_braces(step)),
        *(tuple(_circles(steps)) or _too_deep(steps)),
    )


def dos(element: Element) -> Iterator[Element]:
    return (inner for inner in element.walk() if inner.name == "do")


def arguments_of(do: Element, step: Definition) -> tuple[Arguments, ...]:
    """What the step is danced with: once, or for each direction of the croix.

    What is not said is as the definition has it; the front foot follows from the way.
    """
    said = dict(said_with(do))
    if close := do.get("close"):
        said["front"] = FRONT_BY_CLOSING[close.value]
    ways: tuple[dict[str, str], ...] = ({},)
    if do.get("en"):
        ways = tuple({"to": way, "front": front} for way, front in CROIX)
    elif (to := do.get("to")) and to.value in FRONT_BY_WAY:
        ways = ({"to": to.value, "front": FRONT_BY_WAY[to.value]},)
    elif to:
        ways = ({"to": to.value},)
    usual = {name: value for name, value in step.takes.items() if value is not None}
    return tuple({**usual, **way, **said} for way in ways)


def said_with(do: Element) -> Iterator[tuple[str, str]]:
    """The names and values of a `with`."""
    attribute = do.get("with")
    for part in attribute.value.split(",") if attribute else ():
        name, _, value = part.strip().partition(" ")
        yield name, value.strip()


def said_how(name: str) -> str:
    """How to say what a step wants to know."""
    how = HOW.get(name, f'with="{name} …"')
    return f"Write {how}."


def _definition(element: Element) -> Definition:
    takes = element.get("takes")
    parts = (part.strip().partition(" ") for part in takes.value.split(",")) if takes else ()
    return Definition(
        name=required(element, "step", str),
        counts=required(element, "counts", int),
        takes={name: value.strip() or None for name, _, value in parts},
        division=given(element, "divide", Division),
        out=given(element, "out", lexical.at),
        inward=given(element, "in", lexical.at),
        element=element,
    )


def _twice(definition: Definition, first: Definition) -> Diagnostic:
    return Diagnostic(
        "U101",
        f"the step “{definition.name}” is defined already",
        _place(definition.element, "step").span,
        ("Give it another name, or keep one of the two.",),
        ((_place(first.element, "step").span, "the first definition"),),
    )


# ---------------------------------------------------------------- uses


def _of_use(use: _Use, steps: Steps) -> Iterator[Diagnostic]:
    name = _place(use.do, "step")
    step = steps.get(name.value)
    if step is None:
        yield Diagnostic(
            "U102",
            f"there is no step “{name.value}”",
            name.span,
            _hints(suggest(name.value, steps), *_how_defined(name.value, steps)),
        )
        return
    yield from _unknown(use, step)
    yield from _missing(use, step)
    if use.inside is None:
        yield from _stray_braces(use.do)
    accent = use.do.get("accent")
    if accent and not (step.out and step.inward):
        yield Diagnostic(
            "U106",
            f"“{step.name}” does not say which moments are its way out and its way in",
            accent.span,
            ('Write them in the definition, such as out="1" in="1 and".',),
            _defined_here(step),
        )


def _unknown(use: _Use, step: Definition) -> Iterator[Diagnostic]:
    said = [(name, _place(use.do, "with")) for name, _ in said_with(use.do)]
    said += [("to", one) for one in (use.do.get("to"), use.do.get("en")) if one]
    said += [("front", one) for one in (use.do.get("close"),) if one]
    takes = f"It takes {', '.join(step.takes)}." if step.takes else "It takes nothing."
    for name, attribute in said:
        if name not in step.takes:
            yield Diagnostic(
                "U103",
                f"the step “{step.name}” does not take “{name}”",
                attribute.span,
                _hints(suggest(name, step.takes), takes),
                _defined_here(step),
            )


def _missing(use: _Use, step: Definition) -> Iterator[Diagnostic]:
    ways = arguments_of(use.do, step)
    to = use.do.get("to")
    # What a definition hands on is not known before it is used.
    later = {"front"} if to and "{" in to.value else set()
    for name in step.takes:
        if name not in later and any(name not in way for way in ways):
            yield Diagnostic(
                "U104",
                f"the step “{step.name}” wants to know “{name}”",
                _place(use.do, "step").span,
                (said_how(name),),
                _defined_here(step),
            )


def _stray_braces(do: Element) -> Iterator[Diagnostic]:
    for attribute in do.attributes:
        if PARAMETER.search(attribute.value):
            yield Diagnostic(
                "U115",
                f"nothing is put in for “{attribute.value}” here",
                attribute.span,
                ("Braces stand in a definition; where a step is used, say what is meant.",),
            )


def _of_braces(step: Definition) -> Iterator[Diagnostic]:
    """Parameters that stand in a definition and that it does not take."""
    for element in step.element.walk():
        for attribute in element.attributes:
            for name in PARAMETER.findall(attribute.value):
                if name not in step.takes:
                    yield Diagnostic(
                        "U103",
                        f"the step “{step.name}” does not take “{name}”",
                        attribute.span,
                        _hints(suggest(name, step.takes), f'Write takes="{name}" to have it.'),
                        _defined_here(step),
                    )


# ---------------------------------------------------------------- circles


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
    names = (_place(do, "step").value for do in dos(step.element))
    return (name for name in dict.fromkeys(names) if name in steps)


def _round(circle: tuple[str, ...], steps: Steps) -> Diagnostic:
    follows = dict(zip(circle, (*circle[1:], circle[0]), strict=True))
    places = {
        name: next(
            place.span
            for do in dos(steps[name].element)
            if (place := _place(do, "step")).value == follows[name]
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
                _place(steps[name].element, "step").span,
                ("Write some of them out.",),
            )


# ---------------------------------------------------------------- words


def _place(element: Element, name: str) -> Attribute:
    """An attribute that is there. KeyError for an unvalidated source."""
    attribute = element.get(name)
    if attribute is None:
        raise KeyError(f"{element.name} without {name}")
    return attribute


def _hints(*parts: str | None) -> tuple[str, ...]:
    return tuple(part for part in parts if part)


def _how_defined(name: str, steps: Steps) -> Iterator[str]:
    """Which steps there are, and how one comes to be."""
    if steps:
        yield f"Defined are {', '.join(f'“{one}”' for one in list(steps)[:MOST_STEPS])}."
    else:
        yield "No step is defined for this score."
    yield (
        f'Write it once, <define step="{name}" counts="…">, in the score or in a file of steps '
        'that the score names: <steps from="…"/>.'
    )
    yield f'To print a name alone, write it on a frame: <frame at="1" step="{name}">.'


def _defined_here(step: Definition) -> tuple[tuple[Span, str], ...]:
    return ((_place(step.element, "step").span, "it is defined here"),)
