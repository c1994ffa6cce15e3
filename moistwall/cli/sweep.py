"""``moistwall sweep``: one field or two of an assembly over all their values."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from moistwall.cli.answering import files_asked_for, give_answer, slide_files, slide_names
from moistwall.cli.completing import complete_assembly
from moistwall.cli.options import Faults, report_option, slides_option
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


@click.command(short_help="Run an assembly with one or two fields varied.")
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
@report_option
@slides_option
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
    json_file: str | None,
    report_file: Path | None,
    slides: Path | None,
    units: str,
    quiet: bool,
) -> None:
    """Run ASSEMBLY with one field or two over all their values, and print how each stands to a limit."""
    from moistwall.assembly import read_assembly
    from moistwall.cli.files import check_writable, find_assembly
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
    faults.of(
        lambda: check_writable(
            files_asked_for(json_file, report_file, *slide_names(slides, ["sweep"]))
        )
    )
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
    files: dict[Path, bytes] = {}
    paths = [one.path for one in plan.varied]
    if out is not None:
        files[out / "table.csv"] = study_csv(found).encode("utf-8")
        figure = sweep_figure(found, paths, criterion, base.name)
        files |= {out / name: data for name, data in picture_files("sweep", figure).items()}
    if slides is not None:
        files |= slide_files(slides, {"sweep": sweep_figure(found, paths, criterion, base.name)})
    if report_file is not None:
        from moistwall.show.study_page import sweep_page

        page = sweep_page(found, paths, criterion, base.name, years, system)
        files[report_file] = page.encode("utf-8")
    give_answer(
        lambda: study_data("sweep", found, criterion, assembly=base.name),
        lambda: "\n".join(
            [
                base.name,
                "",
                *table_lines(found, criterion, system),
                *remark_lines(found, criterion),
            ]
        ),
        json_file=json_file,
        quiet=quiet,
        files=files,
    )
    end_failed(found)
