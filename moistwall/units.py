"""Quantities between text and SI: "1 1/2 in" comes in, 0.0381 m is computed with.

The number is read by a small grammar of our own (decimal, fraction, mixed fraction, feet and inches;
a comma is an error; finite and bounded). The unit is looked up in the spellings that its kind allows,
and what stands for it there is a straight line to SI that pint has worked out.

SI means here: degC for temperature, degrees for angles, 1/h for air changes, a number between 0
and 1 for a share; everything else is in plain SI units.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import Fault, UnitError, cut
from moistwall.unit_kinds import KINDS, System
from moistwall.unit_lines import INCH_OF_R, PERM, line_of

Array = NDArray[np.float64]
Values = TypeVar("Values", float, Array)

LONGEST_TEXT = 60
"""A longer text is no quantity. [characters]"""

__all__ = [
    "KINDS",
    "PERM",
    "System",
    "convert",
    "format_quantity",
    "quantity",
    "quantity_of",
    "unit_label",
]


_NUMBER = (
    r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
)
_QUANTITY = re.compile(rf"(?P<sign>[+-]?)(?P<number>{_NUMBER})(?P<unit>.*)", re.DOTALL)
_R_VALUE = re.compile(
    rf"[rR] ?-? ?(?P<number>{_NUMBER})(?P<per_inch> ?(?:/|per) ?(?:in\.?|inch))?", re.DOTALL
)
_R_UNIT = "h ft2 degF/Btu"
_FEET = "(?:['\u2032\u2019]|ft\\.?|foot|feet)"
_INCHES = "(?:[\"\u2033\u201d]|''|in\\.?|inch|inches)"
_FEET_AND_INCHES = re.compile(rf"(?P<feet>[0-9]+) *{_FEET} *-? *(?P<inches>{_NUMBER}) *{_INCHES}")
_COMMA = re.compile(
    r"(?P<before>(?:[rR] ?-? ?|[+-]?)[0-9]+),(?P<after>[0-9]+)(?P<rest>[^0-9.,].*|)", re.DOTALL
)
_SAME_CHARACTER = str.maketrans(
    {"\u2044": "/", "\u2215": "/", "\u2212": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " "}
)


def quantity(text: object, kind: str, *, file: str = "", field: str = "") -> float:
    """Read a quantity of the wanted kind.

    Parameters
    ----------
    text : object
        Number and unit, such as "1 1/2 in", "1½ in", "8 ft 6 in", "75 degF", "R-13"; anything else is an error.
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
        return UnitError(Fault(file, field, cut(shown, LONGEST_TEXT), problem, remedy))

    if isinstance(text, (int, float)) and not isinstance(text, bool):
        raise fault(f"a bare number; needs {wanted.noun} with its unit")
    if not isinstance(text, str):
        raise fault(f"needs {wanted.noun} as text")
    if not text.strip():
        raise fault(f"is empty; needs {wanted.noun}")
    if len(text.strip()) > LONGEST_TEXT:
        raise fault(f"is too long for {wanted.noun}")
    stripped = _plain_number(text).strip()
    if "," in stripped:
        offered = _without_comma(stripped) or remedy
        raise fault(f"has a comma; needs {wanted.noun} with a decimal point", offered)

    feet = _FEET_AND_INCHES.fullmatch(stripped) if kind == "length" else None
    if feet:
        inches = _number(feet["inches"])
        if not inches < 12.0:
            raise fault("has 12 inches or more beside its feet")
        stripped = f"{12.0 * float(feet['feet']) + inches!r} in"
    r_value = _R_VALUE.fullmatch(stripped)
    if r_value:
        r_kind = "conductivity" if r_value["per_inch"] else "thermal_resistance"
        if kind != r_kind:
            raise fault(f"is {KINDS[r_kind].noun}, not {wanted.noun}")
        number = _number(r_value["number"])
        if not number > 0.0 or not math.isfinite(number):
            raise fault("an R-value must be a finite number above 0")
        if r_value["per_inch"]:
            value = _to_si(1.0 / number, "conductivity", INCH_OF_R)
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
    short = isinstance(text, str) and len(text.strip()) <= LONGEST_TEXT
    found = _QUANTITY.fullmatch(_plain_number(str(text)).strip()) if short else None
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

    Raises
    ------
    UnitError
        If there is no such system of units.
    """
    unit = KINDS[kind].units[unit_label(kind, system)]
    line = line_of(kind, unit)
    return (value - line.offset) / line.slope


def unit_label(kind: str, system: System) -> str:
    """Name the unit that output shows for this kind, such as 'degF'; another system is a `UnitError`."""
    shown = KINDS[kind].shown
    if system not in shown:
        remedy = f"give {' or '.join(repr(one) for one in shown)}"
        raise UnitError(Fault("", "system", str(system), "is no system of units", remedy))
    return shown[system]


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
    number = (
        _plain(shown, 3) if decimals is None else f"{round(shown, decimals) + 0.0:.{decimals}f}"
    )
    return f"{number} {unit_label(kind, system)}"


def _plain(value: float, significant: int) -> str:
    """Round to significant digits, with an exponent only far from 1."""
    if value == 0.0 or not 1e-3 <= abs(value) < 1e6:
        return f"{value + 0.0:.{significant}g}"
    rounded = float(f"{value:.{significant - 1}e}")
    decimals = max(significant - 1 - math.floor(math.log10(abs(rounded))), 0)
    return f"{value:.{decimals}f}"


def _plain_number(text: str) -> str:
    """Write fractions such as "½", minus signs and narrow spaces as a keyboard does: "1½ in" as "1 1/2 in"."""
    written, behind_fraction = "", False
    for one in text.translate(_SAME_CHARACTER):
        is_fraction = unicodedata.decomposition(one).startswith("<fraction>")
        if (is_fraction and written[-1:].isdigit()) or (behind_fraction and one.isdigit()):
            written += " "  # "1½" is no eleven halves
        written += (
            unicodedata.normalize("NFKC", one).translate(_SAME_CHARACTER) if is_fraction else one
        )
        behind_fraction = is_fraction
    return written


def _without_comma(text: str) -> str:
    """Offer what a number with one comma can mean; nothing for any other text with a comma."""
    found = _COMMA.fullmatch(text)
    if not found:
        return ""
    before, after, rest = found["before"], found["after"], found["rest"]
    decimal = f'"{before}.{after}{rest}"'
    if len(after) == 3 and before.lstrip("rR+- 0"):
        return f'write "{before}{after}{rest}" or, if it is a decimal comma, {decimal}'
    return f"write {decimal}"


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
    line = line_of(kind, unit)
    return line.offset + line.slope * number
