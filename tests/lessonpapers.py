"""Reads formulas as they are printed, and works them out by Python's own arithmetic: no sympy takes part."""

from __future__ import annotations

import math
import re
from fractions import Fraction

FUNCTIONS = {
    "abs": abs,
    "sqrt": lambda x: math.sqrt(x),
    "lg": lambda x: math.log10(x),
    "sin": lambda x: math.sin(x),
    "cos": lambda x: math.cos(x),
    "pi": math.pi,
}
RELATION = re.compile(r" (=|≈) ")
UNITS = re.compile(r" (MHz|kHz|dB|us)$")


def worked_out(text, values):
    """Return the value of an expression in plain signs."""
    source = re.sub(r"(?<![\w.])(\d+\.\d+)(?![\w.])", r"Fraction('\1')", text.replace("^", "**"))
    source = re.sub(r"(?<![\w.'])(\d+)(?![\w.'])", r"Fraction(\1)", source)
    return eval(source, {"__builtins__": {}, "Fraction": Fraction, **FUNCTIONS, **values})


def of_numbers(text):
    """Return an expression of numbers in plain signs."""
    return text.replace("−", "-").replace("×", "*").replace("π", "pi")


def of_latex(text):
    """Return a LaTeX formula in plain signs."""
    out = (
        text.replace(r"\left|", "abs(")
        .replace(r"\right|", ")")
        .replace(r"\left(", "(")
        .replace(r"\right)", ")")
    )
    out = out.replace(r"\times", "*").replace(r"\,", "*").replace(r"\lg", "lg").replace(r"\cos", "cos")
    out = out.replace(r"\sin", "sin").replace(r"\pi", "pi")
    for name, plain in {
        r"\rho": "rho",
        r"\varphi": "phi",
        r"\theta": "theta",
        r"\tau": "tau",
        r"\Delta": "dX",
    }.items():
        out = out.replace(name, plain)
    out = re.sub(r"([A-Za-z])_(?:\{([A-Z0-9]+)\}|([A-Z0-9]))", r"\1\2\3", out)
    while r"\frac" in out or r"\sqrt" in out:
        out = _one_command(out)
    return re.sub(r"\^\{([^{}]*)\}", r"^(\1)", out)


def _one_command(text):
    """Return the text with the last command that takes braces, which holds no other, written out."""
    start = max(text.rfind(r"\frac"), text.rfind(r"\sqrt"))
    place = text.index("{", start)
    first, place = _braced(text, place)
    if text.startswith(r"\sqrt", start):
        return f"{text[:start]}sqrt({first}){text[place:]}"
    second, place = _braced(text, place)
    return f"{text[:start]}(({first})/({second})){text[place:]}"


def _braced(text, place):
    depth = 0
    for end in range(place, len(text)):
        depth += {"{": 1, "}": -1}.get(text[end], 0)
        if depth == 0:
            return text[place + 1 : end], end + 1
    raise AssertionError(text)


def close(left, right, *, within=1e-9):
    """Return whether two values agree: exactly where both are exact."""
    if isinstance(left, Fraction | int) and isinstance(right, Fraction | int):
        return left == right
    return abs(float(left) - float(right)) <= within * max(1.0, abs(float(left)), abs(float(right)))
