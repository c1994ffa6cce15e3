"""Texts of material files that may mean one of several quantities.

A water content is given in a volume or in a dry mass, what lets vapor through as permeance of a
sample or as permeability, a humidity as relative humidity or as suction, a range as "10 degC to 40
degC" of whatever it is a range of.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

import numpy as np
from pydantic import PlainValidator

from moistwall import air
from moistwall.errors import Fault, InputError
from moistwall.material import Range
from moistwall.material_curves import ln_rh_from_suction
from moistwall.units import KINDS, quantity, quantity_of

TEST_TEMPERATURE = 23.0
"""Temperature of cup tests, at which mu and s_d are told (ISO 12572, from memory). [degC]"""


@dataclass(frozen=True)
class Content:
    """A water content as given: in a volume [kg/m3] or in a dry mass [kg/kg]."""

    value: float
    in_dry_mass: bool

    def in_volume(self, density: float) -> float:
        """Give it in kg/m3 for a material of this dry density."""
        return self.value * density if self.in_dry_mass else self.value


@dataclass(frozen=True)
class Passage:
    """What lets vapor through, as given: a permeance of a sample, or a permeability."""

    value: float
    of_sample: bool


@dataclass(frozen=True)
class Humidity:
    """A humidity as given: relative [-], or as suction [Pa]."""

    value: float
    is_suction: bool

    def rh(self) -> float:
        """Give it as relative humidity at 20 degC."""
        if self.is_suction:
            return float(np.exp(ln_rh_from_suction(np.array(self.value))))
        return self.value


def fail(field: str, value: str, problem: str, remedy: str = "") -> InputError:
    """Give the error of one field of a group, whose place is added where the file is known."""
    return InputError(Fault("", field, value, problem, remedy))


def require_rising(values: list[float], what: str) -> None:
    """Refuse points that do not rise, naming the first that does not."""
    for n, (before, after) in enumerate(pairwise(values)):
        if not after > before:
            raise fail(
                f"points[{n + 2}]",
                f"{after:.6g}",
                f"{what} must rise from point to point",
                "put the points in order",
            )


def _content(text: object) -> Content:
    value, kind = quantity_of(text, ("water_content", "moisture_content"))
    return Content(value, kind == "moisture_content")


_FACTOR = re.compile(r"mu\s*=?\s*([0-9]+(?:\.[0-9]+)?)", re.IGNORECASE)
_AIR_LAYER = re.compile(r"s_?d\s*=?\s*([0-9].*)", re.IGNORECASE | re.DOTALL)


def _passage(text: object) -> Passage:
    """Read a permeance, a permeability, or one of these told against still air (ISO 12572)."""
    if isinstance(text, str):
        still_air = float(air.still_air_permeability(TEST_TEMPERATURE))
        factor, layer = _FACTOR.fullmatch(text.strip()), _AIR_LAYER.fullmatch(text.strip())
        if factor and float(factor[1]) >= 1.0:
            return Passage(still_air / float(factor[1]), False)
        if factor:
            raise fail("", text, "mu must not be below 1: nothing is more open than still air")
        if layer:
            thickness = quantity(layer[1], "length")
            if not thickness > 0.0:
                raise fail("", text, "must be above 0", "give a larger one")
            return Passage(still_air / thickness, True)
    value, kind = quantity_of(text, ("permeance", "permeability"))
    if not value > 0.0:
        raise InputError(Fault("", "", str(text), "must be above 0", "give a larger one"))
    return Passage(value, kind == "permeance")


def _humidity(text: object) -> Humidity:
    value, kind = quantity_of(text, ("share", "pressure"))
    humidity = Humidity(value, kind == "pressure")
    if not 0.0 < humidity.rh() < 1.0:
        raise InputError(
            Fault(
                "",
                "",
                str(text),
                "must lie between 0 and 100 %, both ends left out",
                "leave the ends out",
            )
        )
    return humidity


def range_of(*kinds: str) -> PlainValidator:
    """Give the validator of a range, "10 degC to 40 degC", of one of these kinds.

    Where 'share' and 'moisture_content' are both allowed, "%MC" is the one in percent of dry mass.
    """

    def read(text: object) -> Range:
        ends = text.split(" to ") if isinstance(text, str) else []
        if len(ends) != 2:
            given = text if isinstance(text, str) else repr(text)
            example = 'write both ends with their unit, such as "10 degC to 40 degC"'
            raise fail("", given, "is not a range", example)
        (low, kind), (high, other) = (end_of(end) for end in ends)
        if kind != other:
            nouns = f"{KINDS[kind].noun}, the other of {KINDS[other].noun}"
            raise fail("", str(text), f"has one end in the unit of {nouns}")
        if not low <= high:
            raise fail("", str(text), "has its upper end below its lower one", "exchange them")
        return Range(low, high, kind, str(text).strip())

    def end_of(text: str) -> tuple[float, str]:
        in_dry_mass = text.replace(" ", "").endswith("%MC")
        allowed = tuple(
            kind for kind in kinds if not (in_dry_mass and kind == "share") or len(kinds) == 1
        )
        return quantity_of(text, allowed)

    return PlainValidator(read, json_schema_input_type=str)


ContentText = Annotated[Content, PlainValidator(_content, json_schema_input_type=str)]
PassageText = Annotated[Passage, PlainValidator(_passage, json_schema_input_type=str)]
HumidityText = Annotated[Humidity, PlainValidator(_humidity, json_schema_input_type=str)]
