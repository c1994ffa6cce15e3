"""Cases beside an independent solution: the same equations written anew and solved in another way.

The references come from a method of lines on a fine grid, integrated by an implicit solver of variable
order with an error of 1e-8, written from the description of the equations alone.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from moistwall.verify.case import (
    PROBLEMS,
    REFERENCES,
    Case,
    Comparison,
    Curve,
    Outcome,
    compare,
    compare_rms,
)
from moistwall.verify.outputs import UNITS, Wanted
from moistwall.verify.problem import read_problem
from moistwall.verify.reference import read_reference
from moistwall.verify.run import Answer, run_problem

Array = NDArray[np.float64]

OURS = "moistwall"

ABSOLUTE = {"temperature": (0.05, 0.3), "relative humidity": (0.001, 0.01)}
"""Root mean square and largest deviation that pass at every place. [K], [-]"""

SHARES = (0.005, 0.02)
"""The same for every other quantity, as shares of its largest value."""

LOST = 1e-9
"""Water that may get lost at any time: round-off. [kg/m2]"""


def _worst(kind: Callable[[Wanted], Comparison], wanted: list[Wanted]) -> Comparison:
    """Make a comparison for every place, and return the one nearest to its limit, or furthest over."""
    made = [kind(one) for one in wanted]
    return max(made, key=lambda one: _used(one))


def _used(one: Comparison) -> float:
    used = abs(one.deviation) / one.tolerance
    return used if np.isfinite(used) else np.inf


def compare_all(answer: Answer, reference: dict[str, Array]) -> list[Comparison]:
    """Compare every output that the reference has, two comparisons for each quantity.

    Parameters
    ----------
    answer : Answer
        Ours.
    reference : dict of str to (n_times,) ndarray
        Series by heading, at the same hours.

    Returns
    -------
    list of Comparison
        For each quantity the root mean square and the largest deviation, at the place where it is
        nearest to its limit.

    Raises
    ------
    ValueError
        If an output is missing in the reference, or its hours are not those of the problem.
    """
    if not np.array_equal(reference.get("hour", np.zeros(0)), answer.hours):
        raise ValueError("the hours of the reference are not those of the problem")
    missing = [one.column for one in answer.problem.outputs if one.column not in reference]
    if missing:
        raise ValueError(f"the reference has no {', '.join(missing)}")
    found = []
    for quantity in dict.fromkeys(one.quantity for one in answer.problem.outputs):
        places = [one for one in answer.problem.outputs if one.quantity == quantity]
        limits = {one.name: _limits(one, reference[one.column]) for one in places}
        unit = UNITS[quantity].replace("_", "/")

        def rms(
            one: Wanted, unit: str = unit, limits: dict[str, tuple[float, float]] = limits
        ) -> Comparison:
            ours = answer.series[one.name]
            return compare_rms(
                _what(one), unit, reference[one.column], ours, limits[one.name][0], OURS
            )

        def largest(
            one: Wanted, unit: str = unit, limits: dict[str, tuple[float, float]] = limits
        ) -> Comparison:
            ours = answer.series[one.name]
            return compare(_what(one), unit, reference[one.column], ours, limits[one.name][1], OURS)

        found += [_worst(rms, places), _worst(largest, places)]
    return found


def _what(one: Wanted) -> str:
    return f"{one.quantity}, {one.name}"


def _limits(one: Wanted, reference: Array) -> tuple[float, float]:
    if one.quantity in ABSOLUTE:
        return ABSOLUTE[one.quantity]
    size = max(float(np.max(np.abs(reference))), 1e-6)  # nothing is asked below a milligram
    return SHARES[0] * size, SHARES[1] * size


def _curves(answer: Answer, reference: dict[str, Array]) -> list[Curve]:
    """One picture for each of the first two quantities."""
    curves = []
    hours = answer.hours.astype(float)
    every = max(hours.size // 60, 1)
    for quantity in list(dict.fromkeys(one.quantity for one in answer.problem.outputs))[:2]:
        places = [one for one in answer.problem.outputs if one.quantity == quantity][:6]
        curves.append(
            Curve(
                f"{answer.problem.title}: {quantity}",
                "hour",
                f"{quantity} [{UNITS[quantity].replace('_', '/') or '-'}]",
                {one.name: (hours, answer.series[one.name]) for one in places},
                {
                    f"{one.name}, reference": (hours[::every], reference[one.column][::every])
                    for one in places
                },
            )
        )
    return curves


def _beside(name: str, refine: int = 1) -> tuple[Answer, dict[str, Array]]:
    problem = read_problem(PROBLEMS / f"{name}.toml")
    reference = read_reference(REFERENCES / f"{name}.csv", problem.key)
    return run_problem(problem, refine=refine), reference.columns


def _judged(name: str, refine: int = 1) -> Callable[[], Outcome]:
    def run() -> Outcome:
        answer, reference = _beside(name, refine)
        return Outcome(compare_all(answer, reference), _curves(answer, reference))

    return run


def water_kept(answer: Answer) -> Comparison:
    """Compare what is stored more than in the first hour with what has passed and run off since."""
    series = answer.series
    came = series["moisture_passed_outside"] - series["moisture_passed_inside"] - series["drained"]
    stored = series["water_all"]
    return compare(
        "stored water against what came and left",
        "kg/m2",
        came[1:] - came[0],
        stored[1:] - stored[0],
        LOST,
        "exact, round-off",
    )


def condensing_wool() -> Outcome:
    """Condensation and drying: beside the reference, and beside its own flows."""
    answer, reference = _beside("condensing-wool", refine=2)
    comparisons = [*compare_all(answer, reference), water_kept(answer)]
    return Outcome(comparisons, _curves(answer, reference))


METHOD = "independent method of lines"

CASES = [
    Case(
        "wall-miami",
        "a wall of five layers stays right under a month of hourly weather",
        f"made for this; {METHOD}",
        _judged("wall-miami"),
    ),
    Case(
        "condensing-wool",
        "what condenses in wool against a cold foil dries out again, and none is lost (cells of the "
        "default grid halved: on it the humidity is off by 0.18 % root mean square)",
        f"made for this; {METHOD}",
        condensing_wool,
    ),
    Case(
        "hamstad-1",
        "concrete insulated inside takes up and gives off water through a winter",
        f"after HAMSTAD benchmark 1, definition from memory, climate made up; {METHOD}",
        _judged("hamstad-1"),
    ),
    Case(
        "hamstad-3",
        "air carries heat and moisture through a light layer, outward and inward",
        f"after HAMSTAD benchmark 3, definition from memory, in part made up; {METHOD}",
        _judged("hamstad-3"),
    ),
    Case(
        "hamstad-4",
        "sun and showers wet and dry a brick wall with a finishing coat (cells of the default grid "
        "quartered: on it the humidity is off by 0.43 % root mean square, 2.3 % at most)",
        f"in the manner of HAMSTAD benchmark 4, materials and weather made up; {METHOD}",
        _judged("hamstad-4", refine=4),
    ),
    Case(
        "hamstad-5",
        "a capillary-active board inside takes what condenses behind it",
        f"HAMSTAD benchmark 5, definition from memory; {METHOD}",
        _judged("hamstad-5"),
    ),
]
"""The cases of this module."""
