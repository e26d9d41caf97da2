"""Random evidence for the tests of the diagnosis: every key, on sets of every kind, with and without a station list."""

from __future__ import annotations

from functools import cache

from chain_strategies import plans_with_clocks, plans_with_conversions
from commandline import DEMO
from hypothesis import strategies as st
from strategies import dials, plans, station_lists

from freqplan import Evidence, Plan, SetKnowledge, StationList, Symptom, load_plan, load_stations
from freqplan.plan import Synthesiser

SETS = ("attic", "balcony", "loft", "pantry", "shed", "workshop")

WORDS = {
    "heard": ("programme", "speech", "whistle", "quiet", "noise", "nothing"),
    "speech_of": ("aircraft", "amateurs", "other"),
    "aerial_out": ("goes", "stays"),
    "pitch": ("still", "moves", "flicks"),
    "pitch_tuned_up": ("rises", "falls"),
    "width": ("full", "half", "third", "wide"),
    "meter": ("normal", "reversed"),
    "afc": ("pulls", "pushes"),
    "by_ear": ("better", "same", "worse"),
}
"""What a symptom tells in one of a few words."""

TRUTHS = (
    "everywhere", "single", "own_place_too", "stereo_only", "anti_phase", "other_set_off_stops", "other_set_too",
    "other_input_too", "drifts", "warm_up_stops", "comes_and_goes",
)  # fmt: skip
"""What it tells by yes and no."""

NAMES = ("programme_of", "notch_stops", "notch_keeps")


@cache
def demo_set(name: str) -> Plan:
    return load_plan(DEMO / f"{name}.toml")


@cache
def demo_town() -> StationList:
    return load_stations(DEMO / "orvessa.csv")


@st.composite
def plans_with_synthesisers(draw):
    plan = draw(plans())
    reference = draw(st.integers(2_000, 200_000))
    return Plan(**plan.given() | {"synthesiser": Synthesiser(reference_hz=reference)})


every_plan = st.one_of(
    plans(), plans_with_clocks(), plans_with_conversions(), plans_with_synthesisers(),
    st.sampled_from(SETS).map(demo_set),
)  # fmt: skip


@st.composite
def towns(draw, plan: Plan):
    """Draw a station list, often none; for a demo set that of its town too."""
    lists = [st.none(), station_lists(plan)]
    if any(plan is demo_set(name) for name in SETS):
        lists.append(st.just(demo_town()))
    return draw(st.one_of(lists))


def written(hertz: list[int], stations: StationList | None) -> st.SearchStrategy[str]:
    """Draw how a station is written: its frequency, or its name where one alone bears it."""
    listed = (
        [] if stations is None else list(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    )
    names = [name for name, one in listed if one in hertz and stations.names.count(name) == 1]
    return st.sampled_from([f"{one} Hz" for one in hertz] + names)


def values(draw, plan: Plan, stations: StationList | None) -> dict[str, st.SearchStrategy]:
    """Return what each attribute of a symptom may hold."""
    band = plan.band
    low, high = band.low_hz, band.high_hz
    # A little past the ends of the band too.
    past = (high - low) // 20
    dial = st.one_of(dials(plan), st.integers(max(low - past, 1), high + past))
    hertz = draw(st.lists(dials(plan), min_size=1, max_size=3))
    hertz += [] if stations is None else stations.frequency_hz.tolist()
    # A listed station within half a raster is what a frequency means, and that one must be on the dial too.
    off = [hz for hz in hertz if not low <= hz <= high]
    on = [hz for hz in hertz if hz not in off and all(2 * abs(hz - one) > band.raster_hz for one in off)]
    wanted = written(on, stations) if on else st.none()
    return {
        **{key: st.sampled_from(words) for key, words in WORDS.items()},
        **{key: st.booleans() for key in TRUTHS},
        **{key: st.lists(written(hertz, stations), max_size=3, unique=True) for key in NAMES},
        "dial_hz": dial,
        "reading_error_hz": st.integers(0, 5 * band.raster_hz),
        "on_station": wanted,
        "pitch_khz": st.one_of(st.floats(0.001, 20), st.floats(0.001, 1000)),
        "pitch_rate": st.one_of(st.integers(0, 12), st.floats(0, 1000)),
        "pad_db": st.floats(0.01, 200),
        "fell_db": st.floats(0, 300),
        "other_set_dial_hz": dial,
    }


@st.composite
def symptoms(draw, plan: Plan, stations: StationList | None):
    """Draw a symptom; each observation may be left out."""
    return Symptom(**draw(st.fixed_dictionaries({}, optional=values(draw, plan, stations))))


@st.composite
def knowledge(draw, plan: Plan):
    """Draw what is known of a set besides its plan; an IF near the plan's."""
    own = plan.conversion[0].intermediate_hz
    sides = sorted({*plan.sides, "unknown"})
    return SetKnowledge(
        **draw(
            st.fixed_dictionaries(
                {},
                optional={
                    "oscillator": st.sampled_from(sides),
                    "intermediate_hz": st.integers(own - own // 200, own + own // 200),
                    "intermediate_known": st.sampled_from(["nominal", "dot", "measured"]),
                    "intermediate_error_hz": st.integers(0, own // 50),
                    "dial_error_hz": st.integers(0, 10 * plan.band.raster_hz),
                },
            )
        )
    )


@st.composite
def evidence(draw, plan: Plan, stations: StationList | None, most: int = 3):
    """Draw what was observed on a set, one symptom or several."""
    told = draw(st.lists(symptoms(plan, stations), min_size=1, max_size=most))
    return Evidence(set=draw(knowledge(plan)), symptoms=tuple(told))


@st.composite
def benches(draw, most: int = 3, some=every_plan):
    """Draw a set, what was observed on it, and who is on the air."""
    plan = draw(some)
    stations = draw(towns(plan))
    return plan, draw(evidence(plan, stations, most)), stations


UNITS = {"_hz": "Hz", "_db": "dB"}


def keys_of(observed: Evidence) -> dict:
    """Return evidence as a file has it: keys without units, texts with them, what is not given left out."""
    return {"set": _table(observed.set), "symptom": [_table(one) for one in observed.symptoms]}


def _table(table: SetKnowledge | Symptom) -> dict:
    keys = {}
    for name in type(table).model_fields:
        value, unit = getattr(table, name), UNITS.get(name[-3:])
        if value not in (None, ()):
            key = name[:-3] if unit else name
            keys[key] = f"{value:f} {unit}" if unit else list(value) if isinstance(value, tuple) else value
    return keys
