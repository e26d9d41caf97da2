"""Stations and titles with names that every format has to bear, and the commands to try them on."""

from __future__ import annotations

import csv
import json
import unicodedata
from pathlib import Path

from commandline import AM, FM, UNKNOWN_SIDE, call

HOSTILE = [
    "</script><img src=x onerror=alert(1)>",
    "<b>&amp; \"both\" 'kinds'",
    "=cmd|' /C calc'!A0",
    "+39 06",
    "-Minus",
    "@SUM(1)",
    " =after a blank",
    "NA",
    "007",
    "1e5",
    "[a\\b] {c} _#$%&~^ | ` *x*",
    "*starred",
    'quo"te, line\nand\r\nline',
    "مرحبا بكم",
    "Radio \N{RADIO}\N{VARIATION SELECTOR-16}",
    "Feldùna — Ærø",
    "$x^2$ ![p](q) ~~no~~",
]
"""What stations may be called: their frequencies make each a ghost of an FM set."""

COMMANDS = {
    "survey": ("survey", "fm.toml"),
    "survey with stations": ("survey", "fm.toml", "--stations", "town.csv"),
    "survey of both sides": ("survey", "unknown.toml", "--stations", "town.csv"),
    "survey of a hostile title": ("survey", "evil.toml", "--stations", "town.csv"),
    "channel": ("channel", "am.toml", "936 kHz"),
    "channel with stations": ("channel", "fm.toml", "94.0 MHz", "--stations", "town.csv"),
    "compare": ("compare", "fm.toml", "--intermediate", "8.3 MHz"),
    "compare with gaps": ("compare", "am.toml", "--intermediate", "45 MHz"),
    "dial": ("dial", "evil.toml", "read.csv"),
    "dial of both sides": ("dial", "unknown.toml", "read.csv"),
    "receivers": ("receivers", "fm.toml", "am.toml", "fm.toml"),
    "receivers with stations": ("receivers", "evil.toml", "unknown.toml", "--stations", "town.csv"),
    "receivers, a set alone": ("receivers", "am.toml"),
    "sweep": ("sweep", "evil.toml", "--stations", "town.csv", "--intermediate", "10.65 MHz", "--draws", "2"),
    "sweep of hostile towns": ("sweep", "am.toml", "--towns", "towns.csv", "--goal", "quiet"),
    "exercise": ("exercise", "am.toml", "--count", "8"),
    "exercise of a hostile title": ("exercise", "evil.toml", "--level", "3", "--count", "8"),
    "exercise with hostile answers": ("exercise", "fm.toml", "--level", "2", "--check", "answers.csv"),
    "diagnose": ("diagnose", "fm.toml", "heard.toml"),
    "diagnose with stations": ("diagnose", "fm.toml", "heard.toml", "--stations", "town.csv"),
    "diagnose several symptoms": ("diagnose", "unknown.toml", "several.toml", "--stations", "town.csv"),
    "diagnose a hostile title": ("diagnose", "evil.toml", "nothing.toml"),
}

EVIDENCE = {
    "heard": [
        {"dial": "93.15 MHz", "heard": "programme", "programme_of": ["98.5 MHz"], "notch_stops": ["99.1 MHz"]}
    ],
    "several": [
        {"on_station": name, "heard": "whistle", "programme_of": [other], "notch_keeps": [name]}
        for name, other in zip(HOSTILE[::2], HOSTILE[1::2], strict=False)
    ],
    "nothing": [{}],
}
"""What is observed, by the name of its file; stations are named by what they are called, also where that is hostile."""


def write_inputs(folder: Path) -> None:
    """Write the plans and the list that `COMMANDS` name."""
    rows = [["name", "frequency_mhz"]]
    rows += [[name, f"{98.5 + 0.3 * i:.1f}"] for i, name in enumerate(HOSTILE)]
    with (folder / "town.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    with (folder / "towns.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["town", *rows[0]], *([name, name, hertz] for name, hertz in rows[1:])])
    answers = [["student", "problem", "answer"], *([name, "1a", name] for name in HOSTILE)]
    with (folder / "answers.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(answers)
    readings = [["station", "reads_mhz", "is_mhz"]]
    readings += [[name, f"{89 + i:.1f}", f"{90 + i:.1f}"] for i, name in enumerate(HOSTILE)]
    with (folder / "read.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(readings)
    for name, symptoms in EVIDENCE.items():
        text = "".join(f"[[symptom]]\n{_lines(symptom)}" for symptom in symptoms)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    plans = {
        "fm": FM,
        "am": AM,
        "unknown": UNKNOWN_SIDE,
        "evil": FM.replace("Kitchen set", "</title>$_&*<b>"),
    }
    for name, text in plans.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")


def acting(text: str) -> set[str]:
    """Return the signs of a text that a terminal obeys instead of showing them, line feeds aside."""
    return {
        sign
        for sign in text
        if (unicodedata.category(sign) in ("Cc", "Cs") and sign != "\n")
        or unicodedata.bidirectional(sign) in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
    }


def _lines(symptom: dict) -> str:
    """Write keys as TOML, which takes text and lists as JSON has them."""
    return "".join(f"{key} = {json.dumps(value, ensure_ascii=False)}\n" for key, value in symptom.items())


def written(words: tuple[str, ...], form: str, *options: str) -> str:
    """Return what a command writes in a format."""
    answer = call(*words, "--format", form, *options)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.endswith("\n")
    return answer.out
