"""Sets out of adjustment: an oscillator that does not follow the scale, an IF or a detector beside its middle."""

from __future__ import annotations

from freqplan.mechanisms.kinds import Family, Mechanism
from freqplan.mechanisms.own_if import OPEN_SET

WRONG_SIDE = Mechanism(
    id="wrong-side",
    title="oscillator on the wrong side",
    formula="fX = fL - e*fI",
    fingerprint=(
        "Every station in the wrong place, or right at one or two points of the scale and wrong between them, though "
        "each is clear and brings the meter up as it should. The half-IF ghosts of a strong station lie on the other "
        "side of it, and on FM an AFC made for the right side pushes every station away."
    ),
    check="Find the oscillator with a second radio: it is an IF below the station instead of above, or the reverse.",
    test=(
        "With a station tuned in, look for the oscillator with a second radio or a frequency counter: one IF above the "
        "station, or one below? Without either, see on which side of a strong station its half-IF ghost lies."
    ),
    cure=(
        "Line up the oscillator again, trimmer at the top and coil at the bottom of the scale, on the side that the "
        "scale was made for; then the front end. If the coil does not reach it, somebody has changed a part."
    ),
    caution=OPEN_SET,
    source="a station received by what should be its image: fX = fL - e fI with the other e, exact",
)
OSCILLATOR_OFF = Mechanism(
    id="oscillator-off",
    title="oscillator out of step with the scale",
    formula="",
    fingerprint=(
        "Every station in the wrong place, once each and otherwise sound. Off by the same everywhere: pointer or scale "
        "has moved. Off by more and more towards the top: the trimmer; in proportion to the oscillator frequency: the "
        "coil, or its whole capacitance. Far off, a part of the band is missing and images may come in instead."
    ),
    check="Note what the scale reads and what plays, at five places from end to end; freqplan dial finds what is off.",
    test=(
        "Note reading and true frequency of five stations or more, both ends among them, for freqplan dial. Then look "
        "for the oscillator with a second radio: where it is right and the reading is not, only the pointer has moved."
    ),
    cure=(
        "Pointer back on its mark; then the trimmer near the top and the coil near the bottom of the scale, in turn; "
        "last of all another capacitor, of the right value and temperature coefficient, in the oscillator circuit."
    ),
    caution=OPEN_SET,
    source="common practice, no source",
)
IF_OFF_CENTRE = Mechanism(
    id="if-off-centre",
    title="IF off its nominal value",
    formula="fT - fX = s1*(fI - fN)",
    fingerprint=(
        "Every station off by the same, a few hundred kilohertz at most on FM and a few kilohertz on AM: it reads high "
        "where the real IF is high on a high-side set or low on a low-side one. Least noise and least distortion are "
        "not at the same setting, and the noise to the two sides of a station is not alike."
    ),
    check="Find the whistle of an IF harmonic: its frequency over k is the real IF. All readings are off by as much.",
    test=(
        "With a station at its best, measure the oscillator with a counter: what lies between the two is the real IF. "
        "Or find an IF harmonic on a known frequency and divide by k."
    ),
    cure=(
        "Line up the detector to the middle of the filter; where the filter itself is off, fit one of the right rank, "
        "all of one rank where there are several; then the pointer, or the oscillator by as much."
    ),
    caution=OPEN_SET,
    source="the scale was made for the nominal IF fN: fT - fX = s1 (fI - fN) for the station fX at reading fT, exact",
)
DETECTOR_SIDE = Mechanism(
    id="detector-side",
    title="outer slope of the FM detector",
    formula="",
    fingerprint=(
        "On FM each station three times close by: in the middle as it should be, and again on either side, a good half "
        "of the IF filter away, with more noise and distortion, the meter backwards, and an AFC that pushes. Without a "
        "ghost of any other station, and on strong ones most. Where the middle is the poorest, the detector is off."
    ),
    check="Tune slowly across a strong station: three places, and the meter backwards on the two outer ones.",
    test=(
        "Measure the voltage of the detector across a strong station: zero in the middle and a peak on either side. "
        "The outer places lie beyond the peaks, equally far away if detector and IF filter have the same middle."
    ),
    cure=(
        "Tune to the middle one, where the noise is least; muting or AFC where the set has it; line up the detector "
        "to the middle of the IF filter."
    ),
    caution=OPEN_SET,
    source="common practice, no source",
)

FAMILY = Family(mechanisms=(WRONG_SIDE, OSCILLATOR_OFF, IF_OFF_CENTRE, DETECTOR_SIDE))
