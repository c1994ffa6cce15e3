"""Lines of a printed text: how wide they are, and how they are folded."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

WIDTH = 80
"""Columns of everything printed but wide tables."""


def wrapped(text: str, first: str = "", other: str = "    ") -> list[str]:
    """Fold a text into lines of `WIDTH` columns; words with hyphens stay whole.

    Parameters
    ----------
    text : str
        One paragraph.
    first, other : str
        What the first line and the others begin with.

    Returns
    -------
    list of str
        None for an empty text.
    """
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=other, break_on_hyphens=False
    )


def bullets(lines: Sequence[str]) -> list[str]:
    """Take folded lines apart again into their entries.

    Parameters
    ----------
    lines : sequence of str
        An introduction, if there is one, and entries that begin with '- '.

    Returns
    -------
    list of str
        The introduction and each entry in one line, without '- '.
    """
    whole: list[str] = []
    for line in lines:
        if line.startswith("- ") or not whole:
            whole.append(line.removeprefix("- ").strip())
        elif line:
            whole[-1] += " " + line.strip()
    return whole


def listed(title: str, entries: Iterable[str]) -> list[str]:
    """Write entries below a title, each after a dash, with an empty line behind the last.

    Parameters
    ----------
    title : str
        What they are; a colon is added.
    entries : iterable of str
        One paragraph each.

    Returns
    -------
    list of str
        None where there is no entry.
    """
    lines = [line for entry in entries for line in wrapped(entry, "- ", "  ")]
    return [title + ":", *lines, ""] if lines else []
