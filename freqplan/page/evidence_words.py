"""How what was observed is asked for: sections, labels, one line of help, words for each choice."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.page.form_fields import Words

SYMPTOM_SECTIONS: tuple[tuple[str, bool, Mapping[str, Words]], ...] = (
    (
        "What is heard, and where",
        False,
        {
            "heard": Words(
                "What is heard?",
                choices={
                    "programme": "another station's programme",
                    "speech": "speech of another service",
                    "whistle": "a whistle on a station",
                    "quiet": "quiet: hiss drops, nothing heard",
                    "noise": "rough noise",
                    "nothing": "nothing: dead, meter low",
                },
            ),
            "dial_hz": Words("Where does the dial stand?", "Where it is loudest, by the scale."),
            "on_station": Words("On which station?", "The one it disturbs, by name or frequency."),
            "programme_of": Words(
                "Whose programme is it?", "Every station recognised in it, by name or frequency."
            ),
        },
    ),
    (
        "Aerial out",
        False,
        {
            "aerial_out": Words(
                "With the aerial out?",
                "Pull the plug; a few centimetres of wire still receive.",
                {"goes": "it goes", "stays": "it stays"},
            ),
        },
    ),
    (
        "Pitch of a whistle",
        False,
        {
            "pitch": Words(
                "What does the pitch do while you tune across?",
                choices={
                    "still": "stands still",
                    "moves": "moves with the tuning",
                    "flicks": "flicks past: only a chirp",
                },
            ),
            "pitch_tuned_up": Words(
                "And when you tune upwards?", choices={"rises": "it rises", "falls": "it falls"}
            ),
        },
    ),
    (
        "Width, tuning meter, AFC",
        False,
        {
            "width": Words(
                "How much of the dial does it take?",
                "Against an ordinary station.",
                {
                    "full": "as much as a station",
                    "half": "half as much",
                    "third": "a third or less",
                    "wide": "several channels",
                },
            ),
            "meter": Words(
                "Which way does the tuning meter swing?",
                choices={"normal": "as on a station", "reversed": "the other way round"},
            ),
            "afc": Words(
                "What does the AFC do?",
                choices={"pulls": "draws the set towards it", "pushes": "pushes the set off it"},
            ),
        },
    ),
    (
        "A pad in the aerial lead",
        False,
        {
            "by_ear": Words(
                "With the pad, against the station?",
                "Softer against the wanted station is better.",
                {"better": "better", "same": "the same", "worse": "worse"},
            ),
            "pad_db": Words("How much does the pad take away?"),
            "fell_db": Words("By how much did the limiter or AGC reading fall?"),
        },
    ),
    (
        "Traps",
        True,
        {
            "notch_stops": Words("A trap for which station stops it?", "By name or frequency."),
            "notch_keeps": Words("A trap for which station makes no difference?", "By name or frequency."),
        },
    ),
    (
        "Other sets",
        True,
        {
            "other_set_off_stops": Words(
                "Does it stop when another set is switched off?", "A neighbour's too."
            ),
            "other_set_dial_hz": Words("Where did that other set stand?", "By its scale."),
            "other_set_too": Words("Does another set in the same place have it too?"),
            "other_input_too": Words(
                "Is it on another input of the amplifier too?", "Gramophone or tape, say."
            ),
        },
    ),
    (
        "Listening closer",
        True,
        {
            "everywhere": Words("Is it there all over the dial?"),
            "single": Words("Is it one programme alone?"),
            "own_place_too": Words("Is the programme at its right place on the dial as well?"),
            "speech_of": Words(
                "Whose speech is it?",
                choices={"aircraft": "aircraft", "amateurs": "amateurs", "other": "others"},
            ),
            "stereo_only": Words("Is it there in stereo only?", "Switch to mono: does it go?"),
            "anti_phase": Words("Is it opposite in left and right?", "It goes when both are added."),
        },
    ),
    (
        "In the course of time",
        True,
        {
            "drifts": Words("Does it drift along the dial?"),
            "warm_up_stops": Words("Does it go, or come, as the set warms up?"),
            "comes_and_goes": Words("Does it come and go?", "By hours, weather or season."),
        },
    ),
    (
        "By instruments",
        True,
        {
            "reading_error_hz": Words(
                "How far may the dial be misread?", "Either way; left out: by one channel."
            ),
            "pitch_khz": Words("How high is the tone, in kHz?", "With the station tuned in."),
            "pitch_rate": Words("How fast does the pitch move?", "In kHz of pitch for one kHz of tuning."),
        },
    ),
)
"""Title, whether it is folded away, and the attributes with their words, in the order in which they are asked for."""

SET_SECTION: tuple[str, bool, Mapping[str, Words]] = (
    "What is known of the set besides its plan",
    True,
    {
        "oscillator": Words(
            "Which side is the oscillator on?",
            "Left out: as the plan says.",
            {
                "high": "above the signal",
                "low": "below the signal",
                "sum": "falling as the dial rises",
                "unknown": "not known, whatever the plan says",
            },
        ),
        "intermediate_hz": Words("What is the real IF?", "Where it is known better than from the plan."),
        "intermediate_known": Words(
            "How is it known?",
            choices={
                "nominal": "printed on the set",
                "dot": "by the filter's colour dot",
                "measured": "measured by a counter",
            },
        ),
        "intermediate_error_hz": Words("How far may that IF be off?", "Either way."),
        "dial_error_hz": Words(
            "How far may the scale be off?", "Either way; left out: 0.2 MHz on FM, a channel on AM."
        ),
    },
)
"""The same for the set, which all disturbances share."""
