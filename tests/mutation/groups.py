"""What is mutated together, and by which tests: exact ones, all of a group within seconds."""

from __future__ import annotations

from typing import NamedTuple


class Group(NamedTuple):
    """Source files below freqplan/ (patterns), and what judges them: test files, or ``file::test``."""

    sources: tuple[str, ...]
    tests: tuple[str, ...]
    of_constants: tuple[str, ...] = ()
    """What judges constants outside functions besides."""

    sample: int | None = None
    """So many mutants, drawn with a fixed seed, and no constants; None is all."""


_ROWS = "test_catalogue::test_every_row_fulfils_the_formula_of_its_mechanism"
FORMULAS, LATER_FORMULAS = (f"{_ROWS}[high]",), (f"{_ROWS}[sum, two conversions]",)

GROUPS = {
    "hertz": Group(
        ("hertz.py",),
        ("test_hertz", "test_plan", "test_decibel", "test_scale", "test_published", "test_services"),
    ),
    "mixing": Group(("mixing.py",), ("test_mixing",)),
    "reach": Group(("reach.py",), ("test_reach",)),
    "spans": Group(("spans.py",), ("test_compare_full::test_merged_parts_hold_the_same_points",)),
    "if_edges": Group(("if_edges.py",), ("test_if_ranges",)),
    "if_choices": Group(("if_choices.py",), ("test_if_ranges",)),
    "tones": Group(("tones.py",), ("test_tones", "test_judge_tones")),
    "whistles": Group(("whistles.py",), ("test_whistles",)),
    "mechanisms": Group(
        (
            "mechanisms/__init__.py",
            "mechanisms/kinds.py",
            "mechanisms/one_signal.py",
            "mechanisms/own_if.py",
            "mechanisms/own_oscillator.py",
            "mechanisms/other_sets.py",
            "mechanisms/several_signals.py",
            "mechanisms/adjustment.py",
            "mechanisms/transmitters.py",
        ),
        ("test_mechanisms",),
        FORMULAS,
    ),
    "clocks": Group(("mechanisms/clocks.py",), ("test_clocks", "test_family_arrays"), FORMULAS),
    "conversions": Group(
        ("mechanisms/conversions.py",), ("test_conversions", "test_family_arrays"), LATER_FORMULAS
    ),
    "oscillator_pairs": Group(
        ("mechanisms/oscillator_pairs.py",), ("test_conversions", "test_family_arrays"), LATER_FORMULAS
    ),
    "synthesiser": Group(
        ("mechanisms/synthesiser.py",), ("test_synthesisers", "test_family_arrays"), FORMULAS
    ),
    "diagnosis": Group(
        ("diagnosis/*.py",),
        (
            "test_diagnosis_observables",
            "test_diagnosis_records",
            "test_diagnosis_worked",
            "test_diagnosis_sums",
            "test_diagnosis_bayes",
            "test_belief",
            "test_bench_tests",
            "test_airwaves",
            "test_diagnose_input::test_what_does_not_go_with_set_and_list_is_told_at_once_in_the_order_of_the_file",
            "test_diagnose_input::test_dial_and_wanted_station_off_the_band_are_refused",
            "test_diagnose_input::test_a_dial_that_is_read_badly_may_lie_farther_off_the_band",
        ),
        sample=150,
    ),
}
