"""``moistwall compare``: several assemblies side by side, in one year or several."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

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

if TYPE_CHECKING:
    from moistwall.assembly import Assembly
    from moistwall.units import System


@click.command(short_help="Put several assemblies side by side.")
@click.argument(
    "assemblies",
    nargs=-1,
    metavar="ASSEMBLY ASSEMBLY ...",
    shell_complete=complete_assembly,
)
@limit_option("mold", "What the margin is to")
@study_options
@report_option
@slides_option
def compare(
    assemblies: tuple[str, ...],
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
    """Run every ASSEMBLY in every year, and print them side by side with what differs in their files."""
    from moistwall.assembly import read_assembly
    from moistwall.cli.files import check_writable, find_assembly
    from moistwall.criteria_file import find_criteria
    from moistwall.study.compare import differences, plan_comparison
    from moistwall.study.measures import read_criterion

    faults = Faults()

    def read_one(name: str) -> Assembly:
        return read_assembly(find_assembly(name))

    read_files = [faults.of(partial(read_one, name)) for name in assemblies]
    criterion = faults.of(lambda: read_criterion(limit, field="--limit"))
    years = faults.of(lambda: read_climates(climates, rain))
    rules = faults.of(lambda: find_criteria(criteria))
    faults.of(
        lambda: check_writable(
            files_asked_for(json_file, report_file, *slide_names(slides, ["compare"]))
        )
    )
    faults.refuse()
    assert criterion is not None
    assert years is not None
    bases = [one for one in read_files if one is not None]
    plan = plan_comparison(bases, years, rules)
    found = run_plan(plan, out=out, resume=resume, workers=workers, quiet=quiet)

    from moistwall.show.study_text import (
        attic_lines,
        caution_lines,
        difference_lines,
        remark_lines,
        study_csv,
        study_data,
        table_lines,
    )

    system = cast("System", units)
    rows = differences(bases)
    files = {} if out is None else {out / "table.csv": study_csv(found).encode("utf-8")}
    if slides is not None:
        from moistwall.show.study_pictures import compare_figure

        files |= slide_files(slides, {"compare": compare_figure(found, criterion)})
    if report_file is not None:
        from moistwall.show.section import outline_of
        from moistwall.show.study_page import compare_page
        from moistwall.study.job import sections_of

        sections = {job.title: outline_of(sections_of(job)[0]) for job in plan.jobs()}
        page = compare_page(found, criterion, years, sections, rows, system)
        files[report_file] = page.encode("utf-8")

    def data() -> dict[str, Any]:
        told = [[field, list(values)] for field, values in rows]
        return study_data("compare", found, criterion, differences=told)

    def text() -> str:
        lines: list[str] = []
        for label, year in years.items():
            members = [done for done in found if done.job.climate == label]
            lines += [f"{year.name} ({label})", ""]
            lines += table_lines(members, criterion, system)
            lines += [*attic_lines(members, system), ""]
        lines += remark_lines(found, criterion)[: -len(caution_lines())]
        lines += difference_lines([one.name for one in bases], rows)
        return "\n".join([*lines, *caution_lines()])

    give_answer(data, text, json_file=json_file, quiet=quiet, files=files)
    end_failed(found)
