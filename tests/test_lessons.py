"""Lessons: every formula that is printed, and every line of numbers, worked out again without sympy."""

import json
from fractions import Fraction

import numpy as np
import pytest
from commandline import ROOT, call, refused
from lessonpapers import RELATION, UNITS, close, of_latex, of_numbers, worked_out

import freqplan
from freqplan.mechanisms import catalogue
from freqplan.mixing import Combinations, Patterns, Tuning, tunings

UP = """
[band]
low = "500 kHz"
high = "30 MHz"
modulation = "am"
[[conversion]]
intermediate = "45 MHz"
oscillator = "sum"
[[conversion]]
intermediate = "455 kHz"
oscillator = "low"
"""
NO_IMAGE = """
[band]
low = "1 MHz"
high = "2 MHz"
modulation = "am"
[[conversion]]
intermediate = "900 kHz"
oscillator = "low"
"""
NAMES = ("pantry", "workshop", "attic", "shed", "up")
TOPICS = tuple(freqplan.topics())
NO_SUM = {
    "detector-side", "second-transmitter", "co-channel", "multipath", "modulation-hum", "audio-only", "none-of-these",
}  # fmt: skip


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    path = tmp_path_factory.mktemp("plans") / "up.toml"
    path.write_text(UP)
    return {
        name: freqplan.load_plan(path if name == "up" else ROOT / f"plans_demo/{name}.toml") for name in NAMES
    }


def values_of(step):
    return {symbol.name: number for symbol, number in step.values.items()}


def printed(step, plan):
    """Check all that a step prints against its values."""
    values = values_of(step)
    for text in (step.text(), of_latex(step.latex())):
        left, right = text.split(" = ")
        if values:
            one, other = worked_out(left, values), worked_out(right, values)
            assert close(one, other), (text, values)
    for numbers in (step.numbers(plan.rounding), as_text(step.latex_numbers(plan.rounding))):
        if numbers:
            check_numbers(UNITS.sub("", numbers))


def as_text(latex):
    return of_latex(latex.split(r" \ \mathrm")[0].replace(r"\approx", "≈"))


def check_numbers(line):
    """Check a line such as ``fX = 98.00 + 2 × 10.70 = 119.40``: what is written as equal is."""
    parts = RELATION.split(line)
    if parts[0].replace("_", "").isidentifier():
        parts = parts[2:]
    if len(parts) == 1:
        return
    one, sign, other = worked_out(of_numbers(parts[0]), {}), parts[1], worked_out(of_numbers(parts[2]), {})
    if sign == "=":
        assert close(one, other), line
    else:
        assert abs(float(one) - float(other)) <= 0.01 * max(1, abs(float(other))), line


CASES = [(name, topic) for name in ("pantry", "attic", "up") for topic in TOPICS] + [
    (name, topic)
    for name in ("workshop", "shed")
    for topic in (
        "which-side",
        "tracking",
        "image",
        "second-image",
        "oscillator-product",
        "internal-clock",
        "pad",
    )
]
"""High-side FM, AM and a sum converter whole; of a low-side set and one of two conversions what is their own."""


@pytest.mark.parametrize(("name", "topic"), CASES)
def test_every_formula_printed_is_true_of_its_numbers(plans, name, topic):
    plan = plans[name]
    lesson = freqplan.lesson(plan, topic)
    assert lesson.derivation
    for step in lesson.derivation:
        assert step.says
        if step.formula is not None:
            printed(step, lesson.case.plan)
    shows = [step for step in lesson.derivation if step.formula is not None and step.values]
    if topic == "wrong-side" and name == "up":  # a sum converter has one side
        return
    assert bool(shows) == (topic not in NO_SUM)


@pytest.mark.parametrize("name", NAMES)
def test_responses_are_those_of_the_engine(plans, name):
    plan = plans[name]
    for topic in (
        "image",
        "half-if",
        "fractional-if",
        "oscillator-harmonic",
        "signal-harmonic",
        "harmonic-mixing",
    ):
        case = freqplan.lesson(plan, topic).case
        own = {symbol.name: value for symbol, value in case.values.items()}
        dial = int(own["fT"])
        rows = freqplan.channel(plan.with_changes(orders=(10, 10)), dial).responses.rows()
        found = [
            row
            for row in rows
            if row["mechanism"] == topic and (row["m"], row["n"], row["e"]) == (own["m"], own["n"], own["e"])
        ]
        assert [Fraction(row["response_hz"]) for row in found] == [own["fX"]]
        slopes = {
            values_of(step)["rho"]
            for step in freqplan.lesson(plan, topic).derivation
            if "rho" in values_of(step)
        }
        assert slopes == {found[0]["tuning_slope"]}
        rates = {
            values_of(step)["R"] for step in freqplan.lesson(plan, topic).derivation if "R" in values_of(step)
        }
        assert rates == {found[0]["beat_rate"]}


def test_the_formula_of_the_catalogue_is_one_of_the_steps(plans):
    """Text and code cannot drift: what the catalogue prints is derived, up to the way it is written."""
    for name in ("pantry", "attic"):
        for mechanism in catalogue().values():
            if not mechanism.formula or mechanism.id in (
                "second-order",
                "third-order",
                "third-order-outside",
            ):
                continue
            lesson = freqplan.lesson(plans[name], mechanism.id)
            left, right = mechanism.formula.split(" = ")
            kept = [values_of(step) for step in lesson.derivation if step.formula is not None and step.values]
            held = []
            for values in kept:
                own = {**values, "s1": values.get("s1", values.get("s"))}
                try:
                    held.append(close(worked_out(left, own), worked_out(right, own)))
                except (NameError, TypeError):
                    continue
            assert any(held), (name, mechanism.id, mechanism.formula)


STATIONS = ROOT / "plans_demo/orvessa.csv"


def results():
    plan = freqplan.load_plan(ROOT / "plans_demo/pantry.toml")
    loft = freqplan.load_plan(ROOT / "plans_demo/loft.toml")
    shed = freqplan.load_plan(ROOT / "plans_demo/shed.toml")
    stations = freqplan.load_stations(STATIONS)
    evidence = freqplan.load_evidence(ROOT / "plans_demo/pantry-heard.toml")
    yield freqplan.survey(plan, stations)
    yield freqplan.survey(shed)
    yield freqplan.channel(plan, 94_100_000, stations)
    yield freqplan.compare(plan, (10_670_000,))
    yield freqplan.if_ranges(plan, 9_000_000, 12_000_000)
    yield freqplan.whistle(plan)
    yield freqplan.receivers([plan, loft])
    yield freqplan.diagnose(plan, evidence, stations)
    yield freqplan.dial(loft, freqplan.load_readings(ROOT / "plans_demo/loft-readings.csv"))


WITHOUT = {
    ("if-ranges", "ranges"), ("receivers", "mutual"), ("diagnose", "tests"), ("dial", "readings"),
    ("dial", "received"), ("if-ranges", "clear"),
}  # fmt: skip
"""Tables of what is no sum of frequencies."""


@pytest.fixture(scope="module")
def answered():
    return list(results())


def asked(answered):
    for result in answered:
        for name in (*result.names, *(result.on_request if result.stations else ())):
            count = len(result.table(name))
            for row in sorted({1, 2, count // 3, count // 2, count}):
                if 1 <= row <= count:
                    yield result, name, row


def test_rows_of_every_table_are_derived(answered):
    told = set()
    for result, name, row in asked(answered):
        if (result.command, name) in WITHOUT or (result.command == "dial" and row > 1):
            continue
        lesson = freqplan.explain(result, row, name)
        told.add((result.command, name))
        for step in lesson.derivation:
            if step.formula is not None:
                printed(step, lesson.case.plan)
        assert lesson.about.startswith(f"row {row} of {name}: ")
    assert len(told) >= 25


@pytest.mark.parametrize("table", ["responses", "ghosts", "products", "birdies"])
def test_a_row_is_derived_with_its_own_numbers(answered, table):
    survey = answered[0]
    for row in (1, 2, 5, 12):
        own = next(survey.table(table).take(slice(row - 1, row)).rows())
        lesson = freqplan.explain(survey, row, table)
        values = {symbol.name: value for symbol, value in lesson.case.values.items()}
        for name in ("m", "n", "e", "k", "q"):
            if own.get(name) is not None:
                assert values[name] == own[name]
        if table == "ghosts":
            assert (values["fX"], values["fT"]) == (own["station_hz"], own["dial_hz"] or values["fT"])
        if table == "products":
            assert [values[sign] for sign in "ABC"[: len(own["stations_hz"])]] == list(own["stations_hz"])
            assert values["fX"] == own["frequency_hz"]
        if table == "birdies" and own["dial_hz"] is not None:
            assert values["fT"] == own["dial_hz"]


def test_the_offset_of_a_listed_station_is_that_of_the_row():
    plan = freqplan.load_plan(ROOT / "plans_demo/pantry.toml")
    channel = freqplan.channel(plan, 94_100_000, freqplan.load_stations(STATIONS))
    for place, row in enumerate(channel.responses.rows(), start=1):
        if row["beat_hz"] is None or row["m"] is None or row["q"] is not None:
            continue
        offsets = [
            values_of(step)["o"]
            for step in freqplan.explain(channel, place).derivation
            if "o" in values_of(step)
        ]
        assert offsets == [row["beat_hz"]]


@pytest.mark.parametrize(
    ("name", "dial"), [("pantry", 94_100_000), ("workshop", 98_000_000), ("balcony", 125_000_000)]
)
def test_the_rejection_of_every_row_is_derived(name, dial):
    plan = freqplan.load_plan(ROOT / f"plans_demo/{name}.toml")
    channel = freqplan.channel(plan, dial, freqplan.load_stations(STATIONS))
    compared = 0
    for place, row in enumerate(channel.responses.rows(), start=1):
        if row["m"] is None or row["response_hz"] == dial:
            continue
        found = [
            values_of(step)["K"]
            for step in freqplan.explain(channel, place).derivation
            if "K" in values_of(step)
        ]
        if row["rejection_db"] is None:
            assert found == []
        else:
            assert found == pytest.approx([row["rejection_db"]], abs=1e-9)
            compared += 1
    assert compared >= 9


def test_bad_questions_say_what_there_is(answered):
    plan = answered[0].plan
    with pytest.raises(freqplan.FreqplanError, match=r'no lesson "imago"; there are: why-10\.7, which-side'):
        freqplan.lesson(plan, "imago")
    with pytest.raises(freqplan.FreqplanError, match=r'no row 9999 in table "check_list"; it has'):
        freqplan.explain(answered[0], 9999)
    for row in ("0", "-1", "half", "", "1" * 400, "٣"):
        with pytest.raises(freqplan.FreqplanError, match='in table "check_list"'):
            freqplan.explain(answered[0], row)
    with pytest.raises(freqplan.FreqplanError, match=r"holds no sum of frequencies; tables that do: causes"):
        freqplan.explain(answered[-2], 1, "tests")


def test_a_set_without_such_a_response_borrows_one_and_says_so(tmp_path):
    path = tmp_path / "low.toml"
    path.write_text(NO_IMAGE)
    told = call("lesson", str(path), "image")
    assert told.code == 0
    assert "This set cannot have it: the numbers are for a plain FM set.\n" in told.out
    assert "      fX = 108.50 + 10.70 = 119.20 MHz\n" in told.out


def test_the_dial_can_be_set(plans):
    lesson = freqplan.lesson(plans["pantry"], "image", 98_100_000)
    assert values_of(lesson.derivation[1])["fL"] == 108_800_000
    clock = freqplan.lesson(plans["pantry"], "internal-clock", 92_000_000)
    assert {values_of(step)["fT"] for step in clock.derivation if step.values} == {92_000_000}
    refused(call("lesson", str(ROOT / "plans_demo/pantry.toml"), "image", "--dial", "88.5 GHz"), "88500")
    with pytest.raises(freqplan.ModelRangeError):
        freqplan.lesson(plans["pantry"], "pad", 50_000_000)


def test_the_command_gives_every_form():
    plan = str(ROOT / "plans_demo/pantry.toml")
    text = call("lesson", plan, "image").out
    assert "      fX = fT + 2*s*fI\n      fX = 97.80 + 2 × 10.70 = 119.20 MHz\n" in text
    assert "\nSIGNS\n" in text
    assert "- A set without a mains transformer can have a live chassis" in text
    markdown = call("lesson", plan, "image", "--format", "markdown").out
    assert r"$$f_X = f_T + 2 \, s \, f_I$$" in markdown
    latex = call("lesson", plan, "image", "--format", "latex").out
    assert r"\[ f_X = 97.80 + 2 \times 10.70 = 119.20 \ \mathrm{MHz} \]" in latex
    page = call("lesson", plan, "image", "--format", "html").out
    assert '<p class="formula">f<sub>X</sub> = f<sub>T</sub> + 2·s·f<sub>I</sub></p>' in page
    assert "<figure><svg " in page
    assert "<figure" not in call("lesson", plan, "multipath", "--format", "html").out
    told = json.loads(call("lesson", plan, "image", "--format", "json").out)
    assert (told["command"], told["topic"]) == ("lesson", "image")
    assert told["steps"][3]["formula_text"] == "fX = (n*fL - e*fI)/m"


def test_why_is_asked_of_any_table_on_the_command_line():
    plan = str(ROOT / "plans_demo/pantry.toml")
    told = call("survey", plan, "--stations", str(STATIONS), "--explain", "3")
    assert told.code == 0
    assert "Why: row 3 of check_list" in told.out
    assert "2*fL - A - B = e*fI" in told.out
    refused(call("channel", plan, "94.1", "--explain", "3000"), 'no row 3000 in table "responses"')


def test_the_side_that_is_taken_for_an_unknown_one_is_said(plans):
    lesson = freqplan.lesson(plans["pantry"].with_changes(oscillator="unknown"), "image")
    assert lesson.remarks == ("The side of the oscillator is not known; the numbers are for high.",)


def test_the_sign_convention_is_stated_once(plans):
    lesson = freqplan.lesson(plans["pantry"], "image")
    said = [step.says for step in lesson.derivation if "e is +1 where" in step.says]
    assert len(said) == 1


@pytest.mark.parametrize("side", ["high", "low"])
def test_the_patterns_of_the_equation_are_those_of_the_engine(side):
    """e*(n*fL - m*fX) = fI by hand, against the integer engine, over many patterns."""
    tuning = Tuning(side, 10_700_000)
    for m, n, e in ((1, 1, 1), (2, 2, -1), (3, 2, 1), (5, 4, -1)):
        some = Patterns(*(np.array([part]) for part in (m, n, e)))
        signal = Combinations.of_patterns(tuning, some).signal(98_000_000).exact()[0]
        assert e * (n * tuning.oscillator_hz(98_000_000) - m * signal) == 10_700_000


def test_every_side_of_a_plan_can_be_taught(plans):
    for side in ("high", "low"):
        plan = plans["pantry"].with_changes(oscillator=side)
        assert {one.side for one in tunings(plan)} == {side}
        steps = freqplan.lesson(plan, "image").derivation
        apart = next(values_of(step)["dX"] for step in steps if "dX" in values_of(step))
        assert apart == (21_400_000 if side == "high" else -21_400_000)
