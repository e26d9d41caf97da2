"""What one strong signal does to the others without landing anywhere: it takes their gain, or gives its programme."""

from __future__ import annotations

from freqplan.mechanisms.kinds import Family, Mechanism
from freqplan.mechanisms.one_signal import LIVE_CHASSIS

BLOCKING = Mechanism(
    id="blocking",
    title="blocking by a strong station",
    formula="",
    fingerprint=(
        "A dead place, or weak stations that sink into the noise, around a strong station or while it is on the air; "
        "its programme need not be heard there. A pad or a smaller aerial brings the weak ones up out of the noise."
    ),
    check="10 dB pad: the weak stations come up instead of falling. A trap on the strong one brings them back.",
    test=(
        "Put a 10 dB pad in the aerial lead: what was dead comes back. A trap on the strong station does the same, and "
        "so does its pause, if it has one."
    ),
    cure="A pad; a smaller or turned aerial; a trap on the strong station; RF gain down; more selectivity before it.",
    caution=LIVE_CHASSIS,
    source=(
        "the cubic term of a device: the gain left to a weak signal sinks with the square of the strong one, exact for "
        "small ones"
    ),
)
CROSS_MODULATION = Mechanism(
    id="cross-modulation",
    title="cross-modulation by a strong station",
    formula="",
    fingerprint=(
        "On AM the programme of a strong station rides on the carriers of others, over much of the band; between "
        "stations it is not heard, and it stops when the wanted carrier stops. A 10 dB pad takes 20 dB off it, "
        "against the wanted programme. FM carriers have nothing of the kind to take or give."
    ),
    check="10 dB pad: against the wanted programme it falls 20 dB. Tuned beside any carrier it is not there.",
    test=(
        "Tune off the wanted station: the other programme goes with it. Put a 10 dB pad in the aerial lead: against "
        "the wanted programme it falls by 20 dB. A trap on the strong station takes it out."
    ),
    cure=(
        "A pad; a smaller aerial; a trap on the strong station; the right bias of the RF stage; another tuned circuit "
        "before it. If other sets have it too, clean corroded joints near the aerial."
    ),
    caution=LIVE_CHASSIS,
    source=(
        "the cubic term of a device: the depth of modulation carried over grows with the square of the strong signal, "
        "exact for small ones"
    ),
)

FAMILY = Family(mechanisms=(BLOCKING, CROSS_MODULATION))
