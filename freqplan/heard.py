"""What will be heard along the dial, one line per cause: ghosts of one carrier that stand side by side are one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import TYPE_CHECKING, Any

from freqplan.findings import Findings
from freqplan.mixing import Tuning
from freqplan.words import signal_sum

if TYPE_CHECKING:
    from freqplan.plan import Plan

COLUMNS = (
    "heard_on_hz", "heard_low_hz", "heard_high_hz", "heard", "wanted", "stations", "station_hz", "mechanism",
    "oscillator", "m", "n", "e", "level_dbuv", "rejection_db", "ratio_db", "pitch_hz", "loudness_db",
    "protection_margin_db", "margin_db", "sum",
)  # fmt: skip
DETAILS = (
    "heard_low_hz", "heard_high_hz", "station_hz", "e", "rejection_db", "ratio_db", "protection_margin_db", "sum"
)  # fmt: skip


def heard(plan: Plan, ghosts: Findings) -> Findings:
    """Return what is heard by its level, worst first, one row for each cause.

    Parameters
    ----------
    plan : Plan
        The receiver.
    ghosts : Findings
        Those of the survey, judged by their levels.

    Returns
    -------
    Findings
        The row of a cluster is the ghost that is heard best; ``heard_low_hz, heard_high_hz`` are the ends of the
        whole cluster.
    """
    audible = [row for row in ghosts.rows() if row["margin_db"] is not None and row["margin_db"] < 0]
    found = sorted(_clusters(plan, audible), key=lambda row: (row["margin_db"], row["order"]))
    return Findings.of_rows("Heard by their level, worst first", found, COLUMNS, details=DETAILS)


def _clusters(plan: Plan, rows: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    def carrier(row: Mapping[str, Any]) -> tuple[Any, ...]:
        return (row["oscillator"], row["station_hz"])

    for _, same in groupby(sorted(rows, key=carrier), key=carrier):
        cluster: list[dict[str, Any]] = []
        top = 0
        for row in sorted(same, key=lambda row: (row["heard_low_hz"], row["margin_db"])):
            if cluster and row["heard_low_hz"] > top + plan.band.raster_hz:
                yield _joined(plan, cluster)
                cluster = []
            cluster.append(row)
            top = max(one["heard_high_hz"] for one in cluster)
        yield _joined(plan, cluster)


def _joined(plan: Plan, cluster: list[dict[str, Any]]) -> dict[str, Any]:
    worst = min(cluster, key=lambda row: (row["margin_db"], row["order"]))
    tuning = Tuning(worst["oscillator"], plan.conversion[0].intermediate_hz)
    others = dict.fromkeys(
        f"({row['m']},{row['n']})" for row in cluster if (row["m"], row["n"]) != (worst["m"], worst["n"])
    )
    more = f"; also {' '.join(others)}" if others else ""
    return {
        **worst,
        "heard_low_hz": min(row["heard_low_hz"] for row in cluster),
        "heard_high_hz": max(row["heard_high_hz"] for row in cluster),
        "stations": tuple(dict.fromkeys(row["station"] for row in cluster)),
        "sum": signal_sum(worst, tuning, plan.rounding) + more,
    }
