"""``moistwall bench``: solve a problem that somebody else has written down."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from moistwall.cli.options import Faults, debug_option


@click.command(short_help="Solve a problem that is stated in full in a file.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="CSV",
    help="Write the answer into this file instead of the terminal.",
)
@click.option(
    "--refine",
    type=click.IntRange(1, 16),
    default=1,
    show_default=True,
    help="Split each cell into this many.",
)
@click.option(
    "--closer",
    type=click.FloatRange(1.0, 1000.0),
    default=1.0,
    show_default=True,
    help="Divide the error allowed in a time step by this.",
)
@click.option("--quiet", is_flag=True, help="Say nothing about balances and steps.")
@debug_option
def bench(file: Path, out: Path | None, refine: int, closer: float, quiet: bool) -> None:
    """Solve the problem in FILE (TOML, or JSON by its ending) and give what it asks for as CSV.

    The form of such a file is described in docs/bench.md.
    """
    from moistwall.cli.files import check_writable, write_all
    from moistwall.verify.problem import read_problem

    faults = Faults()
    problem = faults.of(lambda: read_problem(file))
    faults.of(lambda: check_writable([] if out is None else [out]))
    faults.refuse()
    assert problem is not None

    from moistwall.solver.march import Accuracy
    from moistwall.verify.run import run_problem

    answer = run_problem(problem, accuracy=Accuracy(1.0 / closer), refine=refine)
    if out is None:
        click.echo(answer.table(), nl=False)
    else:
        write_all({out: answer.table().encode("utf-8")})
    if not quiet:
        balance = answer.balance
        click.echo(
            f"{problem.title}: {answer.cells} cells, {int(answer.counts[0])} steps, "
            f"balances off by {balance.moisture_relative:.1e} (moisture) and "
            f"{balance.heat_relative:.1e} (heat)" + (f"; wrote {out}" if out else ""),
            file=sys.stderr,
        )
