"""How likely each observation is under each cause: tables in plain view, apart from the program's own.

Common practice, no source: they say how people report, not how sets work.
"""

from __future__ import annotations

import numpy as np
from bench_rows import KINDS
from bench_sums import MECHANISMS

from freqplan.diagnosis.priors import NONE

HEARD = ("programme", "speech", "whistle", "quiet", "noise", "nothing")

# Where nobody is tuned in; on a station with an audible beat; on a station without one.
_SHOWS = {
    "programme": ((85, 2, 2, 3, 8, 0), (27, 2, 62, 0, 9, 0), (52, 2, 4, 0, 42, 0)),
    "unlisted": ((80, 6, 2, 3, 9, 0), (25, 4, 62, 0, 9, 0), (48, 6, 4, 0, 42, 0)),
    "other": ((4, 78, 2, 4, 12, 0), (2, 42, 38, 0, 18, 0), (3, 52, 5, 0, 40, 0)),
    "aircraft": ((1, 90, 0, 4, 5, 0), (1, 50, 36, 0, 13, 0), (1, 60, 5, 0, 34, 0)),
    "amateurs": ((1, 84, 3, 4, 8, 0), (1, 46, 38, 0, 15, 0), (1, 56, 6, 0, 37, 0)),
    "beacon": ((0, 3, 25, 52, 20, 0), (0, 2, 76, 4, 18, 0), (0, 3, 10, 25, 62, 0)),
    "digital": ((0, 1, 0, 3, 92, 4), (0, 1, 6, 0, 91, 2), (0, 1, 3, 0, 92, 4)),
    "carrier": ((1, 1, 8, 74, 13, 3), (0, 0, 89, 4, 7, 0), (1, 0, 8, 24, 52, 15)),
    "dead": ((8, 0, 2, 12, 18, 60), (8, 0, 4, 8, 22, 58), (8, 0, 4, 8, 22, 58)),
    "tone": ((0, 0, 90, 2, 8, 0), (0, 0, 90, 2, 8, 0), (1, 0, 45, 2, 52, 0)),
    "rough": ((35, 0, 2, 1, 60, 2), (35, 0, 2, 1, 60, 2), (35, 0, 2, 1, 60, 2)),
    "hum": ((4, 0, 36, 2, 58, 0), (4, 0, 36, 2, 58, 0), (4, 0, 36, 2, 58, 0)),
    "audio": ((26, 22, 14, 0, 38, 0), (26, 22, 14, 0, 38, 0), (26, 22, 14, 0, 38, 0)),
    "any": ((1, 1, 1, 1, 1, 1),) * 3,
}
SHOWS = np.array([_SHOWS[kind] for kind in KINDS], dtype=float)
SHOWS /= SHOWS.sum(axis=2, keepdims=True)


def _by_mechanism(usual, **others):
    """One probability for each mechanism; a coin for the one that is none of them."""
    named = {name.replace("_", "-"): value for name, value in others.items()} | {NONE: 0.5}
    return np.array([named.get(mechanism, usual) for mechanism in MECHANISMS])


STAYS = _by_mechanism(
    0.04, if_breakthrough=0.15, if_harmonic=0.08, if_oscillation=0.85, oscillator_in_if=0.95,
    other_receiver=0.15, internal_clock=0.93, reference_ripple=0.6, if_off_centre=0.1,
    oscillator_product=0.95, audio_only=0.95, modulation_hum=0.2,
)  # fmt: skip

TRUE = {
    "other_set_too": _by_mechanism(
        0.08, third_order=0.2, third_order_outside=0.92, second_transmitter=0.95, co_channel=0.92,
        transmitter_harmonic=0.92, multipath=0.5, other_receiver=0.3, audio_only=0.1, blocking=0.35,
        cross_modulation=0.35, decoder_neighbour=0.4, if_breakthrough=0.15, image=0.12,
    ),
    "other_set_off_stops": _by_mechanism(0.02, other_receiver=0.93),
    "other_input_too": _by_mechanism(0.015, audio_only=0.96),
    "drifts": _by_mechanism(0.1, oscillator_off=0.6, other_receiver=0.5, if_oscillation=0.4),
    "warm_up_stops": _by_mechanism(0.04, oscillator_off=0.5, if_oscillation=0.4, if_off_centre=0.2, internal_clock=0.1),
    "comes_and_goes": _by_mechanism(
        0.08, co_channel=0.8, second_transmitter=0.25, other_receiver=0.7, third_order_outside=0.5,
        multipath=0.3, if_breakthrough=0.4, image=0.15, blocking=0.15, transmitter_harmonic=0.15,
    ),
}  # fmt: skip
"""That a yes or no is answered with yes."""

STEREO = _by_mechanism(0.06, decoder_neighbour=0.95, reference_ripple=0.9, multipath=0.5)
ANTI_PHASE = _by_mechanism(0.1, decoder_neighbour=0.85, reference_ripple=0.7)
REVERSED = _by_mechanism(-1, detector_side=0.9)
"""Of those that have an answer of their own, whatever the tuning slope; -1 for the others."""

NOT_AT_HOME = _by_mechanism(0, wrong_side=1, oscillator_off=1)
"""Where a programme is heard away from its place and not at it."""

EVERYWHERE = np.array([0.015, 0.82, 0.35])
"""For one place, all over the dial, several stations."""

WIDTH = np.array(
    [
        [0.25, 0.25, 0.25, 0.25], [0.83, 0.11, 0.03, 0.03], [0.09, 0.82, 0.07, 0.02],
        [0.03, 0.14, 0.81, 0.02], [0.14, 0.03, 0.01, 0.82],
    ]
)  # fmt: skip
"""full, half, third, wide as seen, by what it is: nothing to see, full, half, third, wide."""

PITCH = np.array([[0.85, 0.13, 0.02], [0.1, 0.75, 0.15], [0.03, 0.22, 0.75]])
"""still, moves, flicks for R of 0, 1 to 2, 3 and more."""

SPEECH_OF = np.array([[1 / 3] * 3, [0.93, 0.02, 0.05], [0.02, 0.9, 0.08], [0.05, 0.07, 0.88]])
"""aircraft, amateurs, other as recognised, by who it is: nobody's, aircraft, amateurs, other."""

PRESENT = {
    "aerial_out": 0.6, "width": 0.4, "meter": 0.35, "afc": 0.1, "pad": 0.35, "by_ear": 0.2, "pitch": 0.5,
    "pitch_khz": 0.15, "pitch_tuned_up": 0.1, "pitch_rate": 0.15, "programme_of": 0.8, "single": 0.2,
    "notch": 0.1, "other_set_off_stops": 0.15, "other_set_too": 0.3, "other_input_too": 0.15,
    "stereo_only": 0.3, "anti_phase": 0.05, "drifts": 0.15, "own_place_too": 0.3, "speech_of": 0.5,
    "warm_up_stops": 0.08, "comes_and_goes": 0.1, "on_station": 0.7,
}  # fmt: skip
"""How often somebody reports it, where it can be reported at all."""

WRONG, WRONG_HEARD = 0.08, 0.2
"""One of the categories simply wrong; how often it is what was heard."""
