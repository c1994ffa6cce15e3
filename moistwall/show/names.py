"""Names of months, interfaces and parts as people say them: without the facers that come with a board."""

from __future__ import annotations

from typing import Protocol

from moistwall.result import Part, Place, Result

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
"""Names of the months in tables and pictures."""


class Drawable(Protocol):
    """What a drawing of a section needs to know: a `Result` has it, and so has what was not run."""

    @property
    def section_name(self) -> str:
        """What the section is called."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """From outside to inside."""

    @property
    def water_control(self) -> str:
        """The part that keeps rain out; empty if none is named."""

    @property
    def seams(self) -> str:
        """How its seams are treated; empty if none is named."""

    @property
    def tilt(self) -> float:
        """Between outer face and ground. [deg]"""


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


def board_of(result: Drawable, part: int) -> int | None:
    """Board that a facer belongs to.

    Parameters
    ----------
    result : Drawable
        A result, or a section that was not run.
    part : int
        Place in ``result.parts``.

    Returns
    -------
    int or None
        Place in ``result.parts`` of the layer; None if the part is no facer.
    """
    if result.parts[part].kind != "facer":
        return None
    for other in (part + 1, part - 1):
        if 0 <= other < len(result.parts):
            board = result.parts[other]
            if board.kind == "layer" and result.parts[part].name.startswith(board.name + " "):
                return other
    return None


def water_control_name(result: Drawable) -> str:
    """What keeps rain out, in words.

    Parameters
    ----------
    result : Drawable
        A result, or a section that was not run.

    Returns
    -------
    str
        Such as 'deck membrane', or 'outer face of sheathing'; empty if nothing is named.
    """
    for k, part in enumerate(result.parts):
        if part.name == result.water_control:
            board = board_of(result, k)
            if board is None:
                return part.name
            side = "outer" if k < board else "inner"
            return f"{side} face of {result.parts[board].name}"
    return ""
