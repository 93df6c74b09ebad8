"""The batch command: an order book, drafted to measure row by row on many processes, and written by this one alone.

Each order gets a folder of its own, named after it, with its PDF, `pieces.json` and `order.json`: the record of what
went in and what came out. An order whose record and files still match its row is not drafted again.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import asdict, dataclass, field, replace
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any, Final

from blocks.cloth import Cloth, Lay, cloth_length
from blocks.design import Design
from blocks.fitting import NAMES as FINDINGS
from blocks.fitting import fitting_from
from blocks.garment import Garment
from blocks.known import block_of
from blocks.label import LABEL_LENGTH, label_from, tidy
from blocks.measurements import RANGES, body_from, meant
from blocks.parameters import of_kind
from blocks.quantity import read_cell, shown
from blocks.size_range import draft_to_fit
from drafting.errors import DesignError, DraftError, OutputError
from drafting.units import MILLIMETRES
from output.commands.options import design_of
from output.commands.request import Request
from output.formats.pattern_json import pattern_json
from output.paper.sizes import paper_named
from output.patterns.pattern_pdf import pattern_pdf
from output.system.cluster import on_cluster
from output.system.files import HeldFolder, settle_within, write_all, writing
from output.system.names import on_line, stems
from output.system.pool import in_processes, workers_named
from output.system.progress import bar
from output.system.reading import LARGEST_JSON, read_bytes, read_json, read_orders
from output.system.version import version
from output.tables.csv_text import csv_of
from output.words.letters import check_names

PIECES: Final = "pieces.json"
RECORD: Final = "order.json"
FAILURES: Final = "failures.csv"

_ONE_AT_A_TIME = Lock()
"""A cluster may run several threads in one process; the library that writes PDF keeps its fonts in one place."""


@dataclass(frozen=True, slots=True)
class Order:
    """A row of an order book: its name, printed on every piece as the size, and its filled cells by column.

    `stem` is how its folder and PDF are named. `problem` says why it can have none, or only one that others claim too.
    """

    name: str
    cells: Mapping[str, str]
    stem: str
    problem: str = ""


@dataclass(frozen=True, slots=True)
class OrderJob:
    """An order to be drafted by any process, here or on another machine, that runs this version of the program."""

    design: Design
    order: Order
    version: str

    @property
    def key(self) -> str:
        """Digest of everything that the order's files depend on."""
        told = json.dumps([self.version, _described(self.design), dict(self.order.cells)], sort_keys=True)
        return _digest(told.encode())


@dataclass(frozen=True, slots=True)
class OrderFailure:
    """Why an order could not be drafted, on one line; `ours` when it was not for the order's fault."""

    order: str
    reason: str
    ours: bool = False


class Success(StrEnum):
    """What becomes of an order that does not fail."""

    DRAFTED = "drafted"
    UNCHANGED = "unchanged"


Fate = Success | OrderFailure


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchRequest(Request):
    """The `orders` of an order book, to be drafted and written into the folder `out`, each into one of its own.

    They are drafted on so many `workers`, processes of this machine, one for each processor if none are asked for, or
    on the Dask cluster at the address of its `scheduler`.
    """

    design: str | Path | Design
    orders: str | Path
    out: str | Path
    workers: int | str | None = None
    scheduler: str | None = None


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What became of every order, in the order book's order; `unlisted` says why `failures.csv` is not renewed.

    `casings_left_out` are those of the design that an order's rise has no room for, by the order's name.
    """

    folder: str
    drafted: tuple[str, ...]
    unchanged: tuple[str, ...]
    failures: tuple[OrderFailure, ...]
    unlisted: str = ""
    casings_left_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def faulty(self) -> bool:
        """True when an order failed for no fault of its own."""
        return any(failure.ours for failure in self.failures)

    @property
    def complaint(self) -> str:
        """One line about the orders that failed; empty when none did."""
        told = [f"{_orders(len(self.failures))} failed"] if self.failures else []
        if self.unlisted:
            told.append(f"{FAILURES} is not renewed: {self.unlisted}")
        elif told:
            told.append(f"{Path(self.folder) / FAILURES} tells why")
        return "; ".join(told)

    def text(self) -> str:
        """The counts, for a reader."""
        total = len(self.drafted) + len(self.unchanged) + len(self.failures)
        counts = f"{len(self.drafted)} drafted, {len(self.unchanged)} unchanged, {len(self.failures)} failed"
        lines = [f"{_orders(total)} in {on_line(self.folder)}: {counts}"]
        for casing in dict.fromkeys(name for names in self.casings_left_out.values() for name in names):
            lacking = [order for order, names in self.casings_left_out.items() if casing in names]
            lines.append(f"Warning: casing {casing!r} is left out of {_some(lacking)}; {RECORD} of each tells why")
        return "\n".join(lines)

    def json(self) -> str:
        """Every order by what became of it, as one JSON object."""
        told = asdict(self)
        del told["unlisted"]
        return json.dumps(told, indent=2)


def batch(request: BatchRequest) -> BatchReport:
    """Draft the orders that are not done, write each as it is done, then list the failures in `failures.csv`.

    An order that fails, whatever its fault, keeps no other from being drafted. The list is written however the run
    ends; of one that is stopped it names the orders that were not reached, too.

    Raises:
        DraftError: a field of the request, the design or the order book as a whole is at fault; then nothing is
            written. Or the folder cannot be written, or the cluster is lost; then what is done stays, and the next run
            goes on.
    """
    asked: BatchRequest = of_kind("request", request, BatchRequest, DraftError)
    workers, folder = _workers(asked), str(asked.out)
    design = design_of(asked.design)
    orders = orders_from(read_orders(asked.orders), design)
    check_names(design)
    with writing(folder) as place:
        settle_within(place.goal, [order.stem for order in orders if order.stem])
        made_by = version()
        jobs = {row: OrderJob(design, order, made_by) for row, order in enumerate(orders)}
        fates = _known(place.goal, jobs)
        waiting = {row: job for row, job in jobs.items() if row not in fates}
        try:
            with bar("orders", unit="order", total=len(orders), done=len(fates)) as moved:
                for row, fate in _drafted(place.goal, waiting, asked.scheduler, workers):
                    fates[row] = fate
                    moved(1, 0)
        except BaseException:
            if len(fates) + len(waiting) > len(orders):  # some were reached: the last list is no longer true
                with suppress(DraftError):  # why the run ends is told, not this
                    _list_failures(place, _failures(orders, fates), stopping=True)
            raise
        failures, unlisted = _failures(orders, fates), ""
        try:
            _list_failures(place, failures)
        except OutputError as error:
            unlisted = str(error)
        done = [order for row, order in enumerate(orders) if not isinstance(fates[row], OrderFailure)]
        lacking = {order.name: gone for order in done if (gone := _left_out(place.goal / order.stem))}
    drafted, unchanged = (
        tuple(order.name for row, order in enumerate(orders) if fates[row] is success) for success in Success
    )
    return BatchReport(folder, drafted, unchanged, failures, unlisted, lacking)


def _known(folder: Path, jobs: Mapping[int, OrderJob]) -> dict[int, Fate]:
    """What becomes of the orders that need not or cannot be drafted, by row."""
    fates: dict[int, Fate] = {}
    for row, job in jobs.items():
        order = job.order
        if order.problem:
            failure = OrderFailure(order.name, order.problem)
            fates[row] = _kept(folder / order.stem, failure) if order.stem else failure
        elif _is_done(folder / order.stem, job):
            fates[row] = Success.UNCHANGED
        elif taken := _taken(folder / order.stem, job):
            fates[row] = taken
    return fates


def _drafted(
    folder: Path, waiting: Mapping[int, OrderJob], scheduler: str | None, workers: int
) -> Iterator[tuple[int, Fate]]:
    """What becomes of each order that is to be drafted, by row, when its files are written or it has failed."""
    rows, jobs = list(waiting), list(waiting.values())
    if scheduler is not None:
        results = on_cluster(draft_order, jobs, scheduler=scheduler)
    else:
        results = in_processes(draft_order, jobs, workers=workers)
    with closing(results):
        for number, result in results:
            order = jobs[number].order
            yield rows[number], _written(folder / order.stem, result or _lost(order), order)


def _written(folder: Path, result: dict[str, bytes] | OrderFailure, order: Order) -> Fate:
    """Write an order's files into its folder; or why there are none, or why that folder cannot be written."""
    if isinstance(result, OrderFailure):
        return _kept(folder, result)
    try:
        write_all(folder, result)
    except OutputError as error:
        return _kept(folder, OrderFailure(order.name, _one_line(str(error))))
    except Exception as error:
        return _kept(folder, _unforeseen(order, error))
    return Success.DRAFTED


def _failures(orders: Sequence[Order], fates: Mapping[int, Fate]) -> tuple[OrderFailure, ...]:
    """The orders that failed, in the order book's order, and those that were not reached."""
    unreached = "not reached: the run was stopped before its turn; run the same again"
    found = (fates.get(row, OrderFailure(order.name, unreached)) for row, order in enumerate(orders))
    return tuple(fate for fate in found if isinstance(fate, OrderFailure))


def _list_failures(place: HeldFolder, failures: Sequence[OrderFailure], *, stopping: bool = False) -> None:
    rows = ((one.order, one.reason) for one in failures)
    place.put({FAILURES: csv_of(("order", "reason"), rows)}, stopping=stopping)


def required_of(design: Design) -> tuple[str, ...]:
    """The columns that every order of a design needs."""
    block = block_of(design)
    return ("order", "unit", *block.needs, *(["rise"] if block.rises else []), "page", "cloth_width")


def orders_from(rows: Sequence[Mapping[str, str]], design: Design) -> tuple[Order, ...]:
    """The orders of an order book, one for each row. What is wrong in an order's other cells is found by drafting it.

    An order without a name, and all those of one name, have a problem: nobody could tell which of them is meant.

    >>> from blocks.read_design import design_from
    >>> design = design_from({"name": "Plain", "unit": "cm"})
    >>> row = dict.fromkeys(required_of(design), "") | {"order": "2041/3", "rise": "high"}
    >>> orders_from([row], design)[0].stem, orders_from([row], design)[0].cells
    ('2041-3', {'order': '2041/3', 'rise': 'high'})
    >>> orders_from([row, row], design)[1].problem
    'row 2: its name stands in rows 1, 2; give each order a name of its own'

    Raises:
        DraftError: an unknown or missing column, or no order at all.
    """
    if not rows:
        raise DraftError("orders: there are none; write one row for each below the names of the columns")
    required = required_of(design)
    known = tuple(dict.fromkeys((*required, *RANGES, "rise", "lay", *block_of(design).findings)))
    for name in rows[0]:
        if name not in known:
            raise DraftError(f"orders: column {shown(name)} is unknown; {meant(name, known)}")
    missing = [name for name in required if name not in rows[0]]
    if missing:
        raise DraftError(f"orders: column {', '.join(missing)} is missing; every order needs {', '.join(required)}")
    names: list[str] = []
    problems: dict[int, str] = {}
    numbers: dict[str, list[int]] = {}
    for number, row in enumerate(rows, start=1):
        try:
            names.append(label_from(f"row {number}: order", row["order"], LABEL_LENGTH, error=DraftError))
            numbers.setdefault(names[-1], []).append(number)
        except DraftError as error:
            names.append(_one_line(row["order"])[:LABEL_LENGTH])
            problems[number] = _one_line(str(error))
    for claims in numbers.values():
        for number in claims if len(claims) > 1 else ():
            problems[number] = (
                f"row {number}: its name stands in rows {_some(claims)}; give each order a name of its own"
            )
    folders = stems(numbers)
    return tuple(
        Order(
            name,
            {column: cell for column, cell in row.items() if cell} | {"order": name},
            folders[name] if number in numbers.get(name, ()) else "",
            problems.get(number, ""),
        )
        for number, (name, row) in enumerate(zip(names, rows, strict=True), start=1)
    )


def _some(numbers: Sequence[object]) -> str:
    """A few of them.

    >>> _some([1, 2, 3, 4, 5, 6, 7])
    '1, 2, 3, 4 and 3 more'
    """
    told = ", ".join(map(str, numbers[:4]))
    return f"{told} and {len(numbers) - 4} more" if len(numbers) > 4 else told


def draft_order(job: OrderJob) -> dict[str, bytes] | OrderFailure:
    """The files of one order, or why there are none."""
    if version() != job.version:
        reason = f"a worker has shirrline {version()}, not {job.version}; install the same version for every worker"
        return OrderFailure(job.order.name, reason, ours=True)
    try:
        with _ONE_AT_A_TIME:
            return _files(job)
    except DraftError as error:
        return OrderFailure(job.order.name, _one_line(str(error)))
    except Exception as error:
        return _unforeseen(job.order, error)


def _files(job: OrderJob) -> dict[str, bytes]:
    order, cells = job.order, job.order.cells
    required = required_of(job.design)
    for name in required:
        if name not in cells:
            raise DraftError(f"{name}: missing; every order needs {', '.join(required)}")
    paper, unit = paper_named(cells["page"]), cells["unit"]
    if unit not in MILLIMETRES:
        raise DraftError(f"unit: {shown(unit)} is not a unit of length; write one of {', '.join(MILLIMETRES)}")
    garment = _garment(job, unit)
    files = {f"{order.stem}.pdf": pattern_pdf(garment, paper).data, PIECES: pattern_json(garment.pieces, of=(garment,))}
    record = {
        "key": job.key,
        "version": job.version,
        "design": job.design.name,
        "cells": dict(cells),
        "split": garment.split,
        "warnings": garment.warnings,
        "casings_left_out": [one.casing.name for one in garment.left_out],
        "files": {name: _digest(content) for name, content in files.items()},
    }
    return {**files, RECORD: (json.dumps(record, indent=2, sort_keys=True) + "\n").encode()}


def _garment(job: OrderJob, unit: str) -> Garment:
    """The order drafted, whole if it fits the cloth, else split.

    Raises:
        DraftError: a cell is at fault, or even the halves are too wide for the cloth.
    """
    cells = job.order.cells
    taken = {name: read_cell(cells[name]) for name in RANGES if name in cells}
    found = fitting_from({name: cells[name] for name in FINDINGS if name in cells}, unit)
    body = replace(body_from(taken, unit=unit, needs=block_of(job.design).needs), fitting=found)
    return draft_to_fit(job.design, body, rise=cells.get("rise"), size=job.order.name, cloth=_cloth(cells, unit))


def _cloth(cells: Mapping[str, str], unit: str) -> Cloth:
    width = cloth_length("width", read_cell(cells["cloth_width"]), unit, name="cloth_width")
    return Cloth(width, lay=_word("lay", cells.get("lay", Lay.OPEN), Lay))


def _word(name: str, raw: str, kind: Any) -> Any:
    """One of a few words."""
    if raw not in tuple(kind):
        raise DesignError(f"{name}: {shown(raw)} is unknown; choose one of {', '.join(kind)}")
    return kind(raw)


def _is_done(folder: Path, job: OrderJob) -> bool:
    """True when the folder's record is of this very job and its files are as they were written."""
    try:
        record: Any = read_json(folder / RECORD, "record")
        return bool(record["key"] == job.key) and all(
            record["files"][name] == _digest(read_bytes(folder / name, "file", LARGEST_JSON))
            for name in (f"{job.order.stem}.pdf", PIECES)
        )
    except (DraftError, LookupError, TypeError):  # not there, or no record of ours
        return False


def _left_out(folder: Path) -> tuple[str, ...]:
    """The casings that an order lacks, as its record tells."""
    try:
        record: Any = read_json(folder / RECORD, "record")
        return tuple(map(str, record.get("casings_left_out", ())))
    except (DraftError, AttributeError, TypeError):  # gone since, or changed
        return ()


def _taken(folder: Path, job: OrderJob) -> OrderFailure | None:
    """A failure when the folder holds another order, of an earlier run, whose name comes down to the same letters."""
    try:
        record: Any = read_json(folder / RECORD, "record")
        owner = record["cells"]["order"]
    except (DraftError, LookupError, TypeError):  # not there, or no record of ours
        return None
    if not isinstance(owner, str) or tidy(owner) == job.order.name:
        return None
    reason = f"its folder {folder.name} holds the order {shown(owner)} of an earlier run; give one of them another name"
    return OrderFailure(job.order.name, f"{reason}, or write to another folder")


def _unforeseen(order: Order, error: Exception) -> OrderFailure:
    reason = f"internal error: {type(error).__name__}: {error}; please report it with the design and the order"
    return OrderFailure(order.name, _one_line(reason), ours=True)


def _lost(order: Order) -> OrderFailure:
    return OrderFailure(order.name, "the process that drafted it died each time; is there memory enough?", ours=True)


def _kept(folder: Path, failure: OrderFailure) -> OrderFailure:
    """The failure, with a warning when files of an earlier run are still there to be taken for its own."""
    if not _there(folder / RECORD):
        return failure
    return OrderFailure(failure.order, f"{failure.reason}; its folder still holds an earlier pattern", failure.ours)


def _workers(asked: BatchRequest) -> int:
    """How many processes to use on this machine."""
    if asked.workers is not None and asked.scheduler is not None:
        raise DraftError("workers: a cluster has its own; leave out --workers or --scheduler")
    return workers_named(asked.workers)


def _there(path: Path) -> bool:
    """True when there is such a file, for all that we may see."""
    try:
        return path.exists()
    except OSError:
        return False


@lru_cache(maxsize=1)
def _described(design: Design) -> str:
    """All of a design, once for all its orders."""
    return repr(design)


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()


def _one_line(text: str) -> str:
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _orders(number: int) -> str:
    return f"{number} order{'' if number == 1 else 's'}"
