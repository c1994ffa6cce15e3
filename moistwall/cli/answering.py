"""How commands give their answer: text or JSON to the standard output, files whole or not at all."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Mapping
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


MARKED = ("( ) ", "<~> ", "[#] ")
"""What lines with a verdict begin with."""


def emphasized(text: str) -> str:
    """Make lines with a verdict bold, on a terminal that has not asked for plain text.

    Parameters
    ----------
    text : str
        Lines of an answer.

    Returns
    -------
    str
        The same unless the standard output is a terminal, ``NO_COLOR`` is unset or empty (no-color.org)
        and ``TERM`` is not dumb.
    """
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    if plain or not sys.stdout.isatty():
        return text
    return "".join(
        click.style(line.rstrip("\n"), bold=True) + "\n" if line.startswith(MARKED) else line
        for line in text.splitlines(keepends=True)
    )


def slide_names(folder: Path | None, names: Iterable[str]) -> list[Path]:
    """Files of the pictures of an answer.

    Parameters
    ----------
    folder : Path or None
        As given to ``--slides``.
    names : iterable of str
        Of the pictures.

    Returns
    -------
    list of Path
        None without a folder.
    """
    if folder is None:
        return []
    return [folder / f"{name}.{ending}" for name in names for ending in ("png", "svg")]


def slide_files(folder: Path, figures: Mapping[str, Any]) -> dict[Path, bytes]:
    """Pictures as PNG and SVG for a folder.

    Parameters
    ----------
    folder : Path
        As given to ``--slides``.
    figures : mapping of str to Figure or None
        By name; None where there is nothing to draw.

    Returns
    -------
    dict of Path to bytes
    """
    from moistwall.show.pictures import picture_files

    return {
        folder / file: content
        for name, figure in figures.items()
        if figure is not None
        for file, content in picture_files(name, figure).items()
    }


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
    if printed:
        ended = printed if printed.endswith("\n") else printed + "\n"
        click.echo(ended if json_file == "-" else emphasized(ended), nl=False)
    if not quiet:
        for path in written:
            click.echo(f"wrote {path}", err=True)
