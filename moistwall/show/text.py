"""The printed report of a run, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.check import Check
from moistwall.assess.condensation import WetHours, sheltered_outdoor_air, wet_hours
from moistwall.assess.drying import GapDrying, gap_drying
from moistwall.assess.measure import Answers
from moistwall.assess.validity import beyond_ranges
from moistwall.result import Result
from moistwall.show.beyond import beyond_lines
from moistwall.show.cautions import CAUTIONS
from moistwall.show.check_text import drying_lines
from moistwall.show.grouping import grouped_lines
from moistwall.show.growth import attic_lines, mold_lines, wood_lines
from moistwall.show.names import MONTHS, side_name
from moistwall.show.steady_text import compare_with_hourly, steady_lines
from moistwall.show.thermal_text import thermal_lines
from moistwall.show.verdict import criteria_lines, first_screen
from moistwall.show.water import heat_lines, stage_lines, start_lines, water_lines
from moistwall.show.wrapping import listed, wrapped
from moistwall.show.zone import ridge_lines, zone_lines
from moistwall.study.judged import JudgedRun
from moistwall.study.whole_run import WholeRun
from moistwall.units import System, convert, format_quantity, unit_label

Array = NDArray[np.float64]

LABEL = 29
COLUMNS = (
    ("risk", "condensation_risk_hours"),
    ("cond", "condensing_hours"),
    ("liq", "liquid_hours"),
    (">=80", "hours_rh_80"),
    (">=90", "hours_rh_90"),
    (">=95", "hours_rh_95"),
    ("run", "longest_wet_hours"),
    ("out", "contact_hours_outdoor_air"),
    ("room", "contact_hours_room_air"),
)
LEGEND = (
    "risk: hours less than {margin} above the dew point there; cond: hours in which vapor turned "
    "to liquid there; liq: hours with liquid; >=80, 90, 95: hours at or above that relative humidity "
    "(%); run: longest stretch at or above 80 %; out, room: hours colder than the dew point of "
    "outdoor or room air, which is what a leak would bring; {unit}: mean temperature."
)


def report(
    result: Result,
    system: System,
    whole: WholeRun | None = None,
    judged: JudgedRun | None = None,
) -> str:
    """The printed report.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.
    whole : WholeRun or None
        What else was run for the same assembly: the path through the studs, the other tests.
    judged : JudgedRun or None
        What criteria make of it; then the report begins with the verdict on one screen.

    Returns
    -------
    str
        Lines of at most 80 columns, plain ASCII but for names from the input.
    """
    lines: list[str] = []
    run = WholeRun(result) if whole is None else whole
    answers = Answers(result) if judged is None else judged.answers
    if judged is not None:
        lines += [*first_screen(run, judged, system), "", *criteria_lines(run, judged, system)]
    lines += wrapped(f"{result.section_name}, in {result.climate_place}")
    lines += wrapped(result.climate_source, "  weather: ")
    for note in result.notes:
        lines += wrapped(note, "  ")
    lines += ["", *_interfaces(result, system), ""]
    lines += mold_lines(answers) + wood_lines(result) + attic_lines(result, system)
    lines += zone_lines(result, system)
    for gap in gap_drying(result):
        lines += [*_gap(gap, system), ""]
    lines += start_lines(result, system)
    lines += water_lines(result, system)
    if whole is not None:
        lines += stage_lines(whole.stages, system)
        if whole.stud is not None:
            lines += wrapped("The path through the studs:")
            lines += [*_interfaces(whole.stud, system, legend=False), ""]
            lines += wood_lines(whole.stud)
            lines += heat_lines(whole, system)
        if whole.ridge is not None:
            lines += [*ridge_lines(whole.ridge, system)]
            lines += [*_interfaces(whole.ridge, system, legend=False), ""]
            lines += wood_lines(whole.ridge)
    if run.check is not None:
        lines += without_hours(run.check, result, system)
    lines += _numbers(result, system)
    if run.check is not None:
        lines += beyond_lines(beyond_ranges(run.check.section, result))
    lines += listed("Assumed, because the file does not say", result.defaults)
    lines += listed("From memory, not from a source that was seen", result.from_memory)
    lines += listed("Cautions", CAUTIONS)
    return "\n".join(lines) + "\n"


def without_hours(check: Check, result: Result, system: System) -> list[str]:
    """What is known without simulating, with the monthly method set beside the run.

    Parameters
    ----------
    check : Check
        What can be told so.
    result : Result
        The computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    lines = [*drying_lines(check.drying, system), "", *thermal_lines(check.thermal, system), ""]
    if check.steady is not None:
        lines += steady_lines(check.steady, system)
        lines += wrapped(compare_with_hourly(check.steady, result), "  ", "  ")
        lines += [""]
    return lines


def _interfaces(result: Result, system: System, *, legend: bool = True) -> list[str]:
    lines = [
        "Hours of the year, from outside to inside".ljust(LABEL),
        " " * LABEL
        + "".join(f"{head:>5}" for head, _ in COLUMNS)
        + f" {unit_label('temperature', system)}",
        _row("sheltered outdoor air", sheltered_outdoor_air(result), system),
    ]
    rows = [
        _row(f"  {side_name(result, place)}", row, system)
        for place, row in zip(result.places, wet_hours(result), strict=True)
    ]
    lines += grouped_lines(result, rows)
    if not legend:
        return lines
    return [
        *lines,
        *wrapped(
            LEGEND.format(
                margin="1.8 degF" if system == "ip" else "1 K",
                unit=unit_label("temperature", system),
            ),
            "",
            "",
        ),
    ]


def _row(label: str, row: WetHours, system: System) -> str:
    cells = []
    for _, field in COLUMNS:
        value = getattr(row, field)
        cells.append(f"{'-' if value is None else value:>5}")
    mean = f"{convert(row.temperature_mean, 'temperature', system):6.1f}"
    if len(label) > LABEL:
        label = label[: LABEL - 2] + ".."
    return label.ljust(LABEL) + "".join(cells) + mean


def _gap(gap: GapDrying, system: System) -> list[str]:
    """Drying potential of a gap and what its air carried off, month by month."""
    unit, decimals = (unit_label("area_water", "ip"), 0) if system == "ip" else ("kg/m2", 3)
    columns = [
        convert(values, "area_water", "ip") if system == "ip" else values
        for values in (gap.potential_month, gap.removed_month, gap.removed_from_inner_month)
    ]

    def row(label: str, values: Iterable[float]) -> str:
        # adding zero makes a rounded -0 a plain 0
        numbers = (round(float(value), decimals) + 0.0 for value in values)
        return f"  {label:4}" + "".join(f"{number:>18.{decimals}f}" for number in numbers)

    heads = ("drying potential", "carried off", "of it, inner face")
    return [
        *wrapped(
            f"{gap.name} ({gap.kind}, {gap.air_changes_mean:.0f} air changes an hour), {unit}"
        ),
        " " * 6 + "".join(f"{head:>18}" for head in heads),
        *(row(month, values) for month, *values in zip(MONTHS, *columns, strict=True)),
        row("year", (values.sum() for values in columns)),
        *wrapped(
            "drying potential: what the air would take from the inner face if that were wet all the "
            "time; carried off: what it took from both faces, a minus where it left more behind. "
            f"It left water behind in {gap.wetting_hours} hours.",
            "  ",
            "  ",
        ),
    ]


def _numbers(result: Result, system: System) -> list[str]:
    balance, solver = result.balance, result.solver
    drained = format_quantity(float(result.drained_cell.sum()), "area_water", system)
    change = format_quantity(balance.yearly_change[-1], "area_water", system)
    lines = [
        f"Closure: moisture {balance.moisture_relative:.1e}, heat {balance.heat_relative:.1e}; "
        f"storage drift {balance.storage_drift:.1e} of full, "
        f"{convert(balance.storage_drift_temperature, 'temperature_difference', system):.1e} "
        f"{unit_label('temperature_difference', system)}.",
        f"Ran off surfaces: {drained} in the year.",
        f"Year {solver.wall_years} reported; stored water changed by {change} in it.",
        f"Solver: {solver.seconds:.2f} s for {solver.wall_years} years, {solver.cells} cells; in the last "
        f"year {solver.steps} steps, {solver.rejected} cut, {solver.passes} passes, {solver.forced} "
        "forced at the shortest step.",
    ]
    if solver.above_one:
        lines.append(
            f"{solver.above_one} side-hours came out above saturation and are shown as 100 %."
        )
    return [*(folded for line in lines for folded in wrapped(line, "", "  ")), ""]
