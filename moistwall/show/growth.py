"""Parts of the printed report: mold at every side, moisture of wood, and the heat of air under and over roofs."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from moistwall.assess.attic_air import HOT_LIMITS, attic_air
from moistwall.assess.measure import Answers
from moistwall.assess.mold import MoldGrowth
from moistwall.assess.wood import FASTENER_LIMIT, wood_moisture
from moistwall.result import Result
from moistwall.show.grouping import grouped_lines
from moistwall.show.names import MONTHS, side_name
from moistwall.show.wrapping import WIDTH, wrapped
from moistwall.units import System, convert, unit_label

LABEL = 29

CLASS_LETTERS = {
    "very sensitive": "VS",
    "sensitive": "S",
    "medium resistant": "MR",
    "resistant": "R",
}
"""Classes of sensitivity in the table."""


def mold_lines(answers: Answers) -> list[str]:
    """The mold index at every side, beside that of sheltered outdoor air.

    Parameters
    ----------
    answers : Answers
        Of a computed year.

    Returns
    -------
    list of str
        Lines of at most 80 columns.
    """
    result, rows = answers.result, answers.mold
    heads = ("class", "hours", "year 1", "year 3", "", "quick", "bracket")
    lines = ["Mold index, from outside to inside", _mold_row("", heads)]
    for mold_class, air in answers.mold_outdoors.items():
        lines.append(_mold_row(f"outdoor air, class {CLASS_LETTERS[mold_class]}", _mold_cells(air)))
    lines += grouped_lines(
        result,
        [
            _mold_row(f"  {side_name(result, place)}", _mold_cells(row))
            for place, row in zip(result.places, rows, strict=True)
        ],
    )
    assumed = any(row.class_assumed for row in rows)
    lines += wrapped(
        "class: how readily mold grows on what meets there (very sensitive, sensitive, medium resistant, "
        "resistant); hours: warm and damp enough; year 1, year 3: highest index of that year, from 0, 1 is seen "
        "under a microscope, 3 by eye; +: still rising; quick: year 3 with a decline ten times as fast; bracket: "
        "year 3 over both and 0.3 % RH."
        + (" *: no class is given, sensitive was assumed." if assumed else ""),
        other="  ",
    )
    return [*lines, ""]


def _mold_cells(row: MoldGrowth) -> Sequence[str]:
    low, high = row.peak_range
    return (
        CLASS_LETTERS[row.mold_class] + ("*" if row.class_assumed and row.part else ""),
        str(row.growing_hours),
        f"{row.peak_year[0]:.2f}",
        f"{row.peak_year[-1]:.2f}",
        "+" if row.rising else "",
        f"{row.peak_year_quick[-1]:.2f}",
        f"{low:.2f}-{high:.2f}",
    )


def _mold_row(label: str, cells: Sequence[str]) -> str:
    if len(label) > LABEL:
        label = label[: LABEL - 2] + ".."
    widths = (6, 7, 8, 8, 2, 7, 12)
    return (
        label.ljust(LABEL)
        + "".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))
    ).rstrip()


def wood_lines(result: Result) -> list[str]:
    """Moisture content of all wood; no lines where there is none.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    list of str
    """
    rows = wood_moisture(result)
    if not rows:
        return []
    limits = rows[0].limits
    lines = [
        "Wood, % of dry mass",
        " " * LABEL
        + "".join(f"{head:>8}" for head in ("mean", "highest"))
        + f"{'in':>5}"
        + "".join(f"{f'h>{100.0 * limit:.0f}':>7}" for limit in limits)
        + f"{'longest':>9}",
    ]
    named = ""
    for row in rows:
        if row.part != named:
            named = row.part
            same = ", ".join(
                f"{100.0 * limit:.0f} % at {100.0 * rh:.1f} % RH"
                for limit, rh in zip(limits, row.equivalent_rh, strict=True)
            )
            lines += textwrap.wrap(
                f"{named}: holds {same} (20 degC)", WIDTH, subsequent_indent="  "
            )
        name = {"whole": "mean of it"}.get(row.slice, f"{row.slice}, 1/8 in")
        lines.append(
            f"  {name}".ljust(LABEL)
            + f"{100.0 * row.mean:8.1f}{100.0 * row.highest:8.1f}{MONTHS[row.highest_month - 1]:>5}"
            + "".join(f"{hours:7d}" for hours in row.hours_over)
            + f"{row.longest_over[1]:9d}"
        )
    corroding = [row for row in rows if row.fastener_hours]
    lines += wrapped(
        "h>: hours above that moisture content; longest: stretch above "
        f"{100.0 * limits[1]:.0f} %. Below 16 % dry, to 20 % caution, above it mold, above 28 % decay (design "
        "practice, from memory).",
        other="  ",
    )
    limit = f"{100.0 * FASTENER_LIMIT:.0f} %"
    if corroding:
        worst = max(corroding, key=lambda row: row.fastener_longest)
        lines += wrapped(
            f"Fasteners may corrode: {worst.part} ({worst.slice}) is above {limit} for "
            f"{worst.fastener_hours} h, {worst.fastener_longest} h on end (Zelinka 2013).",
            other="  ",
        )
    else:
        lines += wrapped(f"Fasteners: no wood is above {limit} (Zelinka 2013).", other="  ")
    return [*lines, ""]


def attic_lines(result: Result, system: System) -> list[str]:
    """How hot the air of a roof's gaps gets; no lines for walls and floors.

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
    lines: list[str] = []
    unit = unit_label("temperature", system)
    limits = [f"{float(convert(limit, 'temperature', system)):.0f}" for limit in HOT_LIMITS]
    for row in attic_air(result):
        over = ", ".join(
            f"{hours} h over {limit}" for hours, limit in zip(row.hours_over, limits, strict=True)
        )
        highest, outdoor = (
            f"{float(convert(value, 'temperature', system)):.0f}"
            for value in (row.highest, row.outdoor_highest)
        )
        lines += wrapped(
            f"Air of {row.name}: {over} {unit}; highest {highest} in {MONTHS[row.highest_month - 1]}, outdoors "
            f"{outdoor}. Equipment up there lives in it.",
            other="  ",
        )
    return [*lines, ""] if lines else []
