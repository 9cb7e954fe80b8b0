"""Random shorthand that the schema accepts, whether it makes sense or not, as text.

What is `wild` may use steps that are not there, give them what they do not take,
and be made of itself; what is not unfolds but for a few.
"""

from __future__ import annotations

from hypothesis import strategies as st

from stavebound.source.rules import NAMESPACE

Texts = st.SearchStrategy[str]

STEPS = ["plié", "tendu"]
SIDES = ["right", "left", "working", "supporting"]


def attributes(**choices: list[str]) -> Texts:
    """Some of these attributes, each with one of its values."""
    given = [
        st.sampled_from(["", *(f' {name.strip("_")}="{value}"' for value in values)])
        for name, values in choices.items()
    ]
    return st.tuples(*given).map("".join)


def frames(moments: list[str], changes: list[str]) -> Texts:
    return st.builds(
        '<frame at="{}"{}>{}</frame>'.format,
        st.sampled_from(moments),
        attributes(step=["a"]),
        st.sampled_from(["", *changes]),
    )


PLAIN = frames(
    ["1", "1 and", "2", "2 1/3"],
    [
        '<foot side="working" to="front" place="pointed"/>',
        '<knee side="supporting" bend="half"/><cue>Now <side is="working"/></cue>',
        '<hand side="left" in="first"/>',
    ],
)
INNER = PLAIN | frames(
    ["1", "1 and", "2", "1 7/12"],
    [
        '<foot side="working" to="{to}" place="pointed"/>',
        '<feet in="fifth" front="{front}"/>',
        '<knees bend="{x}"/><cue>Now {x}</cue>',
        '<head tilt="working 2"/>',
    ],
)
WILD = INNER | frames(["9", "1 a"], ['<return of="body"/>', '<arms in="first" lead="working"/>'])


def uses(steps: list[str], wild: bool) -> Texts:
    odd = ["{x}"] if wild else []
    return st.builds(
        '<do step="{}"{}{}/>'.format,
        st.sampled_from([*steps, "unknown"] if wild else steps),
        _ways(wild),
        attributes(
            at=["1", "2 and"],
            close=["front", "behind"],
            times=["2", *(["12"] if wild else [])],
            accent=["in", "out"],
            working=[*SIDES, *odd],
            side=["other"],
            reverse=["yes", "no"],
            alternate=["yes"],
        ),
    )


def _ways(wild: bool) -> Texts:
    """Where a step goes; said once, unless it is wild."""
    if wild:
        return attributes(
            to=["front", "side", "{to}"],
            en=["croix"],
            with_=["x half", "to back, x none", "front {front}", "y z"],
        )
    ways = ("", ' to="front"', ' to="side"', ' en="croix"', ' with="to back, x none"')
    return st.sampled_from([*ways, *(f'{way} with="x half"' for way in ways[:4])])


def line_parts(one: Texts) -> Texts:
    parts = st.recursive(
        one,
        lambda inner: st.lists(inner, min_size=1, max_size=3).map(
            lambda texts: f"<over>{''.join(texts)}</over>"
        ),
        max_leaves=4,
    )
    return st.lists(parts, min_size=1, max_size=3).map("".join)


def phrases(line: Texts) -> Texts:
    said = attributes(id=["opening"], divide=["thirds", "quarters"], working=["right", "left"])
    bars = st.sampled_from(["", '<bar at="2" counts="3" id="bar"/>'])
    cues = st.sampled_from(["", "<cue>Now</cue>", '<cue at="1 and">To <side is="left"/></cue>'])
    counts = st.sampled_from("1248")
    return st.builds('<phrase counts="{}"{}>{}{}{}</phrase>'.format, counts, said, bars, cues, line)


def once_more(line: Texts, wild: bool) -> Texts:
    how = attributes(
        times=["2", "3"],
        working=SIDES,
        turning=["2"],
        side=["other"],
        reverse=["yes"],
        alternate=["yes"],
    )
    last = line.map(lambda text: f'<last from="2">{text}</last>') | st.just("")
    if wild:
        again = attributes(phrases=["2"])
        named = attributes(bars=["1", "1 to 2", "3 to 9"], phrase=["opening", "other"])
    else:
        again = st.just("")
        named = st.sampled_from([' bars="1"', ' bars="1 to 2"', ' phrase="first"'])
    return st.builds("<again{}{}>{}</again>".format, again, how, last) | st.builds(
        "<as{}{}>{}</as>".format, named, how, last
    )


def passages(line: Texts, wild: bool) -> Texts:
    def repeats(inner: Texts) -> Texts:
        texts = st.lists(inner, min_size=1, max_size=2).map("".join)
        said = attributes(of=["1", "1 2", "3"]) if wild else st.just("")
        ending = st.builds("<ending{}>{}</ending>".format, said, texts)
        endings = st.lists(ending, max_size=2)
        if not wild:
            endings = endings.filter(lambda texts: len(texts) != 1)
        times = attributes(times=["1", "2", "3"]) if wild else attributes(times=["2"])
        return st.builds("<repeat{}>{}{}</repeat>".format, times, texts, endings.map("".join))

    return st.recursive(phrases(line) | once_more(line, wild), repeats, max_leaves=4)


def marks() -> Texts:
    jumps = attributes(to=["fine", "coda"], repeats=["yes"])
    return st.sampled_from(["<segno/>", "<fine/>", "<to-coda/>", "<coda/>"]) | st.builds(
        "<{}{}/>".format, st.sampled_from(["da-capo", "dal-segno"]), jumps
    )


@st.composite
def definitions(draw: st.DrawFn, wild: bool) -> str:
    """Two steps, the second of which may be made of the first."""
    texts = []
    for name, inner in zip(STEPS, (STEPS if wild else [], STEPS[:1]), strict=True):
        one = WILD if wild else INNER
        line = draw(line_parts(one | uses(inner, wild) if inner else one))
        takes = draw(attributes(takes=["to, front, x"])) if wild else ""
        takes = takes or ' takes="to side, x half, front working"'
        said = draw(attributes(divide=["halves", "thirds"]))
        texts.append(
            f'<define step="{name}" counts="{draw(st.sampled_from("12"))}"{takes}{said}'
            f' out="1" in="{draw(st.sampled_from(["1 and", "2 2/3"]))}">{line}</define>'
        )
    return "".join(texts)


START = '<start><feet in="fifth" front="working"/></start>'
MUSIC = '<music metre="2/4" counts-per-bar="2" divide="thirds"/>'
LEG = ' working="right"'


@st.composite
def wild_shorthand(draw: st.DrawFn) -> str:
    """The text of a score, whatever it means."""
    line = line_parts(WILD | uses(STEPS, True))
    upbeat = draw(st.just("") | line.map('<upbeat counts="1">{}</upbeat>'.format))
    said = [draw(st.sampled_from(one)) for one in (["", LEG, LEG, LEG], ["", MUSIC], ["", START])]
    first, defined = draw(passages(line, True)), draw(definitions(True))
    rest = draw(st.lists(passages(line, True) | marks(), max_size=4))
    return _score(*said, defined, upbeat, first, *rest)


@st.composite
def tame_shorthand(draw: st.DrawFn) -> str:
    """The text of a score that means something but for a few. Its first phrase has room for what
    is danced before a count, and bars that can be danced again."""
    line = line_parts(PLAIN | uses(STEPS, False))
    plain = draw(line_parts(PLAIN))
    upbeat = draw(st.just("") | st.just(f'<upbeat counts="1">{draw(PLAIN)}</upbeat>'))
    first = f'<phrase counts="8" id="first">{plain}</phrase>'
    rest = draw(st.lists(passages(line, False), min_size=1, max_size=4))
    music = draw(st.sampled_from(["", MUSIC]))
    return _score(LEG, music, START, draw(definitions(False)), upbeat, first, *rest)


def any_shorthand() -> Texts:
    return wild_shorthand() | tame_shorthand()


def _score(leg: str, *inside: str) -> str:
    return f'<score xmlns="{NAMESPACE}" title="Any"{leg}>{"".join(inside)}</score>'
