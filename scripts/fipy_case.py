"""Solve a problem of ``moistwall bench`` with FiPy, a general solver of partial differential equations.

    python scripts/fipy_case.py FILE [--steps N] [--cells N]

Written from docs/theory.md and docs/bench.md alone; nothing of moistwall is imported, not even constants
or the reader of problem files. It takes heat and vapor in layers side by side: no liquid, films, gaps, rain
or sun. It prints CSV: ``hour`` and the columns asked for by name, temperatures [degC] and relative humidities
[-] at the sides of layers. It needs FiPy, of NIST (the extra ``references``), and takes about a minute.

Unknowns are temperature and relative humidity. Both balances are finite volumes of FiPy's own terms, solved
together in sweeps until nothing moves; in time the trapezoidal rule, after an hour of short implicit steps.
"""

from __future__ import annotations

import argparse
import csv
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
from fipy import (  # type: ignore[import-untyped]
    CellVariable,
    DiffusionTerm,
    Grid1D,
    ImplicitSourceTerm,
    LinearLUSolver,
    TransientTerm,
)
from numpy.typing import NDArray

Array = NDArray[np.float64]

LATENT, VAPOR_HEAT, WATER_HEAT = 2.5e6, 1860.0, 4186.0
"""Latent heat at 0 degC [J/kg], heat capacities of vapor and liquid water [J/(kg K)]."""

SETTLED_T, SETTLED_RH = 1e-5, 1e-7
"""Changes in a sweep from which both equations count as solved. [K], [-]"""

MOST_SWEEPS = 50

FIRST_STEPS = 60
"""Steps of the first hour, which are implicit."""

EDGE = 20.0
"""The widest cell of a layer over the one at its faces. [-]"""


def saturation(t: Array) -> Array:
    """Pressure of saturated air above 0 degC. [Pa]

    Hyland and Wexler 1983, as in ASHRAE Fundamentals ch. 1 (coefficients from memory).
    """
    k = t + 273.15
    return np.asarray(
        np.exp(
            -5.8002206e3 / k
            + 1.3914993
            - 4.8640239e-2 * k
            + 4.1764768e-5 * k**2
            - 1.4452093e-8 * k**3
            + 6.5459673 * np.log(k)
        )
    )


class Series:
    """A value that may change with time, as the file has it."""

    def __init__(self, given: Any) -> None:
        if isinstance(given, dict) and given.get("hold") != "linear":
            raise SystemExit("only series held as lines are solved here")
        self.values = np.atleast_1d(given["values"] if isinstance(given, dict) else given)

    def at(self, hour: float) -> float:
        """Value at an hour."""
        if self.values.size == 1:
            return float(self.values[0])
        return float(np.interp(hour, np.arange(self.values.size), self.values))


class End:
    """Air at an end of the section."""

    def __init__(self, given: dict[str, Any]) -> None:
        known = {"temperature_degC", "relative_humidity", "vapor_pressure_Pa"}
        films = {"heat_film_W_m2K", "vapor_film_kg_m2sPa"}
        if given.keys() - known - films or films - given.keys():
            raise SystemExit(f"an end needs films, and nothing but {sorted(known | films)}")
        self.t = Series(given["temperature_degC"])
        self.rh = Series(given["relative_humidity"]) if "relative_humidity" in given else None
        self.p = None if self.rh else Series(given["vapor_pressure_Pa"])
        self.heat = Series(given["heat_film_W_m2K"])
        self.vapor = Series(given["vapor_film_kg_m2sPa"])

    def pressure(self, hour: float) -> float:
        """Vapor pressure, linear between the hour marks. [Pa]"""
        if self.p is not None:
            return self.p.at(hour)
        assert self.rh is not None
        marks = np.array([np.floor(hour), np.floor(hour) + 1.0])
        values = [self.rh.at(m) * float(saturation(np.array(self.t.at(m)))) for m in marks]
        return float(np.interp(hour, marks, values))


class Table:
    """Straight lines between points, constant beyond them."""

    def __init__(self, x: Any, y: Any) -> None:
        self.x, self.y = np.atleast_1d(x).astype(float), np.atleast_1d(y).astype(float)

    def __call__(self, x: Array) -> Array:
        """Values at x."""
        return np.asarray(np.interp(x, self.x, self.y))

    def slope(self, x: Array) -> Array:
        """Slope of the line on which x lies."""
        k = np.clip(np.searchsorted(self.x, x) - 1, 0, self.x.size - 2)
        return np.asarray((self.y[k + 1] - self.y[k]) / (self.x[k + 1] - self.x[k]))


class Layer:
    """One layer: its cells in the section, and its material."""

    def __init__(self, part: dict[str, Any], material: dict[str, Any], first: int, n: int) -> None:
        if part["type"] != "layer" or "liquid" in material:
            raise SystemExit("only layers without liquid are solved here")
        self.name, self.part = part["name"], part
        self.cells = slice(first, first + n)
        # narrow at both faces, wide in the middle
        width = 1.0 + (EDGE - 1.0) * np.sin(np.pi * (np.arange(n) + 0.5) / n) ** 2
        self.width = part["thickness_m"] * width / width.sum()
        heat, storage, vapor = material["heat"], material["storage"], material["vapor"]
        known = {"density_kg_m3", "heat_capacity_J_kgK", "conductivity_W_mK", "water_content_kg_m3"}
        if heat.keys() - known or "per_kelvin" in vapor or {"between", "follows"} & storage.keys():
            raise SystemExit(f"{self.name}: slopes with temperature and curves are not solved here")
        if vapor["form"] not in ("constant", "table over humidity"):
            raise SystemExit(f"{self.name}: permeability must be given, constant or over humidity")
        if storage["form"] != "table over humidity" or storage["relative_humidity"][-1] != 1.0:
            raise SystemExit(f"{self.name}: storage must be a table over humidity up to 1")
        self.capacity = heat["density_kg_m3"] * heat["heat_capacity_J_kgK"]
        self.conductivity = Table(heat.get("water_content_kg_m3", 0.0), heat["conductivity_W_mK"])
        rh, w = storage["relative_humidity"], storage["water_content_kg_m3"]
        self.content = Table([0.0, *rh], [0.0, *w])
        self.permeability = Table(
            vapor.get("relative_humidity", 0.0), vapor["permeability_kg_msPa"]
        )


class Wall:
    """The section on FiPy's mesh, and its state."""

    def __init__(self, problem: dict[str, Any], n: int) -> None:
        if problem["mode"] != "heat and moisture" or "air_flow_kg_m2s" in problem:
            raise SystemExit("only heat and moisture together are solved here, without air flow")
        if {one["at"] for one in problem["output"]} - {"outer side", "inner side"}:
            raise SystemExit("only the outer and inner sides of layers are told here")
        self.layers = [
            Layer(part, problem["material"][part["material"]], k * n, n)
            for k, part in enumerate(problem["part"])
        ]
        self.ends = [End(problem["outside"]), End(problem["inside"])]
        self.dx = np.concatenate([layer.width for layer in self.layers])
        self.mesh = Grid1D(dx=self.dx)
        self.t = self.cells(self._by_layer(lambda one: one.part["initial_temperature_degC"]))
        self.rh = self.cells(self._by_layer(lambda one: one.part["initial_relative_humidity"]))
        # what is set anew before a solution: properties of the cells, films at the ends, sources
        self.capacity, self.sorption = self.coefficient(), self.coefficient()
        self.conductivity, self.permeability = self.coefficient(1.0), self.coefficient(1.0)
        self.saturated, self.saturated_slope = self.coefficient(), self.coefficient()
        self.heat_film, self.vapor_film = self.coefficient(), self.coefficient()
        self.heat_source, self.vapor_source = self.coefficient(), self.coefficient()
        self.vapor_by_t, self.heat_by_rh = self.coefficient(), self.coefficient()
        # the flux of vapor is -delta grad(rh p_sat): what each unknown makes of it is taken implicitly, and
        # what is left of the whole from the last sweep
        delta, vapor = self.permeability.harmonicFaceValue, self.rh * self.saturated
        by_rh = delta * self.saturated.faceValue
        by_t = delta * self.rh.faceValue * self.saturated_slope.faceValue
        left = delta * vapor.faceGrad - by_rh * self.rh.faceGrad - by_t * self.t.faceGrad
        enthalpy = LATENT + VAPOR_HEAT * self.t.faceValue
        conductivity = self.conductivity.harmonicFaceValue
        vapor_equation = TransientTerm(coeff=self.sorption, var=self.rh) == (
            DiffusionTerm(coeff=by_rh, var=self.rh)
            + DiffusionTerm(coeff=by_t, var=self.t)
            + left.divergence
            - ImplicitSourceTerm(coeff=self.vapor_film, var=self.rh)
            - ImplicitSourceTerm(coeff=self.vapor_by_t, var=self.t)
            + self.vapor_source
        )
        heat_equation = TransientTerm(coeff=self.capacity, var=self.t) == (
            DiffusionTerm(coeff=conductivity + enthalpy * by_t, var=self.t)
            + DiffusionTerm(coeff=enthalpy * by_rh, var=self.rh)
            + (enthalpy * left).divergence
            - ImplicitSourceTerm(coeff=self.heat_film, var=self.t)
            - ImplicitSourceTerm(coeff=self.heat_by_rh, var=self.rh)
            + self.heat_source
        )
        self.equations = vapor_equation & heat_equation
        self.solver = LinearLUSolver(
            tolerance=0.0, iterations=2
        )  # never content with the last sweep
        self.dry_capacity = self._by_layer(lambda one: one.capacity)
        self.gain = [np.zeros_like(self.dx), np.zeros_like(self.dx)]

    def cells(self, value: Array) -> CellVariable:
        """Make an unknown, which remembers its value at the start of a step."""
        return CellVariable(mesh=self.mesh, value=value, hasOld=True)

    def coefficient(self, value: float = 0.0) -> CellVariable:
        """Make a coefficient, one value a cell."""
        return CellVariable(mesh=self.mesh, value=value)

    def _by_layer(self, value: Any) -> Array:
        return np.concatenate([np.full(one.width.size, float(value(one))) for one in self.layers])

    def evaluated(self, name: str, x: Array) -> Array:
        """Give a property of each cell's own layer at x."""
        found = [getattr(one, name)(x[one.cells]) for one in self.layers]
        return np.concatenate(found)

    def content(self) -> Array:
        """Water content of the cells. [kg/m3]"""
        return self.evaluated("content", self.rh.value)

    def films(self, hour: float) -> dict[str, Array]:
        """What passes between air and the end cells, per volume: films of each unknown, and sources.

        The vapor K (p_air - rh p_sat(T)) is linear about the last sweep in rh and in T; at the surface it has
        the enthalpy L + c T of that place.
        """
        names = (
            "vapor_film",
            "vapor_by_t",
            "vapor_source",
            "heat_film",
            "heat_by_rh",
            "heat_source",
        )
        found = {name: np.zeros_like(self.dx) for name in names}
        for k, cell in enumerate((0, -1)):
            _, _, t_air, p_air = self.air(k, hour)
            heat, vapor = (each / self.dx[cell] for each in self.conductances(k, hour))
            by_rh = vapor * self.saturated.value[cell]
            by_t = vapor * self.rh.value[cell] * self.saturated_slope.value[cell]
            known = vapor * p_air + by_t * self.t.value[cell]
            enthalpy = LATENT + VAPOR_HEAT * self.surface(k, hour)[0]
            found["vapor_film"][cell], found["vapor_by_t"][cell] = by_rh, by_t
            found["vapor_source"][cell] = known
            found["heat_film"][cell] = heat + enthalpy * by_t
            found["heat_by_rh"][cell] = enthalpy * by_rh
            found["heat_source"][cell] = heat * t_air + enthalpy * known
        return found

    def air(self, k: int, hour: float) -> tuple[float, float, float, float]:
        """Films [W/(m2 K)], [kg/(m2 s Pa)] and state [degC], [Pa] of the air at end k."""
        end = self.ends[k]
        return end.heat.at(hour), end.vapor.at(hour), end.t.at(hour), end.pressure(hour)

    def conductances(self, k: int, hour: float) -> tuple[float, float]:
        """Film and half cell in series at end k. [W/(m2 K)], [kg/(m2 s Pa)]"""
        cell, (h, beta, _, _) = (0, -1)[k], self.air(k, hour)
        half = 0.5 * self.dx[cell]
        return (
            1.0 / (1.0 / h + half / self.conductivity.value[cell]),
            1.0 / (1.0 / beta + half / self.permeability.value[cell]),
        )

    def surface(self, k: int, hour: float) -> tuple[float, float]:
        """Temperature [degC] and vapor pressure [Pa] of the surface at end k."""
        cell, (h, beta, t, p) = (0, -1)[k], self.air(k, hour)
        heat, vapor = self.conductances(k, hour)
        t_cell, p_cell = self.t.value[cell], self.vapor()[cell]
        return t - heat * (t - t_cell) / h, p - vapor * (p - p_cell) / beta

    def vapor(self) -> Array:
        """Vapor pressure of the cells. [Pa]"""
        return np.asarray(self.rh.value * saturation(self.t.value))

    def set_properties(self) -> Array:
        """Set the properties that depend on the state; return the water content. [kg/m3]"""
        w, t = self.content(), self.t.value
        self.conductivity.setValue(self.evaluated("conductivity", w))
        self.permeability.setValue(self.evaluated("permeability", self.rh.value))
        self.saturated.setValue(saturation(t))
        self.saturated_slope.setValue((saturation(t + 0.01) - saturation(t - 0.01)) / 0.02)
        return w

    def amounts(self) -> tuple[Array, Array]:
        """Water [kg/m3] and enthalpy [J/m3] in the cells."""
        w = self.content()
        return w, (self.dry_capacity + WATER_HEAT * w) * self.t.value

    def step(self, hour: float, seconds: float, implicit: bool) -> None:
        """Go on to ``hour``: by the implicit rule, or by the trapezoidal one.

        U is what cells hold and F what they gain. Implicit is U = U_old + dt F; trapezoidal is the same over
        dt/2 from U_old + dt/2 F_old, and F need not be evaluated: it is what the step has found.
        """
        before = self.amounts()
        dt = seconds if implicit else 0.5 * seconds
        base = [u if implicit else u + dt * gain for u, gain in zip(before, self.gain, strict=True)]
        t_old, rh_old = self.t.value.copy(), self.rh.value.copy()
        self.t.updateOld()
        self.rh.updateOld()
        for _ in range(MOST_SWEEPS):
            t, rh = self.t.value.copy(), self.rh.value.copy()
            w = self.set_properties()
            slope = np.concatenate([one.content.slope(rh[one.cells]) for one in self.layers])
            capacity = self.dry_capacity + WATER_HEAT * w
            # w and its slope at the last sweep, and C T for enthalpy: exact once nothing moves
            ends = self.films(hour)
            ends["vapor_source"] -= (w - base[0] - slope * (rh - rh_old)) / dt
            ends["heat_source"] -= (capacity * t_old - base[1]) / dt
            for name, values in (("sorption", slope), ("capacity", capacity), *ends.items()):
                getattr(self, name).setValue(values)
            self.equations.solve(dt=dt, solver=self.solver)
            moved = np.abs(self.t.value - t).max(), np.abs(self.rh.value - rh).max()
            if moved[0] < SETTLED_T and moved[1] < SETTLED_RH:
                break
        else:
            raise SystemExit(f"hour {hour}: not settled after {MOST_SWEEPS} sweeps")
        now = self.amounts()
        self.gain = [(u - start) / dt for u, start in zip(now, base, strict=True)]

    def side(self, name: str, side: str, hour: float) -> tuple[float, float]:
        """Temperature [degC] and relative humidity [-] at the 'outer side' or 'inner side' of a layer."""
        layer = next(one for one in self.layers if one.name == name)
        j = layer.cells.start if side == "outer side" else layer.cells.stop
        if j in (0, self.dx.size):
            t, p = self.surface(0 if j == 0 else 1, hour)
        else:
            t, p = (
                self._between(j, x, d.value)
                for x, d in ((self.t.value, self.conductivity), (self.vapor(), self.permeability))
            )
        return t, p / float(saturation(np.array(t)))

    def _between(self, j: int, x: Array, coefficient: Array) -> float:
        """Value on the face between cells j - 1 and j, by their half-cell conductances."""
        a, b = coefficient[j - 1] / self.dx[j - 1], coefficient[j] / self.dx[j]
        return float((a * x[j - 1] + b * x[j]) / (a + b))


def solve(problem: dict[str, Any], steps: int, n: int) -> dict[str, list[float]]:
    """Solve a problem.

    Parameters
    ----------
    problem : dict
        Content of the file.
    steps : int
        Steps an hour.
    n : int
        Cells a layer.

    Returns
    -------
    dict of str to list of float
        ``hour`` and what is asked for, by name.
    """
    wall = Wall(problem, n)
    outputs = problem["output"]
    columns: dict[str, list[float]] = {"hour": [], **{one["name"]: [] for one in outputs}}
    for hour in range(problem["hours"]):
        # what the start shakes would ring on under the trapezoidal rule
        at_first = hour == 0
        count = FIRST_STEPS if at_first else steps
        for k in range(count):
            wall.step(hour + (k + 1) / count, 3600.0 / count, implicit=at_first)
        if (hour + 1) % problem["output_every_hours"] == 0:
            wall.set_properties()
            columns["hour"].append(hour + 1.0)
            for one in outputs:
                t, rh = wall.side(one["layer"], one["at"], hour + 1.0)
                values = {"temperature": t, "relative humidity": rh}
                columns[one["name"]].append(values[one["quantity"]])
    return columns


def main() -> None:
    """Read the command line, solve, and print."""
    parser = argparse.ArgumentParser(description="Solve a problem of moistwall bench with FiPy.")
    parser.add_argument("file", type=Path)
    parser.add_argument("--steps", type=int, default=5, help="steps an hour")
    parser.add_argument("--cells", type=int, default=20, help="cells a layer")
    given = parser.parse_args()
    problem = tomllib.loads(given.file.read_text(encoding="utf-8"))
    columns = solve(problem, given.steps, given.cells)
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(zip(*columns.values(), strict=True))


if __name__ == "__main__":
    main()
