"""``moistwall new``: a first file of one's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from moistwall.cli.options import debug_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.show.starter import Kind
    from moistwall.units import System


@click.command(short_help="Write a first assembly file, with remarks, that runs as it is.")
@click.argument("kind", type=click.Choice(["wall", "roof", "floor"]))
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in the file.",
)
@click.option("--replace", is_flag=True, help="Write over FILE if it is there already.")
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def new(kind: str, file: Path, units: str, replace: bool, quiet: bool) -> None:
    """Write a first assembly file, with a remark on each part, that runs as it is.

    FILE ends in .toml. Change its layers into yours, and ask `moistwall check FILE` after each change.
    """
    from moistwall.cli.files import check_writable, write_all
    from moistwall.show.starter import starter

    if file.suffix.lower() != ".toml":
        raise InputError(
            Fault("", "FILE", str(file), "does not end in .toml", f"write {file}.toml")
        )
    check_writable([file])
    if file.exists() and not replace:
        remedy = "give another name, or --replace to write over it"
        raise InputError(Fault("", "FILE", str(file), "is there already", remedy))
    text = starter(cast("Kind", kind), str(file), file.stem, cast("System", units))
    write_all({file: text.encode("utf-8")})
    if not quiet:
        click.echo(f"wrote {file}", err=True)
        shown = f'"{file}"' if " " in str(file) else file
        click.echo(f"next: moistwall check {shown}", err=True)
