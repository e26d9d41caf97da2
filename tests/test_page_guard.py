"""Who is let in: this machine under its own name, and forms of this very page."""

from __future__ import annotations

import gzip
import io
import json
import re
from html import unescape
from urllib.parse import urlencode

import pytest
from benchpages import ALONE, HOME, PANTRY, PORT, TOKEN, TOWN, asked, client, links, sent, words

from freqplan.page.guard import HEADERS, LARGEST_BODY, LONGEST_QUERY, Guard

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


@pytest.fixture(scope="module")
def own():
    return client()


# Names


@pytest.mark.parametrize(
    "host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"LOCALHOST:{PORT}", f"[::1]:{PORT}"]
)
def test_the_names_of_this_machine_are_answered(own, host):
    assert own.get("/start", headers={"Host": host}).status_code == 200


STRANGE_HOSTS = [
    "evil.example", f"evil.example:{PORT}", "127.0.0.1", f"127.0.0.1:{PORT + 1}", f"127.0.0.1.evil.example:{PORT}",
    f"localhost.:{PORT}", f"0.0.0.0:{PORT}", f"127.1:{PORT}", f"user@127.0.0.1:{PORT}", f"127.0.0.1:{PORT}/x", "", " ",
    f"127.0.0.1:{PORT},evil.example", f"[::1%25lo]:{PORT}", f"[::ffff:127.0.0.1]:{PORT}",
]  # fmt: skip


@pytest.mark.parametrize("host", STRANGE_HOSTS)
@pytest.mark.parametrize("path", ["/", f"/bench/{ALONE}/survey", "/static/page.css", "/nothing"])
def test_every_other_name_is_refused(own, host, path):
    answer = own.get(path, headers={"Host": host})
    assert answer.status_code in (400, 421)
    assert HOME in words(answer)


def test_on_port_80_the_bare_name_is_answered_too():
    Guard(80).check("GET", {"Host": "localhost"}, query="", length=0)


# Forms


FORGED = {
    "another site": {"Origin": "https://evil.example"},
    "another site under our port": {"Origin": f"http://evil.example:{PORT}"},
    "another program on this machine": {"Origin": "http://127.0.0.1:9000"},
    "this machine by another name": {"Origin": f"http://localhost:{PORT}"},
    "over TLS": {"Origin": f"https://127.0.0.1:{PORT}"},
    "nowhere": {"Origin": "null"},
    "no origin, a referer of another site": {"Referer": "http://evil.example/"},
    "no origin, a referer that begins like ours": {"Referer": f"http://127.0.0.1:{PORT}.evil.example/"},
    "an origin that is no address": {"Origin": "http://[::1"},
    "no origin and no referer": {},
    "cross-site": {"Origin": HOME, "Sec-Fetch-Site": "cross-site"},
    "same site, another port": {"Origin": HOME, "Sec-Fetch-Site": "same-site"},
}


@pytest.mark.parametrize("headers", FORGED.values(), ids=FORGED)
@pytest.mark.parametrize("path", ["/bench", f"/bench/{ALONE}/set", "/nothing"])
def test_a_form_of_another_page_is_refused_even_with_the_token(own, headers, path):
    answer = own.post(path, base_url=HOME, data={"token": TOKEN, "plan": PANTRY}, headers=headers)
    assert answer.status_code == 403
    assert "not sent by a form of this page" in words(answer)
    assert "Send it once more" not in words(answer)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": HOME},
        {"Referer": f"{HOME}/start"},
        {"Origin": HOME, "Sec-Fetch-Site": "same-origin"},
        {"Origin": HOME, "Referer": "http://elsewhere.example/"},
    ],
)
def test_a_form_of_this_page_is_taken(own, headers):
    answer = own.post("/bench", base_url=HOME, data={"token": TOKEN, "plan": PANTRY}, headers=headers)
    assert answer.status_code == 303


FORM = "application/x-www-form-urlencoded"
UNSEEN = {
    "a picture": {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"},
    "a frame": {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"},
    "an object": {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "object"},
    "a script of another program here": {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Dest": "script"},
    "a script by an older browser": {"Origin": "http://127.0.0.1:9000"},
    "a line held open": {"Origin": "https://evil.example", "Connection": "Upgrade", "Upgrade": "websocket"},
    "a file": {"Origin": "null"},
}


@pytest.mark.parametrize("headers", UNSEEN.values(), ids=UNSEEN)
@pytest.mark.parametrize("path", ["/", f"/bench/{TOWN}/survey", "/static/page.css"])
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_what_another_page_asks_for_unseen_is_refused(own, headers, path, method, monkeypatch):
    monkeypatch.setattr("freqplan.page.desk.Desk._visit", lambda *_: pytest.fail("it was let in"))
    answer = own.open(path, method=method, base_url=HOME, headers=headers)
    assert answer.status_code == 403
    assert method == "HEAD" or "nothing was computed" in words(answer)


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"},
        {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"},
        {"Sec-Fetch-Site": "same-origin", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"},
        {"Origin": HOME, "Sec-Fetch-Site": "same-origin"},
        {"Referer": "https://elsewhere.example/"},
    ],
    ids=[
        "a bookmark",
        "a link on another page",
        "a picture of this page",
        "a script of this page",
        "an old link",
    ],
)
def test_what_somebody_looks_at_is_answered(own, headers):
    assert own.get("/start", base_url=HOME, headers=headers).status_code == 200


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("text/plain", f"token={TOKEN}\r\nplan={PANTRY}\r\n"),
        ("application/json", json.dumps({"token": TOKEN, "plan": PANTRY})),
        ("multipart/form-data", f'Content-Disposition: form-data; name="token"\r\n\r\n{TOKEN}\r\n'),
        ("", f"token={TOKEN}"),
    ],
)
def test_a_body_that_is_no_form_holds_no_token(own, kind, body):
    answer = own.post("/bench", base_url=HOME, data=body, content_type=kind, headers={"Origin": HOME})
    assert answer.status_code == 403
    assert "send it once more" in words(answer)


def test_a_body_that_says_it_is_packed_is_not_unpacked(own):
    packed = {"Content-Encoding": "gzip"}
    body = gzip.compress(urlencode({"token": TOKEN, "plan": PANTRY}).encode())
    answer = own.post(
        "/bench", base_url=HOME, data=body, content_type=FORM, headers={"Origin": HOME, **packed}
    )
    assert answer.status_code == 403
    file = (io.BytesIO(gzip.compress(PANTRY.encode())), "a.toml")
    assert sent(own, "/bench", {"plan_file": file}, headers=packed).status_code == 422


@pytest.mark.parametrize("token", ["", "x", TOKEN[:-1], f"{TOKEN} ", TOKEN.upper(), "ä", "\N{RADIO}"])
def test_a_form_without_the_token_of_this_run_is_refused(own, token):
    answer = sent(own, "/bench", {"plan": PANTRY}, token=token)
    assert answer.status_code == 403
    assert "send it once more" in words(answer)


def test_a_form_from_before_a_restart_can_be_sent_again_with_all_that_was_typed(own):
    typed = '# a </textarea><script> "note"\n' + PANTRY
    answer = sent(own, "/bench", {"plan": typed, "stations": "\nname"}, token="old")
    page = answer.get_data(as_text=True)
    fields = dict(re.findall(r'<textarea name="(\w+)" hidden>\n(.*?)</textarea>', page, re.DOTALL))
    assert {name: unescape(text) for name, text in fields.items()} == {"plan": typed, "stations": "\nname"}
    assert f'value="{TOKEN}"' in page
    # To where it was sent, whatever the address looks like.
    assert [address for tag, address in links(answer)[0] if tag == "form"] == []


def test_each_start_of_the_program_has_another_token():
    assert Guard(PORT).token != Guard(PORT).token
    assert len(Guard(PORT).token) >= 32


def test_the_token_does_not_show_when_the_guard_is_printed():
    guard = Guard(PORT)
    assert guard.token not in repr(guard)


# Sizes and methods


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"])
@pytest.mark.parametrize("path", ["/", f"/bench/{ALONE}/survey", "/nothing", "/static/page.css"])
def test_other_methods_are_refused(own, method, path):
    answer = own.open(path, method=method, base_url=HOME)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD, POST"


def test_a_form_cannot_be_sent_to_a_view_that_takes_none(own):
    assert sent(own, f"/bench/{ALONE}/survey").status_code == 405
    assert own.get("/bench", base_url=HOME).status_code == 405


def test_head_answers_like_get_without_a_body(own):
    answer = own.head("/start", base_url=HOME)
    assert (answer.status_code, answer.data) == (200, b"")


@pytest.mark.parametrize("content", ["x" * LARGEST_BODY, "é" * LARGEST_BODY])
def test_a_body_that_is_too_large_has_its_page(own, content):
    answer = sent(own, "/bench", {"plan": PANTRY, "stations": content})
    assert answer.status_code == 413
    assert "larger than 1 MB" in words(answer)


def test_a_file_that_is_too_large_has_its_page(own):
    answer = sent(
        own, "/bench", {"plan": PANTRY, "stations_file": (io.BytesIO(b"x" * LARGEST_BODY), "a.csv")}
    )
    assert answer.status_code == 413


def test_a_form_of_more_fields_than_any_has_its_page(own):
    answer = sent(own, "/bench", {f"f{i}": (io.BytesIO(b""), "x") for i in range(2000)})
    assert answer.status_code == 413


def test_a_question_that_is_too_long_has_its_page(own):
    answer = asked(own, f"/bench/{ALONE}/channel?dial=" + "9" * LONGEST_QUERY)
    assert answer.status_code == 414
    assert "too long" in words(answer)


# What goes with every answer


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 200), ("/start?kind=fm", 200), ("/static/page.css", 200), ("/static/page.js", 200), ("/nothing", 404),
        ("/bench", 405), (f"/bench/{ALONE}/survey", 200), (f"/bench/{ALONE}/survey.json", 200),
        (f"/bench/{ALONE}/survey?orders=x", 422), (f"/bench/{ALONE}/plan.toml", 200), ("/bench/x/survey", 404),
        ("/start?kind=none", 422), (f"/bench/{TOWN}//survey", 308),
    ],
)  # fmt: skip
def test_every_answer_carries_the_policy(own, path, status):
    answer = asked(own, path)
    assert answer.status_code == status
    assert {name: answer.headers.get(name) for name in HEADERS} == dict(HEADERS)
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "no-store"
    assert "Set-Cookie" not in answer.headers
    assert "Access-Control-Allow-Origin" not in answer.headers


@pytest.mark.parametrize(
    "view", ["set", "survey", "channel?dial=96.3", "compare", "mechanisms", "table/ghosts"]
)
def test_nothing_in_a_page_needs_more_than_the_policy_allows(own, view):
    answer = asked(own, f"/bench/{TOWN}/{view}")
    page = answer.get_data(as_text=True)
    assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:|data:", page)
    assert re.findall(r"<script[^>]*>(.*?)</script>", page) == [""]
    assert [address for _, address in links(answer)[0] if "//" in address] == []


def test_a_fault_of_the_program_is_a_calm_page(monkeypatch, caplog):
    from freqplan.page import answers

    def broken(*_):
        raise RuntimeError("the inner life of the program")

    monkeypatch.setattr(answers.Answers, "plan", broken)
    answer = asked(client(), f"/bench/{ALONE}/survey")
    assert answer.status_code == 500
    assert "no fault of yours" in words(answer)
    assert "inner life" not in words(answer)
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert "inner life" in caplog.text


# Files


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/..%2fapp.py",
        "/static//etc/hosts",
        "/../../etc/hosts",
    ],
)
def test_no_file_but_those_of_the_page_is_handed_over(own, path):
    assert asked(own, path).status_code in (404, 308)


@pytest.mark.parametrize("response", ["/etc/passwd", "loft-front-end.csv", "../x", "\\\\host\\share", ""])
def test_a_plan_from_a_form_reads_no_file(own, response, monkeypatch, tmp_path):
    opened = []
    import builtins

    real = builtins.open
    monkeypatch.setattr(
        builtins, "open", lambda name, *rest, **more: opened.append(name) or real(name, *rest, **more)
    )
    plan = PANTRY.replace("[front_end]", f"[front_end]\nresponse = '{response}'")
    answer = sent(own, "/bench", {"plan": plan})
    assert answer.status_code == 422
    assert "front_end.response" in words(answer)
    assert [name for name in opened if response and response in str(name)] == []
