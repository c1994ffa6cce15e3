"""The kinds of quantities, with the units that each may be given in and is shown in.

A unit is looked up in the list of its kind, whatever harmless way it is spelled; nothing outside
these lists is ever handed on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

System = Literal["ip", "si"]


@dataclass(frozen=True)
class Kind:
    """What one kind of quantity may be given in, and how it is shown.

    Parameters
    ----------
    noun : str
        The kind in words, with its article.
    si : str
        Unit that the number is computed with, as pint spells it.
    units : dict of str to str
        Units that a text may give, each with what pint calls it. Spelling is free in the ways
        that `canonical_unit` lists.
    shown : dict of str to str
        Unit of ``units`` that output uses, for 'ip' and 'si'.
    examples : tuple of str
        Texts that are right.
    low, high : float
        Least and largest value that is taken, in ``si``.
    decimals : int or None
        Decimals in output; None for three significant digits.
    """

    noun: str
    si: str
    units: dict[str, str]
    shown: dict[System, str]
    examples: tuple[str, ...]
    low: float = 0.0
    high: float = 1e12
    decimals: int | None = None
    _by_spelling: dict[str, str] = field(default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        for spelling, unit in self.units.items():
            self._by_spelling[canonical_unit(spelling)] = unit

    def find(self, token: str) -> str | None:
        """Return what pint calls this unit, or None if the kind does not allow it."""
        return self._by_spelling.get(canonical_unit(token))


_SAME_FACTOR = {
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    "sec": "s", "second": "s", "seconds": "s",
    "minute": "min", "minutes": "min", "mins": "min",
    "d": "day", "days": "day", "weeks": "week", "years": "year", "yr": "year",
    '"': "in", "\u2033": "in", "\u201d": "in", "''": "in", "in.": "in", "inch": "in", "inches": "in",
    "'": "ft", "\u2032": "ft", "\u2019": "ft", "ft.": "ft", "foot": "ft", "feet": "ft",
    "mils": "mil", "meter": "m", "meters": "m",
    "lbs": "lb", "lbm": "lb", "pound": "lb", "pounds": "lb",
    "ounce": "oz", "ounces": "oz", "grain": "grains", "gr": "grains", "pint": "pints",
    "perms": "perm", "f": "degf", "fahrenheit": "degf", "c": "degc", "celsius": "degc",
    "kelvin": "k", "degree": "deg", "degrees": "deg", "percent": "%", "liter": "l", "liters": "l",
}  # fmt: skip


@cache
def canonical_unit(token: str) -> str:
    """Give one spelling for every harmless way to write a unit.

    Upper and lower case, ``·``, ``*``, ``-`` or a space between factors, parentheses, ``²`` or
    ``^2``, ``°F`` or ``deg F``, plurals, and the order of factors make no difference.
    """
    text = token.strip().lower()
    for written, meant in (
        ("²", "2"), ("³", "3"), ("^", ""), ("√s", "s0.5"), ("µ", "u"), ("°", "deg "), ("º", "deg "),
    ):  # fmt: skip
        text = text.replace(written, meant)
    text = re.sub(r"\bs\(?1/2\)?", "s0.5", text)
    text = re.sub(r"\bh\(?1/2\)?", "h0.5", text)
    text = re.sub(r"\bdeg\.? +([cf])\b", r"deg\1", text)
    text = re.sub(r"\bsq\.? *(ft|in)\b", r"\g<1>2", text)
    text = re.sub(r"\bcu\.? *ft\b", "ft3", text)
    numerator, *denominators = text.replace("(", " ").replace(")", " ").split("/")

    def factors(part: str) -> list[str]:
        return [_SAME_FACTOR.get(one, one) for one in re.split(r"[\s·*-]+", part) if one]

    below = sorted(one for part in denominators for one in factors(part))
    return " ".join(sorted(factors(numerator))) + ("/" + " ".join(below) if denominators else "")


def _shown(ip: str, si: str) -> dict[System, str]:
    return {"ip": ip, "si": si}


KINDS: dict[str, Kind] = {
    "length": Kind(
        "a length",
        "m",
        {"mm": "mm", "cm": "cm", "m": "m", "um": "um", "in": "inch", "ft": "foot", "mil": "thou"},
        _shown("in", "mm"),
        ("19 mm", "3/4 in", "1 1/2 in"),
        high=1e4,
    ),
    "area": Kind(
        "an area",
        "m^2",
        {"mm2": "mm^2", "cm2": "cm^2", "m2": "m^2", "in2": "inch^2", "ft2": "foot^2"},
        _shown("ft2", "m2"),
        ("12 m2", "130 ft2", "40 in2"),
        high=1e6,
    ),
    "area_per_length": Kind(
        "an opening area per length",
        "m",
        {"mm2/m": "mm^2/m", "cm2/m": "cm^2/m", "m2/m": "m", "in2/ft": "inch^2/foot"},
        _shown("in2/ft", "mm2/m"),
        ("1500 mm2/m", "2 in2/ft"),
        high=10.0,
    ),
    "volume": Kind(
        "a volume",
        "m^3",
        {"m3": "m^3", "L": "liter", "ft3": "foot^3", "gal": "gallon"},
        _shown("ft3", "m3"),
        ("300 m3", "10000 ft3"),
        high=1e7,
    ),
    "time": Kind(
        "a time",
        "s",
        {
            "s": "s",
            "min": "minute",
            "h": "hour",
            "day": "day",
            "week": "week",
            "year": "calendar_year",
        },
        _shown("h", "h"),
        ("1 h", "30 min", "90 days"),
        high=1e11,
    ),
    "temperature": Kind(
        "a temperature",
        "degC",
        {"degC": "degC", "degF": "degF", "K": "kelvin"},
        _shown("degF", "degC"),
        ("75 degF", "24 degC"),
        low=-273.15,
        high=2000.0,
        decimals=1,
    ),
    "temperature_difference": Kind(
        "a temperature difference",
        "delta_degC",
        {"K": "delta_degC", "degC": "delta_degC", "degF": "delta_degF"},
        _shown("degF", "K"),
        ("5 K", "9 degF"),
        low=-2000.0,
        high=2000.0,
        decimals=1,
    ),
    "pressure": Kind(
        "a pressure",
        "Pa",
        {
            "Pa": "Pa",
            "hPa": "hPa",
            "kPa": "kPa",
            "MPa": "MPa",
            "mbar": "mbar",
            "inHg": "inHg",
            "in Hg": "inHg",
            "psi": "psi",
        },
        _shown("inHg", "Pa"),
        ("1000 Pa", "101.3 kPa", "29.92 inHg"),
    ),
    "pressure_difference": Kind(
        "a pressure difference",
        "Pa",
        {"Pa": "Pa", "hPa": "hPa", "kPa": "kPa", "inH2O": "inH2O", "in wc": "inH2O"},
        _shown("Pa", "Pa"),
        ("-4 Pa", "50 Pa"),
        low=-1e6,
        high=1e6,
    ),
    "speed": Kind(
        "a speed",
        "m/s",
        {
            "m/s": "m/s",
            "km/h": "km/hour",
            "mph": "mile/hour",
            "mi/h": "mile/hour",
            "ft/min": "foot/minute",
            "fpm": "foot/minute",
            "kn": "knot",
        },
        _shown("mph", "m/s"),
        ("3 m/s", "7 mph"),
        high=1000.0,
    ),
    "flow": Kind(
        "an air flow",
        "m^3/s",
        {
            "m3/s": "m^3/s",
            "m3/h": "m^3/hour",
            "L/s": "liter/s",
            "cfm": "foot^3/minute",
            "ft3/min": "foot^3/minute",
        },
        _shown("cfm", "L/s"),
        ("60 cfm", "30 L/s"),
        low=-1e6,
        high=1e6,
    ),
    "air_changes": Kind(
        "a number of air changes per hour",
        "1/hour",
        {"1/h": "1/hour", "/h": "1/hour", "per hour": "1/hour", "ach": "1/hour"},
        _shown("1/h", "1/h"),
        ("100 1/h", "100 ach"),
        high=1e6,
    ),
    "angle": Kind(
        "an angle",
        "degree",
        {"deg": "degree", "rad": "radian"},
        _shown("deg", "deg"),
        ("90 deg", "180 deg"),
        low=-360.0,
        high=360.0,
        decimals=0,
    ),
    "share": Kind(
        "a share",
        "dimensionless",
        {"%": "percent", "%RH": "percent", "% RH": "percent"},
        _shown("%", "%"),
        ("50 %",),
        high=1.0,
        decimals=1,
    ),
    "moisture_content": Kind(
        "a moisture content in percent of dry mass",
        "dimensionless",
        {"%": "percent", "%MC": "percent", "% MC": "percent"},
        _shown("%", "%"),
        ("12 %MC",),
        high=100.0,
        decimals=1,
    ),
    "density": Kind(
        "a density",
        "kg/m^3",
        {"kg/m3": "kg/m^3", "lb/ft3": "pound/foot^3", "pcf": "pound/foot^3"},
        _shown("lb/ft3", "kg/m3"),
        ("650 kg/m3", "40 lb/ft3"),
        high=1e5,
    ),
    "heat_capacity": Kind(
        "a specific heat",
        "J/kg/K",
        {
            "J/(kg K)": "J/kg/delta_degC",
            "kJ/(kg K)": "kJ/kg/delta_degC",
            "J/kgK": "J/kg/delta_degC",
            "Btu/(lb degF)": "Btu/pound/delta_degF",
        },
        _shown("Btu/(lb degF)", "J/(kg K)"),
        ("1880 J/(kg K)", "0.45 Btu/(lb degF)"),
        high=1e5,
    ),
    "conductivity": Kind(
        "a thermal conductivity",
        "W/m/K",
        {
            "W/(m K)": "W/m/delta_degC",
            "W/mK": "W/m/delta_degC",
            "mW/(m K)": "mW/m/delta_degC",
            "Btu in/(h ft2 degF)": "Btu*inch/hour/foot^2/delta_degF",
            "Btu/(h ft degF)": "Btu/hour/foot/delta_degF",
        },
        _shown("Btu in/(h ft2 degF)", "W/(m K)"),
        ("0.037 W/(m K)", "R-5 per in", "0.26 Btu in/(h ft2 degF)"),
        high=1e4,
    ),
    "thermal_resistance": Kind(
        "a thermal resistance",
        "m^2*K/W",
        {
            "m2 K/W": "m^2*delta_degC/W",
            "m2K/W": "m^2*delta_degC/W",
            "h ft2 degF/Btu": "hour*foot^2*delta_degF/Btu",
        },
        _shown("h ft2 degF/Btu", "m2 K/W"),
        ("R-13", "2.3 m2 K/W"),
        high=1e4,
    ),
    "heat_transfer": Kind(
        "a heat transfer coefficient",
        "W/m^2/K",
        {
            "W/(m2 K)": "W/m^2/delta_degC",
            "W/m2K": "W/m^2/delta_degC",
            "Btu/(h ft2 degF)": "Btu/hour/foot^2/delta_degF",
        },
        _shown("Btu/(h ft2 degF)", "W/(m2 K)"),
        ("8 W/(m2 K)", "1.46 Btu/(h ft2 degF)"),
        high=1e6,
    ),
    "power": Kind(
        "a power",
        "W",
        {
            "W": "W",
            "kW": "kW",
            "Btu/h": "Btu/hour",
            "ton": "ton_of_refrigeration",
            "tons": "ton_of_refrigeration",
        },
        _shown("Btu/h", "W"),
        ("500 W", "2 ton"),
        high=1e9,
    ),
    "conductance": Kind(
        "heat per kelvin",
        "W/K",
        {"W/K": "W/delta_degC", "Btu/(h degF)": "Btu/hour/delta_degF"},
        _shown("Btu/(h degF)", "W/K"),
        ("60 W/K", "110 Btu/(h degF)"),
        high=1e9,
    ),
    "heat_flux": Kind(
        "a heat flux or irradiance",
        "W/m^2",
        {"W/m2": "W/m^2", "Btu/(h ft2)": "Btu/hour/foot^2"},
        _shown("Btu/(h ft2)", "W/m2"),
        ("700 W/m2", "220 Btu/(h ft2)"),
        low=-1e6,
        high=1e6,
    ),
    "energy_area": Kind(
        "an energy per area",
        "J/m^2",
        {
            "J/m2": "J/m^2",
            "kJ/m2": "kJ/m^2",
            "MJ/m2": "MJ/m^2",
            "kWh/m2": "kWh/m^2",
            "Wh/m2": "Wh/m^2",
            "Btu/ft2": "Btu/foot^2",
        },
        _shown("Btu/ft2", "kWh/m2"),
        ("20 kWh/m2", "6300 Btu/ft2"),
        low=-1e12,
    ),
    "permeance": Kind(
        "a vapor permeance",
        "kg/m^2/s/Pa",
        {"perm": "perm", "US perm": "perm", "ng/(Pa s m2)": "ng/Pa/s/m^2", "kg/(m2 s Pa)": "s/m"},
        _shown("perm", "ng/(Pa s m2)"),
        ("5 perm", "290 ng/(Pa s m2)"),
        high=1e-3,
    ),
    "permeability": Kind(
        "a vapor permeability",
        "kg/m/s/Pa",
        {
            "perm in": "perm*inch",
            "ng/(Pa s m)": "ng/Pa/s/m",
            "kg/(m s Pa)": "s",
        },
        _shown("perm in", "ng/(Pa s m)"),
        ("1.2 perm in", "1.75 ng/(Pa s m)", "1.75e-12 kg/(m s Pa)"),
        high=1e-6,
    ),
    "vapor_transfer": Kind(
        "a vapor transfer coefficient",
        "kg/m^2/s/Pa",
        {"s/m": "s/m", "kg/(m2 s Pa)": "s/m", "ng/(Pa s m2)": "ng/Pa/s/m^2", "perm": "perm"},
        _shown("perm", "s/m"),
        ("2e-8 s/m", "2e-8 kg/(m2 s Pa)"),
        high=1e3,
    ),
    "water_content": Kind(
        "a water content",
        "kg/m^3",
        {"kg/m3": "kg/m^3", "lb/ft3": "pound/foot^3"},
        _shown("lb/ft3", "kg/m3"),
        ("80 kg/m3", "5 lb/ft3"),
        high=1000.0,
    ),
    "area_water": Kind(
        "a mass of water per area",
        "kg/m^2",
        {
            "kg/m2": "kg/m^2",
            "g/m2": "g/m^2",
            "oz/100 ft2": "ounce_per_square",
            "oz/100ft2": "ounce_per_square",
            "oz/ft2": "ounce/foot^2",
            "lb/ft2": "pound/foot^2",
        },
        _shown("oz/100 ft2", "g/m2"),
        ("100 g/m2", "33 oz/100 ft2"),
        low=-1e4,
        high=1e4,
    ),
    "moisture_flux": Kind(
        "a flux of moisture",
        "kg/m^2/s",
        {
            "kg/(m2 s)": "kg/m^2/s",
            "kg/(m2 h)": "kg/m^2/hour",
            "g/(m2 h)": "g/m^2/hour",
            "g/(m2 day)": "g/m^2/day",
            "oz/(100 ft2 day)": "ounce_per_square/day",
        },
        _shown("oz/(100 ft2 day)", "g/(m2 day)"),
        ("5 g/(m2 day)", "1.6 oz/(100 ft2 day)"),
        low=-1e3,
        high=1e3,
    ),
    "moisture_rate": Kind(
        "a moisture rate",
        "kg/s",
        {
            "kg/s": "kg/s",
            "kg/h": "kg/hour",
            "g/h": "g/hour",
            "kg/day": "kg/day",
            "L/day": "kg/day",
            "pints/day": "pint_of_water/day",
        },
        _shown("pints/day", "kg/day"),
        ("20 pints/day", "9 kg/day"),
        low=-1e3,
        high=1e3,
    ),
    "humidity_ratio": Kind(
        "a humidity ratio",
        "dimensionless",
        {
            "kg/kg": "dimensionless",
            "g/kg": "g/kg",
            "grains/lb": "grain/pound",
        },
        _shown("grains/lb", "g/kg"),
        ("14 g/kg", "100 grains/lb"),
        high=1e3,
    ),
    "absorption": Kind(
        "a water absorption coefficient",
        "kg/m^2/s^0.5",
        {
            "kg/(m2 s^0.5)": "kg/m^2/s^0.5",
            "kg/(m2 h^0.5)": "kg/m^2/hour^0.5",
            "g/(m2 s^0.5)": "g/m^2/s^0.5",
            "lb/(ft2 h^0.5)": "pound/foot^2/hour^0.5",
        },
        _shown("lb/(ft2 h^0.5)", "kg/(m2 s^0.5)"),
        ("0.02 kg/(m2 s^0.5)",),
        high=100.0,
    ),
    "per_kelvin": Kind(
        "a relative change per kelvin",
        "1/delta_degC",
        {"%/K": "percent/delta_degC", "1/K": "1/delta_degC", "%/degF": "percent/delta_degF"},
        _shown("%/degF", "%/K"),
        ("0.4 %/K",),
        low=-1.0,
        high=1.0,
    ),
    "diffusivity": Kind(
        "a liquid diffusivity",
        "m^2/s",
        {"m2/s": "m^2/s", "mm2/s": "mm^2/s"},
        _shown("m2/s", "m2/s"),
        ("6e-10 m2/s",),
        high=1.0,
    ),
}
"""Every kind of quantity, by name."""
