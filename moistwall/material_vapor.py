"""Permeance of a layer, film or faced board as it is built in, and its vapor-retarder class."""

from __future__ import annotations

from typing import Literal

import numpy as np

from moistwall.material import DRY_CUP_RH, FacedBoard, FilmMaterial, Material
from moistwall.units import PERM

VaporClass = Literal["I", "II", "III", "open"]

CLASS_LIMITS: tuple[tuple[VaporClass, float], ...] = (
    ("I", 0.1 * PERM),
    ("II", 1.0 * PERM),
    ("III", 10.0 * PERM),
)
"""Vapor-retarder classes with their highest dry-cup permeance: 0.1, 1 and 10 perm by ASTM E96 procedure A
(2021 IRC R702.7, published). [kg/(m2 s Pa)]"""

ROUNDING = 1.0 + 1e-6
"""A permeance of 1 perm that went through other units is still 1 perm. [-]"""


def permeance_of(
    entry: Material | FilmMaterial | FacedBoard, thickness: float, rh: float = DRY_CUP_RH
) -> float:
    """Permeance of a material at a thickness, of a film, or of a board with its facers.

    Parameters
    ----------
    entry : Material, FilmMaterial or FacedBoard
        What vapor goes through.
    thickness : float
        Thickness of a material or of a board's core; a film has none. [m]
    rh : float
        Mean relative humidity: `DRY_CUP_RH` or `WET_CUP_RH` for what the cups of ASTM E96 tell. [-]

    Returns
    -------
    float
        Resistances of core and facers in series. [kg/(m2 s Pa)]
    """
    if isinstance(entry, FilmMaterial):
        return float(np.interp(rh, entry.rh, entry.permeance))
    if isinstance(entry, Material):
        return float(np.interp(rh, entry.vapor_rh, entry.vapor_permeability)) / thickness
    parts = [part for part in (entry.outside, entry.core, entry.inside) if part is not None]
    return 1.0 / sum(1.0 / permeance_of(part, thickness, rh) for part in parts)


def vapor_class(permeance: float) -> VaporClass:
    """Vapor-retarder class of a dry-cup permeance.

    Parameters
    ----------
    permeance : float
        Dry-cup permeance. [kg/(m2 s Pa)]

    Returns
    -------
    {'I', 'II', 'III', 'open'}
        'open' above 10 perm, which is no vapor retarder.
    """
    for name, highest in CLASS_LIMITS:
        if permeance <= highest * ROUNDING:
            return name
    return "open"
