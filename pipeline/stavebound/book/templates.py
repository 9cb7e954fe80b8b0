"""The layouts' templates.

In: a layout, a template's name and its values. Out: text. What a layout does not
have itself is looked for among the files that layouts share. A value that a
template asks for and does not get is an error, never an empty place.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from jinja2 import Environment, FunctionLoader, StrictUndefined, select_autoescape

SHARED = "common"


def layout_folder(layout: str) -> Traversable:
    """Where a layout's files lie: in the installed package, else in the checkout."""
    installed = files("stavebound") / "layouts" / layout
    if installed.is_dir():
        return installed
    return Path(__file__).parents[3] / "layouts" / layout


@cache
def _environment(layout: str) -> Environment:
    folders = (layout_folder(layout), layout_folder(SHARED))

    def load(name: str) -> str | None:
        files = (folder / name for folder in folders)
        found = next((file for file in files if file.is_file()), None)
        return found.read_text(encoding="utf-8") if found else None

    return Environment(
        loader=FunctionLoader(load),
        undefined=StrictUndefined,
        autoescape=select_autoescape(("html",)),
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render(layout: str, template: str, **values: object) -> str:
    """jinja2's TemplateError where the template is at fault."""
    return _environment(layout).get_template(template).render(**values)
