"""The serve command and its connections, as a user and a stranger meet them: a process of its own, asked by hand."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from time import monotonic, sleep
from typing import Final
from urllib.parse import urlsplit

import psutil
import pytest

from drafting.errors import DraftError
from output.command import main
from output.serve.front.connection import TOLD, Connection
from output.serve.front.guard import HEADERS, Bounds
from output.serve.server import ServeRequest, counter, serve
from served import ROOT, SAMPLES, Served, served

SOON: Final = 30.0


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(tmp_path_factory.mktemp("served"), "--workers", "1", "--rate", "1000") as running:
        yield running


def call(server: Served) -> socket.socket:
    return socket.create_connection(("127.0.0.1", urlsplit(server.counter).port or 0), SOON)


def heard(caller: socket.socket) -> bytes:
    """All that is answered until the connection ends."""
    parts = []
    while part := caller.recv(1 << 16):
        parts.append(part)
    return b"".join(parts)


def said(server: Served, *sent: bytes) -> tuple[int, str, str]:
    """The status, head and body of the answer to what is sent."""
    with call(server) as caller:
        for part in sent:
            caller.sendall(part)
        head, _, body = heard(caller).decode().partition("\r\n\r\n")
    return int(head.split()[1]), head.lower(), body


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"hello\r\n\r\n", 400),
        (b"GET / HTTP/1.1\r\n\r\n", 400),
        (b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", 400),
        (b"GET /\x00 HTTP/1.1\r\nHost: localhost\r\n\r\n", 400),
        (b"GET / HTTP/1.1\r\nHost: localhost\r\nX: a\rb\r\n\r\n", 400),
        (b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: x\r\n\r\n", 400),
        (b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\nxx", 400),
        (b"POST / HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: gzip\r\n\r\n", 501),
        (b"POST / HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", 400),
        (b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"y" * 100_000, 431),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" * 40, 400),  # TLS where there is none
        (b"\r\n" * 20_000, 400),
    ],
)
def test_what_is_no_request_is_told_so_in_a_sentence(server: Served, sent: bytes, status: int) -> None:
    answered, head, body = said(server, sent)
    assert (answered, body) == (status, TOLD[status])
    assert HEADERS["Content-Security-Policy"].lower() in head
    assert "server:" not in head


def test_smuggled_requests_are_not_heard(server: Served) -> None:
    head = b"POST / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n"
    both = b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n"
    status, _, body = said(server, head + both + b"\r\n0\r\n\r\nGET /health HTTP/1.1\r\nHost: localhost\r\n\r\n")
    assert status >= 400
    assert '"ok"' not in body


def test_nothing_is_said_of_strangers(server: Served) -> None:
    assert len(server.said.splitlines()) == 3


def test_a_slow_head_and_a_connection_without_one_are_ended(tmp_path: Path) -> None:
    script = tmp_path / "serving.py"
    script.write_text(SHORT)
    output = subprocess.PIPE
    process = subprocess.Popen([sys.executable, script, str(SAMPLES)], cwd=ROOT, stdout=output, text=True, env=_paths())
    try:
        assert process.stdout
        port = int(process.stdout.readline().split()[-1].rpartition(":")[2].strip("/"))
        begun = monotonic()
        with socket.create_connection(("127.0.0.1", port), SOON) as silent:
            assert heard(silent) == b""
        with socket.create_connection(("127.0.0.1", port), SOON) as slow:
            for part in (b"GET / HT", b"TP/1.1\r\n", b"Host: loc"):
                slow.sendall(part)
                sleep(0.1)
            assert TOLD[408].encode() in heard(slow)
        with socket.create_connection(("127.0.0.1", port), SOON) as kept:
            kept.sendall(b"GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n")
            answer = b""
            while not answer.endswith(b'{"ok":true}'):
                answer += kept.recv(1 << 16)
            kept.sendall(b"GET / HT")  # a second request, as slow
            assert TOLD[408].encode() in heard(kept)
        many = [socket.create_connection(("127.0.0.1", port), SOON) for _ in range(8)]
        answers = [heard(one) for one in many]
        assert sum(TOLD[503].encode() in answer for answer in answers) >= 3
        for one in many:
            one.close()
        assert monotonic() - begun < SOON
    finally:
        process.terminate()
        process.wait(SOON)
        process.stdout.close()  # type: ignore[union-attr]


SHORT: Final = """
import sys
from output.serve import server
from output.serve.front.guard import Bounds
import output.serve.front.guard

if __name__ == "__main__":
    import socket
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
    kept = server._settings
    def short(*about):
        from dataclasses import replace
        return replace(kept(*about), bounds=Bounds(asking=0.5, connections_each=4, idle=5))
    server._settings = short
    server.serve(server.ServeRequest(folder=sys.argv[1], port=port, workers=1))
"""


def _paths() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")])}


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other signals")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_signal_stops_it_as_it_stops_every_command(tmp_path: Path, name: str) -> None:
    number = getattr(signal, name)
    with served(tmp_path, "--workers", "1", stopped=True) as running:
        children = psutil.Process(running.process.pid).children(recursive=True)
        running.process.send_signal(number)
        assert running.process.wait(SOON) == 128 + number
        psutil.wait_procs(children, SOON)
        assert not [child for child in children if child.is_running()]
        told = "interrupted" if name == "SIGINT" else f"stopped by {name}"
        assert running.said.splitlines()[3:] == [f"shirrline: {told}"]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other signals")
def test_no_process_outlives_a_server_that_is_killed(tmp_path: Path) -> None:
    with served(tmp_path, "--workers", "2", stopped=True) as running:
        until = monotonic() + SOON
        while len(children := psutil.Process(running.process.pid).children(recursive=True)) < 2:
            assert monotonic() < until
            sleep(0.02)
        running.process.kill()
        running.process.wait()
        _, alive = psutil.wait_procs(children, SOON)
        assert not alive


def test_a_port_that_is_taken_is_one_line(server: Served, capsys: pytest.CaptureFixture[str]) -> None:
    port = str(urlsplit(server.counter).port)
    assert main(["serve", str(SAMPLES), "--port", port]) == 2
    assert capsys.readouterr() == (
        "",
        f"shirrline: port: {port} is taken by another program, perhaps by the same pages already; name another by "
        "--port\n",
    )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"host": "workroom"}, 'host: "workroom" is not an address of this machine'),
        ({"host": "192.0.2.7"}, 'host: "192.0.2.7" is not an address of this machine'),
        ({"names": ["https://example.org"]}, 'name: "https://example.org" is no name of a host'),
        ({"proxies": ["proxy"]}, 'proxy: "proxy" is not an address or network'),
        ({"rate": "many"}, 'rate: "many" is not a number of requests'),
        ({"rate": 0}, "rate: 0 is not a number of requests"),
        ({"port": 0}, "port: 0 is not a port"),
        ({"folder": "nowhere"}, 'folder: "nowhere" is not a folder'),
    ],
)
def test_a_request_is_refused_by_its_field(asked: dict[str, object], told: str) -> None:
    with pytest.raises(DraftError) as caught:
        serve(ServeRequest(**{"folder": SAMPLES, "port": 8741, **asked}))  # type: ignore[arg-type]
    assert str(caught.value).startswith(told)


def test_behind_a_proxy_there_is_no_desk_and_a_client_is_whom_the_proxy_names(tmp_path: Path) -> None:
    options = ["--name", "pattern.example.org", "--proxy", "127.0.0.0/8", "--rate", "1", "--workers", "1"]
    with served(tmp_path, *options) as running:
        assert running.desk == ""

        def status(client: str, host: str = "pattern.example.org") -> int:
            head = f"GET /health HTTP/1.1\r\nHost: {host}\r\nX-Forwarded-For: {client}\r\nConnection: close\r\n\r\n"
            return said(running, head.encode())[0]

        flood = [status("192.0.2.1") for _ in range(Bounds().burst + 50)]
        assert 429 in flood
        assert status("192.0.2.2") == 200
        assert status("192.0.2.2", "evil.example") == 421


def test_another_server_is_told_by_variables(tmp_path: Path) -> None:
    told = {"SHIRRLINE_FOLDER": str(SAMPLES), "SHIRRLINE_NAMES": "pattern.example.org, 192.0.2.7"}
    assert counter({**told, "SHIRRLINE_WORKERS": "2", "SHIRRLINE_RATE": "100"}).routes
    for wrong in ({}, {**told, "SHIRRLINE_NAMES": "a b"}, {**told, "SHIRRLINE_WORKERS": "x"}):
        with pytest.raises(DraftError):
            counter(wrong)


def test_the_rate_that_help_tells_is_the_one_that_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--help"]) == 0
    assert f"(default: {Bounds().rate:g})" in " ".join(capsys.readouterr().out.split())
    assert Connection.bounds == Bounds()
