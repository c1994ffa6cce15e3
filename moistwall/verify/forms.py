"""A material of a problem, put together from what the file gives of it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from moistwall.material import Material
from moistwall.schema import StrictModel, Text
from moistwall.verify.bounds import (
    fail,
)
from moistwall.verify.heat import Heat
from moistwall.verify.liquid import LiquidForm
from moistwall.verify.storage import PoreAir, StorageForm
from moistwall.verify.vapor import VaporConstant, VaporForm


class MaterialForm(StrictModel):
    """One material of a problem; what the problem's mode does not need may be left out."""

    note: Text | None = None
    heat: Heat | None = None
    storage: StorageForm | None = None
    vapor: VaporForm | None = None
    liquid: LiquidForm | None = None
    emittance: Annotated[float, Field(ge=0.0, le=1.0)] = 0.9

    @model_validator(mode="after")
    def _holds(self) -> MaterialForm:
        if self.storage is not None:
            storage = self.storage.build()
            if storage.holds < storage.free:
                raise fail(
                    "storage.holds_kg_m3",
                    f"{storage.holds:g}",
                    f"must not be below free saturation, {storage.free:g}",
                )
        return self

    def build(self, name: str, *, isothermal: bool = False, dry: bool = False) -> Material:
        """Give the material.

        Parameters
        ----------
        name : str
            Its name in the problem.
        isothermal : bool
            Let heat through so easily that temperature is the same everywhere.
        dry : bool
            Leave moisture out: nothing is let through and next to nothing stored.

        Returns
        -------
        Material
        """
        heat = self.heat or WELL_CONDUCTING
        storage, vapor, liquid = self.storage, self.vapor, self.liquid
        if dry or storage is None or vapor is None:
            storage, vapor, liquid = NOTHING_STORED, NOTHING_PASSES, None
        held = storage.build()
        content, conductivity = (WELL_CONDUCTING if isothermal else heat).over_content()
        vapor_rh, permeability = vapor.over_humidity(held)
        return Material(
            name,
            "problem",
            heat.density_kg_m3,
            heat.heat_capacity_J_kgK,
            content,
            conductivity,
            vapor_rh,
            permeability,
            held,
            None if liquid is None else liquid.diffusivity(held),
            conductivity_slope=0.0 if isothermal else heat.conductivity_per_kelvin,
            conductivity_temperature=heat.conductivity_at_degC,
            permeability_slope=vapor.per_kelvin,
            emittance=self.emittance,
        )


WELL_CONDUCTING = Heat(density_kg_m3=1000.0, heat_capacity_J_kgK=1000.0, conductivity_W_mK=1e4)
"""Heat of an isothermal problem: 1 g/(m2 s) of condensing vapor moves a meter of it by 0.25 K."""

NOTHING_STORED = PoreAir(form="pore air", porosity=1e-6, holds_kg_m3=1.0)
NOTHING_PASSES = VaporConstant(form="constant", permeability_kg_msPa=1e-15)
