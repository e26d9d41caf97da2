"""The numbers of a lesson: the row that the spectrum of a mechanism shows, or one of a plain FM set."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple

from freqplan.charts.spectrum_examples import PICTURED, examples
from freqplan.errors import ModelRangeError
from freqplan.mechanisms import catalogue
from freqplan.mixing import Tuning, tunings
from freqplan.plan import Band, Conversion, Plan
from freqplan.plan_reading import hertz_text
from freqplan.surveys import survey

if TYPE_CHECKING:
    from freqplan.charts.spectrum_row import Row
    from freqplan.derivations.steps import Case

A_PERCENT_LOW = Fraction(99, 100)


class Example(NamedTuple):
    """A case to show a mechanism by, and what of it is invented; empty where nothing is."""

    case: Case
    remark: str = ""


def example(plan: Plan, mechanism: str, dial_hz: int | None = None) -> Example:
    """Return a telling example of a mechanism.

    Parameters
    ----------
    plan : Plan
        The receiver; of two sides the first is taken.
    mechanism : str
        Id in the catalogue.
    dial_hz : int, optional [Hz]
        The dial setting, mid-band by default; of what has a place of its own on the dial, the one nearest to it.
    """
    if mechanism in _ADJUSTED:
        return _adjusted(plan, mechanism, dial_hz)
    if mechanism not in PICTURED:
        return Example(
            _case(plan, tunings(plan)[0], mechanism, {"dial_hz": dial_hz or plan.middle_channel_hz})
        )
    one_side = plan.with_changes(oscillator=plan.sides[0])
    try:
        found = examples(survey(one_side), mechanism, dial_hz)
    except ModelRangeError:
        found = examples(survey(_plain_fm()), mechanism)
        found = found._replace(
            remark=f"This set cannot have it: the numbers are for a plain FM set. {found.remark}".strip()
        )
    row = found.rows[0]
    return Example(_case(found.survey.plan, row.tuning, mechanism, _told(row)), found.remark)


def _plain_fm() -> Plan:
    band = Band(low_hz=87_500_000, high_hz=108_000_000)
    return Plan(
        title="FM set", band=band, conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),)
    )


def _case(plan: Plan, tuning: Tuning, mechanism: str, row: Mapping[str, Any]) -> Case:
    from freqplan.derivations.rows import case_of_row

    return case_of_row(plan, tuning, {**row, "mechanism": mechanism}, title=catalogue()[mechanism].title)


def _told(row: Row) -> dict[str, Any]:
    """Return a row of a spectrum under the names that tables have."""
    known = {name: value for name, value in row.numbers().items() if value not in (None, "", ())}
    known |= {
        name: value
        for name in ("harmonic", "other_dial_hz", "offset_hz", "decoder_hz", "pitch_hz")
        if (value := getattr(row, name)) is not None
    }
    if row.mechanism == "other-receiver":
        wanted = (row.n, row.e) == row.tuning.wanted[1:]
        known["way"] = "wanted" if wanted else "image" if row.n else "if"
    if row.mechanism == "decoder-neighbour":
        known.pop("stations_hz", None)
    return known


def _adjusted(plan: Plan, mechanism: str, dial_hz: int | None) -> Example:
    """Return a set out of adjustment, by a plain amount."""
    tuning, dial = tunings(plan)[0], dial_hz or plan.middle_channel_hz
    if mechanism == "oscillator-off":
        case = _case(plan, tuning, mechanism, {"dial_hz": dial, "ratio": A_PERCENT_LOW})
        return Example(case, "For an oscillator 1 % low.")
    nominal = tuning.intermediate_hz
    real = nominal + (plan.conversion[0].tolerance_hz or plan.if_filter.bandwidth_hz // 6)
    row = {"dial_hz": dial, "nominal_hz": nominal, "intermediate_hz": real}
    return Example(_case(plan, tuning, mechanism, row), f"For a real IF of {hertz_text(real)}.")


_ADJUSTED = ("oscillator-off", "if-off-centre")
