"""Saturation pressure and two small functions, in compiled form, without exp or pow.

The coefficients are those of `moistwall.air`, so there is one definition of saturation.
"""

from __future__ import annotations

from moistwall.air import SATURATION_ICE, SATURATION_WATER, TRIPLE_POINT
from moistwall.solver.kernel.compile import compiled

W6, W5, W4, W3, W2, W1, W0 = SATURATION_WATER
I6, I5, I4, I3, I2, I1, I0 = SATURATION_ICE


@compiled
def saturation(temperature: float) -> tuple[float, float]:
    """Saturation pressure [Pa] and its slope [Pa/K] at a temperature [degC]."""
    x = temperature * 0.01
    # written out, without a branch, so that loops over cells can be turned into vector instructions
    water = temperature >= TRIPLE_POINT
    c6 = W6 if water else I6
    c5 = W5 if water else I5
    c4 = W4 if water else I4
    c3 = W3 if water else I3
    c2 = W2 if water else I2
    c1 = W1 if water else I1
    c0 = W0 if water else I0
    y = c6 * x + c5
    slope = c6
    slope = slope * x + y
    y = y * x + c4
    slope = slope * x + y
    y = y * x + c3
    slope = slope * x + y
    y = y * x + c2
    slope = slope * x + y
    y = y * x + c1
    slope = slope * x + y
    y = y * x + c0
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
