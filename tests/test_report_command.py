"""report on the command line: what it writes, where, and what it refuses."""

from __future__ import annotations

import pytest
from commandline import DEMO, STATIONS, call, process, refused, write_inputs
from reportpages import ReportPage

PANTRY, ORVESSA = str(DEMO / "pantry.toml"), str(DEMO / "orvessa.csv")
SHORT = ("--no-charts", "--date", "2026-11-26")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with plans, a station list, evidence and readings."""
    write_inputs(tmp_path)
    (tmp_path / "heard.toml").write_text(
        '[[symptom]]\ndial = "98 MHz"\nheard = "whistle"\n', encoding="utf-8"
    )
    (tmp_path / "read.csv").write_text("reads_mhz,is_mhz\n90,90.1\n98,98.1\n106,106.1\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def written(folder, *words):
    answer = call("report", *words, *SHORT, "-o", "page.html")
    assert (answer.code, answer.out) == (0, ""), answer.err
    return ReportPage((folder / "page.html").read_text("utf-8"))


def test_the_page_goes_into_a_file_or_to_standard_output(folder):
    to_file = call("report", "fm.toml", *SHORT, "-o", "page.html")
    to_screen = call("report", "fm.toml", *SHORT, "-o", "-")
    assert (to_file.code, to_file.out, to_file.err) == (0, "", "")
    assert (to_screen.code, to_screen.err) == (0, "")
    assert to_screen.out == (folder / "page.html").read_text("utf-8")
    assert to_screen.out.endswith("</html>\n")


def test_it_is_utf_8_whatever_the_terminal_is():
    done = process("report", PANTRY, *SHORT, "-o", "-", PYTHONIOENCODING="ascii")
    assert done.returncode == 0, done.stderr
    assert "9 × 10.70 = 96.30" in done.stdout.decode("utf-8")


def test_a_plan_from_standard_input_and_one_from_a_file_are_the_same_but_for_their_names(folder):
    done = process("report", "-", *SHORT, "-o", "-", stdin=(folder / "fm.toml").read_bytes())
    from_file = call("report", "fm.toml", *SHORT, "-o", "-").out
    assert done.stdout.decode("utf-8") == from_file.replace("survey fm.toml", "survey -").replace(
        "<span>fm.toml</span>", "<span>-</span>"
    )


def test_evidence_and_readings_bring_their_parts(folder):
    titles = {title for _, title in written(folder, "fm.toml").headings}
    assert not {"Diagnosis", "Dial readings"} & titles
    full = written(folder, "fm.toml", "--evidence", "heard.toml", "--readings", "read.csv")
    assert {"Diagnosis", "Dial readings"} <= {title for _, title in full.headings}


def test_options_change_the_set_and_are_named_in_the_heading_and_in_the_commands(folder):
    page = written(
        folder, "fm.toml", "--stations", "town.csv", "--oscillator", "low", "--intermediate", "10.65 MHz",
        "--orders", "9,9", "--region", "2",
    )  # fmt: skip
    assert "10.65 MHz, given for this report in place of the plan's" in page.text
    assert "low: below the signal, given for this report in place of the plan's" in page.text
    assert "orders up to 9 of the signal and 9 of the oscillator" in page.text
    assert "ITU Region 2" in page.text
    caption = page.table("Responses over the band").caption
    assert caption.endswith(
        "freqplan survey fm.toml --stations town.csv --oscillator low --intermediate '10.65 MHz' --orders 9,9 "
        "--region 2 --table responses"
    )


def test_limit_and_date_are_kept_to(folder):
    page = written(folder, "fm.toml", "--limit", "2")
    assert len(page.table("Frequencies to check").rows) == 2
    assert ("time", "datetime", "2026-11-26") in page.attributes


def test_remarks_about_the_lists_go_to_standard_error(folder):
    (folder / "town.csv").write_text(STATIONS + "Mill Lane,96.3,55\n", encoding="utf-8")
    answer = call("report", "fm.toml", "--stations", "town.csv", *SHORT, "-o", "page.html")
    assert answer.code == 0
    assert "repeated rows left out" in answer.err


WRONG = [
    (("fm.toml",), "Missing option '-o'"),
    (("fm.toml", "-o", "x.html", "--date", "26.11.2026"), "not a day; write for example 2026-11-26"),
    (("fm.toml", "-o", "x.html", "--date", "2026-02-30"), "not a day"),
    (("fm.toml", "-o", "x.html", "--limit", "0"), "--limit"),
    (("fm.toml", "-o", "none/x.html"), "there is no folder"),
    (("fm.toml", "-o", "."), "it is a directory"),
    (("fm.toml", "-o", ""), "no file name"),
    (("gone.toml", "-o", "x.html"), "gone.toml"),
    (("fm.toml", "-o", "x.html", "--evidence", "gone.toml"), "gone.toml"),
    (("fm.toml", "-o", "x.html", "--readings", "town.csv"), "town.csv"),
    (("am.toml", "-o", "x.html", "--evidence", "heard.toml"), "heard.toml, line 2"),
    (("-", "-o", "x.html", "--evidence", "-"), "standard input"),
    (("fm.toml", "-o", "x.html", "--readings", "-", "--stations", "-"), "standard input"),
    (("fm.toml", "-o", "x.html", "--intermediate", "10.7"), "--intermediate"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "said"), WRONG)
def test_what_cannot_be_done_is_told_and_nothing_is_written(words, said, folder):
    before = sorted(path.name for path in folder.iterdir())
    refused(call("report", *words, "--no-charts"), said)
    assert sorted(path.name for path in folder.iterdir()) == before


@pytest.mark.parametrize("name", ["fm.toml", "town.csv", "heard.toml", "read.csv"])
def test_inputs_are_never_written_over(name, folder):
    before = (folder / name).read_bytes()
    words = ("--stations", "town.csv", "--evidence", "heard.toml", "--readings", "read.csv")
    refused(call("report", "fm.toml", *words, "-o", name), "stays as it is")
    assert (folder / name).read_bytes() == before


def test_a_report_that_fails_leaves_the_one_before(folder):
    (folder / "page.html").write_text("the one before", encoding="utf-8")
    refused(call("report", "am.toml", "--evidence", "heard.toml", "-o", "page.html"))
    assert (folder / "page.html").read_text("utf-8") == "the one before"


def test_the_reading_error_is_that_of_dial(tmp_path):
    plan, readings = str(DEMO / "loft.toml"), str(DEMO / "loft-readings.csv")
    written = {}
    for name, more in {"usual": (), "coarse": ("--reading-error", "1 MHz")}.items():
        file = tmp_path / f"{name}.html"
        answer = call(
            "report",
            plan,
            "--readings",
            readings,
            *more,
            "--date",
            "2026-01-02",
            "--no-charts",
            "-o",
            str(file),
        )
        assert answer.code == 0, answer.err
        written[name] = file.read_text("utf-8")
    assert "taken as good to 1 MHz" in written["coarse"]
    assert "taken as good to 1 MHz" not in written["usual"]


def test_a_reading_error_without_readings_is_refused(tmp_path):
    answer = call(
        "report", str(DEMO / "loft.toml"), "--reading-error", "1 MHz", "-o", str(tmp_path / "report.html")
    )
    refused(answer, "reading error without readings")
    assert not (tmp_path / "report.html").exists()


def test_a_side_that_does_not_matter_is_told_as_on_the_screen(folder):
    asked = ("unknown.toml", "--stations", "town.csv")
    assert "if-harmonic, oscillator on either side" in call("survey", *asked).out
    assert "if-harmonic , oscillator on either side" in written(folder, *asked).text
