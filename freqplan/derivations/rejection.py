"""What keeps a signal out: the tuned circuits, and with the mixer the rejection of a response."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import isnan
from typing import TYPE_CHECKING, Any

import numpy as np
import sympy

from freqplan.derivations.notation import lg
from freqplan.derivations.signs import fT, fX, m, n, signs
from freqplan.derivations.steps import Case, Step
from freqplan.mixers import reference_dbuv, suppressions_db
from freqplan.plan_reading import hertz_text
from freqplan.preselectors import preselector, tuned_circuits_db

if TYPE_CHECKING:
    from freqplan.plan import FrontEnd

y, Q, N, L, LT, K, X, P0, PW, GA = signs("y Q N L LT K X P0 PW GA")

LINEAR = (
    "To be as strong behind the mixer as the station it must make up for what the mixer makes less of it, and "
    "for what "
    "the circuits take off it, less what they take off the station:"
)
CURVED = (
    "At its reference level the mixer makes X dB less of it, and m - 1 dB less still for each dB that a signal "
    "is weaker "
    "there; but for each dB that it is stronger at the aerial, the product grows by m. For equal output it must be "
    "stronger than the station by:"
)


def kept_out(case: Case, signal: sympy.Symbol = fX) -> Iterator[Step]:
    """Yield what the tuned circuits before the mixer take off the signal, where the plan tells of them."""
    own, dial_hz = case.plan.front_end, case.values[fT]
    if own is None or own.response is not None or not own.loaded_q or case.values[signal] == dial_hz:
        return
    count = own.circuits_before_rf_stage + own.circuits_before_mixer
    if count == 0:
        return
    tuned_hz = float(dial_hz) + own.detuning_hz
    signal_hz = float(case.values[signal])
    on_tune = Fraction(dial_hz) + own.detuning_hz
    detuned = case.values[signal] / on_tune - on_tune / case.values[signal]
    loss = float(
        tuned_circuits_db(
            np.array([signal_hz], np.float64), np.array([tuned_hz], np.float64), count, own.loaded_q
        )[0]
    )
    values: dict[Any, Any] = case.having(y=detuned, Q=own.loaded_q, N=count, L=loss)
    values |= {fT: on_tune, fX: case.values[signal]}
    aside = f" (tuned {hertz_text(own.detuning_hz)} beside the dial)" if own.detuning_hz else ""
    yield Step(
        f"The front end has tuned circuits on the dial setting{aside}. How far they are off tune for it:",
        sympy.Eq(y, fX / fT - fT / fX),
        values,
    )
    floor = f"; leakage past the coils leaves no more than {own.floor_db:g} dB" if loss > own.floor_db else ""
    yield Step(
        "Each takes off sqrt(1 + Q^2 y^2), which is in dB, for all of them" + floor + ":",
        sympy.Eq(L, 10 * N * lg(1 + Q**2 * y**2)),
        values,
    )


def rejected(case: Case) -> Iterator[Step]:
    """Yield how much stronger than the wanted station a signal must be for equal output, where the plan tells."""
    own, select = case.plan.front_end, preselector(case.plan)
    if own is None or select is None or case.values[fX] == case.values[fT]:
        return
    dial, signal, law = float(case.values[fT]), float(case.values[fX]), int(case.values[m])
    lost, on_tune = (float(select.loss_db(hertz, dial)) for hertz in (signal, dial))
    below = float(suppressions_db(case.plan.mixer, np.array([law]), np.array([case.values[n]]))[0])
    values = case.having(L=lost, LT=on_tune, X=below)
    if law == 1:
        rejection, told = X + L - LT, LINEAR
    else:
        rejection, told = (X + (m - 1) * (P0 - PW - GA)) / m + L - LT / m, CURVED
        values |= _driven(case, own)
    given = {sign: values[sign] for sign in rejection.free_symbols}
    values[K] = float(rejection.subs(given))
    if not isnan(values[K]):
        yield Step(told, sympy.Eq(K, rejection), values)


def _driven(case: Case, own: FrontEnd) -> dict[sympy.Symbol, Any]:
    """Return the reference level of the mixer, the level of the wanted station, and the gain to the mixer."""
    return {
        P0: reference_dbuv(case.plan.mixer, own.impedance_ohm),
        PW: case.row.get("against_dbuv", own.wanted_dbuv),
        GA: float("nan") if own.gain_db is None else own.gain_db,
    }
