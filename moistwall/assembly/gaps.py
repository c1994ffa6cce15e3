"""What is assumed of a gap of which nothing but its kind and depth is given."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.assembly.hourly_file import read_hourly
from moistwall.section import GapKind

Array = NDArray[np.float64]

AIR_CHANGES: dict[GapKind, tuple[float, str]] = {
    "sealed": (0.0, "no outdoor air enters"),
    "drained": (1.0, "estimate: the low end of the 1 to 10 measured behind brick veneer"),
    "vented": (20.0, "middle of 15 to 25: British Columbia field hut, 2021"),
    "ventilated": (110.0, "middle of 100 to 120: British Columbia field hut, 2021"),
}
"""Outdoor air by kind of gap, in gap volumes an hour [1/h], and where that comes from.

Measured rates scatter by two orders of magnitude (sidings 100 to 1000 in eight full-scale walls in
Belgium, Building and Environment 87, 2015), so that a stated rate is worth more than these."""

MOST_AIR_CHANGES = 5000.0
"""Rate above which a file of hourly values is refused. [1/h]"""

COLUMN = "air_changes_1_h"
"""Heading of the column of a file with hourly rates."""

MOVING_AIR = 5.0
"""Convection at each face of a gap that air flows through: estimate. [W/(m2 K)]"""


def convection(kind: GapKind, depth: float) -> tuple[float, str]:
    """Return the convective coefficient of each face of a gap, and where it comes from.

    Parameters
    ----------
    kind : {'sealed', 'drained', 'vented', 'ventilated'}
        How the gap meets outdoor air.
    depth : float
        Depth. [m]

    Returns
    -------
    coefficient : float
        Coefficient of one face. [W/(m2 K)]
    source : str
        In words.

    Notes
    -----
    Face to face, still air lets through max(1.25, 0.025 / d) W/(m2 K) with horizontal heat flow
    (ISO 6946, annex on airspaces, from memory); its two faces stand in series, so each has twice
    that.
    """
    still = 2.0 * max(1.25, 0.025 / depth)
    if kind in ("vented", "ventilated") and still < MOVING_AIR:
        return MOVING_AIR, "estimate for moving air"
    return still, "ISO 6946, still air, horizontal heat flow, from memory"


def read_hourly_air_changes(path: Path) -> Array:
    """Read the hourly rates of a gap.

    Parameters
    ----------
    path : Path
        CSV file with a heading line and one line for each hour of the year.

    Returns
    -------
    (8760,) ndarray
        Mean of each hour. [1/h]

    Raises
    ------
    InputError
        If the file is no table of one rate for each hour; names the first ten wrong lines.
    """
    columns = {COLUMN: (0.0, MOST_AIR_CHANGES)}
    return read_hourly(path, columns, "air changes", "rate")[COLUMN]
