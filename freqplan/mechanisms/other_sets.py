"""What the oscillator of another set does: its harmonics on the dial, on the image or in the IF of this one."""

from __future__ import annotations

import numpy as np

from freqplan.mechanisms.kinds import Family, Mechanism, Sums
from freqplan.mixing import Combinations, Patterns, Tuning

WANTED, IMAGE, IN_THE_IF = WAYS = ("wanted", "image", "if")
"""Ways in which another set's oscillator comes in: on the dial setting, on its image, or straight into the IF."""

OTHER_RECEIVER = Mechanism(
    id="other-receiver",
    title="oscillator of another receiver",
    formula="",
    fingerprint=(
        "A carrier without programme: between stations the noise goes quiet and the meter rises, on a station there is "
        "a whistle. It is there at certain hours only, and moves when somebody tunes another set."
    ),
    check="Have the other set tuned away or switched off: it moves or goes.",
    test=(
        "Tune the other set by one channel: the carrier moves by as much, by twice as much for the second harmonic; "
        "switch the set off: it goes. Tuning the set that is disturbed, a whistle on a station keeps its pitch where "
        "the carrier is on the dial, moves 2 kHz per kHz where it is on the image, and 1 kHz where it is in the IF."
    ),
    cure=(
        "Move the sets or their aerials apart; tune the other set elsewhere; chokes in mains and loudspeaker leads; "
        "shut the screen of the other set's oscillator; give it an RF stage, which keeps the oscillator from its "
        "aerial."
    ),
    caution=(
        "A set without a mains transformer can have a live chassis: move and tune it, but open or connect it only "
        "behind an isolating transformer."
    ),
    source=(
        "the h-th harmonic of another set's oscillator as the signal received: fX = h f'L, exact; that this energy is "
        "radiation, to be kept to the lowest practical value: ITU Radio Regulations 1.138 and 51.2"
    ),
)


def ways_in(victim: Tuning) -> Patterns:
    """Return the (m, n, e) by which a carrier comes in on the dial, on the image and in the IF, in this order."""
    _, n, e = victim.wanted
    one = np.ones(len(WAYS), dtype=np.int64)
    return Patterns(
        one, n=np.array([n, 1, 0], dtype=np.int64), e=np.array([e, -victim.t, -1], dtype=np.int64)
    )


def between(culprit: Tuning, victim: Tuning, harmonics: int) -> Sums:
    """Return every way in which the oscillator of one set comes into another.

    Parameters
    ----------
    culprit : Tuning
        Of the set whose oscillator is heard.
    victim : Tuning
        Of the set that hears it.
    harmonics : int
        Highest harmonic of the culprit's oscillator.

    Returns
    -------
    Sums
        (3 * harmonics,) sums, way by way; fT is the victim's dial and fX stands for the culprit's.  Columns ``way``,
        ``harmonic``, ``tuning_slope`` and ``beat_rate`` (the victim is tuned), ``other_beat_rate`` (the culprit is).
    """
    place = np.repeat(np.arange(len(WAYS)), harmonics)
    harmonic = np.tile(np.arange(1, harmonics + 1, dtype=np.int64), len(WAYS))
    some = ways_in(victim).take(place)
    slope = some.e * some.n * victim.wanted_slope
    combinations = Combinations.of_patterns(victim, some).driven_by(culprit, harmonic)
    columns = {
        "mechanism": np.full(len(place), OTHER_RECEIVER.id, object),
        "culprit_oscillator": np.full(len(place), culprit.side, object),
        "victim_oscillator": np.full(len(place), victim.side, object),
        "way": np.array(WAYS, object)[place],
        "harmonic": harmonic,
        "tuning_slope": slope,
        "beat_rate": np.abs(slope - 1),
        "other_beat_rate": np.abs(combinations.c),
        "level_law": some.m,
    }
    # The fundamental is by far the strongest, and a carrier on the dial needs no fault of the front end.
    return Sums(combinations, columns, order=len(WAYS) * harmonic + place)


FAMILY = Family(mechanisms=(OTHER_RECEIVER,))
