"""Worked examples of the books as lessons, with the books' numbers; each named beside its check."""

from fractions import Fraction

import pytest

import freqplan

KHZ, MHZ = 1000, 1_000_000


def plan_of(folder, low, high, intermediate, side="high", extra="", modulation="am", raster="1 kHz"):
    path = folder / "book.toml"
    path.write_text(
        f'[band]\nlow = "{low}"\nhigh = "{high}"\nraster = "{raster}"\nmodulation = "{modulation}"\n'
        f'[[conversion]]\nintermediate = "{intermediate}"\noscillator = "{side}"\n{extra}'
    )
    return freqplan.load_plan(path)


def front_end(circuits, q):
    return f'[front_end]\ncircuits_before_mixer = {circuits}\nloaded_q = {q}\nfloor = "300 dB"\n'


def told(lesson, name):
    """Return the values that a sign has in the steps that show it, in their order."""
    steps = [step for step in lesson.derivation if step.formula is not None and step.formula.lhs.is_Symbol]
    values = [(step.formula.lhs, step.values) for step in steps if step.formula.lhs.name == name]
    return [own[symbol] for symbol, own in values if own]


@pytest.mark.parametrize(
    ("side", "oscillator", "image"),
    [("high", (98.7, 118.7), (109.4, 129.4)), ("low", (77.3, 97.3), (66.6, 86.6))],
)
def test_stanley_jeffords_5_12(tmp_path, side, oscillator, image):
    """Stanley & Jeffords, Electronic Communications, ex. 5.12: 88-108 MHz, IF 10.7; read."""
    plan = plan_of(tmp_path, "88 MHz", "108 MHz", "10.7 MHz", side, modulation="fm", raster="100 kHz")
    ends = told(freqplan.lesson(plan, "image"), "fX")[-2:]
    assert ends == [round(hz * MHZ) for hz in image]
    sides = told(freqplan.lesson(plan, "which-side"), "fL")
    own = sides[:2] if side == "high" else sides[2:]
    assert own == [round(hz * MHZ) for hz in oscillator]


@pytest.mark.parametrize(("side", "oscillator", "image"), [("high", 45, 50), ("low", 35, 30)])
def test_stanley_jeffords_5_10(tmp_path, side, oscillator, image):
    """The same, ex. 5.10 and 5.11: 40 MHz, IF 5; read."""
    plan = plan_of(tmp_path, "39 MHz", "41 MHz", "5 MHz", side)
    lesson = freqplan.explain(freqplan.channel(plan, 40 * MHZ), "image")
    assert told(lesson, "fL") == [oscillator * MHZ]
    assert set(told(lesson, "fX")[:2]) == {image * MHZ}


@pytest.mark.parametrize(
    ("dial", "intermediate", "image", "detuning", "alpha"),
    [
        (1000 * KHZ, "455 kHz", 1910 * KHZ, 1.386, 138.6),
        (25 * MHZ, "455 kHz", 25_910 * KHZ, 0.0715, 7.22),
    ],
)
def test_kennedy_davis_7_1(tmp_path, dial, intermediate, image, detuning, alpha):
    """Kennedy & Davis, Electronic Communication Systems, ex. 7.1a and b: one circuit of Q 100; read."""
    plan = plan_of(
        tmp_path, f"{dial - 100 * KHZ} Hz", f"{dial + 100 * KHZ} Hz", intermediate, extra=front_end(1, 100)
    )
    lesson = freqplan.explain(freqplan.channel(plan, dial), "image")
    assert told(lesson, "fX")[0] == image
    assert abs(float(told(lesson, "y")[0]) - detuning) < 0.0005
    assert abs(10 ** (told(lesson, "L")[0] / 20) - alpha) < 0.05


def test_kennedy_davis_7_2(tmp_path):
    """The same, ex. 7.2: a second circuit of Q 268, or an IF of 11.375 (printed 11.4), gives 138.6 again; read."""
    losses = []
    for intermediate, extra in (
        ("455 kHz", front_end(1, 100)),
        ("455 kHz", front_end(1, 268)),
        ("11.375 MHz", front_end(1, 100)),
    ):
        plan = plan_of(tmp_path, "24 MHz", "26 MHz", intermediate, extra=extra)
        losses += told(freqplan.explain(freqplan.channel(plan, 25 * MHZ), "image"), "L")
    assert abs(10 ** ((losses[0] + losses[1]) / 20) - 138.6) < 1
    assert abs(10 ** (losses[2] / 20) - 138.6) < 1


@pytest.mark.parametrize(
    ("dial", "intermediate", "q", "image", "loss"),
    [(590, 455, 40, 1500, 38.687), (1000, 465, 50, 1930, 36.98)],
)
def test_blake_6_5_and_roddy_coolen_7_6_1(tmp_path, dial, intermediate, q, image, loss):
    """Blake, ex. 6.5, and Roddy & Coolen, Electronic Communications, ex. 7.6.1; read."""
    plan = plan_of(tmp_path, "540 kHz", "1600 kHz", f"{intermediate} kHz", extra=front_end(1, q))
    lesson = freqplan.explain(freqplan.channel(plan, dial * KHZ), "image")
    assert told(lesson, "fX")[0] == image * KHZ
    assert abs(told(lesson, "L")[0] - loss) < 0.006


def test_blake_6_6(tmp_path):
    """Blake, ex. 6.6: tuned to 10, IF 1.8, high, m and n up to 2; recomputed."""
    plan = plan_of(tmp_path, "9 MHz", "11 MHz", "1.8 MHz", extra="[orders]\nsignal = 2\noscillator = 2\n")
    channel = freqplan.channel(plan, 10 * MHZ)
    found = set()
    for place, row in enumerate(channel.responses.rows(), start=1):
        found.add((row["n"] == 0, told(freqplan.explain(channel, place), "fX")[0]))
    assert {float(hz) / MHZ for none, hz in found if not none} == {5.0, 6.8, 10.9, 12.7, 13.6, 21.8, 25.4}
    assert {float(hz) / MHZ for none, hz in found if none} == {1.8, 0.9}


def test_roddy_coolen_7_3_1_and_7_4_1(tmp_path):
    """Roddy & Coolen, ex. 7.3.1 and 7.4.1: 550-1600 kHz, IF 455; read. The book squares the rounded ratio: 4.182."""
    plan = plan_of(tmp_path, "550 kHz", "1600 kHz", "455 kHz")
    lesson = freqplan.lesson(plan, "tracking")
    ratio, swing = told(lesson, "x")[0], told(lesson, "z")[0]
    assert ratio == Fraction(2055, 1005)
    assert (round(float(ratio), 3), round(float(swing), 3)) == (2.045, 4.181)
    assert abs(float(told(lesson, "zS")[0]) - 8.463) < 0.0005


def test_blake_6_10(tmp_path):
    """Blake, ex. 6.10: 25 MHz, first IF 4.5, oscillators 29.5 and 4.0; read."""
    second = '[[conversion]]\nintermediate = "500 kHz"\noscillator = "low"\n'
    plan = plan_of(tmp_path, "24 MHz", "26 MHz", "4.5 MHz", extra=second)
    lesson = freqplan.explain(freqplan.channel(plan, 25 * MHZ), "second-image")
    assert told(lesson, "fL2") == [4 * MHZ]
    assert told(freqplan.explain(freqplan.channel(plan, 25 * MHZ), "image"), "fL") == [29_500 * KHZ]


def test_that_10_7_works_and_why(tmp_path):
    """In-band images need 2 fI below the band's width: 10.25 MHz for 87.5-108; exact from the equation."""
    plan = plan_of(tmp_path, "87.5 MHz", "108 MHz", "10.7 MHz", modulation="fm", raster="100 kHz")
    lesson = freqplan.lesson(plan, "why-10.7")
    assert told(lesson, "f0") == [10_250 * KHZ, 41 * MHZ]
    assert told(lesson, "fT") == [96_300 * KHZ, 107 * MHZ]


def test_one_circuit_of_q_50_keeps_the_factor_two(tmp_path):
    """25.97 dB for 98.1 MHz and an IF of 10.7; Q*df/f without the factor 2 would give 20.75 or 20.79."""
    plan = plan_of(
        tmp_path, "87.5 MHz", "108 MHz", "10.7 MHz", extra=front_end(1, 50), modulation="fm", raster="100 kHz"
    )
    channel = freqplan.channel(plan, 98_100 * KHZ)
    assert round(told(freqplan.explain(channel, "image"), "L")[0], 2) == 25.97
    assert round(told(freqplan.explain(channel, "half-if"), "L")[0], 2) == 14.66
