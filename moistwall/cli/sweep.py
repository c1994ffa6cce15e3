"""``moistwall sweep``: one field or two of an assembly over all their values."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from moistwall.cli.completing import complete_assembly
from moistwall.cli.options import Faults
from moistwall.cli.study_options import (
    end_failed,
    limit_option,
    read_climates,
    refuse_many,
    run_plan,
    study_options,
    timed_run,
)

if TYPE_CHECKING:
    from moistwall.units import System


@click.command()
@click.argument("assembly", shell_complete=complete_assembly)
@click.option(
    "--vary",
    "varied",
    metavar='"PATH = VALUES"',
    multiple=True,
    required=True,
    help='A field by its path, over a range or a list: "layer[foam].thickness = 0 in .. 4 in step '
    '0.5 in", "facing = south, west". May be given twice.',
)
@limit_option("mold", "What the margin is to")
@study_options
def sweep(
    assembly: str,
    varied: tuple[str, ...],
    limit: str,
    climates: tuple[str, ...],
    rain: str,
    criteria: str | None,
    out: Path | None,
    resume: bool,
    workers: str | None,
    yes: bool,
    as_json: bool,
    units: str,
    quiet: bool,
) -> None:
    """Run ASSEMBLY with one field or two over all their values, and print how each stands to a limit."""
    from moistwall.assembly import read_assembly
    from moistwall.cli.files import find_assembly, write_all
    from moistwall.criteria_file import find_criteria
    from moistwall.study.measures import read_criterion
    from moistwall.study.sweep import plan_sweep
    from moistwall.study.vary import read_vary

    faults = Faults()
    base = faults.of(lambda: read_assembly(find_assembly(assembly)))
    fields = [faults.of(partial(read_vary, text)) for text in varied]
    criterion = faults.of(lambda: read_criterion(limit, field="--limit"))
    years = faults.of(lambda: read_climates(climates, rain))
    rules = faults.of(lambda: find_criteria(criteria))
    faults.refuse()
    assert base is not None
    assert criterion is not None
    assert years is not None
    plan = plan_sweep(base, [one for one in fields if one is not None], years, rules)
    refuse_many(plan.total, yes, lambda: timed_run(plan.jobs(), years))
    found = run_plan(plan, out=out, resume=resume, workers=workers, quiet=quiet)

    from moistwall.show.pictures import picture_files
    from moistwall.show.study_pictures import sweep_figure
    from moistwall.show.study_text import remark_lines, study_csv, study_data, table_lines

    system = cast("System", units)
    if out is not None:
        files = {out / "table.csv": study_csv(found).encode("utf-8")}
        paths = [one.path for one in plan.varied]
        figure = sweep_figure(found, paths, criterion, base.name)
        files |= {out / name: data for name, data in picture_files("sweep", figure).items()}
        write_all(files)
    if as_json:
        data = study_data("sweep", found, criterion, assembly=base.name)
        click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        lines = [base.name, "", *table_lines(found, criterion, system)]
        click.echo("\n".join([*lines, *remark_lines(found, criterion)]))
    end_failed(found)
