"""Lines of a printed text: how wide they are, and how they are folded."""

from __future__ import annotations

import textwrap

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
