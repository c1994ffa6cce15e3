"""Cases with a closed form: steady layers, air through layers, a step on a half space, a daily wave."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import erfc

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    LATENT_HEAT_0,
    VAPOR_HEAT_CAPACITY,
)
from moistwall.assess.daily_wave import layer_matrix, resistance_matrix
from moistwall.section import Film, Layer
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_FILM,
    N_END_COLUMNS,
    VAPOR_FILM,
)
from moistwall.solver.march import Accuracy
from moistwall.verify.case import PROBLEMS, Case, Comparison, Curve, Outcome, compare
from moistwall.verify.problem import Problem, read_problem
from moistwall.verify.run import Answer, run_problem

Array = NDArray[np.float64]

EXACT = "exact, round-off"
OURS = "moistwall"
HARMONICS = 6
"""Pairs of harmonics beside the daily one that straight lines between hour marks make."""


def _solved(name: str, accuracy: Accuracy | None = None) -> Answer:
    return run_problem(read_problem(PROBLEMS / f"{name}.toml"), accuracy=accuracy)


def _ends(problem: Problem, column: int) -> tuple[float, float]:
    """Value of one column of the loads outside and inside, in the last row."""
    row = problem.loads[-1]
    return float(row[column]), float(row[N_END_COLUMNS + column])


def _thermal(layer: Layer) -> float:
    """Thermal resistance of a layer with one conductivity. [m2 K/W]"""
    return layer.thickness / float(layer.material.conductivity[0])


def _vapor(part: Layer | Film) -> float:
    """Vapor resistance of a layer or film with one value. [m2 s Pa/kg]"""
    if isinstance(part, Film):
        return 1.0 / float(part.permeance[0])
    return part.thickness / float(part.material.vapor_permeability[0])


def _solid(problem: Problem) -> list[Layer | Film]:
    return [part for part in problem.section.parts if isinstance(part, Layer | Film)]


def _side_values(answer: Answer, prefix: str) -> Array:
    """Values of the outputs of one kind at all sides, from outside to inside."""
    names = [
        f"{prefix}_{layer.name}_{side}"
        for layer in answer.problem.section.layers
        for side in ("outer", "inner")
    ]
    return np.array([answer.series[name][-1] for name in names])


def _profile(problem: Problem, quantity: Array) -> dict[str, tuple[Array, Array]]:
    depth = np.cumsum([0.0, *(layer.thickness for layer in problem.section.layers)])
    places = [x for pair in pairwise(depth) for x in pair]
    return {"": (1000.0 * np.array(places), quantity)}


def steady_pressures(problem: Problem, air: float = 0.0) -> tuple[Array, float]:
    """Vapor pressures on all sides of layers, and the flow, with air that carries x = k p.

    Parameters
    ----------
    problem : Problem
        Layers and films with constant permeability.
    air : float
        Dry air from outside to inside. [kg/(m2 s)]

    Returns
    -------
    pressure : (2 n_layers,) ndarray
        [Pa]
    flow : float
        [kg/(m2 s)]

    Notes
    -----
    Along a resistance z: F = a k p - dp/dz, so p(z) = F / (a k) + (p_o - F / (a k)) exp(a k z).
    """
    films = _ends(problem, VAPOR_FILM)
    outside, inside = _ends(problem, AIR_VAPOR)
    z, at = 1.0 / films[0], []
    for part in _solid(problem):
        before, z = z, z + _vapor(part)
        at += [before, z] if isinstance(part, Layer) else []
    whole = z + 1.0 / films[1]
    place = np.array(at)
    if air == 0.0:
        flow = (outside - inside) / whole
        return outside - flow * place, flow
    carried = air * GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR / problem.pressure
    growth = np.exp(carried * whole)
    flow = carried * (growth * outside - inside) / (growth - 1.0)
    level = flow / carried
    return level + (outside - level) * np.exp(carried * place), flow


def steady_temperatures(
    problem: Problem, vapor: float = 0.0, air: float = 0.0
) -> tuple[Array, float]:
    """Temperatures on all sides of layers, and the flow of heat with what vapor and air carry.

    Parameters
    ----------
    problem : Problem
        Layers with constant conductivity.
    vapor, air : float
        Flows of vapor and dry air from outside to inside. [kg/(m2 s)]

    Returns
    -------
    temperature : (2 n_layers,) ndarray
        [degC]
    flow : float
        Counted from 0 degC, liquid water and dry air. [W/m2]

    Notes
    -----
    With c = g c_pv + a c_pa the equation Q = -k dT/dx + c T + g L0 has exponentials for solutions. At a
    surface vapor gives what it carries at the temperature of the surface, while air passes the film as
    it passes a layer.
    """
    outer, inner = _ends(problem, HEAT_FILM)
    outside, inside = _ends(problem, AIR_TEMPERATURE)
    by_air, by_vapor = air * AIR_HEAT_CAPACITY, vapor * VAPOR_HEAT_CAPACITY
    carried = by_air + by_vapor

    def through(t: float, flow: float, c: float, resistance: float) -> float:
        if c == 0.0:
            return t - flow * resistance
        return flow / c + (t - flow / c) * float(np.exp(c * resistance))

    def march(flow: float) -> tuple[list[float], float]:
        """Temperatures, and that of the air inside, for a flow of heat without g L0."""
        # film: Q = a c_pa and h between air and surface, and g c_pv T of the surface
        gain = float(np.exp(by_air / outer))
        slope = 1.0 / outer if by_air == 0.0 else (gain - 1.0) / by_air
        # T_s = gain T_o - slope (Q - g c_pv T_s)
        t = (gain * outside - slope * flow) / (1.0 - slope * by_vapor)
        found = []
        for layer in problem.section.layers:
            found.append(t)
            t = through(t, flow, carried, _thermal(layer))
            found.append(t)
        return found, through(t, flow - by_vapor * t, by_air, 1.0 / inner)

    # everything is linear in the flow: two trials give it
    at_zero, at_one = march(0.0)[1], march(1.0)[1]
    flow = (inside - at_zero) / (at_one - at_zero)
    return np.array(march(flow)[0]), flow + vapor * LATENT_HEAT_0


def _profile_curve(answer: Answer, exact: Array, prefix: str, label: str) -> Curve:
    ours = _profile(answer.problem, _side_values(answer, prefix))[""]
    return Curve(
        answer.problem.title,
        "depth [mm]",
        label,
        {"moistwall": ours},
        {"closed form": _profile(answer.problem, exact)[""]},
    )


def steady_heat() -> Outcome:
    """Heat alone."""
    answer = _solved("steady-heat")
    exact, flow = steady_temperatures(answer.problem)
    ours = _side_values(answer, "t")
    return Outcome(
        [
            compare("temperatures at all sides", "degC", exact, ours, 1e-10, EXACT, relative=True),
            compare(
                "heat flow, both surfaces",
                "W/m2",
                [flow, flow],
                [answer.series["heat"][-1], answer.series["heat_in"][-1]],
                1e-10,
                EXACT,
                relative=True,
            ),
        ],
        [_profile_curve(answer, exact, "t", "temperature [degC]")],
    )


def steady_vapor() -> Outcome:
    """Vapor alone."""
    return _vapor_outcome("steady-vapor", 0.0, 1e-10)


def air_vapor() -> Outcome:
    """Vapor that air carries."""
    air = float(read_problem(PROBLEMS / "air-vapor.toml").loads[-1, -1])
    return _vapor_outcome("air-vapor", air, 1e-8)


def _vapor_outcome(name: str, air: float, tolerance: float) -> Outcome:
    answer = _solved(name)
    exact, flow = steady_pressures(answer.problem, air)
    return Outcome(
        [
            compare(
                "vapor pressures at all sides",
                "Pa",
                exact,
                _side_values(answer, "p"),
                tolerance,
                EXACT,
                relative=True,
            ),
            compare(
                "vapor flow, both surfaces",
                "kg/(m2 s)",
                [flow, flow],
                [answer.series["vapor"][-1], answer.series["vapor_in"][-1]],
                tolerance,
                EXACT,
                relative=True,
            ),
        ],
        [_profile_curve(answer, exact, "p", "vapor pressure [Pa]")],
    )


def steady_coupled() -> Outcome:
    """Heat and vapor together."""
    answer = _solved("steady-coupled")
    pressure, vapor = steady_pressures(answer.problem)
    exact, flow = steady_temperatures(answer.problem, vapor)
    series = answer.series
    whose = "moistwall; latent heat stands at cell faces"
    return Outcome(
        [
            compare(
                "temperatures at all sides",
                "degC",
                exact,
                _side_values(answer, "t"),
                1e-6,
                whose,
                relative=True,
            ),
            compare(
                "vapor pressures at all sides",
                "Pa",
                pressure,
                _side_values(answer, "p"),
                1e-6,
                whose,
                relative=True,
            ),
            compare(
                "heat flow with latent heat, both surfaces",
                "W/m2",
                [flow, flow],
                [series["heat"][-1], series["heat_in"][-1]],
                1e-6,
                whose,
                relative=True,
            ),
            compare(
                "vapor flow, both surfaces",
                "kg/(m2 s)",
                [vapor, vapor],
                [series["vapor"][-1], series["vapor_in"][-1]],
                1e-6,
                whose,
                relative=True,
            ),
        ],
        [_profile_curve(answer, exact, "t", "temperature [degC]")],
    )


def air_heat() -> Outcome:
    """Heat that air carries."""
    answer = _solved("air-heat")
    exact, flow = steady_temperatures(answer.problem, air=float(answer.problem.loads[-1, -1]))
    series = answer.series
    return Outcome(
        [
            compare(
                "temperatures at all sides",
                "degC",
                exact,
                _side_values(answer, "t"),
                1e-8,
                EXACT,
                relative=True,
            ),
            compare(
                "heat flow, both surfaces",
                "W/m2",
                [flow, flow],
                [series["heat"][-1], series["heat_in"][-1]],
                1e-8,
                EXACT,
                relative=True,
            ),
        ],
        [_profile_curve(answer, exact, "t", "temperature [degC]")],
    )


def warm_step() -> Outcome:
    """A temperature step on a half space."""
    answer = _solved("warm-step", Accuracy(0.1))
    problem = answer.problem
    brick = problem.section.layers[0].material
    spread = float(brick.conductivity[0]) / (brick.density * brick.heat_capacity)
    start = float(problem.start["brick"].temperature[0])
    rise = float(problem.loads[-1, AIR_TEMPERATURE]) - start
    depth = np.array([wanted.depth for wanted in problem.outputs])
    comparisons: list[Comparison] = []
    lines, marks = {}, {}
    for k, hour in enumerate(answer.hours):
        exact = start + rise * erfc(depth / (2.0 * np.sqrt(spread * 3600.0 * hour)))
        ours = np.array([answer.series[wanted.name][k] for wanted in problem.outputs])
        comparisons.append(compare(f"temperatures after {hour} h", "degC", exact, ours, 0.02, OURS))
        lines[f"moistwall, {hour} h"] = (1000.0 * depth, ours)
        marks[f"exact, {hour} h"] = (1000.0 * depth, exact)
    curve = Curve(problem.title, "depth [mm]", "temperature [degC]", lines, marks)
    return Outcome(comparisons, [curve])


def periodic(problem: Problem, hours: Array) -> tuple[dict[str, Array], dict[str, Array]]:
    """Temperatures at the layers' sides and flows at both surfaces, settled to a daily wave.

    Parameters
    ----------
    problem : Problem
        Layers and films; outside a cosine of one day given at the hour marks and joined by straight
        lines, inside constant.
    hours : (n,) ndarray
        Hour marks.

    Returns
    -------
    temperature, flow : dict of str to (n,) ndarray
        By 'outer', 'foam_outer', 'foam_inner', 'inner' [degC]; by 'outside', 'inside' [W/m2].

    Notes
    -----
    Straight lines between n = 24 samples of a cosine hold the harmonics 1, n - 1, n + 1, 2n - 1 ... of
    the day, the k-th with (sin(pi / n) / (pi / n))^2 / k^2 of the amplitude.
    """
    outer, inner = _ends(problem, HEAT_FILM)
    samples = problem.loads[:, AIR_TEMPERATURE]
    mean, amplitude = float(samples[:24].mean()), float(np.ptp(samples[:24]) / 2.0)
    room = float(problem.loads[-1, N_END_COLUMNS + AIR_TEMPERATURE])
    layers = problem.section.layers
    resistance = [_thermal(layer) for layer in layers]
    steady = (mean - room) / (1.0 / outer + sum(resistance) + 1.0 / inner)
    drop = np.cumsum([1.0 / outer, *resistance])
    places = ("outer", "foam_outer", "foam_inner", "inner")
    temperature = {
        name: np.full(hours.size, mean - steady * value)
        for name, value in zip(places, drop, strict=True)
    }
    flow = {name: np.full(hours.size, steady) for name in ("outside", "inside")}
    share = (np.sin(np.pi / 24.0) / (np.pi / 24.0)) ** 2
    for k in [1, *(24 * n + sign for n in range(1, HARMONICS + 1) for sign in (-1, 1))]:
        omega = 2.0 * np.pi * k / 86400.0
        wave = np.exp(1j * omega * 3600.0 * hours)
        states = [resistance_matrix(1.0 / outer)]
        for layer in layers:
            material = layer.material
            capacity = material.density * material.heat_capacity
            conductivity = float(material.conductivity[0])
            matrix = layer_matrix(layer.thickness, conductivity, capacity, omega)
            states.append(matrix @ states[-1])
        whole = resistance_matrix(1.0 / inner) @ states[-1]
        # the air inside does not move: 0 = whole[0, 0] amplitude + whole[0, 1] q
        top = amplitude * share / k**2
        start = np.array([top, -whole[0, 0] / whole[0, 1] * top])
        for name, matrix in zip(places, states, strict=True):
            temperature[name] = temperature[name] + np.real((matrix @ start)[0] * wave)
        flow["outside"] = flow["outside"] + np.real(start[1] * wave)
        flow["inside"] = flow["inside"] + np.real((states[-1] @ start)[1] * wave)
    return temperature, flow


def daily_wave() -> Outcome:
    """A daily wave through layers."""
    answer = _solved("daily-wave", Accuracy(0.1))
    hours = answer.hours.astype(float)
    temperature, flow = periodic(answer.problem, hours)
    comparisons = [
        compare(
            f"temperature, {name.replace('_', ' ')} side",
            "degC",
            exact,
            answer.series[f"t_{name}"],
            0.02,
            OURS,
        )
        for name, exact in temperature.items()
    ]
    comparisons += [
        compare(f"heat flow {name}", "W/m2", exact, answer.series[f"heat_{name}"], tolerance, OURS)
        for (name, exact), tolerance in zip(flow.items(), (0.3, 0.05), strict=True)
    ]
    curve = Curve(
        answer.problem.title,
        "hour",
        "temperature [degC]",
        {name: (hours, answer.series[f"t_{name}"]) for name in temperature},
        {f"{name}, exact": (hours, exact) for name, exact in temperature.items()},
    )
    return Outcome(comparisons, [curve])


CASES = [
    Case("steady-heat", "heat crosses layers and films by their resistances", "exact", steady_heat),
    Case(
        "steady-vapor",
        "vapor crosses layers, films and a membrane by their resistances",
        "exact",
        steady_vapor,
    ),
    Case(
        "steady-coupled",
        "vapor carries its enthalpy; both profiles hold together",
        "exact",
        steady_coupled,
    ),
    Case("air-heat", "air through layers carries heat, against conduction", "exact", air_heat),
    Case(
        "air-vapor",
        "air through layers and a membrane carries vapor beside diffusion",
        "exact",
        air_vapor,
    ),
    Case(
        "warm-step",
        "heat is stored and moves with time as it should",
        "exact: Carslaw and Jaeger, Conduction of Heat in Solids, 2.4",
        warm_step,
    ),
    Case(
        "daily-wave",
        "a daily wave is damped and delayed by layers as it should",
        "exact: matrices of ISO 13786 (from memory)",
        daily_wave,
    ),
]
"""The cases of this module."""
