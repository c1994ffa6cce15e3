"""Points, what they store, and what connects them.

A point lies on every face of every layer, so two layers that touch share one: it stores half a cell of each.
A point in air stores the water on its surface as well. The two sides of a film are two points for moisture
and one for heat, since a film has no resistance to heat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from moistwall.section import Film, Gap, Layer, Part
from moistwall.verify.problem import Problem

Array = NDArray[np.float64]

FINEST = {True: 3e-5, False: 3e-4}
"""Distance of the first two points at a face, where liquid moves and where it does not. [m]"""

GROWTH, COARSEST = 1.15, 40.0
"""Largest ratio of neighboring distances; largest distance as a share of the layer, 1 / COARSEST."""

SURFACE_AT_SATURATION = 5e-5
"""Water that a surface in air stores at relative humidity 1. [kg/m2]"""


@dataclass
class LayerMesh:
    """Where one layer lies among the points.

    Parameters
    ----------
    name : str
        Its name.
    x : (n,) ndarray
        Depth of its points from the outer surface. [m]
    bounds : (n + 1,) ndarray
        Depths that bound what each of them stores of this layer. [m]
    stores : (n,) ndarray of int
        Its stores.
    """

    name: str
    x: Array
    bounds: Array
    stores: NDArray[np.int64]


@dataclass
class Mesh:
    """Points from outside to inside; lists while it is built.

    Parameters
    ----------
    heat_of : list of int
        Point of heat of each point of moisture.
    surface_holds : list of float
        Water that stays on the surface of each point; 0 where it is in no air. [kg/m2]
    store_point, store_material, store_width : list
        Point of moisture, material and width [m] of each store.
    conductors : list of (int, int, float)
        Two neighboring stores of one layer and their distance. [m]
    films : list of (int, int, tuple of Film)
        Points of moisture on both sides, and the films that lie there.
    gaps : list of (int, int, Gap, float, float)
        Points of moisture on both sides, the gap, and the emittances of its faces.
    layers : list of LayerMesh
        The layers.
    """

    heat_of: list[int] = field(default_factory=list)
    surface_holds: list[float] = field(default_factory=list)
    store_point: list[int] = field(default_factory=list)
    store_material: list[int] = field(default_factory=list)
    store_width: list[float] = field(default_factory=list)
    conductors: list[tuple[int, int, float]] = field(default_factory=list)
    films: list[tuple[int, int, tuple[Film, ...]]] = field(default_factory=list)
    gaps: list[tuple[int, int, Gap, float, float]] = field(default_factory=list)
    layers: list[LayerMesh] = field(default_factory=list)

    def point(self, *, beside: int | None = None) -> int:
        """Add a point of moisture, at a new place or at the place of another."""
        place = 1 + max(self.heat_of, default=-1) if beside is None else self.heat_of[beside]
        self.heat_of.append(place)
        self.surface_holds.append(0.0)
        return len(self.heat_of) - 1

    def store(self, point: int, material: int, width: float) -> int:
        """Let a point store a width of a material."""
        self.store_point.append(point)
        self.store_material.append(material)
        self.store_width.append(width)
        return len(self.store_point) - 1


def distances(thickness: float, finest: float) -> Array:
    """Distances of points across a layer, growing from both faces. [m]"""
    half, step = [finest], finest
    while sum(half) < 0.5 * thickness:
        step = min(step * GROWTH, thickness / COARSEST)
        half.append(step)
    scaled = np.array(half) * (0.5 * thickness / sum(half))
    return np.concatenate((scaled, scaled[::-1]))


def points_of(layer: Layer, widths: Array | None, refine: int) -> tuple[Array, Array]:
    """Place the points of a layer.

    Parameters
    ----------
    layer : Layer
        The layer.
    widths : (n,) ndarray or None
        Cells, of which each gets one point, the outermost on the faces; None for the own ones. [m]
    refine : int
        Points for each of the own ones, and for each of the inner cells.

    Returns
    -------
    x, bounds : ndarray
        Depth of the points in the layer, and what bounds their stores. [m]
    """
    if widths is None:
        apart = np.repeat(distances(layer.thickness, FINEST[layer.material.capillary]), refine)
        x = np.concatenate(([0.0], np.cumsum(apart / refine)))
        x[-1] = layer.thickness
        bounds = np.concatenate(([0.0], 0.5 * (x[1:] + x[:-1]), [layer.thickness]))
        return x, bounds
    split = np.full(widths.size, refine)
    split[[0, -1]] = 1
    bounds = np.concatenate(([0.0], np.cumsum(np.repeat(widths / split, split))))
    x = 0.5 * (bounds[1:] + bounds[:-1])
    x[0], x[-1] = bounds[0], bounds[-1]
    return x, bounds


def mesh_of(problem: Problem, *, cells_of_file: bool, refine: int) -> Mesh:
    """Lay points into the section of a problem.

    Parameters
    ----------
    problem : Problem
        The problem.
    cells_of_file : bool
        True to use the cells that the file gives.
    refine : int
        Points for each of the own ones.

    Returns
    -------
    Mesh
    """
    mesh, section = Mesh(), problem.section
    here, pending, depth = mesh.point(), [], 0.0
    mesh.surface_holds[here] = section.outer.holds
    parts = section.parts

    def crossed(here: int, films: list[Film]) -> int:
        if not films:
            return here
        behind = mesh.point(beside=here)
        mesh.films.append((here, behind, tuple(films)))
        films.clear()
        return behind

    for number, part in enumerate(parts):
        if isinstance(part, Film):
            pending.append(part)
            continue
        here = crossed(here, pending)
        if isinstance(part, Layer):
            widths = problem.widths.get(part.name) if cells_of_file else None
            x, bounds = points_of(part, widths, refine)
            material = len(mesh.layers)
            stores = [mesh.store(here, material, bounds[1] - bounds[0])]
            for k in range(1, x.size):
                here = mesh.point()
                stores.append(mesh.store(here, material, bounds[k + 1] - bounds[k]))
                mesh.conductors.append((stores[-2], stores[-1], x[k] - x[k - 1]))
            mesh.layers.append(LayerMesh(part.name, depth + x, depth + bounds, np.array(stores)))
            depth += part.thickness
        else:
            mesh.surface_holds[here] = section.gap_holds
            behind = mesh.point()
            mesh.surface_holds[behind] = section.gap_holds
            before, after = _emittance(parts[number - 1 :: -1]), _emittance(parts[number + 1 :])
            mesh.gaps.append((here, behind, part, before, after))
            here, depth = behind, depth + part.depth
    here = crossed(here, pending)
    mesh.surface_holds[here] = section.inner.holds
    return mesh


def _emittance(parts: Sequence[Part]) -> float:
    """Emittance that the first of these parts shows: its own, or that of the layer behind it."""
    for part in parts:
        if isinstance(part, Layer):
            return part.material.emittance
        if isinstance(part, Film) and part.emittance is not None:
            return part.emittance
    raise ValueError("there is no layer behind the films of a gap")
