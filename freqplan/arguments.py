"""Arguments of public functions: one of another kind is told in one line, with what is wanted instead."""

from __future__ import annotations

import ast
import functools
import inspect
import os
from collections.abc import Callable, Iterable, Mapping
from numbers import Integral, Rational, Real
from typing import Any, ParamSpec, TypeVar

from freqplan.errors import ArgumentError, shortened

P = ParamSpec("P")
T = TypeVar("T")

MODELS = {
    "Plan": "a plan; freqplan.load_plan reads one",
    "StationList": "a station list; freqplan.load_stations reads one",
    "Evidence": "evidence; freqplan.load_evidence reads it",
    "Readings": "dial readings; freqplan.load_readings reads them",
    "Result": "the result of a command, such as of freqplan.survey",
    "Trial": "a freqplan.Trial",
}
"""Classes of the package by name, as callers are told of them."""


def _is_real(value: object) -> bool:
    # Fractions are exact, and no argument that is a float is.
    return isinstance(value, Integral) or (isinstance(value, Real) and not isinstance(value, Rational))


def _is_named_or_open(value: object) -> bool:
    return isinstance(value, str | os.PathLike) or hasattr(value, "read")


def _are_texts(value: object) -> bool:
    return (
        isinstance(value, Iterable)
        and not isinstance(value, str | bytes)
        and all(isinstance(one, str) for one in value)
    )


def _are_plans(value: object) -> bool:
    if isinstance(value, tuple | list):
        return all(_is_of("Plan", one) for one in value)
    # What can be gone through only once is not looked into.
    return isinstance(value, Iterable) and not isinstance(value, str | bytes | Mapping)


def _is_of(model: str, value: object) -> bool:
    # By name, since importing every model here would load what a caller may never need.
    return any(kind.__name__ == model for kind in type(value).__mro__)


KINDS: dict[str, tuple[Callable[[object], bool], str]] = {
    **{name: (functools.partial(_is_of, name), words) for name, words in MODELS.items()},
    "None": (lambda value: value is None, ""),
    "str": (lambda value: isinstance(value, str), "a text"),
    "int": (lambda value: isinstance(value, Integral), "a whole number"),
    "float": (_is_real, "a number"),
    "Source": (_is_named_or_open, "a file name or an open file"),
    "TomlSource": (_is_named_or_open, "a file name or an open file"),
    "os.PathLike[str]": (lambda value: isinstance(value, os.PathLike), "a path"),
    "Sequence[str]": (_are_texts, "a list of texts"),
    "Iterable[Plan]": (_are_plans, "a list of plans; freqplan.load_plan reads one"),
    "Mapping": (lambda value: isinstance(value, Mapping), "a dict"),
}
"""By annotation: whether a value is of the kind, and what it is called."""


def checked(function: Callable[P, T]) -> Callable[P, T]:
    """Return `function` so that arguments are held against its annotations; frequencies it looks at itself.

    Raises
    ------
    ArgumentError
        By the returned function: an argument of a kind that is not wanted there.
    """
    signature = inspect.signature(function)
    wanted = {
        name: _kinds(str(each.annotation))
        for name, each in signature.parameters.items()
        if not name.endswith("_hz")
    }

    @functools.wraps(function)
    def held(*args: P.args, **kwargs: P.kwargs) -> T:
        for name, value in signature.bind(*args, **kwargs).arguments.items():
            kinds = wanted.get(name)
            if kinds and not any(KINDS[kind][0](value) for kind in kinds):
                raise _refusal(function.__name__, name, value, kinds)
        return function(*args, **kwargs)

    return held


def _kinds(annotation: str) -> tuple[str, ...]:
    """Return the alternatives of an annotation; none where one of them is not known here."""
    parts, left = [], [ast.parse(annotation, mode="eval").body]
    while left:
        node = left.pop()
        if isinstance(node, ast.BinOp):
            left += [node.right, node.left]
        else:
            text = ast.unparse(node)
            parts.append("Mapping" if text.startswith("Mapping[") else text)
    return tuple(parts) if all(part in KINDS for part in parts) else ()


def _refusal(function: str, name: str, value: Any, kinds: tuple[str, ...]) -> ArgumentError:
    words = " or ".join(KINDS[kind][1] for kind in kinds if KINDS[kind][1])
    return ArgumentError(f"{function}, {name}: {shortened(repr(value))} is not {words}")
