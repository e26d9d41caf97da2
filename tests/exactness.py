"""A search of source texts for floats that decide over frequencies, by the names that end in ``_hz``."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import NamedTuple

SCOPES = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)
EXACT_MAKERS = {"Fraction", "Ratios"}
FLOAT_MAKERS = {"float", "float64", "linspace", "sqrt", "hypot", "mean", "rough", "drawn"}
CLOSE = {"isclose", "allclose", "round", "rint", "assert_allclose"}
TYPE_AT = {"array": 1, "arange": 3, "full": 2, "zeros": 1, "ones": 1, "empty": 1, "fromiter": 1}
"""Makers of arrays, and which of their arguments is the type."""

COMPARED = "compared with a float"
CLOSE_TO = "rounded or compared nearly"
TO_FLOAT = "turned into a float"
DIVIDED = "divided without Fraction"
NO_TYPE = "array without a type"


class Finding(NamedTuple):
    """A place where a float may decide over a frequency."""

    kind: str
    where: str
    line: int


def name_of(node: ast.AST) -> str:
    """Return the last name of an expression, of what is called, taken from or negated."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name) | ast.arg(arg=name) | ast.FunctionDef(name=name):
            return name
        case ast.Subscript(value=inner) | ast.Call(func=inner) | ast.UnaryOp(operand=inner):
            return name_of(inner)
    return ""


def parts_of(node: ast.AST) -> Iterator[ast.AST]:
    """Yield an expression and all in it, except what is only counted by len()."""
    yield node
    if not (isinstance(node, ast.Call) and name_of(node) == "len"):
        for child in ast.iter_child_nodes(node):
            yield from parts_of(child)


def is_hertz(node: ast.AST) -> bool:
    """Return whether a name that ends in ``_hz`` stands anywhere in an expression."""
    named = (ast.Name, ast.Attribute)
    return any(isinstance(one, named) and name_of(one).lower().endswith("_hz") for one in parts_of(node))


def is_float_type(annotation: ast.AST | None) -> bool:
    """Return whether an annotation lets a float in."""
    return annotation is not None and "float" in ast.unparse(annotation).lower()


def declared_floats(tree: ast.AST) -> set[str]:
    """Return names of hertz that are annotated as floats: attributes, parameters and functions."""
    found = set()
    for node in ast.walk(tree):
        annotation = (
            getattr(node, "returns", None) if isinstance(node, SCOPES) else getattr(node, "annotation", None)
        )
        name = name_of(node.target) if isinstance(node, ast.AnnAssign) else name_of(node)
        if name.endswith("_hz") and is_float_type(annotation):
            found.add(name)
    return found


class Search(ast.NodeVisitor):
    """What is found in one module.

    Attributes
    ----------
    found : list of Finding
        Each with the function it stands in.
    """

    def __init__(self, tree: ast.AST) -> None:
        self.found: list[Finding] = []
        self._scope = ["module"]
        self._floats = [declared_floats(tree)]
        self._exact: list[set[str]] = [set()]
        self.visit(tree)

    def _add(self, kind: str, node: ast.AST) -> None:
        self.found.append(Finding(kind, ".".join(self._scope[1:]) or "module", node.lineno))

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self._scope.append(node.name)
        self.generic_visit(node)
        self._scope.pop()

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        exact = {one.arg for one in given if one.annotation and ast.unparse(one.annotation) == "Fraction"}
        self._scope.append(node.name)
        self._floats.append(set())
        self._exact.append(exact)
        self.generic_visit(node)
        self._exact.pop()
        self._floats.pop()
        self._scope.pop()

    def _is_exact(self, node: ast.AST) -> bool:
        """Whether a quotient is one of fractions: one of its sides is made or declared as such."""
        return any(
            (isinstance(one, ast.Call) and name_of(one) in EXACT_MAKERS)
            or (isinstance(one, ast.Name) and one.id in self._exact[-1])
            for one in ast.walk(node)
        )

    def _is_float(self, node: ast.AST) -> bool:
        """Whether a float may take part in an expression."""
        for one in parts_of(node):
            match one:
                case ast.Constant(value=float()):
                    return True
                case ast.Call() if name_of(one) in FLOAT_MAKERS or self._is_cast(one):
                    return True
                case ast.BinOp(op=ast.Div()) if not self._is_exact(one):
                    return True
                case ast.Name() | ast.Attribute() if any(name_of(one) in known for known in self._floats):
                    return True
        return False

    @staticmethod
    def _is_cast(node: ast.Call) -> bool:
        return name_of(node) == "astype" and bool(node.args) and is_float_type(node.args[0])

    def visit_Assign(self, node: ast.Assign) -> None:
        self.generic_visit(node)
        names = {name_of(target) for target in node.targets if isinstance(target, ast.Name)}
        to_int = isinstance(node.value, ast.Call) and name_of(node.value) in ("int", "Fraction")
        if self._is_float(node.value) and not to_int and not _is_whole(node.value):
            self._floats[-1] |= {name for name in names if name.endswith("_hz")}
        if any(name.endswith("_hz") for name in names):
            self._untyped(node.value)

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        by_value = not all(isinstance(sign, ast.Is | ast.IsNot) for sign in node.ops)
        if by_value and any(is_hertz(side) for side in sides) and any(self._is_float(side) for side in sides):
            self._add(COMPARED, node)
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if isinstance(node.op, ast.Div) and is_hertz(node) and not self._is_exact(node):
            self._add(DIVIDED, node)
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name, inside = name_of(node), [*node.args, *(word.value for word in node.keywords)]
        if name in CLOSE and any(map(is_hertz, inside)):
            self._add(CLOSE_TO, node)
        elif (
            (name in ("float", "float64") and any(map(is_hertz, inside)))
            or (self._is_cast(node) and is_hertz(node.func))
            or name == "rough"
        ):
            self._add(TO_FLOAT, node)
        if self._holds_hertz(node):
            self._untyped(node)
        for word in node.keywords:
            if (word.arg or "").endswith("_hz"):
                self._untyped(word.value)
        self.generic_visit(node)

    @staticmethod
    def _holds_hertz(node: ast.Call) -> bool:
        """Whether hertz are among the values, not the lengths, that an array is made of."""
        values = node.args[1:2] if name_of(node) == "full" else node.args
        return name_of(node) in ("array", "arange", "full", "fromiter") and any(map(is_hertz, values))

    def _untyped(self, node: ast.AST) -> None:
        """Add an array that numpy gives the type of: on a narrow platform 32 bits."""
        if not isinstance(node, ast.Call) or name_of(node) not in TYPE_AT or not node.args:
            return
        if not isinstance(node.func, ast.Attribute) or ast.unparse(node.func.value) != "np":
            return
        typed = len(node.args) > TYPE_AT[name_of(node)] or any(word.arg == "dtype" for word in node.keywords)
        if not typed and not ast.unparse(node.args[-1]).endswith("nan"):
            self._add(NO_TYPE, node)


def _is_whole(node: ast.AST) -> bool:
    """Whether an expression is cast to whole numbers at its end."""
    return isinstance(node, ast.Call) and name_of(node) == "astype" and "int" in ast.unparse(node.args[0])


def findings(text: str) -> Iterator[Finding]:
    """Yield what a source text holds, each place and kind once."""
    yield from dict.fromkeys(Search(ast.parse(text)).found)
