"""The year's water by cause: what rain, leaks, vapor and air brought into a section or took out of it.

Every entry is a sum of hourly flows that the solver has booked; together they are what is stored more
at the year's end, but for round-off. What air carries through the whole of a section is part of what
crosses its two faces; `air_carried` tells it by itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import humidity_ratio_from_vapor_pressure, saturation_pressure
from moistwall.assess.drying import month_sums
from moistwall.result import Result

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Cause:
    """What one cause brought into the section.

    Parameters
    ----------
    name : str
        In words.
    kind : {'rain', 'rain leak', 'pour', 'vapor', 'gap', 'air', 'drained'}
        What it is.
    month : (12,) ndarray
        Net into the section; negative where it took out. [kg/m2]
    came, went : float
        Sums over the hours in which it brought water, and over those in which it took water away (as a
        positive number). [kg/m2]
    """

    name: str
    kind: str
    month: Array
    came: float
    went: float


@dataclass(frozen=True)
class Budget:
    """The water of a year by cause.

    Parameters
    ----------
    causes : tuple of Cause
        All that crosses the bounds of the section.
    stored : float
        What is stored more at the year's end. [kg/m2]
    missing : float
        What the causes leave unexplained of it. [kg/m2]
    """

    causes: tuple[Cause, ...]
    stored: float
    missing: float


@dataclass(frozen=True)
class AirCarried:
    """Water that air through the enclosure carries, and what of it stays for a while.

    Parameters
    ----------
    air_inward, air_outward : float
        Air that went in and out in the year. [kg/m2]
    inward, outward : float
        Water that outdoor air carried in, and room air out. [kg/m2]
    part : tuple of str
        Layers that the air meets.
    left, taken : tuple of float
        What it left in each of them, and took from it, in the sum of the hours. [kg/m2]
    """

    air_inward: float
    air_outward: float
    inward: float
    outward: float
    part: tuple[str, ...]
    left: tuple[float, ...]
    taken: tuple[float, ...]


def _cause(name: str, kind: str, hourly: Array) -> Cause:
    return Cause(
        name,
        kind,
        month_sums(hourly),
        float(np.maximum(hourly, 0.0).sum()),
        float(np.maximum(-hourly, 0.0).sum()),
    )


def budget(result: Result) -> Budget:
    """Account for the year's water by cause.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    Budget
    """
    causes = []
    if result.rain_outer.any():
        causes.append(_cause("rain on the outer face", "rain", result.rain_outer))
    waters = [arrival for arrival in result.arrivals if arrival.kind != "air"]
    for k, arrival in enumerate(waters):
        where = f"{arrival.name}, to the {arrival.face} face of {arrival.part}"
        causes.append(_cause(where, arrival.kind, result.water_arrival[:, k]))
    leaked = {arrival.special: np.zeros(result.n_hours) for arrival in result.arrivals}
    for k, arrival in enumerate(waters):
        leaked[arrival.special] = leaked[arrival.special] + result.water_arrival[:, k]
    gaps = {gap.face for gap in result.gaps}
    last = result.moisture_a.shape[1] - 1
    outer = result.moisture_b[:, 0] - result.rain_outer - leaked.get(0, 0.0)
    inner = result.moisture_a[:, last] + leaked.get(last, 0.0)
    for arrival in result.arrivals:
        s = arrival.special
        if arrival.kind != "air":
            continue
        if s in gaps or s in (0, last):
            # its exchange is booked with that of the air that is there already
            continue
        left = result.moisture_b[:, s] - result.moisture_a[:, s] - leaked[s]
        where = f"air leak, at the {arrival.face} face of {arrival.part}"
        causes.append(_cause(where, "air", left))
    causes.append(_cause("vapor through the outer face", "vapor", outer))
    for gap in result.gaps:
        brought = result.moisture_b[:, gap.face] - result.moisture_a[:, gap.face]
        brought = brought - leaked.get(gap.face, 0.0)
        causes.append(_cause(f"air of {gap.name}", "gap", brought))
    causes.append(_cause("vapor through the room's face", "vapor", -inner))
    causes.append(_cause("ran off", "drained", -result.drained_cell.sum(axis=1)))
    stored = float((result.water_cell[1] - result.water_cell[0]).sum())
    explained = sum(cause.came - cause.went for cause in causes)
    return Budget(tuple(causes), stored, stored - explained)


def air_carried(result: Result) -> AirCarried | None:
    """Tell what air through the enclosure carries.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    AirCarried or None
        None where no air goes through the section.

    Notes
    -----
    Along a short cut what the air leaves is booked by the solver. Where it passes through the whole
    section it leaves in a layer what its humidity ratio falls by between the layer's faces, taken from
    their states at the hour's end.
    """
    if not result.air_flow.any():
        return None
    inward = np.maximum(result.air_flow, 0.0)
    outward = np.maximum(-result.air_flow, 0.0)
    outdoor = humidity_ratio_from_vapor_pressure(result.outdoor_vapor)
    room = humidity_ratio_from_vapor_pressure(result.room_vapor)
    cuts = [arrival for arrival in result.arrivals if arrival.kind == "air"]
    if cuts:
        s = cuts[0].special
        parts = {cuts[0].part: result.vapor_b[:, s] - result.vapor_a[:, s]}
    else:
        parts = _left_in_layers(result, outdoor, room)
    return AirCarried(
        float(inward.sum()),
        float(outward.sum()),
        float((inward * outdoor).sum()),
        float((outward * room).sum()),
        tuple(parts),
        tuple(float(np.maximum(left, 0.0).sum()) for left in parts.values()),
        tuple(float(np.maximum(-left, 0.0).sum()) for left in parts.values()),
    )


def _left_in_layers(result: Result, outdoor: Array, room: Array) -> dict[str, Array]:
    """What the air leaves in each layer that it passes, from the humidity ratios at its faces."""
    # by layer and face; behind a film the face itself, not the surface in air before it
    ratio: dict[tuple[str, str], Array] = {}
    for k, place in sorted(enumerate(result.places), key=lambda one: not one[1].surface):
        vapor = result.rh_place[:, k] * saturation_pressure(result.temperature_place[:, k])
        face = "outer" if (place.side == "a") == place.surface else "inner"
        ratio[(place.part, face)] = humidity_ratio_from_vapor_pressure(vapor)
    names = [part.name for part in result.parts if part.kind == "layer"]
    open_gaps = [
        n
        for n, part in enumerate(result.parts)
        if part.kind == "gap" and part.material in ("drained", "vented", "ventilated")
    ]
    if open_gaps:
        inside = {part.name for part in result.parts[open_gaps[-1] + 1 :]}
        names = [name for name in names if name in inside]
    found = {}
    for n, name in enumerate(names):
        before = outdoor if n == 0 else ratio[(name, "outer")]
        after = room if n == len(names) - 1 else ratio[(name, "inner")]
        found[name] = result.air_flow * (before - after)
    return found
