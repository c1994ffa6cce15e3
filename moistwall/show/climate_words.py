"""What is said of a year of weather: its kind, its source in short, its fingerprint in units of people."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.weather import ROOM_RH, ROOM_TEMPERATURE, Fingerprint, room_dew_point
from moistwall.climate.record import Climate
from moistwall.loads.driving_rain import NO_RAIN_KNOWN
from moistwall.show.cautions import TYPICAL_YEAR
from moistwall.units import System, convert, format_quantity, unit_label

Values = TypeVar("Values", float, NDArray[np.float64])

BUILT = "built, not measured"
TYPICAL = "typical year, measured"
OTHER = "hourly record"

CLIMATE_CAUTIONS = (
    TYPICAL_YEAR,
    "Sun and rain are those of a wall in the open: no overhang, nothing near it that shades or "
    "shelters.",
    "Driving rain follows from the rain and wind of the hour by a rule of thumb; what a real wall gets "
    "differs from place to place on it by a factor of two or more (from memory).",
    "Vapor drive is told for one room and for the air alone. Sun on a wet cladding drives vapor "
    "inward far harder.",
)
"""Sentences in the order in which they are shown."""


def kind_of_year(climate: Climate) -> str:
    """What kind of year this is, by what it says of itself.

    Parameters
    ----------
    climate : Climate
        The year.

    Returns
    -------
    str
        'built, not measured', 'typical year, measured' or 'hourly record'.
    """
    said = " ".join((climate.source, *climate.notes)).casefold()
    if "not measured" in said:
        return BUILT
    if any(word in said for word in ("typical", "tmy")):
        return TYPICAL
    return OTHER


def short_source(climate: Climate) -> str:
    """Where a year comes from, in a few words; the source and the notes of the year have the rest."""
    if kind_of_year(climate) != BUILT:
        return climate.source.partition(";")[0].strip()
    memory = any("from memory" in note for note in climate.notes)
    return "from monthly values" + (", some of them from memory" if memory else "")


def sun_unit(system: System) -> str:
    """Unit in which sunshine on an area is shown."""
    return "kBtu/ft2" if system == "ip" else unit_label("energy_area", system)


def rain_unit(system: System) -> str:
    """Unit in which rain is shown, fallen or on a wall: a depth of 1 mm is 1 kg/m2."""
    return unit_label("length", system)


def water_depth(system: System) -> str:
    """Unit of rain on a wall in words."""
    return "inches of water" if system == "ip" else "mm of water"


def shown_sun(kilowatt_hours: Values, system: System) -> Values:
    """Sunshine in the unit of `sun_unit`, from kWh/m2."""
    shown = convert(3.6e6 * kilowatt_hours, "energy_area", system)
    return shown / 1000.0 if system == "ip" else shown


def shown_rain(depth: Values, system: System) -> Values:
    """Rain in the unit of `rain_unit`, from mm or kg/m2."""
    return convert(depth / 1000.0, "length", system)


def sun_decimals(system: System) -> int:
    """Decimals with which a month's sunshine on a wall is shown."""
    return 1 if system == "ip" else 0


def rain_decimals(system: System) -> int:
    """Decimals with which rain is shown."""
    return 1 if system == "ip" else 0


def degrees_text(temperature: float, system: System) -> str:
    """A temperature with its unit, without a decimal where that is 0."""
    return format_quantity(temperature, "temperature", system).replace(".0 ", " ")


def against_room(system: System) -> str:
    """Which room the vapor drive is told for, in words."""
    temperature = degrees_text(ROOM_TEMPERATURE, system)
    dew_point = degrees_text(room_dew_point(), system)
    return f"against a room at {temperature} and {100 * ROOM_RH:.0f} %, dew point {dew_point}"


def rain_text(depth: float, system: System) -> str:
    """A depth of rain with its unit, from mm or kg/m2."""
    return f"{shown_rain(depth, system):.{rain_decimals(system)}f} {rain_unit(system)}"


def fingerprint_lines(found: Fingerprint, system: System) -> list[tuple[str, str]]:
    """The fingerprint as pairs of what and how much.

    Parameters
    ----------
    found : Fingerprint
        The fingerprint of a year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of tuple of str
        Such as ('mean temperature', '75.8 degF').
    """
    degrees = unit_label("temperature", system)

    def mean(value: float) -> str:
        return f"{convert(value, 'temperature', system):.1f} {degrees}"

    rain = wettest = NO_RAIN_KNOWN
    if found.rain_depth is not None and found.wettest_rain is not None:
        rain = f"{rain_text(found.rain_depth, system)}, in {found.rain_hours} hours"
        wettest = "none, as no wind drives rain"
        if found.wettest_facing is not None:
            wettest = f"{found.wettest_facing}, {rain_text(found.wettest_rain, system)} on it"
    return [
        ("mean temperature", mean(found.temperature_mean)),
        ("mean dew point", mean(found.dew_point_mean)),
        ("hours with dew point over 75 degF", f"{found.hours_dew_point_over_75_degF}"),
        ("hours with dew point over 24 degC", f"{found.hours_dew_point_over_24_degC}"),
        (
            "sun on the level, a day",
            f"{shown_sun(found.sun_per_day, system):.2f} {sun_unit(system)}",
        ),
        ("rain", rain),
        ("wettest wall", wettest),
    ]
