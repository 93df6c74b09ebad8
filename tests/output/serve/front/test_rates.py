"""How often a client may ask."""

from __future__ import annotations

import random

from output.serve.front.guard import Bounds
from output.serve.front.rates import Rates


class Clock:
    """Shows what it is set to."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_several_who_type_quickly_behind_one_address_are_never_refused() -> None:
    clock, bounds, chance = Clock(), Bounds(), random.Random(1)
    rates = Rates(rate=bounds.rate, burst=bounds.burst, clients=bounds.clients, now=clock)
    for _ in range(20 * 600):  # 20 a second, for ten minutes, as unevenly as people type
        clock.now += chance.expovariate(20)
        assert rates.wait(rates.client("192.0.2.1")) == 0


def test_one_who_floods_is_told_when_to_come_again() -> None:
    clock = Clock()
    rates = Rates(rate=4, burst=10, clients=5, now=clock)
    flood = [rates.wait(rates.client("192.0.2.1")) for _ in range(20)]
    assert [wait == 0 for wait in flood] == [True] * 10 + [False] * 10
    assert rates.wait(rates.client("192.0.2.2")) == 0
    clock.now += flood[-1]
    assert rates.wait(rates.client("192.0.2.1")) == 0
    assert rates.wait(rates.client("192.0.2.1")) > 0


def test_a_household_of_ipv6_is_one_client_and_what_is_no_address_is_another() -> None:
    rates = Rates(rate=1, burst=1, clients=10, now=Clock())
    assert rates.client("2001:db8:1:2::7") is rates.client("2001:db8:1:2:ffff::9")
    assert rates.client("2001:db8:1:3::7") is not rates.client("2001:db8:1:2::7")
    assert rates.client("::ffff:192.0.2.1") is rates.client("192.0.2.1")
    assert rates.client("unknown") is rates.client("x" * 5000) is rates.client("")


def test_so_many_clients_are_remembered() -> None:
    rates = Rates(rate=1, burst=1, clients=100, now=Clock())
    first = rates.client("10.0.0.1")
    for number in range(5000):
        rates.client(f"10.1.{number // 250}.{number % 250}")
        assert rates.client("10.0.0.1") is first
    assert len(rates) == 100
