"""By which names the pages are asked for: what a browser may be made to send, and what a proxy passes on."""

from __future__ import annotations

import pytest
from starlette.requests import Request

from drafting.errors import DraftError
from output.serve.front.hosts import Hosts, is_near, named


def asked(client: str | None = "127.0.0.1", **headers: str) -> Request:
    return Request(
        {
            "type": "http",
            "method": "POST",
            "path": "/",
            "query_string": b"",
            "client": (client, 5000) if client else None,
            "headers": [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()],
        }
    )


@pytest.mark.parametrize(
    ("hosts", "known", "unknown"),
    [
        (
            Hosts(),
            ["localhost", "LocalHost:8741", "127.0.0.1", "127.9.9.9:80", "[::1]:8741", "localhost."],
            ["", "example.org", "localhost.example.org", "192.0.2.7", "[2001:db8::1]", "local host", "::1", "a:b:c"],
        ),
        (Hosts("192.0.2.7"), ["192.0.2.7:8741", "localhost"], ["192.0.2.8", "192.0.2.7.example.org", "0xC0000207"]),
        (Hosts("0.0.0.0"), ["192.0.2.7", "[2001:db8::1]", "127.0.0.1"], ["example.org", "workroom"]),
        (Hosts(names=frozenset({"pattern.example.org"})), ["Pattern.Example.org:443"], ["example.org", "192.0.2.7"]),
        (Hosts(names=frozenset({"192.0.2.9"})), ["192.0.2.9:81"], ["192.0.2.8"]),
    ],
)
def test_a_host_is_known_by_its_name(hosts: Hosts, known: list[str], unknown: list[str]) -> None:
    assert [host for host in known if not hosts.know(host)] == []
    assert [host for host in unknown if hosts.know(host)] == []


@pytest.mark.parametrize(
    ("headers", "ours"),
    [
        ({}, True),  # no browser
        ({"origin": "http://localhost:8741"}, True),
        ({"origin": "http://LOCALHOST:8741", "sec_fetch_site": "same-origin"}, True),
        ({"origin": "https://pattern.example.org"}, True),
        ({"origin": "null", "sec_fetch_site": "same-origin"}, True),
        ({"origin": "null"}, False),
        ({"origin": "http://localhost:3000"}, False),
        ({"origin": "http://evil.example"}, False),
        ({"origin": "http://[bad"}, False),
        ({"origin": "http://localhost:8741", "sec_fetch_site": "same-site"}, False),
        ({"sec_fetch_site": "cross-site"}, False),
        ({"sec_fetch_site": "none"}, True),
    ],
)
def test_a_form_comes_from_a_page_of_ours(headers: dict[str, str], ours: bool) -> None:
    hosts = Hosts(names=frozenset({"pattern.example.org"}))
    assert hosts.sent(asked(host="localhost:8741", **headers)) is ours


def test_near_is_one_on_this_machine_and_nobody_behind_a_proxy() -> None:
    assert is_near(asked(host="localhost:8741"))
    assert is_near(asked("::1", host="[::1]:8741"))
    assert is_near(asked("::ffff:127.0.0.1", host="127.0.0.1"))
    assert not is_near(asked("192.0.2.7", host="127.0.0.1"))
    assert not is_near(asked(host="pattern.example.org"))
    assert not is_near(asked(None, host="localhost"))
    for header in ("forwarded", "via", "x_forwarded_for", "x_real_ip"):
        assert not is_near(asked(host="localhost", **{header: "192.0.2.7"}))


def test_a_name_is_kept_as_browsers_send_it() -> None:
    assert named("Nähstube.example.ORG.") == "xn--nhstube-5wa.example.org"
    assert named("192.0.2.7") == "192.0.2.7"
    for wrong in ("", "https://example.org", "example.org:443", "a b", "*.example.org", "x" * 64, ".org"):
        with pytest.raises(DraftError, match="is no name of a host; give one"):
            named(wrong)
