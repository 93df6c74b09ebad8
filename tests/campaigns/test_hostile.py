"""Hostile requests to a real server: each is refused in a sentence, or gets the pattern; nobody gets another's figures.

CAMPAIGNS=long python -m pytest tests/campaigns/test_hostile.py -rA
"""

from __future__ import annotations

import io
import json
import os
import random
import re
import signal
import socket
import struct
import sys
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from html import unescape
from http.client import HTTPException, HTTPResponse
from pathlib import Path
from threading import Event
from time import sleep
from typing import Final
from urllib.parse import quote, quote_from_bytes, urlencode, urlsplit

import psutil
import pytest

from campaigns.effort import rounds
from served import Served, served

REQUESTS: Final = rounds(160, 2_000)
AT_ONCE: Final = 4

PATIENCE: Final = 60.0

DESIGN: Final = "design"
MEASURED: Final = {"waist_girth": "76", "hip_girth": "102", "body_rise": "27", "waist_to_hip": "20.5"}
FIELDS: Final = (
    *(*MEASURED, "design", "unit", "rise", "size", "cloth", "selvedge", "lay", "fit", "roll", "page.A4", "page.A0"),
    *("projection.light", "svg", "dxf", "before_after", "guide", "fit.full_seat", "high_hip_girth", "knee_girth"),
    *("file", "typing", "shown", "nonsense", "__proto__", "", "waist_girth[]"),
)
ODD: Final = (
    *(
        "",
        " ",
        "0",
        "-1",
        "1e400",
        "nan",
        "inf",
        "9" * 300,
        "76,5",
        "1.234,5",
        "½",
        "٧٦",
        "0x4c",
        "76cm",
        "1" + "0" * 4000,
    ),
    *(
        "<script>alert(1)</script>",
        '"><img src=x onerror=alert(1)>',
        "'; --",
        "{{ 7 * 7 }}",
        "{% raw %}",
        "%s%n",
        "$(id)",
    ),
    *(
        "\0",
        "a\nb",
        "a\r\nSet-Cookie: a=b",
        "\x1b[2J",
        "\u202e",
        "\ufeff",
        "\u2028",
        "x" * 20_000,
        "😀" * 50,
        "é" * 300,
    ),
    *(
        "../../etc/passwd",
        "..\\..\\x",
        "/etc/passwd",
        "C:\\x",
        "file:///etc/passwd",
        ".",
        "..",
        "~",
        "design.toml",
        "con",
    ),
    *("high", "H100", "A4", "light", "open", "in", "on", "heron", "heron-short-H100-A4.pdf", "pieces.json"),
)
WAYS_OUT: Final = (
    *(
        "../",
        "..%2f",
        "%2e%2e/",
        "..%5c",
        "%252e%252e/",
        "....//",
        "%c0%ae%c0%ae/",
        "..;/",
        "/%2e/",
        "//",
        "\\..\\",
        "%00",
        "%0a",
    ),
)

AT_DESK: Final = (
    *("size", "rise", "piece", "cloth", "lay", "part", "find", "joins", "design_text", "table_text", "design_seen"),
    *("steps", "p.leg.fullness", "p.name", "c.0.0", "c.1.2", "m.", "on.H100", "on.x"),
)
DESK_FILES: Final = {"design": "design.toml", "table": "sizes.csv"}

SECRET: Final = re.compile(r"Q[0-9]{6}Q")
"""A size label that a wearer chose, one for each request; no other's may come back."""

LEAKS: Final = (
    "Traceback",
    "site-packages",
    "/python",
    "most recent call",
    "starlette",
    "uvicorn",
    "jinja",
    "output.serve",
)

Try = Callable[["Stranger"], None]


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        """What is told, with what is packed unpacked."""
        if self.body.startswith(b"PK"):
            with zipfile.ZipFile(io.BytesIO(self.body)) as packed:
                return "\n".join(packed.namelist()) + "".join(
                    packed.read(name).decode("utf-8", "replace")
                    for name in packed.namelist()
                    if name.endswith(("n", "g"))
                )
        return self.body.decode("utf-8", "replace")

    @property
    def page(self) -> str:
        """What a browser takes for HTML: a page, or the parts of one; its script sets the rest of JSON as text."""
        if self.headers.get("content-type", "").startswith("application/json"):
            return "".join(json.loads(self.body).get("parts", {}).values())
        return self.text if self.headers.get("content-type", "").startswith("text/html") else ""


class Stranger:
    """Sends by hand what no browser would, and looks hard at what comes back."""

    def __init__(self, server: Served, number: int) -> None:
        self.chance = random.Random(number)
        self.mark = f"Q{number:06}Q"
        self._server = server
        self._place = ("127.0.0.1", urlsplit(server.counter).port or 0)
        self.token = server.desk.rstrip("/").rpartition("/")[2]
        self.statuses: list[int] = []

    def head(self, method: str, path: str, *more: str, host: str = "") -> bytes:
        lines = [
            f"{method} {path} HTTP/1.1",
            f"Host: {host or f'127.0.0.1:{self._place[1]}'}",
            *more,
            "Connection: close",
        ]
        return "\r\n".join([*lines, "", ""]).encode("utf-8", "surrogateescape")

    def call(self) -> socket.socket:
        return socket.create_connection(self._place, PATIENCE)

    def ask(self, *sent: bytes, pause: float = 0.0, allowed: tuple[int, ...] = (200,)) -> Answer:
        """The answer to what is sent bit by bit: one of those statuses, or in 4xx with a sentence."""
        with self.call() as caller:
            with suppress(ConnectionError):  # it has heard enough, and has said so
                for part in sent:
                    caller.sendall(part)
                    sleep(pause)
            heard = HTTPResponse(caller)
            heard.begin()
            answer = Answer(heard.status, {name.lower(): value for name, value in heard.getheaders()}, heard.read())
        self.statuses.append(answer.status)
        self._examine(answer, allowed)
        return answer

    def _examine(self, answer: Answer, allowed: tuple[int, ...]) -> None:
        text = answer.text
        assert answer.status in allowed or 400 <= answer.status < 500, (answer.status, text[-1500:])
        others = set(SECRET.findall(text)) - {self.mark}
        assert not others, f"another's figures: {others}"
        for leak in (*LEAKS, str(self._server.folder), str(self._server.folder.parent), sys.prefix):
            assert leak not in text, leak
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert not {"set-cookie", "server", "location"} & set(answer.headers)
        if answer.status >= 400:
            words = unescape(re.sub(r"<[^>]*>", " ", text)).split()
            assert len(words) >= 4, text

    def post(self, path: str, fields: object, *more: str, allowed: tuple[int, ...] = (200,)) -> Answer:
        body = fields if isinstance(fields, bytes) else urlencode(fields, errors="surrogateescape").encode()  # type: ignore[arg-type]
        kind = "Content-Type: application/x-www-form-urlencoded"
        return self.ask(self.head("POST", path, kind, f"Content-Length: {len(body)}", *more), body, allowed=allowed)

    def text(self, name: str) -> str:
        """A file of the folder, some of it spoilt."""
        held = (self._server.folder / name).read_text()
        at = self.chance.randrange(len(held))
        return held[:at] + self.chance.choice(["", "", self.chance.choice(ODD)]) + held[at:]

    def measured(self) -> dict[str, str]:
        """A wearer's form, with figures of her own."""
        about = {name: f"{float(value) + self.chance.uniform(-1, 1):.2f}" for name, value in MEASURED.items()}
        return {"design": DESIGN, **about, "size": self.mark}

    def path(self) -> str:
        return self.chance.choice(["/", "/preview", "/preview", "/files", "/file"])


def draws_and_takes(stranger: Stranger) -> None:
    """An honest wearer amid the others: what she sees and takes is hers."""
    fields = stranger.measured()
    if stranger.chance.random() < 0.7:
        answer = stranger.post("/preview", fields)
        assert answer.status == 200
        assert json.loads(answer.body)["drawn"], answer.text[:500]
    else:
        answer = stranger.post("/files", {**fields, "svg": "on", "page.A4": "on"})
        assert answer.status == 200
        assert answer.body.startswith(b"PK"), answer.text[-1500:]
    assert stranger.mark in answer.text


def spoils_a_field(stranger: Stranger) -> None:
    fields = stranger.measured()
    for _ in range(stranger.chance.randint(1, 4)):
        fields[stranger.chance.choice(FIELDS)] = stranger.chance.choice(ODD)
    answer = stranger.post(stranger.path(), fields)
    assert not re.search("<script>alert|<img src=x", answer.page)


def marks_up_every_field(stranger: Stranger) -> None:
    odd = stranger.chance.choice([one for one in ODD if len(one) < 1000])
    answer = stranger.post(stranger.path(), {name: odd for name in FIELDS if name})
    assert not re.search("<script>alert|<img src=x", answer.page)


def spoils_the_form(stranger: Stranger) -> None:
    body = bytearray(urlencode(stranger.measured()).encode())
    for _ in range(stranger.chance.randint(1, 8)):
        at = stranger.chance.randrange(len(body))
        body[at : at + stranger.chance.randint(0, 3)] = stranger.chance.randbytes(stranger.chance.randint(0, 3))
    stranger.post(stranger.path(), bytes(body))


def sends_another_kind(stranger: Stranger) -> None:
    kind = stranger.chance.choice(["text/plain", "multipart/form-data; boundary=x", "application/json", "a/b;\tc", "é"])
    body = urlencode(stranger.measured()).encode()
    head = stranger.head("POST", stranger.path(), f"Content-Type: {kind}", f"Content-Length: {len(body)}")
    assert stranger.ask(head, body).status >= 400
    many = urlencode([("waist_girth", "76")] * stranger.chance.randint(2, 2000)).encode()
    assert stranger.post(stranger.path(), many).status >= 400


def sends_too_much(stranger: Stranger) -> None:
    size = stranger.chance.choice([70_000, 500_000, 5_000_000, 30_000_000])
    part = b"x" * min(size, 1 << 16)
    path = stranger.path()
    if stranger.chance.random() < 0.5:
        head, parts = stranger.head("POST", path, f"Content-Length: {size}"), [part] * (size // len(part))
    else:
        head = stranger.head("POST", path, "Transfer-Encoding: chunked")
        chunk = b"%x\r\n%s\r\n" % (len(part), part)
        parts = [*[chunk] * (size // len(part) + 1), b"0\r\n\r\n"]
    assert stranger.ask(head, *parts).status == 413


def sends_slowly(stranger: Stranger) -> None:
    body = urlencode(stranger.measured()).encode()
    kind = "Content-Type: application/x-www-form-urlencoded"
    head = stranger.head("POST", "/preview", kind, f"Content-Length: {len(body)}")
    if stranger.chance.random() < 0.5:
        third = len(body) // 3
        answer = stranger.ask(head[:40], head[40:], body[:third], body[third:], pause=0.05)
        assert stranger.mark in answer.text
        return
    with stranger.call() as caller:  # and leaves amid it
        caller.sendall((head + body)[: stranger.chance.randrange(len(head + body))])
        sleep(0.05)


def comes_by_another_name(stranger: Stranger) -> None:
    host = stranger.chance.choice(
        ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example:80", "192.0.2.1", "a b", "[::"]
    )
    assert stranger.ask(stranger.head("GET", "/", host=host)).status in (400, 421)
    other = stranger.chance.choice(
        ["Origin: http://evil.example", "Origin: null", "Sec-Fetch-Site: cross-site", "Sec-Fetch-Site: same-site"]
    )
    assert stranger.post(stranger.path(), stranger.measured(), other).status == 403


def climbs_out(stranger: Stranger) -> None:
    up = stranger.chance.choice(WAYS_OUT) * stranger.chance.randint(1, 6)
    goal = stranger.chance.choice(["etc/passwd", "server.py", "app.py", "design.toml", "sizes.csv", "crew.py%00.css"])
    below = stranger.chance.choice(["/", "/static/", "/files/", f"/desk/{stranger.token}/releases/", "/desk/"])
    answer = stranger.ask(stranger.head("GET", f"{below}{up}{goal}", "Accept: application/json"))
    assert answer.status >= 400
    fields = stranger.measured()
    fields[stranger.chance.choice(["design", "file", "size", "shown"])] = unquoted(f"{up}{goal}")
    answer = stranger.post(stranger.path(), fields)
    assert "root:" not in answer.text


def unquoted(path: str) -> str:
    return path.replace("%2f", "/").replace("%2e", ".").replace("%5c", "\\").replace("%00", "\0").replace("%0a", "\n")


def leaves_amid_a_download(stranger: Stranger) -> None:
    fields = {**stranger.measured(), "svg": "on", "dxf": "on", "page.A4": "on", "page.A0": "on"}
    body = urlencode(fields).encode()
    kind = "Content-Type: application/x-www-form-urlencoded"
    caller = stranger.call()
    caller.sendall(stranger.head("POST", "/files", kind, f"Content-Length: {len(body)}") + body)
    caller.settimeout(stranger.chance.choice([0.01, 0.2, PATIENCE]))
    with suppress(TimeoutError):
        caller.recv(stranger.chance.choice([1, 4096]))
    if stranger.chance.random() < 0.5:
        caller.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))  # without a goodbye
    caller.close()


def speaks_no_http(stranger: Stranger) -> None:
    body = urlencode(stranger.measured()).encode()
    sent = bytearray(stranger.head("POST", "/preview", f"Content-Length: {len(body)}") + body)
    for _ in range(stranger.chance.randint(1, 6)):
        at = stranger.chance.randrange(min(len(sent), 90))
        sent[at : at + stranger.chance.randint(0, 2)] = stranger.chance.randbytes(stranger.chance.randint(0, 3))
    with stranger.call() as caller, suppress(ConnectionError, HTTPException):
        caller.sendall(bytes(sent))
        caller.shutdown(socket.SHUT_WR)
        heard = HTTPResponse(caller)
        heard.begin()  # nothing at all is heard, where what was sent is no whole request
        assert heard.status == 200 or 400 <= heard.status < 500, (heard.status, bytes(sent))
        assert len(heard.read().split()) >= 4
        stranger.statuses.append(heard.status)


def knocks_at_the_desk(stranger: Stranger) -> None:
    token = stranger.chance.choice(
        ["x", stranger.token[:-1], stranger.token + "a", stranger.token.swapcase(), "é", "%00", "a" * 900]
    )
    below = stranger.chance.choice(["", "edit", "files", "releases", "releases/x/news"])
    assert stranger.ask(stranger.head("GET", f"/desk/{quote(token, safe='%')}/{below}")).status in (404, 405)
    proxied = stranger.head("GET", f"/desk/{stranger.token}/", "X-Forwarded-For: 192.0.2.7")
    assert stranger.ask(proxied).status == 403


def spoils_what_the_desk_is_sent(stranger: Stranger) -> None:
    desk, chance = f"/desk/{stranger.token}", stranger.chance
    fields = {"design": "design", "table": "sizes", "do": "", "view": "leg"}
    if chance.random() < 0.7:
        copy = {f"{name}_text": json.dumps(stranger.text(file)) for name, file in DESK_FILES.items()}
        fields |= {"steps": "[[],[]]", **copy}
    for _ in range(chance.randint(1, 4)):
        fields[chance.choice([*fields, *AT_DESK])] = chance.choice(ODD)
    odd = "/" + quote_from_bytes(chance.randbytes(4))
    below = chance.choice(["/edit", "/edit", "/edit", "/releases", "/releases/x/cancel", odd])
    if below == "/releases":
        fields["folder"] = fields["out"] = "../" + chance.choice(ODD)
    answer = stranger.post(desk + below, fields)
    assert not re.search("<script>alert|<img src=x", answer.page)
    stranger.ask(stranger.head("GET", f"{desk}/edit?{urlencode(fields)[:1500]}", "Accept: application/json"))


def uses_odd_methods(stranger: Stranger) -> None:
    method = stranger.chance.choice(["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "get", "BREW", "PROPFIND"])
    assert stranger.ask(stranger.head(method, stranger.path())).status >= 400
    stranger.ask(
        stranger.head(
            "GET", f"/?design={quote(stranger.chance.choice(ODD)[:500])}&{'a=b&' * stranger.chance.randint(0, 700)}"
        )
    )
    stranger.ask(stranger.head("GET", "/", *[f"X-{number}: y" for number in range(stranger.chance.randint(50, 300))]))


KINDS: Final[tuple[Try, ...]] = (
    *(draws_and_takes, draws_and_takes, spoils_a_field, spoils_a_field, marks_up_every_field, spoils_the_form),
    *(sends_another_kind, sends_too_much, sends_slowly, comes_by_another_name, climbs_out, leaves_amid_a_download),
    *(speaks_no_http, speaks_no_http, knocks_at_the_desk, spoils_what_the_desk_is_sent, uses_odd_methods),
)


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    (tmp_path / "temporary").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "temporary"))
    with served(tmp_path, "--workers", "2", "--rate", "100000") as running:
        yield running


def left_open(server: Served) -> list[str]:
    """Files in the temporary folder, and those without a name that one of its processes has open."""
    place = server.folder.parent / "temporary"
    found = [str(path) for path in place.iterdir()]
    for process in [own := psutil.Process(server.process.pid), *own.children(recursive=True)]:
        links = Path(f"/proc/{process.pid}/fd")
        for link in links.iterdir() if links.is_dir() else ():
            with suppress(OSError):
                found += [target for target in [str(link.readlink())] if target.startswith(str(place))]
    return found


def until_calm(server: Served) -> list[str]:
    """What is left when those who have left are forgotten."""
    for _ in range(100):
        if not left_open(server):
            break
        sleep(0.1)
    return left_open(server)


def test_hostile_requests_are_refused_in_a_sentence_and_honest_ones_answered(server: Served) -> None:
    before = sorted(path.name for path in server.folder.rglob("*"))
    process, weights, statuses = psutil.Process(server.process.pid), [], Counter[int]()

    def attempt(number: int) -> list[int]:
        stranger = Stranger(server, number)
        kind = KINDS[number % len(KINDS)]
        try:
            kind(stranger)
        except Exception as error:
            raise AssertionError(f"request {number}: {kind.__name__}: {error}") from error
        return stranger.statuses

    with ThreadPoolExecutor(AT_ONCE) as strangers:
        for number, heard in enumerate(strangers.map(attempt, range(REQUESTS))):
            statuses.update(heard)
            if number in (REQUESTS // 2, REQUESTS - 1):
                weights.append(process.memory_info().rss)
    draws_and_takes(Stranger(server, REQUESTS))
    assert until_calm(server) == []
    assert sorted(path.name for path in server.folder.rglob("*")) == before
    assert len(server.said.splitlines()) == 3, server.said
    grown = weights[1] / weights[0] - 1
    print(f"\n{sum(statuses.values())} answers to {REQUESTS} strangers: {dict(sorted(statuses.items()))}")
    print(f"memory of the server from the middle to the end: {grown:+.1%} of {weights[0] >> 20} MiB")
    assert grown < 0.05
    assert statuses[200] > REQUESTS / 10


def test_a_process_killed_under_load_costs_its_own_request_alone(server: Served) -> None:
    ended, asked = Event(), rounds(60, 1000)
    process, killed = psutil.Process(server.process.pid), 0

    def attempt(number: int) -> int:
        stranger = Stranger(server, number)
        answer = stranger.post("/preview", stranger.measured(), allowed=(200, 503))
        if answer.status == 200:
            assert stranger.mark in answer.text
        else:
            assert "died" in answer.text
            assert answer.headers["retry-after"]
        return answer.status

    with ThreadPoolExecutor(AT_ONCE) as wearers:
        answers = [wearers.submit(attempt, number) for number in range(asked)]
        answers[-1].add_done_callback(lambda _: ended.set())
        while not ended.wait(0.2):
            with suppress(psutil.Error, ProcessLookupError, IndexError):  # none is there just now
                workers = [one.pid for one in process.children() if "spawn_main" in " ".join(one.cmdline())]
                os.kill(random.Random(killed).choice(workers), signal.SIGKILL)
                killed += 1
        statuses = Counter(answer.result() for answer in answers)
    print(f"\n{killed} processes killed under {asked} requests: {dict(statuses)}")
    assert statuses[503] <= killed
    assert statuses[200] + statuses[503] == asked
    assert until_calm(server) == []
