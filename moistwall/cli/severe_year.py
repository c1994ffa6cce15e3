"""``moistwall severe-year``: which of several years a section is to be designed for."""

from __future__ import annotations

import json
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from moistwall.cli.completing import complete_assembly, complete_climate
from moistwall.cli.options import Faults, debug_option, rain_option

if TYPE_CHECKING:
    from moistwall.climate.record import Climate
    from moistwall.section import Section


@click.command(
    "severe-year", short_help="Rank measured years of one place by how wet they make it."
)
@click.argument("assembly", shell_complete=complete_assembly)
@click.option(
    "--climate",
    "climates",
    metavar="NAME|FILE",
    shell_complete=complete_climate,
    multiple=True,
    help="A year, as for run; give this option once for each of two years or more.",
)
@rain_option
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the ranking as JSON to this file; - writes it instead of the text.",
)
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def severe_year(
    assembly: str, climates: tuple[str, ...], rain: str, json_file: str | None, quiet: bool
) -> None:
    """Rank years by how wet they make the sheathing of ASSEMBLY, and choose a moisture design year.

    Chosen is the year nearest to the 10th percentile of severity, which wants ten years or more of one
    place.
    """
    from moistwall.cli.files import write_all

    json_path = None if json_file in (None, "-") else Path(json_file)
    section, years = _read(assembly, climates, rain == "as-read", json_path)

    from moistwall.show.severe_year import severe_year_summary, severe_year_text
    from moistwall.study.severe_year import severe_year as choose

    def told(climate: Climate, k: int) -> None:
        if not quiet and sys.stderr.isatty():
            click.echo(f"year {k + 1} of {len(years)}: {climate.name}", err=True)

    found = choose(section, years, tell=told)
    written = json.dumps(severe_year_summary(found), indent=2, allow_nan=False, ensure_ascii=False)
    if json_path is not None:
        write_all({json_path: (written + "\n").encode("utf-8")})
    if json_file == "-":
        click.echo(written)
    elif not quiet:
        click.echo(severe_year_text(found), nl=False)
    if json_path is not None and not quiet:
        click.echo(f"wrote {json_path}", err=True)


def _read(
    assembly: str, climates: tuple[str, ...], rain_as_read: bool, json_path: Path | None
) -> tuple[Section, list[Climate]]:
    """The section and the years, once nothing is wrong with any of them nor with where to write."""
    from moistwall.assembly import load_section
    from moistwall.cli.files import check_writable, find_assembly
    from moistwall.library import read_year

    faults = Faults()
    section = faults.of(lambda: load_section(find_assembly(assembly)))
    years = [
        faults.of(partial(read_year, name, rain_as_read=rain_as_read, field="--climate"))
        for name in climates
    ]
    faults.of(lambda: check_writable([] if json_path is None else [json_path]))
    faults.refuse()
    assert section is not None
    return section, [year for year in years if year is not None]
