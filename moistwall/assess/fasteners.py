"""Metal that goes through the foam outside of the frame, and what it adds to U."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import AssemblyError, Fault, InputError
from moistwall.section import Layer, Section

Array = NDArray[np.float64]

PENETRATING = 0.8
"""Coefficient of a fastener that goes right through the insulation. [-]"""


@dataclass(frozen=True)
class Fasteners:
    """Metal through the foam outside of the frame.

    Parameters
    ----------
    area_each : float
        Area of wall for each of them, above 0. [m2]
    cross_section : float
        Of the metal, above 0. [m2]
    conductivity : float
        Of the metal. [W/(m K)]

    Raises
    ------
    InputError
        If a number is not above 0.
    """

    area_each: float
    cross_section: float
    conductivity: float = 50.0

    def __post_init__(self) -> None:
        faults = [
            Fault("", f"fasteners.{name}", f"{value:g}", "must be a finite number above 0")
            for name, value in vars(self).items()
            if not (np.isfinite(value) and value > 0.0)
        ]
        if self.cross_section >= self.area_each and not faults:
            problem = "fasteners would cover the wall"
            faults.append(Fault("", "fasteners.area_each", f"{self.area_each:g}", problem))
        if faults:
            raise InputError(faults)


def fastener_correction(
    section: Section,
    resistance: Array,
    total: float,
    fasteners: Fasteners,
    *,
    outside_of: str = "",
) -> float:
    """What fasteners through the exterior foam add to U.

    Parameters
    ----------
    section : Section
        The section.
    resistance : (n_parts,) ndarray
        Of its parts. [m2 K/W]
    total : float
        Resistance from air to air, without the fasteners. [m2 K/W]
    fasteners : Fasteners
        They go right through all of that foam.
    outside_of : str
        Layer that the frame stands in; empty takes all foam of the section.

    Returns
    -------
    float
        0.8 (lambda_f A_f n_f / d) (R_foam / R_total)^2, ISO 6946, annex on corrections, from memory.
        [W/(m2 K)]

    Raises
    ------
    AssemblyError
        If there is no such foam.
    """
    names = [part.name for part in section.parts]
    end = names.index(outside_of) if outside_of else len(names)
    foam = [
        (part.thickness, float(own))
        for part, own in zip(section.parts[:end], resistance, strict=False)
        if isinstance(part, Layer) and part.material.kind == "foam"
    ]
    if not foam:
        problem, remedy = "there is no foam that they could go through", "leave the fasteners out"
        raise AssemblyError(Fault(f"section '{section.name}'", "fasteners", "", problem, remedy))
    depth, foam_resistance = (sum(values) for values in zip(*foam, strict=True))
    metal = fasteners.conductivity * fasteners.cross_section / fasteners.area_each
    return float(PENETRATING * metal / depth * (foam_resistance / total) ** 2)
