"""How often each client asks, and how much it has under way."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

from output.serve.front.hosts import address_of


@dataclass(slots=True)
class Client:
    """What it may still ask for at once, as of when, and what it has under way."""

    left: float
    seen: float
    busy: int = 0


class Rates:
    """A bucket of tokens for each client: one is taken by each request, so many are added each second.

    >>> rates = Rates(rate=1, burst=2, clients=10, now=lambda: 0.0)
    >>> [rates.wait(rates.client("192.0.2.1")) for _ in range(3)]
    [0.0, 0.0, 1.0]
    """

    def __init__(self, *, rate: float, burst: int, clients: int, now: Callable[[], float] = monotonic) -> None:
        self._rate, self._burst, self._most, self._now = rate, burst, clients, now
        self._clients: OrderedDict[str, Client] = OrderedDict()

    def client(self, host: str) -> Client:
        """The one at an address. The one that has been away longest is forgotten when there are too many."""
        key = _network(host)
        client = self._clients.get(key)
        if client is None:
            client = self._clients[key] = Client(self._burst, self._now())
            if len(self._clients) > self._most:
                self._clients.popitem(last=False)
        else:
            self._clients.move_to_end(key)
        return client

    def wait(self, client: Client) -> float:
        """Take a token; if there is none, how many seconds there will be none."""
        now = self._now()
        client.left = min(self._burst, client.left + (now - client.seen) * self._rate)
        client.seen = now
        if client.left < 1:
            return (1 - client.left) / self._rate
        client.left -= 1
        return 0.0

    def __len__(self) -> int:
        return len(self._clients)


def _network(host: str) -> str:
    """Who asks: an address, or for IPv6 the network that one household or company has; all others are one."""
    address = address_of(host)
    if address is None:
        return ""
    return str(address) if address.version == 4 else f"{int(address) >> 64:x}::"
