"""A zone of air at one end of a section whose state is balanced, not prescribed.

A room with its people and machines, a sealed attic between ceiling and roof, a crawl space under a
floor. Plain frozen numbers in SI; a source stands beside each value where it is set.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
ZoneKind = Literal["room", "attic", "crawl space"]
Fan = Literal["auto", "on"]


@dataclass(frozen=True)
class AirConditioner:
    """A cooling coil with its fan and thermostat.

    Parameters
    ----------
    setpoint : float
        Temperature that it keeps. [degC]
    capacity : float
        Heat that it takes from the air at rating, sensible and latent: 26.7 degC and 19.4 degC wet bulb
        into the coil, 35 degC outdoors. [W]
    sensible_share : float
        Share of it that is sensible at rating. [-]
    air_flow : float
        Dry air through the coil at full speed. [kg/s]
    fan : {'auto', 'on'}
        Whether the fan rests while the compressor does.
    fan_power : float
        At full speed; warms the air. [W]
    lowest_speed : float
        Least speed of the compressor over its full one; 1 for a single speed. [-]
    wet_time : float
        Time of full running at rating until the first water drips off a dry coil. [s]
    drying_time : float
        Time in which the fan alone dries that coil at rating. [s]
    start_time : float
        Time constant of the capacity at a start. [s]
    cycles : float
        Starts an hour at half load, the most there are. [1/h]
    fan_delay : float
        Time that a fan on 'auto' runs on after the compressor stops. [s]
    """

    setpoint: float
    capacity: float
    sensible_share: float
    air_flow: float
    fan: Fan
    fan_power: float
    lowest_speed: float = 1.0
    wet_time: float = 1000.0
    drying_time: float = 4000.0 / 3.0
    start_time: float = 45.0
    cycles: float = 3.0
    fan_delay: float = 0.0


@dataclass(frozen=True)
class Dehumidifier:
    """A machine that takes water out of the air and warms it by what it draws.

    Parameters
    ----------
    setpoint : float
        Relative humidity that it keeps. [-]
    capacity : float
        Water that it takes at rating, 26.7 degC and 60 %. [kg/s]
    power : float
        What it draws then. [W]
    """

    setpoint: float
    capacity: float
    power: float


@dataclass(frozen=True)
class Ventilation:
    """Outdoor air that a fan brings in, as much as it takes out.

    Parameters
    ----------
    flow : (8760,) ndarray
        Mean of each hour. [m3/s]
    sensible, latent : float
        Effectiveness of the exchange of heat and of vapor between the two streams. [-]
    """

    flow: Array
    sensible: float = 0.0
    latent: float = 0.0


@dataclass(frozen=True)
class Window:
    """Glass that the sun shines through.

    Parameters
    ----------
    area : float
        [m2]
    azimuth : float
        Where it looks to, clockwise from north. [deg]
    sun_share : float
        Share of the sun on it that ends as heat in the zone. [-]
    """

    area: float
    azimuth: float
    sun_share: float


@dataclass(frozen=True)
class Supply:
    """Cooled air of the room's air conditioner that is let into the zone, and goes back to the room.

    Parameters
    ----------
    flow : float
        While the machine runs. [m3/s]
    temperature, rh : float
        State in which it arrives. [degC], [-]
    """

    flow: float
    temperature: float
    rh: float


@dataclass(frozen=True)
class Ground:
    """Soil that the zone borders on.

    Parameters
    ----------
    depth : float
        Depth whose temperature is that of undisturbed soil. [m]
    conductance : float
        From the zone's air to there. [W/K]
    vapor_conductance : float
        From the zone's air to the pores of the soil. [kg/(s Pa)]
    rh : float
        Humidity of those pores, at the temperature of the depth. [-]
    """

    depth: float
    conductance: float
    vapor_conductance: float
    rh: float = 1.0


@dataclass(frozen=True)
class ColdObject:
    """Something colder than the zone's air: dew forms on it once the air's dew point is above it.

    Parameters
    ----------
    name : str
        What it is.
    temperature : float or None
        Of its surface; None for water from the ground. [degC]
    """

    name: str
    temperature: float | None


@dataclass(frozen=True)
class Ridge:
    """The air below the ridge of an attic, where what its roof gives off gathers.

    Water that the roof gives off makes air lighter: it rises along the slope and stays there, as what is damp
    above what is dry mixes slowly.

    Parameters
    ----------
    area : float
        Roof along the ridge that borders on it. [m2]
    volume : float
        [m3]
    contents : float
        Heat capacity of what is as warm as it. [J/K]
    exchange : float
        Air exchanged with the attic below it when nothing rises. [m3/s]
    excess : float
        Most by which the air that rises is damper than the attic's, as humidity ratio; where that asks for more
        air than ``exchange``, as much rises and returns. [-]
    conductance : float
        Heat to the attic below it, beside that of this air. [W/K]
    rising : float
        Share of the water that the roof of the attic gives off that rises to it. [-]
    diffusion_vent : float
        From its air to outdoor air, by diffusion alone. [kg/(s Pa)]
    """

    area: float
    volume: float
    contents: float
    exchange: float
    excess: float
    conductance: float
    rising: float
    diffusion_vent: float = 0.0


@dataclass(frozen=True)
class Zone:
    """A body of well-mixed air, and all that it exchanges but with the section.

    Parameters
    ----------
    kind : {'room', 'attic', 'crawl space'}
        A room or an attic lies at the section's inner end, a crawl space at its outer one.
    area : float
        Area of enclosure that is built like the section. [m2]
    volume : float
        [m3]
    contents : float
        Heat capacity of what stands in it and is as warm as its air. [J/K]
    moisture_contents : float
        Water that the same takes up from dry to saturated air, in proportion to humidity. [kg]
    outdoor_air : float
        Outdoor air that leaks in, beside what follows from the section's leakage. [m3/s]
    enclosure_area : float
        Area of the enclosure that the leakage of the exposure refers to; 0 leaves it out. [m2]
    ventilation : Ventilation or None
    heat, moisture : (8760,) ndarray
        Set free by people, things and processes, mean of each hour. [W], [kg/s]
    windows : tuple of Window
    conductance_outdoors, conductance_room : float
        Through what else separates it from outdoor air, and from the room beside it. [W/K]
    room_air : float or (8760,) ndarray
        Air exchanged with the room beside it. [m3/s]
    supply : Supply or None
    ducts : float
        From its air to the air in cold ducts, while the machine runs. [W/K]
    supply_temperature : float
        Of the air in those ducts. [degC]
    running_full, running_none : float
        Outdoor temperatures at which the room's machine runs for `most_running` of the hour and not at
        all, for supply and ducts; in between in proportion. [degC]
    most_running : float
        [-]
    diffusion_vent : float
        From its air to outdoor air, by diffusion alone. [kg/(s Pa)]
    ridge : Ridge or None
        Air below an attic's ridge that is told apart, in a run of its own.
    ground : Ground or None
    cooling : AirConditioner or None
    heating_setpoint : float or None
        None where nothing heats. [degC]
    heating_capacity : float
        [W]
    dehumidifier : Dehumidifier or None
    cold_objects : tuple of ColdObject
        Whose hours of dew are told.
    film, vapor_film : float
        Of the section's outer face where the zone lies there: convection and radiation together
        [W/(m2 K)], vapor [kg/(m2 s Pa)].
    """

    kind: ZoneKind
    area: float
    volume: float
    contents: float
    heat: Array
    moisture: Array
    moisture_contents: float = 0.0
    outdoor_air: float = 0.0
    enclosure_area: float = 0.0
    ventilation: Ventilation | None = None
    windows: tuple[Window, ...] = ()
    conductance_outdoors: float = 0.0
    conductance_room: float = 0.0
    room_air: float | Array = 0.0
    supply: Supply | None = None
    ducts: float = 0.0
    supply_temperature: float = 12.8
    running_full: float = 35.0
    running_none: float = 18.3
    most_running: float = 0.8
    diffusion_vent: float = 0.0
    ridge: Ridge | None = None
    ground: Ground | None = None
    cooling: AirConditioner | None = None
    heating_setpoint: float | None = None
    heating_capacity: float = np.inf
    dehumidifier: Dehumidifier | None = None
    cold_objects: tuple[ColdObject, ...] = ()
    film: float = 10.0
    vapor_film: float = 2.0e-8


__all__ = [
    "AirConditioner",
    "ColdObject",
    "Dehumidifier",
    "Fan",
    "Ground",
    "Ridge",
    "Supply",
    "Ventilation",
    "Window",
    "Zone",
    "ZoneKind",
]
