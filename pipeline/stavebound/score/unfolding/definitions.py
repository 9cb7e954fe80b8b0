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
from stavebound.score.unfolding.nesting import dos, nesting_faults, place_of
from stavebound.score.unfolding.values import Definition, Steps
from stavebound.source.document import Attribute, Element
from stavebound.suggest import suggest

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
        *(fault for step in steps.values() for fault in _said_again(_taken(step.element))),
        *(fault for step in steps.values() for fault in _of_braces(step)),
        *nesting_faults(steps),
    )


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
    return _parts(do.get("with"))


def _parts(attribute: Attribute | None) -> Iterator[tuple[str, str]]:
    for part in attribute.value.split(",") if attribute else ():
        name, _, value = part.strip().partition(" ")
        yield name, value.strip()


def said_how(name: str) -> str:
    """How to say what a step wants to know."""
    how = HOW.get(name, f'with="{name} …"')
    return f"Write {how}."


def _definition(element: Element) -> Definition:
    return Definition(
        name=required(element, "step", str),
        counts=required(element, "counts", int),
        takes={name: value or None for name, value in _parts(element.get("takes"))},
        division=given(element, "divide", Division),
        out=given(element, "out", lexical.at),
        inward=given(element, "in", lexical.at),
        element=element,
    )


def _taken(define: Element) -> tuple[tuple[str, Attribute], ...]:
    return tuple((name, place_of(define, "takes")) for name, _ in _parts(define.get("takes")))


def _twice(definition: Definition, first: Definition) -> Diagnostic:
    return Diagnostic(
        "U101",
        f"the step “{definition.name}” is defined already",
        place_of(definition.element, "step").span,
        ("Give it another name, or keep one of the two.",),
        ((place_of(first.element, "step").span, "the first definition"),),
    )


# ---------------------------------------------------------------- uses


def _of_use(use: _Use, steps: Steps) -> Iterator[Diagnostic]:
    name = place_of(use.do, "step")
    step = steps.get(name.value)
    if step is None:
        yield Diagnostic(
            "U102",
            f"there is no step “{name.value}”",
            name.span,
            _hints(suggest(name.value, steps), *_how_defined(name.value, steps)),
        )
        return
    said = _said(use.do)
    yield from _unknown(said, step)
    yield from _said_again(said)
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


def _said(do: Element) -> tuple[tuple[str, Attribute], ...]:
    """The names of what a use says, and where it does."""
    said = [(name, place_of(do, "with")) for name, _ in said_with(do)]
    said += [("to", one) for one in (do.get("to"), do.get("en")) if one]
    said += [("front", one) for one in (do.get("close"),) if one]
    return tuple(said)


def _unknown(said: tuple[tuple[str, Attribute], ...], step: Definition) -> Iterator[Diagnostic]:
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


def _said_again(said: tuple[tuple[str, Attribute], ...]) -> Iterator[Diagnostic]:
    """Of what is said of one name twice, one would be lost."""
    first: dict[str, Attribute] = {}
    for name, attribute in said:
        if name in first:
            yield Diagnostic(
                "U118",
                f"“{name}” is said twice",
                attribute.span,
                ("Keep one of the two.",),
                ((first[name].span, "the first time"),) if first[name] is not attribute else (),
            )
        first.setdefault(name, attribute)


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
                place_of(use.do, "step").span,
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


# ---------------------------------------------------------------- words


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
    return ((place_of(step.element, "step").span, "it is defined here"),)
