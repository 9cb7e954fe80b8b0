"""Reading back: the SVG files of a score's lines to what is written in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from pathlib import Path

from stavebound.build.loading import load_style
from stavebound.build.setting import outfit_of, style_faults
from stavebound.build.values import House, Report
from stavebound.diagnostics import Diagnostic, Span, has_errors
from stavebound.faces import Faces, families, load_faces
from stavebound.proof.outlines import family_of, outlines_hold, without_outlines
from stavebound.readback.joining import joined_score
from stavebound.readback.read import CODES, read_svg
from stavebound.readback.values import Fault, Reading
from stavebound.score.write import write_score
from stavebound.source.decode import read_text

TITLE = "Read back from the drawing"
MOST = 3
"""Faults of one kind in one file that are told; in another style nothing is a sign."""
NO_STYLE = "What was engraved with a style is read with it: --style FILE."


def read_back(paths: Sequence[Path], style: Path | None, house: House) -> tuple[Report, str | None]:
    """The lines of one score, in the order of their files, as XML; None where a file
    cannot be read without a doubt. `style` is the house style that they were engraved in.
    What shows the words of a file is held against its text, which alone is read."""
    styled = load_style(style)
    faults = [*styled.diagnostics, *style_faults(styled.sheets, house)]
    texts = dict(styled.texts)
    if has_errors(faults):
        return Report(tuple(faults), texts), None
    outfit = outfit_of(styled.sheets, house)
    readings: list[Reading] = []
    read_from: list[Path] = []
    for path in paths:
        text = read_text(path, str(path))
        faults += text.diagnostics
        if text.value is None:
            continue
        texts[str(path)] = text.value
        faces = _faces(text.value, outfit.setting.faces)
        outcome = read_svg(without_outlines(text.value), str(path), outfit.key, faces)
        faults += outcome.diagnostics
        if outcome.value and not outlines_hold(text.value, faces):
            what = "the outlines that show its words are not those of its text"
            faults.append(Diagnostic("R107", what, Span(str(path), 1, 1)))
        if outcome.value:
            faults += _told(outcome.value.faults, path, (NO_STYLE,) if style is None else ())
            readings.append(outcome.value)
            read_from.append(path)
    faults += _out_of_order(tuple(zip(read_from, readings, strict=True)))
    report = Report(tuple(faults), texts)
    if report.failed:
        return report, None
    read = joined_score(readings, TITLE, outfit.key)
    return report, write_score(read.score, read.parts)


def _out_of_order(lines: Sequence[tuple[Path, Reading]]) -> Iterator[Diagnostic]:
    """Every line but the first has the number of its first bar, higher than the line before."""
    for (_, before), (path, line) in pairwise(lines):
        if line.number is None or line.number <= (before.number or 0):
            here, there = _begun(line), _begun(before)
            yield Diagnostic(
                "R108",
                f"this line begins {here}, and the one before it {there}",
                Span(str(path), 1, 1),
                ("Name the files of one score, each once, in the order of its lines.",),
            )


def _begun(line: Reading) -> str:
    return "the score" if line.number is None else f"with bar {line.number}"


def _faces(svg: str, usual: Faces) -> Faces:
    """Those that the drawing names, where we have them."""
    family = family_of(svg)
    return load_faces(family) if family in families() else usual


def _told(faults: Iterable[Fault], path: Path, hints: tuple[str, ...]) -> Iterator[Diagnostic]:
    """The first of every kind, the last of them with how many there are besides."""
    kinds: dict[str, list[Fault]] = {}
    for fault in faults:
        kinds.setdefault(fault.kind, []).append(fault)
    for kind, found in kinds.items():
        more = (f"There are {len(found) - MOST} more of this kind.",) if found[MOST:] else ()
        for number, fault in enumerate(found[:MOST], 1):
            where = f"{fault.x:.2f} spaces from the left and {fault.y:.2f} above the floor line"
            said = (*hints, *more) if number == MOST else hints
            message = f"{fault.message} ({where})"
            yield Diagnostic(CODES[kind], message, Span(str(path), 1, 1), said)
