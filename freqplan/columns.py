"""What every column of every result means: caption, unit by its kind, and a sentence for the glossary."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column
from freqplan.compare_columns import CHOICE_COLUMNS
from freqplan.diagnosis_columns import DIAGNOSIS_COLUMNS
from freqplan.dial_columns import DIAL_COLUMNS
from freqplan.lesson_columns import LESSON_COLUMNS
from freqplan.range_columns import RANGE_COLUMNS
from freqplan.sweep_columns import SWEEP_COLUMNS
from freqplan.terms import TERM_COLUMNS

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
        "dial, image, half-if, if (the first IF), if-2 (the second) ..., or other: another response.",
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
    "frequency_hz": Column("Frequency", "hertz", "The frequency to check; of a product the sum itself."),
    "dial_hz": Column("Dial", "dial", "Dial setting at which it falls exactly on the spot."),
    "dial_low_hz": Column("Dial from", "hertz", "Lower end of the part of the dial concerned."),
    "dial_high_hz": Column("Dial to", "hertz", "Upper end of the part of the dial concerned."),
    "channel_hz": Column("Channel", "dial", "Channel nearest to the exact dial setting."),
    "stations_hz": Column("Their frequencies", "series", "Carriers of those stations, in the same order."),
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
    "decoder_hz": Column("Against", "pitch", "Carrier of the stereo decoder that it beats with."),
    "line": Column(
        "Line",
        "text",
        "carrier: of the station beside itself; pilot: 19 kHz from it, by the pilots of both stations.",
    ),
    "tone_hz": Column("Tone", "pitch", "Frequency in what the demodulator gives, before the stereo decoder."),
    "below_db": Column(
        "Below",
        "level",
        "How much weaker it is than by mixer and front end alone: filters between, sidebands.",
    ),
    "filter_db": Column("IF filter", "level", "What the IF filter takes off the unwanted carrier."),
    "mixer_db": Column("Mixer", "level", "What the mixer adds to the rejection; empty: unknown."),
    "needed_db": Column("By circuits", "level", "What is left for the tuned circuits to do."),
    **{
        f"q_{count}": Column(f"Q with {count}", "ratio", f"Loaded Q of each with {count} tuned circuits.")
        for count in range(1, 5)
    },
    "circuits": Column(
        "Circuits", "count", "Tuned circuits; in the table of demands those of the plan's Q that are enough."
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
    "set": Column("Set", "text", "The set whose oscillator it is, or the first of two."),
    "radio": Column("Radio", "text", "The set to listen with."),
    "other_set": Column("Other set", "text", "The second of two sets."),
    "culprit": Column("Culprit", "text", "The set whose oscillator disturbs."),
    "victim": Column("Victim", "text", "The set that is disturbed."),
    "way": Column(
        "Way",
        "text",
        "wanted: on the dial setting; image: on its image; if: straight into the IF, all over the dial.",
    ),
    "harmonic": Column("h", "count", "Which harmonic of the oscillator; 1 is the oscillator itself."),
    "ways": Column(
        "Ways",
        "text",
        "How the first set disturbs the other / the other the first; with the harmonic from 2 on.",
    ),
    "back_way": Column("Back", "text", "The same, in which the other set disturbs the first."),
    "back_harmonic": Column("h back", "count", "Which harmonic of the other set's oscillator."),
    "culprit_oscillator": Column("Osc.", "text", "Side of the culprit's oscillator that the row holds for."),
    "victim_oscillator": Column("There", "text", "Side of the victim's oscillator that the row holds for."),
    "other_oscillator": Column("Other", "text", "Side of the other set's oscillator that the row holds for."),
    "together": Column(
        "Meet",
        "text",
        "point: one setting of both dials; line: the dials run along; area: any settings of the parts.",
    ),
    "culprit_dial_low_hz": Column("Culprit from", "hertz", "Lower end of the part of the culprit's dial."),
    "culprit_dial_high_hz": Column("Culprit to", "hertz", "Upper end of the part of the culprit's dial."),
    "victim_dial_low_hz": Column("Victim from", "hertz", "Lower end of the part of the victim's dial."),
    "victim_dial_high_hz": Column("Victim to", "hertz", "Upper end of the part of the victim's dial."),
    "victim_at_low_hz": Column(
        "Victim at low end",
        "hertz",
        "The victim's dial when the culprit's is at the lower end; empty: anywhere.",
    ),
    "victim_at_high_hz": Column(
        "Victim at high end",
        "hertz",
        "The victim's dial when the culprit's is at the upper end; empty: anywhere.",
    ),
    "other_dial_low_hz": Column("Other from", "hertz", "Lower end of the part of the other set's dial."),
    "other_dial_high_hz": Column("Other to", "hertz", "Upper end of the part of the other set's dial."),
    "other_at_low_hz": Column(
        "Other at low end", "hertz", "The other dial when the first is at its lower end; empty: anywhere."
    ),
    "other_at_high_hz": Column(
        "Other at high end", "hertz", "The other dial when the first is at its upper end; empty: anywhere."
    ),
    "other_beat_rate": Column(
        "Other's rate", "count", "kHz of pitch per kHz by which the culprit is tuned, on a wanted carrier."
    ),
    "set_dial_hz": Column("Set on", "hertz", "Dial setting of the set whose oscillator is listened to."),
    "listen_hz": Column("Listen on", "hertz", "Dial setting of the radio on which it is heard."),
    "culprit_station": Column("Culprit on", "text", "Listed station that the culprit is tuned to."),
    "culprit_station_hz": Column("At", "hertz", "Carrier of the station that the culprit is tuned to."),
    "victim_station": Column("Victim on", "text", "Listed station that the victim is tuned to."),
    "victim_station_hz": Column("There at", "hertz", "Carrier of the station that the victim is tuned to."),
    "service": Column("Service", "text", "Safety service on which the oscillator falls."),
    "then_on_hz": Column(
        "Then on",
        "hertz",
        "Setting at which it is heard best with the pad or trap, where that is another one.",
    ),
    "difference_hz": Column("Apart", "hertz", "Higher less lower of two stations."),
    "everywhere": Column(
        "All over", "text", "The difference of two stations, near the IF: both are heard on every setting."
    ),
    "oscillator_on_hz": Column(
        "Osc. on", "hertz", "Carrier of the pair that the set's own oscillator falls on at that setting."
    ),
    "own_oscillator": Column(
        "Own osc.", "text", "Every setting at which the set's own oscillator stands on one of the two."
    ),
    "other_sets_hz": Column(
        "Other set on",
        "series",
        "Station of the two on which another set of the same kind nearby has its oscillator on the other one.",
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
    "services": Column("Lives there", "names", "Who lives in the image range, or where a response lies."),
    "radiates_into": Column("Osc. falls on", "names", "Who lives in the oscillator range."),
    "concerns": Column("Concerns", "notes", "What speaks against the choice."),
    "sum": Column("Sum", "text", "The sum behind the row, with its numbers."),
    "title": Column("In words", "text", "Name of the mechanism in a sentence."),
    "formula": Column(
        "Equation",
        "text",
        "What every row of the mechanism fulfils, in fT, fI, fL, fX, m, n, e, k, q; fL2 and fI2: of the second "
        "conversion, s1 and s2: +1 oscillator above, -1 below; fC: the clock, fR: the reference, fS: where it lands; "
        "fN: the nominal IF.",
    ),
    "fingerprint": Column("How it shows", "text", "What one notices."),
    "test": Column("Test", "text", "What confirms it."),
    "cure": Column("Cure", "text", "What helps, cheapest first."),
    "caution": Column("Caution", "text", "What can hurt while testing."),
    "source": Column("Source", "text", "Where the equation comes from."),
    "kind": Column(
        "Kind",
        "text",
        "In the list to check dial, a setting of the set, or outside, a frequency to feed in or listen for; of a "
        "product its sum; of dial readings what explains them.",
    ),
    "why": Column("Why", "text", "The sum behind it."),
    "what_to_do": Column("What to do", "text", "How to make sure."),
    **DIAGNOSIS_COLUMNS,
    **DIAL_COLUMNS,
    **LESSON_COLUMNS,
    **RANGE_COLUMNS,
    **CHOICE_COLUMNS,
    **TERM_COLUMNS,
    **SWEEP_COLUMNS,
}
"""Every column that a result can have; the order is that of the JSON keys' first use, units follow from the kind."""
