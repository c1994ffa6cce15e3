"""How a material of a problem lets vapor through: tables and named formulas."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field, model_validator

from moistwall.material import Storage
from moistwall.schema import StrictModel
from moistwall.verify.bounds import (
    LEAST_PERMEABILITY,
    Array,
    Content,
    Free,
    PerKelvin,
    Permeability,
    Rh,
    rising,
    same_length,
)


class VaporConstant(StrictModel):
    """One permeability."""

    form: Literal["constant"]
    permeability_kg_msPa: Permeability  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array([0.5]), np.array([self.permeability_kg_msPa])


class VaporFactor(StrictModel):
    """A resistance factor: permeability = that of air / factor."""

    form: Literal["resistance factor"]
    resistance_factor: Annotated[float, Field(ge=1.0, le=1e9)]
    air_permeability_kg_msPa: Permeability = 2.0e-10  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array([0.5]), np.array([self.air_permeability_kg_msPa / self.resistance_factor])


class VaporHumidityTable(StrictModel):
    """Permeability over relative humidity: linear between the points, constant beyond."""

    form: Literal["table over humidity"]
    relative_humidity: list[Rh]
    permeability_kg_msPa: list[Permeability]  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    @model_validator(mode="after")
    def _points(self) -> VaporHumidityTable:
        rh, values = self.relative_humidity, self.permeability_kg_msPa
        same_length("relative_humidity", rh, "permeability_kg_msPa", values)
        rising("relative_humidity", rh)
        return self

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them."""
        return np.array(self.relative_humidity), np.array(self.permeability_kg_msPa)


def _dense_humidity() -> Array:
    """Relative humidities, ever closer towards 1, where content still rises with falling suction."""
    wet = -np.expm1(np.log(10.0) * np.linspace(-2.0, -9.0, 700))
    return np.concatenate((np.linspace(1e-4, 0.99, 1000), wet[1:], [1.0]))


class VaporContentTable(StrictModel):
    """Permeability over water content: linear between the points, constant beyond."""

    form: Literal["table over content"]
    water_content_kg_m3: list[Content]
    permeability_kg_msPa: list[Permeability]  # noqa: N815
    per_kelvin: PerKelvin = 0.0

    @model_validator(mode="after")
    def _points(self) -> VaporContentTable:
        content, values = self.water_content_kg_m3, self.permeability_kg_msPa
        same_length("water_content_kg_m3", content, "permeability_kg_msPa", values)
        rising("water_content_kg_m3", content)
        return self

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them, by the storage at 20 degC."""
        rh = _dense_humidity()
        content = storage.content(np.log(rh))
        return rh, np.interp(content, self.water_content_kg_m3, self.permeability_kg_msPa)


class VaporFilledPores(StrictModel):
    """Pores that water fills: d / factor x (1 - s) / ((1 - p)(1 - s)^2 + p), s = w / full, at 20 degC.

    d = 26.1e-6 m2/s / (R_v T), R_v = 8.314 / 0.018 J/(kg K) (EN 15026 annex A, HAMSTAD).
    """

    form: Literal["filled pores"]
    resistance_factor: Annotated[float, Field(ge=1.0, le=1e9)]
    p: Annotated[float, Field(gt=0.0, le=1.0)]
    full_kg_m3: Free
    per_kelvin: PerKelvin = 0.0

    def over_humidity(self, storage: Storage) -> tuple[Array, Array]:
        """Give humidities and permeabilities at them, by the storage at 20 degC."""
        rh = _dense_humidity()
        empty = np.clip(1.0 - storage.content(np.log(rh)) / self.full_kg_m3, 0.0, 1.0)
        air = 0.018 * 26.1e-6 / (8.314 * 293.15)
        shape = empty / ((1.0 - self.p) * empty**2 + self.p)
        return rh, np.maximum(air / self.resistance_factor * shape, LEAST_PERMEABILITY)


VaporForm = Annotated[
    VaporConstant | VaporFactor | VaporHumidityTable | VaporContentTable | VaporFilledPores,
    Field(discriminator="form"),
]
