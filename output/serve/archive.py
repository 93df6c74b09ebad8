"""A zip made as it is sent: of all that goes into it no more than one file is held at once."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from typing import Final
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The first date that a zip knows: the same files are the same zip, whenever they are asked for."""

UNIX: Final = 3
"""The kind of system that a zip says it comes from, or else it would say on which it was made (APPNOTE 4.4.2)."""

RIGHTS: Final = 0o100644 << 16
"""A plain file that its owner may write, where that is asked for."""


class _Outgoing(io.RawIOBase):
    """What is written, until it is taken away; `ZipFile` goes back no further than to the head of the last file."""

    def __init__(self) -> None:
        self._gone = 0
        self._held = io.BytesIO()

    def writable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def write(self, data: object) -> int:
        return self._held.write(data)  # type: ignore[arg-type]

    def tell(self) -> int:
        return self._gone + self._held.tell()

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        self._held.seek(offset - self._gone if whence == io.SEEK_SET else offset, whence)
        return self.tell()

    def taken(self) -> bytes:
        """What was written since the last time."""
        data = self._held.getvalue()
        self._gone += len(data)
        self._held = io.BytesIO()
        return data


def zip_of(files: Iterable[tuple[str, bytes]]) -> Iterator[bytes]:
    """Files by their names as one zip, bit by bit. The same files in the same order give the same bytes."""
    outgoing = _Outgoing()
    with ZipFile(outgoing, "w") as archive:
        for name, data in files:
            about = ZipInfo(name, EPOCH)
            about.create_system, about.external_attr = UNIX, RIGHTS
            packed = name.endswith(".pdf")  # in itself
            archive.writestr(about, data, ZIP_STORED if packed else ZIP_DEFLATED)
            yield outgoing.taken()
    yield outgoing.taken()
