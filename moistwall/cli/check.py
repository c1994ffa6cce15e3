"""``moistwall check``: what an assembly file says of itself, without simulating."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from moistwall.cli.completing import complete_assembly, complete_climate
from moistwall.cli.options import Faults, debug_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.assess.fasteners import Fasteners
    from moistwall.section import Section
    from moistwall.units import System

SCREW = "0.19 in"
"""Shank of a screw for furring through foam, No. 10: common practice, no source."""

PICTURES = ("section.png", "section.svg")
"""What ``--out`` writes."""


@click.command(short_help="Tell of an assembly what is wrong and which way it can dry.")
@click.argument("assembly", shell_complete=complete_assembly)
@click.option(
    "--climate",
    metavar="NAME|FILE",
    shell_complete=complete_climate,
    help="Add the monthly dew-point calculation for the monthly means of this year.",
)
@click.option(
    "--area-per-fastener",
    metavar="AREA",
    help='Count metal screws through the exterior foam, one for each such area: "2 ft2".',
)
@click.option(
    "--fastener-diameter",
    metavar="LENGTH",
    help=f"Diameter of their steel shanks; {SCREW} if not given.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write the section, to scale, into this folder: section.png, section.svg.",
)
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write what was found as JSON (always SI) to this file; - writes it instead of the text.",
)
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in the text.",
)
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def check(
    assembly: str,
    climate: str | None,
    area_per_fastener: str | None,
    fastener_diameter: str | None,
    out: Path | None,
    json_file: str | None,
    units: str,
    quiet: bool,
) -> None:
    """Read ASSEMBLY, say what is wrong with it, and tell without simulating which way it can dry.

    For each layer that moisture harms: the permeance between it and the air on either side. Then R-values and
    U with studs and fasteners, what a model code asks for, and with --climate the monthly dew-point method.
    """
    from moistwall.assembly import load_paths
    from moistwall.assess.check import check_paths
    from moistwall.cli.files import check_writable, find_assembly, write_all
    from moistwall.library import read_year
    from moistwall.show.check_text import check_data, check_text

    json_path = None if json_file in (None, "-") else Path(json_file)
    outputs = [] if json_path is None else [json_path]
    if out is not None:
        outputs += [out / name for name in PICTURES]
    faults = Faults()
    paths = faults.of(lambda: load_paths(find_assembly(assembly)))
    year = None
    if climate is not None:
        year = faults.of(lambda: read_year(climate, field="--climate"))
    metal = faults.of(lambda: _fasteners(area_per_fastener, fastener_diameter))
    faults.of(lambda: check_writable(outputs))
    faults.refuse()
    assert paths is not None
    found = check_paths(paths, year, metal)
    data = json.dumps(check_data(found), indent=2, allow_nan=False, ensure_ascii=False) + "\n"
    text = check_text(found, cast("System", units))
    files = {} if json_path is None else {json_path: data.encode("utf-8")}
    if out is not None:
        files |= _pictures(paths[0], out, cast("System", units))
    write_all(files)
    if json_file == "-":
        click.echo(data, nl=False)
    elif not quiet:
        click.echo(text, nl=False)
    if not quiet:
        for path in files:
            click.echo(f"wrote {path}", err=True)


def _pictures(section: Section, out: Path, system: System) -> dict[Path, bytes]:
    """The section drawn to scale, as files."""
    from moistwall.show.pictures import picture_files
    from moistwall.show.section import outline_of, section_figure

    drawn = picture_files("section", section_figure(outline_of(section), system))
    return {out / name: content for name, content in drawn.items()}


def _fasteners(area: str | None, diameter: str | None) -> Fasteners | None:
    """Fasteners as the options give them; both mistakes together."""
    from moistwall.assess.fasteners import Fasteners
    from moistwall.units import quantity

    if area is None:
        if diameter is not None:
            problem, remedy = "says nothing by itself", "add --area-per-fastener"
            raise InputError(Fault("", "--fastener-diameter", diameter, problem, remedy))
        return None
    faults = Faults()
    each = faults.of(lambda: quantity(area, "area", field="--area-per-fastener"))
    shank = faults.of(lambda: quantity(diameter or SCREW, "length", field="--fastener-diameter"))
    faults.refuse()
    assert each is not None
    assert shank is not None
    return Fasteners(each, 0.25 * math.pi * shank**2)
