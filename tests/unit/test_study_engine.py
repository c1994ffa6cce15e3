"""The engine of studies: order, workers, failures, interruption, folders; and a real cluster."""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from heron_point import miami

from moistwall.errors import ConvergenceError, InputError
from moistwall.study.engine import Done, StudyProgress, all_done, local_crew, run_jobs
from moistwall.study.job import FORMAT, Job, fingerprint
from moistwall.study.store import Store, open_store

HEAD = {"kind": "test", "vary": [1, 2]}


def jobs(count: int) -> list[Job]:
    """So many variants that differ in their data."""
    return [Job(k, f"number {k}", {"k": k}, "f", Path(), "miami") for k in range(count)]


def quick(job: Job, climate: object, stop: Callable[[], bool] | None = None) -> dict[str, Any]:
    """Stand in for a run: later variants end sooner."""
    time.sleep(0.002 * (job.data["k"] % 5))
    return {"format": FORMAT, "measures": {"x": 1.0 / (1.0 + job.data["k"])}, "worst": ""}


def run(
    count: int, workers: int = 2, each: Callable[..., dict[str, Any]] = quick, **more: Any
) -> list[Done]:
    """Run so many variants."""
    with local_crew(workers) as crew:
        return all_done(
            run_jobs(jobs(count), {"miami": miami()}, crew, total=count, run=each, **more)
        )


@pytest.mark.parametrize("workers", [1, 2, 7])
def test_numbers_do_not_depend_on_workers(workers: int) -> None:
    """Any number of workers gives the same numbers, in the order of the study."""
    found = run(20, workers)
    assert [done.job.number for done in found] == list(range(20))
    assert [done.measures["x"] for done in found] == [1.0 / (1.0 + k) for k in range(20)]


def test_a_failure_is_told_and_the_others_finish() -> None:
    """A variant that is not solved, is wrong or breaks is told with its cause; the others are run."""

    def each(job: Job, climate: object, stop: object = None) -> dict[str, Any]:
        if job.number == 1:
            raise ConvergenceError(5, 3, "wool", 9.0)
        if job.number == 2:
            raise InputError("no such board")
        if job.number == 3:
            raise ZeroDivisionError("division by zero")
        return quick(job, climate)

    told: list[StudyProgress] = []
    found = run(6, each=each, tell=told.append)
    assert ["wool" in found[1].failure, found[2].failure] == [True, "no such board"]
    assert found[3].failure == "ZeroDivisionError: division by zero"
    assert [done.summary is None for done in found] == [False, True, True, True, False, False]
    assert (told[-1].done, told[-1].failed, told[-1].left) == (6, 3, 0.0)


def test_variants_are_taken_as_there_is_room() -> None:
    """Of a study of a million variants only a few are made before the first has ended."""
    made = 0

    def endless() -> Iterator[Job]:
        nonlocal made
        for k in range(1_000_000):
            made += 1
            yield Job(k, "", {"k": k}, "f", Path(), "miami")

    with local_crew(2) as crew:
        ran = run_jobs(endless(), {"miami": miami()}, crew, total=1_000_000, run=quick)
        for _ in range(10):
            next(ran)
        ran.close()
    assert made < 30


def test_finished_ones_are_kept_and_taken_up(tmp_path: Path) -> None:
    """What is finished is on the disk, and is not run again; a damaged file and a failed one are."""
    ran: list[int] = []

    def each(job: Job, climate: object, stop: object = None) -> dict[str, Any]:
        ran.append(job.number)
        if job.number == 4 and len(ran) < 7:
            raise ConvergenceError(5, 3, "wool", 9.0)
        return quick(job, climate)

    store = open_store(tmp_path / "study", HEAD, resume=False)
    first = run(6, each=each, store=store, around="a")
    files = sorted((tmp_path / "study" / "variants").iterdir())
    assert len(files) == 5
    files[0].write_text('{"half', encoding="utf-8")
    ran.clear()
    ran += [0] * 7
    again = run(6, each=each, store=open_store(tmp_path / "study", HEAD, resume=True), around="a")
    assert len(ran) - 7 == 2
    assert sum(done.resumed for done in again) == 4
    assert again[4].summary is not None
    assert [d.measures for d in again[:4]] == [d.measures for d in first[:4]]


def test_another_year_is_another_variant(tmp_path: Path) -> None:
    """What was run with another year, library or version is not taken up."""
    store = open_store(tmp_path / "study", HEAD, resume=False)
    run(3, store=store, around="one")
    assert not any(done.resumed for done in run(3, store=store, around="another"))
    assert fingerprint({"miami": miami()}) != fingerprint({"here": miami()})


def test_interruption_leaves_what_is_finished(tmp_path: Path) -> None:
    """When the caller is interrupted, runs in progress are told to stop, and finished ones stay."""
    stopped = threading.Event()

    def each(job: Job, climate: object, stop: Callable[[], bool]) -> dict[str, Any]:
        if job.number >= 2:
            while not stop():
                time.sleep(0.005)
            stopped.set()
        return quick(job, climate)

    def tell(progress: StudyProgress) -> None:
        if progress.done == 2:
            raise KeyboardInterrupt

    store = open_store(tmp_path / "study", HEAD, resume=False)
    with pytest.raises(KeyboardInterrupt):
        run(8, each=each, store=store, tell=tell)
    assert stopped.is_set()
    kept = list((tmp_path / "study" / "variants").glob("*.json"))
    assert len(kept) == 2
    assert all(json.loads(path.read_text(encoding="utf-8"))["measures"] for path in kept)
    again = run(8, store=open_store(tmp_path / "study", HEAD, resume=True))
    assert sum(done.resumed for done in again) == 2


def test_a_full_disk_ends_the_study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What cannot be written ends with a message, and leaves no half file."""
    store = open_store(tmp_path / "study", HEAD, resume=False)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(InputError, match="No space left"):
        run(3, store=store)
    assert list((tmp_path / "study" / "variants").iterdir()) == []


def test_folders_of_others(tmp_path: Path) -> None:
    """A folder of another study, of something else, or of this one unasked is refused and left alone."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "cabin.png").write_bytes(b"x")
    with pytest.raises(InputError, match="no study"):
        open_store(tmp_path / "photos", HEAD, resume=True)
    open_store(tmp_path / "study", HEAD, resume=False)
    with pytest.raises(InputError, match="--resume"):
        open_store(tmp_path / "study", HEAD, resume=False)
    with pytest.raises(InputError, match="another study, which differs in vary"):
        open_store(tmp_path / "study", {**HEAD, "vary": [1]}, resume=True)
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="no study"):
        open_store(tmp_path / "file", HEAD, resume=False)
    assert sorted(path.name for path in tmp_path.rglob("*")) == [
        "cabin.png", "file", "photos", "study", "study.json", "variants",
    ]  # fmt: skip


def test_left_overs_are_swept_up(tmp_path: Path) -> None:
    """The half-written file of a run that was killed is not taken for a variant, and goes once it is old."""
    store = open_store(tmp_path / "study", HEAD, resume=False)
    half = tmp_path / "study" / "variants" / ".abc.json.77.part"
    half.write_text("{", encoding="utf-8")
    assert open_store(tmp_path / "study", HEAD, resume=True).folder.exists()
    assert half.exists()  # it may be that of a program at work
    os.utime(half, (1.0, 1.0))
    again = open_store(tmp_path / "study", HEAD, resume=True)
    assert isinstance(again, Store)
    assert store.kept("abc") is None
    assert not half.exists()
