"""By which names the pages may be asked for, and from which machines and pages."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Final
from urllib.parse import urlsplit

from starlette.requests import Request

from blocks.quantity import shown
from drafting.errors import DraftError

LOOPBACK: Final = "127.0.0.1"

HOST: Final = re.compile(r"(?:\[([0-9a-fA-F:.]+)\]|([0-9a-zA-Z._-]+))(?::[0-9]{1,5})?", re.ASCII)
"""A Host header: a name or an address, and perhaps a port."""

NAME: Final = re.compile(r"(?=.{1,253}$)[0-9a-z_]([0-9a-z_-]{0,62})(\.[0-9a-z_]([0-9a-z_-]{0,62}))*", re.ASCII)

FORWARDED: Final = ("forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip")
"""Headers that a proxy adds."""


@dataclass(frozen=True, slots=True)
class Hosts:
    """The address that the pages are at, and other `names` that lead there.

    A page of another site whose name is made to lead here (DNS rebinding) asks by that name, and is not heard.
    """

    at: str = LOOPBACK
    names: frozenset[str] = frozenset()

    def know(self, host: str) -> bool:
        """Whether a Host header names these pages.

        >>> Hosts().know("localhost:8741"), Hosts().know("[::1]"), Hosts().know("example.org")
        (True, True, False)
        """
        name = _name_of(host)
        if name is None:
            return False
        address = address_of(name)
        if address is None:
            return name == "localhost" or name in self.names
        bound = address_of(self.at)
        everywhere = bound is not None and bound.is_unspecified
        return address.is_loopback or everywhere or address == bound or name in self.names

    def sent(self, request: Request) -> bool:
        """Whether what a browser says of where a form comes from is a page of ours; other programs say nothing."""
        sites, origins = request.headers.getlist("sec-fetch-site"), request.headers.getlist("origin")
        if any(site not in {"same-origin", "none"} for site in sites) or len(origins) > 1:
            return False
        if not origins:
            return True
        if origins == ["null"]:
            return sites == ["same-origin"]
        try:
            origin = urlsplit(origins[0])
        except ValueError:
            return False
        return origin.netloc.lower() == request.headers.get("host", "").lower() or origin.hostname in self.names


def is_near(request: Request) -> bool:
    """Whether one asks from this machine, by a name of its own, through no proxy.

    What a proxy on this machine passes on comes from this machine, too, with whatever Host its client has named.
    """
    name = _name_of(request.headers.get("host", "")) or ""
    here = address_of(name)
    peer = address_of(request.client.host) if request.client else None
    return (
        (name == "localhost" or (here is not None and here.is_loopback))
        and (peer is not None and peer.is_loopback)
        and not any(header in request.headers for header in FORWARDED)
    )


def named(raw: str) -> str:
    """A name of the pages as browsers send it.

    >>> named("Pattern.Example.org")
    'pattern.example.org'

    Raises:
        DraftError: it is none.
    """
    try:
        name = raw.strip().rstrip(".").encode("idna").decode("ascii").lower()
    except UnicodeError:
        name = ""
    if not NAME.fullmatch(name) and address_of(name) is None:
        raise DraftError(f"name: {shown(raw)} is no name of a host; give one as pattern.example.org, without a port")
    return name


@lru_cache(1024)
def address_of(name: str) -> IPv4Address | IPv6Address | None:
    """The address that a text is, if it is one; one of IPv4 written as one of IPv6 is the former."""
    try:
        address = ip_address(name)
    except ValueError:
        return None
    return getattr(address, "ipv4_mapped", None) or address


def _name_of(host: str) -> str | None:
    """The name or address in a Host header."""
    found = HOST.fullmatch(host)
    return (found[1] or found[2]).lower().rstrip(".") if found else None
