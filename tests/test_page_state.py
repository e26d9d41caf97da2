"""A bench in an address: it comes back as it went, and nothing else is taken for one."""

from __future__ import annotations

import base64
import json
import tracemalloc
import zlib
from contextlib import suppress

import pytest
from benchpages import TOWN, asked, client, words
from hypothesis import given
from hypothesis import strategies as st

from freqplan.page.state import (
    LARGEST_BENCH,
    LONGEST_SEGMENT,
    Bench,
    BenchError,
    BenchGoneError,
    Shelf,
    pack,
    unpack,
)

texts = st.text(st.characters(exclude_categories=["Cs"]))
benches = st.builds(Bench, texts, texts, texts, texts)


def segment_of(content: bytes) -> str:
    return base64.urlsafe_b64encode(zlib.compress(content, 9)).decode().rstrip("=")


def told(**keys: object) -> str:
    return segment_of(json.dumps(keys).encode())


@given(benches)
def test_a_bench_comes_back_as_it_went(bench):
    assert unpack(pack(bench)) == bench


@given(benches, benches)
def test_different_benches_have_different_addresses(one, other):
    assert (pack(one) == pack(other)) == (one == other)


@given(benches)
def test_an_address_needs_no_escaping(bench):
    assert set(pack(bench)) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_")


def test_the_demonstration_fits_an_address_that_people_can_send():
    assert len(TOWN) < 4000


@given(st.text())
def test_whatever_an_address_holds_it_is_a_bench_or_refused(segment):
    try:
        assert isinstance(unpack(segment), Bench)
    except BenchError as error:
        assert str(error).startswith("this address")


@given(st.binary())
def test_whatever_is_packed_it_is_a_bench_or_refused(content):
    with suppress(BenchError):
        assert isinstance(unpack(segment_of(content)), Bench)


@given(benches, st.integers(0, 200))
def test_a_segment_cut_short_is_refused_or_no_other_bench(bench, cut):
    segment = pack(bench)[: -1 - cut]
    with pytest.raises(BenchError):
        unpack(segment)


REFUSED = {
    "nothing": "",
    "no base64": "!!!!",
    "padding": pack(Bench("x")) + "==",
    "no zlib": base64.urlsafe_b64encode(b"plain").decode().rstrip("="),
    "something behind it": base64.urlsafe_b64encode(zlib.compress(b'{"p":""}') + b"x").decode().rstrip("="),
    "no JSON": segment_of(b"{"),
    "no UTF-8": segment_of(b'{"p":"\xff"}'),
    "half a sign": segment_of(b'{"p":"\\ud800"}'),
    "a list": segment_of(b'["p"]'),
    "no plan": told(s="x"),
    "a strange key": told(p="x", q="y"),
    "a number": told(p=1),
    "nothing in it": told(p=None),
    "brackets without end": segment_of(b"[" * 500_000),
    "digits without end": segment_of(b'{"p":' + b"1" * 500_000 + b"}"),
    "too long": "A" * (LONGEST_SEGMENT + 1),
}


@pytest.mark.parametrize("segment", REFUSED.values(), ids=REFUSED)
def test_what_is_no_bench_is_refused(segment):
    with pytest.raises(BenchError):
        unpack(segment)


@pytest.mark.parametrize(
    "segment", [one for one in REFUSED.values() if one], ids=[n for n, s in REFUSED.items() if s]
)
def test_what_is_no_bench_has_its_page(segment):
    answer = asked(client(), f"/bench/{segment}/survey")
    assert answer.status_code == 404
    assert "This address" in words(answer)
    assert "Traceback" not in words(answer)


def test_a_bomb_is_refused_before_it_grows():
    bomb = segment_of(b'{"p":"' + b"a" * 40_000_000 + b'"}')
    assert len(bomb) <= LONGEST_SEGMENT
    tracemalloc.start()
    with pytest.raises(BenchError):
        unpack(bomb)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 3 * LARGEST_BENCH


def test_texts_with_half_a_sign_are_refused_with_the_reason():
    with pytest.raises(BenchError, match="UTF-8"):
        pack(Bench("\ud800"))


# What no address holds


def long_bench(seed: int, size: int = 300_000) -> Bench:
    """Return a bench that does not pack well."""
    digits = "".join(f"{(seed + 1) * 7919 * i * i % 999_983:06d}" for i in range(size // 6))
    return Bench("x", digits)


def test_a_short_bench_is_not_kept():
    shelf = Shelf()
    assert shelf.segment(Bench("x")) == pack(Bench("x"))


def test_a_long_bench_is_kept_and_comes_back():
    shelf, bench = Shelf(), long_bench(0)
    segment = shelf.segment(bench)
    assert segment.startswith("kept-")
    assert len(segment) < 100
    assert shelf.bench(segment) == bench
    assert shelf.segment(bench) == segment


def test_the_oldest_goes_when_there_is_no_room():
    shelf = Shelf(room=700_000)
    first, second, third = (shelf.segment(long_bench(seed)) for seed in range(3))
    with pytest.raises(BenchGoneError):
        shelf.bench(first)
    assert shelf.bench(second) == long_bench(1)
    assert shelf.bench(third) == long_bench(2)


def test_what_was_used_lately_stays():
    shelf = Shelf(room=700_000)
    first, second = (shelf.segment(long_bench(seed)) for seed in range(2))
    shelf.bench(first)
    shelf.segment(long_bench(2))
    assert shelf.bench(first) == long_bench(0)
    with pytest.raises(BenchGoneError):
        shelf.bench(second)


def test_what_is_larger_than_any_form_may_send_is_refused():
    with pytest.raises(BenchError, match="2 MB"):
        Shelf().segment(Bench("x" * LARGEST_BENCH))


def test_an_address_from_an_earlier_run_says_that_it_is_gone():
    answer = asked(client(), "/bench/kept-" + "0" * 64 + "/survey")
    assert answer.status_code == 410
    assert "no longer in memory" in words(answer)
