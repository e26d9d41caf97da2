"""The arithmetic of every cause, done again in fractions from the integers and from the text itself."""

from __future__ import annotations

import re
from fractions import Fraction

from evidence_strategies import benches, demo_town
from hypothesis import given
from hypothesis import strategies as st

from freqplan import Evidence, Plan, Symptom, diagnose
from freqplan.plan import Band, Conversion

MHZ = 1_000_000

EQUATION = re.compile(r"(−?[0-9][0-9. ×+−]*?) ([=≈]) (−?[0-9.]+)")
TERM = re.compile(r"([+−]?) ?(?:([0-9]+) × )?([0-9]+(?:\.[0-9]+)?)")


def oscillator_hz(side, dial_hz, intermediate_hz):
    """Where the oscillator stands, by what the sides mean."""
    return {
        "high": dial_hz + intermediate_hz,
        "low": dial_hz - intermediate_hz,
        "sum": intermediate_hz - dial_hz,
    }[side]


def evaluated(text):
    """Return the value of ``2 × 106.55 − 101.2``, and how far rounding of its numbers may have moved it."""
    total, error = Fraction(0), Fraction(0)
    for sign, times, number in TERM.findall(text):
        factor = int(times or 1)
        total += (-1 if sign == "−" else 1) * factor * Fraction(number)
        error += factor * _half_a_digit(number)
    return total, error


def _half_a_digit(number):
    return Fraction(1, 2 * 10 ** len(number.partition(".")[2]))


# Laws


@given(benches(most=2))
def test_products_of_a_signal_fulfil_the_equation_to_the_hertz(bench):
    for row in diagnose(*bench).causes.rows():
        m, n, e = (row[name] for name in "mne")
        if None in (m, n, e, row["signal_hz"], row["dial_hz"], row["oscillator"]):
            continue
        own = oscillator_hz(row["oscillator"], row["dial_hz"], row["intermediate_hz"])
        assert e * (n * own - m * row["signal_hz"]) == row["intermediate_hz"], row


@given(benches(most=2))
def test_a_harmonic_of_an_if_is_just_that(bench):
    plan = bench[0]
    for row in diagnose(*bench).causes.rows():
        if row["k"] is not None and row["dial_hz"] is not None:
            later = [one.intermediate_hz for one in plan.conversion[1:]]
            assert row["dial_hz"] in [row["k"] * own_if for own_if in (row["intermediate_hz"], *later)], row


@given(benches(most=1))
def test_sums_of_stations_are_made_of_them_and_are_received_where_it_says(bench):
    result = diagnose(*bench)
    for cause in result.findings[0].causes:
        told = cause.told
        if told.block.form != "sum":
            continue
        hertz = [int(result.scene.cast.frequency_hz[place]) for place in told.stations]
        total = int(told.some.signal_hz[0])
        assert total in _sums_of(cause.mechanism, hertz), told.sum
        if told.spot_hz is None:
            assert 2 * abs(total - told.intermediate_hz) <= bench[0].if_filter.bandwidth_hz + 2 * _slack(
                result
            )
            continue
        n, e = told.integers["n"], told.integers["e"]
        own = oscillator_hz(told.tuning.side, told.spot_hz, told.intermediate_hz)
        assert e * (n * own - total) == told.intermediate_hz, told.sum


def _sums_of(mechanism, hertz):
    """Return the sums that a mechanism may make of two or three carriers, by what its name means."""
    first, second, *others = hertz
    if mechanism in ("third-order", "third-order-outside"):
        return {first + second - others[0]} if others else {2 * first - second}
    return {first + second, first - second}


def _slack(result):
    """Return how far the real IF that is told may lie from the stated one [Hz]."""
    return max(
        abs(cause.told.intermediate_hz - result.scene.intermediate_hz) for cause in result.findings[0].causes
    )


@given(benches(most=1))
def test_every_line_of_arithmetic_is_true_as_it_is_written(bench):
    for cause in diagnose(*bench).findings[0].causes:
        for left, sign, right in EQUATION.findall(cause.told.sum):
            value, error = evaluated(left)
            off = abs(value - Fraction(right.replace("−", "-")))
            if sign == "=":
                assert off == 0, cause.told.sum
            else:
                assert off <= error + _half_a_digit(right), cause.told.sum


@given(benches(most=1))
def test_the_other_places_to_look_at_fulfil_the_equation_too(bench):
    result = diagnose(*bench)
    for line in result.sections.get("Look at again", ()):
        for left, sign, right in EQUATION.findall(line):
            value, error = evaluated(left)
            off = abs(value - Fraction(right.replace("−", "-")))
            assert off <= (0 if sign == "=" else error + _half_a_digit(right)), line


# Known sums, recomputed by hand from the equation


def fm(side):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108 * MHZ),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
    )


def first_of(plan, **symptom):
    result = diagnose(plan, Evidence(symptoms=(Symptom(**symptom),)), demo_town())
    return next(result.causes.rows())


def test_the_half_if_of_the_strong_station_high_and_low():
    row = first_of(
        fm("high"), dial_hz=95_850_000, heard="programme", programme_of=("101.2 MHz",), width="half"
    )
    assert (row["mechanism"], row["m"], row["n"], row["e"]) == ("half-if", 2, 2, 1)
    assert row["sum"].startswith("2 × 106.55 − 2 × 101.20 = 10.70")
    row = first_of(
        fm("low"), dial_hz=106_550_000, heard="programme", programme_of=("101.2 MHz",), width="half"
    )
    assert (row["mechanism"], row["m"], row["n"]) == ("half-if", 2, 2)
    assert row["signal_hz"] == 101_200_000
    assert row["dial_hz"] == 106_550_000


@given(st.sampled_from(["high", "low"]), st.integers(878, 1077))
def test_the_fan_of_a_station_closes_in_on_its_oscillator(side, tenths):
    """(n, n) ghosts of a signal come from fX = fL - e fI / n."""
    dial_hz, s = tenths * 100_000, 1 if side == "high" else -1
    result = diagnose(fm(side), Evidence(symptoms=(Symptom(dial_hz=dial_hz, heard="programme"),)))
    for row in result.causes.rows():
        if row["mechanism"] in ("half-if", "fractional-if") and row["signal_hz"] is not None:
            n, e = row["n"], row["e"]
            assert row["m"] == n
            assert row["signal_hz"] == dial_hz + s * 10_700_000 - Fraction(e * row["intermediate_hz"], n)
