"""The engine before a circuit: one transistor as a mixer, simulated by ngspice, an open-source circuit simulator.

All frequencies are whole multiples of `LINE_HZ`, and the record is one period of that: a Fourier transform needs no
window, and whatever is not one of the transistor's products lies below its lines.  Only frequencies are
looked at; levels would be those of this circuit.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from scipy.fft import rfft
from scipy.interpolate import CubicSpline

from freqplan import Band, Conversion, Orders, Plan, channel
from freqplan.mixing import Combinations, Tuning, patterns

NGSPICE = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(
    NGSPICE is None, reason="ngspice is not installed; on Debian: apt-get install ngspice"
)

LINE_HZ = 10_000
DIAL_HZ, INTERMEDIATE_HZ = 9_800_000, 1_080_000
SET = Tuning("high", INTERMEDIATE_HZ)
OWN_HZ = SET.oscillator_hz(DIAL_HZ)
"""All three are even multiples of `LINE_HZ`, so that half of their sums is one of the lines."""

OFF_TUNE_HZ = 10_040_000
EVERY_PRODUCT_HZ = math.gcd(OWN_HZ, OFF_TUNE_HZ)
"""40 kHz: products of this signal, of any order, are multiples of it, so that three lines in four stay empty."""

MOVED_HZ = 300_000
STEPS = 100_000
"""Points in the record: a nanosecond each, 90 to a period of the oscillator."""

SETTLED_US, STOP_US = 10, 111
TIMEOUT_S = 60
TWENTY_DB, SIXTY_DB = 10.0, 1000.0
"""As ratios of amplitudes."""

LEAST_VOLT = 0.001
"""Of a response: a twentieth of the signal, and more than a high order that lies on the IF by accident can give."""

# Base bias, oscillator and signal in series.  The model is that of no particular transistor.
CIRCUIT = """One transistor as a mixer
Vbias bias 0 0.65
Vown own bias SIN(0 0.1 {own_hz})
Vsignal signal own SIN(0 0.02 {signal_hz})
Rsource signal base 20
Q1 collector base 0 stage
Rload supply collector 470
Vsupply supply 0 9
.model stage NPN(IS=1e-15 BF=100 VAF=50 RB=20 CJE=2p CJC=1p TF=0.3n)
.options reltol=1e-5
.tran 1n {stop_us}u {settled_us}u 1n
.control
set wr_singlescale
set numdgt=15
run
wrdata collector.txt v(collector)
quit
.endc
.end
"""


@cache
def lines(signal_hz):
    """Amplitude of every line of the collector voltage, line k at k times `LINE_HZ`."""
    deck = CIRCUIT.format(own_hz=OWN_HZ, signal_hz=signal_hz, stop_us=STOP_US, settled_us=SETTLED_US)
    with TemporaryDirectory() as folder:
        Path(folder, "mixer.cir").write_text(deck, "ascii")
        done = subprocess.run(
            [NGSPICE, "-n", "-b", "mixer.cir"],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=TIMEOUT_S,
            check=False,
        )
        written = Path(folder, "collector.txt")
        assert written.exists(), done.stdout + done.stderr
        time_s, collector_volt = np.loadtxt(written).T
    # The simulator chooses its own steps; a spline through them gives even ones.  Where the period begins does
    # not matter.
    even_s = time_s[0] + np.arange(STEPS) / (STEPS * LINE_HZ)
    assert time_s[-1] >= even_s[-1]
    return 2 * abs(rfft(CubicSpline(time_s, collector_volt)(even_s))) / STEPS


RESPONSES = [
    (m, n, e)
    for m in (1, 2)
    for n in (0, 1, 2)
    for e in (1, -1)
    if (m, n, e) != SET.wanted and (n, e) != (0, 1)
]
"""Every (m, n, e) up to m = n = 2, the wanted one left out and those with a signal below zero."""


def line(frequency_hz):
    """Return the number of the line on a frequency, which must be a whole one."""
    number, beside_hz = divmod(abs(frequency_hz), LINE_HZ)
    assert beside_hz == 0
    return int(number)


def responses(highest=2):
    """Rows of the engine at the dial setting, by (m, n, e)."""
    plan = Plan(
        band=Band(low_hz=9_000_000, high_hz=11_000_000),
        conversion=(Conversion(intermediate_hz=INTERMEDIATE_HZ, oscillator=SET.side),),
        orders=Orders(signal=highest, oscillator=highest),
    )
    return {(row["m"], row["n"], row["e"]): row for row in channel(plan, DIAL_HZ).responses.rows()}


def test_every_product_lies_where_the_equation_says():
    found = lines(OFF_TUNE_HZ)
    spectrum_hz = np.arange(len(found)) * LINE_HZ
    between = found[(spectrum_hz % EVERY_PRODUCT_HZ != 0) & (spectrum_hz <= 4 * OWN_HZ)]
    some = patterns(SET, signal=3, oscillator=3)
    products_hz = Combinations.of_patterns(SET, some).offset(DIAL_HZ, OFF_TUNE_HZ) + INTERMEDIATE_HZ
    # n from -3 to 3 and m from 1 to 3, either way round: the same 21 lines twice, (1, 1) once.
    assert len({line(product_hz) for product_hz in products_hz.tolist()}) == 21
    for m, n, product_hz in zip(some.m.tolist(), some.n.tolist(), products_hz.tolist(), strict=True):
        assert found[line(product_hz)] > TWENTY_DB * between.max(), (m, n)


@pytest.mark.parametrize("pattern", RESPONSES)
def test_a_response_puts_a_line_on_the_if(pattern):
    found, wanted = lines(int(responses()[pattern]["response_hz"])), line(INTERMEDIATE_HZ)
    assert found[wanted] > LEAST_VOLT
    assert found[wanted] > SIXTY_DB * max(found[wanted - 1], found[wanted + 1])


@pytest.mark.parametrize(("mechanism", "rows"), [("image", 1), ("half-if", 2)])
def test_a_signal_beside_the_response_puts_none_there(mechanism, rows):
    on_hz = [int(row["response_hz"]) for row in responses().values() if row["mechanism"] == mechanism]
    assert len(on_hz) == rows
    wanted = line(INTERMEDIATE_HZ)
    for signal_hz in on_hz:
        assert lines(signal_hz)[wanted] > SIXTY_DB * lines(signal_hz + MOVED_HZ)[wanted]


def test_the_circuit_is_asked_for_every_response():
    assert set(responses()) == set(RESPONSES)
