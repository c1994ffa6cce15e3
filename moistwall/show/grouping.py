"""Rows of a table, one for each side of an interface, under the names of their interfaces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from moistwall.result import Place, Result
from moistwall.show.names import place_name, water_control_name
from moistwall.show.wrapping import wrapped


def grouped_places(result: Result) -> Iterator[tuple[Place, bool | None, str]]:
    """Places from outside to inside, each with what changes at it.

    Parameters
    ----------
    result : Result
        A computed year.

    Yields
    ------
    place : Place
    outboard : bool or None
        Whether it and those behind it lie outside of the water-control layer; None if that is as before, or
        if no such layer is named.
    name : str
        Name of its interface; empty if that is as before.
    """
    outboard, named = None, ""
    for place in result.places:
        turns = bool(result.water_control) and place.outboard != outboard
        name = place_name(result, place)
        yield place, place.outboard if turns else None, "" if name == named else name
        named = name
        if turns:
            outboard = place.outboard


def grouped_lines(result: Result, rows: Sequence[str]) -> list[str]:
    """Lines of a printed table under the names of their interfaces, split at the water-control layer.

    Parameters
    ----------
    result : Result
        A computed year.
    rows : sequence of str
        One for each of ``result.places``.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    lines = []
    for (_, outboard, name), row in zip(grouped_places(result), rows, strict=True):
        if outboard is not None:
            control = f"-- outside of the water-control layer ({water_control_name(result)})"
            lines += wrapped(control if outboard else "-- inside of it", other="   ")
        if name:
            lines += wrapped(name, other="  ")
        lines.append(row)
    return lines
