"""Studies on a real cluster: the same numbers, a worker lost midway, and what is refused."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from heron_point import miami

from moistwall.errors import InputError
from moistwall.study.cluster import cluster_crew
from moistwall.study.engine import Done, all_done, run_jobs
from moistwall.study.job import FORMAT, Job
from moistwall.study.store import open_store

distributed = pytest.importorskip("distributed")

COUNT = 16


def timed(job: Job, climate: object) -> dict[str, Any]:
    """Stand in for a run that takes a while, and say which process made it."""
    time.sleep(0.25)
    measures = {"x": 1.0 / (1.0 + job.data["k"])}
    return {"format": FORMAT, "measures": measures, "worst": "", "process": os.getpid()}


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    """Give two worker processes of one thread each, on this machine."""
    cloudpickle = pytest.importorskip("cloudpickle")
    cloudpickle.register_pickle_by_value(sys.modules[__name__])
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as found:
        yield found


def run(crew: Any, folder: Path, kill: int = -1) -> list[Done]:
    """Run the study, and kill the process that made the first variant once so many have ended."""
    jobs = [Job(k, f"number {k}", {"k": k}, "f", Path(), "miami") for k in range(COUNT)]
    store = open_store(folder, {"kind": "test"}, resume=folder.exists())
    found = []
    for done in run_jobs(
        jobs, {"miami": miami()}, crew, total=COUNT, store=store, around="a", run=timed
    ):
        found.append(done)
        if len(found) == kill:
            assert done.summary is not None
            os.kill(done.summary["process"], signal.SIGKILL)
    return all_done(found)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_lost_worker_loses_nothing(cluster: Any, tmp_path: Path) -> None:
    """One of two worker processes is killed midway: every variant ends, with the numbers it always has."""
    with cluster_crew(cluster.scheduler_address) as crew:
        assert crew.size == 2
        found = run(crew, tmp_path / "study", kill=5)
        assert [done.failure for done in found] == [""] * COUNT
        assert [done.measures["x"] for done in found] == [1.0 / (1.0 + k) for k in range(COUNT)]
        again = run(crew, tmp_path / "study")
        assert all(done.resumed for done in again)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_nobody_there() -> None:
    """An address at which no scheduler listens is refused, with what to start."""
    with pytest.raises(InputError, match="no scheduler answers"), cluster_crew("tcp://127.0.0.1:9"):
        pass
