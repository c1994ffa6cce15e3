"""Parts of the printed report: water by cause, the tests of a series, and the path through the studs."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from moistwall.assess.budget import Budget, air_carried, budget
from moistwall.assess.condensation import WetHours, wet_hours
from moistwall.assess.first_year import start_drying
from moistwall.result import Result
from moistwall.show.names import place_name, side_name
from moistwall.show.wrapping import WIDTH, wrapped
from moistwall.study.whole_run import WholeRun, heat_of_both, heat_to_room
from moistwall.units import System, convert, unit_label

LABEL = 50


def water_unit(system: System) -> tuple[str, int]:
    """Unit of water per area, and its decimals.

    Parameters
    ----------
    system : {'ip', 'si'}
        Units to show.
    """
    return (unit_label("area_water", "ip"), 1) if system == "ip" else ("kg/m2", 4)


def water_number(value: float, system: System) -> str:
    """Water per area without its unit.

    Parameters
    ----------
    value : float
        [kg/m2]
    system : {'ip', 'si'}
        Units to show.
    """
    _, decimals = water_unit(system)
    shown = float(convert(value, "area_water", "ip")) if system == "ip" else value
    return f"{round(shown, decimals) + 0.0:.{decimals}f}"


def water_lines(result: Result, system: System) -> list[str]:
    """Water by cause over the year.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    account: Budget = budget(result)
    unit, _ = water_unit(system)
    lines = [
        f"Water by cause, of the year, {unit}".ljust(LABEL)
        + "".join(f"{head:>10}" for head in ("brought", "took", "net"))
    ]
    for cause in account.causes:
        label = cause.name if len(cause.name) <= LABEL - 2 else cause.name[: LABEL - 4] + ".."
        numbers = (cause.came, cause.went, cause.came - cause.went)
        lines.append(
            f"  {label}".ljust(LABEL)
            + "".join(f"{water_number(value, system):>10}" for value in numbers)
        )
    lines.append(
        "  stored more at the year's end".ljust(LABEL)
        + f"{water_number(account.stored, system):>30}"
    )
    lines += wrapped(
        "brought, took: sums of the hours in which it brought water into the section and of those in "
        "which it took water out. What leaks in is a part of the rain that the cladding has shed: it "
        "is counted beside it.",
        other="  ",
    )
    return [*lines, "", *air_lines(result, system)]


def air_lines(result: Result, system: System) -> list[str]:
    """What air through the enclosure carries; no lines where none goes through.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
    """
    carried = air_carried(result)
    if carried is None:
        return []
    unit, _ = water_unit(system)
    lines = wrapped(
        f"Air through the section: outdoor air carried {water_number(carried.inward, system)} {unit} of "
        f"water in, room air {water_number(carried.outward, system)} out. Of it, hour by hour:",
        other="  ",
    )
    for part, left, taken in zip(carried.part, carried.left, carried.taken, strict=True):
        lines += wrapped(
            f"- {water_number(left, system)} left in {part}, {water_number(taken, system)} taken from it again",
            other="  ",
        )
    return [*lines, ""]


def start_lines(result: Result, system: System) -> list[str]:
    """How a wet start dries; no lines where nothing started wet.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
    """
    layers = start_drying(result)
    if not layers:
        return []
    unit, _ = water_unit(system)
    days = [day for day, _ in layers[0].after_days]
    heads = ("start", *(f"{day} d" for day in days), "usual", "dried")
    width = (WIDTH - 22) // len(heads)
    lines = [
        f"Drying from the start, {unit}",
        " " * 22 + "".join(f"{head:>{width}}"[-width:] for head in heads),
    ]
    for layer in layers:
        label = layer.part if len(layer.part) <= 19 else layer.part[:17] + ".."
        values = (layer.start, *(value for _, value in layer.after_days), layer.usual)
        cells = [
            f"{float(convert(v, 'area_water', 'ip')):.0f}" if system == "ip" else f"{v:.2f}"
            for v in values
        ]
        cells.append("not yet" if layer.dried_days is None else f"{layer.dried_days} d")
        lines.append(f"  {label}".ljust(22) + "".join(f"{cell:>{width}}" for cell in cells))
    lines += wrapped(
        "usual: the most it holds in the year that repeats itself, of which the rest of this report "
        "speaks; dried: days from the start, on January 1, until nine tenths of "
        "what it held over that were gone for good.",
        other="  ",
    )
    return [*lines, ""]


def stage_lines(stages: Sequence[tuple[str, Result]], system: System) -> list[str]:
    """Compare the blower-door tests of a series; no lines without one.

    Parameters
    ----------
    stages : sequence of (str, Result)
        Label and computed year of each test.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
    """
    if not stages:
        return []
    unit, _ = water_unit(system)
    heads = ("carried in", "left", "taken", "wettest h")
    lines = [f"By test, {unit}".ljust(34) + "".join(f"{head:>11}" for head in heads)]
    for label, result in stages:
        carried = air_carried(result)
        shown = label if len(label) <= 32 else label[:30] + ".."
        numbers = (
            [
                water_number(value, system)
                for value in (carried.inward, sum(carried.left), sum(carried.taken))
            ]
            if carried is not None
            else ["0"] * 3
        )
        wettest = _wettest(result)
        cells = [*numbers, "-" if wettest is None else str(wettest.hours_rh_80)]
        lines.append(f"  {shown}".ljust(34) + "".join(f"{cell:>11}" for cell in cells))
        if wettest is not None and wettest.hours_rh_80:
            where = next(
                f"{side_name(result, place)} at {place_name(result, place)}"
                for place, row in zip(result.places, wet_hours(result), strict=True)
                if row == wettest
            )
            lines += [
                f"    wettest: {line}" if k == 0 else f"    {line}"
                for k, line in enumerate(textwrap.wrap(where, WIDTH - 14))
            ]
    lines += wrapped(
        "carried in: water in the outdoor air that leaked in; left, taken: in the layers it met; "
        "wettest h: hours at or above 80 % at the wettest side inside of the water-control layer.",
        other="  ",
    )
    return [*lines, ""]


def _wettest(result: Result) -> WetHours | None:
    """The side inside of the water-control layer that is at or above 80 % the longest."""
    rows = [
        row
        for place, row in zip(result.places, wet_hours(result), strict=True)
        if not place.outboard
    ]
    return max(rows, key=lambda row: row.hours_rh_80, default=None)


def heat_lines(run: WholeRun, system: System) -> list[str]:
    """Heat to the room by path, weighted by area.

    Parameters
    ----------
    run : WholeRun
        What was run.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of str
        No lines without studs.
    """
    if run.stud is None:
        return []
    unit = unit_label("energy_area", system)

    def total(value: float) -> str:
        return f"{float(convert(value, 'energy_area', system)):.1f}"

    clear, stud = heat_to_room(run.clear).sum(), heat_to_room(run.stud).sum()
    return [
        *wrapped(
            f"Heat to the room in the year, {unit}: {total(clear)} between the studs, {total(stud)} "
            f"through them; {total(heat_of_both(run).sum())} for the whole, of which studs are "
            f"{100.0 * run.stud_share:.0f} % of the area.",
            other="  ",
        ),
        "",
    ]
