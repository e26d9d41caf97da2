"""What no frequency of the set explains: the mains, the amplifier, and whatever nobody has thought of yet."""

from __future__ import annotations

from freqplan.mechanisms.kinds import Family, Mechanism
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.mechanisms.transmitters import SAFETY_SERVICES

MODULATION_HUM = Mechanism(
    id="modulation-hum",
    title="hum on carriers",
    formula="",
    fingerprint=(
        "Hum at the mains rate or twice it on stations only, on AM most, and on strong local ones; none between "
        "stations, and none from another input of the amplifier. It changes when the aerial or its lead is moved, or "
        "when an appliance of the house is unplugged."
    ),
    check="Tune between stations: the hum goes. Move the aerial lead away from mains wiring: it changes.",
    test=(
        "Tune between stations: it goes. Try another aerial, well away from the house: what stays is in the set. "
        "Unplug the other appliances of the house one by one: what stops it holds the rectifier that makes it."
    ),
    cure=(
        "Aerial and its lead away from mains wiring, a screened lead, a better earth; capacitors of a few nanofarads "
        "across the diodes of the rectifier, or from mains to chassis where the maker had one; a choke in the lead; "
        "hum in the oscillator's own supply: its smoothing, or a valve that leaks from heater to cathode."
    ),
    caution=f"{OPEN_SET} Across the mains, or from mains to chassis, only capacitors with the safety rating for it.",
    source="common practice, no source",
)
AUDIO_ONLY = Mechanism(
    id="audio-only",
    title="trouble in the audio part",
    formula="",
    fingerprint=(
        "Hum, buzz, whistle or a programme that is the same at every dial setting and on every band, and on another "
        "input of the amplifier too; neither tuning nor a pad changes it, and with the aerial out it stays."
    ),
    check="Switch to another input of the amplifier: it is there too. Tuning, band and aerial change nothing.",
    test=(
        "Switch to another input: it is there too. Turn down the volume: what stays comes in behind it. Switch off, "
        "take off the lead of one other unit, switch on again, unit by unit: the one that stops it carries it in."
    ),
    cure=(
        "Clean plugs and switches; all units on one mains outlet, against a loop; leads between units short, screened "
        "or wound on a ferrite ring, against a transmitter nearby that the amplifier rectifies; fresh smoothing "
        "capacitors against hum."
    ),
    caution=f"{OPEN_SET} Never lift the protective earth to be rid of a hum.",
    source="common practice, no source",
)
NONE_OF_THESE = Mechanism(
    id="none-of-these",
    title="none of these",
    formula="",
    fingerprint=(
        "Nothing in the catalogue fits all that was noted: a cause that it does not hold, two causes at once, or a "
        "mistaken note. Sparks and switch-mode supplies, which hiss or buzz over wide ranges, are among these."
    ),
    check="Aerial out, another set on that aerial, 10 dB pad: in the set, on the lead, or on the air?",
    test=(
        "Take one disturbance alone and note it afresh: aerial out; another set on the same aerial; another input; by "
        "how much a 10 dB pad lowers it; width, meter and pitch on tuning; at what hours. Then measure the real IF and "
        "the oscillator, and add strong stations of other bands to the list."
    ),
    cure=(
        "None before the cause is known. Switch off the other appliances of the house in turn: what stops it is "
        "the culprit. Then line up the set, which takes out the commonest causes, and note it all again."
    ),
    caution=f"{OPEN_SET} {SAFETY_SERVICES}",
    source="common practice, no source",
)

FAMILY = Family(mechanisms=(MODULATION_HUM, AUDIO_ONLY, NONE_OF_THESE))
