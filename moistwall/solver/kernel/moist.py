"""Saturation pressure and two small functions, in compiled form, without exp or pow.

The coefficients are those of `moistwall.air`, so there is one definition of saturation.
"""

from __future__ import annotations

from moistwall.air import SATURATION_ICE, SATURATION_WATER, TRIPLE_POINT
from moistwall.solver.kernel.compile import compiled


@compiled
def saturation(temperature: float) -> tuple[float, float]:
    """Saturation pressure [Pa] and its slope [Pa/K] at a temperature [degC]."""
    x = temperature * 0.01
    y = 0.0
    slope = 0.0
    if temperature >= TRIPLE_POINT:
        for c in SATURATION_WATER:
            slope = slope * x + y
            y = y * x + c
    else:
        for c in SATURATION_ICE:
            slope = slope * x + y
            y = y * x + c
    y2 = y * y
    y4 = y2 * y2
    return y4 * y4, 0.08 * y4 * y2 * y * slope


@compiled
def exponential(x: float) -> float:
    """exp(x) for -2 < x < 2, to a relative 1e-9: (Taylor polynomial of x / 8) to the 8th power."""
    z = x * 0.125
    y = 1.0 + z * (
        1.0
        + z
        * (1.0 / 2 + z * (1.0 / 6 + z * (1.0 / 24 + z * (1.0 / 120 + z * (1.0 / 720 + z / 5040)))))
    )
    y2 = y * y
    y4 = y2 * y2
    return y4 * y4


@compiled
def mean_share(ntu: float) -> float:
    """(1 - exp(-ntu)) / ntu: how much of its inlet state the air in a gap keeps, over its height.

    Parameters
    ----------
    ntu : float
        Number of transfer units, >= 0; above 40 the exponential is below 1e-17. [-]
    """
    if ntu < 1e-4:
        return 1.0 - 0.5 * ntu + ntu * ntu / 6.0
    if ntu > 40.0:
        return 1.0 / ntu
    e = exponential(-ntu / 32.0)
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    e = e * e
    return (1.0 - e) / ntu
