"""Tables written as TOML: tomllib, which is not ours, reads back what was written."""

from __future__ import annotations

import datetime
import tomllib
from decimal import Decimal

import pytest
from commandline import DEMO
from hypothesis import given
from hypothesis import strategies as st

from freqplan.tomltext import LONGEST_LINE, toml_text

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
numbers = st.decimals(allow_nan=False, allow_infinity=False) | st.decimals(-1000, 1000, places=3)
moments = st.dates() | st.times() | st.datetimes() | st.datetimes(timezones=st.just(datetime.UTC))
scalars = texts | st.integers(-(10**20), 10**20) | numbers | st.booleans() | moments
keys = texts | st.from_regex(r"[a-z_]{1,8}", fullmatch=True)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4),
    max_leaves=12,
)
rows = st.dictionaries(keys, values, max_size=4)
tables = st.dictionaries(keys, values | rows | st.lists(rows, min_size=1, max_size=3), max_size=5)


def read(text):
    return tomllib.loads(text, parse_float=Decimal)


@given(tables)
def test_what_is_written_reads_back_the_same(drawn):
    assert read(toml_text(drawn)) == drawn


@given(tables)
def test_what_reads_back_is_written_the_same_again(drawn):
    text = toml_text(drawn)
    assert toml_text(read(text)) == text


@given(st.floats(allow_nan=False))
def test_floats_read_back_to_the_last_bit(number):
    assert tomllib.loads(toml_text({"x": number}))["x"] == number


@given(texts)
def test_what_is_invisible_shows_as_an_escape(text):
    assert all(sign.isprintable() or sign == "\n" for sign in toml_text({"x": text}))


@pytest.mark.parametrize("name", ["attic", "balcony", "loft", "pantry", "shed", "workshop"])
def test_demo_plans_come_through_whole(name):
    plan = read((DEMO / f"{name}.toml").read_text("utf-8"))
    assert read(toml_text(plan)) == plan


def test_a_number_stays_what_it_was_whole_or_not():
    back = read(toml_text({"a": 5, "b": Decimal(5), "c": 5.0, "d": True}))
    assert [type(value) for value in back.values()] == [int, Decimal, Decimal, bool]


def test_what_is_no_number_is_written_as_toml_has_it():
    written = toml_text({"a": float("inf"), "b": Decimal("-Infinity"), "c": float("nan")})
    assert written == "a = inf\nb = -inf\nc = nan\n"


def test_keys_come_before_tables_and_tables_stand_apart():
    text = toml_text({"band": {"low": "87.5 MHz"}, "clock": [{"name": "a"}, {"name": "b"}], "title": "Set"})
    assert (
        text
        == 'title = "Set"\n\n[band]\nlow = "87.5 MHz"\n\n[[clock]]\nname = "a"\n\n[[clock]]\nname = "b"\n'
    )


def test_a_long_list_has_a_line_for_each_value():
    rows = [{"m": m, "n": m, "db": 50 + m} for m in range(1, 9)]
    lines = toml_text({"mixer": {"suppression": rows}}).splitlines()
    assert lines[2] == "    { m = 1, n = 1, db = 51 },"
    assert max(map(len, lines)) <= LONGEST_LINE


def test_half_of_a_pair_of_surrogates_is_replaced():
    assert read(toml_text({"x": "a\ud800b"})) == {"x": "a\N{REPLACEMENT CHARACTER}b"}


def test_what_toml_cannot_hold_is_refused():
    with pytest.raises(TypeError, match="no value that TOML can hold: NoneType"):
        toml_text({"x": None})
