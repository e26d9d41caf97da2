"""Mutants of what stands outside functions, which mutmut leaves alone: numbers, formulas, what a family computes."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import NamedTuple

COMPUTED = ("responses", "birdies", "station_spots", "station_sums")
TURNED = {"+": "-", "-": "+", "*": "/", "/": "*"}
FEW = 3
"""Longer rows of numbers are a choice of what is listed, and no fact."""

FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)


class Changed(NamedTuple):
    """One constant put wrong."""

    number: int
    old: str
    """The line as it was, and as it is now."""
    new: str
    source: str
    """The whole module with it."""


def _outside(node: ast.AST) -> Iterator[ast.AST]:
    """Yield all that is worked out when a module is imported, annotations and decorators left out."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "decorator_list") or isinstance(node, FUNCTIONS):
            continue
        for child in value if isinstance(value, list) else [value]:
            is_choice = isinstance(child, ast.Tuple) and len(child.elts) > FEW
            if isinstance(child, ast.AST) and not is_choice:
                yield child
                yield from _outside(child)


def _put_wrong(node: ast.AST) -> Iterator[tuple[ast.expr, str]]:
    """Yield what to write in the place of an expression."""
    match node:
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            yield node, repr(number + 1)
        case ast.keyword(arg="formula", value=ast.Constant(value=str(text))):
            for place, sign in enumerate(text):
                if sign in TURNED:
                    yield node.value, repr(text[:place] + TURNED[sign] + text[place + 1 :])
        case ast.keyword(arg=name, value=value) if name in COMPUTED:
            yield value, "None"


def changed(source: str) -> Iterator[Changed]:
    """Yield a module with one constant after the other put wrong."""
    lines = source.splitlines(keepends=True)
    starts = [sum(len(line.encode()) for line in lines[:count]) for count in range(len(lines))]
    whole = source.encode()
    for node in _outside(ast.parse(source)):
        for old, new in _put_wrong(node):
            assert old.end_lineno is not None
            assert old.end_col_offset is not None
            start = starts[old.lineno - 1] + old.col_offset
            stop = starts[old.end_lineno - 1] + old.end_col_offset
            text = (whole[:start] + new.encode() + whole[stop:]).decode()
            line = old.lineno - 1
            yield Changed(old.lineno, lines[line].strip(), text.splitlines()[line].strip(), text)
