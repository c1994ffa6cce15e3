"""How a wet start dries: water of each layer through the first year, against the year that repeats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moistwall.result import Result

LEAST_EXCESS = 0.05
"""Water over the largest of the repeating year with which a layer counts as started wet. [kg/m2]"""

NEARLY = 0.9
"""Share of the excess that has to be gone before a layer counts as dried. [-]"""


@dataclass(frozen=True)
class StartDrying:
    """Drying of one layer that started wet.

    Parameters
    ----------
    part : str
        The layer.
    start : float
        Its water at the start. [kg/m2]
    usual : float
        The most that it holds in the year that repeats itself. [kg/m2]
    after_days : tuple of (int, float)
        Days since the start, and its water then. [kg/m2]
    dried_days : int or None
        Days until nine tenths of what it held over the usual are gone for good; None if they are not
        within the first year.
    """

    part: str
    start: float
    usual: float
    after_days: tuple[tuple[int, float], ...]
    dried_days: int | None


def start_drying(
    result: Result, days: tuple[int, ...] = (7, 28, 91, 182, 365)
) -> list[StartDrying]:
    """Tell how the layers dry that started wet.

    Parameters
    ----------
    result : Result
        A computed year, with the water of the first one.
    days : tuple of int
        Days at which the water is told.

    Returns
    -------
    list of StartDrying
        From outside to inside; empty where nothing started wetter than the year that repeats itself.
    """
    found = []
    # a skin's content refers to a millimeter, and is no layer's water
    width = np.where(result.skin_cell == 1, 0.0, result.width_cell)
    for k, part in enumerate(result.parts):
        if part.kind != "layer":
            continue
        water = result.first_year_part[:, k]
        usual = float((result.content_cell @ (width * (result.part_cell == k))).max())
        excess = water[0] - usual
        if excess <= LEAST_EXCESS:
            continue
        wet = np.flatnonzero(water > usual + (1.0 - NEARLY) * excess)
        dried = int(wet[-1]) + 1 if wet.size else 0
        found.append(
            StartDrying(
                part.name,
                float(water[0]),
                usual,
                tuple((day, float(water[day])) for day in days if day < water.size),
                dried if dried < water.size else None,
            )
        )
    return found
