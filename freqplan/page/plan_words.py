"""How the keys of a plan are asked for: sections, labels, one line of help, words for each choice."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.page.form_fields import Words

Key = tuple[str, str]
"""Table and attribute of a plan; the table is empty for what stands at its top."""

_SIDES = {
    "high": "above the signal",
    "low": "below the signal",
    "sum": "falls as the dial rises: the IF is their sum",
    "unknown": "not known: both sides are reckoned with",
}
_MIXERS = {
    "measured": "measured: its figures are in the plan",
    "exponential": "exponential: a bipolar transistor or a diode",
    "square-law": "square law: a field-effect transistor",
    "switching": "switching: a ring or a gate",
    "polynomial": "polynomial: its coefficients are in the plan",
    "unknown": "not known",
}
_DECODERS = {
    "none": "none: mono",
    "switching": "switching, nothing ahead of it",
    "filtered": "with a filter ahead of it",
}
_REGIONS = {
    "1": "1: Europe, Africa, northern Asia",
    "2": "2: the Americas",
    "3": "3: the rest of Asia, Oceania",
}

SECTIONS: tuple[tuple[str, bool, Mapping[Key, Words]], ...] = (
    (
        "The set",
        False,
        {
            ("", "title"): Words("Name of the set", "It heads every page."),
            ("", "region"): Words("ITU Region", "By it services are named; left out: 1.", _REGIONS),
        },
    ),
    (
        "Band",
        False,
        {
            ("band", "low_hz"): Words("Low end of the dial", "With its unit."),
            ("band", "high_hz"): Words("High end of the dial", "With its unit."),
            ("band", "raster_hz"): Words(
                "Raster",
                "From one channel to the next; left out: 100 kHz on FM, 9 kHz on medium wave, 5 kHz between.",
            ),
            ("band", "first_channel_hz"): Words("A channel", "Any one of them; left out: the low end."),
            ("band", "modulation"): Words(
                "Modulation", "Left out: FM from 30 MHz upwards.", {"fm": "FM", "am": "AM"}
            ),
            ("band", "deviation_hz"): Words("Peak deviation", "FM only; left out: 75 kHz."),
        },
    ),
    (
        "IF and oscillator",
        False,
        {
            ("conversion", "intermediate_hz"): Words("IF", "The first one, where there are several."),
            ("conversion", "tolerance_hz"): Words(
                "How far the real IF may be off", "Either way; left out: it is taken as exact."
            ),
            ("conversion", "oscillator"): Words(
                "Side of the oscillator", "Of the first one; left out: not known.", _SIDES
            ),
            ("if_filter", "bandwidth_hz"): Words(
                "Width of the IF filter", "Between its -3 dB points; left out: 180 kHz on FM, 9 kHz on AM."
            ),
            ("if_filter", "bandwidth_20db_hz"): Words(
                "The same at -20 dB", "Left out: 16/9 of the width at -3 dB."
            ),
        },
    ),
    (
        "Front end",
        True,
        {
            ("front_end", "circuits_before_rf_stage"): Words("Tuned circuits ahead of the RF stage"),
            ("front_end", "circuits_before_mixer"): Words("Tuned circuits between RF stage and mixer"),
            ("front_end", "loaded_q"): Words("Loaded Q", "Of one circuit as it works in the set."),
            ("front_end", "floor_db"): Words(
                "The most they reject", "There is always leakage past the coils; left out: 80 dB."
            ),
            ("front_end", "gain_db"): Words("Gain from aerial to mixer", "On the tuned frequency."),
        },
    ),
    (
        "Mixer and RF stage",
        True,
        {
            ("mixer", "kind"): Words("Kind of mixer", "It sets the levels of its products.", _MIXERS),
            ("rf_stage", "iip2_dbm"): Words(
                "Second-order intercept point", "Of the RF stage, at its input, two tones."
            ),
            ("rf_stage", "iip3_dbm"): Words(
                "Third-order intercept point", "Of the RF stage, at its input, two tones."
            ),
        },
    ),
    (
        "How far products are followed",
        True,
        {
            ("orders", "signal"): Words("Harmonics of the signal", "Left out: 5; 25 at most."),
            ("orders", "oscillator"): Words("Harmonics of the oscillator", "Left out: 5; 25 at most."),
        },
    ),
    (
        "Dial scale",
        True,
        {
            ("scale", "length_um"): Words(
                "Length of the scale",
                "By a ruler, from one end of the band to the other: for the strip to lay beside it.",
            ),
        },
    ),
    (
        "Stereo decoder",
        True,
        {
            ("stereo", "decoder"): Words(
                "Decoder", "It decides which whistles are heard; left out: with a filter.", _DECODERS
            ),
            ("stereo", "deemphasis_us"): Words("De-emphasis", "Left out: 50 us."),
        },
    ),
)
"""Title, whether it is folded away, and the keys with their words, in the order in which they are asked for."""
