"""Sums that are only just heard, or where nobody would look for them: the search must not leave them out."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_product_judge import assert_nothing_heard_is_left_out
from thoroughness import examples

from freqplan import Band, Conversion, FrontEnd, IfFilter, Mixer, Orders, Plan, RfStage, StationList
from freqplan.plan import Suppression
from freqplan.sweeps import Sweep

SENSITIVITY_DBUV = 10.0


def heard(plan, hertz, dbuv, kind):
    """Rows of a kind that are heard, after the search has found the same ones as the whole table holds."""
    _, pruned = assert_nothing_heard_is_left_out(plan, StationList.from_frequencies(hertz, level_dbuv=dbuv))
    return [row for row in pruned.products.rows() if (row["margin_db"] or 0) < 0 and row["kind"] == kind]


@pytest.mark.parametrize("above", [0.01, 0.5, 3.0])
def test_a_sum_that_just_rises_out_of_the_noise(above):
    # Without circuits 2A - B of 97.1 MHz has the level 2 PA + PB - 2 IIP3, and nobody is tuned in there.
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        front_end=FrontEnd(sensitivity_dbuv=SENSITIVITY_DBUV, impedance_ohm=1000.0),
        rf_stage=RfStage(iip3_dbm=0.0),  # 120 dB(uV) in 1 kilohm
    )
    each = (SENSITIVITY_DBUV + above + 240) / 3
    rows = heard(plan, [98_900_000, 100_700_000], [each, each], "2A-B")
    assert {row["dial_hz"] for row in rows} == {97_100_000, 102_500_000}
    assert all(row["margin_db"] == pytest.approx(-above, abs=1e-6) for row in rows)
    assert not heard(plan, [98_900_000, 100_700_000], [each - above / 3 - 0.01] * 2, "2A-B")


def medium_wave(**more):
    return Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500, raster_hz=200_000, first_channel_hz=530_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
        if_filter=IfFilter(bandwidth_hz=9_000),
        front_end=FrontEnd(sensitivity_dbuv=SENSITIVITY_DBUV, impedance_ohm=1000.0, gain_db=0.0),
        orders=Orders(signal=1, oscillator=1),
        **more,
    )


def test_a_sum_on_a_station_just_beside_the_band():
    # 2 x 1503.25 - 1400 = 1606.5 kHz, the end of the scale, where a station 2.5 kHz beyond it is tuned in: it is heard
    # through that one, though below the noise a carrier alone would need.
    plan = medium_wave(rf_stage=RfStage(iip3_dbm=0.0))
    each = (SENSITIVITY_DBUV - 5 + 240) / 3
    rows = heard(plan, [1_503_250, 1_400_000, 1_609_000], [each, each, SENSITIVITY_DBUV + 5], "2A-B")
    (row,) = [row for row in rows if row["dial_hz"] == 1_606_500]
    assert (row["wanted"], row["heard_on_hz"]) == ("1609 kHz", 1_606_500)
    assert row["level_dbuv"] == pytest.approx(SENSITIVITY_DBUV - 5)


def test_a_narrow_sum_beside_a_carrier():
    # A half-IF response of two stations is 4.5 kHz wide on the dial.  On its spot a station 3 kHz off is tuned in, but
    # that one's own carrier lies outside it.  The spot runs over more than a part of the dial, from edge to edge.
    plan = medium_wave(
        mixer=Mixer(kind="measured", reference_dbm=0.0, suppression=(Suppression(m=2, n=2, db=100.0),))
    )
    # PA + PB - 100 - 120 + 6.02, each so strong that the sum comes 5 dB below the noise.
    each = (SENSITIVITY_DBUV - 5 + 220 - 6.02) / 2
    for step in range(40):
        spot = 760_000 + 500 * step  # between the channels 730 and 930 kHz
        total = 2 * (spot + 455_000) - 455_000
        for beside in (3_000, -3_000):
            hertz = [total // 2 - 100_000, total - total // 2 + 100_000, spot + beside]
            rows = heard(plan, hertz, [each, each, SENSITIVITY_DBUV + 5], "A+B")
            (row,) = [row for row in rows if row["dial_hz"] == spot]
            assert row["heard_on_hz"] == spot
            assert row["wanted"] is not None


LOSSES = st.lists(st.integers(0, 60).map(float), min_size=3, max_size=8)


@given(LOSSES, st.data())
@settings(max_examples=examples(100))
def test_the_least_loss_of_a_part_of_a_sweep(losses, data):
    hertz = np.array(
        sorted(data.draw(st.sets(st.integers(1, 60), min_size=len(losses), max_size=len(losses))))
    )
    sweep = Sweep("", hertz, np.array(losses) - min(losses))
    ends = np.array([sorted(data.draw(st.tuples(*[st.integers(0, 61)] * 2))) for _ in range(4)], dtype=float)
    least = sweep.least_db(ends[:, 0], ends[:, 1])
    for (low, high), found in zip(ends, least, strict=True):
        # Straight lines are least on a point or at an end; between and there the loss is never less.
        between = [loss for hz, loss in zip(hertz, sweep.loss_db, strict=True) if low <= hz <= high]
        at_ends = np.interp([low, high], hertz, sweep.loss_db).tolist()
        assert found == pytest.approx(min(between + at_ends), abs=1e-9)
