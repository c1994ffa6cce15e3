"""What sets the air of a room: forms that follow the weather, as plain frozen numbers in SI.

A room of one state, or of a state for each hour, needs none of them: it stands in the section itself.
`moistwall.loads.rooms` turns a form and a year of weather into hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Seasonal:
    """A room that swings between two states, as one cosine over the year.

    Parameters
    ----------
    winter_temperature, summer_temperature : float
        [degC]
    winter_rh, summer_rh : float
        [-]
    warmest_day : float
        Days from the start of the year to the summer state. [day]
    """

    winter_temperature: float
    summer_temperature: float
    winter_rh: float
    summer_rh: float
    warmest_day: float


@dataclass(frozen=True)
class ByOutdoorMean:
    """A room of EN 15026, Annex C: temperature and humidity by the outdoor temperature of a day.

    Parameters
    ----------
    load : {'normal', 'high'}
        Moisture load of the room.
    """

    load: Literal["normal", "high"]


@dataclass(frozen=True)
class Ashrae160:
    """A room of ASHRAE 160.

    Parameters
    ----------
    kind : {'air-conditioned', 'simplified', 'intermediate'}
        Cooled without control of humidity; humidity by the outdoor temperature of a day; heated only,
        with a balance of moisture.
    temperature : float or None
        Setpoint all year; None lets the standard's own follow the weather. [degC]
    generation : float
        Moisture set free, of the intermediate kind. [kg/s]
    air_flow : float
        Outdoor air, of the intermediate kind. [m3/s]
    """

    kind: Literal["air-conditioned", "simplified", "intermediate"]
    temperature: float | None = None
    generation: float = 0.0
    air_flow: float = 1.0


RoomForm = Seasonal | ByOutdoorMean | Ashrae160

__all__ = ["Ashrae160", "ByOutdoorMean", "RoomForm", "Seasonal"]
