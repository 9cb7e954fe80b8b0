"""What a mistyped word is likened to, and what it is not: better nothing than nonsense."""

from __future__ import annotations

import pytest

from stavebound.source.schema import load_schema
from stavebound.suggest import nearest, suggest

ELEMENTS = tuple(dict.fromkeys(rule.name for rule in load_schema().rules.values()))
STEPS = (
    "battement tendu",
    "demi-plié",
    "développé",
    "frappé",
    "grand battement",
    "pas de bourrée",
    "rond de jambe",
    "tendu",
)
VALUES = (
    "back left",
    "bras bas",
    "fifth",
    "first",
    "fourth",
    "front right",
    "half",
    "half point",
    "left",
    "off the floor",
    "open fourth",
    "parallel",
    "pointed",
    "right",
    "second",
    "shoulder",
    "stretched",
    "third",
    "whole foot",
)

SLIPS = {
    ELEMENTS: """
        frmae: frame | fram: frame | framee: frame | Frames: frame | rame: frame | phrse: phrase |
        pharse: phrase | phrases: phrase | prhase: phrase | foots: foot | fooot: foot |
        fot: foot | feets: feet | fet: feet | knes: knees | nees: knees | kneees: knees |
        hnad: hand | hans: hand | ellbow: elbow | elbows: elbow | amrs: arms | arsm: arms |
        heads: head | hed: head | boddy: body | hipps: hips | trun: turn | turns: turn |
        travle: travel | traval: travel | faceing: facing | facng: facing | acent: accent |
        acccent: accent | puase: pause | musik: music | mucis: music | muscic: music |
        strat: start | sart: start | bare: barre | barres: barre | upbet: upbeat |
        up-beat: upbeat | chaptre: chapter | chapters: chapter | excercise: exercise |
        exersise: exercise | exercize: exercise | glosary: glossary | glossery: glossary |
        preperation: preparation | finnish: finish | varient: variant | cautoin: caution |
        emphsis: emphasis | foriegn: foreign | agian: again | agan: again | repaet: repeat |
        repeet: repeat | endings: ending | definition: | style: style | stlye: style |
        distence: distance | tempi: tempo | aims: aim | notes: note | rigths: rights | dancers: |
        dancer: | title: | weight: | eyes: | shoulders: | purpose: | center: | image: |
        choreographer: | equipment: | pirouette: | leg: | toe: | x: | table: | ballet: | video: |
        lesson: | teacher: | piano: | date: | school:
    """,
    STEPS: """
        tendue: tendu | tendo: tendu | demi-plie: demi-plié | demi plié: demi-plié |
        DEMI-PLIÉ: demi-plié | developpe: développé | dévelopé: développé | frappe: frappé |
        frapé: frappé | ronde de jambe: rond de jambe | rond de jamb: rond de jambe |
        grands battements: grand battement | pas-de-bourree: pas de bourrée |
        battement frappé: frappé |
        glissade: | jeté: | fondu: | plié: | arabesque: | relevé: | port de bras:
    """,
    VALUES: """
        fith: fifth | fiveth: | sixth: | fisrt: first | scond: second | secnod: second |
        haf: half | hlaf: half | halv: half | half pointe: half point | point: pointed |
        poited: pointed | strechted: stretched | stretch: stretched | paralel: parallel |
        parralel: parallel | rigth: right | rihgt: right | the right foot: right | lef: left |
        front rigth: front right | bras bass: bras bas | bra bas: bras bas | sholder: shoulder |
        open forth: open fourth | my open fourth: open fourth | crossed fourth: fourth |
        off floor: | whole feet: whole foot | 90: | in: | up: | upstage: | audience:
    """,
}
ROWS = [
    (names, word.strip(), name.strip())
    for names, rows in SLIPS.items()
    for word, _, name in (row.partition(":") for row in rows.split("|"))
]


@pytest.mark.parametrize(("names", "word", "name"), ROWS, ids=[row[1] for row in ROWS])
def test_a_suggestion_is_near_or_there_is_none(
    names: tuple[str, ...], word: str, name: str
) -> None:
    assert nearest(word, names) == (name or None)


def test_words_are_as_many_as_to_tell() -> None:
    assert len(ROWS) > 100
    assert sum(not name for _, _, name in ROWS) > 30


def test_each_name_is_its_own_nearest() -> None:
    for names in SLIPS:
        assert [nearest(name.upper(), names) for name in names] == list(names)


def test_of_what_is_empty_or_endless_nothing_is_said() -> None:
    assert suggest("", ["half"]) is None
    assert nearest("x" * 5000, ["x"]) is None
