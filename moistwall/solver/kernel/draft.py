"""How much outdoor air goes through a gap with openings: stack and wind against losses and friction.

The pressure that drives the air is spent in openings, screens and along the path,

    g rise (rho_out - rho_gap) + p_wind = loss rho v |v| / 2 + friction v

and the state of the air in the gap, whose density makes the stack, depends on v in turn. The mean
temperature of the gap lies between that of the inlet and that without flow; it is found there by
bisection, so that the flow is a smooth function of the faces' states.
"""

from __future__ import annotations

import math

from moistwall.air import AIR_HEAT_CAPACITY, GAS_CONSTANT_DRY_AIR, GAS_CONSTANT_VAPOR, KELVIN
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.moist import mean_share

GRAVITY = 9.80665
"""Standard acceleration of free fall (ISO 80000-3). [m/s2]"""

BISECTIONS = 14
"""Halvings of the range of the gap's temperature: 20 K to 0.001 K."""


@compiled
def moist_density(temperature: float, vapor: float, pressure: float) -> float:
    """Density of moist air of a temperature [degC] and vapor pressure [Pa]. [kg/m3]"""
    kelvin = temperature + KELVIN
    return (pressure - vapor) / (GAS_CONSTANT_DRY_AIR * kelvin) + vapor / (
        GAS_CONSTANT_VAPOR * kelvin
    )


@compiled
def speed(pressure: float, loss: float, friction: float, density: float) -> float:
    """Air speed at which losses and friction spend a pressure; its sign is that of the pressure.

    Parameters
    ----------
    pressure : float
        What drives the air. [Pa]
    loss : float
        Loss coefficients, of the gap's own cross-section. [-]
    friction : float
        [Pa s/m]
    density : float
        [kg/m3]

    Returns
    -------
    float
        [m/s]
    """
    half = 0.5 * loss * density
    # 2 p / (b + sqrt(b^2 + 4 a p)): the root that keeps its digits at small pressures
    size = abs(pressure)
    found = 2.0 * size / (friction + math.sqrt(friction * friction + 4.0 * half * size))
    return found if pressure >= 0.0 else -found


@compiled
def draft(
    rise: float,
    length: float,
    loss: float,
    friction: float,
    depth: float,
    convection: float,
    vapor_film: float,
    inlet: float,
    inlet_vapor: float,
    faces: float,
    faces_vapor: float,
    wind: float,
    pressure: float,
) -> float:
    """Air changes of a gap with openings.

    Parameters
    ----------
    rise, length, loss, friction
        See `moistwall.exposure.Openings`.
    depth : float
        [m]
    convection, vapor_film : float
        Of each face. [W/(m2 K)], [kg/(m2 s Pa)]
    inlet, inlet_vapor : float
        Outdoor air. [degC], [Pa]
    faces, faces_vapor : float
        Means of the two faces. [degC], [Pa]
    wind : float
        Pressure of the wind between the openings. [Pa]
    pressure : float
        Air pressure. [Pa]

    Returns
    -------
    float
        [1/h]
    """
    outside = moist_density(inlet, inlet_vapor, pressure)
    heat_capacity = outside * AIR_HEAT_CAPACITY * depth / length
    vapor_capacity = depth / length / (GAS_CONSTANT_VAPOR * (inlet + KELVIN))
    low, high = 0.0, 1.0  # share of the way from the inlet's state to the faces'
    v = 0.0
    for _ in range(BISECTIONS):
        share = 0.5 * (low + high)
        t = inlet + share * (faces - inlet)
        # vapor goes the same way with its own transfer units; the flow of the last turn is near enough
        size = max(abs(v), 1e-9)
        kept = mean_share(2.0 * vapor_film / (vapor_capacity * size))
        p = faces_vapor + kept * (inlet_vapor - faces_vapor)
        inside = moist_density(t, p, pressure)
        v = speed(
            GRAVITY * rise * (outside - inside) + wind, loss, friction, 0.5 * (outside + inside)
        )
        size = max(abs(v), 1e-9)
        # the share that this flow would leave of the faces' state
        reached = 1.0 - mean_share(2.0 * convection / (heat_capacity * size))
        if reached > share:
            low = share
        else:
            high = share
    return 3600.0 * abs(v) / length
