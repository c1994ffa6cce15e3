"""Where the monthly dew-point calculation and the hourly run differ, and what of the reasons is there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from moistwall.assess.condensation import LEAST_GAIN
from moistwall.assess.steady import Steady, monthly_means
from moistwall.errors import InputError
from moistwall.result import Result

Reason = Literal["sun", "night sky", "rain", "leaks", "air"]

SURFACE_SHIFT = 0.5
"""Mean difference between outermost surface and outdoor air from which sun or sky count. [K]"""

SAME_PLACE = 1e-6
"""Depths that differ by less are one. [m]"""


@dataclass(frozen=True)
class SteadyContrast:
    """The two answers side by side.

    Parameters
    ----------
    steady_places : tuple of str
        Where the monthly calculation condenses.
    steady_months : tuple of int
        Months, from 1, in which it does.
    condensing_hours : int
        Hours in which vapor turned to liquid in the run, at the place where it did so most often among
        those that both know. [h]
    condensing_place : str
        That place; empty if there is none.
    place : str
        Where, behind the outermost surface, the monthly means of humidity differ most.
    month : int
        When, from 1.
    steady_rh, hourly_rh : float
        Humidity there and then: of the monthly calculation, and mean of the run's hours. [-]
    reasons : tuple of str
        What acted on the run and is unknown to the method: 'sun', 'night sky', 'rain', 'leaks', 'air'.
    surface_warmer : float
        Yearly mean of the outermost common surface over outdoor air. [K]
    """

    steady_places: tuple[str, ...]
    steady_months: tuple[int, ...]
    condensing_hours: int
    condensing_place: str
    place: str
    month: int
    steady_rh: float
    hourly_rh: float
    reasons: tuple[Reason, ...]
    surface_warmer: float


def contrast_with_hourly(steady: Steady, result: Result) -> SteadyContrast:
    """Set the monthly calculation beside a run of the same section.

    Parameters
    ----------
    steady : Steady
        Twelve steady months.
    result : Result
        The run; of the same section and year, or the comparison says nothing.

    Returns
    -------
    SteadyContrast

    Raises
    ------
    InputError
        If the two are of different sections or years.
    """
    mine = (steady.section_name, steady.climate_name)
    theirs = (result.section_name, result.climate_name)
    if mine != theirs:
        said = [f"'{name}' in '{year}'" for name, year in (mine, theirs)]
        raise InputError(f"a monthly calculation of {said[0]} beside a run of {said[1]}")
    depths = steady.steps.depth_node
    pairs: list[tuple[int, int]] = []
    for k, place in enumerate(result.places):
        near = np.flatnonzero(np.abs(depths - place.position) < SAME_PLACE)
        if near.size:
            pairs.append((k, int(near[0] if place.side == "a" else near[-1])))
    columns = [k for k, _ in pairs]
    nodes = [node for _, node in pairs]
    names = [steady.steps.name_node[node] for node in nodes]
    hourly = np.stack([monthly_means(result.rh_place[:, k]) for k in columns], axis=1)
    monthly = (steady.vapor_node / steady.saturation_node)[:, nodes]
    apart = np.abs(hourly - monthly)
    apart[:, depths[nodes] < depths[0] + SAME_PLACE] = -1.0
    month, at = np.unravel_index(int(np.argmax(apart)), apart.shape)
    hours = (result.condensed_place[:, columns] > LEAST_GAIN).sum(axis=0)
    most = int(np.argmax(hours))
    gaining = steady.gained_node > 0.0
    warmer = float(np.mean(result.temperature_place[:, columns[0]] - result.outdoor_temperature))
    return SteadyContrast(
        steady_places=tuple(steady.planes),
        steady_months=tuple(int(m) + 1 for m in np.flatnonzero(gaining.any(axis=1))),
        condensing_hours=int(hours[most]),
        condensing_place=names[most] if hours[most] else "",
        place=names[int(at)],
        month=int(month) + 1,
        steady_rh=float(monthly[month, at]),
        hourly_rh=float(hourly[month, at]),
        reasons=_reasons(result, warmer),
        surface_warmer=warmer,
    )


def _reasons(result: Result, warmer: float) -> tuple[Reason, ...]:
    """What acted on a run that monthly means do not hold."""
    acted: list[tuple[Reason, bool]] = [
        ("sun", warmer > SURFACE_SHIFT),
        ("night sky", warmer < -SURFACE_SHIFT),
        ("rain", bool(result.rain_outer.any())),
        ("leaks", bool(result.water_arrival.any())),
        ("air", bool(result.air_flow.any())),
    ]
    return tuple(reason for reason, does in acted if does)
