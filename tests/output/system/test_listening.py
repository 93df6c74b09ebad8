"""A port that can be had, and what is said of one that cannot."""

from __future__ import annotations

import socket

import pytest

from drafting.errors import OutputError
from output.system.listening import listening


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def test_a_port_takes_connections_and_is_free_again_at_once() -> None:
    port = free_port()
    for _ in range(2):
        with listening("127.0.0.1", port) as place, socket.create_connection(("127.0.0.1", port)) as caller:
            taken, _ = place.accept()
            taken.close()
            assert caller.recv(1) == b""


def test_a_port_that_is_taken_is_told_with_what_to_do() -> None:
    port = free_port()
    with listening("127.0.0.1", port), pytest.raises(OutputError, match=rf"^port: {port} is taken .* --port$"):
        listening("127.0.0.1", port)


@pytest.mark.parametrize("host", ["192.0.2.7", "workroom", "2001:db8::7"])  # addresses that nobody has: RFC 5737, 3849
def test_a_host_that_is_not_of_this_machine(host: str) -> None:
    with pytest.raises(OutputError, match=r"^host: "):
        listening(host, free_port())
