"""Random forms of a score, of repeats with endings and a jump, and how they are written."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import strategies as st

from stavebound.source.rules import NAMESPACE

MOST_ENDINGS = 3


@dataclass(frozen=True, slots=True)
class Section:
    """So many bars, danced once or repeated; endings by how many bars each has."""

    bars: int
    times: int = 1
    endings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Jump:
    """Da capo, or dal segno to the section of that index; the end stands after a section."""

    end: str
    after: int
    segno: int | None = None
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    sections: tuple[Section, ...]
    jump: Jump | None = None
    coda: int = field(default=0)


@st.composite
def sections(draw: st.DrawFn) -> Section:
    bars = draw(st.integers(1, 3))
    if draw(st.booleans()):
        return Section(bars)
    if draw(st.booleans()):
        return Section(bars, draw(st.integers(2, 3)))
    endings = draw(st.lists(st.integers(1, 2), min_size=2, max_size=MOST_ENDINGS))
    return Section(bars, len(endings), tuple(endings))


@st.composite
def forms(draw: st.DrawFn) -> Form:
    parts = draw(st.lists(sections(), min_size=1, max_size=4))
    if draw(st.booleans()):
        return Form(tuple(parts))
    end = draw(st.sampled_from(["fine", "coda"]))
    after = draw(st.integers(0, len(parts) - 1))
    segno = draw(st.none() | st.integers(0, after))
    # What follows the end has to be there, and the jump stands on a bar of its own.
    parts = [*(Section(part.bars, part.times) for part in parts), Section(1)]
    jump = Jump(end, after, segno, draw(st.booleans()))
    return Form(tuple(parts), jump, draw(st.integers(1, 2)) if end == "coda" else 0)


def text_of(form: Form) -> str:
    """The form as a score, every bar a phrase of one count whose step is its number."""
    numbers = iter(range(1, 1000))

    def bars(many: int) -> str:
        return "".join(
            f'<phrase counts="1"><frame at="1" step="{next(numbers)}"/></phrase>'
            for _ in range(many)
        )

    text = ""
    for index, section in enumerate(form.sections):
        text += "<segno/>" if form.jump and form.jump.segno == index else ""
        body = bars(section.bars)
        body += "".join(f"<ending>{bars(many)}</ending>" for many in section.endings)
        times = section.times
        text += f'<repeat times="{times}">{body}</repeat>' if times > 1 else body
        if form.jump and form.jump.after == index:
            text += "<fine/>" if form.jump.end == "fine" else "<to-coda/>"
    if form.jump:
        name = "da-capo" if form.jump.segno is None else "dal-segno"
        again = "yes" if form.jump.repeats else "no"
        text += f'<{name} to="{form.jump.end}" repeats="{again}"/>'
        text += f"<coda/>{bars(form.coda)}" if form.coda else ""
    music = '<music metre="1/4" counts-per-bar="1"/>'
    return f'<score xmlns="{NAMESPACE}" title="Form">{music}{text}</score>'
