"""The files of a wearer, as the draft command writes them: one of them, or all in a zip.

They are made in a process of the crew and sent on as they come: of a zip no more than one file is held at once.
"""

from __future__ import annotations

from collections.abc import Iterator

from blocks.quantity import shown
from drafting.errors import OutputError
from output.commands.draft import DraftRequest, plan
from output.serve.archive import zip_of


def one(request: DraftRequest, name: str) -> Iterator[bytes]:
    """The file of that name; the others are not made.

    Raises:
        OutputError: no file of that name is asked for.
        DraftError: see `output.commands.draft.plan`.
    """
    planned = plan(request)
    if name not in planned.makers:
        raise OutputError(f"file: {shown(name)} is not among those that are asked for; open the page anew")
    yield planned.made(name).data


def zipped(request: DraftRequest) -> Iterator[bytes]:
    """All files as one zip, bit by bit. The same request gives the same bytes.

    Raises:
        DraftError: see `output.commands.draft.make`.
    """
    planned = plan(request)
    yield from zip_of((name, planned.made(name).data) for name in planned.makers)
