"""What a designer can choose - IF, oscillator side, number of tuned circuits - and the sets that come of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import NamedTuple

import numpy as np

from freqplan.errors import PlanError
from freqplan.mixing import Tuning
from freqplan.plan import Conversion, FrontEnd, Orders, Plan
from freqplan.plan_reading import hertz_text

SIDES = ("high", "low", "sum")
"""In the order in which their number stands in the key of a random stream."""


class Deviation(NamedTuple):
    """How one set really is: its IF, and how far its front end stands from where the plan says, both in hertz."""

    intermediate_hz: int
    detuning_hz: int


@dataclass(frozen=True)
class Choice:
    """One way to make the set.

    Attributes
    ----------
    intermediate_hz : int [Hz]
        The first IF.
    side : {"high", "low", "sum"}
        Of the first oscillator.
    circuits : int or None
        Tuned circuits before the mixer altogether; None: as in the plan.
    """

    intermediate_hz: int
    side: str
    circuits: int | None = None

    @property
    def tuning(self) -> Tuning:
        """Return how the oscillator follows the dial."""
        return Tuning(self.side, self.intermediate_hz)

    @property
    def in_words(self) -> str:
        """Return the choice as a person says it, such as ``10.7 MHz high, 3 circuits``."""
        plural = "" if self.circuits == 1 else "s"
        more = "" if self.circuits is None else f", {self.circuits} circuit{plural}"
        return f"{hertz_text(self.intermediate_hz)} {self.side}{more}"

    def in_band(self, plan: Plan) -> bool:
        """Return whether what the IF filter passes, the IF at the ends of its tolerance too, meets the tuned band.

        A signal there passes the mixer at every dial setting, whatever the oscillator does.
        """
        twice_reach = plan.if_filter.bandwidth_hz + 2 * plan.conversion[0].tolerance_hz
        low, high = 2 * plan.band.low_hz - twice_reach, 2 * plan.band.high_hz + twice_reach
        return low <= 2 * self.intermediate_hz <= high

    def nominal(self) -> Deviation:
        """Return the set that is exactly as meant."""
        return Deviation(self.intermediate_hz, 0)

    def drawn(self, plan: Plan, *, town: str, draw: int, seed: int, tracking_hz: int) -> Deviation:
        """Return one set as it may leave the bench; draw 0 is the nominal one.

        Parameters
        ----------
        plan : Plan
            Within the tolerance of its first conversion lies the IF.
        town : str
            Where the set plays.
        draw : int
            Which set.
        seed : int
            Of all draws.
        tracking_hz : int [Hz]
            Within this the front end stands off on either side.

        Notes
        -----
        Whole hertz, all equally likely.  Each set has a stream of its own, whose key is made of what it is and where,
        not of its place in a list: what else is asked, in which order and by how many processes changes nothing.
        """
        if draw == 0:
            return self.nominal()
        circuits = 0 if self.circuits is None else self.circuits + 1
        place = int.from_bytes(sha256(town.encode("utf-8", "surrogatepass")).digest()[:8], "big")
        key = (self.intermediate_hz, SIDES.index(self.side), circuits, place, draw)
        stream = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=key))
        off_hz, detuning_hz = (
            int(stream.integers(-most, most, endpoint=True))
            for most in (plan.conversion[0].tolerance_hz, tracking_hz)
        )
        return Deviation(self.intermediate_hz + off_hz, detuning_hz)

    def made(self, plan: Plan, deviation: Deviation) -> Plan:
        """Return the plan of one set, whose IF is exactly so.

        Harmonics of the IF are followed up to the 25th at least, so that a low IF is not flattered by the plan's limit.

        Raises
        ------
        PlanError
            There is no such set.
        """
        first = Conversion(
            **plan.conversion[0].given()
            | {
                "intermediate_hz": deviation.intermediate_hz, "oscillator": self.side, "tolerance_hz": 0,
            }
        )  # fmt: skip
        changed = plan.given() | {
            "conversion": (first, *plan.conversion[1:]),
            "orders": Orders(**plan.orders.given() | {"if_harmonic": plan.orders.if_harmonic_compared}),
        }
        if plan.front_end is not None:
            changed["front_end"] = self._front_end(plan.front_end, deviation.detuning_hz)
        return Plan(**changed)

    def _front_end(self, own: FrontEnd, detuning_hz: int) -> FrontEnd:
        if not detuning_hz and self.circuits is None:
            return own
        changed = own.given() | {"detuning_hz": own.detuning_hz + detuning_hz}
        if self.circuits is not None:
            before = min(own.circuits_before_rf_stage, self.circuits)
            changed |= {
                "circuits_before_rf_stage": before,
                "circuits_before_mixer": self.circuits - before,
            }
            if not self.circuits:
                changed.pop("loaded_q", None)
        return FrontEnd(**changed)

    def obstacles(self, plan: Plan, tracking_hz: int) -> Iterator[str]:
        """Yield why there is no such set, nominal or at an end of its tolerance and of `tracking_hz`."""
        tolerance_hz = plan.conversion[0].tolerance_hz
        if 0 < self.intermediate_hz <= tolerance_hz:
            least = "as large as" if self.intermediate_hz == tolerance_hz else "larger than"
            yield f"the tolerance of {hertz_text(tolerance_hz)} is {least} the IF"
            return
        for sign in (0, -1, 1) if tolerance_hz or tracking_hz else (0,):
            try:
                self.made(plan, Deviation(self.intermediate_hz + sign * tolerance_hz, sign * tracking_hz))
            except PlanError as error:
                yield from (str(replace(fault, found="")) for fault in error.faults)
