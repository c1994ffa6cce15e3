"""``moistwall least`` and ``moistwall most``: how little or how much of something keeps to a criterion."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from moistwall.cli.answering import files_asked_for, give_answer
from moistwall.cli.completing import complete_assembly
from moistwall.cli.options import Faults
from moistwall.cli.study_options import (
    announce_compiling,
    crew_of,
    interruptible,
    read_climates,
    study_options,
)
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.study.bisect import Wanted
    from moistwall.units import System

PARTS = 64
"""The bracket is this part of the range at most, unless a tolerance is given."""


def search_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what both commands take.

    Parameters
    ----------
    command : callable
        Function of the command.
    """
    for option in reversed(
        (
            click.argument("assembly", shell_complete=complete_assembly),
            click.option(
                "--vary", "path", metavar="PATH", required=True, help="The field, by its path."
            ),
            click.option(
                "--between",
                nargs=2,
                metavar="LOW HIGH",
                required=True,
                help='Where to look, such as --between "0 in" "4 in".',
            ),
            click.option(
                "--until",
                metavar="CRITERION",
                default="dries",
                show_default=True,
                help="What is to hold: dries, marginal, mold, damp, wood, condensing, or such as "
                '"hours_rh_80 <= 100".',
            ),
        )
    ):
        command = option(command)
    return study_options(command)


@click.command(short_help="Find the least of a field that still keeps to a criterion.")
@search_options
def least(**given: Any) -> None:
    """Find the least of a field of ASSEMBLY that still keeps to a criterion: how thick must it be?"""
    _search("least", **given)


@click.command(short_help="Find the most of a field that still keeps to a criterion.")
@search_options
def most(**given: Any) -> None:
    """Find the most of a field of ASSEMBLY that still keeps to a criterion: how much can it take?"""
    _search("most", **given)


def _search(
    wanted: Wanted,
    assembly: str,
    path: str,
    between: tuple[str, str],
    until: str,
    climates: tuple[str, ...],
    rain: str,
    criteria: str | None,
    out: Path | None,
    resume: bool,
    workers: str | None,
    yes: bool,
    json_file: str | None,
    units: str,
    quiet: bool,
) -> None:
    from moistwall.assembly import read_assembly
    from moistwall.cli.files import check_writable, find_assembly
    from moistwall.criteria_file import find_criteria
    from moistwall.study.bisect import search
    from moistwall.study.levers import levers
    from moistwall.study.measures import read_criterion
    from moistwall.study.search import Searcher
    from moistwall.study.store import open_store
    from moistwall.study.vary import read_between

    faults = Faults()
    base = faults.of(lambda: read_assembly(find_assembly(assembly)))
    criterion = faults.of(lambda: read_criterion(until))
    ends = faults.of(lambda: read_between(path, *between))
    years = faults.of(lambda: read_climates(climates, rain))
    rules = faults.of(lambda: find_criteria(criteria))
    faults.of(lambda: check_writable(files_asked_for(json_file)))
    faults.refuse()
    assert base is not None
    assert criterion is not None
    assert ends is not None
    assert years is not None
    if len(years) > 1:
        problem, remedy = "a search is made in one year", "give one --climate"
        raise InputError(Fault("", "--climate", f"{len(years)} years", problem, remedy))
    unit, low, high = ends
    searcher = Searcher(base, path, unit, years, rules)
    searcher.check(low, high)
    if not quiet:
        announce_compiling()
    with interruptible(out), crew_of(workers) as crew:
        store = None
        if out is not None:
            head = searcher.head(wanted, between, criterion.text)
            store = open_store(out, head, resume=resume)
        searcher.begin(crew, store)

        def run(values: Sequence[float]) -> Sequence[dict[str, float] | None]:
            if not quiet:
                told = ", ".join(searcher.text(value) for value in values)
                click.echo(f"running {path} = {told}", err=True)
            return searcher.run(values)

        found = search(low, high, criterion, run, wanted=wanted, tolerance=(high - low) / PARTS)
        tried: list[tuple[str, str, dict[str, float]]] = []
        as_is: dict[str, float] | None = None
        if found.flat and found.kind != "failed":
            if not quiet:
                click.echo("it hardly moves: trying what else might decide", err=True)
            tries = levers(base)
            as_is, *numbers = searcher.run_data(
                [("as it is", dict(base.data)), *((one.change, one.data) for one in tries)]
            )
            tried = [
                (one.words, one.change, measures)
                for one, measures in zip(tries, numbers, strict=True)
                if measures is not None
            ]

    from moistwall.show.search_text import (
        answer_lines,
        lever_lines,
        look_lines,
        search_data,
        search_text,
        water_line,
    )

    def text() -> str:
        lines = [f"{base.name}, {next(iter(years.values())).name}", ""]
        lines += answer_lines(path, unit, criterion, found, wanted)
        at = next((one for one in found.looks if one.value == found.answer), None)
        if at is not None and at.measures is not None:
            lines += water_line(at.measures, cast("System", units))
        if as_is is not None:
            lines += lever_lines(criterion, as_is, tried)
        lines += look_lines(unit, criterion, found.looks)
        lines += [f"failed: {cause}" for cause in searcher.failures]
        lines += [*(f"- {note}" for note in searcher.notes)]
        return search_text(lines)

    give_answer(
        lambda: search_data(path, unit, criterion, found, wanted, [list(one) for one in tried]),
        text,
        json_file=json_file,
        quiet=quiet,
        files={},
    )
    if found.kind == "failed":
        raise SystemExit(1)
