"""A port of this machine, to be asked at."""

from __future__ import annotations

import errno
import socket
import sys
from typing import Final

from blocks.quantity import shown
from drafting.errors import OutputError

WAITING: Final = 256
"""Connections that may wait to be taken."""


def listening(host: str, port: int) -> socket.socket:
    """A socket at a port of an address, at which connections can be taken.

    Raises:
        OutputError: there is none to be had.
    """
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_NUMERICHOST
        )[0]
        made = socket.socket(family, kind, protocol)
        try:
            if sys.platform == "win32":
                made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
            else:
                made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port that was left a moment ago is free
            made.bind(place)
            made.listen(WAITING)
        except BaseException:
            made.close()
            raise
    except OSError as error:
        raise OutputError(_why(host, port, error)) from None
    return made


def _why(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"port: {port} is taken by another program, perhaps by the same pages already; name another by --port"
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"port: {port} is not open to you; name one of 1024 or more by --port"
    if error.errno == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return f"host: {shown(host)} is not an address of this machine; give one, as 127.0.0.1"
    return f"host: {shown(host)} with port {port} cannot be used: {error.strerror}; name others by --host and --port"
