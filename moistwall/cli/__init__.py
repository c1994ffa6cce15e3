"""The command line: parse, call, print. No physics here, and nothing heavy at import."""

from __future__ import annotations

import sys

import click

from moistwall.cli.bench import bench
from moistwall.cli.check import check
from moistwall.cli.climates import climates
from moistwall.cli.compare import compare
from moistwall.cli.dry_out import dry_out
from moistwall.cli.ensemble import ensemble
from moistwall.cli.lesson import lesson
from moistwall.cli.materials import materials
from moistwall.cli.new import new
from moistwall.cli.options import debug_option, version_option, wants_debug
from moistwall.cli.run import run
from moistwall.cli.schema import schema
from moistwall.cli.search import least, most
from moistwall.cli.severe_year import severe_year
from moistwall.cli.sweep import sweep
from moistwall.cli.verify import verify
from moistwall.errors import InputError, MoistwallError

MOST_LINES = 60
"""Mistakes that are printed; what is left is counted."""


class Moistwall(click.Group):
    """The group of commands, which turns the project's own errors into lines and exit codes."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; wrong input ends with 2, any other error of ours with 1."""
        try:
            return super().invoke(ctx)
        except click.UsageError as error:
            takes = error.ctx.command.params if error.ctx else []
            if "extra argument" in error.message and any(one.name == "climate" for one in takes):
                told = f"{error.message}; a year of weather stands behind --climate"
                raise click.UsageError(told, error.ctx) from None
            raise
        except MoistwallError as error:
            if wants_debug(ctx):
                raise
            lines = str(error).splitlines()
            for line in lines[:MOST_LINES]:
                click.echo(f"moistwall: {line}", err=True)
            if len(lines) > MOST_LINES:
                more = len(lines) - MOST_LINES
                click.echo(f"moistwall: and {more} more like these", err=True)
            ctx.exit(2 if isinstance(error, InputError) else 1)
        return None


@click.group(cls=Moistwall, context_settings={"help_option_names": ["-h", "--help"]})
@version_option
@debug_option
def main() -> None:
    """Compute whether a wall, roof or floor stays dry, hour by hour, in a hot-humid climate.

    \b
    To begin:
      moistwall new wall my-wall.toml
      moistwall check my-wall.toml
      moistwall run my-wall.toml --climate mobile
    """  # noqa: D301 - click looks for this very character
    # names may hold letters that an old console cannot show: better a '?' than a crash
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


main.add_command(new)
main.add_command(check)
main.add_command(run)
main.add_command(climates)
main.add_command(materials)
main.add_command(severe_year)
main.add_command(sweep)
main.add_command(compare)
main.add_command(least)
main.add_command(most)
main.add_command(ensemble)
main.add_command(dry_out)
main.add_command(lesson)
main.add_command(schema)
main.add_command(bench)
main.add_command(verify)
