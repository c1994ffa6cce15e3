"""``moistwall ensemble``: many draws of what is not known about one assembly."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from moistwall.cli.answering import files_asked_for, give_answer, slide_files, slide_names
from moistwall.cli.completing import complete_assembly
from moistwall.cli.options import Faults, report_option, slides_option
from moistwall.cli.study_options import (
    end_failed,
    limit_option,
    read_climates,
    run_plan,
    study_options,
)
from moistwall.errors import Fault, InputError


@click.command(short_help="Draw what is not known about an assembly many times.")
@click.argument("assembly", shell_complete=complete_assembly)
@click.option("--draws", type=int, default=200, show_default=True, help="How many draws.")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Of the draws.")
@click.option(
    "--uncertain",
    "asked",
    metavar='"PATH = LOW .. PEAK .. HIGH"',
    multiple=True,
    help="How a field is spread, in place of its default; without the peak it is flat. May be given "
    "several times.",
)
@limit_option("dries", "Whose chance is followed")
@study_options
@report_option
@slides_option
def ensemble(
    assembly: str,
    draws: int,
    seed: int,
    asked: tuple[str, ...],
    limit: str,
    climates: tuple[str, ...],
    rain: str,
    criteria: str | None,
    out: Path | None,
    resume: bool,
    workers: str | None,
    yes: bool,
    json_file: str | None,
    report_file: Path | None,
    slides: Path | None,
    units: str,
    quiet: bool,
) -> None:
    """Draw what is not known about ASSEMBLY many times, and print chances and which input matters."""
    from moistwall.assembly import read_assembly
    from moistwall.cli.files import check_writable, find_assembly
    from moistwall.cli.study_options import refuse_many, timed_run
    from moistwall.criteria_file import find_criteria
    from moistwall.study.ensemble import plan_ensemble
    from moistwall.study.measures import read_criterion
    from moistwall.study.uncertain import read_uncertain, uncertain_inputs

    faults = Faults()
    base = faults.of(lambda: read_assembly(find_assembly(assembly)))
    given = [faults.of(partial(read_uncertain, text)) for text in asked]
    criterion = faults.of(lambda: read_criterion(limit, field="--limit"))
    years = faults.of(lambda: read_climates(climates, rain))
    rules = faults.of(lambda: find_criteria(criteria))
    faults.of(
        lambda: check_writable(
            files_asked_for(json_file, report_file, *slide_names(slides, ["ensemble"]))
        )
    )
    faults.refuse()
    assert base is not None
    assert criterion is not None
    assert years is not None
    if len(years) > 1:
        problem, remedy = "an ensemble is drawn in one year", "give one --climate"
        raise InputError(Fault("", "--climate", f"{len(years)} years", problem, remedy))
    inputs = uncertain_inputs(base, tuple(one for one in given if one is not None))
    plan = plan_ensemble(base, inputs, draws, seed, years, rules)
    refuse_many(draws, yes, lambda: timed_run(plan.jobs(), years), field="--draws")
    found = run_plan(plan, out=out, resume=resume, workers=workers, quiet=quiet)

    from moistwall.show.ensemble_text import ensemble_data, ensemble_text
    from moistwall.show.study_text import study_csv

    files = {} if out is None else {out / "table.csv": study_csv(found).encode("utf-8")}
    if slides is not None:
        from moistwall.show.study_pictures import ensemble_figure

        files |= slide_files(slides, {"ensemble": ensemble_figure(plan, found)})
    if report_file is not None:
        from moistwall.show.study_page import ensemble_page

        files[report_file] = ensemble_page(plan, found, criterion).encode("utf-8")
    give_answer(
        lambda: ensemble_data(plan, found, criterion),
        lambda: ensemble_text(plan, found, criterion),
        json_file=json_file,
        quiet=quiet,
        files=files,
    )
    end_failed(found)
