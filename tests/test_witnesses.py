"""Names and frequencies of the evidence against the list of stations."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan import Band, Conversion, Evidence, EvidenceError, Plan, StationList, Symptom, load_evidence
from freqplan.witnesses import Carrier, witnesses

FM = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
)
MEDIUM_WAVE = Plan(
    band=Band(low_hz=531_000, high_hz=1_602_000),
    conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
)
TOWN = {
    "Radio Sarvenna": 87_600_000,
    "Lintrova Uno": 88_000_000,
    "Lintrova Due": 95_200_000,
    "Orvessa Campus": 88_600_000,
    "Zürich der Täler": 101_250_000,
    "إذاعة الجبل": 103_400_000,
    "104": 91_000_000,
    "102 Più": 102_300_000,
}
STATIONS = StationList.from_frequencies(TOWN.values(), TOWN)
SARVENNA, UNO, DUE = (
    Carrier(name, TOWN[name]) for name in ("Radio Sarvenna", "Lintrova Uno", "Lintrova Due")
)


def of(*texts, plan=FM, stations=STATIONS):
    """Return the witness of one symptom in which `texts` were recognised."""
    (witness,) = witnesses(plan, Evidence(symptoms=[Symptom(programme_of=texts)]), stations)
    return witness


def only_fault(*texts, **how):
    with pytest.raises(EvidenceError) as caught:
        of(*texts, **how)
    (fault,) = caught.value.faults
    return fault


def test_every_key_that_names_stations_is_looked_up():
    symptoms = (
        Symptom(
            on_station="radio sarvenna",
            programme_of=("Lintrova Uno", "98 MHz"),
            notch_stops=("95.2 MHz",),
            notch_keeps=("Campus", "88 MHz"),
        ),
        Symptom(drifts=True),
    )
    first, second = witnesses(FM, Evidence(symptoms=symptoms), STATIONS)
    assert first.on_station == SARVENNA == ("Radio Sarvenna", 87_600_000)
    assert first.programme_of == (UNO, ("98.0 MHz", 98_000_000))
    assert first.notch_stops == (DUE,)
    assert first.notch_keeps == (("Orvessa Campus", 88_600_000), UNO)
    assert (second.on_station, second.programme_of, second.notch_stops, second.remarks) == (None, (), (), ())


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Lintrova Uno", "Lintrova Uno"),
        (" LINTROVA  uno ", "Lintrova Uno"),
        ("due", "Lintrova Due"),
        ("ZÜRICH DER TÄLER", "Zürich der Täler"),
        ("zu\N{COMBINING DIAERESIS}rich", "Zürich der Täler"),
        ("الجبل", "إذاعة الجبل"),
        ("87.6 MHz", "Radio Sarvenna"),
        ("87600 kHz", "Radio Sarvenna"),
        ("104", "104"),
        ("102 più", "102 Più"),
        ("102 P", "102 Più"),
    ],
)
def test_a_station_is_found_by_what_people_write(text, name):
    witness = of(text)
    assert witness.programme_of == ((name, TOWN[name]),)
    assert witness.remarks == ()


@pytest.mark.parametrize(
    ("text", "plan", "carrier", "taken"),
    [
        ("103.4", FM, ("إذاعة الجبل", 103_400_000), "103.4 MHz"),
        ("99", FM, ("99.0 MHz", 99_000_000), "99 MHz"),
        ("936", MEDIUM_WAVE, ("936 kHz", 936_000), "936 kHz"),
    ],
)
def test_a_bare_number_is_taken_in_the_unit_of_the_band_with_a_remark(text, plan, carrier, taken):
    witness = of("88 MHz", text, plan=plan)
    assert witness.programme_of[1] == carrier
    assert witness.remarks == (f'symptom[0].programme_of[1]: "{text}" taken as {taken}',)


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        ("Lintrova", "names several stations", '"Lintrova Due" on 95.2 MHz, "Lintrova Uno" on 88.0 MHz; write its'),
        ("r", "names several stations", " and 2 more; write its frequency"),
        ("Radio Savrena", "no such station in the list", '"Radio Sarvenna" on 87.6 MHz'),
        ("xyz", "no such station in the list", "write its frequency"),
        ("98.1 Mhz", 'unknown unit "Mhz"', 'write "98.1 MHz"'),
        ("98,1", "decimal comma", 'write "98.1" with a point'),
        ("98,1 MHz", "decimal comma", 'write "98.1 MHz" with a point'),
        ("0 MHz", "zero is not a frequency", "103.4 MHz"),
        ("0", "zero is not a frequency", "103.4 MHz"),
        ("-98 MHz", "negative", 'write "98 MHz"'),
        ("-98", "negative", 'write "98 MHz"'),
        ("99999999", "above 300 GHz", "check the unit"),
        ("9" * 60, "too long", "write"),
    ],
)  # fmt: skip
def test_what_is_not_one_station_is_refused(text, what, hint):
    fault = only_fault("88 MHz", text)
    assert (fault.key, fault.found) == ("symptom[0].programme_of[1]", f'"{text}"')
    assert what in fault.what
    assert hint in fault.hint


def test_a_name_that_several_frequencies_have_is_ambiguous_and_one_twice_on_the_same_is_not():
    twice = StationList.from_frequencies([88_000_000, 95_000_000], ["Uno", "Uno"])
    assert "88.0 MHz" in only_fault("Uno", stations=twice).hint
    same = StationList.from_frequencies([88_000_000, 88_000_000], ["Uno", "Uno"])
    assert of("Uno", stations=same).programme_of == (("Uno", 88_000_000),)


def test_the_name_as_listed_goes_before_another_case_and_before_a_part():
    stations = StationList.from_frequencies([88_000_000, 89_000_000, 90_000_000], ["Uno", "UNO", "Uno Due"])
    assert of("UNO", stations=stations).programme_of == (("UNO", 89_000_000),)
    assert only_fault("uno", stations=stations).what == "names several stations"


@pytest.mark.parametrize("stations", [None, StationList.from_frequencies([])])
def test_without_stations_a_frequency_names_itself_and_a_name_is_refused(stations):
    assert of("87.6 MHz", "936 kHz", stations=stations).programme_of == (
        ("87.6 MHz", 87_600_000),
        ("936 kHz", 936_000),
    )
    fault = only_fault("Lintrova Uno", stations=stations)
    assert "write its frequency" in fault.hint
    assert ("--stations" in fault.hint) == (stations is None)


@given(
    st.lists(st.integers(87_500, 87_900), max_size=8),
    st.integers(87_400, 88_000),
    st.sampled_from([1, 50, 100, 200]),
)
def test_the_nearest_station_within_half_a_raster_is_taken(listed_khz, written_khz, raster_khz):
    band = Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=raster_khz * 1000)
    plan = Plan(band=band, conversion=FM.conversion)
    stations = StationList.from_frequencies(
        [khz * 1000 for khz in listed_khz], [f"no. {place}" for place, _ in enumerate(listed_khz)]
    )
    ((name, hz),) = of(f"{written_khz} kHz", plan=plan, stations=stations).programme_of
    nearest = sorted(set(listed_khz), key=lambda khz: abs(khz - written_khz))
    near = [khz for khz in nearest if 2 * abs(khz - written_khz) <= raster_khz]
    equally = len(near) > 1 and abs(near[0] - written_khz) == abs(near[1] - written_khz)
    if near and not equally:
        assert (name, hz) == (f"no. {listed_khz.index(near[0])}", near[0] * 1000)
    else:
        assert hz == written_khz * 1000
        assert name.endswith(" MHz")
    assert type(hz) is int


@given(
    st.dictionaries(st.text(min_size=1, max_size=12), st.integers(1, 300_000_000_000), max_size=5), st.data()
)
def test_any_text_is_a_carrier_or_an_evidence_error(town, data):
    stations = StationList.from_frequencies(town.values(), town)
    text = data.draw(st.text(min_size=1, max_size=12) | st.sampled_from([*town, "a"]))
    try:
        symptom = Symptom(programme_of=text)
        (witness,) = witnesses(FM, Evidence(symptoms=[symptom]), stations)
    except EvidenceError as error:
        assert all(fault.what and fault.hint for fault in error.faults)
    else:
        assert len(witness.programme_of) == len(symptom.programme_of)
        assert all(one.frequency_hz > 0 for one in witness.programme_of)


def test_all_faults_come_at_once_with_file_and_line(tmp_path):
    path = tmp_path / "heard.toml"
    path.write_text(
        """\
[[symptom]]
dial = "98 MHz"
programme_of = [
    "Radio Sarvenna",
    "Nobody",
]
[[symptom]]
notch_keeps = "98,1"
on_station = "Lintrova"
notch_stops = ["87.6 MHz"]
"""
    )
    with pytest.raises(EvidenceError) as caught:
        witnesses(FM, load_evidence(path), STATIONS)
    assert [(fault.source, fault.line, fault.key) for fault in caught.value.faults] == [
        (str(path), 3, "symptom[0].programme_of[1]"),
        (str(path), 8, "symptom[1].notch_keeps[0]"),
        (str(path), 9, "symptom[1].on_station"),
    ]


def test_remarks_of_a_file_belong_to_their_symptom():
    text = '[[symptom]]\non_station = "99"\n[[symptom]]\nprogramme_of = ["98 MHz", "97.5"]\n'
    found = witnesses(FM, load_evidence(io.StringIO(text)), None)
    assert [one.remarks for one in found] == [
        ('symptom[0].on_station: "99" taken as 99 MHz',),
        ('symptom[1].programme_of[1]: "97.5" taken as 97.5 MHz',),
    ]
