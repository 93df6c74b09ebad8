"""What the requests of the commands have in common."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from blocks.design import Design
from blocks.parameters import check_parameters
from blocks.size_table import SizeTable
from drafting.errors import DraftError


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What a command is asked for. Fields that are left out are as on the command line.

    A design, a size table or a body is a value or the name of a file. Numbers are in the units of the command line,
    and may be text, as there. Where several `workers` are asked for, as they are by default, a script must be guarded
    by `if __name__ == "__main__":`, as any that starts processes.

    Raises:
        DraftError: a field is not of its kind.
    """

    def __post_init__(self) -> None:
        check_parameters(self, "", error=DraftError)


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestOfSizes(Request):
    """Something of every size of a table in the `rises`, all if none is named, to be written into the folder `out`."""

    design: str | Path | Design
    sizes: str | Path | SizeTable
    out: str | Path
    rises: tuple[str, ...] = ()
