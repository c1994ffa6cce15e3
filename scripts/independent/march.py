"""From a problem to the columns that it asks for: integration by SUNDIALS CVODE, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from sksundae.cvode import CVODE  # type: ignore[import-untyped]

from independent.curves import LEAST_RH, Curves, sampled
from independent.links import HEAT, MOISTURE, N_TOTALS, VAPOR, links_of
from independent.mesh import SURFACE_AT_SATURATION, LayerMesh, mesh_of
from independent.rates import (
    H_FILM,
    N_END,
    P_AIR,
    T_AIR,
    V_FILM,
    Work,
    rates,
    states,
    work_for,
)
from independent.states import Points, points_of_mesh
from moistwall.verify.outputs import Wanted
from moistwall.verify.problem import Problem, Start

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

HOUR = 3600.0
TOTALS = {"moisture": MOISTURE, "vapor": VAPOR, "heat": HEAT}
SURFACES = {"outer surface": 0, "inner surface": 1}


@dataclass(frozen=True)
class Solution:
    """An answer.

    Parameters
    ----------
    problem : Problem
        What was asked.
    columns : dict of str to (n_times,) ndarray
        ``hour`` and every column of the problem.
    n_points : int
        Points of moisture.
    n_steps, n_rates : int
        Steps of the integrator, and how often it asked for rates.
    lost : float
        Water that came in, less what went out, ran off and is stored more than at first; where
        the air of a gap takes water away, that as well. [kg/m2]
    """

    problem: Problem
    columns: dict[str, Array]
    n_points: int
    n_steps: int
    n_rates: int
    lost: float


def solve(
    problem: Problem, *, rtol: float = 1e-8, refine: int = 1, cells_of_file: bool = False
) -> Solution:
    """Solve a problem.

    Parameters
    ----------
    problem : Problem
        As moistwall's reader gives it.
    rtol : float
        Relative error of a step; absolute errors follow from it.
    refine : int
        Points for each of the own ones, which are some fifty a layer.
    cells_of_file : bool
        True to let the points store what the cells of the file hold. Needed where water condenses on a
        face that is in no air, since what it then fills is the cell and nothing else.

    Returns
    -------
    Solution

    Raises
    ------
    ValueError
        If the problem asks for a flow within the section, which is not recorded here, or lets air pass
        a gap.
    RuntimeError
        If the integration fails.
    """
    return _March(problem, rtol, refine, cells_of_file).run()


class _March:
    """One solution in the making."""

    def __init__(self, problem: Problem, rtol: float, refine: int, cells_of_file: bool) -> None:
        if problem.section.gaps and np.any(problem.loads[:, -1] != 0.0):
            raise ValueError("air through a section with a gap is not solved here")
        self.problem, self.rtol = problem, rtol
        self.mesh = mesh_of(problem, cells_of_file=cells_of_file, refine=refine)
        self.curves: Curves = sampled([layer.material for layer in problem.section.layers])
        self.points: Points = points_of_mesh(self.mesh)
        self.links, self.band, self.size = links_of(problem, self.mesh, self.points, self.curves)
        self.work: Work = work_for(self.points)

    def run(self) -> Solution:
        """Integrate from hour mark to hour mark, where the loads have their kinks."""
        problem, links = self.problem, self.links
        y = self._start()
        began = self._stored(y)
        wanted = set(problem.output_hours.tolist())
        rows: list[list[float]] = []
        before = y.copy()
        start, end = np.zeros(problem.loads.shape[1]), np.zeros(problem.loads.shape[1])
        points, curves, work = self.points, self.curves, self.work

        def rhs(t: float, y: Array, dy: Array) -> None:
            rates(start, end, t / HOUR, points, curves, links, y, work, dy)

        solver = CVODE(
            rhs,
            rtol=self.rtol,
            atol=self._absolute(),
            linsolver="band",
            lband=self.band,
            uband=self.band,
            max_num_steps=200_000,
        )
        n_steps = n_rates = 0
        for hour in range(problem.hours):
            end[:] = problem.loads[hour + 1]
            start[:] = np.where(problem.is_step == 1, end, problem.loads[hour])
            found = solver.solve(np.array([0.0, HOUR]), y)
            if not found.success:
                raise RuntimeError(f"hour {hour}: {found.message}")
            y = found.y[-1].copy()
            n_steps, n_rates = n_steps + len(found.t) - 1, n_rates + found.nfev
            if hour + 1 in wanted:
                states(points, curves, links, y, work)
                given = (y, y - before, problem.loads[hour + 1])
                rows.append([self._value(one, *given) for one in problem.outputs])
            before = y
        columns = {"hour": problem.output_hours.astype(float)}
        for k, one in enumerate(problem.outputs):
            columns[one.column] = np.array([row[k] for row in rows])
        outer, inner = links.totals + MOISTURE
        passed = y[outer] - y[inner] - np.sum(y[links.at_drained])
        lost = passed - (self._stored(y) - began)
        return Solution(problem, columns, len(points.heat_of), n_steps, n_rates, float(lost))

    # the unknowns --------------------------------------------------------------------------------

    def _start(self) -> Array:
        """Give the unknowns at the start."""
        y = np.zeros(self.size)
        points, curves = self.points, self.curves
        heat = np.zeros(len(self.links.at_t))
        neighbor_rh = np.full(len(points.heat_of), np.nan)
        for m, layer in enumerate(self.mesh.layers):
            start = self.problem.start[layer.name]
            widths = self.problem.widths.get(layer.name)
            rh, content, temperature = _spread(start, layer, widths)
            for k, s in enumerate(layer.stores):
                if rh is not None:
                    ln_rh = np.log(max(float(rh[k]), LEAST_RH))
                    if curves.over_suction[m]:
                        ln_rh *= (temperature[k] + 273.15) / 293.15
                    material = self.problem.section.layers[m].material
                    w = float(material.storage.content(np.array([ln_rh]))[0])
                    neighbor_rh[self.links.owner[s]] = rh[k]
                else:
                    assert content is not None
                    w = float(content[k])
                n = self.links.owner[s]
                y[self.links.at_w[n]] += points.width[s] * w
                heat[points.heat_of[n]] += temperature[k] * points.width[s] * curves.capacity[m]
        known = neighbor_rh[np.isfinite(neighbor_rh)]
        for n in np.flatnonzero(points.surface_holds > 0.0):
            rh_here = neighbor_rh[n]
            if not np.isfinite(rh_here):
                rh_here = known[0 if n == 0 else -1] if known.size else 0.5
            y[self.links.at_w[n]] += SURFACE_AT_SATURATION * rh_here
        y[self.links.at_t] = heat / self.links.dry_capacity
        return y

    def _absolute(self) -> Array:
        """Absolute errors: a share of what each point stores at saturation, 10 K, totals alike."""
        atol = np.full(self.size, self.rtol)
        points, curves = self.points, self.curves
        for n, at in enumerate(self.links.at_w):
            stores = range(points.first[n], points.first[n + 1])
            full = sum(points.width[s] * curves.free[points.material[s]] for s in stores)
            full += SURFACE_AT_SATURATION * (points.surface_holds[n] > 0.0)
            atol[at] = 0.1 * self.rtol * full
        atol[self.links.at_t] = 10.0 * self.rtol
        for total in self.links.totals:
            atol[total : total + N_TOTALS] = 0.1 * self.rtol
            atol[total + HEAT] = 1e5 * self.rtol
        return atol

    def _stored(self, y: Array) -> float:
        return float(np.sum(y[self.links.at_w]))

    # what is asked for ---------------------------------------------------------------------------

    def _value(self, one: Wanted, y: Array, hourly: Array, loads: Array) -> float:
        """One column at one hour mark."""
        kind, what = one.quantity.rsplit(" ", 1)[0], one.quantity
        work, points = self.work, self.points
        if what == "drained water":
            if one.at != "section":
                raise ValueError("what runs off is recorded for the section alone")
            return float(np.sum(y[self.links.at_drained]))
        if what.startswith("film "):
            return self._film_flow(one, y, loads)
        if what.endswith((" flow", " passed")):
            if one.at not in SURFACES:
                raise ValueError(f"the {what} at the {one.at} is not recorded")
            at = self.links.totals[SURFACES[one.at]] + TOTALS[kind]
            return float(y[at] if what.endswith("passed") else hourly[at] / HOUR)
        if what == "stored water" and one.at == "section":
            return self._stored(y)
        if one.at in ("outer surface", "inner surface"):
            n = 0 if one.at == "outer surface" else len(points.heat_of) - 1
            t = y[self.links.at_t[points.heat_of[n]]]
            states_here = {
                "temperature": t,
                "relative humidity": work.rh[n],
                "vapor pressure": work.vapor[n],
            }
            return float(states_here[what])
        return self._in_layer(one, y)

    def _in_layer(self, one: Wanted, y: Array) -> float:
        """A state in a layer."""
        layer = next(layer for layer in self.mesh.layers if layer.name == one.layer)
        owner = self.links.owner[layer.stores]
        values = {
            "temperature": y[self.links.at_t[self.points.heat_of[owner]]],
            "relative humidity": self.work.rh[owner],
            "vapor pressure": self.work.vapor[owner],
            "water content": self.work.content[layer.stores],
            "stored water": self.work.content[layer.stores],
        }[one.quantity]
        widths = np.diff(layer.bounds)
        if one.at == "layer":
            total = float(widths @ values)
            return total if one.quantity == "stored water" else total / float(widths.sum())
        if one.at == "outer side":
            return float(values[0])
        if one.at == "inner side":
            return float(values[-1])
        if one.at == "depth":
            return float(PchipInterpolator(layer.x, values)(one.depth))
        edges = np.concatenate(([0.0], np.cumsum(self.problem.widths[one.layer]))) + layer.x[0]
        low, high = edges[one.cell - 1], edges[one.cell]
        inside = np.clip(
            np.minimum(layer.bounds[1:], high) - np.maximum(layer.bounds[:-1], low), 0, None
        )
        return float(inside @ values / inside.sum())

    def _film_flow(self, one: Wanted, y: Array, loads: Array) -> float:
        """Film coefficient times difference at an end, positive inwards."""
        outer = one.at == "outer surface"
        n, first = (0, 0) if outer else (len(self.points.heat_of) - 1, N_END)
        if one.quantity == "film heat flow":
            air, here, film = T_AIR, y[self.links.at_t[self.points.heat_of[n]]], H_FILM
        else:
            air, here, film = P_AIR, self.work.vapor[n], V_FILM
        flow = loads[first + film] * (loads[first + air] - here)
        return float(flow if outer else -flow)


def _spread(
    start: Start, layer: LayerMesh, widths: Array | None
) -> tuple[Array | None, Array | None, Array]:
    """Humidity, content and temperature at the start, for each store of a layer."""

    def spread(values: Array) -> Array:
        if values.size == 1:
            return np.full(layer.x.size, values[0])
        assert widths is not None
        middle = 0.5 * (layer.bounds[1:] + layer.bounds[:-1]) - layer.x[0]
        cell = np.searchsorted(np.cumsum(widths), middle)
        return np.asarray(values[np.minimum(cell, values.size - 1)])

    rh = None if start.rh is None else spread(start.rh)
    content = None if start.content is None else spread(start.content)
    return rh, content, spread(start.temperature)
