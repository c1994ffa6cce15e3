"""``moistwall schema``: what the files of moistwall may hold, for editors and other programs."""

from __future__ import annotations

import json

import click

from moistwall.cli.options import debug_option


@click.command(short_help="Print the JSON schema of an assembly file, for editors.")
@click.option(
    "--result",
    "of_result",
    is_flag=True,
    help="Of summary.json, which `moistwall run` writes, instead.",
)
@debug_option
def schema(of_result: bool) -> None:
    """Print the JSON schema of an assembly file, for editors that complete and check TOML."""
    if of_result:
        from moistwall.show.summary_schema import result_json_schema

        found = result_json_schema()
    else:
        from moistwall.assembly import assembly_json_schema

        found = assembly_json_schema()
    click.echo(json.dumps(found, indent=2, ensure_ascii=False))
