"""What is heard at all, and what every answer carries, under any server."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Mapping
from typing import Any, Final

import httpx
import pytest
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from output.serve.front.guard import FAULT, HEADERS, Bounds, Guard
from output.serve.front.hosts import Hosts

HOST: Final = "127.0.0.1:8741"


def refuse(request: Request, status: int, told: str, headers: Mapping[str, str] | None) -> Response:
    return JSONResponse({"problem": told}, status, headers)


async def echo(scope: Scope, receive: Receive, send: Send) -> None:
    await Response(await Request(scope, receive).body())(scope, receive, send)


def guarded(app: ASGIApp = echo, **bounds: Any) -> Guard:
    return Guard(app, bounds=Bounds(**bounds), hosts=Hosts(), refuse=refuse)


def ask(guard: ASGIApp, path: str = "/", *, method: str = "GET", **more: Any) -> httpx.Response:
    async def asking() -> httpx.Response:
        transport = httpx.ASGITransport(guard, client=("127.0.0.1", 5000))
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
            return await client.request(method, path, **more)

    return asyncio.run(asking())


def refused(answer: httpx.Response, status: int) -> str:
    """The sentence of a refusal."""
    told = str(answer.json()["problem"])
    assert answer.status_code == status, told
    assert told[0].isupper()
    assert told.endswith(".")
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
    assert "set-cookie" not in answer.headers
    return told


def by_hand(guard: ASGIApp, *messages: Message | float, headers: Mapping[str, str] | None = None) -> list[Message]:
    """What is answered to messages that come one by one, after pauses of so many seconds; at last nothing comes."""
    sent: list[Message] = []

    async def asking() -> None:
        coming = iter(messages)

        async def receive() -> Message:
            for message in coming:
                if not isinstance(message, float):
                    return message
                await asyncio.sleep(message)
            await asyncio.sleep(600)
            raise AssertionError

        async def send(message: Message) -> None:
            sent.append(message)

        given = {"host": HOST, "transfer-encoding": "chunked", **(headers or {})}
        scope = {
            "type": "http",
            "method": "POST",
            "path": "/",
            "query_string": b"",
            "headers": [(name.encode(), value.encode()) for name, value in given.items()],
            "client": ("127.0.0.1", 5000),
        }
        await asyncio.wait_for(guard(scope, receive, send), 30)

    asyncio.run(asking())
    return sent


def part(body: bytes, *, more: bool = True) -> Message:
    return {"type": "http.request", "body": body, "more_body": more}


def test_every_answer_carries_the_headers_that_keep_a_page_to_itself() -> None:
    answer = ask(guarded(), method="POST", content=b"waist=76")
    assert answer.content == b"waist=76"
    for name, value in {**HEADERS, "Cache-Control": "no-store"}.items():
        assert answer.headers[name] == value
    assert ask(guarded(), "/static/page.css").headers["cache-control"] == "no-cache"
    assert "'unsafe" not in HEADERS["Content-Security-Policy"]


def test_a_fault_of_ours_is_told_without_what_was_typed(capsys: pytest.CaptureFixture[str]) -> None:
    async def blunder(scope: Scope, receive: Receive, send: Send) -> None:
        raise KeyError("waist 76")

    assert refused(ask(guarded(blunder)), 500) == FAULT
    said = capsys.readouterr().err
    place, _, rest = said.partition(", line ")
    assert place == "shirrline: internal error: KeyError in output.serve.front.guard"
    assert rest
    assert "76" not in place


def test_a_fault_amid_an_answer_cuts_it_off(capsys: pytest.CaptureFixture[str]) -> None:
    async def half(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise KeyError("waist 76")

    sent = by_hand(guarded(half), part(b"", more=False))
    assert [message["type"] for message in sent] == ["http.response.start"]
    assert "KeyError" in capsys.readouterr().err


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "a b", "192.0.2.7"])
def test_another_name_is_not_heard(host: str) -> None:
    assert "name" in refused(ask(guarded(), headers={"Host": host}), 421)


def test_a_form_from_another_page_is_not_heard() -> None:
    assert "another site" in refused(ask(guarded(), method="POST", headers={"Origin": "http://evil.example"}), 403)
    assert "another site" in refused(ask(guarded(), method="POST", headers={"Sec-Fetch-Site": "cross-site"}), 403)
    assert ask(guarded(), method="GET", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 200  # a link


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "BREW"])
def test_no_other_methods(method: str) -> None:
    assert ask(guarded(), method=method).headers["allow"] == "GET, HEAD, POST"


@pytest.mark.parametrize("path", ["/static/..%2f..%2fserver.py", "/%2e%2e/x", "/a%00b", "/a%5cb", "/%0d%0aX:%20y"])
def test_no_path_leads_out_or_steers_anything(path: str) -> None:
    scope_path = httpx.URL(f"http://{HOST}").copy_with(raw_path=path.encode())
    refused(ask(guarded(), str(scope_path)), 404)


def test_long_addresses_and_many_headers() -> None:
    refused(ask(guarded(), "/?" + "x" * 3000), 414)
    refused(ask(guarded(), headers={f"X-{number}": "y" for number in range(100)}), 431)
    refused(ask(guarded(), headers={"X": "y" * 20_000}), 431)


def test_a_body_has_so_many_bytes_however_it_comes() -> None:
    guard = guarded(body=1024)
    assert ask(guard, method="POST", content=b"x" * 1024).status_code == 200
    assert "1024 bytes" in refused(ask(guard, method="POST", content=b"x" * 1025), 413)

    async def chunks() -> AsyncIterator[bytes]:
        for _ in range(50):
            yield b"x" * 100

    refused(ask(guard, method="POST", content=chunks()), 413)
    assert ask(guard, "/desk/x/", method="POST", content=b"x" * 5000).status_code == 200


def test_the_sender_of_too_much_is_heard_out_so_that_it_reads_why() -> None:
    sent = by_hand(guarded(body=1024), *[part(b"x" * 1000)] * 20, part(b"", more=False))
    start, body, end = sent
    assert start["status"] == 413
    assert (b"connection", b"close") in start["headers"]
    assert body["more_body"]
    assert end == {"type": "http.response.body", "body": b"", "more_body": False}


def test_one_who_never_stops_sending_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("output.serve.front.guard.SPILLED", 5000)
    assert by_hand(guarded(body=1024), *[part(b"x" * 1000)] * 20)[-1]["more_body"] is False
    monkeypatch.setattr("output.serve.front.guard.SPILLING", 0.1)
    assert by_hand(guarded(body=1024), *[part(b"x" * 1000)] * 3)[-1]["more_body"] is False


def test_one_who_sends_too_slowly_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("output.serve.front.guard.SPILLING", 0.1)
    sent = by_hand(guarded(sending=0.2), *[part(b"x"), 0.15] * 10)
    assert sent[0]["status"] == 408
    assert sent[-1]["more_body"] is False


def test_one_who_leaves_amid_the_body_is_answered_nothing() -> None:
    assert by_hand(guarded(), part(b"x"), {"type": "http.disconnect"}) == []


def test_one_who_takes_an_answer_too_slowly_is_left(capsys: pytest.CaptureFixture[str]) -> None:
    closed = []

    async def endless() -> AsyncIterator[bytes]:
        try:
            while True:
                yield b"x" * 65536
        finally:
            closed.append(True)

    async def stuck(message: Message) -> None:
        if message.get("body"):
            await asyncio.sleep(600)

    async def download(scope: Scope, receive: Receive, send: Send) -> None:
        await StreamingResponse(endless())(scope, receive, send)

    async def asking() -> None:
        headers = [(b"host", HOST.encode())]
        scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": headers, "client": None}
        never = asyncio.Event()

        async def receive() -> Message:
            await never.wait()
            raise AssertionError

        await asyncio.wait_for(guarded(download, stalled=0.2)(scope, receive, stuck), 30)

    asyncio.run(asking())
    assert closed == [True]
    assert capsys.readouterr().err == ""


def test_one_who_asks_too_often_is_told_when_to_come_again() -> None:
    guard = guarded(rate=0.1, burst=3)
    assert [ask(guard).status_code for _ in range(3)] == [200] * 3
    answer = ask(guard)
    refused(answer, 429)
    assert 1 <= int(answer.headers["retry-after"]) <= 10


@pytest.mark.parametrize("bound", ["busy", "busy_each"])
def test_so_many_are_answered_at_once(bound: str) -> None:
    async def slow(scope: Scope, receive: Receive, send: Send) -> None:
        await asyncio.sleep(0.2)
        await echo(scope, receive, send)

    async def asking() -> list[int]:
        guard = guarded(slow, **{bound: 3})
        transport = httpx.ASGITransport(guard, client=("127.0.0.1", 5000))
        async with httpx.AsyncClient(transport=transport, base_url=f"http://{HOST}") as client:
            answers = await asyncio.gather(*(client.post("/", content=b"x") for _ in range(5)))
            later = await client.post("/", content=b"x")
        assert {answer.headers["retry-after"] for answer in answers if answer.status_code == 503} == {"1"}
        return [*sorted(answer.status_code for answer in answers), later.status_code]

    assert asyncio.run(asking()) == [200, 200, 200, 503, 503, 200]


def test_a_web_socket_is_closed() -> None:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    receive: Callable[..., Any] = asyncio.sleep
    asyncio.run(guarded()({"type": "websocket", "path": "/", "headers": []}, receive, send))
    assert sent == [{"type": "websocket.close"}]
