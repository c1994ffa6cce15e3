"""Quantities between text and SI: "1 1/2 in" comes in, 0.0381 m is computed with.

The number is read by a small grammar of our own (decimal, fraction, mixed fraction; a comma is an
error; finite and bounded). The unit is looked up in the spellings that its kind allows, and only
what stands for it there reaches pint, which is imported with the first conversion.

SI means here: degC for temperature, degrees for angles, 1/h for air changes, a number between 0
and 1 for a share; everything else is in plain SI units.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import Fault, UnitError

if TYPE_CHECKING:
    import pint

Array = NDArray[np.float64]
Values = TypeVar("Values", float, Array)
System = Literal["ip", "si"]

PERM = 57.45e-12
"""One US perm at 23 degC (ASTM E96). [kg/(m2 s Pa)]"""

LONGEST_TEXT = 60
"""A longer text is no quantity. [characters]"""


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
        that `_canonical` lists.
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
            self._by_spelling[_canonical(spelling)] = unit

    def find(self, token: str) -> str | None:
        """Return what pint calls this unit, or None if the kind does not allow it."""
        return self._by_spelling.get(_canonical(token))


_SAME_FACTOR = {
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    "sec": "s", "second": "s", "seconds": "s",
    "minute": "min", "minutes": "min", "mins": "min",
    "d": "day", "days": "day", "years": "year", "yr": "year",
    '"': "in", "in.": "in", "inch": "in", "inches": "in",
    "'": "ft", "ft.": "ft", "foot": "ft", "feet": "ft",
    "mils": "mil", "meter": "m", "meters": "m",
    "lbs": "lb", "lbm": "lb", "pound": "lb", "pounds": "lb",
    "ounce": "oz", "ounces": "oz", "grain": "grains", "gr": "grains", "pint": "pints",
    "perms": "perm", "f": "degf", "fahrenheit": "degf", "c": "degc", "celsius": "degc",
    "kelvin": "k", "degree": "deg", "degrees": "deg", "percent": "%", "liter": "l", "liters": "l",
}  # fmt: skip


@cache
def _canonical(token: str) -> str:
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
    text = re.sub(r"\bsq\.? *ft\b", "ft2", text)
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
        {"s": "s", "min": "minute", "h": "hour", "day": "day", "year": "calendar_year"},
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
        ("12 %",),
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

_NUMBER = (
    r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
)
_QUANTITY = re.compile(rf"(?P<sign>[+-]?)(?P<number>{_NUMBER})(?P<unit>.*)", re.DOTALL)
_R_VALUE = re.compile(
    rf"[rR] ?-? ?(?P<number>{_NUMBER})(?P<per_inch> ?(?:/|per) ?(?:in\.?|inch))?", re.DOTALL
)
_R_UNIT = "h ft2 degF/Btu"


def quantity(text: object, kind: str, *, file: str = "", field: str = "") -> float:
    """Read a quantity of the wanted kind.

    Parameters
    ----------
    text : object
        Number and unit, such as "1 1/2 in", "75 degF", "R-13"; anything else is an error.
    kind : str
        Name in `KINDS`.
    file, field : str
        Where the text stands, for the message.

    Returns
    -------
    float
        The value in the SI unit of the kind.

    Raises
    ------
    UnitError
        If the text is not a number with a unit of this kind, or out of its range.
    """
    wanted = KINDS[kind]
    remedy = "write " + " or ".join(f'"{example}"' for example in wanted.examples)

    def fault(problem: str, remedy: str = remedy) -> UnitError:
        shown = text if isinstance(text, str) else repr(text)
        if len(shown) > LONGEST_TEXT:
            shown = shown[:LONGEST_TEXT] + " ..."
        return UnitError(Fault(file, field, shown, problem, remedy))

    if isinstance(text, (int, float)) and not isinstance(text, bool):
        raise fault(f"a bare number; needs {wanted.noun} with its unit")
    if not isinstance(text, str):
        raise fault(f"needs {wanted.noun} as text")
    stripped = text.strip()
    if not stripped:
        raise fault(f"is empty; needs {wanted.noun}")
    if len(stripped) > LONGEST_TEXT:
        raise fault(f"is too long for {wanted.noun}")
    if "," in stripped:
        raise fault(f"has a comma; needs {wanted.noun} with a decimal point")

    r_value = _R_VALUE.fullmatch(stripped)
    if r_value:
        r_kind = "conductivity" if r_value["per_inch"] else "thermal_resistance"
        if kind != r_kind:
            raise fault(f"is {KINDS[r_kind].noun}, not {wanted.noun}")
        number = _number(r_value["number"])
        if not number > 0.0 or not math.isfinite(number):
            raise fault("an R-value must be a finite number above 0")
        if r_value["per_inch"]:
            value = _to_si(1.0 / number, "conductivity", "Btu*inch/hour/foot^2/delta_degF")
        else:
            value = _to_si(number, "thermal_resistance", wanted.units[_R_UNIT])
    else:
        found = _QUANTITY.fullmatch(stripped)
        if not found:
            other = _kind_of(stripped)
            only_unit = "is a unit without a number" if other else "does not begin with a number"
            raise fault(f"{only_unit}; needs {wanted.noun}")
        number = _number(found["number"]) * (-1.0 if found["sign"] == "-" else 1.0)
        if not math.isfinite(number):
            raise fault(f"the number is not finite; needs {wanted.noun}")
        token = found["unit"].strip()
        if not token:
            raise fault(f"has no unit; needs {wanted.noun}")
        unit = wanted.find(token)
        if unit is None:
            other = _kind_of(token)
            if other:
                raise fault(f"'{token}' is the unit of {KINDS[other].noun}, not of {wanted.noun}")
            raise fault(
                f"'{token}' is no unit of {wanted.noun} that is known here",
                f"use one of: {', '.join(wanted.units)}",
            )
        value = _to_si(number, kind, unit)
    if not wanted.low <= value <= wanted.high:
        if wanted.low == 0.0 and value < 0.0:
            raise fault(f"{wanted.noun} must not be negative")
        low, high = (_written(limit, kind, "si") for limit in (wanted.low, wanted.high))
        raise fault(f"{wanted.noun} must lie between {low} and {high}")
    return value


def quantity_of(
    text: object, kinds: tuple[str, ...], *, file: str = "", field: str = ""
) -> tuple[float, str]:
    """Read a quantity that may be of several kinds.

    Parameters
    ----------
    text : object
        Number and unit.
    kinds : tuple of str
        Names in `KINDS`; the first that has the unit is taken.
    file, field : str
        Where the text stands, for the message.

    Returns
    -------
    value : float
        The value in the SI unit of its kind.
    kind : str
        The kind that it is of.

    Raises
    ------
    UnitError
        If the text is of none of the kinds, or out of range.
    """
    found = _QUANTITY.fullmatch(text.strip()) if isinstance(text, str) else None
    if found and found["unit"].strip():
        for kind in kinds:
            if KINDS[kind].find(found["unit"]) is not None:
                return quantity(text, kind, file=file, field=field), kind
    try:
        return quantity(text, kinds[0], file=file, field=field), kinds[0]
    except UnitError as error:
        first = error.faults[0]
        nouns = " or ".join(KINDS[kind].noun for kind in kinds)
        examples = " or ".join(f'"{KINDS[kind].examples[0]}"' for kind in kinds)
        problem = first.problem.replace(KINDS[kinds[0]].noun, nouns)
        raise UnitError(
            Fault(first.file, first.field, first.value, problem, f"write {examples}")
        ) from None


def convert(value: Values, kind: str, system: System) -> Values:
    """Convert from SI to the unit that output shows.

    Parameters
    ----------
    value : float or ndarray
        Value in the SI unit of the kind.
    kind : str
        Name in `KINDS`.
    system : {'ip', 'si'}
        Inch-pound or SI.

    Returns
    -------
    float or ndarray
        Value in the unit that `unit_label` names.
    """
    unit = KINDS[kind].units[KINDS[kind].shown[system]]
    registry = _registry()
    shown = registry.Quantity(value, KINDS[kind].si).to(unit).magnitude
    return shown if isinstance(value, np.ndarray) else float(shown)


def unit_label(kind: str, system: System) -> str:
    """Name the unit that output shows for this kind, such as 'degF'."""
    return KINDS[kind].shown[system]


def format_quantity(value: float, kind: str, system: System) -> str:
    """Write a value in SI as text for people, with its unit.

    Parameters
    ----------
    value : float
        Value in the SI unit of the kind.
    kind : str
        Name in `KINDS`.
    system : {'ip', 'si'}
        Inch-pound or SI. A thermal resistance in inch-pound is written as "R-13".

    Returns
    -------
    str
        Rounded text, which `quantity` can read again.
    """
    if kind == "thermal_resistance" and system == "ip":
        return f"R-{_plain(convert(value, kind, system), 3)}"
    return _written(value, kind, system)


def _written(value: float, kind: str, system: System) -> str:
    shown = convert(value, kind, system)
    decimals = KINDS[kind].decimals
    number = _plain(shown, 3) if decimals is None else f"{shown + 0.0:.{decimals}f}"
    return f"{number} {unit_label(kind, system)}"


def _plain(value: float, significant: int) -> str:
    """Round to significant digits, with an exponent only far from 1."""
    if value == 0.0 or not 1e-3 <= abs(value) < 1e6:
        return f"{value:.{significant}g}"
    decimals = max(significant - 1 - math.floor(math.log10(abs(value))), 0)
    return f"{value:.{decimals}f}"


def _number(text: str) -> float:
    """Read a number that matches the grammar; nan for a fraction over zero."""
    parts = [part.split("/") for part in re.split(r"[ -](?=[0-9]+/)", text)]
    if len(parts[-1]) == 1:
        return float(text)
    whole = float(parts[0][0]) if len(parts) == 2 else 0.0
    over, under = (float(part) for part in parts[-1])
    return whole + over / under if under else math.nan


def _kind_of(token: str) -> str | None:
    """Name the first kind that has this unit."""
    return next((name for name, kind in KINDS.items() if kind.find(token)), None)


def _to_si(number: float, kind: str, unit: str) -> float:
    return float(_registry().Quantity(number, unit).to(KINDS[kind].si).magnitude)


@cache
def _registry() -> pint.UnitRegistry[Any]:
    """Build the one registry; pint takes a third of a second to import."""
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=False)
    registry.define(f"perm = {PERM!r} * kilogram / meter ** 2 / second / pascal")
    registry.define("calendar_year = 365 * day")
    registry.define("ounce_per_square = ounce / (100 * foot ** 2)")
    # The trade counts water by volume: a liter weighs a kilogram.
    registry.define("pint_of_water = pint / liter * kilogram")
    return registry
