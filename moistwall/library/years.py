"""Years of weather by name, and the monthly normals nearest to a place."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path

from moistwall.climate.monthly import MonthlyNormals, read_monthly
from moistwall.climate.rain import RainRule
from moistwall.climate.read import read_climate
from moistwall.climate.record import Climate
from moistwall.errors import ClimateError, Fault
from moistwall.library.shipped import GIVE_PATH, Signature, data_folder, signed
from moistwall.names import did_you_mean, plain_name

CLIMATE_SUFFIXES = (".csv", ".tm2", ".tmy2", ".tmy3", ".epw", ".toml")
"""Endings of files that are offered as climates."""

EARTH_RADIUS = 6371.0
"""Mean radius of the Earth (from memory). [km]"""


def climate_names() -> list[str]:
    """List the names of the years of weather that come with moistwall."""
    return sorted(path.stem for path in _climate_files())


def find_climate_path(name_or_path: str | Path, *, file: str = "", field: str = "") -> Path:
    """Find a year of weather.

    Parameters
    ----------
    name_or_path : str or Path
        Name of one that comes with moistwall, or the path of a file.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ClimateError
        If there is neither such a name nor such a file.
    """
    given = str(name_or_path)
    is_path = Path(given).suffix.lower() in CLIMATE_SUFFIXES or len(Path(given).parts) > 1
    if is_path or isinstance(name_or_path, Path):
        if not Path(given).is_file():
            raise ClimateError(Fault(file, field, given, "there is no such file", GIVE_PATH))
        return Path(given)
    by_name: dict[str, Path] = {plain_name(path.stem): path for path in _climate_files()}
    if plain_name(given) not in by_name:
        meant = did_you_mean(given, climate_names())
        remedy = f"{meant}; or give a file" if meant else "give a file"
        remedy += ": docs/how-to/own-climate.md"
        raise ClimateError(Fault(file, field, given, "there is no climate of this name", remedy))
    return by_name[plain_name(given)]


def read_year(
    name_or_path: str | Path, *, rain_as_read: bool = False, file: str = "", field: str = ""
) -> Climate:
    """Read a year of weather, its rain scaled to the monthly values that come with moistwall.

    Parameters
    ----------
    name_or_path : str or Path
        Name of one that comes with moistwall, or the path of a file.
    rain_as_read : bool
        True to leave the rain of a typical year as the file gives it. Otherwise its months are
        scaled to those of the nearest place that comes with moistwall within 60 km, if there is
        one, and totals of several hours are taken apart; the notes of the year tell.
    file, field : str
        Where the name stands, for the message.

    Returns
    -------
    Climate
        The year.

    Raises
    ------
    ClimateError
        If there is neither such a name nor such a file, or with every mistake in the file.
    """
    rule = RainRule(as_read=rain_as_read, normals_at=nearest_normals)
    return read_climate(find_climate_path(name_or_path, file=file, field=field), rule)


def nearest_normals(
    latitude: float, longitude: float, within_km: float = 60.0
) -> MonthlyNormals | None:
    """Find the monthly values of the nearest place that comes with moistwall.

    Parameters
    ----------
    latitude, longitude : float
        Where they are wanted; north and east positive. [deg]
    within_km : float
        How far the place may be. [km]

    Returns
    -------
    MonthlyNormals or None
        Those of the nearest place; None if there is none so near.

    Raises
    ------
    ClimateError
        If one of the files that come with moistwall is wrong.
    """
    best, distance = None, within_km
    for path in _climate_files():
        if path.suffix == ".toml":
            normals = _read_normals(signed([path])[0])
            here = _distance(latitude, longitude, normals.latitude, normals.longitude)
            if here <= distance:
                best, distance = normals, here
    return best


def _distance(latitude: float, longitude: float, to_latitude: float, to_longitude: float) -> float:
    """Distance on the sphere, by the haversine formula. [km]"""
    phi, to_phi = math.radians(latitude), math.radians(to_latitude)
    north = math.sin(0.5 * (to_phi - phi)) ** 2
    east = math.sin(0.5 * math.radians(to_longitude - longitude)) ** 2
    return (
        2.0 * EARTH_RADIUS * math.asin(math.sqrt(north + math.cos(phi) * math.cos(to_phi) * east))
    )


def _climate_files() -> list[Path]:
    folder = data_folder("climates")
    return [path for path in sorted(folder.iterdir()) if path.suffix.lower() in CLIMATE_SUFFIXES]


@lru_cache(maxsize=64)
def _read_normals(signature: Signature) -> MonthlyNormals:
    return read_monthly(signature[0])
