"""Formulas: arithmetic by names, as it stands in a table.

In: a number, or text such as "shape.dash.length / 2 + apart", and what names and functions
stand for. Out: a number. A name may have dots and indices, and "_" for a blank or a hyphen.
ValueError where the text is anything else than arithmetic, KeyError for an unknown name.
"""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Mapping
from functools import cache

Formula = float | str
Function = Callable[..., float]

BINARY: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


def worked_out(
    formula: Formula, names: Mapping[str, float], functions: Mapping[str, Function]
) -> float:
    def value(node: ast.expr) -> float:
        match node:
            case ast.Constant(int() | float() as number):
                return float(number)
            case ast.BinOp(left, sign, right) if type(sign) in BINARY:
                return BINARY[type(sign)](value(left), value(right))
            case ast.UnaryOp(ast.USub(), operand):
                return -value(operand)
            case ast.Call(ast.Name(name), args, []):
                return functions[name](*(value(arg) for arg in args))
            case ast.Name() | ast.Attribute() | ast.Subscript():
                return names[ast.unparse(node)]
        raise ValueError(f"{ast.unparse(node)} is no arithmetic")

    if isinstance(formula, str):
        return value(_parsed(formula))
    return formula


@cache
def _parsed(formula: str) -> ast.expr:
    return ast.parse(formula, mode="eval").body


def as_name(path: str) -> str:
    """How a path such as "shape.long dash.length" is written in a formula."""
    return path.replace(" ", "_").replace("-", "_")
