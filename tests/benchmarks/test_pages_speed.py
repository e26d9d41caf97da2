"""The report and the page against the bare libraries: five empty charts on a page, a server that says one word."""

from __future__ import annotations

import http.client
import re
import statistics
import subprocess
import sys
import time
from pathlib import Path

from freqplan import load_plan, load_stations, survey
from freqplan.page.app import create_app
from freqplan.page.state import Bench, pack

ROOT = Path(__file__).resolve().parents[2]
RUNS = 7
PLAN, STATIONS = "plans_demo/pantry.toml", "plans_demo/orvessa.csv"

BARE_REPORT = """
import io, numpy, jinja2, matplotlib
from matplotlib.figure import Figure
matplotlib.rcParams["svg.fonttype"] = "none"
pictures = []
for number in range(5):
    figure, file = Figure(figsize=(7, 5)), io.StringIO()
    axes = figure.add_subplot()
    for line in range(10):
        axes.plot([87.5, 108], [98 + line, 120 + line], label=f"line {line}")
    axes.legend()
    figure.savefig(file, format="svg")
    pictures.append(file.getvalue())
rows = [[str(row * column) for column in range(8)] for row in range(300)]
text = "{% for row in rows %}<tr>{% for one in row %}<td>{{ one }}</td>{% endfor %}</tr>{% endfor %}{{ pictures }}"
print(jinja2.Environment(autoescape=True).from_string(text).render(rows=rows, pictures=pictures))
"""

BARE_PAGE = """
import flask, waitress
app = flask.Flask("bare")
app.route("/start")(lambda: "here")
server = waitress.create_server(app, host="127.0.0.1", port=0)
print(f"http://127.0.0.1:{server.effective_port}/", flush=True)
server.run()
"""
PORT = 8450
PAGE = (sys.executable, "-m", "freqplan", "page", "--no-browser", "--port", str(PORT))


def seconds(command):
    start = time.perf_counter()
    subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=True, timeout=120)
    return time.perf_counter() - start


def first_answer(command):
    """Return how long after its start a server has answered, and how long that answer took [s]."""
    start = time.perf_counter()
    process = subprocess.Popen(command, cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    try:
        port = int(re.search(r"http://127\.0\.0\.1:(\d+)/", process.stdout.readline()).group(1))
        heard = time.perf_counter()
        answered(port, "/start")
        return time.perf_counter() - start, time.perf_counter() - heard
    finally:
        process.kill()
        process.communicate()


def answered(port, path):
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    line.request("GET", path)
    answer = line.getresponse()
    assert answer.status in (200, 302, 303)
    answer.read()
    line.close()


def told(name, mine, bare, what):
    print(f"  {name}: {1e3 * mine:.0f} ms, {mine / bare:.2f} times {what} ({1e3 * bare:.0f} ms)")


def test_a_report_against_empty_charts(tmp_path):
    report = (
        sys.executable, "-m", "freqplan", "report", PLAN, "--stations", STATIONS, "-o", str(tmp_path / "report.html"),
    )  # fmt: skip
    commands = {"report": report, "bare": (sys.executable, "-c", BARE_REPORT)}
    rounds = [{name: seconds(command) for name, command in commands.items()} for _ in range(RUNS + 1)][1:]
    medians = {name: statistics.median(one[name] for one in rounds) for name in commands}
    print(f"\nReport of 80 stations with five charts, median of {RUNS}")
    told("report", medians["report"], medians["bare"], "five plain charts and 300 rows")
    print(f"  {(tmp_path / 'report.html').stat().st_size} bytes")
    assert medians["report"] < 4 * medians["bare"]


def test_the_page_against_a_bare_server():
    commands = {"page": PAGE, "bare": (sys.executable, "-c", BARE_PAGE)}
    rounds = [{name: first_answer(command) for name, command in commands.items()} for _ in range(RUNS + 1)][
        1:
    ]
    medians = {
        name: [statistics.median(one[name][part] for one in rounds) for part in (0, 1)] for name in commands
    }
    print(f"\nFirst answer of the page, median of {RUNS}")
    told(
        "from the start of the process", medians["page"][0], medians["bare"][0], "a server that says one word"
    )
    told("once it listens", medians["page"][1], medians["bare"][1], "the same")
    assert medians["page"][0] < 6 * medians["bare"][0]


def test_a_survey_on_the_page_against_the_survey():
    plan, stations = load_plan(ROOT / PLAN), load_stations(ROOT / STATIONS)
    texts = [(ROOT / name).read_text("utf-8") for name in (PLAN, STATIONS)]
    address, visitor = pack(Bench(*texts)), create_app(PORT, token="-").test_client()
    mine, bare = [], []
    for run in range(RUNS + 1):
        # Another figure each time, so that nothing is remembered.
        changed = plan.with_changes(intermediate_hz=10_700_000 + 1000 * run)
        start = time.perf_counter()
        result = survey(changed, stations)
        assert min(len(result.check_list), len(result.heard)) > 0
        bare.append(time.perf_counter() - start)
        start = time.perf_counter()
        asked = f"/bench/{address}/survey?intermediate={10_700 + run}+kHz"
        assert visitor.get(asked, base_url=f"http://127.0.0.1:{PORT}").status_code == 200
        mine.append(time.perf_counter() - start)
    print(f"\nSurvey of 80 stations, median of {RUNS}")
    told(
        "as a page",
        statistics.median(mine[1:]),
        statistics.median(bare[1:]),
        "its check list and what is heard",
    )
    assert statistics.median(mine[1:]) < 3 * statistics.median(bare[1:])
