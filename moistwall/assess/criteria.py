"""Criteria as data: a quantity, a limit, a marginal band, a source; and the rule that turns numbers into words.

A criterion says nothing about how it is measured: it names one of the quantities of `QUANTITIES`, which
`moistwall.assess.measure` evaluates at every place.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from moistwall.material import Source

Word = Literal["dries", "marginal", "stays wet"]
Subject = Literal["place", "wood", "section"]

WORDS: tuple[Word, ...] = ("dries", "marginal", "stays wet")
"""From the best to the worst; none of them says that nothing can go wrong."""


@dataclass(frozen=True)
class Quantity:
    """Something that a criterion can limit.

    Parameters
    ----------
    kind : {'index', 'time', 'share', 'moisture_content', 'area_water'}
        What its numbers are: an index without unit, [h], [-], [kg/kg], [kg/m2].
    of : {'place', 'wood', 'section'}
        Whether it is found at every side of every interface, in every slice of wood, or once.
    threshold : {'share', 'moisture_content'} or None
        Kind of the second number that it needs.
    """

    kind: Literal["index", "time", "share", "moisture_content", "area_water"]
    of: Subject
    threshold: Literal["share", "moisture_content"] | None = None


QUANTITIES: dict[str, Quantity] = {
    "mold index": Quantity("index", "place"),
    "hours at humidity": Quantity("time", "place", "share"),
    "longest time at humidity": Quantity("time", "place", "share"),
    "highest 30-day humidity": Quantity("share", "place"),
    "hours with liquid": Quantity("time", "place"),
    "longest time with liquid": Quantity("time", "place"),
    "hours over moisture content": Quantity("time", "wood", "moisture_content"),
    "longest time over moisture content": Quantity("time", "wood", "moisture_content"),
    "highest moisture content": Quantity("moisture_content", "wood"),
    "water run off": Quantity("area_water", "section"),
    "yearly gain": Quantity("area_water", "section"),
}
"""What can be limited, by the name that a file of criteria gives."""


@dataclass(frozen=True)
class Criterion:
    """One limit, with where it comes from.

    Parameters
    ----------
    name : str
        Name shown to people.
    quantity : str
        One of `QUANTITIES`.
    limit, marginal : float
        The limit, and the band on its good side that is marginal; in the quantity's unit.
    source : Source
        Where the limit comes from and how far it can be trusted.
    comparison : {'below', 'above'}
        On which side of the limit it is good.
    threshold : float or None
        Humidity or moisture content that the hours of the quantity count from. [-], [kg/kg]
    counts : bool
        Whether the overall verdict takes it in; else it is information.
    everywhere : bool
        Whether places outside of the water-control layer count too.
    kinds : tuple of str
        Kinds of material that it is restricted to, such as 'sheathing'; empty for all.
    """

    name: str
    quantity: str
    limit: float
    marginal: float
    source: Source
    comparison: Literal["below", "above"] = "below"
    threshold: float | None = None
    counts: bool = True
    everywhere: bool = False
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True)
class Criteria:
    """Criteria that are applied together.

    Parameters
    ----------
    name, note, file : str
        Name, what is to be said of them, and where they were read.
    criteria : tuple of Criterion
        In the order of the file.
    """

    name: str
    note: str
    file: str
    criteria: tuple[Criterion, ...]


def word_for(criterion: Criterion, low: float, high: float) -> Word:
    """Judge a number that lies within a bracket.

    Parameters
    ----------
    criterion : Criterion
        The limit and its band.
    low, high : float
        Bracket of the number, in the quantity's unit.

    Returns
    -------
    {'dries', 'marginal', 'stays wet'}
        The first if the whole bracket keeps clear of limit and band; the last if the whole of it is at or
        beyond the limit; the second if it is in between, or if one end of the bracket says this and the other
        that.
    """
    if criterion.comparison == "above":
        low, high, limit = -high, -low, -criterion.limit
    else:
        limit = criterion.limit
    if low >= limit:
        return "stays wet"
    return "dries" if high < limit - criterion.marginal else "marginal"


def nearness(criterion: Criterion, low: float, high: float) -> float:
    """How near the worse end of a bracket comes to the limit.

    Parameters
    ----------
    criterion : Criterion
        The limit, which is above 0.
    low, high : float
        Bracket of the number.

    Returns
    -------
    float
        1 at the limit, below it on the good side. [-]
    """
    if criterion.comparison == "above":
        return criterion.limit / max(low, 1e-9 * criterion.limit)
    return high / criterion.limit


def worst_word(words: Iterable[Word]) -> Word:
    """Return the worst of some words.

    Parameters
    ----------
    words : iterable of str
        At least one.
    """
    return max(words, key=WORDS.index)
