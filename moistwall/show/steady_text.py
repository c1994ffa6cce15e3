"""The monthly dew-point calculation in words, beside the hourly run, and as plain data."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np

from moistwall.assess.steady import MOLD_RH, Steady
from moistwall.assess.steady_hourly import Reason, SteadyContrast, contrast_with_hourly
from moistwall.result import Result
from moistwall.show.names import MONTHS
from moistwall.show.wrapping import WIDTH, wrapped
from moistwall.units import System, convert, unit_label

LIMITS = (
    "A monthly dew-point calculation (ISO 13788, from memory) knows no storage, no liquid water, no sun, no "
    "rain, no air leaks and no change within a month: a month in which it finds nothing may still be wet."
)
"""Said beside each such calculation."""

REASONS: dict[Reason, str] = {
    "sun": "no sun on the outer face",
    "night sky": "no cold night sky",
    "rain": "no rain",
    "leaks": "no leak of water",
    "air": "no air through the section",
}
"""What the method does not know, for each thing that acted on the run."""


def _months(numbers: list[int]) -> str:
    """Months, from 1, as people say them: 'May to Sep', also over the end of the year."""
    if len(numbers) == 12:
        return "all year"
    start = next((m for m in numbers if (m - 2) % 12 + 1 not in numbers), numbers[0])
    run = [start]
    while run[-1] % 12 + 1 in numbers and len(run) < len(numbers):
        run.append(run[-1] % 12 + 1)
    if len(run) < len(numbers):
        return ", ".join(MONTHS[m - 1] for m in numbers)
    return MONTHS[start - 1] if len(run) == 1 else f"{MONTHS[start - 1]} to {MONTHS[run[-1] - 1]}"


def steady_lines(steady: Steady, system: System) -> list[str]:
    """Tell where and when the method finds condensation.

    Parameters
    ----------
    steady : Steady
        Twelve steady months.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    lines = textwrap.wrap(f"Month by month, dew-point method, in {steady.climate_place}", WIDTH)
    planes = steady.planes
    if planes:
        lines += wrapped(
            f"Water at the end of each month, {unit_label('area_water', system)}:",
            first="  ",
            other="  ",
        )
        order = (np.arange(12) + (steady.first_month or 1) - 1) % 12
        total = steady.stored_node.sum(axis=1)
        for half in (order[:6], order[6:]):
            lines.append("    " + "".join(f"{MONTHS[m]:>10}" for m in half))
            lines.append("    " + "".join(f"{_water(total[m], system):>10}" for m in half))
        for name, water in planes.items():
            most = int(np.argmax(water))
            lines += wrapped(
                f"at {name}: most in {MONTHS[most]}, {_water(water[most], system)}",
                first="  ",
                other="  ",
            )
        end = (
            "Water is left when that month comes again: it gathers from year to year."
            if steady.accumulates
            else "All of it dries within the year."
        )
        lines += wrapped(
            end,
            first="  ",
            other="  ",
        )
    else:
        lines.append("  No condensation in any month.")
    month, node = _dampest(steady)
    lines += wrapped(
        f"Dampest behind the outer surface: {100.0 * _humidity(steady)[month, node]:.0f} % in "
        f"{MONTHS[month]}, {steady.steps.name_node[node]}.",
        first="  ",
        other="  ",
    )
    surface = int(np.argmax(steady.surface_rh_month))
    dampest = float(steady.surface_rh_month[surface])
    judged = "at or above" if dampest >= MOLD_RH else "below"
    lines += wrapped(
        f"The room's surface behind furniture: {100.0 * dampest:.0f} % in {MONTHS[surface]}, {judged} the "
        f"{100.0 * MOLD_RH:.0f} % at which mold is expected.",
        first="  ",
        other="  ",
    )
    if steady.surface_saturated:
        lines += wrapped(
            "Air would condense on a surface of the section itself in some month.",
            first="  ",
            other="  ",
        )
    lines += wrapped(
        LIMITS,
        first="  ",
        other="  ",
    )
    return lines


def _water(amount: float, system: System) -> str:
    return f"{convert(float(amount), 'area_water', system):.{1 if system == 'ip' else 0}f}"


def _humidity(steady: Steady) -> Any:
    return steady.vapor_node / steady.saturation_node


def _dampest(steady: Steady) -> tuple[int, int]:
    """Month and node of the highest humidity behind the place where the section begins."""
    names = steady.steps.name_node
    first = next(k for k, name in enumerate(names) if name != names[0])
    humidity = _humidity(steady)[:, first:]
    month, node = np.unravel_index(int(np.argmax(humidity)), humidity.shape)
    return int(month), int(node) + first


def compare_with_hourly(steady: Steady, result: Result) -> str:
    """Say in one sentence where and why the monthly calculation and a run differ.

    Parameters
    ----------
    steady : Steady
        Twelve steady months.
    result : Result
        A run of the same section under the same year.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    InputError
        If the two are of different sections or years.
    """
    found = contrast_with_hourly(steady, result)
    monthly = (
        f"By monthly means water gathers at {_listed(found.steady_places)} "
        f"({_months(list(found.steady_months))})"
        if found.steady_places
        else "By monthly means nothing condenses"
    )
    hourly = (
        f"hour by hour vapor turns to liquid in {found.condensing_hours} hours at "
        f"{found.condensing_place}"
        if found.condensing_hours
        else "hour by hour none turns to liquid"
    )
    join = "and" if bool(found.steady_places) == bool(found.condensing_hours) else "but"
    return (
        f"{monthly}, {join} {hourly}; the two are furthest apart at {found.place} in "
        f"{MONTHS[found.month - 1]} ({100.0 * found.steady_rh:.0f} % by months, "
        f"{100.0 * found.hourly_rh:.0f} % as the mean of the hours), because the monthly method knows "
        f"{_listed(_unknown(found))}."
    )


def _unknown(found: SteadyContrast) -> list[str]:
    """What the method does not know and the run does, in words."""
    always = ["no storage", "no liquid", "no swing within the month"]
    return always + [REASONS[reason] for reason in found.reasons]


def _listed(names: list[str] | tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def steady_data(steady: Steady) -> dict[str, Any]:
    """Twelve months as plain data, in SI.

    Parameters
    ----------
    steady : Steady
        Twelve steady months.

    Returns
    -------
    dict
        Fit for JSON; January first.
    """
    needed = [None if np.isnan(one) else float(one) for one in steady.needed_factor_month]
    return {
        "climate": steady.climate_name,
        "first_month": steady.first_month,
        "accumulates": steady.accumulates,
        "surface_saturated": steady.surface_saturated,
        "outdoor_temperature_degC": steady.outdoor_temperature.tolist(),
        "outdoor_vapor_Pa": steady.outdoor_vapor.tolist(),
        "room_temperature_degC": steady.room_temperature.tolist(),
        "room_vapor_Pa": steady.room_vapor.tolist(),
        "stored_kg_m2": {name: water.tolist() for name, water in steady.planes.items()},
        "entered_kg_m2": steady.entered_month.tolist(),
        "left_kg_m2": steady.left_month.tolist(),
        "nodes": [
            {
                "name": name,
                "depth_m": float(steady.steps.depth_node[k]),
                "temperature_degC": steady.temperature_node[:, k].tolist(),
                "rh": _humidity(steady)[:, k].tolist(),
            }
            for k, name in enumerate(steady.steps.name_node)
        ],
        "surface_factor": steady.surface_factor,
        "surface_rh": steady.surface_rh_month.tolist(),
        "needed_surface_factor": needed,
    }
