"""What a pad or a trap changes in sums of stations: each falls by what its stations lose, as often as it takes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, TypeAlias

from freqplan.changes import COLUMNS, DETAILS, NOBODY, Trial
from freqplan.findings import Findings
from freqplan.hearing import NOTHING
from freqplan.mechanisms.several_signals import IF_SPACED_PAIR, THIRD_ORDER_OUTSIDE
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.hertz import Int64
    from freqplan.plan import Plan
    from freqplan.stations import StationList

Station: TypeAlias = tuple[str, int]
"""Name and carrier [Hz]: relays of one programme share a name."""


def product_changes(
    plan: Plan, stations: StationList, trial: Trial, *, before: Findings, after: Findings
) -> Findings:
    """Return what a trial changes in the sums of stations that are heard before or after, and in pairs one IF apart.

    Parameters
    ----------
    plan, stations, trial
        As for `changes.changes`.
    before, after : Findings
        The products of the survey without the trial, and with it.

    Returns
    -------
    Findings
        The columns of `changes.changes`.  A sum that is not among those listed with the trial is not heard then.
    """
    found = [row for row in _changed(plan, stations, trial, before, after) if row["change_db"] != 0]
    return Findings.of_rows(
        "What the pad or trap changes in sums of stations", found, COLUMNS, details=DETAILS
    )


def _changed(
    plan: Plan, stations: StationList, trial: Trial, before: Findings, after: Findings
) -> Iterator[dict[str, Any]]:
    then = {_key(row): row for row in after.rows()}
    first = {_key(row): row for row in before.rows()}
    lost = _losses(plan, stations, trial)
    for key in first | then:
        old, new = first.get(key), then.get(key)
        row = old or new
        if row is None or row["mechanism"] == THIRD_ORDER_OUTSIDE.id:
            continue
        if _is_heard(old) or _is_heard(new) or row["mechanism"] == IF_SPACED_PAIR.id:
            yield _row(row, old, new, lost)


def _row(
    row: Mapping[str, Any],
    old: Mapping[str, Any] | None,
    new: Mapping[str, Any] | None,
    lost: Mapping[Station, float],
) -> dict[str, Any]:
    counts = [abs(count) for count in TIMES[row["kind"]]]
    fall = sum(
        count * lost[who]
        for count, who in zip(counts, zip(row["stations"], row["stations_hz"], strict=True), strict=True)
    )
    own = lost[_tuned_in(row, lost)] if row["wanted"] is not None else 0.0
    moved = None if new is None or old is None else new["heard_on_hz"]
    gone = old is not None and new is not None and old["wanted"] is not None and new["wanted"] is None
    judged = row["margin_db"] is not None
    return {
        **row,
        "station": ", ".join(row["stations"]),
        "station_hz": None,
        "k": None,
        "m": None,
        "heard": old["heard"] if old else NOTHING,
        "margin_db": old["margin_db"] if old else None,
        "change_db": own - fall,
        "margin_after_db": new["margin_db"] if new else None,
        "heard_after": new["heard"] if new else NOTHING if judged else None,
        "then_on_hz": moved if moved != row["heard_on_hz"] else None,
        "wanted_after": NOBODY if gone else None,
    }


def _losses(plan: Plan, stations: StationList, trial: Trial) -> dict[Station, float]:
    """Return what each station loses [dB]."""
    hertz: Int64 = stations.frequency_hz
    loss = trial.loss_db(plan, hertz).tolist()
    return dict(zip(zip(stations.names, hertz.tolist(), strict=True), loss, strict=True))


def _tuned_in(row: Mapping[str, Any], lost: Mapping[Station, float]) -> Station:
    """Return the station tuned in: of several of one name, as relays have it, the one next to the setting."""
    same = [who for who in lost if who[0] == row["wanted"]]
    return min(same, key=lambda who: abs(who[1] - row["heard_on_hz"]))


def _key(row: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(
        row[name] for name in ("mechanism", "oscillator", "kind", "stations", "stations_hz", "n", "e")
    )


def _is_heard(row: Mapping[str, Any] | None) -> bool:
    return row is not None and row["margin_db"] is not None and row["margin_db"] < 0
