"""Columns that only the comparison of oscillator sides and IFs has."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

CHOICE_COLUMNS: Mapping[str, Column] = {
    "half_if_near_dial": Column(
        "Half-IF near, in band",
        "span",
        "Part of the dial on which a station of the band comes in by half-IF with the meter acting normally: half an "
        "IF away, in a sum converter on half the IF less the dial.",
    ),
    "half_if_far_dial": Column(
        "Half-IF far, in band",
        "span",
        "The same with the meter acting backwards: one and a half IFs away, in a sum converter on that less the dial.",
    ),
    "fractional_if_dial": Column(
        "Fractional IF, in band",
        "spans",
        "Parts of the dial on which a station of the band comes in by (n, n) with n from 3 up to the orders asked for.",
    ),
    "harmonics_fall_on": Column(
        "Osc. harmonics on",
        "names",
        "Who lives where the 2nd and higher harmonics of the oscillator fall, up to the orders asked for; safety "
        "services first.",
    ),
    "harmonics_on_safety": Column(
        "Osc. harmonics on safety", "names", "Those of them on which lives may depend."
    ),
    "on_safety_hz": Column(
        "On safety", "hertz", "How much of that range lies on services on which lives may depend."
    ),
    "needed_rejection_db": Column(
        "Image: needed",
        "level",
        "What the circuits must take off the image so that it is not heard on the usual wanted station; the image as "
        "strong as that station, or as the strongest one there whose level is listed.",
    ),
    "image_rejection_db": Column(
        "Image: given", "level", "What the plan's own front end takes off at the worst dial setting."
    ),
    "heard_ghosts": Column(
        "Ghosts heard",
        "count",
        "Causes whose programme is heard by its level: a listed station in the wrong place, or a setting with sums and "
        "differences of two.",
    ),
    "heard_whistles": Column("Whistles heard", "count", "The same with a tone."),
    "heard_noise": Column("Noise heard", "count", "The same with rough noise or bursts."),
    "heard_unknown": Column(
        "Level unknown", "count", "Ghosts and sums of two of which nobody can tell whether they are heard."
    ),
    "worst": Column("Worst", "text", "What is heard best of all."),
    "worst_on_hz": Column("Worst on", "hertz", "Dial setting at which that is heard best."),
    "worst_margin_db": Column(
        "Its margin", "level", "How far it is above being heard, as a negative number."
    ),
    "place": Column(
        "Place",
        "count",
        "Place in the ranking by the weights or the goal given, 1 first; equal ones share one.",
    ),
    "score": Column("Score", "factor", "Sum of what the terms add; less is better."),
}
