"""The front end asked the other way round: how many tuned circuits of which Q keep what comes in far enough down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import inf, isnan, nan
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings
from freqplan.ghosts import ghosts
from freqplan.hertz import quoted
from freqplan.levels import Levels
from freqplan.mechanisms import one_signal
from freqplan.mixing import Combinations
from freqplan.plan_levels import FrontEnd
from freqplan.preselectors import Preselector, circuits_detuning
from freqplan.remarks import about_the_plan
from freqplan.responses import settings_over
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

USUAL_DB = 60.0
HIGHEST_DB = 200
MOST_CIRCUITS = 6
HIGHEST_Q = 150
"""More than this no coil of a tunable front end reaches as it works in the set; common practice, no source."""

AGAINST = (one_signal.IMAGE.id, one_signal.HALF_IF.id)
Q_COLUMNS = tuple(f"q_{count}" for count in range(1, 5))
DEMAND_COLUMNS = (
    "mechanism", "oscillator", "station", "m", "n", "e", "dial_hz", "response_hz", "mixer_db", "needed_db",
    *Q_COLUMNS, "circuits",
)  # fmt: skip
DESIGN_COLUMNS = ("circuits", "loaded_q", "bandwidth_hz", "edge_loss_db", "concerns")


@dataclass(frozen=True)
class Circuits(Result):
    """Designs of a front end, and what each response and station asks of it.

    Attributes
    ----------
    rejection_db : float [dB]
        How much stronger than the wanted station everything named must be for equal output.
    against : tuple of str
        Names of the stations to be kept down; all that come in by image or half-IF where none is named.
    """

    command: ClassVar[str] = "circuits"
    table_names: ClassVar[tuple[str, ...]] = ("designs", "demands")

    rejection_db: float = field(default=USUAL_DB, kw_only=True)
    against: tuple[str, ...] = field(default=(), kw_only=True)

    @cached_property
    def demands(self) -> Findings:
        """What must be kept down, at its worst place on the dial: what the mixer does, and the Q it takes."""
        title = "What the circuits must do, each at its worst"
        return Findings.of_rows(title, self._rows, DEMAND_COLUMNS, details=("e", Q_COLUMNS[0], Q_COLUMNS[-1]))

    @cached_property
    def designs(self) -> Findings:
        """For each number of circuits the Q that meets every demand, and what that Q means for the wanted station."""
        rows = [self._design(count) for count in range(1, MOST_CIRCUITS + 1)]
        return Findings.of_rows(f"Front ends that give {self.rejection_db:g} dB", rows, DESIGN_COLUMNS)

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the plan, and what was asked."""
        mechanisms = " and ".join(AGAINST)
        asked = f"{self.rejection_db:g} dB against {mechanisms} over the whole dial"
        if self.stations is not None:
            asked += f", and against {', '.join(self.against) or 'every listed station'} so received"
        return (*super().headlines, asked)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return what was asked for."""
        return {"rejection_db": self.rejection_db, "against": list(self.against)}

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return what the figures rest on."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        yield from about_the_plan(self.plan)
        yield (
            "Circuits are alike, stand on the dial setting and do not load each other; Q is the loaded one of each. "
            "The IF is taken as exact."
        )
        for row in self._rows:
            if row["all_q"][0] == inf:
                rounding = self.plan.rounding
                where = f"{rounding.fine(row['dial_hz'])} {rounding.unit}"
                yield (
                    f"With the dial on {where} the {row['mechanism']} response falls on the dial setting itself: no "
                    "circuit tells the two apart, so it is left out of the designs."
                )
        met = {row["station"] for row in self._rows}
        absent = [name for name in self.against if name not in met]
        if absent:
            yield f"Received by no product whose level is known, so nothing is needed against: {', '.join(absent)}."
        own = self._own
        if any(isnan(row["mixer_db"]) for row in self._rows):
            yield "Where the mixer's part is unknown the circuits must do all of it."
        if self.plan.front_end is not None and self.rejection_db > own.floor_db:
            yield f"Leakage past the coils limits this set to {own.floor_db:g} dB: screening comes before circuits."

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what should be known of the plan; nothing here can hurt."""
        return self.plan.cautions

    @property
    def _own(self) -> FrontEnd:
        return self.plan.front_end or FrontEnd()

    def _mixer_db(self, m: int, n: int) -> float:
        """Return what the mixer adds to the rejection: all of it where no circuit selects; NaN where unknown."""
        bare = FrontEnd(
            gain_db=self._own.gain_db,
            impedance_ohm=self._own.impedance_ohm,
            wanted_dbuv=self._own.wanted_dbuv,
        )
        known = Levels(self.plan, Preselector(bare))
        pair = (np.array([m]), np.array([n]))
        rejection = known.rejection_db(*pair, signal_hz=1.0, dial_hz=1.0, wanted_dbuv=bare.wanted_dbuv)
        return float(rejection[0])

    @cached_property
    def _rows(self) -> list[dict[str, Any]]:
        return [*self._over_the_dial(), *self._by_stations()]

    def _over_the_dial(self) -> Iterator[dict[str, Any]]:
        """Yield image and half-IF responses where they come closest to the frequency tuned to."""
        low = self.plan.with_changes(orders=(2, 2))
        for tuning in self.sides:
            sums = one_signal.responses(low, tuning)
            for row in np.flatnonzero(np.isin(sums.array("mechanism").astype(str), AGAINST)).tolist():
                one = sums.take(np.array([row]))
                closest = self._closest(one.combinations)
                if closest is not None:
                    naming = {
                        name: one.array(name).tolist()[0] for name in ("mechanism", "oscillator", *"mne")
                    }
                    yield self._demand({**naming, "station": None, **closest})

    def _closest(self, one: Combinations) -> dict[str, Any] | None:
        """Return dial setting and signal of one sum where it comes closest to the dial setting; None if nowhere."""
        band = self.plan.band
        pairs: list[tuple[Fraction | int, Fraction | int | None]] = [
            (dial, one.signal(dial).exact()[0]) for dial in settings_over(self.plan).tolist()
        ]
        crossing = one.own_dial().exact()[0]
        if crossing is not None and band.low_hz <= crossing <= band.high_hz:
            pairs.append((crossing, crossing))
        found = [
            (abs(float(circuits_detuning(float(signal), float(dial)))), dial, signal)
            for dial, signal in pairs
            if signal is not None and signal > 0
        ]
        return {"dial_hz": min(found)[1], "response_hz": min(found)[2]} if found else None

    def _by_stations(self) -> Iterator[dict[str, Any]]:
        if self.stations is None:
            return
        named = set(self.against)
        for row in ghosts(self.plan, self.sides, self.stations, (one_signal.FAMILY,)).rows():
            if named and row["station"] not in named:
                continue
            known = named and not isnan(self._mixer_db(row["m"], row["n"]))
            if known or row["mechanism"] in AGAINST:
                yield self._demand({**row, **self._worst_setting(row)})

    def _worst_setting(self, row: Mapping[str, Any]) -> dict[str, Any]:
        """Return the setting at which a station comes in; everywhere, the end of the dial that is nearer to it."""
        hertz, band = row["station_hz"], self.plan.band
        dial = row["channel_hz"]
        if dial is None:
            dial = min(
                (band.low_hz, band.high_hz), key=lambda end: abs(float(circuits_detuning(float(hertz), end)))
            )
        return {"dial_hz": dial, "response_hz": hertz}

    def _demand(self, row: dict[str, Any]) -> dict[str, Any]:
        detuning = abs(float(circuits_detuning(float(row["response_hz"]), float(row["dial_hz"]))))
        mixer = self._mixer_db(int(row["m"]), int(row["n"]))
        needed = max(self.rejection_db - (0.0 if isnan(mixer) else mixer), 0.0)
        q = [needed_q(needed, count, detuning) for count in range(1, MOST_CIRCUITS + 1)]
        shown = [nan if least == inf else least for least in q]
        own_q = self._own.loaded_q
        enough = [count for count, least in enumerate(q, start=1) if own_q is not None and least <= own_q]
        return {
            **row, "mixer_db": mixer, "needed_db": needed, "all_q": q, "circuits": enough[0] if enough else None,
            **dict(zip(Q_COLUMNS, shown, strict=False)),
        }  # fmt: skip

    def _design(self, count: int) -> dict[str, Any]:
        rows = [row for row in self._rows if row["all_q"][count - 1] < inf]
        loaded_q = max((row["all_q"][count - 1] for row in rows), default=nan)
        low_hz = self.plan.band.low_hz
        width = nan if loaded_q == 0 else low_hz / loaded_q * (2 ** (1 / count) - 1) ** 0.5
        edge_hz = low_hz + self.plan.if_filter.bandwidth_hz / 2
        detuned = loaded_q * float(circuits_detuning(float(edge_hz), float(low_hz)))
        edge = 10 * count * np.log10(1 + detuned**2)
        concerns = []
        if loaded_q > HIGHEST_Q:
            concerns.append(f"no tunable circuit works with a Q of {loaded_q:.0f}")
        if width < self.plan.if_filter.bandwidth_hz:
            concerns.append("narrower than the IF filter at the low end of the dial")
        return {
            "circuits": count, "loaded_q": loaded_q, "edge_loss_db": edge,
            "bandwidth_hz": None if isnan(width) else round(width), "concerns": tuple(concerns),
        }  # fmt: skip


@checked
def circuits(
    plan: Plan,
    stations: StationList | None = None,
    *,
    rejection_db: float = USUAL_DB,
    against: Sequence[str] = (),
) -> Circuits:
    """Find how many tuned circuits of which Q keep image, half-IF and stations far enough down.

    Parameters
    ----------
    plan : Plan
        The receiver; of its front end gain, floor and Q are used where they are known, its circuits are not.
    stations : StationList, optional
        Stations to be kept down wherever they come in by image or half-IF.
    rejection_db : float [dB]
        How much stronger than the wanted station they must be for equal output.
    against : sequence of str
        Names of those stations that count, then also by every product of which the mixer's part is known; all of
        the list by default.

    Returns
    -------
    Circuits

    Raises
    ------
    ModelRangeError
        The rejection is not between 0 and 200 dB, or no listed station has such a name.
    """
    if not 0 < rejection_db <= HIGHEST_DB:
        raise ModelRangeError(f"rejection {rejection_db:g} dB: give more than 0 and at most {HIGHEST_DB} dB")
    listed = set(stations.names) if stations is not None else set()
    for name in against:
        if name not in listed:
            raise ModelRangeError(
                f"no listed station is called {quoted(name)}; write its name as in the list"
            )
    return Circuits(plan, stations, rejection_db=rejection_db, against=tuple(dict.fromkeys(against)))


def needed_q(needed_db: float, circuits: int, detuning: float) -> float:
    """Return the loaded Q with which some equal circuits reach a loss at a detuning f/f0 - f0/f.

    Returns
    -------
    float
        ``sqrt(10^(A/10N) - 1) / detuning``; 0 where nothing is needed, infinite on the tuned frequency itself.
    """
    if needed_db <= 0:
        return 0.0
    wanted: float = (10 ** (needed_db / (10 * circuits)) - 1) ** 0.5
    return wanted / detuning if detuning else inf
