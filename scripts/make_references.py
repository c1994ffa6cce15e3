"""Make the reference series of the verification that no closed form gives.

    python scripts/make_references.py [--only NAME ...]

Each goes to moistwall/verify/references with the key of the problem that it answers. Nothing here uses
moistwall's solver:

- ``uptake``: values computed once by another one-dimensional scheme for the functions of EN 15026, on two
  grids that agree to 0.01 kg/m3; they stand here as they were.
- ``rain-10``, ``rain-40``: the Kirchhoff form dw/dt = d2 Theta / dx2 on 1600 cells by scipy's LSODA.
- ``moist-air``: psychrolib.
- all others: the independent method of lines in scripts/independent, on two grids. It needs scikit-sundae
  (the extra ``references``) and takes some five minutes.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from moistwall.verify.cases_air import moist_air_key, moist_air_states
from moistwall.verify.problem import Problem, read_problem
from moistwall.verify.reference import reference_text

Array = NDArray[np.float64]
VERIFY = Path(__file__).resolve().parent.parent / "moistwall" / "verify"

UPTAKE = {
    "w_5mm": (80.28, 109.31, 124.06),
    "w_10mm": (51.89, 82.12, 118.83),
    "w_15mm": (45.17, 62.22, 112.65),
    "w_20mm": (43.40, 52.78, 105.63),
    "w_30mm": (42.95, 45.52, 89.87),
    "w_40mm": (42.94, 43.51, 74.84),
    "w_60mm": (42.94, 42.96, 57.20),
    "w_100mm": (42.94, 42.94, 46.04),
    "t_250mm": (28.29, 29.18, 29.78),
    "t_500mm": (26.64, 28.35, 29.54),
    "t_1000mm": (23.84, 26.75, 29.06),
    "t_1500mm": (21.91, 25.29, 28.58),
    "t_2000mm": (20.81, 24.00, 28.11),
    "t_3000mm": (20.09, 22.07, 27.19),
    "t_4000mm": (20.01, 20.92, 26.30),
    "t_5000mm": (20.00, 20.35, 25.47),
    "uptake": (0.4503, 0.9324, 3.252),
}
"""Water content [kg/m3], temperature [degC] and uptake [kg/m2] after 7, 30 and 365 days."""

RAIN_CELLS = 1600


def write(name: str, key: str, made_by: str, columns: dict[str, Array]) -> None:
    """Write one table."""
    text = reference_text(key, made_by, columns)
    (VERIFY / "references" / f"{name}.csv").write_text(text, encoding="utf-8")
    print(f"{name}: {made_by}")


def problem_of(name: str) -> Problem:
    """Read a problem by its name."""
    return read_problem(VERIFY / "problems" / f"{name}.toml")


def uptake(name: str) -> None:
    """Put the values of the other scheme into a table."""
    problem = problem_of(name)
    columns = {"hour": problem.output_hours.astype(float)}
    for wanted in problem.outputs:
        columns[wanted.column] = np.array(UPTAKE[wanted.name])
    made_by = "another one-dimensional scheme, two grids agree to 0.01 kg/m3 and 0.01 K"
    write(name, problem.key, made_by, columns)


def rain(name: str) -> None:
    """Suction of a board whose outer face is saturated from the start, its inner face sealed."""
    problem = problem_of(name)
    layer = problem.section.layers[0]
    material = layer.material
    assert material.diffusivity is not None
    free = material.storage.free
    rh_start = problem.start[layer.name].rh
    assert rh_start is not None
    start = float(material.storage.content(np.log(rh_start))[0])
    # D = D_f 1000^(w / w_f - 1) has the integral D_f w_f / ln(1000) (1000^(w / w_f - 1) - 1 / 1000)
    last = float(material.diffusivity(np.array([free]))[0])

    def theta(content: Array) -> Array:
        return last * free / np.log(1000.0) * (1000.0 ** (content / free - 1.0) - 1e-3)

    # cells that grow from the wet face, where the front starts
    edge = layer.thickness * np.linspace(0.0, 1.0, RAIN_CELLS + 1) ** 2
    width, middle = np.diff(edge), 0.5 * (edge[1:] + edge[:-1])
    apart = np.diff(middle)
    top = float(theta(np.array([free]))[0])

    def rate(_: float, content: Array) -> Array:
        level = theta(content)
        flow = np.concatenate(
            ([(top - level[0]) / middle[0]], (level[:-1] - level[1:]) / apart, [0.0])
        )
        return -np.diff(flow) / width

    seconds = 3600.0 * problem.output_hours
    found = solve_ivp(
        rate,
        (0.0, float(seconds[-1])),
        np.full(RAIN_CELLS, start),
        method="LSODA",
        t_eval=seconds,
        rtol=1e-8,
        atol=1e-8,
        lband=1,
        uband=1,
    )
    if not found.success:
        raise SystemExit(found.message)
    columns = {
        "hour": problem.output_hours.astype(float),
        "water_kg_m2": width @ found.y,
        "w_2mm_kg_m3": np.array([np.interp(0.002, middle, y) for y in found.y.T]),
        "w_5mm_kg_m3": np.array([np.interp(0.005, middle, y) for y in found.y.T]),
    }
    made_by = f"Kirchhoff form on {RAIN_CELLS} cells, scipy LSODA at 1e-8"
    write(name, problem.key, made_by, columns)


def moist_air(name: str) -> None:
    """Moist air by psychrolib."""
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    states = moist_air_states()
    columns: dict[str, list[float]] = {
        "temperature_degC": [],
        "relative_humidity": [],
        "saturation_Pa": [],
        "dew_point_degC": [],
        "humidity_ratio": [],
        "density_kg_m3": [],
        "enthalpy_J_kg": [],
    }
    pressure = 101_325.0
    for t, rh in states:
        ratio = psychrolib.GetHumRatioFromRelHum(t, rh, pressure)
        row = (
            t,
            rh,
            psychrolib.GetSatVapPres(t),
            psychrolib.GetTDewPointFromRelHum(t, rh),
            ratio,
            psychrolib.GetMoistAirDensity(t, ratio, pressure),
            psychrolib.GetMoistAirEnthalpy(t, ratio),
        )
        for values, value in zip(columns.values(), row, strict=True):
            values.append(value)
    made_by = f"psychrolib {getattr(psychrolib, '__version__', '2')}"
    write(name, moist_air_key(), made_by, {k: np.array(v) for k, v in columns.items()})


def independent(name: str) -> None:
    """Solve a problem anew, on the grid of `INDEPENDENT` and on the one below it."""
    from independent import solve

    problem = problem_of(name)
    refine, cells_of_file = INDEPENDENT[name]
    fine = solve(problem, refine=refine, cells_of_file=cells_of_file)
    coarse = solve(problem, refine=refine // 2, cells_of_file=cells_of_file)
    apart = {
        quantity: max(
            float(np.max(np.abs(fine.columns[one.column] - coarse.columns[one.column])))
            for one in problem.outputs
            if one.quantity == quantity
        )
        for quantity in ("temperature", "relative humidity")
    }
    made_by = (
        f"independent method of lines, CVODE at 1e-8, {fine.n_points} points; half as many points move no "
        f"temperature by more than {apart['temperature']:.2g} K "
        f"and no relative humidity by more than {apart['relative humidity']:.2g}"
    )
    write(name, problem.key, made_by, fine.columns)


INDEPENDENT = {
    "wall-miami": (2, False),
    "condensing-wool": (4, True),
    "hamstad-1": (2, False),
    "hamstad-3": (2, False),
    "hamstad-4": (2, False),
    "hamstad-5": (2, False),
}
"""Fineness of the grid, and whether the cells of the file are kept: where water condenses on a face that is
in no air, it fills the cell there, however thin the file makes it."""

MAKERS: dict[str, Callable[[str], None]] = {
    "uptake": uptake,
    "rain-10": rain,
    "rain-40": rain,
    "moist-air": moist_air,
    **dict.fromkeys(INDEPENDENT, independent),
}

if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", nargs="*", choices=sorted(MAKERS), default=sorted(MAKERS))
    for chosen in parser.parse_args().only:
        MAKERS[chosen](chosen)
