"""What a year of weather may hold: the limits of each value, and the mistakes gathered from it.

The limits are wider than the records of the Earth's weather and narrower than a wrong unit: a
pressure in hPa, a temperature in degF or sun in kJ/m2 does not pass.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.hours import HOURS, hour_name
from moistwall.errors import ClimateError, Fault

Array = NDArray[np.float64]

SHOWN = 3
"""Hours named for each kind of mistake in a column; the others are counted."""


@dataclass(frozen=True)
class Limit:
    """Lowest and highest value that can be right, with the unit it is given in."""

    lowest: float
    highest: float
    unit: str


HOURLY: dict[str, Limit] = {
    "temperature": Limit(-60.0, 60.0, "degC"),
    "dew_point": Limit(-60.0, 60.0, "degC"),
    "pressure": Limit(50_000.0, 110_000.0, "Pa"),
    "wind_speed": Limit(0.0, 100.0, "m/s"),
    "wind_direction": Limit(0.0, 360.0, "deg"),
    "sun_global": Limit(0.0, 1500.0, "W/m2"),
    "sun_direct": Limit(0.0, 1500.0, "W/m2"),
    "sun_diffuse": Limit(0.0, 1500.0, "W/m2"),
    "cloud": Limit(0.0, 1.0, "of the sky"),
    "rain": Limit(0.0, 500.0, "mm"),
}
"""Limits of the hourly values of a `Climate`. Elevations up to 5 km reach 50 kPa."""

SITE: dict[str, Limit] = {
    "latitude": Limit(-90.0, 90.0, "deg"),
    "longitude": Limit(-180.0, 180.0, "deg"),
    "time_zone": Limit(-12.0, 14.0, "h"),
    "elevation": Limit(-500.0, 5500.0, "m"),
}
"""Limits of where a `Climate` was measured."""

LARGEST_CLOCK_ERROR = 50.0
"""Largest distance of a place from the meridian of its time zone. The widest zone of the world
reaches 47 degrees; a longitude with the wrong sign is mostly further off. [deg]"""


class Gathered:
    """Mistakes of one file, gathered so that all of them are reported together.

    Of each kind of mistake the first few are kept whole, the others are counted.

    Parameters
    ----------
    file : str
        Name of the file, or of what is being checked.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self._kinds: dict[tuple[str, str], list[Fault]] = {}
        self._counts: dict[tuple[str, str], int] = {}

    def add(
        self, field: str, value: str, problem: str, remedy: str = "", *, place: str = ""
    ) -> None:
        """Keep a mistake.

        Parameters
        ----------
        field : str
            Name of the field or column.
        value, problem, remedy : str
            As in `Fault`.
        place : str
            Hour or line in the field, if it has many.
        """
        kind = (field, problem)
        self._counts[kind] = self._counts.get(kind, 0) + 1
        kept = self._kinds.setdefault(kind, [])
        if len(kept) < SHOWN:
            where = ", ".join(part for part in (field, place) if part)
            kept.append(Fault(self.file, where, value, problem, remedy))

    @property
    def count(self) -> int:
        """Number of mistakes found, those not kept included."""
        return sum(self._counts.values())

    def names(self, field: str) -> bool:
        """Return True if a mistake of this field or column was found."""
        return any(kind[0] == field for kind in self._counts)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Everything found, kind by kind, each with a line that counts what was not kept."""
        found: list[Fault] = []
        for kind, kept in self._kinds.items():
            found.extend(kept)
            more = self._counts[kind] - len(kept)
            if more:
                found.append(Fault(self.file, kind[0], "", f"{kind[1]}: {more} more like this"))
        return tuple(found)

    def refuse(self) -> None:
        """Raise a `ClimateError` with everything found, if anything was."""
        if self._kinds:
            raise ClimateError(self.faults)


def check_hourly(
    found: Gathered,
    values: Mapping[str, Array],
    labels: Mapping[str, str] | None = None,
    *,
    blanks: bool = False,
) -> None:
    """Gather what cannot be right in hourly values.

    Parameters
    ----------
    found : Gathered
        Takes the mistakes.
    values : mapping of str to (8760,) ndarray
        Hourly values by the names and in the units of `Climate`.
    labels : mapping of str to str, optional
        What the file calls them.
    blanks : bool
        True if NaN stands for a value that the file does not give; otherwise NaN is a mistake.
    """
    labels = labels or {}
    for name, series in values.items():
        label, limit = labels.get(name, name), HOURLY[name]
        if series.shape != (HOURS,):
            found.add(label, str(series.shape), f"must hold one value for each of {HOURS} hours")
            continue
        wrong = ~((series >= limit.lowest) & (series <= limit.highest))
        if blanks:
            wrong &= ~np.isnan(series)
        for k in np.flatnonzero(wrong):
            found.add(
                label,
                f"{series[k]:g} {limit.unit}",
                f"must lie from {limit.lowest:g} to {limit.highest:g} {limit.unit}",
                "correct the value or the unit of the column",
                place=hour_name(int(k)),
            )
    dew_point, temperature = values.get("dew_point"), values.get("temperature")
    if dew_point is None or temperature is None or dew_point.shape != temperature.shape:
        return
    for k in np.flatnonzero(dew_point > temperature):
        found.add(
            labels.get("dew_point", "dew_point"),
            f"{dew_point[k]:.6g} degC in air of {temperature[k]:.6g} degC",
            "dew point above the air temperature",
            "correct one of the two; a dew point is at most the air temperature",
            place=hour_name(int(k)),
        )


def check_site(
    found: Gathered, site: Mapping[str, float], labels: Mapping[str, str] | None = None
) -> None:
    """Gather what cannot be right in latitude, longitude, time zone and elevation.

    Parameters
    ----------
    found : Gathered
        Takes the mistakes.
    site : mapping of str to float
        Values by the names and in the units of `Climate`; those missing are not checked.
    labels : mapping of str to str, optional
        What the file calls them.
    """
    labels = labels or {}
    for name, value in site.items():
        limit = SITE[name]
        if not limit.lowest <= value <= limit.highest:
            found.add(
                labels.get(name, name),
                f"{value:g} {limit.unit}",
                f"must lie from {limit.lowest:g} to {limit.highest:g} {limit.unit}",
                "correct the value or its unit",
            )
    if "longitude" in site and "time_zone" in site:
        clock_error = abs((site["longitude"] - 15.0 * site["time_zone"] + 180.0) % 360.0 - 180.0)
        if clock_error > LARGEST_CLOCK_ERROR:
            found.add(
                labels.get("longitude", "longitude"),
                f"{site['longitude']:g} deg with a clock {site['time_zone']:g} h from universal",
                f"lies {clock_error:.0f} deg from the meridian of its time zone",
                "east is positive: both are negative in America",
            )
