"""Running many variants: on all cores or on a cluster, in any order, with the same numbers.

Variants are handed out a few at a time, so that a study of any size needs no more memory. The kernel
lets other threads run, so that on one machine threads do. One that fails is told with its cause, and
the others go on. When the program is interrupted, runs in progress stop within about a second.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from moistwall.climate.record import Climate
from moistwall.errors import InputError, MoistwallError
from moistwall.study.job import Job, Stopped, compute
from moistwall.study.pinned import Pins, hourly_files
from moistwall.study.store import Store


@dataclass(frozen=True)
class Done:
    """A variant that has come to its end.

    Parameters
    ----------
    job : Job
        The variant.
    summary : dict or None
        What is kept of it; None if it failed.
    failure : str
        Why; empty if it did not.
    resumed : bool
        True if it was finished before.
    """

    job: Job
    summary: dict[str, Any] | None
    failure: str = ""
    resumed: bool = False

    @property
    def measures(self) -> dict[str, float]:
        """Its numbers; none if it failed."""
        found: dict[str, float] = self.summary["measures"] if self.summary else {}
        return found


@dataclass(frozen=True)
class StudyProgress:
    """How far a study is.

    Parameters
    ----------
    done, total, failed, resumed : int
        Variants at their end, all of them; of the former, those that failed and those finished before.
    seconds : float
        Time since the start. [s]
    left : float or None
        Time left at the pace so far; None before anything was run. [s]
    """

    done: int
    total: int
    failed: int
    resumed: int
    seconds: float
    left: float | None


@dataclass(frozen=True)
class Crew:
    """Who runs variants.

    Parameters
    ----------
    pool : Executor
        Takes a function and what to call it with.
    size : int
        Variants at the same time.
    words : str
        For people.
    shares_memory : bool
        True if runs are threads of this process, which can be told to stop.
    """

    pool: Executor
    size: int
    words: str
    shares_memory: bool


@contextmanager
def local_crew(size: int | None = None) -> Iterator[Crew]:
    """Threads of this process.

    Parameters
    ----------
    size : int or None
        How many; None takes one a core.

    Yields
    ------
    Crew
    """
    count = size or len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else size
    count = count or os.cpu_count() or 1
    pool = ThreadPoolExecutor(count, thread_name_prefix="variant")
    try:
        yield Crew(pool, count, f"{count} thread{'s' if count > 1 else ''}", shares_memory=True)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def run_jobs(
    jobs: Iterable[Job],
    climates: Mapping[str, Climate],
    crew: Crew,
    *,
    total: int,
    around: str = "",
    store: Store | None = None,
    pins: Pins | None = None,
    tell: Callable[[StudyProgress], None] | None = None,
    run: Callable[..., dict[str, Any]] = compute,
) -> Iterator[Done]:
    """Run variants, and give each when it is at its end and on the disk.

    Parameters
    ----------
    jobs : iterable of Job
        The variants; taken one after the other as there is room.
    climates : mapping of str to Climate
        Their years, by label.
    crew : Crew
        Who runs them.
    total : int
        How many there are, for the time left.
    around : str
        Fingerprint of all that a variant does not say itself.
    store : Store or None
        Where finished ones are kept, and looked for.
    pins : Pins or None
        What the files that variants read again are held to; None does not look.
    tell : callable or None
        Called after each.
    run : callable
        What runs a variant.

    Yields
    ------
    Done
        In the order in which they end.

    Raises
    ------
    InputError
        If a file that is pinned has changed; what was finished before stays on the disk.
    """
    started = time.monotonic()
    counts = {"done": 0, "failed": 0, "resumed": 0}
    stop = threading.Event()
    waiting: dict[Future[dict[str, Any]], Job] = {}

    def ended(done: Done) -> Done:
        counts["done"] += 1
        counts["failed"] += done.summary is None
        counts["resumed"] += done.resumed
        ran = counts["done"] - counts["resumed"]
        seconds = time.monotonic() - started
        left = seconds / ran * (total - counts["done"]) if ran else None
        if tell is not None:
            tell(StudyProgress(total=total, seconds=seconds, left=left, **counts))
        return done

    def key(job: Job) -> str:
        hourly = pins.add(hourly_files(job.data, job.folder)) if pins is not None else ""
        return job.key(around + hourly)

    def collect(until: int) -> Iterator[Done]:
        while len(waiting) > until:
            finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
            for future in finished:
                job = waiting.pop(future)
                done = _done(job, future)
                if pins is not None:
                    pins.refuse_changed()  # what was read of it may be half old and half new
                if store is not None and done.summary is not None:
                    store.keep(key(job), done.summary)
                yield ended(done)

    try:
        for job in jobs:
            kept = store.kept(key(job)) if store is not None else None
            if kept is not None:
                kept |= {"number": job.number, "title": job.title}
                yield ended(Done(job, kept, resumed=True))
                continue
            more = (stop.is_set,) if crew.shares_memory else ()
            waiting[crew.pool.submit(run, job, climates[job.climate], *more)] = job
            yield from collect(2 * crew.size - 1)
        yield from collect(0)
    finally:
        stop.set()
        for future in waiting:
            future.cancel()


def _done(job: Job, future: Future[dict[str, Any]]) -> Done:
    """Say how a variant ended; whatever was wrong with it, the others are not to suffer."""
    try:
        return Done(job, future.result())
    except InputError as error:
        return Done(job, None, "; ".join(str(fault) for fault in error.faults))
    except MoistwallError as error:
        return Done(job, None, str(error))
    except Stopped:
        raise KeyboardInterrupt from None
    except Exception as error:
        return Done(job, None, f"{type(error).__name__}: {error}")


def all_done(found: Iterable[Done]) -> list[Done]:
    """Collect what was run, in the order of the study.

    Parameters
    ----------
    found : iterable of Done
        In any order.

    Returns
    -------
    list of Done
    """
    return sorted(found, key=lambda done: done.job.number)
