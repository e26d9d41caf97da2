"""Oscillator above or below the signal, this IF or that: the same questions put to each choice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.columns import COLUMNS
from freqplan.errors import PlanError
from freqplan.findings import Findings, text_column
from freqplan.hertz import Ratios, whole_hertz
from freqplan.mixing import Tuning
from freqplan.oscillators import oscillators, who_lives_in
from freqplan.plan_tables import HIGHEST_ORDER
from freqplan.remarks import about_the_plan, about_the_region
from freqplan.results import Result
from freqplan.services import AERONAUTICAL_HZ
from freqplan.surveys import Survey, survey
from freqplan.words import dial_span, span

if TYPE_CHECKING:
    from freqplan.plan import Plan

PLAN_COLUMNS = (
    "intermediate_hz", "oscillator", "oscillator_low_hz", "oscillator_high_hz", "oscillator_ratio",
    "capacitance_ratio", "image_low_hz", "image_high_hz", "services", "in_band_image_dial", "if_harmonics_hz",
    "self_mixing_hz", "oscillator_in_band_hz", "oscillator_in_aeronautical_hz", "radiates_into", "concerns",
)  # fmt: skip


@dataclass(frozen=True)
class Comparison(Result):
    """Choices of oscillator side and IF, side by side.

    Attributes
    ----------
    plans : Findings
        One row per (IF, side).
    """

    command: ClassVar[str] = "compare"
    table_names: ClassVar[tuple[str, ...]] = ("plans",)

    plans: Findings = field(kw_only=True)

    @property
    def sides(self) -> tuple[Tuning, ...]:
        """Return every side and IF that is compared and possible."""
        rows = [row for row in self.plans.rows() if row["oscillator_low_hz"] is not None]
        return tuple(Tuning(row["oscillator"], int(row["intermediate_hz"])) for row in rows)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force and the limits of the comparison."""
        first = ["Compared is the first of several conversions."] if len(self.plan.conversion) > 1 else []
        region = about_the_region(self.plan)
        return (*first, *about_the_plan(self.plan), "Each IF is taken as exact.", region)

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the band only: side and IF are what is compared."""
        rounding, band = self.plan.rounding, self.plan.band
        return (f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit} {band.modulation.upper()}",)


def compare(plan: Plan, intermediates_hz: Sequence[int] = ()) -> Comparison:
    """Set the oscillator above the signal against below, and one IF against another.

    Parameters
    ----------
    plan : Plan
        The receiver; its own IF is always among those compared.
    intermediates_hz : sequence of int [Hz]
        Further IFs.

    Returns
    -------
    Comparison
        A side whose oscillator would not be positive over the whole dial is there with the reason.

    Raises
    ------
    PlanError
        An IF that fits no side.
    ModelRangeError
        An IF that is no whole number of hertz.
    """
    further = (whole_hertz(hertz, "intermediate frequency") for hertz in intermediates_hz)
    chosen = dict.fromkeys((plan.conversion[0].intermediate_hz, *further))
    rows = [row for intermediate_hz in chosen for row in _both_sides(plan, intermediate_hz)]
    return Comparison(plan, plans=_table(rows))


def _both_sides(plan: Plan, intermediate_hz: int) -> Iterator[dict[str, Any]]:
    sides = ["high", "low"] + ["sum"] * (intermediate_hz > plan.band.high_hz)
    for side in sides:
        try:
            changed = plan.with_changes(oscillator=side, intermediate_hz=intermediate_hz)
        except PlanError as error:
            if side == "high":
                raise
            reason = "; ".join(fault.what for fault in error.faults)
            yield {"intermediate_hz": intermediate_hz, "oscillator": side, "concerns": (reason,)}
        else:
            yield _answers(changed, Tuning(side, intermediate_hz))


def _answers(plan: Plan, tuning: Tuning) -> dict[str, Any]:
    result = survey(plan)
    own = next(oscillators(plan, (tuning,)).rows())
    low, high = int(own["oscillator_low_hz"]), int(own["oscillator_high_hz"])
    image = next((row for row in result.responses.rows() if row["mechanism"] == "image"), {})
    image_range: tuple[Any, Any] = (image.get("low_hz"), image.get("high_hz"))
    part = (image.get("dial_low_hz"), image.get("dial_high_hz"))
    answers = {
        **own,
        "intermediate_hz": tuning.intermediate_hz,
        "image_low_hz": image_range[0],
        "image_high_hz": image_range[1],
        "in_band_image_dial": None if part[0] is None else part,
        "if_harmonics_hz": _harmonics(plan, tuning.intermediate_hz),
        "self_mixing_hz": _spots(result, "self-mixing"),
        "oscillator_in_band_hz": _overlap(low, high, plan.band.low_hz, plan.band.high_hz),
        "oscillator_in_aeronautical_hz": _overlap(low, high, *AERONAUTICAL_HZ),
        "services": who_lives_in(*image_range, region=plan.region) if image else (),
    }
    return {**answers, "concerns": tuple(_concerns(plan, answers))}


def _harmonics(plan: Plan, intermediate_hz: int) -> tuple[Fraction, ...]:
    """Return the IF harmonics in the band: all of them up to 25, so that different IFs are compared alike."""
    most = max(plan.orders.if_harmonic, HIGHEST_ORDER)
    first = max(2, -(-plan.band.low_hz // intermediate_hz))
    last = min(most, plan.band.high_hz // intermediate_hz)
    return tuple(Fraction(k * intermediate_hz) for k in range(first, last + 1))


def _spots(result: Survey, mechanism: str) -> tuple[Fraction, ...]:
    band = result.plan.band
    spots = {row["dial_hz"] for row in result.birdies.rows() if row["mechanism"] == mechanism}
    return tuple(sorted(spot for spot in spots if band.low_hz <= spot <= band.high_hz))


WIDEST_TUNING = 15.0
"""Capacitance ratio of a large air-spaced tuning capacitor with its strays; common practice, no source."""


def _overlap(low_hz: int, high_hz: int, from_hz: int, to_hz: int) -> int:
    return max(0, min(high_hz, to_hz) - max(low_hz, from_hz))


def _concerns(plan: Plan, answers: dict[str, Any]) -> Iterator[str]:
    rounding = plan.rounding
    part = answers["in_band_image_dial"]
    if part is not None:
        yield f"images of the band's own stations with the dial at {dial_span(part[0], part[1], rounding)}"
    if answers["oscillator_in_band_hz"]:
        yield (
            f"the oscillator is inside the band over {rounding.fine(answers['oscillator_in_band_hz'])} "
            f"{rounding.unit} and can be heard by sets nearby"
        )
    if answers["oscillator_in_aeronautical_hz"]:
        yield (
            f"the oscillator is inside 108-137 MHz (aeronautical) over "
            f"{rounding.fine(answers['oscillator_in_aeronautical_hz'])} {rounding.unit}: keep its radiation down"
        )
    if answers["capacitance_ratio"] > WIDEST_TUNING:
        yield (
            f"the oscillator needs a capacitance ratio of {answers['capacitance_ratio']:.0f}, more than one tuning "
            "capacitor gives"
        )
    if answers["if_harmonics_hz"]:
        yield f"harmonics of the IF in the band: {' '.join(rounding.fine(hz) for hz in answers['if_harmonics_hz'])}"
    if "aeronautical voice" in answers["services"]:
        image = span(answers["image_low_hz"], answers["image_high_hz"], rounding)
        yield f"speech of aircraft can come in on the image, {image}"
    yield from plan.cautions


def _table(rows: list[dict[str, Any]]) -> Findings:
    columns = {}
    for name in PLAN_COLUMNS:
        values = [row.get(name) for row in rows]
        frequency = COLUMNS[name].kind == "hertz"
        columns[name] = Ratios.of(values) if frequency else text_column(values)
    return Findings("Side against side, IF against IF", columns, sideways=True)
