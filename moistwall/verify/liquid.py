"""How liquid moves in a material of a problem: by diffusivity, or by conductivity over suction."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field, model_validator

from moistwall.material import Storage
from moistwall.material_curves import (
    diffusivity_from_absorption,
    diffusivity_from_table,
    ln_rh_from_suction,
)
from moistwall.schema import StrictModel
from moistwall.verify.bounds import (
    Array,
    Content,
    Curve,
    Diffusivity,
    LiquidConductivity,
    Suction,
    rising,
    same_length,
)

SATURATED_SHARE = 1e-4
"""Share of free saturation below its end over which a diffusivity that comes from a conductivity is
replaced by its mean there: the slope of suction over content has a pole at saturation. [-]"""

LEAST_SUCTION, LARGEST_SUCTION = 0.1, 1.3e9
"""Suctions between which a conductivity is followed: those of a water column of 10 micrometers, and of
a relative humidity of 7e-5. [Pa]"""


class LiquidConstant(StrictModel):
    """One diffusivity."""

    form: Literal["constant diffusivity"]
    diffusivity_m2_s: Diffusivity

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        value = self.diffusivity_m2_s
        return lambda content: np.full_like(content, value)


class LiquidExponential(StrictModel):
    """D = D0 exp(rate x w), constant above free saturation."""

    form: Literal["exponential diffusivity"]
    diffusivity_m2_s: Diffusivity
    rate_m3_kg: Annotated[float, Field(ge=-10.0, le=10.0)]

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        scale, rate, free = self.diffusivity_m2_s, self.rate_m3_kg, storage.free
        return lambda content: scale * np.exp(rate * np.minimum(content, free))


class LiquidAbsorption(StrictModel):
    """D = 3.8 (A / free)^2 1000^(w / free - 1), constant above free saturation (Kuenzel 1995)."""

    form: Literal["absorption"]
    absorption_kg_m2s05: Annotated[float, Field(gt=0.0, le=10.0)]

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        return diffusivity_from_absorption(self.absorption_kg_m2s05, storage.free)


class LiquidDiffusivityTable(StrictModel):
    """Diffusivity over content: its logarithm linear between the points, constant beyond."""

    form: Literal["diffusivity table"]
    water_content_kg_m3: list[Content]
    diffusivity_m2_s: list[Diffusivity]

    @model_validator(mode="after")
    def _points(self) -> LiquidDiffusivityTable:
        content, values = self.water_content_kg_m3, self.diffusivity_m2_s
        same_length("water_content_kg_m3", content, "diffusivity_m2_s", values)
        rising("water_content_kg_m3", content)
        return self

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        return diffusivity_from_table(
            np.array(self.water_content_kg_m3), np.array(self.diffusivity_m2_s)
        )


class LiquidConductivityTable(StrictModel):
    """Conductivity over suction, g = K dP/dx: straight in logarithms; the last slope goes on drier."""

    form: Literal["conductivity table"]
    suction_Pa: list[Suction]  # noqa: N815
    conductivity_s: list[LiquidConductivity]

    @model_validator(mode="after")
    def _points(self) -> LiquidConductivityTable:
        same_length("suction_Pa", self.suction_Pa, "conductivity_s", self.conductivity_s)
        rising("suction_Pa", self.suction_Pa)
        return self

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""
        x, y = np.log(self.suction_Pa), np.log(self.conductivity_s)
        last = (y[-1] - y[-2]) / (x[-1] - x[-2])

        def over_suction(suction: Array) -> Array:
            at = np.log(suction)
            drier = np.maximum(at - x[-1], 0.0)
            return np.asarray(np.exp(np.interp(at, x, y) + last * drier))

        return diffusivity_from_conductivity(storage, over_suction)


class LiquidConductivityPolynomial(StrictModel):
    """ln(K [s]) = sum of c_i (w - center)^i over water content w, g = K dP/dx (EN 15026, HAMSTAD)."""

    form: Literal["conductivity polynomial"]
    center_kg_m3: Content = 0.0
    coefficients: list[Annotated[float, Field(ge=-1e6, le=1e6)]] = Field(
        min_length=1, max_length=12
    )

    def diffusivity(self, storage: Storage) -> Curve:
        """Give the diffusivity over content."""

        def over_suction(suction: Array) -> Array:
            above = storage.content(ln_rh_from_suction(suction)) - self.center_kg_m3
            return np.exp(np.polynomial.polynomial.polyval(above, self.coefficients))

        return diffusivity_from_conductivity(storage, over_suction)


def diffusivity_from_conductivity(storage: Storage, conductivity: Curve) -> Curve:
    """Diffusivity D = -K dP/dw that belongs to a conductivity K over suction P.

    Parameters
    ----------
    storage : Storage
        Gives content over suction at 20 degC.
    conductivity : callable
        Liquid conductivity over suction. [kg/(m s Pa) over Pa]

    Returns
    -------
    callable
        Diffusivity over content. [m2/s over kg/m3]

    Notes
    -----
    dP/dw has a pole at saturation while the integral of K dP is finite; over the last
    `SATURATED_SHARE` of content the mean (integral of K dP) / (change of w) stands for D.
    """
    suction = np.geomspace(LEAST_SUCTION, LARGEST_SUCTION, 60001)
    content = storage.content(ln_rh_from_suction(suction))
    value = conductivity(suction)
    slope = -np.gradient(content, np.log(suction))
    usable = (content < (1.0 - SATURATED_SHARE) * storage.free) & (slope > 0.0)
    first = int(np.argmax(usable))
    wet = np.concatenate(([0.0], suction[: first + 1]))
    level = np.concatenate((value[:1], value[: first + 1]))
    potential = np.sum(0.5 * (level[1:] + level[:-1]) * np.diff(wet))
    mean = potential / (storage.free - content[first])
    below, inside = content[usable][::-1], (value * suction)[usable][::-1]
    logarithm = np.log(inside / slope[usable][::-1])
    edge = float(below[-1])

    def over_content(wanted: Array) -> Array:
        found = np.exp(np.interp(wanted, below, logarithm))
        return np.asarray(np.where(wanted > edge, mean, found), float)

    return over_content


LiquidForm = Annotated[
    LiquidConstant
    | LiquidExponential
    | LiquidAbsorption
    | LiquidDiffusivityTable
    | LiquidConductivityTable
    | LiquidConductivityPolynomial,
    Field(discriminator="form"),
]
