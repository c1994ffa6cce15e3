"""Names of interfaces as people say them: without the facers that come with a board."""

from __future__ import annotations

from moistwall.result import Place, Result


def place_name(result: Result, place: Place) -> str:
    """Name of an interface from outside to inside, leaving out the facers of boards.

    Parameters
    ----------
    result : Result
        The result that the place belongs to.
    place : Place
        The place.

    Returns
    -------
    str
        Such as 'inner foam | sheathing'; films laid by themselves stay in the name.
    """
    facers = {part.name for part in result.parts if part.kind == "facer"}
    return " | ".join(name for name in place.name.split(" | ") if name not in facers)


def side_name(result: Result, place: Place) -> str:
    """Which side of its interface a place is, in words.

    Parameters
    ----------
    result : Result
        The result that the place belongs to.
    place : Place
        The place.

    Returns
    -------
    str
        'surface' in air; else the layer that the side belongs to.
    """
    return "surface" if place.surface else f"in {place.part}"
