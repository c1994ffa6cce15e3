"""Hours of wetness at every side of every interface, beside the same of sheltered outdoor air.

Values are those at the hour's end. Humidity counts carry the bracket that an error of 0.3 % RH would
give, contact hours the bracket of 1 K, since both may sit on a cliff.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.result import Result

Array = NDArray[np.float64]
Truth = NDArray[np.bool_]

RISK_MARGIN = 1.0
"""A place less than this above its own dew point is at risk of condensation. [K]"""

RH_ERROR = 0.003
"""Error of relative humidity that the brackets of the counts stand for. [-]"""

CONTACT_ERROR = 1.0
"""Error of temperature that the brackets of the contact hours stand for. [K]"""

LEAST_LIQUID = 1e-4
"""Liquid that counts as present: 0.1 g/m2, a tenth of a micrometer of water, below which nothing is
seen or felt and the numbers are within the solver's tolerance. [kg/m2]"""

LEAST_GAIN = 1e-5
"""Liquid gained from vapor in an hour that counts as condensing: 0.01 g/m2. [kg/m2]"""

ROUND_OFF = 1e-12
"""A humidity this close to a limit stands at it: round-off must not decide. [-]"""

ROUND_OFF_TEMPERATURE = 1e-9
"""A place this close to a dew point stands at it, and is not colder. [K]"""

Range = tuple[int, int]


@dataclass(frozen=True)
class WetHours:
    """How many hours of the year a place is wet, by each criterion.

    Parameters
    ----------
    name, side, part : str
        Interface, its side ('a' outer, 'b' inner), and the layer that the side belongs to.
    surface, outboard : bool
        Surface in air; outside of the water-control layer.
    condensation_risk_hours : int
        Hours less than 1 K above the local dew point. [h]
    condensing_hours, liquid_hours : int or None
        Hours in which liquid was gained from vapor; in which liquid was present. None for air. [h]
    hours_rh_80, hours_rh_90, hours_rh_95 : int
        Hours at or above that relative humidity. [h]
    hours_rh_80_range, hours_rh_90_range, hours_rh_95_range : tuple of int
        The same if the humidity were 0.3 % lower and higher. [h]
    longest_wet_hours : int
        Longest stretch at or above 80 %, the year's end joined to its start. [h]
    contact_hours_outdoor_air, contact_hours_room_air : int or None
        Hours colder than the dew point of the air that an inward or outward leak would bring. None
        for air. [h]
    contact_hours_outdoor_air_range, contact_hours_room_air_range : tuple of int or None
        The same if the place were 1 K warmer and 1 K colder. [h]
    temperature_mean : float
        [degC]
    rh_mean : float
        [-]
    """

    name: str
    side: str
    part: str
    surface: bool
    outboard: bool
    condensation_risk_hours: int
    condensing_hours: int | None
    liquid_hours: int | None
    hours_rh_80: int
    hours_rh_90: int
    hours_rh_95: int
    hours_rh_80_range: Range
    hours_rh_90_range: Range
    hours_rh_95_range: Range
    longest_wet_hours: int
    contact_hours_outdoor_air: int | None
    contact_hours_room_air: int | None
    contact_hours_outdoor_air_range: Range | None
    contact_hours_room_air_range: Range | None
    temperature_mean: float
    rh_mean: float


def longest_stretch(wet: Truth) -> int:
    """Length of the longest run of true hours, the last hour joined to the first.

    Parameters
    ----------
    wet : (n_hours,) ndarray of bool
        Whether each hour counts.

    Returns
    -------
    int
        At most n_hours. [h]
    """
    if wet.all():
        return int(wet.size)
    if not wet.any():
        return 0
    start = int(np.flatnonzero(~wet)[0])  # begin at a dry hour, so that no run is cut
    edges = np.diff(np.concatenate(([0], np.roll(wet, -start).astype(np.int8), [0])))
    return int((np.flatnonzero(edges == -1) - np.flatnonzero(edges == 1)).max())


def _at_least(rh: Array, limit: float) -> tuple[int, Range]:
    """Hours at or above a humidity, and the bracket of its error."""
    counts = [int((rh >= limit + shift - ROUND_OFF).sum()) for shift in (0.0, RH_ERROR, -RH_ERROR)]
    return counts[0], (counts[1], counts[2])


def _colder(temperature: Array, dew_point: Array) -> tuple[int, Range]:
    """Hours colder than a dew point, and the bracket of 1 K."""
    counts = [
        int((temperature + shift < dew_point - ROUND_OFF_TEMPERATURE).sum())
        for shift in (0.0, CONTACT_ERROR, -CONTACT_ERROR)
    ]
    return counts[0], (counts[1], counts[2])


class _ByHumidity(TypedDict):
    """The fields of `WetHours` that air has too."""

    condensation_risk_hours: int
    hours_rh_80: int
    hours_rh_90: int
    hours_rh_95: int
    hours_rh_80_range: Range
    hours_rh_90_range: Range
    hours_rh_95_range: Range
    longest_wet_hours: int
    temperature_mean: float
    rh_mean: float


def _by_humidity(temperature: Array, rh: Array) -> _ByHumidity:
    """The criteria that need nothing but temperature and humidity of the place itself."""
    # less than 1 K above its dew point: saturated if it were 1 K colder. A dew point proper would
    # need a lowest vapor pressure, which a hot dry place may not have.
    colder = saturation_pressure(temperature - RISK_MARGIN) / saturation_pressure(temperature)
    risk = rh > colder + ROUND_OFF
    hours_80, range_80 = _at_least(rh, 0.80)
    hours_90, range_90 = _at_least(rh, 0.90)
    hours_95, range_95 = _at_least(rh, 0.95)
    return _ByHumidity(
        condensation_risk_hours=int(risk.sum()),
        hours_rh_80=hours_80,
        hours_rh_90=hours_90,
        hours_rh_95=hours_95,
        hours_rh_80_range=range_80,
        hours_rh_90_range=range_90,
        hours_rh_95_range=range_95,
        longest_wet_hours=longest_stretch(rh >= 0.80 - ROUND_OFF),
        temperature_mean=float(temperature.mean()),
        rh_mean=float(rh.mean()),
    )


def wet_hours(result: Result) -> tuple[WetHours, ...]:
    """Hours of wetness of every place of a result.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    tuple of WetHours
        One for each of ``result.places``, in their order.
    """
    outdoor = dew_point_from_vapor_pressure(result.outdoor_vapor)
    room = dew_point_from_vapor_pressure(result.room_vapor)
    rows = []
    for k, place in enumerate(result.places):
        temperature = result.temperature_place[:, k]
        contact_outdoor, outdoor_range = _colder(temperature, outdoor)
        contact_room, room_range = _colder(temperature, room)
        rows.append(
            WetHours(
                name=place.name,
                side=place.side,
                part=place.part,
                surface=place.surface,
                outboard=place.outboard,
                condensing_hours=int((result.condensed_place[:, k] > LEAST_GAIN).sum()),
                liquid_hours=int((result.liquid_place[:, k] > LEAST_LIQUID).sum()),
                contact_hours_outdoor_air=contact_outdoor,
                contact_hours_outdoor_air_range=outdoor_range,
                contact_hours_room_air=contact_room,
                contact_hours_room_air_range=room_range,
                **_by_humidity(temperature, result.rh_place[:, k]),
            )
        )
    return tuple(rows)


def sheltered_outdoor_air(result: Result) -> WetHours:
    """The same criteria for outdoor air itself, out of sun, sky and rain: what no wall can help.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    WetHours
        Liquid and contact hours are None: they have no meaning for air.
    """
    temperature = result.outdoor_temperature
    rh = result.outdoor_vapor / saturation_pressure(temperature)
    return WetHours(
        name="sheltered outdoor air",
        side="",
        part="",
        surface=False,
        outboard=True,
        condensing_hours=None,
        liquid_hours=None,
        contact_hours_outdoor_air=None,
        contact_hours_outdoor_air_range=None,
        contact_hours_room_air=None,
        contact_hours_room_air_range=None,
        **_by_humidity(temperature, rh),
    )
