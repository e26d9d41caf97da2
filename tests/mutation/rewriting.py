"""A source text made ready for mutmut: the same program, with all of its logic where mutmut looks for it.

mutmut changes the bodies of plain functions only, and every string in them.  So properties and cached
functions are decorated by an assignment behind them instead of a line above, prose gets triple quotes,
which mutmut takes for documentation, and `strict=True` of zip, which is an assertion, is taken out.
"""

from __future__ import annotations

import libcst as cst
from libcst import matchers as m

OPENED = m.OneOf(*(m.Name(name) for name in ("property", "cached_property", "lru_cache")))
DECORATORS = m.Decorator(
    m.OneOf(OPENED, m.Call(func=OPENED), m.Attribute(m.Name("functools"), m.Name("cache")))
)
STRICT = m.Arg(keyword=m.Name("strict"), value=m.Name("True"))


class _Opened(cst.CSTTransformer):
    """Write `@property` over a function as `name = property(name)` below it, and so on."""

    def leave_FunctionDef(  # noqa: N802
        self, original_node: cst.FunctionDef, updated_node: cst.FunctionDef
    ) -> cst.BaseStatement | cst.FlattenSentinel[cst.BaseStatement]:
        if len(updated_node.decorators) != 1 or not m.matches(updated_node.decorators[0], DECORATORS):
            return updated_node
        decorated = cst.Call(updated_node.decorators[0].decorator, [cst.Arg(updated_node.name)])
        below = cst.Assign([cst.AssignTarget(updated_node.name)], decorated)
        plain = updated_node.with_changes(decorators=())
        return cst.FlattenSentinel([plain, cst.SimpleStatementLine([below])])

    def leave_SimpleString(  # noqa: N802
        self, original_node: cst.SimpleString, updated_node: cst.SimpleString
    ) -> cst.SimpleString:
        if updated_node.prefix or len(updated_node.quote) == 3 or " " not in updated_node.raw_value.strip():
            return updated_node
        quotes = updated_node.quote * 3
        return updated_node.with_changes(value=f"{quotes}{updated_node.raw_value}{quotes}")

    def leave_Call(self, original_node: cst.Call, updated_node: cst.Call) -> cst.Call:  # noqa: N802
        if not m.matches(updated_node.func, m.Name("zip")):
            return updated_node
        return updated_node.with_changes(
            args=[one for one in updated_node.args if not m.matches(one, STRICT)]
        )


def opened(source: str) -> str:
    """Return a module's text made ready for mutmut."""
    return cst.parse_module(source).visit(_Opened()).code
