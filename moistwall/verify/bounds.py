"""Numbers that a problem file may hold: their bounds, and what its tables have in common."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

LEAST_PERMEABILITY = 1e-25
"""Stands for 'no vapor passes': a meter of it lets through a microgram in a million years at 1000 Pa.
[kg/(m s Pa)]"""

Rh = Annotated[float, Field(ge=0.0, le=1.0)]
Content = Annotated[float, Field(ge=0.0, le=1500.0)]
Free = Annotated[float, Field(ge=1e-6, le=1500.0)]
Suction = Annotated[float, Field(gt=0.0, le=1e10)]
Permeability = Annotated[float, Field(ge=LEAST_PERMEABILITY, le=1e-8)]
Diffusivity = Annotated[float, Field(ge=1e-25, le=1e-2)]
LiquidConductivity = Annotated[float, Field(ge=1e-40, le=1e-2)]
Conductivity = Annotated[float, Field(ge=1e-4, le=1e5)]
PerKelvin = Annotated[float, Field(ge=-0.01, le=0.01)]
Positive = Annotated[float, Field(gt=0.0, le=1e6)]


NUMBER, LIST = "~number", "~list"
"""Tags of what may be one number or a list of them; they stand in no message."""


def number_or_list(given: Any) -> str:
    """Say which was meant, so that a mistake is told for that form alone."""
    return LIST if isinstance(given, list) else NUMBER


def fail(field: str, value: object, problem: str, remedy: str = "") -> InputError:
    """Give the error of one field of a form."""
    return InputError(Fault("", field, str(value), problem, remedy))


def same_length(first: str, a: list[float], second: str, b: list[float]) -> None:
    """Refuse two columns of a table of different lengths, or of less than two points."""
    if len(a) != len(b):
        raise fail(
            second,
            f"{len(b)} values",
            f"needs one value for each of the {len(a)} {first}",
            "make them as many",
        )
    if len(a) < 2:
        raise fail(first, f"{len(a)} values", "needs at least two points", "add one")


def rising(field: str, values: list[float], word: str = "rise") -> None:
    """Refuse a column whose values do not all rise (or fall)."""
    for n, (before, after) in enumerate(pairwise(values)):
        if not (after > before if word == "rise" else after < before):
            raise fail(
                f"{field}[{n + 2}]",
                f"{after:g}",
                f"must {word} from point to point",
                "put the points in order",
            )
