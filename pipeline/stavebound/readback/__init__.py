"""Readback: from the ink of a stave to what was written, and the proof that the two agree.

In: an SVG in the grammar that `svg/draw.py` states, or figures and texts from
anywhere else (`Page`). Out: a `Reading` for each stave, frame by frame, or faults. Geometry
alone is read: stave lines, strokes, dots, rings, curves, text. Nothing here
knows the engraver or the table it draws from; the tables of places it shares with it,
and holds them against anchors.toml. Where ink can be read in two ways
that is said, and nothing is guessed.

    parse     SVG text            → Page: outlines and texts, in millimetres
    stave     Page                → Staves, each alone or joined to others: five lines, a
                                    space, bar lines; the rest
    shapes    outlines            → shapes: straight strokes, discs, rings, bands, spots
    signs     shapes              → signs with their marks, by the rows of shapes.toml
    moments   counts, signs       → axes, and the signs of each
    claims    what a claim is; standing, free, joints, centre, hands, lanes make them
    departures  marks by a limb's sign → in what it departs from the usual, by shapes.toml
    limbs     signs of one moment → limbs: all claims that cover every sign just once
    read      the whole chain     → Reading
    ways      lines of movement   → which limb of which moment they end at
    phrasing  bows over the counts  → from which moment to which they go
    lasting   lines under turns     → from which moment to which these last
    changes, joining     Reading → the model's own values, which `score/write.py` writes
    prove     Reading, `Written`  → diagnostics where the two disagree
    anchors   the trade's places  → those that are not where a reason of the reader's own has them
    house     own table, styles   → the table for ink of a house with signs of its own

**To add a mark of a limb** takes rows of shapes.toml alone: [[shape]], [[sign]], [[departure]].

**To add any other sign**: give shapes.toml a row [[shape]] for every form that is new;
a row [[sign]] for a sign that stands by itself, from one shape or several, or a
row [[mark]] for what is attached to other signs; then a small function
in the module of its limb (a row of CLAIMS in `subjects.py`) that says which limb such
a sign may be at a place, and the value it claims in `values.py`, with its line in `changes.py`
and in `expected.py`. A claim never looks at what the others claim: if two fit, the
proof reports two readings.
"""
