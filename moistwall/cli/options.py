"""Options that commands share, and wrong input gathered from several of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import click

from moistwall.errors import Fault, InputError

_DEBUG = "moistwall.debug"

Given = TypeVar("Given")


def _keep_debug(ctx: click.Context, parameter: click.Parameter, value: bool) -> None:
    if value:
        ctx.meta[_DEBUG] = True


debug_option = click.option(
    "--debug",
    is_flag=True,
    expose_value=False,
    callback=_keep_debug,
    help="Show where in the code an error arose.",
)
"""``--debug``, which may stand before or behind the name of the command."""


def _tell_versions(ctx: click.Context, parameter: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        from moistwall.show.versions import versions_text

        click.echo(versions_text(), nl=False)
        ctx.exit()


version_option = click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    is_eager=True,
    callback=_tell_versions,
    help="Show the version, and those of what numbers depend on.",
)
"""``--version`` of the whole command."""


rain_option = click.option(
    "--rain",
    type=click.Choice(["normals", "as-read"]),
    default="normals",
    show_default=True,
    help="Rain of a TMY2, TMY3 or EPW file: months scaled to the normals of the nearest shipped place "
    "within 60 km, totals of several hours taken apart, kinds of rain given depths; or as the file "
    "gives it. The notes of the year say what was done.",
)
"""``--rain``, wherever a year of weather is read."""


json_option = click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the answer as JSON (always SI) to this file; - prints it instead of the text.",
)
"""``--json``, where the answer is told in words as well."""


report_option = click.option(
    "--report",
    "report_file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE.html",
    help="Write the answer as one page with pictures into this file; it needs no network.",
)
"""``--report``, wherever an answer can be shown on a page."""


slides_option = click.option(
    "--slides",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write every picture of the answer, as PNG and SVG, into this folder.",
)
"""``--slides``, wherever there are pictures."""


def wants_debug(ctx: click.Context) -> bool:
    """Whether ``--debug`` was given to this command or to one below or above it."""
    return bool(ctx.meta.get(_DEBUG, False))


class Faults:
    """Wrong input of several sources, reported together."""

    def __init__(self) -> None:
        self._found: list[Fault] = []

    def of(self, read: Callable[[], Given]) -> Given | None:
        """What a function reads; None if the input is wrong, the faults being kept.

        Parameters
        ----------
        read : callable
            Reads something and may raise `InputError`.
        """
        try:
            return read()
        except InputError as error:
            self._found += error.faults
            return None

    def refuse(self) -> None:
        """End with all faults that were kept.

        Raises
        ------
        InputError
            If there is any.
        """
        if self._found:
            raise InputError(self._found)
