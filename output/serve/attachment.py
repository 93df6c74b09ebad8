"""A file as an answer: for the browser to keep, under its own name."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import IO, Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response, StreamingResponse

CHUNK: Final = 1 << 16
"""Bytes of a file that are sent at once."""

KINDS: Final = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "json": "application/json",
    "dxf": "image/vnd.dxf",
    "csv": "text/csv; charset=utf-8",
    "zip": "application/zip",
}
"""Media types by the ends of file names."""


def attached(file: IO[bytes], name: str) -> Response:
    """A file to keep, sent bit by bit and gone after the answer; its name is ours, in ASCII and in full (RFC 6266)."""
    size = file.seek(0, 2)
    file.seek(0)
    plain = name.encode("ascii", "replace").decode().replace("?", "_").replace('"', "_").replace("\\", "_")
    headers = {
        "Content-Disposition": f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}",
        "Content-Length": str(size),
    }
    kind = KINDS.get(name.rpartition(".")[2], "application/octet-stream")
    return StreamingResponse(_chunks(file), media_type=kind, headers=headers)


async def _chunks(file: IO[bytes]) -> AsyncIterator[bytes]:
    try:
        while chunk := await run_in_threadpool(file.read, CHUNK):
            yield chunk
    finally:
        file.close()
