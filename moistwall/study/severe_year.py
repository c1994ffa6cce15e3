"""A moisture design year: one of several years, severe but not the worst, chosen by a section.

Every year is run through the same section and scored where mold and decay would begin: at the sides of
the sheathing that lie inside of the water-control layer. The score is the hours of the year at or above
80 % relative humidity at the wettest such side; years with the same hours are ordered by mean relative
humidity there.

Years are ranked from severe to mild. By the plotting position of Weibull, rank / (n + 1), a year of rank
1 of 10 is reached or passed in about one year of ten; the year chosen is that nearest to this share.

References
----------
ASHRAE 160 asks for ten consecutive years of weather, or for a year that is the 10th percentile of a
longer record by severity (from memory); it leaves the index open.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from moistwall.assess.condensation import wet_hours
from moistwall.climate.record import Climate
from moistwall.errors import AssemblyError, Fault, InputError
from moistwall.result import Result
from moistwall.section import Layer, Section
from moistwall.simulate import simulate

WANTED_SHARE = 0.10
"""Share of years that are as severe as the design year or more (ASHRAE 160, from memory). [-]"""

WANTED_YEARS = 10
"""Years that such a choice wants at least (ASHRAE 160, from memory)."""

SCORED = "sheathing"
"""Kind of the layers whose sides are looked at."""

INDEX = (
    "hours of the year at or above 80 % RH at the wettest side of the sheathing inside of the "
    "water-control layer; where they are alike, mean RH of the dampest such side"
)
"""The index in words, to be said beside a ranking."""


@dataclass(frozen=True)
class YearScore:
    """How severe one year is for a section.

    Parameters
    ----------
    climate_name, climate_place : str
        Which year; years that share a name are numbered as they were given.
    hours_rh_80 : int
        Hours at or above 80 % at the wettest of the scored sides. [h]
    rh_mean : float
        Highest of the scored sides' mean humidities. [-]
    side : str
        Side with the most hours, or with the highest mean humidity where none has any: interface,
        then the layer.
    rank : int
        1 is the most severe.
    share : float
        rank / (n + 1): share of years that are as severe or more. [-]
    """

    climate_name: str
    climate_place: str
    hours_rh_80: int
    rh_mean: float
    side: str
    rank: int
    share: float


@dataclass(frozen=True)
class SevereYear:
    """A ranking of years and the one chosen.

    Parameters
    ----------
    section_name : str
        Section that scored them.
    scores : tuple of YearScore
        From severe to mild.
    chosen : int
        Place in ``scores`` of the design year.
    """

    section_name: str
    scores: tuple[YearScore, ...]
    chosen: int

    @property
    def enough(self) -> bool:
        """Whether there are as many years as such a choice wants."""
        return len(self.scores) >= WANTED_YEARS

    @property
    def one_place(self) -> bool:
        """Whether all years are of one place: others are not years but places that are ranked."""
        return len({score.climate_place for score in self.scores}) == 1


def score_of(result: Result) -> tuple[int, float, str]:
    """Severity of a computed year.

    Parameters
    ----------
    result : Result
        A year of a section with sheathing inside of its water-control layer.

    Returns
    -------
    hours_rh_80 : int
        Hours at or above 80 % at the wettest side. [h]
    rh_mean : float
        Highest mean humidity of the sides. [-]
    side : str
        The side that decides, in words.

    Raises
    ------
    AssemblyError
        If no side is to be scored.
    """
    sheathings = {part.name for part in result.parts if part.material == SCORED}
    rows = [row for row in wet_hours(result) if row.part in sheathings and not row.outboard]
    if not rows:
        raise _nothing_scored(result.section_name)
    worst = max(rows, key=lambda row: (row.hours_rh_80, row.rh_mean))
    return worst.hours_rh_80, max(row.rh_mean for row in rows), f"{worst.name}, in {worst.part}"


def rank_nearest(n_years: int) -> int:
    """Rank of the design year: rank / (n + 1) nearest to a tenth, the severer where two are as near.

    Parameters
    ----------
    n_years : int
        Years, 1 or more.

    Returns
    -------
    int
        From 1, the most severe.
    """
    share = np.arange(1, n_years + 1) / (n_years + 1)
    # round-off must not decide between two that are as near
    return int(np.argmin(np.round(np.abs(share - WANTED_SHARE), 12))) + 1


def severe_year(
    section: Section,
    climates: Sequence[Climate],
    *,
    run: Callable[[Section, Climate], Result] = simulate,
    tell: Callable[[Climate, int], None] | None = None,
) -> SevereYear:
    """Run every year through a section, rank them, and choose the design year.

    Parameters
    ----------
    section : Section
        The section; it needs a layer of kind 'sheathing' inside of its water-control layer.
    climates : sequence of Climate
        Two years or more, each once.
    run : callable
        What computes a year.
    tell : callable or None
        Called with each year and its index before it is run.

    Returns
    -------
    SevereYear
        Years of the same severity keep the order in which they were given.

    Raises
    ------
    InputError
        If there are fewer than two years, or the same weather twice.
    AssemblyError
        If the section has nothing to score.
    """
    labels = _labels(climates)
    faults = []
    if len(climates) < 2:
        problem, remedy = "a choice needs two years or more", "give more of them"
        faults.append(Fault("", "climate", f"{len(climates)}", problem, remedy))
    for k, climate in enumerate(climates):
        if any(_same(climate, other) for other in climates[:k]):
            faults.append(Fault("", "climate", climate.name, "given twice", "give each year once"))
    if faults:
        raise InputError(faults)
    if not any(isinstance(part, Layer) and part.material.kind == SCORED for part in section.parts):
        raise _nothing_scored(section.name)
    found = []
    for k, climate in enumerate(climates):
        if tell is not None:
            tell(climate, k)
        found.append((labels[k], climate.place, *score_of(run(section, climate))))
    found.sort(key=lambda one: (-one[2], -one[3]))
    scores = tuple(
        YearScore(*one, rank, rank / (len(found) + 1)) for rank, one in enumerate(found, start=1)
    )
    return SevereYear(section.name, scores, rank_nearest(len(scores)) - 1)


def _labels(climates: Sequence[Climate]) -> list[str]:
    """Names of the years; those that share one are told apart by their number in the order given."""
    names = [climate.name for climate in climates]
    return [
        name if names.count(name) == 1 else f"{name}, no. {k}"
        for k, name in enumerate(names, start=1)
    ]


def _same(one: Climate, other: Climate) -> bool:
    """Whether two records are the same weather."""
    return np.array_equal(one.temperature, other.temperature) and np.array_equal(
        one.dew_point, other.dew_point
    )


def _nothing_scored(section: str) -> AssemblyError:
    return AssemblyError(
        Fault(
            section,
            "",
            "",
            "has no sheathing inside of its water-control layer, so that no year can be scored",
            "choose an assembly with a layer of the kind sheathing",
        )
    )
