"""What each command loads: libraries that take long to start come only where they are needed."""

from __future__ import annotations

import inspect
import itertools
import json
import os
import subprocess
import sys

import pytest
from commandline import ROOT

import freqplan

SLOW = {
    "numpy",
    "pandas",
    "sympy",
    "pydantic",
    "matplotlib",
    "scipy",
    "tabulate",
    "jinja2",
    "joblib",
    "flask",
    "werkzeug",
    "waitress",
}
PLAN, STATIONS = "plans_demo/pantry.toml", "plans_demo/orvessa.csv"
READINGS = "plans_demo/loft-readings.csv"

# The modules are listed even when the command leaves by SystemExit, as all of them do.
PROBE = """
import json, sys
sys.argv = ["freqplan", *sys.argv[1:]]
try:
    from freqplan.cli import main
    main()
finally:
    loaded = sorted({name.partition(".")[0] for name in sys.modules})
    print(json.dumps(loaded), file=sys.stderr)
"""


def run(code, *words):
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done


def loaded_by(*words):
    """Return which of the slow libraries a command loads."""
    return SLOW & set(json.loads(run(PROBE, *words).stderr.splitlines()[-1]))


@pytest.mark.parametrize("words", [("--help",), ("-h",), ("--version",), ("start",), ("start", "fm")])
def test_help_and_start_load_nothing_slow(words):
    assert loaded_by(*words) == set()


@pytest.mark.parametrize(
    "command",
    [
        "survey",
        "channel",
        "chart",
        "compare",
        "if-ranges",
        "dial",
        "start",
        "receivers",
        "report",
        "sweep",
        "sound",
        "page",
    ],
)
def test_help_on_a_command_loads_nothing_slow(command):
    assert loaded_by(command, "--help") == set()


@pytest.mark.parametrize("form", ["table", "json", "csv"])
@pytest.mark.parametrize(
    "words",
    [
        ("survey", PLAN),
        ("survey", PLAN, "--stations", STATIONS),
        ("channel", PLAN, "98.1 MHz", "--stations", STATIONS),
        ("compare", PLAN),
        ("if-ranges", PLAN, "--from", "1 MHz", "--to", "50 MHz"),
        ("dial", PLAN, READINGS),
        ("receivers", PLAN, PLAN, "--stations", STATIONS),
        ("sweep", PLAN, "--stations", STATIONS),
    ],
)
def test_answers_load_numpy_and_pydantic_alone(words, form):
    assert loaded_by(*words, "--format", form) == {"numpy", "pydantic"}


@pytest.mark.parametrize(
    ("form", "library"), [("markdown", "tabulate"), ("latex", "tabulate"), ("html", "jinja2")]
)
def test_a_format_loads_its_own_library_alone(form, library):
    assert loaded_by("survey", PLAN, "--format", form) == {"numpy", "pydantic", library}


def test_a_sound_loads_numpy_and_pydantic_alone():
    assert loaded_by("sound", PLAN, "--offset", "2 kHz", "-o", os.devnull) == {"numpy", "pydantic"}


def test_a_chart_loads_matplotlib_and_nothing_else_does():
    # All other commands are asked above.
    found = loaded_by("chart", PLAN, "response-map", "--stations", STATIONS)
    assert found == {"numpy", "pydantic", "matplotlib"}


def test_the_gallery_and_what_is_on_a_chart_come_without_matplotlib():
    code = (
        "import sys, freqplan; from freqplan.charts import gallery, map_lines, curve_parts; "
        f"answer = freqplan.survey(freqplan.load_plan({PLAN!r}), freqplan.load_stations({STATIONS!r})); "
        "map_lines.map_of(answer); curve_parts.curve_of(answer); print('matplotlib' in sys.modules)"
    )
    assert run(code).stdout == "False\n"


@pytest.mark.parametrize(
    ("words", "libraries"), [((), {"jinja2", "matplotlib"}), (("--no-charts",), {"jinja2"})]
)
def test_a_report_loads_its_template_and_its_charts_and_nothing_else(words, libraries):
    report = ("report", PLAN, "--stations", STATIONS, "-o", os.devnull)
    assert loaded_by(*report, *words) == {"numpy", "pydantic", *libraries}


def test_importing_the_package_loads_nothing_slow():
    code = "import freqplan, sys, json; print(json.dumps(sorted(sys.modules)))"
    loaded = json.loads(run(code).stdout)
    assert not SLOW & set(loaded)
    assert [name for name in loaded if name.startswith("freqplan.")] == []


def test_loading_a_plan_and_surveying_it_loads_no_pandas():
    code = (
        f"import freqplan, sys; freqplan.survey(freqplan.load_plan({PLAN!r})); print('pandas' in sys.modules)"
    )
    assert run(code).stdout == "False\n"


# The public names


def test_every_public_name_resolves_and_is_documented():
    for name in freqplan.__all__:
        assert inspect.getdoc(getattr(freqplan, name)), name
    assert dir(freqplan) == sorted(freqplan.__all__)


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'surveyor'"):
        _ = freqplan.surveyor


def test_no_public_name_is_the_name_of_a_module():
    # Importing a module sets its name on the package, and would hide a function of that name.
    modules = {path.stem for path in (ROOT / "freqplan").glob("*.py")} | {
        "mechanisms",
        "cli",
        "data",
        "charts",
        "reports",
        "page",
    }
    assert not modules & set(freqplan.__all__)


HOMES = (
    "surveys", "channels", "charts.gallery", "charts.chart", "comparisons", "dials", "households", "planfile",
    "readings", "stations", "tables", "reports.writing", "sounds", "starters", "sweeping",
)  # fmt: skip


@pytest.mark.parametrize(
    "order", [HOMES, HOMES[::-1], *itertools.islice(itertools.permutations(HOMES), 7, 5000, 1111)]
)
def test_public_functions_stay_functions_in_whatever_order_modules_are_imported(order):
    imports = "".join(f"import freqplan.{home}\n" for home in order)
    names = ("survey", "channel", "chart", "compare", "dial", "receivers", "load_plan", "load_readings",
             "load_stations", "render", "report", "sound", "starter", "sweep")  # fmt: skip
    code = f"{imports}import freqplan, inspect\nprint([inspect.isfunction(getattr(freqplan, n)) for n in {names}])"
    assert run(code).stdout == f"{[True] * len(names)}\n"
