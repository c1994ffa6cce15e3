"""Curves of the materials, sampled so densely that what lies between the samples does not matter.

Content and liquid potential are sampled over z = ln(-ln(rh20)), the logarithm of suction, where all curves
are smooth: dry air lies at z = 3, and below z = -25 the air is saturated to eleven digits. A shift of z by
ln(K / 293.15) takes a curve over suction to another temperature.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from moistwall.material import Material

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

WETTEST, DRIEST, N_INTERVALS = -25.0, float(np.log(20.0)), 8192
LEAST_RH = 1e-8
"""Stands for dry air, which has no suction."""

_GAUSS, _WEIGHT = np.polynomial.legendre.leggauss(6)


class Curves(NamedTuple):
    """Curves of all materials as arrays for compiled code; the first axis is the material.

    Parameters
    ----------
    content, content_slope, potential, potential_slope : (n, N_INTERVALS + 1) ndarray
        Water content [kg/m3], liquid potential [kg/(m s)], and their slopes, over z.
    free, holds, free_potential, free_diffusivity : (n,) ndarray
        Content at saturation and at which water runs off [kg/m3]; potential [kg/(m s)] and liquid
        diffusivity [m2/s] at saturation, 0 where no liquid moves.
    over_suction, capillary : (n,) ndarray of int
        1 where content is a function of suction; 1 where liquid moves.
    capacity : (n,) ndarray
        Heat capacity of the dry material. [J/(m3 K)]
    at : (n, 4) ndarray of int
        First and last + 1 point of permeability and of conductivity in the lists that follow.
    rh, permeability, at_content, conductivity : ndarray
        Points of all materials, one after the other. [-], [kg/(m s Pa)], [kg/m3], [W/(m K)]
    slopes : (n, 3) ndarray
        Slope of permeability [1/K], slope of conductivity [1/K] and its temperature [degC].
    """

    content: Array
    content_slope: Array
    potential: Array
    potential_slope: Array
    free: Array
    holds: Array
    free_potential: Array
    free_diffusivity: Array
    over_suction: Ints
    capillary: Ints
    capacity: Array
    at: Ints
    rh: Array
    permeability: Array
    at_content: Array
    conductivity: Array
    slopes: Array


def sampled(materials: list[Material]) -> Curves:
    """Sample the curves of materials.

    Parameters
    ----------
    materials : list of Material

    Returns
    -------
    Curves
    """
    z = np.linspace(WETTEST, DRIEST, N_INTERVALS + 1)
    content, content_slope, potential, potential_slope = [], [], [], []
    end_potential, end_diffusivity, at = [], [], []
    rh: list[Array] = []
    permeability: list[Array] = []
    at_content: list[Array] = []
    conductivity: list[Array] = []
    for material in materials:
        w = np.asarray(material.storage.content(-np.exp(z)), float)
        content.append(w)
        content_slope.append(PchipInterpolator(z, w).derivative()(z))
        theta, free_theta, free_d = _potential(material, w)
        potential.append(theta)
        potential_slope.append(PchipInterpolator(z, theta).derivative()(z))
        end_potential.append(free_theta)
        end_diffusivity.append(free_d)
        n_vapor, n_heat = sum(map(len, rh)), sum(map(len, at_content))
        rh.append(np.asarray(material.vapor_rh, float))
        permeability.append(np.asarray(material.vapor_permeability, float))
        at_content.append(np.asarray(material.conductivity_content, float))
        conductivity.append(np.asarray(material.conductivity, float))
        at.append([n_vapor, n_vapor + len(rh[-1]), n_heat, n_heat + len(at_content[-1])])
    return Curves(
        np.array(content),
        np.array(content_slope),
        np.array(potential),
        np.array(potential_slope),
        np.array([m.storage.free for m in materials]),
        np.array([m.storage.holds for m in materials]),
        np.array(end_potential),
        np.array(end_diffusivity),
        np.array([int(m.storage.over_suction) for m in materials]),
        np.array([int(m.diffusivity is not None) for m in materials]),
        np.array([m.density * m.heat_capacity for m in materials]),
        np.array(at),
        np.concatenate(rh),
        np.concatenate(permeability),
        np.concatenate(at_content),
        np.concatenate(conductivity),
        np.array(
            [
                [m.permeability_slope, m.conductivity_slope, m.conductivity_temperature]
                for m in materials
            ]
        ),
    )


def _potential(material: Material, w: Array) -> tuple[Array, float, float]:
    """Integral of diffusivity over content from 0, at the samples and at saturation; D there."""
    if material.diffusivity is None:
        return np.zeros_like(w), 0.0, 0.0
    free = material.storage.free
    # content falls with z: from the dry end on, and what lies drier than it as one interval
    rising = np.concatenate(([0.0], w[::-1], [free]))
    half, middle = 0.5 * np.diff(rising), 0.5 * (rising[1:] + rising[:-1])
    points = middle[:, None] + half[:, None] * _GAUSS
    pieces = half * (
        np.asarray(material.diffusivity(points.ravel())).reshape(points.shape) @ _WEIGHT
    )
    total = np.cumsum(pieces)
    return (
        total[:-1][::-1].copy(),
        float(total[-1]),
        float(material.diffusivity(np.array([free]))[0]),
    )
