"""The small form above the answers: what is tried in place of the plan's own values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from freqplan.page.visit import CARRIED

if TYPE_CHECKING:
    from freqplan.page.visit import Visit
    from freqplan.plan import Plan

SIDES = (
    ("high", "above the signal"),
    ("low", "below the signal"),
    ("sum", "IF minus dial"),
    ("unknown", "unknown: both"),
)


def instead(visit: Visit, plan: Plan) -> dict[str, Any]:
    """Return what the form is filled in with, and what the plan itself says."""
    rounding, first = plan.rounding, plan.conversion[0]
    return {
        "given": {name: visit.one(name) for name in CARRIED},
        "changed": bool(visit.carried),
        "unit": rounding.unit,
        "own": {
            "intermediate": rounding.fine(first.intermediate_hz),
            "oscillator": first.oscillator,
            "orders": f"{plan.orders.signal},{plan.orders.oscillator}",
            "region": str(plan.region or 1),
        },
        "sides": SIDES,
        "has_stations": bool(visit.here.stations_text.strip()),
    }
