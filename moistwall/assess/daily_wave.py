"""How a daily wave of temperature comes through: periodic transmittance, decrement factor and time lag.

A layer takes the pair (temperature, heat flow) on one face to that on its other face by a matrix of
complex numbers; a chain of layers multiplies them (ISO 13786, from memory; Carslaw and Jaeger,
Conduction of Heat in Solids, 3.7).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

ComplexArray = NDArray[np.complex128]

DAY = 86_400.0
"""Period of the wave. [s]"""


@dataclass(frozen=True)
class DailyWave:
    """What becomes of a sine of one day in the outdoor air, the room being kept constant.

    Parameters
    ----------
    decrement : float
        Swing of the heat flow into the room, over what the same swing would drive through the section
        without storage. [-]
    lag : float
        How much later its peak comes, 0 to one period. [h]
    periodic_transmittance : float
        Swing of the heat flow into the room over the swing of outdoor air. [W/(m2 K)]
    inner_capacity : float
        Heat that the room side takes up and gives back over the swing of the room's temperature.
        [J/(m2 K)]
    """

    decrement: float
    lag: float
    periodic_transmittance: float
    inner_capacity: float


def layer_matrix(
    thickness: float, conductivity: float, volume_capacity: float, omega: float
) -> ComplexArray:
    """Matrix of a homogeneous layer.

    Parameters
    ----------
    thickness : float
        [m]
    conductivity : float
        [W/(m K)]
    volume_capacity : float
        Density times specific heat. [J/(m3 K)]
    omega : float
        Angular frequency of the wave. [1/s]

    Returns
    -------
    (2, 2) ndarray of complex
        Takes (temperature, heat flow) where heat enters to the same where it leaves.
    """
    wave = np.sqrt(1j * omega * volume_capacity / conductivity)
    x = wave * thickness
    k = conductivity * wave
    return np.array([[np.cosh(x), -np.sinh(x) / k], [-k * np.sinh(x), np.cosh(x)]])


def resistance_matrix(resistance: float) -> ComplexArray:
    """Matrix of air or anything else that stores nothing, of this resistance [m2 K/W]."""
    return np.array([[1.0, -resistance], [0.0, 1.0]], dtype=np.complex128)


def daily_wave(
    matrices: Sequence[ComplexArray], transmittance: float, period: float = DAY
) -> DailyWave:
    """Decrement factor and time lag of a chain, from air to air.

    Parameters
    ----------
    matrices : sequence of (2, 2) ndarray of complex
        From outdoor air to room air, both surfaces among them.
    transmittance : float
        Steady one of the same chain. [W/(m2 K)]
    period : float
        Of the wave. [s]

    Returns
    -------
    DailyWave
    """
    whole: ComplexArray = reduce(lambda before, matrix: matrix @ before, matrices)
    # the room does not move: 0 = Z11 T_out + Z12 q_out, and det Z = 1, so q_in = -T_out / Z12
    through = -1.0 / whole[0, 1]
    lag = (-np.angle(through) % (2.0 * np.pi)) / (2.0 * np.pi) * period / 3600.0
    # seen from the room the chain is turned round, which swaps the two diagonal entries
    inner = period / (2.0 * np.pi) * abs((whole[1, 1] - 1.0) / whole[0, 1])
    swing = float(abs(through))
    return DailyWave(swing / transmittance, float(lag), swing, float(inner))
