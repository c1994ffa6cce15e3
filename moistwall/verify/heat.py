"""How a material of a problem stores and conducts heat."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Discriminator, Field, Tag, model_validator

from moistwall.schema import StrictModel
from moistwall.verify.bounds import (
    LIST,
    NUMBER,
    Array,
    Conductivity,
    Content,
    PerKelvin,
    fail,
    number_or_list,
    rising,
    same_length,
)


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
        same_length("water_content_kg_m3", content, "conductivity_W_mK", values)
        rising("water_content_kg_m3", content)
        if content[0] != 0.0:
            raise fail("water_content_kg_m3", f"{content[0]:g}", "must begin at 0")
        return self

    def over_content(self) -> tuple[Array, Array]:
        """Give water contents and conductivities at them; constant beyond the last."""
        if isinstance(self.conductivity_W_mK, list):
            return np.array(self.water_content_kg_m3, float), np.array(self.conductivity_W_mK)
        return np.array([0.0]), np.array([float(self.conductivity_W_mK)])
