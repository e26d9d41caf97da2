"""What a mechanism is, and what each family of the catalogue hands over."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from freqplan.findings import Findings, Values
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan


@dataclass(frozen=True)
class Mechanism:
    """One named cause of trouble, in plain words.

    Attributes
    ----------
    id : str
        The name in tables, JSON and options.
    title : str
        The name in a sentence.
    formula : str
        Equation in fT, fI, fL, fX, m, n, e, k, q and those named in `columns` (fC, fS ...) that every row of this
        mechanism fulfils, whatever the side of the oscillator; empty where there is none.
    fingerprint : str
        How it shows itself.
    check : str
        The same test in one line for the card; {m}, {n}, {k}, {fall}, the dB that a 10 dB pad takes off,
        and {better}, the dB by which it betters a whistle, are put in.
    test : str
        The test that confirms it.
    cure : str
        What helps, cheapest first.
    caution : str
        What can hurt while testing; empty where nothing special can.
    source : str
        Where the condition comes from.
    """

    id: str
    title: str
    formula: str
    fingerprint: str
    check: str
    test: str
    cure: str
    source: str
    caution: str = ""


@dataclass(frozen=True)
class Sums:
    """Integer combinations with the names they go by, as equal-length arrays.

    Attributes
    ----------
    combinations : Combinations
        The sums; (k,).
    columns : mapping of str to (k,) array
        The columns that apply: ``mechanism``, m, n, e, k, ``tuning_slope``, ``beat_rate``, ``level_law`` ...
    order : (k,) int64
        What rows are ranked by while no levels are known.
    """

    combinations: Combinations
    columns: Mapping[str, Values]
    order: np.ndarray = field(repr=False)

    def __len__(self) -> int:
        return len(self.combinations)

    def array(self, name: str) -> np.ndarray:
        """Return a column that is no frequency."""
        values = self.columns[name]
        assert isinstance(values, np.ndarray)
        return values

    @property
    def below_db(self) -> npt.NDArray[np.float64]:
        """How much weaker a product is than by mixer and front end alone [dB], NaN where unknown; (k,)."""
        own = self.columns.get("below_db")
        return np.zeros(len(self)) if own is None else np.asarray(own, dtype=np.float64)

    def take(self, keep: np.ndarray) -> Sums:
        """Return the rows selected by a mask or an index array."""
        chosen = {name: values[keep] for name, values in self.columns.items()}
        return Sums(self.combinations.take(keep), chosen, self.order[keep])

    def findings(self, title: str, **more: Values) -> Findings:
        """Return a table of the naming columns, the order, and `more`."""
        return Findings(title, {**self.columns, "order": self.order, **more})


def joined(parts: Sequence[Sums], intermediate_hz: int) -> Sums:
    """Put sums of the same columns end to end; of none comes an empty one."""
    used = [part for part in parts if len(part)]
    if not used:
        none = np.zeros(0, dtype=np.int64)
        return Sums(Combinations(none, none, none, intermediate_hz), {}, none)
    some = [part.combinations for part in used]
    a, b, c, fixed, slack = (
        np.concatenate([np.broadcast_to(getattr(one, name), len(one)) for one in some])
        for name in ("a", "b", "c", "fixed_hz", "slack_hz")
    )
    columns = {name: np.concatenate([part.array(name) for part in used]) for name in used[0].columns}
    order = np.concatenate([part.order for part in used])
    return Sums(Combinations(a, b, c, intermediate_hz, fixed, slack), columns, order)


SumsOf: TypeAlias = "Callable[[Plan, Tuning], Sums]"


@dataclass(frozen=True)
class Family:
    """Mechanisms whose energy comes from the same place.

    Attributes
    ----------
    mechanisms : tuple of Mechanism
        Their names and words.
    responses : callable, optional
        (plan, tuning) -> Sums in which an outside signal takes part: its frequency is the answer.
    birdies : callable, optional
        (plan, tuning) -> Sums of the set and, at most, the station tuned in: the dial setting is the answer.
        Where tuning has no say (a + c = 0) they hold all over the dial if they lie inside the IF filter; those
        with a column ``tone_hz`` are notes on every station.
    station_spots : callable, optional
        (plan, tuning) -> Sums that matter only where a listed station takes part.
    station_sums : callable, optional
        (plan, tuning) -> Sums by which sums of listed stations are received, with their ``kind`` of sum; the signal
        of these combinations is the sum of stations.
    """

    mechanisms: tuple[Mechanism, ...]
    responses: SumsOf | None = None
    birdies: SumsOf | None = None
    station_spots: SumsOf | None = None
    station_sums: SumsOf | None = None

    def __repr__(self) -> str:
        return f"<{', '.join(mechanism.id for mechanism in self.mechanisms)}>"
