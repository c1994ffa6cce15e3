"""``moistwall verify``: the cases that show what the solver gets right."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from moistwall.cli.answering import files_asked_for, give_answer
from moistwall.cli.options import debug_option, json_option

if TYPE_CHECKING:
    from moistwall.verify.runner import Verdict


@click.command(short_help="Compare with exact solutions and published numbers.")
@click.option("--list", "listed", is_flag=True, help="Only list the cases and what each proves.")
@click.option(
    "--only",
    multiple=True,
    metavar="NAME",
    help="Run this case; may stand several times.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write a page with all comparisons and curves (index.html, PNG and SVG) into this folder.",
)
@json_option
@click.option("--quiet", is_flag=True, help="Print the last line only.")
@debug_option
@click.pass_context
def verify(
    ctx: click.Context,
    listed: bool,
    only: tuple[str, ...],
    out: Path | None,
    json_file: str | None,
    quiet: bool,
) -> None:
    """Compare moistwall with exact solutions, published benchmarks and other solvers.

    Ends with 0 if every comparison is within its tolerance, else with 1.
    """
    from moistwall.cli.files import check_writable, write_all
    from moistwall.verify.runner import (
        case_lines,
        chosen_cases,
        run_cases,
        summary,
        verdicts_data,
    )

    cases = chosen_cases(only)
    if listed:
        width = max(len(case.name) for case in cases)
        for case in cases:
            click.echo(f"{case.name:{width}}  {case.proves} ({case.source})")
        return
    pages = [] if out is None else [out / "index.html"]
    check_writable([*files_asked_for(json_file), *pages])

    def told(verdict: Verdict) -> None:
        if not quiet and json_file != "-":
            click.echo("\n".join(case_lines(verdict)))

    verdicts = run_cases(cases, told)
    if out is not None:
        from moistwall.verify.page import page_files

        files = {out / name: content for name, content in page_files(verdicts).items()}
        write_all(files)
        click.echo(f"wrote {out / 'index.html'}", err=True)
    give_answer(
        lambda: verdicts_data(verdicts),
        lambda: "",
        json_file=json_file,
        quiet=quiet,
        files={},
    )
    if json_file != "-":
        click.echo(summary(verdicts))
    ctx.exit(0 if all(verdict.outcome.passes for verdict in verdicts) else 1)
