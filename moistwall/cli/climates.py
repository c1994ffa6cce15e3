"""``moistwall climates``: the years of weather that are here, and what one of them does to walls."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from moistwall.cli.completing import complete_climate
from moistwall.cli.options import Faults, debug_option, rain_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.climate.record import Climate
    from moistwall.units import System


@click.command(short_help="List the years of weather, or tell of one.")
@click.argument("year", required=False, metavar="[NAME|FILE]", shell_complete=complete_climate)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write a page on this year (index.html, pictures as PNG and SVG, summary.json) into this "
    "folder.",
)
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the numbers as JSON (always SI) to this file; - writes them instead of the text.",
)
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in texts, pictures and the template.",
)
@rain_option
@click.option("--template", is_flag=True, help="Print the beginning of a climate table to fill.")
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def climates(
    year: str | None,
    out: Path | None,
    json_file: str | None,
    units: str,
    rain: str,
    template: bool,
    quiet: bool,
) -> None:
    """List the years of weather that come with moistwall; or tell what one year does to walls.

    Without NAME or FILE every year that is shipped is listed with its source and its fingerprint. With it
    (a shipped one such as miami, or a file of your own) sun, driving rain, dew points and vapor drive of
    that year are told by month and by the direction that a wall looks to.
    """
    from moistwall.cli.files import check_writable, write_all

    system = cast("System", units)
    if template:
        _refuse_beside_template(year, out, json_file)
        from moistwall.show.climate_template import climate_template

        click.echo(climate_template(system), nl=False)
        return
    json_path = None if json_file in (None, "-") else Path(json_file)
    outputs = [] if json_path is None else [json_path]
    faults = Faults()
    if out is not None:
        from moistwall.show.climate_page import FILES

        outputs += [out / name for name in FILES]
        if year is None:
            problem, remedy = "needs a year", "name one: moistwall climates NAME --out DIR"
            faults.of(lambda: _refuse(Fault("", "--out", str(out), problem, remedy)))
    faults.of(lambda: check_writable(outputs))
    years = faults.of(lambda: _read(year, rain == "as-read"))
    faults.refuse()
    assert years is not None

    data, text, files = _told(years, year is not None, system, out)
    written = json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False) + "\n"
    if json_path is not None:
        files[json_path] = written.encode("utf-8")
    write_all(files)
    if json_file == "-":
        click.echo(written, nl=False)
    elif not quiet:
        click.echo(text, nl=False)
    if not quiet:
        for path in files:
            click.echo(f"wrote {path}", err=True)


def _refuse(fault: Fault) -> None:
    raise InputError(fault)


def _refuse_beside_template(year: str | None, out: Path | None, json_file: str | None) -> None:
    """Options that the template has no use for are mistakes."""
    given = [("NAME|FILE", year), ("--out", out), ("--json", json_file)]
    faults = [
        Fault("", name, str(value), "cannot stand beside --template", "give one of the two")
        for name, value in given
        if value is not None
    ]
    if faults:
        raise InputError(faults)


def _read(year: str | None, rain_as_read: bool) -> list[Climate]:
    """The year that is named, or all that are shipped; every mistake of all files together."""
    from moistwall.library import climate_names, read_year

    if year is not None:
        return [read_year(year, rain_as_read=rain_as_read, field="NAME|FILE")]
    faults = Faults()
    read = [faults.of(partial(read_year, name)) for name in climate_names()]
    faults.refuse()
    return [climate for climate in read if climate is not None]


def _told(
    years: list[Climate], one: bool, system: System, out: Path | None
) -> tuple[dict[str, Any], str, dict[Path, bytes]]:
    """Numbers and text of the list or of one year, and the files of its page."""
    from moistwall.assess.weather import fingerprint

    found = [(climate, fingerprint(climate)) for climate in years]
    if not one:
        from moistwall.show.climate_summary import list_summary
        from moistwall.show.climate_text import list_text

        return list_summary(found), list_text(found, system), {}
    from moistwall.assess.weather import wall_weather
    from moistwall.show.climate_summary import climate_summary
    from moistwall.show.climate_text import climate_text

    climate, marks = found[0]
    walls = wall_weather(climate)
    files: dict[Path, bytes] = {}
    if out is not None:
        from moistwall.show.climate_page import page_files

        pages = page_files(climate, marks, walls, system)
        files = {out / name: content for name, content in pages.items()}
    return (
        climate_summary(climate, marks, walls),
        climate_text(climate, marks, walls, system),
        files,
    )
