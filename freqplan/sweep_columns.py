"""Columns that only the answer about many sets and towns has."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

SWEEP_COLUMNS: Mapping[str, Column] = {
    "town": Column("Town", "text", "Where the station list holds."),
    "sets": Column("Sets", "count", "Sets computed."),
    "quiet": Column(
        "Quiet",
        "count",
        "Sets with which no listed station is affected, by what is known of levels; none with the IF in the band, "
        "empty where no level is known.",
    ),
    "quiet_share": Column("Share quiet", "factor", "Quiet sets of all sets computed, 0 to 1."),
    "quiet_towns": Column("Quiet towns", "count", "Towns in which every set is quiet."),
    "affected_mean": Column("Affected, mean", "ratio", "Listed stations affected, over all sets of the row."),
    "affected": Column(
        "Affected",
        "count",
        "Listed stations disturbed or on a harmonic of the IF; of several sets that of the worst.",
    ),
    "disturbed": Column(
        "Disturbed",
        "count",
        "Listed stations with which tuned in something is heard by its level; of several sets that of the worst.",
    ),
    "on_harmonic": Column(
        "On k fI",
        "count",
        "Listed stations within half the IF filter of a harmonic of the IF; of several sets that of the worst.",
    ),
    "unknown": Column(
        "Unknown",
        "count",
        "Listed stations, not affected, on which something of unknown level lands; of several sets that of the worst.",
    ),
    "ghosts": Column("Ghosts", "count", "Ghosts heard anywhere on the dial; of several sets the most."),
    "images": Column("By image", "count", "Those of them that come by the image; of several sets the most."),
    "half_ifs": Column("By half-IF", "count", "Those that come by the half-IF; of several sets the most."),
    "sums": Column(
        "By sums", "count", "Sums of stations heard anywhere on the dial; of several sets the most."
    ),
    "worst_town": Column(
        "Worst in", "text", "The town with most listed stations affected, of equals the first by name."
    ),
    "draw": Column("Draw", "count", "Which set; 0 is the nominal one."),
    "real_hz": Column("Real IF", "hertz", "IF of that set."),
    "detuning_hz": Column("Off tune", "beat", "Where its front end stands, less where the plan has it."),
}
