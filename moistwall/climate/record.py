"""The hourly record: one year of weather as arrays, checked when built."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.climate.hours import HOURS
from moistwall.climate.limits import HOURLY, SITE, Gathered, check_hourly, check_site

Array = NDArray[np.float64]
__all__ = ["HOURS", "Climate"]


@dataclass(frozen=True, repr=False)
class Climate:
    """One year of weather, hour by hour, in local standard time.

    Element k of every array belongs to hour k + 1 of the year. Sun and rain are what came in the
    60 minutes *before* its end (k, k + 1]; the other values are readings *at* its end. The sun's
    position for element k is therefore taken at k + 0.5 h.

    Parameters
    ----------
    name, place, source : str
        Short name, place in words, where the data come from.
    latitude, longitude : float
        North and east positive. [deg]
    time_zone : float
        Hours ahead of universal time (negative in America). [h]
    elevation : float
        Height above the sea. [m]
    temperature, dew_point : (8760,) ndarray
        Air temperature and dew point. [degC]
    pressure : (8760,) ndarray
        Station pressure. [Pa]
    wind_speed, wind_direction : (8760,) ndarray
        Wind at 10 m [m/s] and where it comes from, clockwise from north [deg].
    sun_global, sun_direct, sun_diffuse : (8760,) ndarray
        Mean irradiance of the hour: global and diffuse on the horizontal, direct on a plane
        facing the sun. [W/m2]
    cloud : (8760,) ndarray
        Opaque sky cover, 0 to 1. [-]
    rain : (8760,) ndarray or None
        Rain depth of the hour; None where no rain is known. [mm]
    notes : tuple of str
        What was filled, scaled or assumed, in words.

    Raises
    ------
    ClimateError
        If a value cannot be right; carries every fault found.

    Notes
    -----
    The arrays are copied and made read-only.
    """

    name: str
    place: str
    source: str
    latitude: float
    longitude: float
    time_zone: float
    elevation: float
    temperature: Array
    dew_point: Array
    pressure: Array
    wind_speed: Array
    wind_direction: Array
    sun_global: Array
    sun_direct: Array
    sun_diffuse: Array
    cloud: Array
    rain: Array | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        found = Gathered(f"climate '{self.name}'")
        for text in (self.name, self.place, self.source, *self.notes):
            if not text.isprintable() or text != text.strip():
                found.add("text", repr(text), "must be one line without blanks at its ends")
        series = {}
        for name in HOURLY:
            if name == "rain" and self.rain is None:
                continue
            array = np.array(getattr(self, name), dtype=np.float64)
            array.setflags(write=False)
            object.__setattr__(self, name, array)
            series[name] = array
        check_hourly(found, series)
        check_site(found, {name: getattr(self, name) for name in SITE})
        found.refuse()

    def __repr__(self) -> str:
        rain = "no rain known" if self.rain is None else f"{float(self.rain.sum()):.0f} mm of rain"
        mean = float(self.temperature.mean())
        return f"<Climate of {self.place!r}: {mean:.1f} degC on average, {rain}>"

    @property
    def vapor_pressure(self) -> Array:
        """Vapor pressure of the air at each hour's end, as a (8760,) ndarray of Pa.

        Below the triple point the dew point is taken as a frost point.
        """
        return saturation_pressure(self.dew_point)

    @property
    def relative_humidity(self) -> Array:
        """Relative humidity of the air at each hour's end, 0 to 1, as a (8760,) ndarray.

        Below the triple point it is the humidity over ice.
        """
        return self.vapor_pressure / saturation_pressure(self.temperature)
