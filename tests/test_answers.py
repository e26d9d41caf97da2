"""Answers to a problem sheet: what people write is read and marked, every fault told with its place."""

from __future__ import annotations

import csv
import io

import pytest
from commandline import DEMO, call, refused
from hypothesis import given
from hypothesis import strategies as st

import freqplan
from freqplan import Answers, AnswersError, load_answers
from freqplan.csvfile import LARGEST_LIST
from freqplan.marking import mark_of

PLAN = freqplan.load_plan(DEMO / "pantry.toml")
KINDS = ("side", "responses", "cause", "image", "real-if", "choose-if")
SHEET = freqplan.exercise(PLAN, seed=119, level=1, count=6, kinds=KINDS)
"""In this order, one problem of each."""

PARTS = {one.label: one.part for one in SHEET.labelled}


def read(text):
    return load_answers(io.StringIO(text, newline="") if isinstance(text, str) else io.BytesIO(text))


def faults(text):
    with pytest.raises(AnswersError) as caught:
        SHEET.marked(read(text))
    return [(fault.line, fault.what, fault.found) for fault in caught.value.faults]


def mark(label, written):
    given = mark_of(PARTS[label], written)
    return given.points, given.remark


def test_the_sheet_is_the_one_these_tests_speak_of():
    assert {label: part.right_text for label, part in PARTS.items()} == {
        "1": "high", "2": "50.00 60.70 121.40", "3a": "2", "3b": "1", "3c": "signal-harmonic", "4": "114.40",
        "5": "106.60", "6": "C",
    }  # fmt: skip


# --- one answer ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "written"),
    [
        ("1", "HIGH"), ("1", " high "), ("2", "50 60.7 121.4"), ("2", "121.40;50.00; 60.70;"),
        ("2", "121.4 MHz 60.7 MHz 50 MHz"), ("2", "50, 60.7, 121.4"), ("2", "50000 kHz 60.7 121.4"),
        ("3a", "2"), ("3a", "2.0"),
        ("3c", "Signal harmonic"), ("3c", "signal_harmonic"), ("4", "114.4"), ("4", "114.40 MHz"),
        ("4", "+114.400"), ("4", "114400 kHz"), ("4", "114400000 Hz"), ("4", "114.404"), ("4", "114.405"),
        ("4", "114.3950"), ("5", "106.60MHz"), ("6", "c"),
    ],
)  # fmt: skip
def test_a_right_answer_has_full_points_however_it_is_written(label, written):
    assert mark(label, written) == (PARTS[label].points, "right")


@pytest.mark.parametrize(
    ("label", "written", "points", "told"),
    [
        ("4", "103.7", 1, "The IF is added once: that is the oscillator."),
        ("4", "71.6 MHz", 1, "On the wrong side"),
        ("4", "98350 kHz", 0, "That is the half-IF response"),
        ("5", "107", 1, "Reckoned with the printed IF"),
        ("5", "106.96", 1, "harmonic 10 moves by 10 times that"),
        ("3a", "1", 0, "m and n are exchanged"),
        ("6", "A", 0, "inside the band"),
        ("1", "low", 0, "The oscillator lies above"),
        ("2", "50 60.7 100 121.4", 2, "The station tuned in stands among them"),
    ],
)
def test_a_usual_wrong_answer_is_given_its_reason_and_the_points_of_what_is_right(
    label, written, points, told
):
    given, remark = mark(label, written)
    assert given == points
    assert told in remark


@pytest.mark.parametrize(
    ("label", "written", "told"),
    [
        ("4", "", "no answer; write one, such as 98.12 MHz"),
        ("4", " ? ", "no answer"),
        ("4", "114,4", "decimal comma; write a point instead"),
        ("2", "50,0 60,7 121,4", "decimal comma"),
        ("4", "114.4 dB", 'wrong unit "dB"; give it in MHz'),
        ("4", "114.4 mhz", 'wrong unit "mhz"; give it in MHz'),
        ("3a", "2 MHz", 'wrong unit "MHz"; give a bare number'),
        ("4", "1.234e2", "not a number; write it in MHz, to 2 decimals"),
        ("4", "about 123", "not a number"),
        ("4", "１２３.４", "not a number"),
        ("4", "9" * 300, "not a number"),
        ("4", "9" * 1000, "too long to be an answer"),
        ("4", "9" * 39, "not right; see the key"),
        ("4", "-114.4", "not right; see the key"),
        ("4", "114.4 \x00", "not a number"),
        ("4", "inf", "not a number"),
        ("4", "114.43", "near: round the result only, in MHz, to 2 decimals"),
        ("4", "99", "not right; see the key"),
        ("2", "50 60.7 and more", "wrong unit"),
        ("2", "50 60.7 ...", "not a list of numbers"),
        ("2", ";;", "no number in it"),
        ("2", "1", "0 of 3 right, 1 that is not"),
        ("1", "above", "none of the words to choose from; write high or low"),
        ("6", "E", "write A, B, C or D"),
    ],
)
def test_what_cannot_be_read_or_is_wrong_has_no_points_and_says_what_to_do(label, written, told):
    points, remark = mark(label, written)
    assert points == 0
    assert told in remark


@pytest.mark.parametrize(
    ("written", "points"),
    [("50", 1), ("50 60.7", 2), ("50 60.7 1", 1), ("50 60.7 121.4 1", 2), ("50 50 50", 0), ("1 2 3 50", 0)],
)
def test_of_a_list_each_right_number_counts_and_each_surplus_one_takes_one_off(written, points):
    assert mark("2", written)[0] == points


@given(st.sampled_from(sorted(PARTS)), st.text(max_size=60))
def test_whatever_is_written_is_marked(label, written):
    points, remark = mark(label, written)
    assert 0 <= points <= PARTS[label].points
    assert remark


# --- a file -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "problem,answer\n4,114.4\n",
        "\ufeffproblem,answer\r\n4,114.4\r\n",
        b"\xef\xbb\xbfproblem;answer\n4;114.4\n",
        "Problem\tANSWER\n4\t114.4\n",
        "answer;problem;notes\n114.4 MHz;4;\n\n",
        'problem,answer\n" 4) ","114.4"\n',
    ],
)
def test_a_list_is_read_as_people_keep_it(text):
    marking = SHEET.marked(read(text))
    assert [row["points"] for row in marking.marks.rows() if row["problem"] == "4"] == [2]
    assert next(marking.totals.rows())["points"] == 2


names = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)


@given(
    st.dictionaries(names.map(str.strip), st.dictionaries(st.sampled_from(sorted(PARTS)), names, min_size=1),
                    min_size=1, max_size=5),
    st.sampled_from([",", ";", "\t"]),
)  # fmt: skip
def test_answers_of_a_class_come_back_student_by_student(students, delimiter):
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=delimiter, quoting=csv.QUOTE_ALL)
    writer.writerow(["student", "problem", "answer"])
    for student, given_answers in students.items():
        writer.writerows([student, label, text] for label, text in given_answers.items())
    answers = read(file.getvalue())
    assert [(row.student, row.problem, row.answer) for row in answers.rows] == [
        (student, label, text.strip())
        for student, given_answers in students.items()
        for label, text in given_answers.items()
    ]
    totals = list(SHEET.marked(answers).totals.rows())
    assert [row["student"] or "" for row in totals] == list(students)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", [(None, "the list is empty", "")]),
        ("problem,answer\n", [(None, "the list holds no answers", "")]),
        ("problem\n1\n", [(1, "no column answer", "problem")]),
        ("a,b\n1,2\n", [(1, "no known column", "a, b")]),
        ("problem,answer,answer\n1,2,3\n", [(1, "column given twice", "")]),
        ("problem,answer\n,high\n", [(2, "no number of a problem", "")]),
        ("problem,answer\n4,114,4\n", [(2, "more fields than the header has columns", "4")]),
        ("problem,answer\n1,high\n9,x\n3d,y\n",
         [(3, "no such problem on this sheet", "9"), (4, "no such problem on this sheet", "3d")]),
        ("problem,answer\n1,high\n\n1,low\n", [(4, "answered twice", "1")]),
        ("problem,answer\n3a,1\n3 A.,2\n", [(3, "answered twice", "3 A.")]),
        ("problem,answer\n1,a\0b\n", [(None, "not a text file", "")]),
        ('problem,answer\n1,"high\n', [(2, "cannot be split into fields (unexpected end of data)", "")]),
        (b"x" * (LARGEST_LIST + 1), [(None, "larger than 5 MB", "")]),
    ],
)  # fmt: skip
def test_a_faulty_list_is_refused_with_the_place_of_each_fault(text, expected):
    assert faults(text) == expected


def test_the_same_problem_of_two_students_is_no_fault_and_of_one_of_them_twice_is():
    text = "student,problem,answer\nIlva,1,high\nTeso,1,low\nIlva,1,low\n"
    assert faults(text) == [(4, "answered twice", "1")]
    with pytest.raises(AnswersError, match=r"line 4, problem: answered twice.*the first answer is on line 2"):
        SHEET.marked(read(text))


def test_an_unknown_problem_is_told_with_those_there_are():
    with pytest.raises(
        AnswersError, match="there are 1, 2, 3a, 3b, 3c, 4, 5, 6; seed, level, count and kinds"
    ):
        SHEET.marked(Answers.of({"7": "1"}))


def test_more_answers_than_a_school_gives_are_refused():
    rows = "".join(f"student {i},1,high\n" for i in range(20_001))
    assert faults(f"student,problem,answer\n{rows}") == [(None, "20001 answers, more than 20000", "")]
    with pytest.raises(AnswersError, match="0 answers"):
        Answers(())


def test_a_question_not_answered_at_all_is_marked_as_missing():
    marks = list(SHEET.marked(Answers.of({"1": "high"}, "Ilva")).marks.rows())
    assert [row["problem"] for row in marks] == sorted(PARTS)
    assert [row["points"] for row in marks] == [1, 0, 0, 0, 0, 0, 0, 0]
    assert all(row["mark_remark"].startswith("no answer") for row in marks[1:])


def test_mistakes_are_counted_over_the_class_the_most_frequent_first():
    text = "student,problem,answer\nIlva,4,103.7\nTeso,4,103.7 MHz\nOria,4,71.6\nIlva,1,low\nTeso,2,99\nOria,5,106.6\n"
    marking = SHEET.marked(read(text))
    found = [(row["problem"], row["wrong_method"], row["times_made"]) for row in marking.mistakes.rows()]
    assert found == [("4", "if-once", 2), ("1", "wrong-side", 1), ("4", "wrong-side", 1)]
    assert marking.mistakes.values("reason")[0].startswith("The IF is added once")


def test_a_marking_has_every_form():
    hostile = "<b>=cmd|' /C calc'!A0"
    marking = SHEET.marked(Answers.of({"1": hostile, "4": "103.7"}, hostile))
    for form in ("table", "markdown", "csv", "json", "html", "latex"):
        assert freqplan.render(marking, form)
    assert "<b>" not in freqplan.render(marking, "html")
    assert marking.to_dict()["marks"][0]["answer"] == hostile
    assert list(marking.to_dataframe().columns) == ["student", "points", "of_points", "points_share"]


# --- the command --------------------------------------------------------------------------------------

ASK = ("exercise", str(DEMO / "pantry.toml"))
SAME = ("--seed", "119", *(word for name in KINDS for word in ("--kind", name)))


def test_the_demonstration_is_marked():
    answer = call(
        *ASK, "--seed", "7", "--level", "2", "--count", "4", "--check", str(DEMO / "class-answers.csv")
    )
    assert (answer.code, answer.err) == (0, "")
    assert "POINTS (3)" in answer.out
    assert "The IF is added once" in answer.out


def test_answers_may_come_from_standard_input_but_not_beside_the_plan(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("problem,answer\n4,114.4\n"))
    answer = call(*ASK, *SAME, "--check", "-", "--table", "totals", "--format", "csv")
    assert answer.out == "student,points,of_points,points_share\n,2,13,0.153846\n"
    refused(call("exercise", "-", "--check", "-"), "PLAN and ANSWERS cannot both come from standard input")


def test_a_faulty_list_ends_the_command_with_one_line_a_fault(tmp_path):
    (tmp_path / "bad.csv").write_text("problem,answer,colour\n8,x\n1,high\n1,low\n", encoding="utf-8")
    answer = call(*ASK, *SAME, "--check", str(tmp_path / "bad.csv"), "-o", str(tmp_path / "out.html"))
    refused(
        answer, "line 2, problem: no such problem on this sheet, found 8", "line 4, problem: answered twice"
    )
    assert not (tmp_path / "out.html").exists()
