"""The simulator of benches judged by itself: exact instances, repeatable, honest about what it knows."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from bench_cases import case, cases
from bench_scoring import attainable, score
from bench_sums import MECHANISMS
from bench_traits import HEARD
from bench_weighing import Draw
from benches import bench

from freqplan.diagnosis.priors import NONE, WEIGHTS

COUNT = 200
SEVERAL = 100


@pytest.fixture(scope="module")
def some_cases():
    return list(cases(COUNT, first_seed=10_000))


@pytest.fixture(scope="module")
def draws():
    return [Draw(bench(seed), np.random.default_rng([seed, 2])) for seed in range(SEVERAL)]


# --- every instance fulfils its formula with the real IF ---


def equation(mechanism, told):
    """What must be zero, in fractions of a hertz, by the formulas of each mechanism; None where it has none."""
    spot, own_if, side = told["spot_hz"], told["intermediate_hz"], told["side"]
    m, n, e, k, heard = told["m"], told["n"], told["e"], told["k"], told["stations_hz"]
    oscillator = spot + side * own_if
    image = spot + 2 * side * own_if
    landing = image if e == -1 else spot
    if mechanism in ONE_SIGNAL:
        return e * (n * oscillator - m * heard[0]) - own_if if heard else None
    if mechanism == "if-harmonic":
        return spot - k * own_if
    if mechanism == "self-mixing":
        return e * (n * oscillator - m * spot) - own_if
    if mechanism == "oscillator-in-if":
        return n * oscillator - own_if
    if mechanism == "oscillator-on-station":
        return oscillator - heard[0]
    if mechanism == "oscillator-product":
        return n * oscillator + k * told["second_oscillator_hz"] - spot
    if mechanism == "second-image":
        second = 1 if told["second_oscillator_hz"] > told["nominal_hz"] else -1
        return heard[0] - (spot - 2 * side * second * 455_000)
    if mechanism == "other-receiver":
        return told["other_hz"] + k * told["quantity"] - landing
    if mechanism == "internal-clock":
        return m * told["quantity"] - landing if told["quantity"] else None
    if mechanism == "synthesiser-sideband":
        return heard[0] - (spot - k * told["quantity"])
    if mechanism in ("third-order", "third-order-outside"):
        return (2 * heard[0] - heard[1] if len(heard) == 2 else heard[0] + heard[1] - heard[2]) - landing
    if mechanism == "second-order":
        return heard[0] + e * heard[1] - spot
    if mechanism == "pair-half-if":
        return heard[0] + heard[1] - (2 * oscillator - e * own_if)
    if mechanism == "transmitter-harmonic":
        return m * heard[0] - spot if heard else None
    if mechanism == "wrong-side":
        return spot - 2 * side * own_if - heard[0]
    return None


ONE_SIGNAL = (
    "image", "half-if", "fractional-if", "oscillator-harmonic", "signal-harmonic", "harmonic-mixing",
)  # fmt: skip
EXACT = (
    *ONE_SIGNAL, "if-harmonic", "oscillator-on-station", "other-receiver", "third-order", "pair-half-if",
    "synthesiser-sideband", "third-order-outside",
)  # fmt: skip


def every_row(draw):
    """Told details of the rows of a bench that its real configuration allows, a few of each mechanism."""
    its_bench, rng = draw.bench, np.random.default_rng(len(draw.bench.station_hz))
    for mechanism, table in draw.tables.items():
        allowed = np.flatnonzero(draw.members[table["scope"], its_bench.truth])
        share = table["share"][allowed]
        for row in rng.choice(allowed, min(12, len(allowed)), p=share / share.sum()) if len(allowed) else ():
            told = {name: column[row].item() for name, column in table.items()}
            yield mechanism, told | {
                "spot_hz": Fraction(told["num"], told["den"]), "side": int(its_bench.sides[its_bench.truth]),
                "intermediate_hz": int(its_bench.intermediates_hz[its_bench.truth]),
                "stations_hz": tuple(int(its_bench.station_hz[told[name]]) for name in "abc" if told[name] >= 0),
                "second_oscillator_hz": its_bench.second_oscillator_hz, "nominal_hz": its_bench.nominal_hz,
            }  # fmt: skip


def test_every_instance_fulfils_its_equation_exactly(draws):
    met = set()
    for draw in draws:
        low, high = draw.bench.band_hz
        for mechanism, told in every_row(draw):
            rest = equation(mechanism, told)
            assert low <= told["spot_hz"] <= high
            assert rest in (0, None), (mechanism, told)
            if rest == 0:
                met.add(mechanism)
    assert met >= {
        *EXACT,
        "self-mixing",
        "second-image",
        "oscillator-product",
        "oscillator-in-if",
        "second-order",
    }


def test_a_wrong_if_breaks_the_equation(draws):
    broken = [
        equation(mechanism, told | {"intermediate_hz": told["intermediate_hz"] + 1000})
        for draw in draws[:30]
        for mechanism, told in every_row(draw)
        if mechanism in ("image", "half-if", "if-harmonic", "oscillator-on-station")
    ]
    told = [rest for rest in broken if rest is not None]
    assert told
    assert all(told)


def test_pairs_an_if_apart_lie_within_the_filter(draws):
    for draw in draws:
        for mechanism, told in every_row(draw):
            if mechanism == "if-spaced-pair":
                a, b = told["stations_hz"]
                assert abs(a - b - told["intermediate_hz"]) <= (90_000 if draw.bench.fm else 4500)


# --- draws ---


def test_the_same_seed_gives_the_same_case():
    for seed in (3, 4, 5):
        one, other = case(seed), case(seed)
        assert one.evidence_tables == other.evidence_tables
        assert (one.truth, one.details, one.posterior) == (other.truth, other.details, other.posterior)
        assert one.plan == other.plan
        assert one.stations.names == other.stations.names
    assert len({str(case(seed).evidence_tables) for seed in range(8)}) == 8


def test_every_mechanism_occurs(draws):
    """Counted by probability, so that rare ones need no thousands of benches."""
    expected = sum(draw.shares[:, draw.bench.truth] for draw in draws) / len(draws)
    assert tuple(WEIGHTS) == MECHANISMS
    assert dict(zip(MECHANISMS, expected > 1e-4, strict=True)) == dict.fromkeys(WEIGHTS, True)
    assert expected.sum() == pytest.approx(1)


def test_mechanisms_come_by_their_weights(draws):
    """Of two that every bench has, each comes as often as it weighs."""
    for draw in draws[:20]:
        shares = dict(zip(MECHANISMS, draw.shares[:, draw.bench.truth], strict=True))
        ratio = WEIGHTS["oscillator-off"] / WEIGHTS[NONE]
        assert shares["oscillator-off"] / shares[NONE] == pytest.approx(ratio)


def test_the_plan_leaves_the_truth_possible(draws):
    for draw in draws:
        its_bench, first = draw.bench, draw.bench.plan.conversion[0]
        real = int(its_bench.intermediates_hz[its_bench.truth])
        assert abs(real - first.intermediate_hz) <= first.tolerance_hz
        side = {1: "high", -1: "low"}[int(its_bench.sides[its_bench.truth])]
        assert (its_bench.set_side or first.oscillator) in (side, "unknown")
        assert len(set(its_bench.station_hz.tolist())) == len(its_bench.station_hz)
        assert its_bench.likely.sum() == pytest.approx(1)


# --- observations ---

TEXTS = {
    "heard": HEARD, "aerial_out": ("goes", "stays"), "pitch": ("still", "moves", "flicks"),
    "pitch_tuned_up": ("rises", "falls"), "width": ("full", "half", "third", "wide"), "meter": ("normal", "reversed"),
    "afc": ("pulls", "pushes"), "by_ear": ("better", "same", "worse"), "speech_of": ("aircraft", "amateurs", "other"),
}  # fmt: skip
YES_OR_NO = {
    "everywhere", "single", "stereo_only", "anti_phase", "other_set_off_stops", "other_set_too", "other_input_too",
    "drifts", "own_place_too", "warm_up_stops", "comes_and_goes",
}  # fmt: skip
NAMES = {"programme_of", "notch_stops", "notch_keeps"}


def is_frequency(text):
    number, unit = text.split(" ")
    return unit in ("MHz", "kHz") and Fraction(number) > 0


def is_readable(key, value, names):
    if key in TEXTS:
        return value in TEXTS[key]
    if key in YES_OR_NO:
        return isinstance(value, bool)
    if key in NAMES:
        return isinstance(value, list) and set(value) <= set(names) and value
    if key in ("dial", "reading_error", "other_set_dial"):
        return is_frequency(value)
    if key in ("pad", "fell"):
        return value.endswith(" dB") and float(value.removesuffix(" dB")) >= 0
    if key in ("pitch_khz", "pitch_rate"):
        return isinstance(value, float) and value >= 0 and (value > 0 or key == "pitch_rate")
    return key == "on_station" and value in names


def test_observations_have_the_keys_and_values_of_a_file(some_cases):
    seen = set()
    for one in some_cases:
        assert set(one.evidence_tables) == {"set", "symptom"}
        for symptom in one.evidence_tables["symptom"]:
            assert ("pad" in symptom) == ("fell" in symptom)
            unreadable = {key for key in symptom if not is_readable(key, symptom[key], one.stations.names)}
            assert unreadable == set()
            seen |= set(symptom)
        of_set = one.evidence_tables["set"]
        assert of_set.get("oscillator", "high") in ("high", "low", "unknown")
        assert of_set.get("intermediate_known", "dot") in ("dot", "measured")
        assert all(
            is_frequency(of_set[key]) for key in of_set if key not in ("oscillator", "intermediate_known")
        )
    assert seen >= {*TEXTS, *YES_OR_NO, *NAMES, "dial", "reading_error", "pad", "fell", "on_station"}


def test_a_reading_lies_within_the_errors_of_scale_and_eye(some_cases):
    for one in some_cases:
        its_bench = bench(one.seed)
        slack = its_bench.dial_error_hz + its_bench.reads_within_hz
        for symptom, told in zip(one.evidence_tables["symptom"], one.details, strict=True):
            if "dial" in symptom:
                number, unit = symptom["dial"].split(" ")
                hertz = Fraction(number) * {"MHz": 1_000_000, "kHz": 1000}[unit]
                assert abs(float(hertz) - told["place_hz"]) <= slack


def test_some_tell_of_two_disturbances_of_one_cause(some_cases):
    twice = [one for one in some_cases if len(one.details) == 2]
    assert 0.03 < len(twice) / len(some_cases) < 0.3
    for one in twice:
        assert len(one.evidence_tables["symptom"]) == 2
        first, second = one.details
        assert first["spot_hz"] != second["spot_hz"]
        for name in ("side", "intermediate_hz", "dial_offset_hz"):
            assert first[name] == second[name]
        if one.truth == "oscillator-off":
            assert first["quantity"] == second["quantity"]


# --- what can be concluded ---


def test_what_it_concludes_itself_is_calibrated(some_cases):
    best = attainable(some_cases)
    # Five hit rates, each of a fifth of the cases, scatter by this much at most in the mean; twice that is allowed.
    assert best.calibration < 2 * 0.5 / (COUNT / 5) ** 0.5
    assert best.first == 1
    assert best.first_of_all > 0.5
    assert best.undecided_open == 1
    assert 0.1 < best.decidable < 0.5
    assert best.undecided_wrongly == 0


def test_probabilities_of_a_case_sum_to_one(some_cases):
    for one in some_cases[:50]:
        assert sum(one.posterior.values()) == pytest.approx(1)
        assert one.share == one.posterior[one.truth] > 0


def test_no_answer_from_the_weights_alone_does_as_well(some_cases):
    """The evidence tells something: without it the best guess is right about one time in ten."""
    total = sum(WEIGHTS.values())
    ranked = sorted(((name, weight / total) for name, weight in WEIGHTS.items()), key=lambda pair: -pair[1])
    blind = score(some_cases, lambda plan, evidence, stations: (ranked, True))
    assert blind.first_of_all < 0.2 < attainable(some_cases).first_of_all
    assert blind.undecided == blind.undecided_wrongly == 1
    assert "audio-only" in blind.markdown()


def test_over_confidence_shows_in_the_calibration(some_cases):
    answers = {id(one.plan): one.posterior for one in some_cases}

    def sure(plan, evidence, stations):
        ranked = sorted(answers[id(plan)].items(), key=lambda pair: -pair[1])
        return [(ranked[0][0], 0.99), *ranked[1:]], False

    bold = score(some_cases, sure)
    assert bold.first_of_all == attainable(some_cases).first_of_all
    assert bold.calibration > 0.25
    assert bold.undecided == 0
