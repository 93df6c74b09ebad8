"""CSV as every table of ours is written: UTF-8 by RFC 4180, and nothing in it that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Final

_RUN: Final = re.compile(r"""(^|[;\t\r\n])(?=[\s"'\u200b-\u200f\u2060\ufeff]*[=+\-@＝＋－＠﹦﹢﹣﹫])|^(?=[\t\r\n])""")
"""Where a spreadsheet could take the rest of a text for a formula: at its start, behind blanks and quotes too, and
behind what parts the cells of a table in many countries. The signs come in full width and small as well."""


class Written(str):
    """A number of ours that is already written with its decimals. It goes into a cell as it is, minus sign and all."""

    __slots__ = ()


def csv_of(header: Sequence[str], rows: Iterable[Sequence[str | float]]) -> bytes:
    r"""A table as UTF-8 by RFC 4180, its first line the header. Numbers and a `Written` stay as they are.

    >>> csv_of(["size", "cm"], [["=1+1", Written("-3.20")], ["H102", -4]])
    b"size,cm\r\n'=1+1,-3.20\r\nH102,-4\r\n"
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(header)
    writer.writerows([harmless(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return text.getvalue().encode()


def harmless(cell: str) -> str:
    """A text that no spreadsheet runs: an apostrophe stands before what it could take for a formula.

    Source: OWASP, *CSV Injection*, from memory.

    >>> harmless("=1+1"), harmless(" @SUM(A1)"), harmless("36/38"), harmless("S;-1")
    ("'=1+1", "' @SUM(A1)", '36/38', "S;'-1")
    """
    return cell if isinstance(cell, Written) else _RUN.sub(r"\1'", cell)
