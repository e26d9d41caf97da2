"""Random receivers with levels and towns whose stations fall on one another there, most of it known; and one town."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st
from strategies import AM, CLOSE_BELOW, FM, SHORT_WAVE, UP_CONVERTING, plans
from test_brute_force import answering, channels, families, sides_of

from freqplan import Plan, StationList, survey
from freqplan.mechanisms import decoder, several_signals
from freqplan.plan import Band, Conversion, FrontEnd, Mixer, Orders, Stereo, Suppression

MOST_ORDER = 3
KINDS = (FM, FM, FM, AM, SHORT_WAVE, UP_CONVERTING, CLOSE_BELOW)


OF_SEVERAL = {one.id for one in (*several_signals.FAMILY.mechanisms, *decoder.FAMILY.mechanisms)}


def mostly(usual, odd):
    """Five times of six the one, else the other."""
    return st.integers(0, 5).flatmap(lambda turn: odd if turn == 5 else usual)


def rounded(low, high):
    """Levels to a tenth, so that a failure is easy to read; spread evenly."""
    return st.integers(10 * low, 10 * high).map(lambda tenths: tenths / 10)


@st.composite
def front_ends(draw):
    counts = draw(st.tuples(st.integers(0, 1), st.integers(0, 2)))
    return FrontEnd(
        circuits_before_rf_stage=counts[0],
        circuits_before_mixer=counts[1],
        loaded_q=draw(rounded(5, 60)) if any(counts) else None,
        floor_db=draw(st.sampled_from([30.0, 60.0, 80.0])),
        detuning_hz=draw(st.integers(-50_000, 50_000)),
        gain_db=draw(mostly(rounded(0, 30), st.none())),
        impedance_ohm=draw(st.sampled_from([75.0, 50.0, 300.0])),
        wanted_dbuv=draw(rounded(30, 80)),
        sensitivity_dbuv=draw(st.none() | rounded(-10, 20)),
    )


@st.composite
def mixers(draw):
    """Draw a mixer whose figures can be written down in a line; a measured table lacks a figure here and there."""
    kind = draw(
        st.sampled_from(
            ["measured", "measured", "measured", "measured", "switching", "square-law", "unknown"]
        )
    )
    if kind == "switching":
        return Mixer(kind=kind, unbalance=draw(st.sampled_from([None, 0.0, 0.05, 0.3])))
    if kind == "square-law":
        return Mixer(kind=kind, oscillator_drive=draw(rounded(1, 3)))
    if kind == "unknown":
        return Mixer()
    pairs = [(m, n) for m in range(1, MOST_ORDER + 1) for n in range(MOST_ORDER + 1) if (m, n) != (1, 1)]
    figures = [draw(mostly(rounded(10, 70), st.none())) for _ in pairs]
    rows = (Suppression(m=m, n=n, db=db) for (m, n), db in zip(pairs, figures, strict=True) if db is not None)
    return Mixer(kind=kind, reference_dbm=draw(rounded(-50, -20)), suppression=tuple(rows))


@st.composite
def sets(draw):
    """Draw a plan with a front end; few channels, so that each can be visited."""
    bare = draw(plans(kinds=KINDS, most_order=MOST_ORDER, tolerance=False))
    bandwidth = bare.if_filter.bandwidth_hz
    skirts = draw(st.none() | st.integers(bandwidth * 5 // 4, 3 * bandwidth))
    # Without deviation nothing can be told against full programme; what then happens is a test of its own.
    deviation = max(bare.band.deviation_hz, 1000) if bare.band.modulation == "fm" else 0
    decoder = draw(st.sampled_from(["none", "filtered", "switching"]))
    changed = {
        "band": Band(**bare.band.given() | {"deviation_hz": deviation}),
        "if_filter": {"bandwidth_hz": bandwidth, "bandwidth_20db_hz": skirts},
        "front_end": draw(front_ends()),
        "mixer": draw(mixers()),
        "stereo": Stereo(decoder=decoder, deemphasis_us=draw(st.sampled_from([0.0, 50.0, 75.0]))),
    }
    return Plan(**bare.given() | changed)


@st.composite
def towns(draw, plan, dial_hz=None):
    """Draw stations on channels, and others that land on or beside these or between; some share a carrier.

    With `dial_hz` they gather there.
    """
    where = st.sampled_from(channels(plan)) if dial_hz is None else st.just(dial_hz)
    half = plan.if_filter.bandwidth_hz // 2
    spots = draw(st.lists(where, min_size=1, max_size=3))
    own = [spot + draw(st.sampled_from([0, 0, half // 9, -half, half])) for spot in spots]
    landing = [
        draw(landings(plan, draw(st.sampled_from(own) | where))) for _ in range(draw(st.integers(2, 6)))
    ]
    own = [hertz for hertz in own if draw(st.integers(0, 3))]
    hertz = [hz for hz in own + landing if hz > 0] or [plan.band.low_hz]
    hertz += draw(st.lists(st.sampled_from(hertz), max_size=1))
    return draw(levelled(hertz))


@st.composite
def landings(draw, plan, dial_hz):
    """Draw a carrier that some product brings to the IF at a dial setting, or an audible distance beside it."""
    side = draw(st.sampled_from(sides_of(plan)))
    product = draw(st.sampled_from(list(families(plan, side))))
    exact = answering(side, *product, dial_hz, plan.conversion[0].intermediate_hz)
    half = plan.if_filter.bandwidth_hz // 2
    beside = draw(st.sampled_from([0, 1, half // 20, half // 5, half // 2, half, 2 * half, 3 * half]))
    return math.floor(exact) + draw(st.sampled_from([1, -1])) * beside // product[0]


@st.composite
def levelled(draw, hertz):
    """Draw a list for carriers: levels, powers with distances, both or neither."""
    size = len(hertz)
    unknown = st.just(math.nan)
    level, power, distance = (
        draw(st.lists(mostly(values, unknown), min_size=size, max_size=size))
        for values in (rounded(0, 110), rounded(1, 100), rounded(1, 200))
    )
    names = tuple(f"S{place}" for place in range(size))
    return StationList("", names, *(np.array(column) for column in (hertz, level, power, distance)))


@st.composite
def sets_with_towns(draw):
    plan = draw(sets())
    return plan, draw(towns(plan))


# --- one town, and its ghosts by name -----------------------------------------------------------

KEY = ("oscillator", "m", "n", "e", "station", "station_hz")
FIGURES = {(1, 2): 32, (1, 3): 40, (2, 0): 50, (2, 2): 40, (3, 3): 45, (4, 4): 50, (5, 5): 50, (3, 1): 70}

# An invented town: a strong station with its fan, stations it falls on, one that nobody measured.
# "Aero" on 95.855 + 21.4 MHz is an image beside "Plain".
HERTZ = {
    "Strong": 101_200_000, "Plain": 95_850_000, "Hill": 94_100_000, "Old Mill": 99_000_000,
    "Unmeasured": 97_000_000, "Aero": 117_255_000,
}  # fmt: skip
LEVELS = {"Strong": 100.0, "Plain": 55.0, "Hill": 60.0, "Old Mill": 70.0, "Unmeasured": None, "Aero": 85.0}
TOWN = StationList.from_frequencies(HERTZ.values(), HERTZ, level_dbuv=LEVELS.values())


def kitchen(order=5, figures=FIGURES, **front_end):
    rows = tuple(Suppression(m=m, n=n, db=db) for (m, n), db in figures.items())
    own = {"circuits_before_mixer": 2, "loaded_q": 40.0, "gain_db": 15.0} | front_end
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        front_end=FrontEnd(**own),
        mixer=Mixer(kind="measured", reference_dbm=-30.0, suppression=rows),
        orders=Orders(signal=order, oscillator=order),
    )


def ghosts(plan, stations):
    return {tuple(row[name] for name in KEY): row for row in survey(plan, stations).ghosts.rows()}


def of_one(rows):
    """The rows that a single station, or none, makes."""
    return [row for row in rows if row["mechanism"] not in OF_SEVERAL]


def is_heard(row):
    return row["margin_db"] is not None and row["margin_db"] < 0


def with_levels(stations, dbuv):
    """The same stations with other levels at the aerial, whatever the list said of power and distance."""
    return replace(stations, level_dbuv=dbuv, erp_kw=stations.erp_kw * np.nan)
