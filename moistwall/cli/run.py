"""``moistwall run``: one section, one year, the answer per interface."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

if TYPE_CHECKING:
    from moistwall.result import Result
    from moistwall.simulate import Progress
    from moistwall.units import System


@click.command()
@click.argument("assembly")
@click.option(
    "--climate",
    required=True,
    metavar="NAME|FILE",
    help="A shipped year by name (such as miami), or a file: TMY2 or a climate table in CSV.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write pictures (PNG and SVG), hourly.csv and summary.json into this folder.",
)
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the summary as JSON (always SI) to this file; - writes it instead of the report.",
)
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in the report, the pictures and hourly.csv.",
)
@click.option("--quiet", is_flag=True, help="Print no report and no progress.")
def run(
    assembly: str, climate: str, out: Path | None, json_file: str | None, units: str, quiet: bool
) -> None:
    """Run ASSEMBLY (a TOML file, or a shipped example) through a year and print where it is wet."""
    from moistwall.assembly import load_section
    from moistwall.cli.files import find_assembly, write_all
    from moistwall.climate.read import read_climate
    from moistwall.library import find_climate_path
    from moistwall.show.summary import summary

    section = load_section(find_assembly(assembly))
    year = read_climate(find_climate_path(climate))
    progress = not quiet and sys.stderr.isatty()
    if not quiet:
        _announce_compiling()
    from moistwall.simulate import simulate

    with _progress(progress) as told:
        result = simulate(section, year, tell=told)
    system = cast("System", units)
    data = json.dumps(summary(result), indent=2, allow_nan=False, ensure_ascii=False) + "\n"
    files: dict[Path, bytes] = {}
    if json_file is not None and json_file != "-":
        files[Path(json_file)] = data.encode()
    if out is not None:
        files |= _folder(result, out, system, data)
    write_all(files)
    if json_file == "-":
        click.echo(data, nl=False)
    elif not quiet:
        from moistwall.show.text import report

        click.echo(report(result, system), nl=False)
        for path in files:
            click.echo(f"wrote {path}", err=True)


def _announce_compiling() -> None:
    from moistwall.solver.kernel.compile import is_cached

    if not is_cached():
        click.echo("compiling the solver, once: about half a minute", err=True)


def _progress(shown: bool) -> AbstractContextManager[Callable[[Progress], None] | None]:
    """A bar over the hours of the year being run, on a terminal."""
    return cast(Any, _Bar()) if shown else nullcontext(None)


class _Bar:
    """Progress of a run, year by year."""

    def __enter__(self) -> Callable[[Progress], None]:
        self._year = 0
        self._bar: Any = None
        return self._told

    def _told(self, progress: Progress) -> None:
        if progress.year != self._year:
            self._close()
            self._year = progress.year
            label = "first year" if self._year == 1 else f"year {self._year}, until it repeats"
            self._bar = click.progressbar(length=8760, label=label, file=sys.stderr)
            self._bar.__enter__()
            self._done = 0
        self._bar.update(progress.hours - self._done)
        self._done = progress.hours

    def _close(self) -> None:
        if self._bar is not None:
            self._bar.__exit__(None, None, None)

    def __exit__(self, *error: object) -> None:
        self._close()


def _folder(result: Result, out: Path, system: System, data: str) -> dict[Path, bytes]:
    """Everything that ``--out`` writes."""
    from moistwall.show.hourly import hourly_csv
    from moistwall.show.humidity import humidity_figure
    from moistwall.show.pictures import picture_files
    from moistwall.show.section import section_figure

    files = {
        out / "summary.json": data.encode(),
        out / "hourly.csv": hourly_csv(result, system).encode(),
    }
    for name, figure in (
        ("section", section_figure(result, system)),
        ("humidity", humidity_figure(result, system)),
    ):
        files |= {out / file: content for file, content in picture_files(name, figure).items()}
    return files
