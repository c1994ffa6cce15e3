"""Moistwall beside the independent solution in scripts/independent, and that beside exact ones."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from moistwall.solver.march import Accuracy
from moistwall.verify.problem import Problem, problem_from_data, read_problem
from moistwall.verify.reference import read_reference
from moistwall.verify.run import run_problem

Array = NDArray[np.float64]
Solve = Callable[..., Any]

ROOT = Path(__file__).parents[2]
VERIFY = ROOT / "moistwall" / "verify"

NAMES = ("wall-miami", "hamstad-1", "hamstad-3", "hamstad-4", "hamstad-5")
"""Problems whose reference is the independent solution, beside ``condensing-wool``."""

GRID = {"temperature": 0.005, "relative humidity": 0.0015}
"""By how much its own grid may move it: its references are made on one of twice or four times the points.
[K], [-]"""


@pytest.fixture(scope="module")
def solve() -> Solve:
    """The independent solution, which is no part of the package."""
    sys.path.insert(0, str(ROOT / "scripts"))
    try:
        from independent import solve
    finally:
        sys.path.remove(str(ROOT / "scripts"))
    return solve


def problem_of(name: str) -> Problem:
    """Read a problem that ships with moistwall."""
    return read_problem(VERIFY / "problems" / f"{name}.toml")


def columns_of(name: str) -> dict[str, Array]:
    """Read the reference of a problem as it is now."""
    return read_reference(VERIFY / "references" / f"{name}.csv", problem_of(name).key).columns


def largest(problem: Problem, quantity: str, a: dict[str, Array], b: dict[str, Array]) -> float:
    """Largest difference of a quantity anywhere."""
    columns = [one.column for one in problem.outputs if one.quantity == quantity]
    assert columns
    return max(float(np.max(np.abs(a[column] - b[column]))) for column in columns)


def ours_of(problem: Problem, **settings: Any) -> dict[str, Array]:
    """Moistwall's own answer by column."""
    answer = run_problem(problem, **settings)
    return {one.column: answer.series[one.name] for one in problem.outputs}


# the independent solution itself ------------------------------------------------------------------


def test_vapor_carried_by_air_is_exact(solve: Solve) -> None:
    """The independent solution of steady advection and diffusion is the exponential one. (exact)"""
    problem = problem_of("air-vapor")
    found = solve(problem).columns
    # in air of huge pressure the humidity ratio is proportional to vapor pressure: W = c p
    c = 287.042 / 461.5 / problem.pressure
    flow = problem.loads[0, -1]
    resistances = [1.0 / 8e-8, 0.02 / 2e-12, 1.0 / 2e-10, 0.1 / 1.5e-12, 0.0125 / 3e-11, 1.0 / 2e-8]
    grown = np.exp(flow * c * np.concatenate(([0.0], np.cumsum(resistances))))
    limit = (1100.0 - 1800.0 * grown[-1]) / (1.0 - grown[-1])
    p = limit + (1800.0 - limit) * grown
    places = ("cladding_outer", "cladding_inner", "foam_outer", "foam_inner", "board_inner")
    for place, exact in zip(places, p[1:6], strict=True):
        assert found[f"p_{place}_Pa"][-1] == pytest.approx(exact, rel=1e-5), place
    assert found["vapor_kg_m2s"][-1] == pytest.approx(flow * c * limit, rel=2e-5)


def test_sampled_curves_are_the_curves(solve: Solve) -> None:
    """Between its samples the independent solution has every content of a wall to 1e-5 of saturation."""
    from independent.curves import sampled
    from independent.states import between

    materials = [layer.material for layer in problem_of("wall-miami").section.layers]
    curves = sampled(materials)
    z = np.random.default_rng(1).uniform(-20.0, 2.0, 2000)
    for k, material in enumerate(materials):
        exact = material.storage.content(-np.exp(z))
        found = [between(curves.content[k], curves.content_slope[k], at)[0] for at in z]
        np.testing.assert_allclose(found, exact, rtol=0, atol=1e-5 * material.storage.free)


def test_potential_is_the_integral_of_diffusivity(solve: Solve) -> None:
    """Where D = D_f 1000^(w/w_f - 1) the sampled potential at saturation is its integral. (exact)"""
    from independent.curves import sampled

    material = problem_of("wall-miami").section.layers[0].material
    free = material.storage.free
    last = 3.8 * (0.02 / free) ** 2
    exact = last * free / np.log(1000.0) * (1.0 - 1e-3)
    assert sampled([material]).free_potential[0] == pytest.approx(exact, rel=1e-10)


def test_reference_is_found_anew(solve: Solve) -> None:
    """Condensation against a foil and drying, solved anew on half the points, are as shipped; no water is lost."""
    problem = problem_of("condensing-wool")
    found = solve(problem, cells_of_file=True, refine=2)
    shipped = columns_of("condensing-wool")
    for quantity, limit in GRID.items():
        assert largest(problem, quantity, found.columns, shipped) < limit
    stored = largest(problem, "stored water", found.columns, shipped)
    assert stored < 1e-3 * np.max(shipped["water_kg_m2"])
    assert abs(found.lost) < 1e-11


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_references_are_found_anew(solve: Solve, name: str) -> None:
    """The other references of the independent solution are what it finds on half the points."""
    problem = problem_of(name)
    found = solve(problem)
    for quantity, limit in GRID.items():
        assert largest(problem, quantity, found.columns, columns_of(name)) < limit
    assert abs(found.lost) < 1e-7


@pytest.mark.slow
@pytest.mark.parametrize("name", ["rain-10", "rain-40"])
def test_rain_beside_the_kirchhoff_form(solve: Solve, name: str) -> None:
    """The independent solution draws rain as the Kirchhoff form on 1600 cells by LSODA does."""
    problem = problem_of(name)
    found, shipped = solve(problem).columns, columns_of(name)
    assert largest(problem, "stored water", found, {**found, **shipped}) < 3e-4
    for one in problem.outputs:
        if one.quantity == "water content":
            np.testing.assert_allclose(found[one.column], shipped[one.column], atol=0.3)


@pytest.mark.slow
def test_uptake_beside_another_scheme(solve: Solve) -> None:
    """The independent solution of the normative test of EN 15026 is another scheme's. (from memory)"""
    problem = problem_of("uptake")
    found, shipped = solve(problem).columns, columns_of("uptake")
    assert largest(problem, "water content", found, shipped) < 0.2
    assert largest(problem, "temperature", found, shipped) < 0.02
    np.testing.assert_allclose(found["uptake_kg_m2"], shipped["uptake_kg_m2"], rtol=2e-3)


# moistwall beside it ------------------------------------------------------------------------------


def test_a_month_of_weather_at_every_face() -> None:
    """A wall of five layers: 0.05 K and 0.1 % RH in the mean, 0.3 K and 1 % RH at most, at every face."""
    problem, reference = problem_of("wall-miami"), columns_of("wall-miami")
    ours = ours_of(problem)
    for one in problem.outputs:
        if one.quantity in ("temperature", "relative humidity"):
            mean, most = (0.05, 0.3) if one.quantity == "temperature" else (0.001, 0.01)
            apart = ours[one.column] - reference[one.column]
            assert np.sqrt(np.mean(apart**2)) < mean, one.name
            assert np.max(np.abs(apart)) < most, one.name


def test_a_month_of_weather_converges() -> None:
    """On four times the cells moistwall comes five times closer: what is left is not the equations."""
    problem, reference = problem_of("wall-miami"), columns_of("wall-miami")
    near, fine = ours_of(problem), ours_of(problem, refine=4, accuracy=Accuracy(0.05))
    for quantity in ("temperature", "relative humidity"):
        coarse_error = largest(problem, quantity, near, reference)
        assert largest(problem, quantity, fine, reference) < 0.2 * coarse_error


def test_a_wrong_material_is_seen() -> None:
    """Ten percent on one permeability break what the month of weather proves."""
    problem, reference = problem_of("wall-miami"), columns_of("wall-miami")
    parts = list(problem.section.parts)
    board = parts[2].material  # type: ignore[union-attr]
    wrong = replace(board, vapor_permeability=1.1 * board.vapor_permeability)
    parts[2] = replace(parts[2], material=wrong)  # type: ignore[arg-type]
    ours = ours_of(replace(problem, section=replace(problem.section, parts=tuple(parts))))
    apart = ours["rh_OSB_outer"] - reference["rh_OSB_outer"]
    assert np.sqrt(np.mean(apart**2)) > 0.001


@pytest.mark.slow
def test_rain_screen_in_sun_and_rain(solve: Solve) -> None:
    """A wall with paint, an aired gap, sun, sky and showers keeps the same limits beside the independent one."""
    problem = problem_from_data(rain_screen())
    found, ours = solve(problem).columns, ours_of(problem)
    for one in problem.outputs:
        apart = ours[one.column] - found[one.column]
        limits = {"temperature": (0.05, 0.3), "relative humidity": (0.001, 0.01)}.get(one.quantity)
        if limits is None:
            size = float(np.max(np.abs(found[one.column])))
            limits = 0.005 * size, 0.02 * size
        assert np.sqrt(np.mean(apart**2)) < limits[0], one.name
        assert np.max(np.abs(apart)) < limits[1], one.name
    assert found["drained_kg_m2"][-1] > 1.0


def rain_screen() -> dict[str, Any]:
    """A problem with everything that the shipped ones leave out; all numbers are invented."""
    hours = 96
    day = 2.0 * np.pi * (np.arange(hours + 1) - 14.0) / 24.0
    rain = np.zeros(hours)
    rain[30:33], rain[55] = 1e-4, 3e-4

    def line(values: Array) -> dict[str, Any]:
        return {"hold": "linear", "values": np.round(values, 4).tolist()}

    def layer(name: str, thickness: float, rh: float) -> dict[str, Any]:
        return {
            "type": "layer",
            "name": name,
            "material": name,
            "thickness_m": thickness,
            "initial_temperature_degC": 22.0,
            "initial_relative_humidity": rh,
        }

    def film(name: str, permeance: list[float], rh: list[float], **more: float) -> dict[str, Any]:
        return {
            "type": "film",
            "name": name,
            "permeance_kg_m2sPa": permeance,
            "relative_humidity": rh,
            **more,
        }

    outside = {
        "temperature_degC": line(24.0 + 6.0 * np.cos(day)),
        "relative_humidity": 0.8,
        "heat_film_W_m2K": line(14.0 + 4.0 * np.cos(day)),
        "vapor_film_kg_m2sPa": 6e-8,
        "sun_W_m2": line(np.maximum(700.0 * np.cos(day), 0.0)),
        "absorptance": 0.7,
        "longwave_W_m2": line(370.0 + 20.0 * np.cos(day)),
        "emittance": 0.9,
        "surface_holds_kg_m2": 0.05,
        "rain_kg_m2s": {"hold": "step", "values": rain.tolist()},
    }
    inside = {
        "temperature_degC": 23.0,
        "relative_humidity": 0.5,
        "heat_film_W_m2K": 8.0,
        "vapor_film_kg_m2sPa": 2e-8,
    }
    gap = {
        "type": "gap",
        "name": "gap",
        "depth_m": 0.019,
        "convection_W_m2K": 2.5,
        "air_changes_1_h": line(20.0 + 15.0 * np.cos(day)),
    }
    parts = [
        film("paint", [2e-10, 6e-10], [0.3, 0.8]),
        layer("siding", 0.012, 0.7),
        gap,
        film("wrap", [5e-10, 5e-10], [0.0, 1.0], emittance=0.3),
        layer("sheathing", 0.012, 0.75),
        layer("wool", 0.1, 0.6),
        film("retarder", [5e-11, 2e-9], [0.25, 0.9]),
        layer("gypsum", 0.0125, 0.5),
    ]
    materials = {
        "siding": {
            "heat": {
                "density_kg_m3": 600.0,
                "heat_capacity_J_kgK": 1600.0,
                "conductivity_W_mK": [0.1, 0.2],
                "water_content_kg_m3": [0.0, 200.0],
                "conductivity_per_kelvin": 0.001,
            },
            "storage": {
                "form": "wood",
                "density_kg_m3": 600.0,
                "at_degC": 20.0,
                "free_kg_m3": 500.0,
                "holds_kg_m3": 520.0,
            },
            "vapor": {
                "form": "table over humidity",
                "relative_humidity": [0.25, 0.75],
                "permeability_kg_msPa": [1e-12, 3e-12],
                "per_kelvin": 0.002,
            },
            "liquid": {"form": "absorption", "absorption_kg_m2s05": 0.004},
        },
        "sheathing": {
            "heat": {
                "density_kg_m3": 650.0,
                "heat_capacity_J_kgK": 1880.0,
                "conductivity_W_mK": 0.1,
            },
            "storage": {
                "form": "table over humidity",
                "between": "monotone cubic",
                "follows": "suction",
                "relative_humidity": [0.5, 0.8, 0.95, 1.0],
                "water_content_kg_m3": [42.0, 78.0, 130.0, 540.0],
                "holds_kg_m3": 560.0,
            },
            "vapor": {
                "form": "table over content",
                "water_content_kg_m3": [20.0, 120.0],
                "permeability_kg_msPa": [5e-13, 3e-12],
            },
            "liquid": {
                "form": "diffusivity table",
                "water_content_kg_m3": [0.0, 100.0, 540.0],
                "diffusivity_m2_s": [1e-13, 1e-12, 1e-10],
            },
        },
        "wool": {
            "heat": {
                "density_kg_m3": 40.0,
                "heat_capacity_J_kgK": 840.0,
                "conductivity_W_mK": 0.036,
                "conductivity_per_kelvin": 0.003,
            },
            "storage": {"form": "pore air", "porosity": 0.97, "holds_kg_m3": 100.0},
            "vapor": {"form": "constant", "permeability_kg_msPa": 1.7e-10},
        },
        "gypsum": {
            "heat": {
                "density_kg_m3": 650.0,
                "heat_capacity_J_kgK": 1090.0,
                "conductivity_W_mK": 0.16,
            },
            "storage": {
                "form": "table over suction",
                "suction_Pa": [1e4, 1e6, 1e7, 1e8],
                "water_content_kg_m3": [300.0, 30.0, 8.0, 3.0],
                "free_kg_m3": 400.0,
            },
            "vapor": {"form": "resistance factor", "resistance_factor": 7.0},
            "liquid": {"form": "absorption", "absorption_kg_m2s05": 0.002},
        },
    }
    outputs: list[dict[str, Any]] = [
        {"name": "drained", "quantity": "drained water", "at": "section"},
        {"name": "water", "quantity": "stored water", "at": "section"},
    ]
    for end in ("outer", "inner"):
        for name in ("moisture", "heat"):
            passed = {"quantity": f"{name} passed", "at": f"{end} surface"}
            outputs.append({"name": f"{name}_{end}", **passed})
        for name in materials:
            at = {"at": f"{end} side", "layer": name}
            outputs.append({"name": f"t_{name}_{end}", "quantity": "temperature", **at})
            outputs.append({"name": f"rh_{name}_{end}", "quantity": "relative humidity", **at})
    return {
        "title": "Rain screen in sun and showers",
        "source": "invented",
        "mode": "heat and moisture",
        "hours": hours,
        "output_every_hours": 1,
        "outside": outside,
        "inside": inside,
        "material": materials,
        "part": parts,
        "output": outputs,
    }
