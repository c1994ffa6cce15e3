"""What connects the points, and where the unknowns stand, as arrays for compiled code."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from independent.curves import Curves
from independent.mesh import Mesh
from independent.states import Points
from moistwall.section import Film
from moistwall.verify.problem import Problem

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

MOISTURE, VAPOR, HEAT, N_TOTALS = range(4)
"""Totals since the start of what has passed a surface, positive inwards."""


class Links(NamedTuple):
    """What connects points, as arrays for compiled code.

    Parameters
    ----------
    inside_layer : (c, 3) ndarray of int
        Two stores of one layer and their material.
    apart : (c,) ndarray
        Their distance. [m]
    owner : (s,) ndarray of int
        Point of moisture of each store.
    film : (f, 4) ndarray of int
        Points on both sides of each film; first and last + 1 of its values.
    film_rh, film_permeance : ndarray
        Values of all films. [-], [kg/(m2 s Pa)]
    gap : (g, 2) ndarray of int
        Points on both sides of each gap.
    gap_values : (g, 4) ndarray
        Depth [m], convection [W/(m2 K)], emittances of both faces.
    at_t, at_w, at_drained : ndarray of int
        Where the temperature of each point of heat, the water of each point of moisture and what has run
        off from it stand among the unknowns.
    dry_capacity : ndarray
        Heat capacity of each point of heat without water. [J/(m2 K)]
    holds : ndarray
        Water above which a point lets water run off. [kg/m2]
    totals : (2,) ndarray of int
        Where the totals of the outer and the inner surface begin among the unknowns.
    surface : (2, 2) ndarray
        Absorptance and emittance of the outer and the inner surface.
    pressure : float
        Air pressure. [Pa]
    vapor_counts : float
        1, or 0 where moisture is left out and no air holds vapor.
    """

    inside_layer: Ints
    apart: Array
    owner: Ints
    film: Ints
    film_rh: Array
    film_permeance: Array
    gap: Ints
    gap_values: Array
    at_t: Ints
    at_w: Ints
    at_drained: Ints
    dry_capacity: Array
    holds: Array
    totals: Ints
    surface: Array
    pressure: float
    vapor_counts: float


def _in_series(films: tuple[Film, ...]) -> tuple[Array, Array]:
    """Values of films in series: their resistances add."""
    rh = np.unique(np.concatenate([film.rh for film in films]))
    if len(films) > 1:  # the sum of resistances is no straight line
        rh = np.unique(np.concatenate((rh, np.linspace(0.0, 1.0, 1001))))
    resistance = sum(1.0 / np.interp(rh, film.rh, film.permeance) for film in films)
    return rh, 1.0 / np.asarray(resistance)


def links_of(
    problem: Problem, mesh: Mesh, points: Points, curves: Curves
) -> tuple[Links, int, int]:
    """Give what connects the points, how far apart connected unknowns stand, and how many there are."""
    n_heat = max(mesh.heat_of) + 1
    at_t = np.zeros(n_heat, np.int64)
    at_w, at_drained = np.zeros((2, len(mesh.heat_of)), np.int64)
    count = N_TOTALS  # the outer surface's totals come first, so that they stand beside it
    for h in range(n_heat):
        at_t[h], count = count, count + 1
        for n in np.flatnonzero(points.heat_of == h):
            at_w[n], at_drained[n], count = count, count + 1, count + 2
    owner = np.array(mesh.store_point, np.int64)
    # connected are the unknowns of a place, of two neighboring places, and of an end and its totals
    last = np.append(at_t[1:], count) - 1
    reach = np.concatenate((last[1:] - at_t[:-1], last[:1], [count + N_TOTALS - 1 - at_t[-1]]))
    band = int(np.max(reach))
    capacity, holds = np.zeros(n_heat), points.surface_holds.copy()
    for s, n in enumerate(owner):
        capacity[mesh.heat_of[n]] += points.width[s] * curves.capacity[points.material[s]]
        holds[n] += points.width[s] * curves.holds[points.material[s]]
    film_rows, film_rh, film_permeance, held = [], [np.zeros(0)], [np.zeros(0)], 0
    for a, b, films in mesh.films:
        rh, permeance = _in_series(films)
        film_rows.append([a, b, held, held + rh.size])
        film_rh.append(rh)
        film_permeance.append(permeance)
        held += rh.size
    links = Links(
        np.array([[a, b, mesh.store_material[a]] for a, b, _ in mesh.conductors], np.int64),
        np.array([dx for _, _, dx in mesh.conductors]),
        owner,
        np.array(film_rows, np.int64).reshape(-1, 4),
        np.concatenate(film_rh),
        np.concatenate(film_permeance),
        np.array([[a, b] for a, b, *_ in mesh.gaps], np.int64).reshape(-1, 2),
        np.array([[g.depth, g.convection, e, f] for _, _, g, e, f in mesh.gaps]).reshape(-1, 4),
        at_t,
        at_w,
        at_drained,
        capacity,
        holds,
        np.array([0, count]),
        np.array([problem.absorptance, problem.emittance]).T.copy(),
        problem.pressure,
        float(problem.mode != "heat only"),
    )
    return links, band, count + N_TOTALS
