"""How commands give their answer: text or JSON to the standard output, files whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click


def files_asked_for(json_file: str | None, *others: Path | None) -> list[Path]:
    """Single files that a command is to write.

    Parameters
    ----------
    json_file : str or None
        As given to ``--json``; '-' is the standard output and no file.
    *others : Path or None
        Other files; None where one is not asked for.

    Returns
    -------
    list of Path
    """
    found = [] if json_file in (None, "-") else [Path(str(json_file))]
    return [*found, *(one for one in others if one is not None)]


def give_answer(
    data: Callable[[], dict[str, Any]],
    text: Callable[[], str],
    *,
    json_file: str | None,
    quiet: bool,
    files: Mapping[Path, bytes],
) -> None:
    """Write the files of an answer, and print it.

    Parameters
    ----------
    data, text : callable
        The answer as plain data, and in words.
    json_file : str or None
        As given to ``--json``: '-' prints the data in place of the words.
    quiet : bool
        Print no words.
    files : mapping of Path to bytes
        What else is to be written, one file or several.
    """
    from moistwall.cli.files import write_all

    written = dict(files)
    printed = "" if quiet or json_file == "-" else text()
    if json_file is not None:
        told = json.dumps(data(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
        if json_file == "-":
            printed = told
        else:
            written[Path(json_file)] = told.encode("utf-8")
    write_all(written)
    click.echo(printed if printed.endswith("\n") or not printed else printed + "\n", nl=False)
    if not quiet:
        for path in written:
            click.echo(f"wrote {path}", err=True)
