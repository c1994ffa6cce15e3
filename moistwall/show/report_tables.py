"""Tables of the report's page: texts by row, as the printed report has them."""

from __future__ import annotations

from moistwall.assess.condensation import WetHours, sheltered_outdoor_air, wet_hours
from moistwall.assess.measure import Answers
from moistwall.assess.mold import MoldGrowth
from moistwall.assess.wood import wood_moisture
from moistwall.result import Result
from moistwall.show.grouping import grouped_places
from moistwall.show.names import MONTHS, side_name, water_control_name
from moistwall.show.text import COLUMNS
from moistwall.units import System, convert, unit_label

Row = str | tuple[str, ...]
"""A row of texts, or the head of the group that follows."""


def _grouped(result: Result, cells: list[tuple[str, ...]]) -> list[Row]:
    """Rows of all places under the names of their interfaces, split at the water-control layer."""
    rows: list[Row] = []
    for (place, outboard, name), texts in zip(grouped_places(result), cells, strict=True):
        if outboard is not None:
            outside = f"OUTSIDE of the water-control layer ({water_control_name(result)})"
            rows.append(outside if outboard else "INSIDE of the water-control layer")
        if name:
            rows.append(name)
        rows.append((side_name(result, place), *texts))
    return rows


def hours_table(result: Result, system: System) -> tuple[tuple[str, ...], list[Row]]:
    """Hours of wetness at every side, beside those of outdoor air.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    heads : tuple of str
    rows : list of Row
    """

    def cells(row: WetHours) -> tuple[str, ...]:
        values = [getattr(row, field) for _, field in COLUMNS]
        mean = f"{convert(row.temperature_mean, 'temperature', system):.1f}"
        return (*("-" if value is None else str(value) for value in values), mean)

    heads = ("place", *(head for head, _ in COLUMNS), unit_label("temperature", system))
    outdoors = ("sheltered outdoor air", *cells(sheltered_outdoor_air(result)))
    return heads, [outdoors, *_grouped(result, [cells(row) for row in wet_hours(result)])]


def mold_table(answers: Answers) -> tuple[tuple[str, ...], list[Row]]:
    """The mold index at every side, beside that of outdoor air.

    Parameters
    ----------
    answers : Answers
        Of a computed year.

    Returns
    -------
    heads : tuple of str
    rows : list of Row
    """

    def cells(row: MoldGrowth) -> tuple[str, ...]:
        low, high = row.peak_range
        return (
            row.mold_class + ("*" if row.class_assumed and row.part else ""),
            str(row.growing_hours),
            f"{row.peak_year[0]:.2f}",
            f"{row.peak_year[-1]:.2f}" + (" rising" if row.rising else ""),
            f"{row.peak_year_quick[-1]:.2f}",
            f"{low:.2f} to {high:.2f}",
        )

    heads = ("place", "class", "hours", "year 1", "year 3", "quick decline", "bracket")
    rows: list[Row] = [
        (f"outdoor air, {mold_class}", *cells(air))
        for mold_class, air in answers.mold_outdoors.items()
    ]
    return heads, [*rows, *_grouped(answers.result, [cells(row) for row in answers.mold])]


def wood_table(result: Result) -> tuple[tuple[str, ...], list[Row]]:
    """Moisture content of all wood.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    heads : tuple of str
    rows : list of Row
        None where there is no wood.
    """
    found = wood_moisture(result)
    if not found:
        return (), []
    heads = (
        "layer",
        "mean",
        "highest",
        "in",
        *(f"h over {100.0 * limit:.0f} %" for limit in found[0].limits),
        "longest",
    )
    rows: list[Row] = []
    named = ""
    for row in found:
        if row.part != named:
            named = row.part
            same = ", ".join(
                f"{100.0 * limit:.0f} % at {100.0 * rh:.1f} % RH"
                for limit, rh in zip(row.limits, row.equivalent_rh, strict=True)
            )
            rows.append(f"{named}: holds {same} (20 degC)")
        rows.append(
            (
                "mean of it" if row.slice == "whole" else f"{row.slice}, 1/8 in",
                f"{100.0 * row.mean:.1f}",
                f"{100.0 * row.highest:.1f}",
                MONTHS[row.highest_month - 1],
                *(str(hours) for hours in row.hours_over),
                str(row.longest_over[1]),
            )
        )
    return heads, rows


def closing_rows(result: Result, system: System) -> list[Row]:
    """How well a run closes, and what the solver did.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of Row
    """
    balance, solver = result.balance, result.solver
    drift = float(convert(balance.storage_drift_temperature, "temperature_difference", system))
    degrees = unit_label("temperature_difference", system)
    yearly = ", ".join(f"{1000.0 * change:.3g}" for change in balance.yearly_change)
    rows: list[Row] = [
        ("water that went in and out against what is stored", f"{balance.moisture_relative:.1e}"),
        ("the same of heat", f"{balance.heat_relative:.1e}"),
        ("carried water against that of the state, of full", f"{balance.storage_drift:.1e}"),
        (f"carried heat against that of the state, {degrees}", f"{drift:.1e}"),
        ("stored water changed in each year run by, g/m2", yearly),
        ("years run, the last one shown", f"{solver.wall_years}"),
        ("cells, steps, steps cut, forced", f"{solver.cells}, {solver.steps}, {solver.rejected}, {solver.forced}"),
    ]  # fmt: skip
    if solver.above_one:
        rows.append(("side-hours above saturation, shown as 100 %", f"{solver.above_one}"))
    return rows
