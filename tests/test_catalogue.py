"""The catalogue of mechanisms: its formulas against the engine, its words, and a family added from outside."""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction

import numpy as np
import pytest
import sympy

from freqplan import Band, Conversion, Orders, Plan, StationList, channel, explain, lesson, survey
from freqplan.columns import COLUMNS
from freqplan.derivations.topics import derivation_of
from freqplan.mechanisms import FAMILIES, Family, Mechanism, Sums, catalogue
from freqplan.mixing import Combinations, Tuning
from freqplan.plan import Clock, Synthesiser

NAMES = (
    "fT",
    "fI",
    "fL",
    "fX",
    "m",
    "n",
    "e",
    "k",
    "q",
    "fC",
    "fR",
    "fS",
    "fN",
    "fL2",
    "fI2",
    "s1",
    "s2",
    "A",
    "B",
)
SYMBOLS = {name: sympy.Symbol(name) for name in NAMES}
STATIONS = StationList.from_frequencies(
    [10_700_000, 49_001_000, 88_300_000, 98_000_000, 99_999_999, 101_200_000, 108_700_000]
)

FM_HZ, LOW_FM_HZ, SHORT_WAVE_HZ = (87_500_000, 108_000_000), (31_000_000, 41_000_000), (1_600_000, 30_000_000)
CASES = {
    "high": (FM_HZ, 10_700_001, "high"),
    "low": (FM_HZ, 10_700_000, "low"),
    "low, oscillator below the IF": (LOW_FM_HZ, 22_000_000, "low"),
    "high, general coverage": (SHORT_WAVE_HZ, 455_000, "high"),
    "sum": (SHORT_WAVE_HZ, 45_000_007, "sum"),
    "sum, two conversions": (SHORT_WAVE_HZ, 45_000_007, "sum"),
}


def plan_for(case, signal=4, oscillator=4):
    (low, high), intermediate, side = CASES[case]
    second = (
        (Conversion(intermediate_hz=455_001, oscillator="low"),) if case.endswith("two conversions") else ()
    )
    return Plan(
        band=Band(low_hz=low, high_hz=high),
        conversion=(
            Conversion(intermediate_hz=intermediate, oscillator=side, tolerance_hz=intermediate // 500),
            *second,
        ),
        clock=(Clock(name="display", frequency_hz=3_999_999),),
        synthesiser=Synthesiser(reference_hz=120_001),
        orders=Orders(signal=signal, oscillator=oscillator),
    )


# --- formulas -----------------------------------------------------------------------------------


def difference(formula):
    """Left side minus right side of a printed formula."""
    left, right = (sympy.parse_expr(side, local_dict=SYMBOLS, evaluate=True) for side in formula.split("="))
    assert (left - right).free_symbols <= set(SYMBOLS.values())
    return left - right


def values_of(plan, row, dial_hz, signal_hz):
    """What the symbols of a formula stand for in one row."""
    intermediate_hz = plan.conversion[0].intermediate_hz
    own_hz = {
        "high": dial_hz + intermediate_hz,
        "low": dial_hz - intermediate_hz,
        "sum": intermediate_hz - dial_hz,
    }
    named = {"fT": dial_hz, "fI": intermediate_hz, "fL": own_hz[row["oscillator"]], "fX": signal_hz}
    named |= {name: row.get(name) for name in "mnekq"} | of_sources(plan, row, dial_hz)
    if row["mechanism"] == "if-harmonic" and row.get("sources_hz"):
        (named["fI"],) = row["sources_hz"]  # that of a later conversion
    return {name: Fraction(value) for name, value in named.items() if value is not None}


def of_sources(plan, row, dial_hz):
    """What clocks, references and later conversions stand for: the later oscillator of these cases is a low one."""
    source = {"internal-clock": "fC", "synthesiser-sideband": "fR", "oscillator-product": "fL2"}
    named = {name: row["sources_hz"][-1] for id, name in source.items() if id == row["mechanism"]}
    if len(plan.conversion) > 1:
        first, second = (conversion.intermediate_hz for conversion in plan.conversion)
        named |= {"fI2": second, "s1": 1 if row["oscillator"] == "high" else -1, "s2": -1}
        named["fS"] = {"dial": dial_hz, "if": first, "if-2": second}.get(row.get("lands_on"))
    return named


def residue(expression, values):
    needed = {symbol.name for symbol in expression.free_symbols}
    assert needed <= set(values), "the row lacks something its formula names"
    return expression.subs(
        {SYMBOLS[name]: sympy.Rational(*values[name].as_integer_ratio()) for name in needed}
    )


def told_only(plan):
    """What no table lists although it has a formula: a set of each kind, worked out by hand."""
    (side,) = plan.sides
    nominal_hz = plan.conversion[0].intermediate_hz
    real_hz = nominal_hz + plan.conversion[0].tolerance_hz
    for dial_hz in (plan.band.low_hz, plan.band.high_hz):
        own_hz = Tuning(side, nominal_hz).oscillator_hz(dial_hz)
        known = {"fT": Fraction(dial_hz), "fL": Fraction(own_hz), "fI": Fraction(nominal_hz)}
        # The station an IF from the oscillator on the side where it should not be; far down there is none.
        signal_hz, e = (own_hz - nominal_hz, 1) if side == "low" else (own_hz + nominal_hz, -1)
        if signal_hz > 0:
            yield {"mechanism": "wrong-side"}, known | {"fX": Fraction(signal_hz), "e": Fraction(e)}
        # The station that the oscillator of this setting brings to the real IF; in a sum converter the two add up.
        signal_hz = {"high": own_hz - real_hz, "low": own_hz + real_hz, "sum": real_hz - own_hz}[side]
        off = {"fX": signal_hz, "fI": real_hz, "fN": nominal_hz, "s1": 1 if side == "high" else -1}
        yield {"mechanism": "if-off-centre"}, known | {name: Fraction(value) for name, value in off.items()}
        # The station whose third harmonic, received as a signal like any other, is the one tuned in.
        signal_hz = Fraction(dial_hz, 3)
        yield {"mechanism": "transmitter-harmonic"}, known | {"fX": signal_hz, "m": Fraction(3)}


def rows_with_values(case):
    """Every row of every table, with what its formula needs, and what is told without a table."""
    plan = plan_for(case)
    yield from told_only(plan)
    for dial_hz in (plan.band.low_hz, plan.band.high_hz):
        for row in channel(plan, dial_hz).responses.rows():
            yield row, values_of(plan, row, dial_hz, row["response_hz"])
    result = survey(plan, STATIONS)
    for row in result.birdies.rows():
        if row["dial_hz"] is None:
            continue  # everywhere: it need only lie near
        yield row, values_of(plan, row, row["dial_hz"], row["dial_hz"])
    for row in result.ghosts.rows():
        # A ghost that is everywhere need only lie near: its exact place is the response of the channel.
        if row["dial_hz"] is not None:
            yield row, values_of(plan, row, row["dial_hz"], row["station_hz"])
    for row in result.products.rows():
        if row["dial_hz"] is not None or row["beat_hz"] == 0:
            dial_hz = row["dial_hz"] or plan.band.low_hz
            parts = dict(zip("AB", map(Fraction, row["stations_hz"]), strict=False))
            yield row, values_of(plan, row, dial_hz, row["frequency_hz"]) | parts


@pytest.mark.parametrize("case", CASES)
def test_every_row_fulfils_the_formula_of_its_mechanism(case):
    formulas = {one.id: difference(one.formula) for one in catalogue().values() if one.formula}
    seen = set()
    for row, values in rows_with_values(case):
        assert residue(formulas[row["mechanism"]], values) == 0, (row["mechanism"], values)
        seen.add(row["mechanism"])
    assert {"half-if", "fractional-if", "if-breakthrough", "oscillator-harmonic", "harmonic-mixing"} <= seen


def test_between_them_the_cases_meet_every_formula():
    seen = {row["mechanism"] for case in CASES for row, _ in rows_with_values(case)}
    assert seen == {one.id for one in catalogue().values() if one.formula}


# Hertz by which each frequency is put wrong: no products up to the fourth order of these steps cancel.
BESIDE = {"fX": 1, "fT": Fraction(1, 3), "fL": Fraction(1, 7), "A": Fraction(1, 5), "B": Fraction(1, 11)}


@pytest.mark.parametrize("case", CASES)
def test_a_formula_does_not_hold_beside_the_spot(case):
    formulas = {one.id: difference(one.formula) for one in catalogue().values() if one.formula}
    for row, values in rows_with_values(case):
        beside = values | {name: values[name] + step for name, step in BESIDE.items() if name in values}
        assert residue(formulas[row["mechanism"]], beside) != 0, (row["mechanism"], values)


# --- words --------------------------------------------------------------------------------------

WITHOUT_FORMULA = {
    "audio-only",
    "blocking",
    "co-channel",
    "cross-modulation",
    "decoder-neighbour",
    "detector-side",
    "if-oscillation",
    "modulation-hum",
    "multipath",
    "none-of-these",
    "oscillator-off",
    "other-receiver",
    "reference-ripple",
    "second-transmitter",
}


@pytest.mark.parametrize("mechanism", catalogue().values(), ids=list(catalogue()))
def test_every_mechanism_says_how_it_shows_how_to_prove_it_what_helps_and_whence_it_comes(mechanism):
    for name in ("title", "fingerprint", "check", "test", "cure", "source"):
        text = getattr(mechanism, name)
        assert len(text.split()) >= (1 if name == "title" else 3), name
    if not mechanism.formula:
        assert mechanism.id in WITHOUT_FORMULA


@pytest.mark.parametrize("mechanism", catalogue().values(), ids=list(catalogue()))
def test_words_are_single_lines(mechanism):
    for field in fields(Mechanism):
        text = getattr(mechanism, field.name)
        assert text == " ".join(text.split()), field.name
        assert text.isprintable(), field.name


def test_words_of_columns_are_single_lines():
    for name, column in COLUMNS.items():
        for text in (column.caption, column.meaning):
            assert text, name
            assert text == " ".join(text.split()), name


def test_each_id_is_given_once():
    ids = [mechanism.id for family in FAMILIES for mechanism in family.mechanisms]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("case", CASES)
def test_every_id_in_a_result_is_in_the_catalogue(case):
    plan = plan_for(case, 5, 5)
    result, here = survey(plan, STATIONS), channel(plan, plan.band.low_hz, STATIONS)
    tables = [result.responses, result.birdies, result.ghosts, result.check_list, result.channel_hits]
    for table in (*tables, here.responses, here.birdies):
        assert set(table.values("mechanism")) <= set(catalogue())


# --- a family from outside ----------------------------------------------------------------------


def words(name, formula):
    return Mechanism(
        id=name,
        title=f"the {name}",
        formula=formula,
        fingerprint="A steady carrier at one place of the dial.",
        check="Take out the marker's crystal: it must go.",
        test="Take out the marker's crystal and tune across the spot: the carrier must be gone.",
        cure="Switch the marker off while listening.",
        source="written for this test",
    )


def ones(*values):
    return [np.array([value], dtype=np.int64) for value in values]


def names_of(mechanism, tuning, **more):
    return {"mechanism": np.array([mechanism], object), "oscillator": np.array([tuning.side], object), **more}


def family(name, formula, **members):
    """A family of one mechanism, its members made from coefficients a, b, c and columns."""

    def sums_of(a, b, c, columns):
        def make(plan, tuning):
            combination = Combinations(*ones(a, b, c), tuning.intermediate_hz)
            more = {column: np.array([value]) for column, value in columns.items()}
            return Sums(combination, names_of(name, tuning, **more), np.array([1]))

        return make

    return Family(
        mechanisms=(words(name, formula),), **{kind: sums_of(*how) for kind, how in members.items()}
    )


# A marker locked to the IF: seventeen halves of it fall on the dial at 90.95 MHz.
LOCKED = family("locked-marker", "2*fT = 17*fI", birdies=(2, -17, 0, {"level_law": 0}))
FM_SET = Plan(
    band=Band(low_hz=FM_HZ[0], high_hz=FM_HZ[1]),
    conversion=(Conversion(intermediate_hz=10_700_000, tolerance_hz=20_000, oscillator="high"),),
)


def test_a_birdie_from_outside_is_surveyed_and_comes_on_the_check_list():
    families = (*FAMILIES, LOCKED)
    result = survey(FM_SET, families=families)
    found = [row for row in result.birdies.rows() if row["mechanism"] == "locked-marker"]
    assert [(row["dial_low_hz"], row["dial_hz"], row["dial_high_hz"]) for row in found] == [
        (90_780_000, 90_950_000, 91_120_000)
    ]
    lines = [row for row in result.check_list.rows() if row["mechanism"] == "locked-marker"]
    assert [(row["kind"], row["dial_hz"], row["low_hz"], row["high_hz"]) for row in lines] == [
        ("dial", 90_950_000, 90_780_000, 91_120_000)
    ]
    assert lines[0]["what_to_do"] == LOCKED.mechanisms[0].check
    here = channel(FM_SET, 91_000_000, families=families)
    assert "locked-marker" in here.birdies.values("mechanism")
    assert "locked-marker" not in survey(FM_SET).birdies.values("mechanism")
    assert "locked-marker" not in catalogue()


# A second oscillator that stands one and a half IFs above the dial: fX = fT + 5/2 fI mixes down to the IF.
SECOND = {"m": 1, "n": 1, "e": -1, "tuning_slope": 1, "beat_rate": 0, "level_law": 1}


def test_a_response_from_outside_is_surveyed_with_its_ghosts_and_comes_on_the_check_list():
    second = family("second-oscillator", "2*fX = 2*fT + 5*fI", responses=(2, 5, -2, SECOND))
    stations = StationList.from_frequencies([126_750_000], ["Ferry"])
    families = (*FAMILIES, second)
    result = survey(FM_SET, stations, families=families)
    found = [row for row in result.responses.rows() if row["mechanism"] == "second-oscillator"]
    assert [(row["low_hz"], row["high_hz"]) for row in found] == [(114_250_000, 134_750_000)]
    ghosts = [row for row in result.ghosts.rows() if row["mechanism"] == "second-oscillator"]
    assert [(row["station"], row["dial_hz"]) for row in ghosts] == [("Ferry", 100_000_000)]
    lines = [row for row in result.check_list.rows() if row["mechanism"] == "second-oscillator"]
    assert sorted((row["kind"], row["stations"]) for row in lines) == [("dial", ("Ferry",)), ("outside", ())]
    here = channel(FM_SET, 100_000_000, stations, families=families).responses.rows()
    assert [row["stations"] for row in here if row["mechanism"] == "second-oscillator"] == [("Ferry",)]


def test_a_response_without_m_n_and_e_comes_on_the_check_list():
    second = family("second-oscillator", "2*fX = 2*fT + 5*fI", responses=(2, 5, -2, {"level_law": 1}))
    result = survey(FM_SET, families=(*FAMILIES, second))
    assert "second-oscillator" in result.responses.values("mechanism")
    assert "second-oscillator" in result.check_list.values("mechanism")


def test_a_catalogue_without_birdies_is_surveyed():
    result = survey(
        FM_SET, families=(Family(mechanisms=FAMILIES[0].mechanisms, responses=FAMILIES[0].responses),)
    )
    assert len(result.birdies) == 0
    assert len(result.responses) == len(survey(FM_SET).responses)


def test_a_catalogue_without_responses_is_surveyed():
    result = survey(FM_SET, families=(LOCKED,))
    assert len(result.responses) == 0
    assert result.check_list.values("mechanism") == ["locked-marker"]
    assert result.to_dict()["responses"] == []


def fixed_marker(plan, tuning):
    """A marker that has nothing to do with the IF: its ninth harmonic lands on the dial at 90 MHz."""
    combination = Combinations(*ones(1, 0, 0), tuning.intermediate_hz, np.array([-9 * 10_000_000]))
    return Sums(combination, names_of("fixed-marker", tuning), np.array([9]))


def test_a_marker_of_fixed_frequency_stays_where_it_is_whatever_the_if():
    marker = Family(mechanisms=(words("fixed-marker", ""),), birdies=fixed_marker)
    (row,) = survey(FM_SET, families=(marker,)).birdies.rows()
    assert (row["dial_low_hz"], row["dial_hz"], row["dial_high_hz"]) == (90_000_000, 90_000_000, 90_000_000)


def test_a_row_of_a_mechanism_from_outside_is_explained_by_its_formula_with_numbers():
    result = survey(FM_SET, families=(*FAMILIES, LOCKED))
    told = explain(result, "locked-marker", table="birdies")
    assert (told.topic, told.subject) == ("locked-marker", "the locked-marker")
    (step,) = told.steps.rows()
    assert (step["formula_text"], step["numbers"]) == ("2*fT = 17*fI", "2 × 90.95 = 17 × 10.70")
    assert told.sections["Test"] == (LOCKED.mechanisms[0].test,)
    assert "2 × 90.95 = 17 × 10.70" in told._repr_html_()
    # The card names the same sum; beside its exact spot the formula stands without numbers.
    assert explain(result, "locked-marker").steps.values("formula_text") == ["2*fT = 17*fI"]
    here = channel(FM_SET, 91_000_000, families=(*FAMILIES, LOCKED))
    assert explain(here, "locked-marker", table="birdies").topic == "locked-marker"


def test_one_in_the_catalogue_without_a_derivation_of_its_own_is_not_said_to_have_no_sum():
    taught = derivation_of("locked-marker", LOCKED.mechanisms[0].formula)(lesson(FM_SET, "image").case)
    assert [step.text() for step in taught] == ["2*fT = 17*fI"]
    assert derivation_of("audio-only") is not derivation_of("audio-only", "2*fX = fT")
