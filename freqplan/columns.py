"""What every column of every result means: caption, unit by its kind, and a sentence for the glossary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "text", "count", "sign", "dial", "hertz", "beat", "pitch", "level", "change", "dbuv", "factor", "ratio",
    "names", "notes", "series",
    "span",
]  # fmt: skip


@dataclass(frozen=True)
class Column:
    """What one column of a result means.

    Attributes
    ----------
    caption : str
        Table head, without the unit.
    kind : str
        How a cell is written: a dial setting, a frequency, a beat in kHz, a level in dB, a list of names ...
    meaning : str
        One sentence for the glossary.
    """

    caption: str
    kind: Kind
    meaning: str


COLUMNS: Mapping[str, Column] = {
    "priority": Column("No.", "count", "Place in the list, most worth checking first."),
    "mechanism": Column("Mechanism", "text", "Name of the cause."),
    "oscillator": Column("Osc.", "text", "Side of the oscillator that the row holds for."),
    "k": Column("k", "count", "Harmonic of the IF."),
    "m": Column("m", "count", "Harmonic of the signal."),
    "n": Column("n", "count", "Harmonic of the oscillator; negative in sums."),
    "q": Column(
        "q",
        "sign",
        "How many times the later oscillator, reference or IF that is named is taken beside; negative: taken off.",
    ),
    "e": Column("e", "sign", "Which way round the difference is taken: e(n fL - m fX) = fI."),
    "order": Column(
        "Order",
        "count",
        "Rank while levels are unknown: m + n, or k; 2 + n for clocks, n + q for oscillators, 2 for a second image, "
        "2 + 2q for sidebands; 5 for the oscillator on a station.",
    ),
    "name": Column("Name", "text", "Name of the clock, conversion or oscillators that take part."),
    "sources_hz": Column(
        "Of", "series", "Frequencies of the clock, later oscillators, reference or IF that take part."
    ),
    "lands_on": Column(
        "Lands on",
        "text",
        "dial, image, if (the first IF), if-2 (the second) ..., or other: another response.",
    ),
    "station": Column(
        "Station", "text", "Station that makes the disturbance; of several the one heard best."
    ),
    "station_hz": Column("Its frequency", "hertz", "Carrier of that station."),
    "response_hz": Column(
        "Responds to", "hertz", "Signal frequency that lands on the IF at this dial setting."
    ),
    "low_hz": Column("From", "hertz", "Lower end of the range."),
    "high_hz": Column("To", "hertz", "Upper end of the range."),
    "frequency_hz": Column("Frequency", "hertz", "The frequency to check."),
    "dial_hz": Column("Dial", "dial", "Dial setting at which it falls exactly on the spot."),
    "dial_low_hz": Column("Dial from", "hertz", "Lower end of the part of the dial concerned."),
    "dial_high_hz": Column("Dial to", "hertz", "Upper end of the part of the dial concerned."),
    "channel_hz": Column("Channel", "dial", "Channel nearest to the exact dial setting."),
    "stations": Column("Stations", "names", "Listed stations that take part."),
    "beat_hz": Column(
        "Beat",
        "beat",
        "Distance from the middle of the IF; for an oscillator on a station, from that.",
    ),
    "reach": Column(
        "Reach",
        "text",
        "sits-in: inside the IF filter; bursts-only: its deviation reaches in; empty: it misses on this channel.",
    ),
    "tuning_slope": Column("Slope", "sign", "Movement in the IF while tuning; the wanted station has +1."),
    "beat_rate": Column("Beat rate", "count", "kHz of pitch per kHz of tuning, on a wanted carrier."),
    "level_law": Column("Law", "count", "dB that the product falls per dB of aerial pad."),
    "rejection_db": Column(
        "Rejection", "level", "How much stronger than the wanted signal it must be for equal output."
    ),
    "heard": Column(
        "Heard",
        "text",
        "ghost: its programme; whistle: a tone; noise: rough noise, or bursts of it; nothing; empty: level unknown.",
    ),
    "heard_on_hz": Column(
        "Heard on",
        "hertz",
        "Setting at which it is heard best: a channel, or between stations its exact spot.",
    ),
    "heard_low_hz": Column("Heard from", "hertz", "Lowest setting at which it is heard."),
    "heard_high_hz": Column("Heard to", "hertz", "Highest setting at which it is heard."),
    "wanted": Column("Tuned in", "text", "Listed station heard at that setting; empty: nobody."),
    "level_dbuv": Column(
        "Level",
        "dbuv",
        "Level at the aerial at which a station on that setting would be as strong in the IF.",
    ),
    "ratio_db": Column("Ratio", "level", "Disturbance against the station tuned in, behind the IF filter."),
    "pitch_hz": Column("Pitch", "pitch", "Pitch of the loudest tone at that setting."),
    "loudness_db": Column(
        "Loudness", "level", "Of that tone against full programme, both carriers unmodulated."
    ),
    "protection_margin_db": Column(
        "BS.412 margin",
        "level",
        "By how much the protection ratio of Rec. ITU-R BS.412 is kept; negative: missed.",
    ),
    "margin_db": Column("Margin", "level", "How far it stays below being heard; negative: it is heard."),
    "change_db": Column(
        "Change", "change", "How much louder what is heard becomes, by the level laws; negative: softer."
    ),
    "margin_after_db": Column("Margin after", "level", "The same with the pad or trap."),
    "heard_after": Column("Heard after", "text", "The same with the pad or trap."),
    "offset_hz": Column(
        "Offset", "pitch", "Distance of the unwanted carrier from the wanted one, on either side."
    ),
    "zone": Column(
        "By", "text", "mono: the audio band itself; stereo, switching: beats with the decoder's carriers."
    ),
    "tone_hz": Column("Tone", "pitch", "Frequency in what the demodulator gives, before the stereo decoder."),
    "below_db": Column(
        "Below",
        "level",
        "How much weaker it is than by mixer and front end alone: filters between, sidebands.",
    ),
    "filter_db": Column("IF filter", "level", "What the IF filter takes off the unwanted carrier."),
    "mixer_db": Column("Mixer", "level", "What the mixer adds to the rejection; empty: unknown."),
    "needed_db": Column("Circuits", "level", "What is left for the tuned circuits to do."),
    **{
        f"q_{count}": Column(f"Q with {count}", "ratio", f"Loaded Q of each with {count} tuned circuits.")
        for count in range(1, 5)
    },
    "circuits": Column(
        "Number", "count", "Tuned circuits; in the table of demands those of the plan's Q that are enough."
    ),
    "loaded_q": Column("Loaded Q", "ratio", "Q of each circuit as it works in the set."),
    "bandwidth_hz": Column(
        "Bandwidth", "pitch", "Between the -3 dB points of all circuits, at the low end of the dial."
    ),
    "edge_loss_db": Column(
        "At the edge", "level", "Loss at the edge of the IF filter, at the low end of the dial."
    ),
    "wanted_after": Column(
        "Then tuned in",
        "text",
        "nobody: with the pad or trap the station tuned in has gone down in the noise.",
    ),
    "then_on_hz": Column(
        "Then on",
        "hertz",
        "Setting at which it is heard best with the pad or trap, where that is another one.",
    ),
    "intermediate_hz": Column("IF", "hertz", "Intermediate frequency."),
    "oscillator_low_hz": Column("Osc. from", "hertz", "Lowest oscillator frequency over the dial."),
    "oscillator_high_hz": Column("Osc. to", "hertz", "Highest oscillator frequency over the dial."),
    "oscillator_ratio": Column("Osc. ratio", "factor", "Highest over lowest oscillator frequency."),
    "capacitance_ratio": Column(
        "C ratio", "factor", "Square of it: tuning capacitance ratio, strays included."
    ),
    "image_low_hz": Column("Image from", "hertz", "Lower end of the image range."),
    "image_high_hz": Column("Image to", "hertz", "Upper end of the image range."),
    "in_band_image_dial": Column(
        "Image in band on dial", "span", "Part of the dial whose image lies inside the band."
    ),
    "if_harmonics_hz": Column("IF harmonics", "series", "Harmonics of the IF that fall inside the band."),
    "self_mixing_hz": Column("Self-mixing spots", "series", "Dial settings where a station disturbs itself."),
    "oscillator_in_band_hz": Column(
        "Osc. in band", "hertz", "How much of the oscillator range lies inside the band."
    ),
    "oscillator_in_aeronautical_hz": Column(
        "Osc. in 108-137 MHz", "hertz", "How much of it lies inside 108-137 MHz."
    ),
    "services": Column("On the image", "names", "Who lives in the image range."),
    "radiates_into": Column("Osc. falls on", "names", "Who lives in the oscillator range."),
    "concerns": Column("Concerns", "notes", "What speaks against the choice."),
    "sum": Column("Sum", "text", "The sum behind the row, with its numbers."),
    "title": Column("In words", "text", "Name of the mechanism in a sentence."),
    "formula": Column(
        "Equation",
        "text",
        "What every row of the mechanism fulfils, in fT, fI, fL, fX, m, n, e, k, q; fL2 and fI2: of the second "
        "conversion, s1 and s2: +1 oscillator above, -1 below; fC: the clock, fR: the reference, fS: where it lands.",
    ),
    "fingerprint": Column("How it shows", "text", "What one notices."),
    "test": Column("Test", "text", "What confirms it."),
    "cure": Column("Cure", "text", "What helps, cheapest first."),
    "caution": Column("Caution", "text", "What can hurt while testing."),
    "source": Column("Source", "text", "Where the equation comes from."),
    "kind": Column(
        "Where", "text", "dial: a setting of the set; outside: a frequency to feed in or listen for."
    ),
    "why": Column("Why", "text", "The sum behind it."),
    "what_to_do": Column("What to do", "text", "How to make sure."),
}
"""Every column that a result can have; the order is that of the JSON keys' first use, units follow from the kind."""
