"""What the conductor hands to the command line.

A `Report` holds what was found, and the texts in which it was found, by path,
so that it can be shown with its source lines. `notes` are plain sentences about
what was done to files. `verdicts` say
of each file that was checked what came out; `costs` of each planned page what it costs, or that
there is none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from stavebound.book.descriptions import load_layouts
from stavebound.book.layouts import Layouts
from stavebound.diagnostics import Diagnostic, has_errors
from stavebound.faces import Faces, load_faces
from stavebound.readback.anchors import AnchorTable, load_anchors
from stavebound.readback.table import Table, load_table
from stavebound.trade.catalogue import Catalogue, load_catalogue


@dataclass(frozen=True, slots=True)
class Report:
    diagnostics: tuple[Diagnostic, ...] = ()
    texts: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    written: tuple[Path, ...] = ()
    verdicts: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()

    @property
    def failed(self) -> bool:
        return has_errors(self.diagnostics)


@dataclass(frozen=True, slots=True, eq=False)
class House:
    """What every command works with: the trade's tables, the text faces, the reader's own (the
    table by which it knows ink, and the anchors of places), and the layouts. Two are equal
    where they are one."""

    catalogue: Catalogue
    faces: Faces
    table: Table = field(default_factory=load_table)
    anchors: AnchorTable = field(default_factory=load_anchors)
    layouts: Layouts = field(default_factory=load_layouts)


def open_house() -> House:
    return House(load_catalogue(), load_faces())
