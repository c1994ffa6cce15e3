"""Materials that differ from the library by a factor, as sources lie apart or boards are not alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from moistwall.material import Material
from moistwall.section import Film, Layer, Part, Section

Array = NDArray[np.float64]

SCALED = ("conductivity", "vapor", "liquid")
"""What of a material can be scaled: conductivity, permeability or permeance at every humidity, and the uptake of
water."""


@dataclass(frozen=True)
class Scale:
    """A property of one material times a factor.

    Parameters
    ----------
    material : str
        Its name in the library.
    field : {'conductivity', 'vapor', 'liquid'}
        Which property; 'liquid' is the absorption coefficient.
    factor : float
        [-]
    """

    material: str
    field: str
    factor: float


def scaled(section: Section, scales: Sequence[Scale]) -> Section:
    """Give a section whose materials are scaled.

    Parameters
    ----------
    section : Section
        The section.
    scales : sequence of Scale
        At most one a material and property; those of other materials do nothing.

    Returns
    -------
    Section
    """
    if not scales:
        return section
    factors = {(one.material, one.field): one.factor for one in scales}
    return replace(section, parts=tuple(_part(part, factors) for part in section.parts))


def _part(part: Part, factors: dict[tuple[str, str], float]) -> Part:
    if isinstance(part, Film):
        factor = factors.get((part.made_of, "vapor"), 1.0)
        return part if factor == 1.0 else replace(part, permeance=factor * part.permeance)
    if isinstance(part, Layer):
        return replace(part, material=_material(part.material, factors))
    return part


def _material(material: Material, factors: dict[tuple[str, str], float]) -> Material:
    heat, vapor, liquid = (factors.get((material.name, field), 1.0) for field in SCALED)
    diffusivity = material.diffusivity
    if diffusivity is not None and liquid != 1.0:
        diffusivity = _times(diffusivity, liquid**2)  # uptake goes with the root of diffusivity
    return replace(
        material,
        conductivity=heat * material.conductivity,
        vapor_permeability=vapor * material.vapor_permeability,
        diffusivity=diffusivity,
    )


def _times(given: Callable[[Array], Array], factor: float) -> Callable[[Array], Array]:
    def times(content: Array) -> Array:
        return factor * given(content)

    return times
