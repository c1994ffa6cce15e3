"""What the kernel does with the openings of a gap, for arrays: speed, air changes, stack."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from moistwall.solver.kernel.draft import GRAVITY, speed

flow_speed = np.vectorize(speed, otypes=[float])
"""Speed of the air [m/s] by pressure [Pa], loss [-], friction [Pa s/m] and density [kg/m3]: the kernel's own."""


def air_changes(velocity: ArrayLike, length: float) -> NDArray[np.float64]:
    """Volumes of the gap an hour, whichever way the air flows."""
    return 3600.0 * np.abs(np.asarray(velocity, dtype=np.float64)) / length


def stack_pressure(rise: float, outside: ArrayLike, inside: ArrayLike) -> NDArray[np.float64]:
    """Pressure [Pa] with which air of another density [kg/m3] rises in a gap."""
    return GRAVITY * rise * (np.asarray(outside) - np.asarray(inside))
