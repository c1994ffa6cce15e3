"""Cases of published benchmarks, as far as they are known: HAMSTAD 2, EN 15026, rain on a board."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.verify.case import PROBLEMS, REFERENCES, Case, Curve, Outcome, compare
from moistwall.verify.problem import Problem, read_problem
from moistwall.verify.reference import read_reference
from moistwall.verify.run import run_problem

Array = NDArray[np.float64]

STANDARD = "EN 15026 (from memory, of the order of 2.5 %)"
OURS = "moistwall"

TERMS = 2000
"""Terms of the series of HAMSTAD 2; after the first hours far fewer are needed."""


def hamstad_2_series(problem: Problem, depth: Array, hour: float) -> tuple[Array, float]:
    """Water content by depth, and its mean, by the series that solves HAMSTAD 2.

    Parameters
    ----------
    problem : Problem
        One layer with constant diffusivity, surfaces at fixed humidity.
    depth : (n,) ndarray
        [m]
    hour : float
        Time since the start. [h]

    Returns
    -------
    content : (n,) ndarray
        [kg/m3]
    mean : float
        [kg/m3]

    Notes
    -----
    w = s(x) + sum b_n sin(n pi x / L) exp(-D (n pi / L)^2 t), s the straight line between the surfaces,
    b_n = 2 / (n pi) ((w_i - w_0) - (w_i - w_L) (-1)^n). Vapor diffusion is left out: it adds less than
    0.01 %.
    """
    layer = problem.section.layers[0]
    material, thickness = layer.material, layer.thickness
    assert material.diffusivity is not None
    rh_start = problem.start[layer.name].rh
    assert rh_start is not None
    saturation = problem.loads[0, [1, 8]] / np.array([0.45, 0.65])
    rh = problem.loads[0, [1, 8]] / saturation
    outer, inner = material.storage.content(np.log(rh))
    start = float(material.storage.content(np.log(rh_start))[0])
    spread = float(material.diffusivity(np.array([start]))[0])
    n = np.arange(1, TERMS + 1)
    b = 2.0 / (n * np.pi) * ((start - outer) - (start - inner) * (-1.0) ** n)
    decay = b * np.exp(-spread * (n * np.pi / thickness) ** 2 * 3600.0 * hour)
    line = outer + (inner - outer) * depth / thickness
    content = line + np.sin(np.outer(depth, n) * np.pi / thickness) @ decay
    mean = 0.5 * (outer + inner) + np.sum(decay * (1.0 - (-1.0) ** n) / (n * np.pi))
    return content, float(mean)


def hamstad_2() -> Outcome:
    """Isothermal drying of a layer."""
    answer = run_problem(read_problem(PROBLEMS / "hamstad-2.toml"))
    outputs = [wanted for wanted in answer.problem.outputs if wanted.at == "depth"]
    depth = np.array([wanted.depth for wanted in outputs])
    comparisons, lines, marks = [], {}, {}
    for k, hour in enumerate(answer.hours):
        exact, mean = hamstad_2_series(answer.problem, depth, float(hour))
        ours = np.array([answer.series[wanted.name][k] for wanted in outputs])
        comparisons += [
            compare(
                f"water content after {hour} h", "kg/m3", exact, ours, 0.005, OURS, relative=True
            ),
            compare(
                f"mean content after {hour} h",
                "kg/m3",
                mean,
                answer.series["w_mean"][k],
                0.001,
                OURS,
                relative=True,
            ),
        ]
        lines[f"moistwall, {hour} h"] = (1000.0 * depth, ours)
        marks[f"series, {hour} h"] = (1000.0 * depth, exact)
    title = answer.problem.title
    return Outcome(comparisons, [Curve(title, "depth [mm]", "water content [kg/m3]", lines, marks)])


def uptake() -> Outcome:
    """Moisture uptake of a half space."""
    problem = read_problem(PROBLEMS / "uptake.toml")
    reference = read_reference(REFERENCES / "uptake.csv", problem.key).columns
    answer = run_problem(problem)
    comparisons, curves = [], []
    stretch: dict[str, list[tuple[Array, Array]]] = {}
    for quantity, unit, tolerance, relative in (
        ("water content", "kg/m3", 0.025, True),
        ("temperature", "degC", 0.1, False),
    ):
        wanted = [one for one in problem.outputs if one.quantity == quantity]
        depth = np.array([one.depth for one in wanted])
        lines, marks = {}, {}
        for k, hour in enumerate(answer.hours):
            theirs = np.array([reference[one.column][k] for one in wanted])
            ours = np.array([answer.series[one.name][k] for one in wanted])
            days = hour // 24
            comparisons.append(
                compare(
                    f"{quantity} after {days} d",
                    unit,
                    theirs,
                    ours,
                    tolerance,
                    STANDARD if relative else OURS,
                    relative=relative,
                )
            )
            lines[f"moistwall, {days} d"] = (depth, ours)
            marks[f"reference, {days} d"] = (depth, theirs)
            stretch.setdefault(quantity, []).append((depth / np.sqrt(float(hour)), ours))
        curves.append(
            Curve(f"{problem.title}: {quantity}", "depth [m]", f"{quantity} [{unit}]", lines, marks)
        )
    taken = np.array([answer.series["uptake"], reference["uptake_kg_m2"]])
    comparisons.append(
        compare(
            "water taken up after 7, 30 and 365 d",
            "kg/m2",
            taken[1],
            taken[0],
            0.005,
            OURS,
            relative=True,
        )
    )
    rate = answer.series["uptake"] / np.sqrt(answer.hours)
    comparisons.append(
        compare(
            "uptake over the root of time, against 365 d",
            "kg/(m2 h0.5)",
            [rate[-1]] * 2,
            rate[:-1],
            0.002,
            "exact similarity",
            relative=True,
        )
    )
    return Outcome(comparisons, curves)


def rain() -> Outcome:
    """Rain on a board, on few and on many cells."""
    comparisons, lines = [], {}
    for cells, tolerance in ((10, 0.005), (40, 0.002)):
        problem = read_problem(PROBLEMS / f"rain-{cells}.toml")
        reference = read_reference(REFERENCES / f"rain-{cells}.csv", problem.key).columns
        answer = run_problem(problem)
        comparisons.append(
            compare(
                f"stored water, {cells} cells",
                "kg/m2",
                reference["water_kg_m2"],
                answer.series["water"],
                tolerance,
                OURS,
                relative=True,
            )
        )
        lines[f"moistwall, {cells} cells"] = (answer.hours.astype(float), answer.series["water"])
    marks = {"reference": (reference["hour"], reference["water_kg_m2"])}
    curve = Curve(problem.title, "hour", "stored water [kg/m2]", lines, marks)
    return Outcome(comparisons, [curve])


CASES = [
    Case(
        "hamstad-2",
        "moisture diffuses through a layer whose storage is far from a straight line",
        "HAMSTAD benchmark 2, report R-02:8 (definition from memory); the series is exact",
        hamstad_2,
    ),
    Case(
        "uptake",
        "water and heat enter a half space together, by vapor and by suction",
        "EN 15026:2007 normative test (definition from memory); reference by another scheme",
        uptake,
    ),
    Case(
        "rain",
        "a board draws up rain at the rate of its suction, on a coarse grid too",
        "made for this; reference by another scheme",
        rain,
    ),
]
"""The cases of this module."""
