"""One oscillator side with one IF: what of the band it lets in, where its harmonics fall, what is heard with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.ghosts import by_margin, ghosts
from freqplan.heard import heard
from freqplan.hearing import GHOST, NOISE, WHISTLE, broadcast_signals, judged
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import Family, Sums, one_signal, several_signals
from freqplan.mixing import Tuning
from freqplan.oscillators import oscillator_range
from freqplan.product_lines import heard_products
from freqplan.products import products
from freqplan.reception import Wanted
from freqplan.responses import MOST_SETTINGS, responses
from freqplan.services import names_of, safety_ranges_hz, services_in
from freqplan.spans import Span, merged, shared
from freqplan.station_sums import order_of

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

FROM_THE_BAND = (one_signal.IMAGE.id, one_signal.HALF_IF.id, one_signal.FRACTIONAL_IF.id)
HALF_IF_ORDER = 2
SECOND_ORDER = 2
FAR_BELOW_DB = 200.0
"""Below the wanted station a margin falls dB for dB, so that one weak signal tells at which level it is heard."""


def _sums_of_pairs(plan: Plan, tuning: Tuning) -> Sums:
    every = several_signals.receptions(plan, tuning)
    return every.take(np.array([order_of(kind) == SECOND_ORDER for kind in every.array("kind")]))


PAIRS = Family(several_signals.FAMILY.mechanisms, station_sums=_sums_of_pairs)
"""Sums and differences of two stations: how they come in depends on side and IF, unlike 2A - B on the dial itself."""


@dataclass(frozen=True)
class Choice:
    """One (IF, side) that is possible.

    Attributes
    ----------
    plan : Plan
        The receiver with this side and IF.
    tuning : Tuning
        The side and IF.
    stations : StationList or None
        Who is on the air.
    """

    plan: Plan
    tuning: Tuning
    stations: StationList | None = None

    @property
    def naming(self) -> dict[str, Any]:
        """Return what tells the choice from the others."""
        return {"intermediate_hz": self.tuning.intermediate_hz, "oscillator": self.tuning.side}

    @cached_property
    def _received(self) -> list[dict[str, Any]]:
        # Half-IF is asked about whatever the plan's limit, as IF harmonics are.
        most = self.plan.orders
        wide = self.plan.with_changes(
            orders=(max(most.signal, HALF_IF_ORDER), max(most.oscillator, HALF_IF_ORDER))
        )
        rows = responses(wide, (self.tuning,), (one_signal.FAMILY,)).rows()
        return [{**row, **self.naming} for row in rows if row["mechanism"] in FROM_THE_BAND]

    @cached_property
    def image(self) -> dict[str, Any]:
        """Return the image response over the band; empty where there is none above zero."""
        return next((row for row in self._received if row["mechanism"] == one_signal.IMAGE.id), {})

    @property
    def in_band(self) -> list[dict[str, Any]]:
        """Return the responses by which a station of the band itself comes in somewhere on the dial."""
        return [row for row in self._received if row["dial_low_hz"] is not None]

    def _parts(self, mechanism: str, *slopes: int) -> tuple[Span, ...]:
        """Return where on the dial a mechanism takes in the band, with these signs of the slope."""
        return merged(
            (row["dial_low_hz"], row["dial_high_hz"])
            for row in self.in_band
            if row["mechanism"] == mechanism and np.sign(row["tuning_slope"]) in slopes
        )

    @property
    def harmonics(self) -> Iterator[dict[str, Any]]:
        """Yield where the 2nd and higher harmonics of the oscillator fall, and who lives there, safety first."""
        low_hz, high_hz = oscillator_range(self.plan, self.tuning)
        for harmonic in range(2, self.plan.orders.oscillator + 1):
            ends = harmonic * low_hz, harmonic * high_hz
            here = services_in(*ends, region=self.plan.region)
            yield {
                **self.naming, "harmonic": harmonic, "low_hz": ends[0], "high_hz": ends[1],
                "on_safety_hz": shared(safety_ranges_hz(region=self.plan.region), *ends),
                "services": names_of(sorted(here, key=lambda service: not service.safety)),
                "safety": names_of(service for service in here if service.safety),
            }  # fmt: skip

    @property
    def answers(self) -> dict[str, Any]:
        """Return one row of the comparison, as far as it is answered here."""
        near, far = (self._parts(one_signal.HALF_IF.id, slope) for slope in (1, -1))
        rows = list(self.harmonics)
        safety = dict.fromkeys(name for row in rows for name in row["safety"])
        others = dict.fromkeys(name for row in rows for name in row["services"])
        return {
            "image_low_hz": self.image.get("low_hz"),
            "image_high_hz": self.image.get("high_hz"),
            "in_band_image_dial": next(iter(self._parts(one_signal.IMAGE.id, 1, -1)), None),
            "half_if_near_dial": next(iter(near), None),
            "half_if_far_dial": next(iter(far), None),
            "fractional_if_dial": self._parts(one_signal.FRACTIONAL_IF.id, 1, -1) or None,
            "harmonics_on_safety": tuple(safety),
            "harmonics_fall_on": tuple({**safety, **others}),
            "needed_rejection_db": self._needed_db,
            "image_rejection_db": self.image.get("rejection_db"),
            **self._heard,
        }

    @property
    def _needed_db(self) -> float | None:
        """Return what the circuits must take off the image; None where there is no image or no front end."""
        known = levels_of(self.plan)
        if known is None or not self.image:
            return None
        low_hz, high_hz = int(self.image["low_hz"]), int(self.image["high_hz"])
        signals = np.linspace(low_hz, high_hz, MOST_SETTINGS).astype(np.int64)
        broadcast = bool(broadcast_signals(self.plan, signals).any())
        strongest = self._strongest_dbuv(known, low_hz, high_hz)
        return float(np.maximum(strongest - just_heard_dbuv(known, broadcast=broadcast), 0.0))

    def _strongest_dbuv(self, known: Levels, low_hz: int, high_hz: int) -> float:
        """Return the strongest level supposed on the image: of the usual wanted station, or of a listed one there."""
        usual = known.front_end.wanted_dbuv
        if self.stations is None:
            return usual
        twice, filter_hz = 2 * self.stations.frequency_hz, self.plan.if_filter.bandwidth_hz
        there = (2 * low_hz - filter_hz <= twice) & (twice <= 2 * high_hz + filter_hz)
        # Of those without a level no more is supposed than of any carrier there.
        return float(np.fmax.reduce(known.at_aerial(self.stations)[there], initial=usual))

    @property
    def _heard(self) -> dict[str, Any]:
        """Return how much is heard of single stations, cluster by cluster, and of pairs of them; and the worst."""
        if self.stations is None:
            return {}
        alone = by_margin(ghosts(self.plan, (self.tuning,), self.stations))
        pairs = products(self.plan, (self.tuning,), self.stations, (PAIRS,)).table
        margins = np.concatenate([table.floats("margin_db") for table in (alone, pairs)])
        unknown = {"heard_unknown": int(np.isnan(margins).sum())}
        if self.plan.front_end is None:
            return unknown
        rows = [*heard(self.plan, alone).rows(), *heard_products(self.plan, pairs).rows()]
        kinds = Counter(row["heard"] for row in rows)
        counts = {"heard_ghosts": kinds[GHOST], "heard_whistles": kinds[WHISTLE], "heard_noise": kinds[NOISE]}
        worst = _worst(min(rows, key=lambda row: row["margin_db"])) if rows else {}
        return {**unknown, **counts, **worst}


def _worst(row: dict[str, Any]) -> dict[str, Any]:
    beside = f" on {row['wanted']}" if row["wanted"] else ""
    return {
        "worst": f"{row['heard']}{beside}: {row['mechanism']} of {', '.join(row['stations'])}",
        "worst_on_hz": row["heard_on_hz"],
        "worst_margin_db": row["margin_db"],
    }


def just_heard_dbuv(levels: Levels, *, broadcast: bool) -> float:
    """Return the level in the IF at which a carrier is just heard on the usual wanted station [dB(uV)].

    Parameters
    ----------
    levels : Levels
        What the plan says of levels.
    broadcast : bool
        Whether the carrier may be one of FM broadcasting, so that the protection ratio counts too.

    Returns
    -------
    float [dB(uV)]
        As a level of a wanted station at the aerial, with the carrier anywhere within half the IF filter, where it
        is heard best.
    """
    offset = np.linspace(0, levels.plan.if_filter.bandwidth_hz // 2, MOST_SETTINGS).astype(np.int64)
    everywhere, wanted = np.ones(len(offset)), levels.front_end.wanted_dbuv
    weak, nowhere = (wanted - FAR_BELOW_DB) * everywhere, np.zeros_like(offset)
    there = Wanted(nowhere, nowhere, wanted * everywhere, levels.sensitivity_dbuv * everywhere)
    result = judged(
        levels, weak, np.nan * everywhere, offset=offset, own_offset=nowhere, heard_there=there,
        broadcast=np.full(len(offset), broadcast),
    )  # fmt: skip
    return float(np.min(weak + result.margin_db))
