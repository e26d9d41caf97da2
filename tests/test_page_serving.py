"""The page as it really runs: on this machine alone, many questions at once, nothing left behind."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import tracemalloc
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import pytest
from benchpages import ALONE, FEW, PANTRY, asked, client, sent, words
from commandline import DEMO, FM, ROOT, call, interruptible, refused

import freqplan
from freqplan.errors import FreqplanError
from freqplan.page import serving
from freqplan.page.beginning import bench_of_files
from freqplan.page.remembered import BusyError, Remembered
from freqplan.page.state import Bench, pack


@contextmanager
def running(**more):
    """Yield the address of a page that answers while it is needed."""
    server, address = serving.start(port=0, **more)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield address
    finally:
        server.close()


@pytest.fixture(scope="module")
def page():
    with running() as address:
        yield address


def fetched(address, timeout_s=60):
    try:
        with urllib.request.urlopen(address, timeout=timeout_s) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()


@contextmanager
def started(*words, **more):
    """Yield a process of the command with the line in which it says its address."""
    command = [sys.executable, "-m", "freqplan", "page", *words, "--no-browser"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    process = subprocess.Popen(
        command,
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
        preexec_fn=interruptible,
        **more,
    )
    try:
        yield process, process.stderr.readline()
    finally:
        process.kill()
        process.wait()


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


# Many at once


def test_fifty_questions_at_once_have_their_own_right_answers(page):
    plan, town = freqplan.load_plan(DEMO / "pantry.toml"), freqplan.load_stations(io.StringIO(FEW))
    few = pack(Bench(PANTRY, FEW))
    dials = [88_000_000 + 400_000 * step for step in range(49)]
    expected = {
        hertz: json.loads(freqplan.render(freqplan.channel(plan, hertz, town), "json")) for hertz in dials
    }
    asked_for = [f"channel.json?dial={hertz}+Hz" for hertz in dials] + ["survey"]
    with ThreadPoolExecutor(50) as pool:
        answers = list(pool.map(lambda view: patient(f"{page}bench/{few}/{view}"), asked_for))
    for hertz, (status, text) in zip(dials, answers, strict=False):
        assert status == 200
        assert json.loads(text) == expected[hertz]
    assert answers[-1][0] == 200
    assert "Pantry table set" in answers[-1][1]


def patient(address):
    """Ask until there is an answer, as a browser does that is told to come back."""
    while True:
        status, text = fetched(address)
        if status != 503:
            return status, text


def test_the_same_question_asked_at_once_is_computed_once():
    remembered, begun, computed = Remembered(patience_s=60), threading.Barrier(8), []

    def ask(_):
        begun.wait()
        with remembered.kept("question", lambda: computed.append(1) or "answer") as answer:
            return answer

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(ask, range(8))) == ["answer"] * 8
    assert computed == [1]


def test_slow_questions_leave_room_for_others():
    """With every seat taken a question that needs one is told to come back."""
    gate, entered = threading.Event(), threading.Semaphore(0)
    remembered = Remembered(seats=2, patience_s=0.05)

    def slow():
        entered.release()
        assert gate.wait(60)
        return "done"

    def ask(key):
        with remembered.kept(key, slow) as answer:
            return answer

    with ThreadPoolExecutor(2) as pool:
        waiting = [pool.submit(ask, key) for key in ("one", "other")]
        for _ in waiting:
            assert entered.acquire(timeout=60)
        with pytest.raises(BusyError):
            ask("third")
        gate.set()
        assert [one.result() for one in waiting] == ["done", "done"]
    assert ask("third") == "done"


def test_a_busy_page_says_so_and_comes_back(monkeypatch):
    from freqplan.page import answers

    def busy(*_):
        raise BusyError

    monkeypatch.setattr(answers.Answers, "survey", busy)
    own = client()
    answer = asked(own, f"/bench/{ALONE}/survey")
    assert answer.status_code == 503
    assert answer.headers["Refresh"] == "3"
    assert "Still computing" in words(answer)
    assert asked(own, f"/bench/{ALONE}/set").status_code == 200


def test_a_question_that_failed_is_asked_anew():
    remembered, calls = Remembered(), []

    def failing():
        calls.append(1)
        raise FreqplanError("no")

    for _ in range(2):
        with pytest.raises(FreqplanError), remembered.kept("question", failing):
            pass
    assert calls == [1, 1]
    with remembered.kept("question", lambda: "yes") as answer:
        assert answer == "yes"


def test_questions_that_failed_leave_nothing_in_memory():
    remembered = Remembered()

    def failing():
        raise FreqplanError("no")

    def ask(key):
        with pytest.raises(FreqplanError), remembered.kept(key, failing):
            pass

    ask(b"first")
    tracemalloc.start()
    before, _ = tracemalloc.get_traced_memory()
    for number in range(100):
        ask(bytes(100_000) + bytes([number]))
    after, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert after - before < 1_000_000


def test_results_of_many_stations_push_out_more_of_the_others():
    class Result:
        def __init__(self, stations):
            self.stations = range(stations)

    remembered, computed = Remembered(most_weight=5), []

    def ask(key, stations):
        with remembered.kept(key, lambda: computed.append(key) or Result(stations)):
            pass

    for key in "abcd":
        ask(key, 10)
    ask("a", 10)
    assert computed == list("abcd")
    ask("large", 5000)
    ask("large", 5000)
    assert computed == [*"abcd", "large"]
    ask("b", 10)
    assert computed == [*"abcd", "large", "b"]


# The process


def test_the_command_says_its_address_answers_and_ends_quietly():
    with started(
        "plans_demo/pantry.toml", "--stations", "plans_demo/orvessa.csv", "--port", str(free_port()), cwd=ROOT
    ) as (
        process,
        line,
    ):
        address = re.search(r"http://127\.0\.0\.1:\d+/", line)[0]
        status, text = fetched(address)
        assert status == 200
        assert "dial 96.3 MHz (96.0-96.6)" in text
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
        assert (process.returncode, out) == (0, "")
        assert "Traceback" not in err


def test_a_busy_port_moves_on_to_the_next():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with serving.listening(port) as other:
            assert port < other.getsockname()[1] <= port + serving.TRIES


def test_without_a_free_port_there_is_a_clear_message(monkeypatch):
    monkeypatch.setattr(socket.socket, "bind", lambda *_: (_ for _ in ()).throw(OSError("busy")))
    with pytest.raises(FreqplanError, match="no free port from 8107 to 8126; give another one with --port"):
        serving.listening(8107)


def test_it_listens_on_this_machine_alone(page):
    port = int(page.rpartition(":")[2].strip("/"))
    listening = f"0100007F:{port:04X}"
    rows = (
        Path("/proc/net/tcp").read_text().splitlines()
        if Path("/proc/net/tcp").exists()
        else pytest.skip("no /proc")
    )
    local = [row.split()[1] for row in rows[1:] if row.split()[3] == "0A"]
    assert [at for at in local if at.endswith(f":{port:04X}")] == [listening]


def test_there_is_no_option_to_listen_elsewhere():
    told = call("page", "--help").out
    assert set(re.findall(r"--[a-z-]+", told)) == {"--stations", "--port", "--no-browser", "--help"}


def test_nothing_is_written_anywhere(tmp_path):
    """Run in a folder that cannot be written to, with a folder for passing files that is watched."""
    work, passing = tmp_path / "work", tmp_path / "passing"
    work.mkdir()
    passing.mkdir()
    (work / "pantry.toml").write_text(PANTRY, encoding="utf-8")
    before = {str(path): path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    os.chmod(work, 0o555)
    import freqplan.page.app as home

    program = Path(home.__file__).parent
    package = {path: path.stat().st_mtime_ns for path in program.rglob("*")}
    environment = {"TMPDIR": str(passing), "HOME": str(passing), "MPLCONFIGDIR": str(passing)}
    with pytest.MonkeyPatch.context() as patch:
        for name, value in environment.items():
            patch.setenv(name, value)
        with started("pantry.toml", "--port", str(free_port()), cwd=work) as (_, line):
            address = re.search(r"http://\S+/", line)[0]
            assert fetched(address)[0] == 200
            assert uploaded(address, b"name,frequency_mhz\n" + b"A,98.5\n" * 100_000)[0] in (200, 413)
            for view in ("survey", "channel?dial=96.3", "survey.json", "compare", "table/birdies"):
                assert fetched(f"{address}bench/{ALONE}/{view}")[0] == 200
    os.chmod(work, 0o755)
    assert {str(path): path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before
    assert {path: path.stat().st_mtime_ns for path in program.rglob("*")} == package


def uploaded(address, stations, plan=FM):
    """Send a plan and a long list as a browser does; return what the page answers, and where in the end."""
    _, start = fetched(f"{address}start")
    token = re.search(r'name="token" value="([^"]+)"', start)[1]
    line = "XXX"
    parts = {"token": token.encode(), "plan": plan.encode(), 'stations_file"; filename="a.csv': stations}
    body = b"".join(
        f'--{line}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'.encode() + content + b"\r\n"
        for name, content in parts.items()
    )
    headers = {"Content-Type": f"multipart/form-data; boundary={line}", "Origin": address.rstrip("/")}
    request = urllib.request.Request(f"{address}bench", body + f"--{line}--\r\n".encode(), headers)
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, answer.geturl()
    except urllib.error.HTTPError as error:
        return error.code, error.geturl()


# The line itself


def raw(page, content):
    """Send bytes and return what comes back."""
    port = int(page.rpartition(":")[2].strip("/"))
    with socket.create_connection(("127.0.0.1", port), timeout=60) as line:
        parts = []
        # What is refused unread is cut off at times before all is sent, or the answer is through.
        with suppress(ConnectionError):
            line.sendall(content)
            with suppress(OSError):  # not connected any more
                line.shutdown(socket.SHUT_WR)
            while part := line.recv(65_536):
                parts.append(part)
    return b"".join(parts)


def test_a_body_beyond_all_bounds_is_refused_unread(page):
    port = page.rpartition(":")[2].strip("/")
    head = f"POST /bench HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: {10**12}\r\n\r\n"
    assert raw(page, head.encode()).startswith(b"HTTP/1.1 413 ")


def test_a_head_beyond_all_bounds_is_refused(page):
    port = page.rpartition(":")[2].strip("/")
    head = f"GET /start HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX: {'x' * 200_000}\r\n\r\n"
    answer = raw(page, head.encode())
    assert answer == b"" or b" 431 " in answer.splitlines()[0]
    assert raw(page, head.replace("x" * 200_000, "x").encode()).startswith(b"HTTP/1.1 200 ")


@pytest.mark.parametrize(
    "content", [b"\r\n\r\n", b"GET\r\n\r\n", b"\x16\x03\x01\x02\x00\r\n\r\n", b"GET / HTTP/1.1\r\n\r\n"]
)
def test_what_is_no_question_is_refused(page, content):
    answer = raw(page, content)
    assert answer.split(b" ")[1:2] in ([b"400"], [b"421"], []) or answer == b""
    assert fetched(page)[0] == 200


STALLED = {
    "nothing": b"",
    "half a head": b"GET /start HTTP/1.1\r\nHost: 127",
    "a head without end": b"GET /start HTTP/1.1\r\n" + b"X-Long: x\r\n" * 1000,
    "no body": b"POST /bench HTTP/1.1\r\nContent-Length: 7900000\r\nExpect: 100-continue\r\n\r\n",
    "half a body": b"POST /bench HTTP/1.1\r\nContent-Length: 7900000\r\n\r\n" + b"x" * 100_000,
    "pieces without end": b"POST /bench HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n"
    + b"1\r\nx\r\n" * 1000,
}


def test_clients_that_stall_shut_nobody_out(page):
    """More than there are threads of each kind; among them the same questions are answered as ever."""
    port = int(page.rpartition(":")[2].strip("/"))
    with ExitStack() as held:
        lines = [
            held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=60))
            for _ in range(len(STALLED) * (serving.THREADS + 1))
        ]
        for line, said in zip(lines, list(STALLED.values()) * (serving.THREADS + 1), strict=True):
            line.sendall(said)
        assert fetched(f"{page}bench/{ALONE}/plan.toml") == (200, PANTRY)
        for line in lines:
            with suppress(ConnectionError):
                line.sendall(b"x")
        assert fetched(f"{page}bench/{ALONE}/plan.toml") == (200, PANTRY)


def test_a_client_that_sends_one_byte_after_the_other_is_answered(page):
    port = page.rpartition(":")[2].strip("/")
    with socket.create_connection(("127.0.0.1", int(port)), timeout=60) as line:
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        for byte in f"GET /static/icon.svg HTTP/1.0\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode():
            line.sendall(bytes([byte]))
        answer = b"".join(iter(lambda: line.recv(65_536), b""))
    assert answer.endswith((Path(serving.__file__).parent / "static" / "icon.svg").read_bytes())


def test_clients_that_read_nothing_hold_no_thread_and_have_their_answers_later():
    """More than there are threads, each with more on the way than the system takes off the program's hands."""
    digits = "".join(f"{7919 * i * i % 999_983:06d}" for i in range(155_000))
    server, address = serving.start(port=0)
    threading.Thread(target=server.run, daemon=True).start()
    host = address.split("/")[2]
    long = f"{FM}# {digits}\n"
    _, there = uploaded(address, b"", plan=long)
    ask = f"GET {there.removesuffix('survey')}plan.toml HTTP/1.1\r\nHost: {host}\r\n\r\n".encode()
    with ExitStack() as held:
        held.callback(server.close)
        lines = [held.enter_context(socket.socket()) for _ in range(serving.THREADS + 1)]
        for line in lines:
            line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            line.connect(("127.0.0.1", int(host.partition(":")[2])))
            line.sendall(ask * 5)
        for _ in range(200):
            assert fetched(f"{address}bench/{ALONE}/plan.toml") == (200, PANTRY)
            if sum(one.total_outbufs_len > 0 for one in list(server.active_channels.values())) == len(lines):
                break
        lines[0].shutdown(socket.SHUT_WR)
        answer = b"".join(iter(lambda: lines[0].recv(1_000_000), b""))
        assert answer.count(b"HTTP/1.1 200 OK") == 5
        assert answer.endswith(long.encode())


def test_a_short_address_cannot_ask_for_more_conversions_than_any_set_has(page):
    many = (
        '[band]\nlow = "87.5 MHz"\nhigh = "108 MHz"\n' + '[[conversion]]\nintermediate = "10.7 MHz"\n' * 2_000
    )
    segment = pack(Bench(many))
    assert len(segment) < 1_000
    status, text = fetched(f"{page}bench/{segment}/survey")
    assert (status, "at most 4 can be given" in text) == (422, True)


def test_the_longest_address_is_answered(page):
    digits = "".join(f"{7919 * i * i % 999_983:06d}" for i in range(14_500))
    segment = pack(Bench(FM, f"name,frequency_mhz\nA,98.5\n#{digits},"))
    assert 45_000 < len(segment) <= 60_000
    assert fetched(f"{page}bench/{segment}/channel?dial=98.5")[0] in (200, 422)


# Files of the command line


def test_a_measured_response_is_read_where_the_plan_was_given_at_the_start():
    bench, measured = bench_of_files(str(DEMO / "loft.toml"), None)
    own = client(first=bench, measured=measured)
    segment = pack(bench)
    told = json.loads(asked(own, f"/bench/{segment}/survey.json").get_data(as_text=True))
    expected = json.loads(freqplan.render(freqplan.survey(freqplan.load_plan(DEMO / "loft.toml")), "json"))
    assert told == expected


def test_the_same_plan_opened_otherwise_says_what_to_do():
    bench, _ = bench_of_files(str(DEMO / "loft.toml"), None)
    answer = asked(client(), f"/bench/{pack(bench)}/survey")
    assert answer.status_code == 422
    assert "when the program was started" in words(answer)


def test_no_other_file_is_read_where_one_was_given_at_the_start():
    bench, measured = bench_of_files(str(DEMO / "loft.toml"), None)
    own = client(first=bench, measured=measured)
    for other in ("orvessa.csv", "../plans_demo/loft-front-end.csv", str(DEMO / "loft-front-end.csv")):
        changed = bench.plan_text.replace('"loft-front-end.csv"', f'"{other}"')
        assert changed != bench.plan_text
        assert sent(own, "/bench", {"plan": changed}).status_code == 422


def test_the_name_of_a_plan_moves_no_file():
    """The folder is that of the plan given at the start, whatever an address calls its plan."""
    bench, measured = bench_of_files(str(DEMO / "loft.toml"), None)
    moved = Bench(bench.plan_text, plan_name="/etc/x.toml")
    assert asked(client(measured=measured), f"/bench/{pack(moved)}/survey").status_code == 200


@pytest.mark.parametrize(
    ("words_given", "said"),
    [
        (("nothing.toml",), "no such file"),
        (("plans_demo/orvessa.csv",), "line 1"),
        (("plans_demo/pantry.toml", "--stations", "nothing.csv"), "there is no such file"),
        (("plans_demo/pantry.toml", "--stations", "plans_demo/pantry.toml"), "column"),
        (("-", "--stations", "-"), "standard input"),
        (("--stations", "plans_demo/orvessa.csv"), "needs a PLAN"),
        (("--port", "0"), "--port"),
        (("--port", "70000"), "--port"),
    ],
)
def test_what_cannot_be_opened_is_told_before_anything_listens(words_given, said, monkeypatch):
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(serving, "start", lambda *_, **__: pytest.fail("it listened"))
    refused(call("page", *words_given, "--no-browser"), said)


@pytest.mark.parametrize("missing", ["flask", "waitress"])
def test_without_the_libraries_it_says_how_to_get_them(missing, monkeypatch):
    real = serving.find_spec
    monkeypatch.setattr(serving, "find_spec", lambda name: None if name == missing else real(name))
    refused(call("page", "--no-browser"), 'pip install "freqplan[web]"')


def test_the_browser_is_opened_unless_told_not_to(monkeypatch):
    opened = threading.Event()
    seen, patience_s = [], [0.1, 60]
    monkeypatch.setattr(serving.webbrowser, "open", lambda address: (seen.append(address), opened.set()))

    class Server:
        def run(self):
            opened.wait(patience_s.pop(0))

        def close(self):
            pass

    monkeypatch.setattr(serving, "start", lambda *_, **__: (Server(), "http://127.0.0.1:1/"))
    serving.serve(browser=False, tell=lambda _: None)
    assert seen == []
    serving.serve(tell=lambda _: None)
    assert seen == ["http://127.0.0.1:1/"]
