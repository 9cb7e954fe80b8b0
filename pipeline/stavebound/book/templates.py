"""The layouts' templates.

In: the folders in which a layout's files are looked for, one after the other, a template's
name and its values. Out: text. A value that a template asks for and does not get is an
error, never an empty place. The filter `ended` ties the last words of a text.
"""

from __future__ import annotations

from functools import cache
from importlib.resources.abc import Traversable

from jinja2 import Environment, FunctionLoader, StrictUndefined, select_autoescape
from markupsafe import escape

from stavebound.book.words import ended

Folders = tuple[Traversable, ...]


def found_in(folders: Folders, name: str) -> Traversable | None:
    """The first file of that name; None where no folder has it."""
    return next((file for folder in folders if (file := folder / name).is_file()), None)


@cache
def _environment(folders: Folders) -> Environment:
    def load(name: str) -> str | None:
        file = found_in(folders, name)
        return file.read_text(encoding="utf-8") if file else None

    environment = Environment(
        loader=FunctionLoader(load),
        undefined=StrictUndefined,
        autoescape=select_autoescape(("html",)),
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["ended"] = lambda text: ended(escape(text))
    return environment


def render(folders: Folders, template: str, **values: object) -> str:
    """jinja2's TemplateError where the template is at fault."""
    return _environment(folders).get_template(template).render(**values)
