"""What is really on the air at the dial setting, and what reaches the aerial by several ways: the set is sound."""

from __future__ import annotations

from freqplan.mechanisms.kinds import Family, Mechanism

SAFETY_SERVICES = (
    "Where a safety service may be disturbed: stop, log time and frequency, report it to the authority."
)

SECOND_TRANSMITTER = Mechanism(
    id="second-transmitter",
    title="second transmitter of the programme",
    formula="",
    fingerprint=(
        "The programme a second time, full width, with the meter the right way round, and cleanly: a relay or another "
        "transmitter really sends it there. Other sets have it in the same place, and a pad takes off just its dB."
    ),
    check="Another set, of another IF or on the other side, has it in the same place. 10 dB pad: falls 10 dB.",
    test=(
        "Look for it on another set, best of another IF: it is in the same place. Turn the aerial: it is strongest "
        "from another direction. A trap on the programme's other frequency leaves it as it is."
    ),
    cure="None is needed: tune to the better of the two, and put its transmitter into the list of stations.",
    source="common practice, no source",
)
CO_CHANNEL = Mechanism(
    id="co-channel",
    title="two stations on one frequency",
    formula="",
    fingerprint=(
        "A second programme behind the wanted one or in its place, in bursts on FM, with a flutter or a low growl on "
        "AM; it comes and goes with the weather, on medium wave with the night; other sets have it too."
    ),
    check="Turn the aerial: now the one, now the other. Another set has both; another day it is gone.",
    test=(
        "Turn the aerial: one grows and the other falls. Another set in the same place has both. Log it for some days: "
        "it comes with settled weather, and on AM after sunset."
    ),
    cure=(
        "Turn the aerial so that the unwanted station is where it hears least; a more directive aerial; another "
        "frequency of the same programme. It passes with the weather; if it stays, report it to the broadcaster."
    ),
    source="common practice, no source",
)
TRANSMITTER_HARMONIC = Mechanism(
    id="transmitter-harmonic",
    title="harmonic radiated by a transmitter",
    formula="fT = m*fX",
    fingerprint=(
        "A strong station nearby where its m-th harmonic is the dial setting, full width on the dial and with the "
        "meter the right way round, like a harmonic of the signal made in the set; but a pad takes off just its dB, "
        "and other sets have it too."
    ),
    check="10 dB pad: falls 10 dB only, and another set has it too. A trap on the station leaves it as it is.",
    test=(
        "Put a pad in the aerial lead: it falls by just its dB, where a harmonic made in the set falls by m times as "
        "much. A trap on the station itself changes nothing. Another set on another aerial has it in the same place."
    ),
    cure=(
        "Nothing helps at the set but an aerial turned away from it: log time and frequency and report it to the "
        "operator of the transmitter or to the authority."
    ),
    caution=SAFETY_SERVICES,
    source="the m-th harmonic of a carrier on the dial setting: fT = m fX, exact",
)
MULTIPATH = Mechanism(
    id="multipath",
    title="reception by several paths",
    formula="",
    fingerprint=(
        "A strong station with rough, spitting s sounds and distortion in loud passages, worst in stereo, milder in "
        "mono; the signal meter flickers with the programme. It changes when the aerial is turned or somebody walks "
        "by, and flutters with aircraft. On AM, distortion that fades in and out after sunset."
    ),
    check="Turn or move the aerial by a metre or two: it changes. Mono: milder. Other stations may be clean.",
    test=(
        "Turn or move the aerial: it changes much more than the strength does. Switch to mono: it is milder. A pad "
        "changes nothing, and neither does lining up."
    ),
    cure=(
        "Turn or move the aerial, best to where the distortion is least rather than the signal strongest; mono; a more "
        "directive aerial, outdoors and clear of metal; a cable that is matched at its ends."
    ),
    source="common practice, no source",
)

FAMILY = Family(mechanisms=(SECOND_TRANSMITTER, CO_CHANNEL, TRANSMITTER_HARMONIC, MULTIPATH))
