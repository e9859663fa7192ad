"""A portfolio on a real scheduler with processes of its own, one of which is killed meanwhile."""

import os
import signal
import threading
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from portfolios import rows_of, write_estate

from suncover.base.errors import RequestError
from suncover.portfolio import engines
from suncover.portfolio.run import Summary, run_portfolio
from suncover.portfolio.sources import open_source
from suncover.portfolio.store import Store
from suncover.portfolio.work import Request

distributed = pytest.importorskip(
    "distributed", reason='Dask is not installed: pip install "suncover[cluster]"'
)
pytestmark = [
    pytest.mark.skipif(os.name == "nt", reason="processes are killed another way there"),
    # Its own, not ours: sockets that are still closing when the cluster is gone.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

ASKED = Request(date(2027, 1, 1), date(2027, 12, 31))
HOUSES = 12


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A scheduler with two worker processes on this machine."""
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        yield cluster.scheduler_address


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_estate(tmp_path_factory.mktemp("estate"), HOUSES, broken=(5,))


def run_on(engine: engines.Engine, estate: Path, out: Path) -> Summary:
    store = Store(out, ASKED)
    source = open_source(estate)
    return run_portfolio(source, store, ASKED, engine, parquet=True, report=lambda _: None)


def test_a_worker_killed_midway_loses_and_doubles_nothing(tmp_path, estate, address, monkeypatch):
    monkeypatch.setattr("suncover.portfolio.sources.PART_SITES", 1)
    expected = run_on(engines.in_this_process, estate, tmp_path / "here")
    parts = tmp_path / "there" / "parts"
    killed: list[int] = []

    def kill_one():
        """As soon as something is done, kills a worker that has work in hand."""
        with distributed.Client(address, set_as_default=False) as client:
            pids = client.run(os.getpid)
            until = time.monotonic() + 60
            while not list(parts.glob("*.gz")) and time.monotonic() < until:
                time.sleep(0.005)
            while not killed and time.monotonic() < until:
                busy = [worker for worker, keys in client.processing().items() if keys]
                for worker in busy[:1]:
                    os.kill(pids[worker], signal.SIGKILL)
                    killed.append(pids[worker])

    killer = threading.Thread(target=kill_one, daemon=True)
    killer.start()
    found = run_on(engines.on_cluster(address), estate, tmp_path / "there")
    killer.join()
    assert len(killed) == 1
    assert (found.parts, found.reused, found.lost) == (HOUSES, 0, [])
    assert found.faults == expected.faults
    assert len(list(parts.glob("*.gz"))) == HOUSES
    rows = rows_of(tmp_path / "there" / "hours.csv")
    assert len(rows) == len({(r["source"], r["window"], r["month"]) for r in rows})
    assert len(rows) == (HOUSES - 1) * 2 * 12
    # Bit for bit what one process gives.
    files = sorted(path.relative_to(tmp_path / "here") for path in (tmp_path / "here").rglob("*.*"))
    assert len(files) == HOUSES + 6
    for file in files:
        assert (tmp_path / "there" / file).read_bytes() == (tmp_path / "here" / file).read_bytes()


def test_workers_of_another_version_are_refused(tmp_path, estate, address, monkeypatch):
    monkeypatch.setattr(engines, "versions", lambda: "suncover 99")
    with pytest.raises(
        RequestError, match=r"^a worker has suncover .*, and here are suncover 99; "
    ):
        run_on(engines.on_cluster(address), estate, tmp_path / "out")
    assert not (tmp_path / "out" / "hours.csv").exists()
