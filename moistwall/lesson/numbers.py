"""Numbers as a lesson says them: whole degrees, grams, hours; every one comes from a run."""

from __future__ import annotations

from moistwall.units import convert

LIMIT = 0.8
"""Humidity from which a joint counts as damp: mold can grow on wood and paper. [-]"""


def degrees(celsius: float) -> str:
    """A temperature or dew point, such as '75 degF'."""
    return f"{fahrenheit(celsius):.0f} degF".replace("-0 ", "0 ")


def fahrenheit(celsius: float) -> float:
    """The same as a number. [degF]"""
    return convert(celsius, "temperature", "ip")


def grams(mass: float) -> str:
    """A mass given in kg, such as '41.8 kg', '250 g', '3.2 g' or 'none'."""
    if abs(mass) >= 10.0:
        return f"{mass:,.1f} kg"
    if mass == 0.0:
        return "none"
    amount = 1000.0 * mass
    if abs(amount) >= 10.0:
        return f"{amount:,.0f} g"
    return f"{amount:.1f} g" if abs(amount) >= 0.05 else "less than 0.1 g"


def count(number: float) -> str:
    """A whole number with commas."""
    return f"{number:,.0f}"


def hours(number: float) -> str:
    """A number of hours in words."""
    return f"{number:,.0f} hour{'' if number == 1 else 's'}"


def percent(share: float) -> str:
    """A share as a percentage."""
    return f"{100.0 * share:.0f} %"


def damp_limit() -> str:
    """The limit of damp in words."""
    return f"{percent(LIMIT)} relative humidity"


def stamp(hour: int) -> str:
    """When an hour ends, such as 'July 11, 12 noon'."""
    from moistwall.climate.hours import hour_stamp

    month, day, clock = hour_stamp(hour)
    name = (
        "January", "February", "March", "April", "May", "June", "July", "August", "September",
        "October", "November", "December",
    )[month - 1]  # fmt: skip
    half = "noon" if clock == 12 else "midnight" if clock == 24 else "am" if clock < 12 else "pm"
    return f"{name} {day}, {(clock - 1) % 12 + 1} {half}"
