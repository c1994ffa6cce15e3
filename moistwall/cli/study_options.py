"""What the commands that run many variants share: years, workers, folder, progress, interruption."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import click

from moistwall.cli.completing import complete_climate
from moistwall.cli.options import Faults, debug_option, json_option, rain_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.assess.criteria import Criteria
    from moistwall.climate.record import Climate
    from moistwall.study.engine import Crew, Done, StudyProgress
    from moistwall.study.job import Job
    from moistwall.study.pinned import Pins

Command = TypeVar("Command", bound=Callable[..., Any])


class Plan(Protocol):
    """A study that is laid out: what it will run, and what tells it from another."""

    @property
    def climates(self) -> Mapping[str, Climate]:
        """Its years, by label."""

    @property
    def around(self) -> str:
        """Fingerprint of all that a variant does not say itself."""

    @property
    def pins(self) -> Pins:
        """What its files held when it was planned."""

    @property
    def rules(self) -> Criteria | None:
        """What verdicts are by; None for the criteria that come with moistwall."""

    @property
    def total(self) -> int:
        """Variants to run."""

    @property
    def head(self) -> dict[str, Any]:
        """What its folder is known by."""

    def jobs(self) -> Iterator[Job]:
        """The variants."""


MANY = 10_000
"""Variants from which a study is not begun without --yes."""

INTERRUPTED = 130
"""Exit code of a program that was interrupted from the keyboard."""


def study_options(command: Command) -> Command:
    """Add the options that every study has.

    Parameters
    ----------
    command : callable
        Function of the command.
    """
    for option in reversed(
        (
            click.option(
                "--climate",
                "climates",
                metavar="NAME|FILE",
                shell_complete=complete_climate,
                multiple=True,
                help="The year, as for run; may be given several times.",
            ),
            rain_option,
            click.option(
                "--criteria",
                metavar="FILE",
                help="Judge by the criteria of this file instead of the shipped ones.",
            ),
            click.option(
                "--out",
                type=click.Path(path_type=Path, file_okay=False),
                metavar="DIR",
                help="Folder of this study: a file for each finished variant, the table and the chart.",
            ),
            click.option("--resume", is_flag=True, help="Go on with what the folder holds."),
            click.option(
                "--workers",
                metavar="N|tcp://HOST:PORT",
                help="Threads (one a core if not given), or the scheduler of a dask.distributed cluster.",
            ),
            click.option("--yes", is_flag=True, help=f"Run even more than {MANY} variants."),
            json_option,
            click.option(
                "--units",
                type=click.Choice(["ip", "si"]),
                default="ip",
                show_default=True,
                help="Inch-pound or SI in the text and the chart.",
            ),
            click.option("--quiet", is_flag=True, help="Print no answer and no progress."),
            debug_option,
        )
    ):
        command = option(command)
    return command


def limit_option(default: str, told: str) -> Callable[[Command], Command]:
    """The option that names a criterion.

    Parameters
    ----------
    default : str
        What it is if not given.
    told : str
        What it is for.
    """
    return click.option(
        "--limit",
        metavar="CRITERION",
        default=default,
        show_default=True,
        help=f"{told}: dries, marginal, mold, damp, wood, condensing, or such as "
        '"hours_rh_80 <= 100".',
    )


def read_climates(names: Sequence[str], rain: str) -> dict[str, Climate]:
    """The years of a study by the names that were given.

    Parameters
    ----------
    names : sequence of str
        Names or files.
    rain : {'normals', 'as-read'}
        What becomes of their rain.

    Raises
    ------
    InputError
        With every mistake; also if there is none, or one twice.
    """
    from moistwall.library import climate_names, read_year

    faults = Faults()
    if not names:
        remedy = f"name one that is shipped ({', '.join(climate_names())}), or a file"
        raise InputError(Fault("", "--climate", "", "is missing", remedy))
    found: dict[str, Climate] = {}
    for name in names:
        label = Path(name).stem if len(Path(name).parts) > 1 else name
        if label in found:
            raise InputError(Fault("", "--climate", name, "is given twice", "give each year once"))
        as_read = rain == "as-read"
        year = faults.of(partial(read_year, name, rain_as_read=as_read, field="--climate"))
        if year is not None:
            found[label] = year
    faults.refuse()
    return found


def announce_compiling() -> None:
    """Say that the solver is compiled first, where it is."""
    from moistwall.solver.march import is_cached

    if not is_cached():
        click.echo("compiling the solver, once: about a minute", err=True)


def crew_of(workers: str | None) -> AbstractContextManager[Crew]:
    """Who runs the variants.

    Parameters
    ----------
    workers : str or None
        As given to ``--workers``.

    Raises
    ------
    InputError
        If it is neither a number from 1 to 1024 nor an address.
    """
    from moistwall.study.engine import local_crew

    if workers is None:
        return local_crew()
    if "://" in workers:
        from moistwall.study.cluster import cluster_crew

        return cluster_crew(workers)
    if not workers.isdecimal() or not 1 <= int(workers) <= 1024:
        remedy = "give a number of threads from 1 to 1024, or tcp://HOST:PORT of a scheduler"
        raise InputError(Fault("", "--workers", workers, "is no number of workers", remedy))
    return local_crew(int(workers))


def run_plan(
    plan: Plan, *, out: Path | None, resume: bool, workers: str | None, quiet: bool
) -> list[Done]:
    """Run a study to its end, keep every finished variant on the disk, and tell how far it is.

    Parameters
    ----------
    plan : Plan
        The study.
    out : Path or None
        Its folder.
    resume : bool
        Go on with what the folder holds.
    workers : str or None
        As given to ``--workers``.
    quiet : bool
        Tell nothing.

    Returns
    -------
    list of Done
        In the order of the plan.

    Raises
    ------
    InputError
        If the folder is another study's, or `workers` is nothing to work with.
    """
    from moistwall.study.engine import all_done, run_jobs
    from moistwall.study.job import compute
    from moistwall.study.store import open_store

    if not quiet:
        announce_compiling()
    with interruptible(out), crew_of(workers) as crew:
        store = None if out is None else open_store(out, plan.head, resume=resume)
        return all_done(
            run_jobs(
                plan.jobs(),
                plan.climates,
                crew,
                total=plan.total,
                around=plan.around,
                store=store,
                pins=plan.pins,
                tell=Teller(quiet),
                run=partial(compute, rules=plan.rules),
            )
        )


def end_failed(found: Iterable[Done]) -> None:
    """End with exit code 1 if a variant failed.

    Parameters
    ----------
    found : iterable of Done
        All variants of a study.
    """
    if any(done.summary is None for done in found):
        raise SystemExit(1)


def timed_run(jobs: Iterator[Job], climates: Mapping[str, Climate]) -> float:
    """Time that the first of some variants takes on this machine. [s]

    Parameters
    ----------
    jobs : iterator of Job
        The variants.
    climates : mapping of str to Climate
        Their years.
    """
    from moistwall.study.job import compute

    job = next(jobs)
    started = time.perf_counter()
    compute(job, climates[job.climate])
    return time.perf_counter() - started


def refuse_many(
    total: int, yes: bool, timed: Callable[[], float], *, field: str = "--vary"
) -> None:
    """Refuse a study that is surely a slip of the pen, with the time that it would take.

    Parameters
    ----------
    total : int
        Variants.
    yes : bool
        Whether it is meant.
    timed : callable
        Runs one variant and gives what it took. [s]
    field : str
        What asks for so many, for the message.

    Raises
    ------
    InputError
        If there are more than `MANY` and it is not said that it is meant.
    """
    if total <= MANY or yes:
        return
    import os

    each = timed()
    cores = os.cpu_count() or 1
    problem = (
        f"{total:,} variants would take about {time_text(total * each / cores)} on the "
        f"{cores} cores here: one was timed and took {each:.1f} s"
    )
    raise InputError(Fault("", field, "", problem, "add --yes if that is meant"))


def time_text(seconds: float) -> str:
    """Write a duration for people.

    Parameters
    ----------
    seconds : float
        [s]
    """
    for size, unit in ((365 * 86400.0, "years"), (86400.0, "days"), (3600.0, "h"), (60.0, "min")):
        if seconds >= 2 * size:
            return f"{seconds / size:.0f} {unit}"
    return f"{seconds:.0f} s"


class Teller:
    """Progress with the time left: a line that renews itself on a terminal, else one now and then.

    Parameters
    ----------
    quiet : bool
        Say nothing.
    """

    def __init__(self, quiet: bool) -> None:
        self._quiet, self._terminal = quiet, sys.stderr.isatty()
        self._said = time.monotonic()

    def __call__(self, progress: StudyProgress) -> None:
        """Tell how far a study is."""
        now = time.monotonic()
        last = progress.done == progress.total
        if self._quiet or not (self._terminal or last or now - self._said > 10.0):
            return
        self._said = now
        left = "" if progress.left is None or last else f", {time_text(progress.left)} left"
        failed = f", {progress.failed} failed" if progress.failed else ""
        kept = f", {progress.resumed} of them kept" if progress.resumed else ""
        took = f", {time_text(progress.seconds)}"
        line = f"{progress.done} of {progress.total} variants{kept}{failed}{took}{left}"
        click.echo(
            f"\r{line}\x1b[K" if self._terminal else line, err=True, nl=last or not self._terminal
        )


@contextmanager
def interruptible(out: Path | None) -> Iterator[None]:
    """Let Ctrl-C and a polite kill end a study with a word on what is kept, and exit code 130.

    Parameters
    ----------
    out : Path or None
        Folder of the study.
    """

    def asked(number: int, frame: object) -> None:
        raise KeyboardInterrupt

    try:
        before = signal.signal(signal.SIGTERM, asked)
    except ValueError:  # not in the main thread
        before = None
    try:
        yield
    except KeyboardInterrupt:
        if out is None:
            told = "stopped; without --out nothing is kept"
        else:
            told = f"stopped; every finished variant is in {out}, and --resume goes on"
        click.echo(f"\nmoistwall: {told}", err=True)
        raise SystemExit(INTERRUPTED) from None
    finally:
        if before is not None:
            signal.signal(signal.SIGTERM, before)
