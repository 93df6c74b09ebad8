"""An order book drafted row by row: every order done or failed by name, resumed after a stop, never half written."""

from __future__ import annotations

import csv
import json
import os
import pty
import signal
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

import psutil
import pytest
from pypdf import PdfReader

import output.commands.batch
import output.system.cluster
from blocks.cloth import Cloth
from children import HEEDFUL
from disks import small_disk
from output.command import main
from output.commands.batch import (
    FAILURES,
    PIECES,
    RECORD,
    OrderFailure,
    OrderJob,
    draft_order,
    orders_from,
    required_of,
)
from output.paper.sizes import paper_named
from output.system.version import version
from sampled import DESIGN, SAMPLES, heron_design

ROOT = Path(__file__).parents[3]
ORDERS = SAMPLES / "orders.csv"
GOOD = {
    "order": "A-1",
    "unit": "cm",
    "waist_girth": "76",
    "hip_girth": "102",
    "body_rise": "27",
    "waist_to_hip": "20.5",
    "rise": "high",
    "page": "A4",
    "cloth_width": "140",
}

Row = Mapping[str, str]


def sample_rows() -> list[dict[str, str]]:
    with ORDERS.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write_orders(path: Path, rows: list[Row] | list[dict[str, str]]) -> Path:
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)
    return path


def test_an_order_book_as_europe_writes_it_is_the_same_orders(finished: Path, tmp_path: Path) -> None:
    text = ORDERS.read_text().replace(",", ";").replace(".", ",")
    (tmp_path / "orders.csv").write_bytes(text.encode("utf-16"))
    out = tmp_path / "out"
    assert main(["batch", str(DESIGN), str(tmp_path / "orders.csv"), "--out", str(out), "--workers", "1"]) == 0
    for name, content in contents(finished).items():
        if not name.endswith(RECORD):
            assert contents(out)[name] == content


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def failures(folder: Path) -> dict[str, str]:
    with (folder / FAILURES).open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["order", "reason"]
    return dict(rows[1:])  # type: ignore[arg-type]


def a_job(**cells: str) -> OrderJob:
    return OrderJob(heron_design(), orders_from([{**GOOD, **cells}], heron_design())[0], version())


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    """Run a batch and return its summary; rows or a whole order book."""

    def batch(
        rows: list[Row] | list[dict[str, str]] | Path, *options: str, folder: str = "out", code: int = 0
    ) -> dict[str, Any]:
        orders = rows if isinstance(rows, Path) else write_orders(tmp_path / "orders.csv", rows)
        out = tmp_path / folder
        assert main(["batch", str(DESIGN), str(orders), "--out", str(out), "--json", *options]) == code
        told = capsys.readouterr()
        summary: dict[str, Any] = json.loads(told.out)
        number = len(summary["failures"])
        expected = f"shirrline: {number} order{'s' * (number > 1)} failed; {out / FAILURES} tells why\n"
        assert told.err == (expected if number else "")
        assert failures(out) == {one["order"]: one["reason"] for one in summary["failures"]}
        return summary

    return batch


Run = Callable[..., dict[str, Any]]


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample order book, drafted by one process."""
    folder = tmp_path_factory.mktemp("finished") / "out"
    assert main(["batch", str(DESIGN), str(ORDERS), "--out", str(folder), "--workers", "1"]) == 0
    return folder


def test_every_order_gets_its_own_measurements_rise_paper_and_cloth(finished: Path) -> None:
    rows = sample_rows()
    assert {path.name for path in finished.iterdir()} == {*(row["order"] for row in rows), FAILURES}
    splits = set()
    for row in rows:
        folder = finished / row["order"]
        assert {path.name for path in folder.iterdir()} == {f"{row['order']}.pdf", PIECES, RECORD}
        paper = paper_named(row["page"])
        boxes = {
            tuple(sorted(round(float(side) / 72 * 25.4, 1) for side in page.mediabox[2:]))
            for page in PdfReader(folder / f"{row['order']}.pdf").pages
        }
        assert boxes == {(round(paper.width, 1), round(paper.height, 1))}
        pieces = json.loads((folder / PIECES).read_bytes())["pieces"]
        assert {(piece["size"], piece["rise"]) for piece in pieces} == {(row["order"], row["rise"])}
        usable = Cloth(float(row["cloth_width"]) * {"cm": 10, "in": 25.4}[row["unit"]], lay=row["lay"]).usable
        widths = [max(x for x, _ in piece["cut_line"]) - min(x for x, _ in piece["cut_line"]) for piece in pieces]
        assert max(widths) <= usable
        record = json.loads((folder / RECORD).read_bytes())
        splits.add(record["split"])
        assert record["split"] is ("leg front" in {piece["name"] for piece in pieces})
        assert record["cells"] == {name: cell for name, cell in row.items() if cell}
    assert splits == {True, False}


def test_the_text_of_an_order_names_it(finished: Path) -> None:
    first = PdfReader(finished / "RW-1002" / "RW-1002.pdf").pages[0].extract_text()
    assert "Size RW-1002 · mid rise" in first


def test_an_order_that_fits_whole_is_not_split() -> None:
    whole = draft_order(a_job())
    assert isinstance(whole, dict)
    leg = json.loads(whole[PIECES])["pieces"][0]
    needed = max(x for x, _ in leg["cut_line"]) - min(x for x, _ in leg["cut_line"]) + 2 * Cloth().selvedge
    for width, split in ((needed + 0.01, False), (needed - 0.01, True)):
        files = draft_order(a_job(unit="cm", cloth_width=f"{width / 10:.4f}"))
        assert isinstance(files, dict)
        assert json.loads(files[RECORD])["split"] is split


@pytest.mark.slow
def test_the_number_of_processes_changes_no_byte(finished: Path, run: Run) -> None:
    run(ORDERS, "--workers", "2")
    run(ORDERS, folder="again")
    assert contents(finished.parent / "out") == contents(finished)


def test_text_summary_counts_the_orders(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    orders = write_orders(tmp_path / "orders.csv", [GOOD])
    assert main(["batch", str(DESIGN), str(orders), "--out", str(tmp_path / "out")]) == 0
    told = capsys.readouterr()
    assert told.out == f"1 order in {tmp_path / 'out'}: 1 drafted, 0 unchanged, 0 failed\n"
    assert told.err == ""


def test_progress_stays_off_standard_output(tmp_path: Path) -> None:
    orders = write_orders(tmp_path / "orders.csv", [{**GOOD, "order": f"P-{number}"} for number in range(4)])
    leader, terminal = pty.openpty()
    process = start(orders, tmp_path / "out", "--json", stderr=terminal)
    told, _ = process.communicate(timeout=60)
    os.close(terminal)
    os.close(leader)
    assert process.returncode == 0
    assert len(json.loads(told)["drafted"]) == 4


# Resuming


def test_a_second_run_drafts_nothing(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = sample_rows()[:3]
    names = [row["order"] for row in rows]
    assert run(rows)["drafted"] == names
    before = contents(tmp_path / "out")
    times = {path: path.stat().st_mtime_ns for path in (tmp_path / "out").rglob("RW-*.pdf")}
    again = run(rows)
    assert (again["drafted"], again["unchanged"]) == ([], names)
    assert contents(tmp_path / "out") == before
    assert {path: path.stat().st_mtime_ns for path in times} == times


def test_only_what_changed_is_drafted_again(run: Run, tmp_path: Path) -> None:
    rows, out = sample_rows()[:3], tmp_path / "out"
    run(rows)
    before = contents(out)
    rows[1]["hip_girth"] = "109"
    assert run(rows)["drafted"] == ["RW-1002"]
    after = contents(out)
    assert {name for name in after if after[name] != before[name]} == {
        f"RW-1002/{name}" for name in ("RW-1002.pdf", PIECES, RECORD)
    }
    rows.append({**rows[0], "order": "RW-2000"})
    assert run(rows)["drafted"] == ["RW-2000"]
    assert run(list(reversed(rows)))["drafted"] == []


@pytest.mark.parametrize(
    ("name", "damage"),
    [
        ("RW-1001.pdf", "cut short"),
        ("RW-1001.pdf", "deleted"),
        (PIECES, "replaced"),
        (RECORD, "cut short"),
        (RECORD, "replaced"),
    ],
)
def test_a_damaged_file_is_made_again(name: str, damage: str, finished: Path, run: Run, tmp_path: Path) -> None:
    rows, out = sample_rows()[:1], tmp_path / "out"
    own = out / "RW-1001"
    own.mkdir(parents=True)
    good = {path.name: path.read_bytes() for path in (finished / "RW-1001").iterdir()}
    for made, content in good.items():
        (own / made).write_bytes(content)
    assert run(rows)["unchanged"] == ["RW-1001"]
    if damage == "deleted":
        (own / name).unlink()
    else:
        (own / name).write_bytes(good[name][:-20] if damage == "cut short" else b"[1]")
    assert run(rows)["drafted"] == ["RW-1001"]
    assert {path.name: path.read_bytes() for path in own.iterdir()} == good


def test_another_design_or_version_drafts_all_again(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = [GOOD]
    run(rows)
    design = tmp_path / "design.toml"
    design.write_text(DESIGN.read_text().replace("fullness = 1.5", "fullness = 1.4"))
    orders = tmp_path / "orders.csv"
    for expected in ("1 drafted", "1 unchanged"):
        assert main(["batch", str(design), str(orders), "--out", str(tmp_path / "out")]) == 0
        assert expected in capsys.readouterr().out
    assert a_job().key != OrderJob(a_job().design, a_job().order, "another").key


def test_an_empty_optional_column_changes_nothing(run: Run) -> None:
    run([GOOD])
    assert run([{**GOOD, "height": "", "lay": ""}])["unchanged"] == ["A-1"]


# Failures


def test_failures_are_listed_and_the_rest_is_drafted(run: Run, tmp_path: Path) -> None:
    rows = [GOOD, {**GOOD, "order": "A-2", "hip_girth": "1020"}, {**GOOD, "order": "A-3", "rise": "low"}]
    summary = run(rows, code=2)
    assert summary["drafted"] == ["A-1"]
    listed = failures(tmp_path / "out")
    assert list(listed) == ["A-2", "A-3"]
    assert listed["A-2"].startswith("hip_girth: 1020 cm is outside 60 to 200 cm")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["A-1", FAILURES]
    mended = run([GOOD, {**rows[1], "hip_girth": "102"}, {**rows[2], "rise": "mid"}])
    assert (mended["drafted"], mended["unchanged"]) == (["A-2", "A-3"], ["A-1"])
    assert failures(tmp_path / "out") == {}


def test_an_order_that_fails_after_it_was_done_warns_of_the_earlier_pattern(run: Run, tmp_path: Path) -> None:
    run([GOOD])
    before = contents(tmp_path / "out" / "A-1")
    run([{**GOOD, "body_rise": "2.7"}], code=2)
    assert failures(tmp_path / "out")["A-1"].endswith("; its folder still holds an earlier pattern")
    assert contents(tmp_path / "out" / "A-1") == before


@pytest.mark.parametrize(
    ("cells", "tells"),
    [
        ({"unit": "ft"}, ['unit: "ft" is not a unit of length', "mm, cm, in"]),
        ({"unit": ""}, ["unit: missing"]),
        ({"waist_girth": ""}, ["waist_girth: missing"]),
        ({"waist_girth": "1.076,5"}, ['waist_girth: "1.076,5" has two kinds of marks', "1234.5"]),
        ({"waist_girth": "76,5 cm"}, ['waist_girth: "76,5 cm" is text', "20.5"]),
        ({"waist_girth": "nan"}, ["waist_girth: nan is not a finite number"]),
        ({"waist_girth": "7_6"}, ['waist_girth: "7_6" is text']),
        ({"thigh_girth": "90"}, ["thigh_girth", "contradicts hip_girth"]),
        ({"rise": "low"}, ['rise: "low" is not a rise', "high, mid"]),
        ({"page": "A3"}, ["paper: 'A3' is not known", "A4, Letter"]),
        ({"lay": "flat"}, ['lay: "flat" is unknown', "open, folded"]),
        ({"cloth_width": "wide"}, ['cloth_width: "wide" is text', "60 to 320 cm"]),
        ({"cloth_width": "1400"}, ["cloth_width: 1400 cm is outside 60 to 320 cm", 'set the unit to "mm"']),
        ({"cloth_width": "3"}, ["cloth_width: 3 cm is outside 60 to 320 cm", "selvedge to selvedge"]),
        ({"cloth_width": "90", "lay": "folded"}, ["too wide for 90 cm cloth, folded", "leg back", "single layer"]),
        ({"order": "日本"}, ["日"]),
    ],
)
def test_a_row_at_fault_says_what_to_change(cells: dict[str, str], tells: list[str]) -> None:
    failure = draft_order(a_job(**cells))
    assert isinstance(failure, OrderFailure)
    assert not failure.ours
    assert "\n" not in failure.reason
    for told in tells:
        assert told in failure.reason


def test_a_fault_of_ours_ends_with_1(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.commands.batch, "version", lambda: "0.0.1")  # here, but not in the processes that draft
    summary = run([GOOD, {**GOOD, "order": "A-2"}], code=1)
    assert {failure["ours"] for failure in summary["failures"]} == {True}
    assert "not 0.0.1; install the same version" in summary["failures"][0]["reason"]


def test_an_unforeseen_error_is_one_line_and_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*given: object, **options: object) -> None:
        raise RuntimeError("one\ntwo")

    monkeypatch.setattr(output.commands.batch, "pattern_pdf", fail)
    failure = draft_order(a_job())
    assert failure == OrderFailure(
        "A-1", "internal error: RuntimeError: one two; please report it with the design and the order", ours=True
    )


def test_an_order_whose_process_dies_each_time_is_told(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(
        output.commands.batch, "in_processes", lambda function, jobs, *, workers: (pair for pair in [(0, None)])
    )
    run([GOOD], code=1)
    assert "died each time" in failures(tmp_path / "out")["A-1"]


@pytest.mark.parametrize(
    ("name", "tells"),
    [
        ("", "is not a name: it is empty; give 1 to 20 characters"),
        ("../..", '"../.." is not a name'),
        ("x" * 21, "is not a name"),
        ("a\x07b", "is not a name"),
    ],
)
def test_a_row_without_a_name_fails_by_its_number(name: str, tells: str, run: Run, tmp_path: Path) -> None:
    summary = run([GOOD, {**GOOD, "order": name}, {**GOOD, "order": "A-3"}], code=2)
    assert summary["drafted"] == ["A-1", "A-3"]
    (failure,) = summary["failures"]
    assert failure["reason"].startswith("row 2: order: ")
    assert tells in failure["reason"]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["A-1", "A-3", FAILURES]


@pytest.mark.slow
def test_all_rows_of_one_name_fail_by_their_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody could tell which is meant; letters that are alike on paper are one name."""
    names = ["Zoë", "A-1", "A-2", "Zoe\u0308", "A-1", "A-1", "a-1"]
    orders = write_orders(tmp_path / "orders.csv", [{**GOOD, "order": name} for name in names])
    out = tmp_path / "out"
    assert main(["batch", str(DESIGN), str(orders), "--out", str(out), "--json"]) == 2
    summary = json.loads(capsys.readouterr().out)
    assert summary["drafted"] == ["A-2", "a-1"]
    assert [one["order"] for one in summary["failures"]] == ["Zoë", "A-1", "Zoë", "A-1", "A-1"]
    assert summary["failures"][0]["reason"].startswith("row 1: its name stands in rows 1, 4; give each order a name")
    assert summary["failures"][4]["reason"].startswith("row 6: its name stands in rows 2, 5, 6; ")
    assert len([path for path in out.iterdir() if path.is_dir()]) == 2
    mended = write_orders(tmp_path / "orders.csv", [{**GOOD, "order": name} for name in ("Zoë", "A-1", "A-2", "a-1")])
    assert main(["batch", str(DESIGN), str(mended), "--out", str(out)]) == 0
    assert "2 drafted, 2 unchanged, 0 failed" in capsys.readouterr().out
    assert failures(out) == {}


def test_a_folder_blocked_by_a_file_fails_its_order_alone(run: Run, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "A-2").write_text("in the way")
    rows = [{**GOOD, "order": f"A-{number}"} for number in range(1, 5)]
    summary = run(rows, code=2)
    assert summary["drafted"] == ["A-1", "A-3", "A-4"]
    assert "A-2: cannot be written: Not a directory" in failures(tmp_path / "out")["A-2"]
    assert (tmp_path / "out" / "A-2").read_text() == "in the way"
    (tmp_path / "out" / "A-2").unlink()
    assert run(rows)["drafted"] == ["A-2"]
    assert failures(tmp_path / "out") == {}


def test_a_fault_of_ours_in_writing_one_order_fails_it_alone(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    plain = output.commands.batch.write_all

    def faulty(folder: Path, files: Mapping[str, bytes]) -> None:
        if folder.name == "A-2":
            raise RuntimeError("unforeseen")
        plain(folder, files)

    monkeypatch.setattr(output.commands.batch, "write_all", faulty)
    summary = run([{**GOOD, "order": f"A-{number}"} for number in range(1, 5)], code=1)
    assert summary["drafted"] == ["A-1", "A-3", "A-4"]
    assert summary["failures"][0]["reason"].startswith("internal error: RuntimeError: unforeseen; please report it")


def test_a_list_that_cannot_be_written_is_told_beside_what_was_done(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    (out / FAILURES).mkdir(parents=True)
    orders = write_orders(tmp_path / "orders.csv", [GOOD, {**GOOD, "order": "A-2", "rise": "low"}])
    assert main(["batch", str(DESIGN), str(orders), "--out", str(out)]) == 2
    told = capsys.readouterr()
    assert "1 drafted, 0 unchanged, 1 failed" in told.out
    assert told.err.startswith(f"shirrline: 1 order failed; {FAILURES} is not renewed: {out}: cannot be written: ")
    assert told.err.count("\n") == 1
    assert main(["batch", str(DESIGN), str(write_orders(tmp_path / "o.csv", [GOOD])), "--out", str(out)]) == 2
    assert capsys.readouterr().err.startswith(f"shirrline: {FAILURES} is not renewed: ")


def test_a_full_disk_fails_order_by_order(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    orders = write_orders(tmp_path / "orders.csv", [{**GOOD, "order": f"A-{number}"} for number in range(1, 5)])
    with small_disk(tmp_path / "disk", "300k") as disk:
        assert main(["batch", str(DESIGN), str(orders), "--out", str(disk / "out"), "--json"]) == 2
        told = capsys.readouterr()
        summary = json.loads(told.out)
        assert len(summary["drafted"]) + len(summary["failures"]) == 4
        assert summary["failures"]
        assert all("No space left on device" in one["reason"] for one in summary["failures"])
        assert told.err.count("\n") == 1
        assert_whole(disk / "out")


def test_a_run_that_is_stopped_lists_what_failed_and_what_was_not_reached(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(
        function: Callable[[OrderJob], object], jobs: list[OrderJob], *, workers: int
    ) -> Iterator[tuple[int, object]]:
        yield 0, function(jobs[0])
        yield 1, function(jobs[1])
        raise KeyboardInterrupt

    monkeypatch.setattr(output.commands.batch, "in_processes", stopped)
    rows = [GOOD, {**GOOD, "order": "A-2", "rise": "low"}, {**GOOD, "order": "A-3"}, {**GOOD, "order": "A-1"}]
    rows.append({**GOOD, "order": "A-5"})
    orders, out = write_orders(tmp_path / "orders.csv", rows[1:]), tmp_path / "out"
    assert main(["batch", str(DESIGN), str(orders), "--out", str(out)]) == 130
    assert capsys.readouterr().err == "shirrline: interrupted\n"
    listed = failures(out)
    assert list(listed) == ["A-2", "A-1", "A-5"]
    assert listed["A-2"].startswith('rise: "low" is not a rise')
    assert listed["A-5"] == "not reached: the run was stopped before its turn; run the same again"


def test_a_run_that_never_began_leaves_the_list_as_it_was(
    tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    run([{**GOOD, "rise": "low"}], code=2)
    before = contents(tmp_path / "out")
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 0.5)
    assert (
        main(
            [
                "batch",
                str(DESIGN),
                str(tmp_path / "orders.csv"),
                "--out",
                str(tmp_path / "out"),
                "--scheduler",
                "tcp://[::1]:9",
            ]
        )
        == 2
    )
    assert contents(tmp_path / "out") == before


@pytest.mark.slow
def test_planning_a_long_book_holds_little(tmp_path: Path) -> None:
    """20 000 orders: what is held of each is its row, and its design is described once for all."""
    rows = [{**GOOD, "order": f"N-{number}"} for number in range(20_000)]
    design, made_by = heron_design(), version()
    begun = time.process_time()
    tracemalloc.start()
    orders = orders_from(rows, heron_design())
    jobs = {number: OrderJob(design, order, made_by) for number, order in enumerate(orders)}
    assert output.commands.batch._known(tmp_path, jobs) == {}
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len({job.key for job in jobs.values()}) == 20_000
    print(f"20 000 orders planned in {time.process_time() - begun:.1f} s, {most / 1e6:.0f} MB at most")
    assert most < 60e6


# The order book as a whole: refused before anything is written


@pytest.fixture
def refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    def batch(content: str | bytes, *options: str, code: int = 2) -> str:
        orders, out = tmp_path / "orders.csv", tmp_path / "out"
        orders.write_bytes(content if isinstance(content, bytes) else content.encode())
        assert main(["batch", str(DESIGN), str(orders), "--out", str(out), *options]) == code
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.count("\n") == 1
        assert not out.exists()
        return told.err.removeprefix("shirrline: ").strip()

    return batch


Refused = Callable[..., str]
HEADER = ",".join(GOOD) + "\n"
LINE = ",".join(GOOD.values()) + "\n"


@pytest.mark.parametrize(
    ("content", "tells"),
    [
        ("", ["it is empty"]),
        (HEADER, ["orders: there are none"]),
        (HEADER.replace("hip_girth", "hip_girt") + LINE, ['column "hip_girt" is unknown; did you mean hip_girth?']),
        (HEADER.replace("rise,page,", "") + "A,cm,76,102,27,20.5,140\n", ["column rise, page is missing", "rise"]),
        (HEADER.replace(",", "|") + LINE.replace(",", "|"), ["parted by '|'"]),
        (HEADER + LINE.strip() + ",extra\n", ["line 2 has 10 cells"]),
        (HEADER.encode() + LINE.replace("A-1", "Zoë").encode("latin-1"), ["line 2 is not UTF-8"]),
    ],
)
def test_a_faulty_order_book_is_refused_whole(content: str | bytes, tells: list[str], refused: Refused) -> None:
    said = refused(content)
    for told in tells:
        assert told in said


@pytest.mark.parametrize("number", ["0", "-1", "two", "1.5", ""])
def test_workers_must_be_a_number(number: str, refused: Refused) -> None:
    assert "is not a number of processes; give 1 or more" in refused(HEADER + LINE, f"--workers={number}")


def test_a_cluster_has_its_own_workers(refused: Refused) -> None:
    said = refused(HEADER + LINE, "--workers", "2", "--scheduler", "tcp://127.0.0.1:8786")
    assert said.startswith("workers: a cluster has its own")


def test_every_column_is_needed(refused: Refused) -> None:
    for name in required_of(heron_design()):
        row = {column: cell for column, cell in GOOD.items() if column != name}
        assert f"column {name} is missing" in refused(",".join(row) + "\n" + ",".join(row.values()) + "\n")


def test_a_folder_that_cannot_be_written_stops_the_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    orders = write_orders(tmp_path / "orders.csv", [GOOD])
    (tmp_path / "out").write_text("a file in the way")
    assert main(["batch", str(DESIGN), str(orders), "--out", str(tmp_path / "out")]) == 2
    assert "cannot be written" in capsys.readouterr().err


# Runs that are stopped


def start(orders: Path, out: Path, *options: str, stderr: int = subprocess.PIPE) -> subprocess.Popen[str]:
    """Run the program in a process and group of its own."""
    script = HEEDFUL + "import sys; from output.command import main; sys.exit(main(sys.argv[1:]))"
    return subprocess.Popen(
        [
            sys.executable,
            "-c",
            script,
            "batch",
            str(DESIGN),
            str(orders),
            "--out",
            str(out),
            "--workers",
            "2",
            *options,
        ],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=stderr,
        text=True,
        start_new_session=True,
    )


def wait_for(true: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def done(out: Path) -> int:
    return len(list(out.glob(f"*/{RECORD}")))


def assert_whole(out: Path) -> None:
    """Every file that bears its own name is as its record says; a record is the last to take its place."""
    for record in out.glob(f"*/{RECORD}"):
        for name, digest in json.loads(record.read_bytes())["files"].items():
            assert sha256((record.parent / name).read_bytes()).hexdigest() == digest
    for pdf in out.glob("*/*.pdf"):
        assert pdf.read_bytes().rstrip().endswith(b"%%EOF")
    for pieces in out.glob(f"*/{PIECES}"):
        json.loads(pieces.read_bytes())


@pytest.fixture
def many(tmp_path: Path) -> Path:
    rows = [{**GOOD, "order": f"M-{number:02}", "waist_girth": str(70 + number / 2)} for number in range(20)]
    return write_orders(tmp_path / "many.csv", rows)


@pytest.mark.slow
def test_a_killed_run_leaves_no_half_file_and_the_next_goes_on(many: Path, tmp_path: Path, run: Run) -> None:
    out = tmp_path / "out"
    process = start(many, out)
    wait_for(lambda: done(out) > 2)
    children = psutil.Process(process.pid).children(recursive=True)
    process.kill()
    process.communicate()
    assert 2 < done(out) < 20
    assert_whole(out)
    wait_for(lambda: not any(child.is_running() and child.status() != psutil.STATUS_ZOMBIE for child in children))
    (out / "M-00" / ".M-00.pdf.123.part").write_bytes(b"what a run killed while it wrote leaves behind")
    kept = done(out)
    summary = run(many)
    assert len(summary["unchanged"]) == kept
    assert len(summary["drafted"]) == 20 - kept
    run(many, folder="at once")
    assert contents(out) == contents(tmp_path / "at once")


def test_a_killed_worker_is_no_loss(many: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    process = start(many, out)
    wait_for(lambda: done(out) > 2)
    workers = [child for child in psutil.Process(process.pid).children() if "spawn_main" in " ".join(child.cmdline())]
    assert len(workers) == 2
    workers[0].kill()
    told, complaint = process.communicate(timeout=120)
    assert (process.returncode, complaint) == (0, "")
    assert "20 orders" in told
    assert "20 drafted" in told
    assert_whole(out)
    assert done(out) == 20


def test_an_interrupted_run_stops_cleanly(many: Path, tmp_path: Path, run: Run) -> None:
    out = tmp_path / "out"
    process = start(many, out)
    wait_for(lambda: done(out) > 2)
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does
    told, complaint = process.communicate(timeout=60)
    assert (process.returncode, told, complaint) == (130, "", "shirrline: interrupted\n")
    assert done(out) < 20
    assert_whole(out)
    assert not list(out.rglob(".*"))
    assert run(many)["failures"] == []


def test_orders_whose_names_come_near_each_other_have_folders_of_their_own(run: Run, tmp_path: Path) -> None:
    names = ["2041-3", "2041/3", "A+", "A", "nul", "=1"]
    summary = run([{**GOOD, "order": name} for name in names])
    assert summary["drafted"] == names
    folders = ["2041-3", "2041-slash-3", "A-plus", "A", "nul-2", "1"]
    for name, folder in zip(names, folders, strict=True):
        assert json.loads((tmp_path / "out" / folder / RECORD).read_bytes())["cells"]["order"] == name
        assert (tmp_path / "out" / folder / f"{folder}.pdf").exists()


def test_the_folder_of_another_order_of_an_earlier_run_is_left_to_it(run: Run, tmp_path: Path) -> None:
    run([{**GOOD, "order": "2041/3"}])
    before = contents(tmp_path / "out" / "2041-3")
    summary = run([{**GOOD, "order": "2041-3"}, {**GOOD, "order": "B"}], code=2)
    assert summary["drafted"] == ["B"]
    (failure,) = summary["failures"]
    assert failure["order"] == "2041-3"
    assert 'its folder 2041-3 holds the order "2041/3" of an earlier run' in failure["reason"]
    assert contents(tmp_path / "out" / "2041-3") == before


def test_an_order_whose_blanks_are_written_otherwise_is_the_same_order(run: Run) -> None:
    run([{**GOOD, "order": "Ann B"}])
    assert run([{**GOOD, "order": "Ann\u00a0B "}])["unchanged"] == ["Ann B"]


def test_no_failure_is_told_in_a_cell_that_a_spreadsheet_would_run(run: Run, tmp_path: Path) -> None:
    """OWASP, *CSV Injection*, from memory."""
    out = tmp_path / "out"
    orders = write_orders(tmp_path / "orders.csv", [{**GOOD, "order": "=1+1", "rise": "=2+2"}])
    assert main(["batch", str(DESIGN), str(orders), "--out", str(out)]) == 2
    (order, reason) = failures(out).popitem()
    assert order == "'=1+1"
    assert "=2+2" in reason
    assert not reason.startswith("=")
