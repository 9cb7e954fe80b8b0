"""Remains: what can be judged of a score of which something is damaged or cannot be unfolded.

In: the sound part of a score, and the roots of the files whose steps it uses. Out: the
pieces, all sound frames without their time, for rules that look at one element alone;
the dance up to the first loss, for all that follows from what was danced before; and
what is wrong with steps and passages whatever was lost. Always holds: nothing is in
them that would be other without the loss.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.score.frame_texts import CUE, FRAME, text_names
from stavebound.score.model import Score
from stavebound.score.read import CHANGES, PROSE, given, read_score
from stavebound.score.unfolding.definitions import definitions, uses_faults
from stavebound.score.unfolding.jumps import JUMPS, MARKS, PASSAGES
from stavebound.score.unfolding.nesting import dos
from stavebound.score.unfolding.unfold import unfold
from stavebound.source.document import Attribute, Element
from stavebound.source.schema import load_plain_schema, load_schema
from stavebound.source.sound import Sound, Trail, sound_part
from stavebound.source.validate import validate
from stavebound.suggest import nearest

STEPS = ("define", "steps")
ITEMS = (*PASSAGES, *MARKS, *JUMPS)
# What is lost without changing what is danced, in its place.
APART: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"score": PROSE, "phrase": ("phrasing", CUE), "upbeat": ("phrasing", CUE)}
)
# What stands in a phrase: lost where it stands.
PARTS = ("frame", "do", "over", "bar")
LINES = ("upbeat", "phrase", "over", "last")
# A jump looks for what comes after it.
LOOKS_AHEAD = ("U113",)

# Line and column.
ItemPlace = tuple[int, int]
# Of the item of the score from which on the dance is not known, and of the frame in it.
Cut = tuple[ItemPlace, ItemPlace]
BEGINNING: Cut = ((0, 0), (0, 0))
END: Cut = ((1 << 30, 0), (1 << 30, 0))


@dataclass(frozen=True, slots=True)
class Remains:
    """What is left to be judged. `pieces` are sound elements, None where there are none;
    `begun` is the dance up to the first loss, None where nothing is danced before it. `whole`
    says that nothing danced is lost, `named` that it is not lost which `school` the score has."""

    pieces: Score | None
    begun: Score | None
    whole: bool
    named: bool
    school: str | None


def remains_of(sound: Sound, shared: Sequence[Element], all_steps: bool) -> Outcome[Remains]:
    """What is left of a score; `all_steps` says that every file of steps was read."""
    root = sound.root
    own = not any(map(_may_define, sound.lost))
    defined = definitions((root, *shared))
    uses = uses_faults(root, defined.value or {})
    told = (*defined.diagnostics, *(one for one in uses if all_steps or one.code != "U102"))
    cuts = list(_cuts(sound))
    if told or not (own and all_steps):
        cuts.append(next((_at(item) for item in root.elements if _dances_steps(item)), END))
    begun, faults = _begun(root, shared, min(cuts, default=None))
    whole = not cuts and not faults
    school, named = given(root, "school", str), not _may_be_unsaid("school", sound)
    remains = Remains(_pieces(root), begun, whole, named, school)
    # What is lost may have been the very step that is used, or the first of its name.
    return Outcome(remains, (*(told if own else ()), *faults))


def _cuts(sound: Sound) -> Iterator[Cut]:
    """Where each loss cuts the dance, if it does."""
    if _may_be_unsaid("working", sound):
        yield BEGINNING
    for trail in sound.lost:
        top = trail[0]
        meant = _meant(top.name)
        if meant in STEPS or _is_apart(trail):
            continue
        if meant not in ITEMS and top.name not in PARTS:
            yield BEGINNING
        elif top.name == "phrase" and len(trail) > 1 and trail[1].name == "frame":
            yield _place(top.span), _place(trail[1].span)
        else:
            yield _at(top)


def _is_apart(trail: Trail) -> bool:
    """Whether it is lost to the reader alone, and not to the dance: not where something else
    has the name by mistake."""
    for holder, element in zip(("score", *(one.name for one in trail)), trail, strict=False):
        name = _meant(element.name) if holder == "score" else element.name
        if name in (text_names().elements if holder == FRAME else APART.get(holder, ())):
            inner = (one.name for child in element.elements for one in child.walk())
            danced = any(one in CHANGES or one in (*PARTS, *ITEMS) for one in inner)
            return _has_its_attributes(element, name) and not danced
    return False


def _may_define(trail: Trail) -> bool:
    """Whether a step may be lost by it."""
    top = trail[0]
    itself = top.name in (*ITEMS, "upbeat", "music", "barre", "start")
    return not (itself and _has_its_attributes(top, top.name)) and not _is_apart(trail)


def _has_its_attributes(element: Element, name: str | None) -> bool:
    """Whether an element is what its name says, or is meant to say, as far as that shows."""
    rules = load_schema().named(name or "")
    return any(all(one.name in rule.known for one in element.attributes) for rule in rules)


def _may_be_unsaid(name: str, sound: Sound) -> bool:
    """Whether an attribute of the score is lost, perhaps under another name."""
    (rule,) = load_schema().named("score")
    meant = (one if one in rule.known else nearest(one, rule.known) for one in sound.unsaid)
    return sound.root.get(name) is None and any(one in (name, None) for one in meant)


def _meant(name: str) -> str | None:
    """What a child of the score is, or was meant to be."""
    known = (*ITEMS, *PROSE, *STEPS, "music", "barre", "start", "upbeat")
    return nearest(name, known)


def _dances_steps(item: Element) -> bool:
    return item.name in (*ITEMS, "upbeat") and any(True for _ in dos(item))


# ---------------------------------------------------------------- up to the first loss


def _begun(
    root: Element, shared: Sequence[Element], cut: Cut | None
) -> tuple[Score | None, tuple[Diagnostic, ...]]:
    """What is danced before the cut; where not even that can be unfolded, why not, and what
    is danced before that."""
    before = _before(root, cut)
    if before is None or validate(before, load_schema()):
        return None, ()
    outcome = unfold(before, shared)
    if outcome.value:
        return outcome.value.score, ()
    faults = outcome.diagnostics
    first = min(_item_of(fault, before) for fault in faults)
    if cut is not None:
        faults = tuple(fault for fault in faults if fault.code not in LOOKS_AHEAD)
    # Each time less is left; of what fails once more all has been told.
    begun = _begun(root, shared, first)[0] if cut is None or first < cut else None
    return begun, faults


def _before(root: Element, cut: Cut | None) -> Element | None:
    """The score up to the cut, None where nothing is danced there."""
    if cut is None:
        return root
    left = tuple(kept for child in root.elements if (kept := _up_to(child, cut)))
    if not any(_dances_steps(child) for child in left):
        left = tuple(child for child in left if child.name not in STEPS)
    danced = any(child.name in PASSAGES for child in left)
    return replace(root, children=left) if danced else None


def _up_to(child: Element, cut: Cut) -> Element | None:
    """A child of the score as far as it stands before the cut."""
    item, frame = cut
    place = _place(child.span)
    if child.name not in ITEMS or place < item:
        return child
    apart = APART["phrase"]
    plain = all(one.name in (FRAME, "bar", *apart) for one in child.elements)
    if place > item or frame == item or not plain:
        return None
    kept = tuple(one for one in child.elements if one.name == "bar" or _place(one.span) < frame)
    return replace(child, children=tuple(one for one in kept if one.name not in apart))


def _item_of(fault: Diagnostic, root: Element) -> Cut:
    """The item of the score in which a fault stands, or in which it is danced."""
    places = [*fault.span.uses, fault.span] if fault.span else []
    own = [_place(span) for span in reversed(places) if span.path == root.span.path]
    items = (_at(one) for one in root.elements if one.name in ITEMS)
    return max((cut for cut in items if own and cut[0] <= own[-1]), default=BEGINNING)


def _at(item: Element) -> Cut:
    return _place(item.span), _place(item.span)


def _place(span: Span) -> ItemPlace:
    return span.line, span.column


# ---------------------------------------------------------------- one by one


def _pieces(root: Element) -> Score | None:
    """Every line's sound frames as a phrase; those that only shorthand has are left out, and
    so are definitions, which are danced where they are used."""
    others = (one for one in root.elements if one.name in ("music", "barre", "start", *PROSE))
    inner = (one for top in root.elements if top.name != "define" for one in top.walk())
    lines = (_line(one) for one in inner if one.name in LINES)
    own = tuple(one for one in root.attributes if one.name != "working")
    # Where no line is left, an empty one stands for them.
    children = (*others, *lines, _line(replace(root, children=())))
    flat = replace(root, attributes=own, children=children)
    plain = sound_part(flat, validate(flat, load_plain_schema())).root
    return None if validate(plain, load_plain_schema()) else read_score(plain)


def _line(element: Element) -> Element:
    counts = element.get("counts") or _said("counts", "1", element)
    identity = element.get("id") if element.name == "phrase" else None
    frames = tuple(one for one in element.elements if one.name in ("frame", "bar"))
    empty = Element("frame", (_said("at", "1", element),), (), element.span)
    attributes = (counts, identity) if identity else (counts,)
    return Element("phrase", attributes, (*frames, empty), element.span)


def _said(name: str, value: str, element: Element) -> Attribute:
    return Attribute(name, value, value, element.span, element.span)
