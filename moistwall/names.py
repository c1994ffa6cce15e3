"""Names that a person types: how they are compared, and what was probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def plain_name(name: str) -> str:
    """Give the form in which names are compared: upper and lower case, space and '-' are alike."""
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


def nearest(name: str, names: Iterable[str], count: int = 3) -> list[str]:
    """Find the names that look most like one that is unknown.

    Parameters
    ----------
    name : str
        What was typed.
    names : iterable of str
        What is known.
    count : int
        The most that are returned.

    Returns
    -------
    list of str
        The nearest names, best first; empty if none comes near.
    """
    known = {plain_name(one): one for one in names}
    wanted = plain_name(name)
    close = difflib.get_close_matches(wanted, known, n=count, cutoff=0.6)
    words = set(wanted.split())
    sharing = [one for one in known if one not in close and words & set(one.split())]
    return [known[one] for one in (close + sharing)[:count]]


def did_you_mean(name: str, names: Iterable[str]) -> str:
    """Write the remedy for an unknown name: the nearest ones, or all if there are few."""
    known = list(names)
    close = nearest(name, known)
    if close:
        return "did you mean " + " or ".join(f"'{one}'" for one in close) + "?"
    if 0 < len(known) <= 12:
        return "known: " + ", ".join(known)
    return ""
