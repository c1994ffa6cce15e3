"""The section as columns from outside to inside: one step of the staircase for each, and its drops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.result import Part, Result
from moistwall.show.humidity import HOLDS_NOTHING

Array = NDArray[np.float64]

MOST_DROPS = 24
"""Drops of a layer inside of the rain-control layer at most: as many as can be counted at a glance."""


@dataclass(frozen=True)
class Step:
    """The air of one column at one hour: outdoors, a gap, the pores of a layer, the room.

    Parameters
    ----------
    temperature : float
        [degC]
    vapor_pressure : float or None
        None in a layer that takes in no vapor. [Pa]
    """

    temperature: float
    vapor_pressure: float | None

    @property
    def dew_point(self) -> float | None:
        """Dew point; the frost point below the triple point. [degC]"""
        if self.vapor_pressure is None:
            return None
        return float(dew_point_from_vapor_pressure(self.vapor_pressure))

    @property
    def saturation(self) -> float:
        """Vapor pressure at which this column would be saturated. [Pa]"""
        return float(saturation_pressure(self.temperature))


def columns(result: Result) -> tuple[int, ...]:
    """Parts of a section that have a column: its layers and gaps, as places in ``result.parts``."""
    return tuple(k for k, part in enumerate(result.parts) if part.kind in ("layer", "gap"))


def control_column(result: Result) -> int:
    """Column of what keeps the rain out, or of the layer that its film lies on; -1 if nothing does."""
    for k, part in enumerate(result.parts):
        if part.name == result.water_control:
            behind = [n for n, column in enumerate(columns(result)) if column >= k]
            return behind[0] if behind else len(columns(result)) - 1
    return -1


def steps(result: Result, hour: int) -> tuple[Step, ...]:
    """Steps of a staircase from outdoors to the room.

    Parameters
    ----------
    result : Result
        A computed year.
    hour : int
        Element of its hourly arrays.

    Returns
    -------
    tuple of Step
        Outdoor air, one for each of `columns`, room air. A layer's is the mean over its thickness, a
        gap's the mean of its two faces.
    """
    found = [Step(float(result.outdoor_temperature[hour]), float(result.outdoor_vapor[hour]))]
    for k in columns(result):
        own = _cells(result, k)
        temperature = result.temperature_cell[hour, own]
        vapor = result.rh_cell[hour, own] * saturation_pressure(temperature)
        weight = result.width_cell[own]
        if weight.sum() == 0.0:
            weight = np.ones(own.size)
        mean = float(np.average(temperature, weights=weight))
        empty = result.parts[k].kind == "layer" and (
            result.content_cell[:, own].max() < HOLDS_NOTHING
        )
        found.append(Step(mean, None if empty else float(np.average(vapor, weights=weight))))
    found.append(Step(float(result.room_temperature[hour]), float(result.room_vapor[hour])))
    return tuple(found)


def _cells(result: Result, part: int) -> NDArray[np.int64]:
    """Cells of a layer without its skins, or the skins on both faces of a gap."""
    if result.parts[part].kind == "gap":
        gap = [gap.name for gap in result.gaps].index(result.parts[part].name)
        inner = result.gaps[gap].inner_cell
        return np.array([inner - 1, inner])
    return np.flatnonzero((result.part_cell == part) & (result.skin_cell == 0))


def dry_content(result: Result) -> Array:
    """What each column would hold in the room's air, by its mean humidity over the year.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    (n_columns,) ndarray
        0 for a gap. [kg/m2]
    """
    rh = float(np.mean(result.room_vapor / saturation_pressure(result.room_temperature)))
    found = []
    for k in columns(result):
        part: Part = result.parts[k]
        held = 0.0
        if part.kind == "layer":
            content = np.interp(rh, result.sorption_rh, result.sorption_part[:, k])
            held = float(content) * part.thickness
        found.append(held)
    return np.array(found)


def extra_water(result: Result, hour: int) -> Array:
    """What each column holds beyond what it would hold in the room's air.

    Parameters
    ----------
    result : Result
        A computed year.
    hour : int
        Element of its hourly arrays.

    Returns
    -------
    (n_columns,) ndarray
        Negative where it is drier than that; of a gap what lies on its faces. [kg/m2]
    """
    held = []
    for k in columns(result):
        if result.parts[k].kind == "gap":
            name = result.parts[k].name
            faces = [
                n
                for n, place in enumerate(result.places)
                if place.surface and name in place.name.split(" | ")
            ]
            held.append(float(result.liquid_place[hour, faces].sum()))
        else:
            own = _cells(result, k)
            held.append(float(result.content_cell[hour, own] @ result.width_cell[own]))
    extra: Array = np.array(held) - dry_content(result)
    return extra


def drop_mass(most: float) -> float:
    """Mass that one drop stands for: 1, 2 or 5 with zeros, so that few enough are drawn.

    Parameters
    ----------
    most : float
        Largest extra water of a layer that is to be counted. [kg/m2]

    Returns
    -------
    float
        [kg/m2]
    """
    least = max(most, 1e-3) / MOST_DROPS
    power = 10.0 ** np.floor(np.log10(least))
    return float(next(n * power for n in (1, 2, 5, 10) if n * power >= least * (1 - 1e-9)))
