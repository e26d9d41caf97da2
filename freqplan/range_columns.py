"""Columns that only the answer about ranges of the IF has."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

RANGE_COLUMNS: Mapping[str, Column] = {
    "low_exact": Column("Exactly from", "text", "The lower end as a ratio of whole hertz."),
    "high_exact": Column("Exactly to", "text", "The upper end as a ratio of whole hertz."),
    "width_hz": Column("Width", "hertz", "How wide the range of IFs is."),
    "forbids_hz": Column("Forbids", "hertz", "Width of the IFs at which the mechanism is in the band."),
    "clear_without_hz": Column(
        "Clear without it",
        "hertz",
        "Width of the IFs that would be clear if the mechanism were not kept out.",
    ),
    "in_band": Column(
        "In band",
        "count",
        "Responses and IF harmonics in the band for some dial setting, at IFs of the range.",
    ),
    "responses": Column(
        "Which",
        "products",
        "Those responses, lowest order first: mechanism with (m,n,e), or k; the first few only where a person reads.",
    ),
}
