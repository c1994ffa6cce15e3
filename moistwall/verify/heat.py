"""How a material of a problem stores and conducts heat."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import Discriminator, Field, Tag, model_validator

from moistwall.errors import Fault, InputError
from moistwall.schema import StrictModel

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

SATURATED_SHARE = 1e-4
"""Share of free saturation below its end over which a diffusivity that comes from a conductivity is
replaced by its mean there: the slope of suction over content has a pole at saturation. [-]"""

LEAST_SUCTION, LARGEST_SUCTION = 0.1, 1.3e9
"""Suctions between which a conductivity is followed: those of a water column of 10 micrometers, and of
a relative humidity of 7e-5. [Pa]"""

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


def _same_length(first: str, a: list[float], second: str, b: list[float]) -> None:
    if len(a) != len(b):
        raise fail(second, f"{len(b)} values", f"needs one value for each of the {len(a)} {first}")
    if len(a) < 2:
        raise fail(first, f"{len(a)} values", "needs at least two points")


def _rising(field: str, values: list[float], word: str = "rise") -> None:
    for n, (before, after) in enumerate(pairwise(values)):
        if not (after > before if word == "rise" else after < before):
            raise fail(f"{field}[{n + 2}]", f"{after:g}", f"must {word} from point to point")


# storage -----------------------------------------------------------------------------------------


class Heat(StrictModel):
    """Density, heat capacity and conductivity, the last over content: linear between points."""

    density_kg_m3: Annotated[float, Field(ge=0.01, le=25000.0)]
    heat_capacity_J_kgK: Annotated[float, Field(ge=0.1, le=1e5)]  # noqa: N815
    conductivity_W_mK: Annotated[  # noqa: N815
        Annotated[Conductivity, Tag(NUMBER)] | Annotated[list[Conductivity], Tag(LIST)],
        Discriminator(number_or_list),
    ]
    water_content_kg_m3: list[Content] | None = None
    conductivity_per_kelvin: PerKelvin = 0.0
    conductivity_at_degC: Annotated[float, Field(ge=-50.0, le=100.0)] = 20.0  # noqa: N815

    @model_validator(mode="after")
    def _points(self) -> Heat:
        content, values = self.water_content_kg_m3, self.conductivity_W_mK
        if isinstance(values, float | int):
            if content is not None:
                raise fail("conductivity_W_mK", values, "needs one value for each water content")
            return self
        if content is None:
            raise fail("water_content_kg_m3", "", "is missing for conductivities at points")
        _same_length("water_content_kg_m3", content, "conductivity_W_mK", values)
        _rising("water_content_kg_m3", content)
        if content[0] != 0.0:
            raise fail("water_content_kg_m3", f"{content[0]:g}", "must begin at 0")
        return self

    def over_content(self) -> tuple[Array, Array]:
        """Give water contents and conductivities at them; constant beyond the last."""
        if isinstance(self.conductivity_W_mK, list):
            return np.array(self.water_content_kg_m3, float), np.array(self.conductivity_W_mK)
        return np.array([0.0]), np.array([float(self.conductivity_W_mK)])
