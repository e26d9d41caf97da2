"""Exact frequencies by hand: text to hertz and what a wrong one is told, columns of ratios, and the rounding."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from freqplan.errors import ModelRangeError
from freqplan.hertz import (
    HIGHEST_HZ,
    QuantityError,
    Ratios,
    Rounding,
    decimal_text,
    json_number,
    parse_hertz,
    whole_hertz,
)

MHZ = Rounding("MHz", dial_decimals=1, fine_decimals=2)


@pytest.mark.parametrize(
    ("text", "hertz"),
    [
        ("10.7 MHz", 10_700_000),
        ("  455kHz ", 455_000),
        ("455 kc/s", 455_000),
        ("10.7 Mc/s", 10_700_000),
        ("1 Hz", 1),
        ("+0.000001 MHz", 1),
        ("300 GHz", HIGHEST_HZ),
        (f"1.{'0' * 34} MHz", 1_000_000),
    ],
)
def test_text_to_hertz(text: str, hertz: int) -> None:
    assert parse_hertz(text) == hertz


def test_a_sign_is_read_only_where_it_is_allowed() -> None:
    assert parse_hertz("-10.7 MHz", signed=True) == -10_700_000
    assert parse_hertz("-300 GHz", signed=True) == -HIGHEST_HZ
    assert parse_hertz("-0 MHz") == 0


SHOWN = 'write for example "10.7 MHz"'


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        (f"1.{'0' * 35} MHz", "too long to be a frequency", SHOWN),
        ("", "empty", SHOWN),
        ("MHz", "not a frequency", SHOWN),
        ("10,7 MHz", "decimal comma", 'write "10.7 MHz" with a point'),
        ("10.7", "unit missing", 'write "10.7 MHz" or "10.7 kHz"'),
        ("10.7 mhz", 'unknown unit "mhz"', 'write "10.7 MHz"'),
        ("10.7 KC/S", 'unknown unit "KC/S"', 'write "10.7 kc/s"'),
        ("10.7 kiloHz", 'unknown unit "kiloHz"', 'write "10.7 kHz"'),
        ("10.7 MegaHz", 'unknown unit "MegaHz"', 'write "10.7 MHz"'),
        ("3 GiHz", 'unknown unit "GiHz"', 'write "3 GHz"'),
        ("3 volts", 'unknown unit "volts"', 'write "3 MHz"'),
        ("3 metres", 'unknown unit "metres"', 'write "3 Mc/s"'),
        ("0.5 Hz", "finer than one hertz", "round to whole hertz"),
        ("-10.7 MHz", "negative", 'write "10.7 MHz"'),
        ("300000000001 Hz", "above 300 GHz", "check the unit"),
    ],
)
def test_what_is_no_frequency_is_told_with_its_remedy(text: str, what: str, hint: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_hertz(text)
    assert (caught.value.what, caught.value.hint, str(caught.value)) == (what, hint, f"{what}; {hint}")


def test_below_minus_300_ghz_is_too_far_too() -> None:
    with pytest.raises(QuantityError, match="above 300 GHz"):
        parse_hertz("-300000000001 Hz", signed=True)


@pytest.mark.parametrize("value", [98_100_000, 98.1e6, Fraction(98_100_000), np.int32(98_100_000)])
def test_whole_numbers_of_any_type_are_hertz(value: object) -> None:
    read = whole_hertz(value, "dial")
    assert type(read) is int
    assert read == 98_100_000


@pytest.mark.parametrize("value", [0.5, True, "98.1 MHz", None, Fraction(1, 2), float("nan")])
def test_anything_else_is_not(value: object) -> None:
    with pytest.raises(ModelRangeError) as caught:
        whole_hertz(value, "dial")
    assert str(caught.value) == f"dial {value!r} is no whole number of hertz; give for example 98_100_000"


SOME = [Fraction(7, 2), None, -3, Fraction(-1, 3)]


def test_a_column_of_ratios_keeps_what_is_put_in() -> None:
    column = Ratios([7, 5, 3, 1], [2, 0, -1, -3])
    assert column.exact() == SOME
    assert (column.num.tolist(), column.den.tolist()) == ([7, 5, -3, -1], [2, 0, 1, 3])
    assert column.known.tolist() == [True, False, True, True]
    assert np.array_equal(column.rough(), [3.5, np.nan, -3, -1 / 3], equal_nan=True)
    assert np.isnan(Ratios.none(1).rough()).all()
    assert repr(column) == "Ratios([Fraction(7, 2), None, -3, Fraction(-1, 3)])"
    assert len(column) == 4


def test_one_number_makes_a_column_of_whole_hertz() -> None:
    assert (Ratios(5).num.shape, Ratios(5).exact()) == ((1,), [5])
    assert Ratios([4, 6]).exact() == [4, 6]


def columns() -> dict[str, tuple[Ratios, list[Fraction | int | None]]]:
    """Return every way to make a column of `SOME`, with the values it must hold."""
    whole = Ratios.of(SOME)
    mask = np.array([True, True, False, False])
    return {
        "of": (whole, SOME),
        "of nothing": (Ratios.of([]), []),
        "none": (Ratios.none(2), [None, None]),
        "one after the other": (Ratios.concatenate([whole, Ratios(8), whole]), [*SOME, 8, *SOME]),
        "some": (whole[[3, 0]], [SOME[3], SOME[0]]),
        "masked": (whole[mask], SOME[:2]),
        "where": (whole.where(mask), [*SOME[:2], None, None]),
        "replaced": (whole.replaced(mask, 9), [9, 9, *SOME[2:]]),
    }


@pytest.mark.parametrize("made", columns())
def test_columns_are_made_of_64_bits_hold_their_values_and_cannot_be_written(made: str) -> None:
    column, values = columns()[made]
    assert column.exact() == values
    assert column.known.tolist() == [value is not None for value in values]
    for part in (column.num, column.den):
        assert part.dtype == np.int64
        assert len(part) == len(values)
        assert not part.flags.writeable
    assert (column.den >= 0).all()


def test_a_column_does_not_change_what_it_was_made_of() -> None:
    num, den = np.array([1, 2]), np.array([-1, 2])
    Ratios(num, den)
    assert (num.tolist(), den.tolist()) == ([1, 2], [-1, 2])
    assert num.flags.writeable
    whole = Ratios.of(SOME)
    whole.where(np.zeros(4, dtype=bool))
    assert whole.exact() == SOME


def test_numbers_in_json() -> None:
    assert json_number(None) is None
    assert type(json_number(Fraction(7))) is int
    assert json_number(Fraction(7)) == 7
    assert json_number(Fraction(10_000, 3)) == 3333.333
    assert type(json_number(Fraction(1, 2))) is float


@pytest.mark.parametrize(
    ("value", "decimals", "extra", "text"),
    [
        (96_300_000, 1, 0, "96.3"),
        (96_350_000, 1, 0, "96.4"),
        (96_349_999, 1, 0, "96.3"),
        (-96_350_000, 1, 0, "-96.4"),
        (-1, 1, 0, "0.0"),
        (50_000, 1, 0, "0.1"),
        (Fraction(1, 3), 2, 3, "0.00"),
        (10_675_000, 2, 1, "10.675"),
        (10_675_000, 2, 0, "10.68"),
        (10_675_500, 2, 1, "10.68"),
        (10_700_000, 2, 3, "10.70"),
        (5_000, 2, 3, "0.005"),
        (1_500_000, 0, 0, "2"),
        (-2_500_000, 0, 0, "-3"),
        (-2_500_000, 0, 1, "-2.5"),
    ],
)
def test_decimals_are_fixed_and_halves_go_away_from_zero(
    value: Fraction | int, decimals: int, extra: int, text: str
) -> None:
    assert decimal_text(value, unit_hz=10**6, decimals=decimals, extra=extra) == text


def test_parts_of_a_hertz_above_zero_have_no_sign() -> None:
    assert decimal_text(Fraction(3, 5), unit_hz=1, decimals=1) == "0.6"


def test_dial_and_fine() -> None:
    assert MHZ.dial(96_350_000) == "96.4"
    assert (MHZ.fine(108_800_000), MHZ.fine(10_675_000), MHZ.fine(10_675_001)) == (
        "108.80",
        "10.675",
        "10.68",
    )
    assert Rounding("kHz", 0, 1).dial(455_500) == "456"
    assert Rounding("kHz", 0, 1).fine(455_500) == "455.5"


@pytest.mark.parametrize(
    ("value", "up", "down"),
    [
        (96_300_000, "96.30", "96.30"),
        (96_300_010, "96.30001", "96.30001"),
        (96_300_001, "96.31", "96.30"),
        (96_309_999, "96.31", "96.30"),
        (-96_300_001, "-96.30", "-96.31"),
        (Fraction(100_000_000, 3), "33.34", "33.33"),
    ],
)
def test_ends_of_a_range_are_rounded_into_it(value: Fraction | int, up: str, down: str) -> None:
    assert (MHZ.inward(value, up=True), MHZ.inward(value, up=False)) == (up, down)


def test_exact_is_what_three_more_decimals_can_write() -> None:
    assert MHZ.is_exact(10)
    assert not MHZ.is_exact(1)
    assert MHZ.is_exact(Fraction(20, 2))
    assert not MHZ.is_exact(Fraction(10, 3))
    assert Rounding("kHz", 0, 0).is_exact(1)


def test_drawn_values_are_floats_in_the_unit_of_the_band() -> None:
    assert np.array_equal(MHZ.drawn(Ratios([7, 1], [2, 0])), [3.5e-6, np.nan], equal_nan=True)
    assert MHZ.drawn([Fraction(1, 2), 96_300_000]).tolist() == [5e-7, 96.3]
    assert MHZ.drawn(96_300_000) == 96.3
