"""Who would be heard from where: against a plain loop over the services, and what is known of some frequencies."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.diagnosis.airwaves import KINDS, NOBODY, USES, airwaves, use_of
from freqplan.errors import ModelRangeError
from freqplan.hertz import HIGHEST_HZ
from freqplan.plan_reading import REGIONS
from freqplan.services import allocations, services_in

EVERY_REGION = pytest.mark.parametrize("region", REGIONS)
EVERY_MODULATION = pytest.mark.parametrize("modulation", ["fm", "am"])


def heard_by_loop(frequency_hz, region, modulation):
    """Return the weight by kind and the speaker, service by service."""
    by_kind, speaker, loudest = dict.fromkeys(KINDS, 0.0), "", 0.0
    services = services_in(frequency_hz, frequency_hz, region=region)
    for use in [use_of(service) for service in services] or [NOBODY]:
        kind = use.kind
        if kind == "programme" and use.modulation != modulation:
            kind = {"fm": "whistle", "am": "noise"}[modulation]
        by_kind[kind] = max(by_kind[kind], use.weight)
        if use.speaker and use.weight > loudest:
            speaker, loudest = use.speaker, use.weight
    return by_kind, speaker


def check_against_the_loop(frequencies, region, modulation):
    found = airwaves(np.array(frequencies, dtype=np.int64), region=region, modulation=modulation)
    for place, frequency_hz in enumerate(frequencies):
        by_kind, speaker = heard_by_loop(frequency_hz, region, modulation)
        assert {kind: found.weight_of(kind)[place] for kind in KINDS} == by_kind, frequency_hz
        assert found.kind[place] == max(by_kind, key=by_kind.__getitem__), frequency_hz
        assert found.weight[place] == max(by_kind.values()), frequency_hz
        assert found.speaker[place] == speaker, frequency_hz


@EVERY_REGION
@EVERY_MODULATION
def test_at_every_edge_and_a_hertz_beside_it_a_loop_finds_the_same(region, modulation):
    edges = {edge for each in allocations(region) for edge in (each.low_hz, each.high_hz)}
    beside = [edge + step for edge in edges for step in (-1, 0, 1)]
    check_against_the_loop(beside, region, modulation)


@given(
    st.sampled_from(REGIONS),
    st.sampled_from(["fm", "am"]),
    st.lists(st.one_of(st.integers(1, 10**9), st.integers(1, HIGHEST_HZ)), max_size=20),
)
def test_anywhere_a_loop_finds_the_same(region, modulation, frequencies):
    check_against_the_loop(frequencies, region, modulation)


# The services: Netherlands frequency plan 2014 and, from memory, the tables of Region 2 and 3. What is heard of each:
# common practice, no source.
@pytest.mark.parametrize(
    ("region", "modulation", "frequency_hz", "kind", "weight", "speaker"),
    [
        (1, "fm", 101_000_000, "programme", 1.0, ""),
        (1, "am", 101_000_000, "noise", 1.0, ""),
        (1, "fm", 108_000_000, "programme", 1.0, ""),
        (1, "fm", 108_000_001, "whistle", 0.4, ""),
        (1, "fm", 122_800_000, "speech", 0.6, "aircraft"),
        (2, "am", 122_800_000, "speech", 0.6, "aircraft"),
        (1, "fm", 145_000_000, "speech", 0.2, "amateurs"),
        (1, "fm", 147_000_000, "speech", 0.25, "other"),
        (2, "fm", 147_000_000, "speech", 0.2, "amateurs"),
        (3, "fm", 158_000_000, "speech", 0.3, "other"),
        (1, "fm", 200_000_000, "noise", 0.6, ""),
        (2, "fm", 200_000_000, "noise", 0.6, ""),
        (1, "fm", 243_000_000, "speech", 0.6, "aircraft"),
        (1, "am", 1_000_000, "programme", 1.0, ""),
        (1, "fm", 1_000_000, "whistle", 1.0, ""),
        (1, "am", 9_600_000, "programme", 1.0, ""),
        (1, "am", 10_700_000, "speech", 0.15, "other"),
        (1, "fm", 88_000_000_000, "silence", 0.03, ""),
    ],
)
def test_what_is_known_to_be_heard(region, modulation, frequency_hz, kind, weight, speaker):
    found = airwaves(np.array([frequency_hz]), region=region, modulation=modulation)
    assert (found.kind[0], found.weight[0], found.speaker[0]) == (kind, weight, speaker)


def test_of_several_services_each_kind_keeps_its_own_weight():
    # 27 MHz: appliances and citizens' band; the likelier of the two names the kind.
    found = airwaves(np.array([27_100_000]), region=1, modulation="am")
    assert found.kind[0] == "noise"
    assert found.weight_of("noise")[0] > found.weight_of("speech")[0] > 0
    assert found.speaker[0] == "other"


# Which services there are, and which are told


def test_every_service_of_the_table_has_a_use_and_every_use_a_service():
    listed = [service for region in REGIONS for service in allocations(region)]
    assert all(use_of(service) in USES.values() for service in listed)
    used = {service.name if service.name in USES else service.service for service in listed}
    assert used == set(USES)


@pytest.mark.parametrize("name", USES)
def test_a_use_is_a_known_one(name):
    use = USES[name]
    assert use.kind in KINDS
    assert 0 < use.weight <= 1
    assert (use.kind == "speech") == (use.speaker in ("aircraft", "amateurs", "other"))
    assert (use.kind == "programme") == (use.modulation in ("fm", "am"))


def test_nobody_is_less_likely_on_the_air_than_anybody():
    assert NOBODY.weight == min(use.weight for use in USES.values())


@EVERY_REGION
def test_the_broadcasts_of_each_modulation_are_programmes_on_its_own_sets_only(region):
    for service in allocations(region):
        modulation = {"FM": "fm", "AM": "am"}.get(service.name.split()[0])
        kinds = {use_of(service).heard_on(one) for one in ("fm", "am")}
        assert ("programme" in kinds) == (modulation is not None), service.name
        if modulation:
            assert use_of(service).heard_on(modulation) == "programme"
            assert len(kinds) == 2


def test_a_region_that_does_not_exist_is_refused():
    with pytest.raises(ModelRangeError, match="Region 4"):
        airwaves(np.array([100_000_000]), region=4, modulation="fm")


def test_of_no_frequency_nothing_is_heard():
    found = airwaves(np.zeros(0, dtype=np.int64), region=1, modulation="fm")
    assert [len(found.kind), len(found.weight), len(found.speaker), len(found.weight_of("speech"))] == [0] * 4
