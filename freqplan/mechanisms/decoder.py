"""What the stereo decoder makes of a station beside the one tuned in.

The sums have nothing of the set in them but the carriers of its decoder, and the levels of the stations decide whether
they matter: they are found where stations stand side by side, in `neighbours`.
"""

from __future__ import annotations

from freqplan.mechanisms.kinds import Family, Mechanism
from freqplan.mechanisms.own_if import OPEN_SET

NEIGHBOUR = Mechanism(
    id="decoder-neighbour",
    title="neighbour in the stereo decoder",
    formula="",
    fingerprint=(
        "A whistle on a station in stereo only, in anti-phase left and right, clean in mono. Its pitch is how far the "
        "distance of a station beside lies from 38 kHz, with a switching decoder also from 114 and 190 kHz; the pilots "
        "make weaker ones from 19 kHz to either side. Tuning does not move it."
    ),
    check="Stereo only: switch to mono, and it goes. Turn the aerial off the neighbour: softer dB for dB.",
    test=(
        "Switch to mono: it goes. Left and right in parallel: it goes too, for it is in anti-phase. Weaken the station "
        "beside by a trap or by turning the aerial: it falls dB for dB."
    ),
    cure=(
        "Mono; the aerial turned away from the neighbour; a narrower IF filter; against neighbours from 80 kHz away, a "
        "roll-off filter (low-pass, 53 kHz) ahead of a switching decoder."
    ),
    caution=OPEN_SET,
    source=(
        "the beat of the distance of two carriers with an odd harmonic of 38 kHz, exact; "
        "pilot-tone system: Rec. ITU-R BS.450, from memory"
    ),
)

FAMILY = Family(mechanisms=(NEIGHBOUR,))
