"""Laws that hold of every sound score, held over the same random scores: as it is written, and on
paper. Where one fails, the traceback names it.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from stavebound.engrave.engraving import Engraved
from stavebound.score.model import (
    Change,
    ElbowChange,
    FootChange,
    HandChange,
    KneesChange,
    Score,
)
from stavebound.score.unfolding.exchange import other_side
from tests.support.changes import in_words
from tests.support.laws import LAWS
from tests.support.made import usable
from tests.support.readers import faults_in, frames_of, limb_text, read_lines
from tests.support.score_laws import SCORE_LAWS
from tests.support.sources import danced, score_of, whole
from tests.support.staves import (
    View,
    least_width,
    outcome_of,
    school_of,
    styled,
    view,
    viewed,
)
from tests.support.strategies import scores

STAVES = [
    f'<stave height="{height}" centre-line="{line}" line-names="{names}"/>'
    for height in (7, 9, 14)
    for line in ("yes", "no")
    for names in ("first", "every", "none")
]


@settings(max_examples=45)
@given(scores(), st.randoms(use_true_random=False))
def test_laws_hold_of_random_scores(score: Score, chance: Random) -> None:
    for law in SCORE_LAWS:
        law(score, chance)


@settings(max_examples=45)
@given(scores(), st.sampled_from(STAVES), st.sampled_from([80.0, 115.0, 180.0]))
def test_laws_hold_of_random_scores_on_paper(score: Score, stave: str, width: float) -> None:
    """What is too crowded to be placed is a fault; everything else obeys every law and is read
    back as written, none of it with two readings. So is its mirror, which reads as the mirror of
    what is read; place by place the two may differ, as signs give way to each other in an order.
    """
    setting = styled(stave)
    narrow = least_width(score, setting) + 0.001
    mirrored = danced(in_words(score, school_of(score)), other_side)
    mirror = outcome_of(mirrored, 180.0, setting)
    first = outcome_of(score, narrow, setting)
    crowded = (*first.diagnostics, *mirror.diagnostics)
    assert {fault.code for fault in crowded} <= {"E401"}
    usable(crowded)
    assert first.value is not None
    page = viewed(first.value, score, narrow, setting)
    lawful(page)
    if width > narrow:
        page = view(score, width, setting)
        lawful(page)
    assert mirror.value is not None
    assert faults_in(mirror.value, mirrored, setting) == ()
    read = danced(frames_read(page.result), other_side)
    assert changes_told(read) == changes_told(frames_read(mirror.value))


def lawful(page: View) -> None:
    for law in LAWS:
        law(page)
    assert faults_in(page.result, page.score, page.setting) == ()


def frames_read(engraved: Engraved) -> Score:
    """A score of what was read, a frame a count."""
    inked = [frame.subjects for frame in frames_of(read_lines(engraved)) if frame.subjects]
    frames = "".join(
        f'<frame at="{count}">{"".join(map(limb_text, subjects))}</frame>'
        for count, subjects in enumerate(inked, 1)
    )
    return score_of(whole(f'<phrase counts="{len(inked)}">{frames}</phrase>'))


def changes_told(score: Score) -> list[list[str]]:
    """What every frame says of each limb, without its place."""
    start = score.start.changes if score.start else ()
    frames = [frame.changes for phrase in score.phrases for frame in phrase.frames]
    return [sorted(str(unplaced(change)) for change in changes) for changes in (start, *frames)]


def unplaced(change: Change) -> Change:
    if isinstance(change, HandChange):
        return replace(change, height=None, out=None, forward=None)
    if isinstance(change, KneesChange | ElbowChange | FootChange):
        return replace(change, height=None, out=None)
    return change
