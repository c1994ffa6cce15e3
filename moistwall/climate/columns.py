"""The columns and comment keys of the climate table, each with the unit in its name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Column:
    """A column by its name: SI value = (number + shift) * multiplier / divisor.

    Parameters
    ----------
    name : str
        Name with its unit.
    field : str
        Field of `Climate` that it gives, or 'relative_humidity'.
    multiplier, divisor, shift : float
        From the number in the table to the unit of `Climate`.
    """

    name: str
    field: str
    multiplier: float = 1.0
    divisor: float = 1.0
    shift: float = 0.0

    def from_table(self, number: float | Array) -> float | Array:
        """Give the value in the unit of `Climate`."""
        return (number + self.shift) * self.multiplier / self.divisor

    def to_table(self, value: float) -> float:
        """Give the number in the unit of the column."""
        return value * self.divisor / self.multiplier - self.shift


BTU_PER_H_FT2 = 3.154590745
"""1 Btu/(h ft2), with the Btu of the International Table. [W/m2]"""

COLUMNS: tuple[Column, ...] = (
    # The first column of each field is the one that the writer uses.
    Column("temperature_degC", "temperature"),
    Column("temperature_degF", "temperature", divisor=1.8, shift=-32.0),
    Column("dew_point_degC", "dew_point"),
    Column("dew_point_degF", "dew_point", divisor=1.8, shift=-32.0),
    Column("relative_humidity_percent", "relative_humidity", divisor=100.0),
    Column("pressure_Pa", "pressure"),
    Column("pressure_hPa", "pressure", multiplier=100.0),
    Column("pressure_kPa", "pressure", multiplier=1000.0),
    Column("pressure_inHg", "pressure", multiplier=3386.389),
    Column("pressure_psi", "pressure", multiplier=6894.757293),
    Column("wind_speed_m_s", "wind_speed"),
    Column("wind_speed_km_h", "wind_speed", divisor=3.6),
    Column("wind_speed_mph", "wind_speed", multiplier=0.44704),
    Column("wind_speed_kn", "wind_speed", multiplier=1852.0, divisor=3600.0),
    Column("wind_direction_deg", "wind_direction"),
    Column("sun_global_W_m2", "sun_global"),
    Column("sun_global_Btu_h_ft2", "sun_global", multiplier=BTU_PER_H_FT2),
    Column("sun_direct_W_m2", "sun_direct"),
    Column("sun_direct_Btu_h_ft2", "sun_direct", multiplier=BTU_PER_H_FT2),
    Column("sun_diffuse_W_m2", "sun_diffuse"),
    Column("sun_diffuse_Btu_h_ft2", "sun_diffuse", multiplier=BTU_PER_H_FT2),
    Column("opaque_sky_cover_tenths", "cloud", divisor=10.0),
    Column("opaque_sky_cover_percent", "cloud", divisor=100.0),
    Column("rain_mm", "rain"),
    Column("rain_in", "rain", multiplier=25.4),
)
"""The columns of a climate table, besides the stamp."""

STAMP = ("month", "day", "hour")
"""The columns that name the hour. A column 'year' may stand beside them and is not read."""

SITE_KEYS: tuple[Column, ...] = (
    Column("latitude_deg", "latitude"),
    Column("longitude_deg", "longitude"),
    Column("time_zone_h", "time_zone"),
    Column("elevation_m", "elevation"),
    Column("elevation_ft", "elevation", multiplier=0.3048),
)
"""The numbers among the comment lines at the top."""

TEXT_KEYS = ("name", "place", "source", "note")
"""The texts among the comment lines at the top; 'name' may be left out, 'note' may repeat."""
