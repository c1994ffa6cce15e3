"""Monthly values of an invented place, whole and with one thing changed."""

from __future__ import annotations

import numpy as np

from moistwall.climate.monthly import MonthlyNormals

TEXT = """\
place = "Heron Point (invented)"
latitude_deg = 30.25
longitude_deg = -88.1
time_zone_h = -6
elevation_ft = 10

[high]
unit = "degF"
values = [61, 64, 71, 77, 84, 89, 91, 91, 87, 79, 70, 63]
source = "invented"

[low]
unit = "degF"
values = [42, 45, 51, 58, 66, 72, 74, 74, 70, 60, 51, 45]
source = "invented"

[dew_point]
unit = "degF"
values = [41, 45, 51, 56, 65, 71, 73, 73, 68, 58, 50, 44]
source = "invented"

[sun]
unit = "kWh/(m2 day)"
values = [2.8, 3.4, 4.6, 5.6, 5.8, 6.0, 5.7, 5.5, 4.9, 4.0, 3.0, 2.7]
source = "invented"

[rain]
unit = "in"
values = [5, 5, 6, 5, 5, 6, 7, 7, 5, 4, 5, 5]
source = "invented"

[rain_days]
unit = "days"
values = [10, 9, 9, 7.4, 8.6, 12, 15.5, 14, 9, 6, 8, 9]
source = "invented"

[wind_speed]
unit = "mph"
values = [9, 9, 9, 8, 7, 6, 5, 5, 7, 7, 8, 9]
source = "invented"

[wind_direction]
unit = "compass"
values = ["N", "N", "SE", "SE", "SE", "S", "S", "NE", "NE", "E", "E", "N"]
source = "invented"
"""
"""A whole file."""


def place(**changes: object) -> MonthlyNormals:
    """Give monthly values of an invented Gulf coast place, with some fields changed."""
    season = np.cos(2.0 * np.pi * (np.arange(12) - 6.5) / 12.0)  # 1 in the warmest month
    values: dict[str, object] = {
        "name": "heron point",
        "place": "Heron Point (invented)",
        "latitude": 30.25,
        "longitude": -88.1,
        "time_zone": -6.0,
        "elevation": 3.0,
        "high": 25.0 + 8.0 * season,
        "low": 14.5 + 9.0 * season,
        "dew_point": 14.0 + 8.5 * season,
        "sun": 4.4 + 1.6 * np.roll(season, -1),
        "rain": 130.0 + 30.0 * season,
        "rain_days": 10.0 + 3.0 * season,
        "wind_speed": 3.6 - 0.6 * season,
        "wind_direction": np.full(12, 135.0),
        "sources": {"high": "invented"},
    }
    return MonthlyNormals(**(values | changes))  # type: ignore[arg-type]


def turned(normals: MonthlyNormals, **changes: object) -> MonthlyNormals:
    """Give the same place in the other hemisphere: its seasons moved by half a year."""
    moved = {
        name: np.roll(getattr(normals, name), 6)
        for name in ("high", "low", "dew_point", "sun", "rain", "rain_days", "wind_speed")
    }
    return place(**moved, latitude=-normals.latitude, **changes)
