"""Kinds of values in an assembly file: text with a unit within a range, names, dates, directions."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    GetCoreSchemaHandler,
    PlainValidator,
    WithJsonSchema,
)
from pydantic_core import CoreSchema, core_schema

from moistwall.climate.monthly import SECTORS
from moistwall.errors import Fault, UnitError
from moistwall.units import quantity, quantity_of

_POINTS = (
    "north north-northeast northeast east-northeast east east-southeast southeast south-southeast "
    "south south-southwest southwest west-southwest west west-northwest northwest north-northwest"
)
COMPASS = {name: 22.5 * place for place, name in enumerate(_POINTS.split())}
"""Points of the compass, clockwise from north. [deg]"""

_SHORT_COMPASS = dict(zip(map(str.lower, SECTORS), COMPASS.values(), strict=True))

MONTHS = {
    "Jan": 31, "Feb": 28, "Mar": 31, "Apr": 30, "May": 31, "Jun": 30,
    "Jul": 31, "Aug": 31, "Sep": 30, "Oct": 31, "Nov": 30, "Dec": 31,
}  # fmt: skip
"""Months and their days; the year of a simulation has no February 29."""

_PITCH = re.compile(r"(.+)[/:]\s*12")
_MONTH, _DAY = r"([A-Za-z]{3,9})\.?", r"([0-9]{1,2})\.?"
_DATE = re.compile(rf"{_MONTH} +{_DAY}|{_DAY} +{_MONTH}")
_RATIO = re.compile(r"1\s*[/:]\s*([0-9]{2,5})")
_PLAIN_NUMBER = re.compile(r"[0-9]*\.?[0-9]+|[0-9]+\.")


def refuse(value: object, problem: str, remedy: str = "") -> UnitError:
    """Return the error for one value; the reader of the file adds where it stands."""
    return UnitError(Fault("", "", str(value)[:60], problem, remedy))


def number(value: object, kind: str, low: str, high: str) -> float:
    """Return a text with a unit in SI, if it lies between two others of the same kind."""
    found = quantity(value, kind)
    if not quantity(low, kind) <= found <= quantity(high, kind):
        raise refuse(value, "is out of range", f"give a value from {low} to {high}")
    return found


@dataclass(frozen=True)
class Between:
    """Marks a number that stands in the file as text with its unit, within a range.

    Parameters
    ----------
    kind : str
        Name in `moistwall.units.KINDS`; the field holds the value in its SI unit.
    low, high : str
        The range, as texts of the same kind; both ends are allowed.
    example, meaning : str
        A text that is right, and what the number is.
    """

    kind: str
    low: str
    high: str
    example: str
    meaning: str

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            lambda value: number(value, self.kind, self.low, self.high),
            json_schema_input_schema=core_schema.str_schema(),
            metadata={
                "pydantic_js_extra": {
                    "description": f"{self.meaning}, with its unit: {self.low} to {self.high}",
                    "examples": [self.example],
                }
            },
        )


def _direction(value: object) -> float:
    """Return the azimuth of a compass point or of an angle clockwise from north. [deg]"""
    if isinstance(value, str):
        word = "-".join(value.lower().replace("-", " ").split())
        azimuth = COMPASS.get(word, _SHORT_COMPASS.get(word))
        if azimuth is not None:
            return azimuth
        if word.replace("-", "").isalpha():
            remedy = 'name a point of the compass, such as "south-southwest" or "SSW", or write "200 deg"'
            raise refuse(value, "is no point of the compass", remedy)
    return number(value, "angle", "0 deg", "360 deg") % 360.0


def _inclination(value: object) -> float:
    """Return the angle between outer face and ground of a pitch ("4/12") or an angle. [deg]"""
    pitch = _PITCH.fullmatch(value.strip()) if isinstance(value, str) else None
    if pitch is None:
        return number(value, "angle", "0 deg", "180 deg")
    try:
        rise = number(f"{pitch[1].strip()} in", "length", "0 in", "120 in")
    except UnitError:
        remedy = 'write the rise in inches over a run of 12, such as "4/12", or an angle'
        raise refuse(value, "is no pitch from 0/12 to 120/12", remedy) from None
    return math.degrees(math.atan2(rise, quantity("12 in", "length")))


def _name(text: str) -> str:
    """Return a name that can stand in a table, a picture and a file, or refuse it."""
    text = text.strip()
    if not text or len(text) > 80 or not text.isprintable():
        raise refuse(ascii(text[:60]), "is no name", "use 1 to 80 printable characters")
    return text


def read_day(value: object) -> int:
    """Return the day of the year of a date such as "Sep 10", from 0."""
    remedy = 'write month and day, such as "Sep 10"'
    date = _DATE.fullmatch(value.strip()) if isinstance(value, str) else None
    month = (date[1] or date[4]).lower() if date else ""
    short = month[:3].capitalize()
    if date is None or short not in MONTHS or not _whole_month(short).startswith(month):
        raise refuse(value, "is no date of the year", remedy)
    day, days = int(date[2] or date[3]), MONTHS[short]
    if not 1 <= day <= days:
        raise refuse(value, f"lies outside the year: {short} has {days} days here", remedy)
    before = list(MONTHS).index(short)
    return sum(list(MONTHS.values())[:before]) + day - 1


def _whole_month(short: str) -> str:
    whole = "january february march april may june july august september october november december"
    return next(name for name in whole.split() if name.startswith(short.lower()))


def date_text(day: int) -> str:
    """Write a day of the year, from 0, as a date such as "Sep 10"."""
    for month, days in MONTHS.items():
        if day < days:
            return f"{month} {day + 1}"
        day -= days
    raise ValueError("a day after the end of the year")


def _ratio(value: object) -> float:
    """Return a ratio such as "1/150". [-]"""
    ratio = _RATIO.fullmatch(value.strip()) if isinstance(value, str) else None
    if ratio is None or not 20 <= int(ratio[1]) <= 10000:
        remedy = 'write it over the area of the ceiling, such as "1/150" or "1/300"'
        raise refuse(value, "is no ratio from 1/20 to 1/10000", remedy)
    return 1.0 / int(ratio[1])


def _exponent(value: object) -> float:
    """Return a flow exponent. [-]"""
    plain = _PLAIN_NUMBER.fullmatch(value.strip()) if isinstance(value, str) else None
    if plain is None or not 0.5 <= float(plain[0]) <= 1.0:
        remedy = 'write the exponent of the test as text, such as "0.65"'
        raise refuse(value, "is no exponent from 0.5 to 1", remedy)
    return float(plain[0])


@dataclass(frozen=True)
class Wetness:
    """Water at the start as a file gives it.

    Parameters
    ----------
    value : float
        Relative humidity of the pores [-], content over dry mass [kg/kg] or in a volume [kg/m3].
    kind : {'share', 'moisture_content', 'water_content'}
        Which of these.
    text : str
        What stands in the file.
    """

    value: float
    kind: str
    text: str


def read_wetness(value: object) -> Wetness:
    """Return water at the start from a text such as "80 %", "19 %MC" or "120 kg/m3"."""
    found, kind = quantity_of(value, ("share", "moisture_content", "water_content"))
    if kind == "share" and not 0.01 <= found <= 0.99:
        remedy = 'give a humidity from 1 % to 99 %, or water such as "19 %MC" or "120 kg/m3"'
        raise refuse(value, "is out of range", remedy)
    return Wetness(found, kind, str(value).strip())


def whole_number(value: object) -> int:
    """Return a count given as text, such as "12"."""
    if not isinstance(value, str) or not re.fullmatch(r"[0-9]{1,5}", value.strip()):
        raise refuse(value, "is no count", 'write a whole number as text, such as "12"')
    return int(value)


NARROWEST = 1e-5
"""Least height of a slot that is open: next to no air passes a narrower one. [m]"""


def _slot(value: object) -> float:
    """Return the area of an opening per width, of the height of a slot or of such an area. [m]"""
    found, _ = quantity_of(value, ("length", "area_per_length"))
    if found != 0.0 and not NARROWEST <= found <= 3.0:
        remedy = "give a slot from 0.01 mm to 3 m high; 0 closes it"
        raise refuse(value, "is out of range", remedy)
    return found


def _worded(description: str, *examples: str) -> WithJsonSchema:
    return WithJsonSchema(
        {"type": "string", "description": description, "examples": list(examples)}
    )


Name = Annotated[str, AfterValidator(_name)]
Thickness = Annotated[
    float, Between("length", "0.05 mm", "5 m", "1 1/2 in", "Thickness of the layer")
]
Depth = Annotated[float, Between("length", "1 mm", "3 m", "3/4 in", "Depth of the gap")]
AirChanges = Annotated[
    float,
    Between("air_changes", "0 1/h", "5000 1/h", "100 1/h", "Outdoor air through it, gap volumes"),
]
Temperature = Annotated[float, Between("temperature", "0 degC", "50 degC", "75 degF", "Of the air")]
Humidity = Annotated[float, Between("share", "1 %", "99 %", "50 %", "Relative humidity")]
Share = Annotated[float, Between("share", "1 %", "100 %", "60 %", "Share of what a black face has")]
Hold = Annotated[
    float, Between("area_water", "1 g/m2", "1 kg/m2", "100 g/m2", "Water that stays on a face")
]
Facing = Annotated[
    float,
    BeforeValidator(_direction),
    _worded(
        "Direction that the outer face looks to: a point of the compass, or an angle clockwise "
        "from north",
        "south",
        "south-southwest",
        "SW",
        "200 deg",
    ),
]
Slope = Annotated[
    float,
    BeforeValidator(_inclination),
    _worded("Angle between the outer face and the ground: a pitch, or an angle", "4/12", "18 deg"),
]
Wet = Annotated[
    Wetness,
    PlainValidator(read_wetness, json_schema_input_type=str),
    Field(
        description="Water at the start: humidity of the pores, percent of dry mass, or in a volume",
        examples=["80 %", "19 %MC", "120 kg/m3"],
    ),
]
Slot = Annotated[
    float,
    BeforeValidator(_slot),
    _worded(
        "Opening of the gap per width of it: height of a slot, or area per length; 0 closes it",
        "3/4 in",
        "0.5 in2/ft",
        "1000 mm2/m",
    ),
]
Date = Annotated[int, BeforeValidator(read_day), _worded("Day of the year", "Sep 10")]
Ratio = Annotated[
    float, BeforeValidator(_ratio), _worded("Over the area of the ceiling", "1/150", "1/300")
]
Count = Annotated[int, BeforeValidator(whole_number), _worded("How many there are", "12")]
Exponent = Annotated[
    float, BeforeValidator(_exponent), _worded("Exponent of the flow over pressure", "0.65")
]
