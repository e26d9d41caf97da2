"""Checks across the fields of a plan: what each value allows the others to be.

They look at whatever could be read, so that one misspelt unit does not hide a band that is upside down.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from freqplan.hertz import HIGHEST_HZ
from freqplan.plan_faults import Path, Trouble
from freqplan.plan_reading import hertz_text
from freqplan.plan_view import View
from freqplan.scale_checks import scale_troubles


def troubles(plan: object) -> Iterator[Trouble]:
    """Yield everything in `plan` that cannot be true together.

    Parameters
    ----------
    plan : Plan
        May hold None wherever a value could not be read.
    """
    view = View(plan)
    for check in _CHECKS:
        yield from check(view)


def _zeros(view: View) -> Iterator[Trouble]:
    paths: list[Path] = [
        ("band", "low_hz"),
        ("band", "high_hz"),
        ("band", "raster_hz"),
        ("if_filter", "bandwidth_hz"),
        ("if_filter", "bandwidth_20db_hz"),
        ("front_end", "response_dial_hz"),
        ("synthesiser", "reference_hz"),
    ]
    paths += [("conversion", i, "intermediate_hz") for i in range(view.count("conversion"))]
    paths += [
        ("conversion", i, name)
        for i in range(view.count("conversion"))
        for name in ("fixed_oscillator_hz", "bandwidth_hz", "bandwidth_20db_hz")
    ]
    paths += [("clock", i, "frequency_hz") for i in range(view.count("clock"))]
    for path in paths:
        if view.whole(*path) == 0:
            yield Trouble(path, "zero", "write a frequency above zero")


def _band(view: View) -> Iterator[Trouble]:
    low, high = view.whole("band", "low_hz"), view.whole("band", "high_hz")
    if low is not None and high is not None and low >= high:
        what = "the band is upside down" if low > high else "the band has no width"
        yield Trouble(("band", "low_hz"), what, "low must lie below high")
    if view.at("band", "modulation") == "am" and view.whole("band", "deviation_hz"):
        yield Trouble(("band", "deviation_hz"), "AM has no frequency deviation", "leave it out")


def _raster(view: View) -> Iterator[Trouble]:
    """Check that the band holds a channel: a raster no wider than the band always puts one into it."""
    raster = view.whole("band", "raster_hz")
    if view.band is None or raster is None:
        return
    low, high = view.band
    if raster > high - low > 0:
        yield Trouble(("band", "raster_hz"), "wider than the band", "write the spacing of two channels")


def _if_filter(view: View) -> Iterator[Trouble]:
    yield from _skirts(view, ("if_filter",))
    last = view.count("conversion") - 1
    for i in range(last + 1):
        path: Path = ("conversion", i)
        yield from _skirts(view, path)
        bandwidth, skirts = (view.whole(*path, name) for name in ("bandwidth_hz", "bandwidth_20db_hz"))
        if skirts is not None and bandwidth is None:
            hint = "write the width between the -3 dB points too"
            yield Trouble((*path, "bandwidth_20db_hz"), "given without bandwidth", hint)
        if i == last and bandwidth is not None and view.is_given("if_filter"):
            hint = "the filter behind the last mixer is [if_filter]: leave it out here"
            yield Trouble((*path, "bandwidth_hz"), "given together with [if_filter]", hint)


def _skirts(view: View, path: Path) -> Iterator[Trouble]:
    bandwidth, skirts = (view.whole(*path, name) for name in ("bandwidth_hz", "bandwidth_20db_hz"))
    if bandwidth and skirts and skirts <= bandwidth:
        hint = "write the width between the -20 dB points, or leave it out"
        yield Trouble((*path, "bandwidth_20db_hz"), "no wider than the bandwidth itself", hint)


def _tolerances(view: View) -> Iterator[Trouble]:
    for i in range(view.count("conversion")):
        intermediate = view.whole("conversion", i, "intermediate_hz")
        tolerance = view.whole("conversion", i, "tolerance_hz")
        if intermediate and tolerance is not None and tolerance >= intermediate:
            hint = "write how far the real IF may lie from the nominal one"
            yield Trouble(("conversion", i, "tolerance_hz"), "as large as the IF itself", hint)


def _first_oscillator(view: View) -> Iterator[Trouble]:
    intermediate, side = (
        view.whole("conversion", 0, "intermediate_hz"),
        view.at("conversion", 0, "oscillator"),
    )
    if view.whole("conversion", 0, "fixed_oscillator_hz") is not None:
        hint = "the first oscillator tunes; leave it out here and write it in a later [[conversion]]"
        yield Trouble(("conversion", 0, "fixed_oscillator_hz"), "the first oscillator cannot be fixed", hint)
    if view.band is None or not intermediate:
        return
    low, high = view.band
    path: Path = ("conversion", 0, "oscillator")
    if side == "low" and intermediate >= low:
        hint = 'the IF lies above the band: "sum" if the set converts upwards, else "high"'
        hint = hint if intermediate > high else 'write "high"'
        yield Trouble(path, "the oscillator would be zero or negative on part of the dial", hint)
    if side == "sum" and intermediate <= high:
        hint = 'write "high" or "low"' if intermediate < low else 'write "high"'
        yield Trouble(path, "the oscillator would be zero or negative on part of the dial", hint)
    if side in ("high", "unknown") and high + intermediate > HIGHEST_HZ:
        yield Trouble(
            ("conversion", 0, "intermediate_hz"), "the oscillator would lie above 300 GHz", "check the units"
        )


def _later_oscillators(view: View) -> Iterator[Trouble]:
    for i in range(1, view.count("conversion")):
        before = view.whole("conversion", i - 1, "intermediate_hz")
        after = view.whole("conversion", i, "intermediate_hz")
        if before and after:
            yield from _later_oscillator(view, i, before, after)


def _later_oscillator(view: View, i: int, before: int, after: int) -> Iterator[Trouble]:
    """Check the oscillator that takes the IF `before` to the IF `after` [Hz]."""
    side, fixed = view.at("conversion", i, "oscillator"), view.whole("conversion", i, "fixed_oscillator_hz")
    needed = {"high": before + after, "low": before - after, "sum": after - before}
    if isinstance(side, str) and needed.get(side, 1) <= 0:
        what = "the oscillator would be zero or negative"
        right = "sum" if after > before else "high"
        yield Trouble(
            ("conversion", i, "oscillator"),
            what,
            f'write "high" or "{right}"' if right == "sum" else 'write "high"',
        )
    elif fixed:
        slack = sum(view.whole("conversion", j, "tolerance_hz") or 0 for j in (i - 1, i))
        fitting = [hz for name, hz in needed.items() if hz > 0 and side in (name, "unknown")]
        if fitting and all(abs(fixed - hz) > slack for hz in fitting):
            hint = "write " + " or ".join(f'"{hertz_text(hz)}"' for hz in fitting)
            what = "does not take the IF before it to this IF"
            yield Trouble(("conversion", i, "fixed_oscillator_hz"), what, hint)


def _front_end(view: View) -> Iterator[Trouble]:
    counts = [view.whole("front_end", f"circuits_before_{stage}") for stage in ("rf_stage", "mixer")]
    circuits, q = any(counts), view.at("front_end", "loaded_q")
    if view.at("front_end", "response") is not None and (circuits or q is not None):
        hint = "keep either the measured response or circuits and loaded_q"
        yield Trouble(("front_end", "response"), "given together with tuned circuits", hint)
    elif circuits and q is None:
        yield Trouble(("front_end", "loaded_q"), "missing or unreadable", "write the loaded Q of one circuit")
    elif q is not None and counts == [0, 0]:
        hint = "write circuits_before_mixer = 1"
        yield Trouble(("front_end", "loaded_q"), "given without a tuned circuit", hint)
    if view.at("front_end", "response_dial_hz") is not None and view.at("front_end", "response") is None:
        hint = "name the file, or leave it out"
        yield Trouble(("front_end", "response_dial_hz"), "given without a measured response", hint)
    if view.at("front_end", "response") == "":
        yield Trouble(("front_end", "response"), "no file name", 'write response = "front_end.csv"')
    detuning = view.whole("front_end", "detuning_hz")
    if detuning is not None and view.band and abs(detuning) >= view.band[0] > 0:
        hint = "write how far the circuits stand from the dial setting"
        yield Trouble(("front_end", "detuning_hz"), "as large as the dial setting itself", hint)


MOST_ABOVE_DB = 20
"""So much stronger than the wanted product one may be; more is a minus sign that was meant otherwise."""

_USED_BY = {
    "suppression": ("measured",),
    "oscillator_drive": ("exponential", "square-law", "polynomial"),
    "unbalance": ("switching",),
    "coefficients": ("polynomial",),
}
"""Keys of the mixer, and the kinds that look at them."""


def _mixer(view: View) -> Iterator[Trouble]:
    kind = view.at("mixer", "kind")
    for key, needs in _USED_BY.items():
        if view.at("mixer", key) not in (None, ()) and kind not in (*needs, None):
            hint = "write kind = " + " or ".join(f'"{name}"' for name in needs)
            yield Trouble(("mixer", key), f"not used by a mixer of this kind ({kind})", hint)
    if view.count("mixer", "coefficients") == 0 and view.at("mixer", "coefficients") is not None:
        yield Trouble(("mixer", "coefficients"), "empty", "write those of the powers 0, 1, 2 ...")


def _suppression(view: View) -> Iterator[Trouble]:
    seen = set()
    for i in range(view.count("mixer", "suppression")):
        db = view.at("mixer", "suppression", i, "db")
        if isinstance(db, float) and db < -MOST_ABOVE_DB:
            what = f"{-db:g} dB stronger than the product m = 1, n = 1"
            hint = f"write how far it lies below it, without a sign: db = {-db:g}"
            yield Trouble(("mixer", "suppression", i), what, hint)
        m, n = (view.whole("mixer", "suppression", i, name) for name in "mn")
        if m is None or n is None:
            continue
        if (m, n) in seen:
            yield Trouble(("mixer", "suppression", i), f"m = {m}, n = {n} a second time", "keep one of them")
        if (m, n) == (1, 1) and view.at("mixer", "suppression", i, "db"):
            hint = "leave it out: all others are counted from it"
            yield Trouble(("mixer", "suppression", i), "the product m = 1, n = 1 is not 0 dB", hint)
        seen.add((m, n))
    if any(m > 1 for m, _ in seen) and view.at("mixer", "reference_dbm") is None:
        hint = "write the signal level at the mixer for which suppression holds"
        yield Trouble(("mixer", "reference_dbm"), "missing or unreadable", hint)


_CHECKS: tuple[Callable[[View], Iterator[Trouble]], ...] = (
    _zeros,
    _band,
    _raster,
    _if_filter,
    _tolerances,
    _first_oscillator,
    _later_oscillators,
    _front_end,
    _mixer,
    _suppression,
    scale_troubles,
)
