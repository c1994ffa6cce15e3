"""What drives the worst finding, by the water that its layer takes in; and the first remedy that numbers support.

The months of the finding's season are summed in the layer's own account of water. Vapor that comes from the
side on which water or air leaks in, inside of the water-control layer, is put down to that leak. A remedy is
named only if the same numbers show what it would take away; else there is none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.layer_budget import CAUSES, layer_budgets
from moistwall.assess.verdict import Finding
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.result import Result

Array = NDArray[np.float64]

DriverKind = Literal[
    "water leak", "air leak", "rain", "liquid", "vapor from outside", "vapor from the room"
]
RemedyKind = Literal["stop the water", "seal the air", "let it dry to the room"]

LEAST_AMOUNT = 1e-3
"""Water taken in over a season below which nothing drives anything: a gram per square meter. [kg/m2]"""

DECISIVE = 0.5
"""Share of the inflow, or of the drop in vapor pressure, from which something is called the cause. [-]"""


@dataclass(frozen=True)
class Driver:
    """The cause that brings most water to a layer.

    Parameters
    ----------
    kind : str
        One of `DriverKind`.
    part : str
        The layer.
    amount, share : float
        What it brings in the months of the season [kg/m2], and its share of all that comes in then [-].
    names : tuple of str
        What leaks, if it is a leak of water.
    """

    kind: DriverKind
    part: str
    amount: float
    share: float
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Remedy:
    """What the numbers support doing first.

    Parameters
    ----------
    kind : str
        One of `RemedyKind`.
    what : str
        The leak or the film that it is about.
    share : float
        Share of the inflow that the leak brings, or of the drop in vapor pressure that the film takes. [-]
    """

    kind: RemedyKind
    what: str
    share: float


def season_months(season: tuple[int, int] | None) -> NDArray[np.bool_]:
    """Months of a season.

    Parameters
    ----------
    season : (int, int) or None
        First and last month, from 1; None for the whole year.

    Returns
    -------
    (12,) ndarray of bool
    """
    if season is None:
        return np.ones(12, dtype=bool)
    first, last = season
    months = np.arange(1, 13)
    inside = (months >= first) & (months <= last)
    return inside if first <= last else (months >= first) | (months <= last)


def layer_of(result: Result, finding: Finding) -> str:
    """Layer whose account of water tells of a finding.

    Parameters
    ----------
    result : Result
        A computed year.
    finding : Finding
        What was found.

    Returns
    -------
    str
        Of two layers that meet there, the one on which mold would grow; empty if there is none.
    """
    layers = {part.name for part in result.parts if part.kind == "layer"}
    if finding.at.place is not None:
        likely = result.places[finding.at.place].mold_of
        if likely in layers:
            return likely
    return finding.at.part


def driver_of(result: Result, finding: Finding) -> Driver | None:
    """Find what brings most water to the layer of a finding, in its season.

    Parameters
    ----------
    result : Result
        A computed year.
    finding : Finding
        What was found.

    Returns
    -------
    Driver or None
        None if the finding has no layer, or nothing worth the name comes in.
    """
    accounts = layer_budgets(result)
    names = [account.part for account in accounts]
    part = layer_of(result, finding)
    if part not in names:
        return None
    inside = season_months(finding.season)
    at = names.index(part)
    sums = [account.month[inside].sum(axis=0) for account in accounts]
    own = dict(zip(CAUSES, (float(value) for value in sums[at]), strict=True))
    brought = {cause: max(value, 0.0) for cause, value in own.items() if cause != "drained"}
    total = sum(brought.values())
    cause = max(brought, key=lambda one: brought[one])
    amount = brought[cause]
    if amount < LEAST_AMOUNT:
        return None
    kinds: dict[str, DriverKind] = {
        "vapor_outer": "vapor from outside",
        "vapor_inner": "vapor from the room",
        "liquid_outer": "rain" if at == 0 else "liquid",
        "liquid_inner": "liquid",
        "leaks": "water leak",
        "air": "air leak",
    }
    kind = kinds[cause]
    reached = [at]
    if cause in ("vapor_outer", "liquid_outer", "vapor_inner", "liquid_inner"):
        # what leaked to the layers on that side, as far as the water-control layer, came from the leak
        side = range(at) if cause.endswith("outer") else range(at + 1, len(accounts))
        reached = [n for n in side if not _outboard(result, names[n])]
        for leak, column in (("water leak", "leaks"), ("air leak", "air")):
            there = sum(max(float(sums[n][CAUSES.index(column)]), 0.0) for n in reached)
            if there >= DECISIVE * amount:
                kind = "water leak" if leak == "water leak" else "air leak"
                break
        else:
            reached = [at]
    leaking: tuple[str, ...] = ()
    if kind == "water leak":
        leaking = _leaks_to(result, {names[n] for n in reached}, inside)
    return Driver(kind, part, amount, amount / total, leaking)


def _outboard(result: Result, part: str) -> bool:
    names = [one.name for one in result.parts]
    return bool(result.water_control) and names.index(part) < names.index(result.water_control)


def _leaks_to(result: Result, parts: set[str], months: NDArray[np.bool_]) -> tuple[str, ...]:
    """Names of the leaks of water to some layers, the one that brings most first."""
    hours = months[MONTH_OF_HOUR - 1]
    waters = [arrival for arrival in result.arrivals if arrival.kind != "air"]
    sums = {
        arrival.name: float(result.water_arrival[hours, n].sum())
        for n, arrival in enumerate(waters)
        if arrival.part in parts
    }
    return tuple(
        sorted((name for name, value in sums.items() if value > 0.0), key=lambda one: -sums[one])
    )


def remedy_of(result: Result, finding: Finding, driver: Driver | None) -> Remedy | None:
    """Find the first thing to do that the numbers of the run support.

    Parameters
    ----------
    result : Result
        A computed year.
    finding : Finding
        What was found.
    driver : Driver or None
        Its cause.

    Returns
    -------
    Remedy or None
        None where they support nothing.
    """
    if driver is None:
        return None
    if driver.kind == "water leak" and driver.names and driver.share >= DECISIVE:
        return Remedy("stop the water", driver.names[0], driver.share)
    if driver.kind == "air leak" and driver.share >= DECISIVE:
        return Remedy("seal the air", driver.part, driver.share)
    if driver.kind == "vapor from outside" and finding.at.place is not None:
        film, share = tightest_film_to_room(result, finding.at.place, finding.season)
        if share >= DECISIVE:
            return Remedy("let it dry to the room", film, share)
    return None


def tightest_film_to_room(
    result: Result, place: int, season: tuple[int, int] | None
) -> tuple[str, float]:
    """Film between a place and the room that takes most of the drop in vapor pressure.

    Parameters
    ----------
    result : Result
        A computed year.
    place : int
        Place in ``result.places``.
    season : (int, int) or None
        Months to look at.

    Returns
    -------
    name : str
        Of the film; empty if none takes any.
    share : float
        Its share of the mean drop from the place to room air; 0 where vapor does not go to the room. [-]
    """
    hours = season_months(season)[MONTH_OF_HOUR - 1]
    vapor = (result.rh_place * saturation_pressure(result.temperature_place))[hours].mean(axis=0)
    whole = float(vapor[place] - result.room_vapor[hours].mean())
    if whole <= 0.0:
        return "", 0.0
    films = {part.name for part in result.parts if part.kind in ("film", "facer")}
    best, most = "", 0.0
    for k in range(place, len(result.places) - 1):
        outer, inner = result.places[k], result.places[k + 1]
        between = [name for name in outer.name.split(" | ") if name in films]
        if outer.name != inner.name or (outer.side, inner.side) != ("a", "b") or not between:
            continue
        share = float(vapor[k] - vapor[k + 1]) / whole
        if share > most:
            best, most = between[0], share
    return best, most
