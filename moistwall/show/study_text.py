"""Studies in words and as plain data: tables of variants, what failed, what followed from a change."""

from __future__ import annotations

import csv
import io
import re
import textwrap
from collections import Counter
from collections.abc import Sequence
from typing import Any

from moistwall import __version__
from moistwall.show.cautions import CAUTIONS
from moistwall.show.hourly import plain_cell
from moistwall.show.wrapping import wrapped
from moistwall.study.engine import Done
from moistwall.study.measures import MEASURES, Criterion
from moistwall.units import System, convert, format_quantity

COLUMNS: tuple[tuple[str, str, int], ...] = (
    ("hours_rh_80", "h>=80", 0),
    ("longest_wet_hours", "longest", 0),
    ("condensing_hours", "h cond", 0),
    ("mold_index", "mold", 2),
    ("wood_moisture", "%MC", 1),
    ("r_value", "R", 1),
)
"""Columns of a table: measure, head, decimals."""

WIDTHS = (6, 8, 7, 6, 6, 6)
"""Of these columns in a printed table. [characters]"""

MARGIN, TITLE = 8, 20
"""Width of the margin, and of the names of the variants at most: with the verdict 80 columns in all."""

VERDICT_MARKS = {"dries": "o", "marginal": "~", "stays wet": "#"}
"""A mark of its own shape before each word."""

WHERE_COUNTED = (
    "Counted at the worst place inside of the water-control layer (of all places, where a file names no such "
    "layer): hours at or above 80 % RH, the longest such stretch, hours in which vapor condenses, the mold index "
    "(highest of the last of three years, slow decline), the wettest wooden layer. R with studs where the file "
    "has any; it does not tell of moisture."
)


def number_text(name: str, value: float | None, decimals: int, system: System) -> str:
    """Write a measure in a table.

    Parameters
    ----------
    name : str
        Key of `moistwall.study.measures.MEASURES`.
    value : float or None
        In the unit of the measure; None is written as a dash.
    decimals : int
        Decimals shown.
    system : {'ip', 'si'}
        Units of thermal resistance.
    """
    if value is None:
        return "-"
    if name == "r_value":
        value = convert(value, "thermal_resistance", system)
    return f"{value:.{decimals}f}"


def table_lines(found: Sequence[Done], criterion: Criterion, system: System) -> list[str]:
    """Table of variants with the margin to a criterion.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    criterion : Criterion
        What the margin is to.
    system : {'ip', 'si'}
        Units of thermal resistance.

    Returns
    -------
    list of str
        A line a variant, those that failed with the cause below.
    """
    titles = [done.job.title for done in found]
    shared = _shared_start(titles)
    width = min(max([len(title) - len(shared) for title in titles] + [7]), TITLE)
    heads = "".join(f"{head:>{w}}" for (_, head, _), w in zip(COLUMNS, WIDTHS, strict=True))
    lines = wrapped(shared.strip()) if shared else []
    lines.append(f"{'':<{width}}{heads}{'margin':>{MARGIN}}  verdict")
    for done, title in zip(found, titles, strict=True):
        told = title[len(shared) :]
        folded = _folded(told, width)
        if done.summary is None:
            lines.append(f"{folded[0]:<{width}}   failed")
            lines += wrapped(done.failure, "    ")
            continue
        values = done.measures
        cells = "".join(
            f"{number_text(name, values.get(name), decimals, system):>{w}}"
            for (name, _, decimals), w in zip(COLUMNS, WIDTHS, strict=True)
        )
        margin = f"{criterion.margin(values):.3g}" if criterion.measure in values else "-"
        verdict = done.summary["verdict"]
        told = f"{VERDICT_MARKS[verdict]} {verdict}"
        lines.append(f"{folded[0]:<{width}}{cells}{margin:>{MARGIN}}  {told}")
        lines += folded[1:]
    return lines


def _folded(title: str, width: int) -> list[str]:
    """Break a title at spaces, and a path such as ``crawl_space.air_changes`` behind its points."""
    mark = "\0"
    apart = re.sub(r"(?<=[a-z\]]\.)(?=[a-z])", f"{mark} ", title)
    lines = textwrap.wrap(apart, width) or [""]
    return [line.replace(f"{mark} ", "").replace(mark, "") for line in lines]


def _shared_start(titles: Sequence[str]) -> str:
    """What all titles begin with, up to the last '= ' of it."""
    if len(titles) < 2:
        return ""
    start = titles[0]
    for title in titles[1:]:
        while not title.startswith(start):
            start = start[:-1]
    return start[: start.rfind("= ") + 2] if "= " in start else ""


def remark_lines(found: Sequence[Done], criterion: Criterion) -> list[str]:
    """What has to be said below a table: criterion, worst places, notes, cautions.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    criterion : Criterion
        What the margin is to.
    """
    words, unit = MEASURES[criterion.measure]
    lines = [""]
    limit = f"{criterion.sign} {criterion.limit:g} {unit}".strip()
    lines += wrapped(
        f"Margin: to {limit} of '{words}' ({criterion.source}); negative is beyond it.", "- ", "  "
    )
    lines += wrapped(WHERE_COUNTED, "- ", "  ")
    for reason in dict.fromkeys(
        f"{done.summary['verdict']}: decided by '{done.summary['decided_by']}'"
        for done in found
        if done.summary and done.summary["decided_by"]
    ):
        lines += wrapped(reason, "- ", "  ")
    worst = _worst_places(found)
    for place, rows in list(worst.items())[:4]:
        more = f" and {len(rows) - 3} more" if len(rows) > 3 else ""
        where = f" ({'; '.join(rows[:3])}{more})" if len(worst) > 1 else ""
        lines += wrapped(f"Worst at: {place}{where}", "- ", "  ")
    if len(worst) > 4:
        left = len(worst) - 4
        lines += wrapped(f"and at {left} other place{'s' if left > 1 else ''}", "  ", "  ")
    notes = list(dict.fromkeys(note for done in found for note in done.job.notes))
    for note in notes[:12]:
        lines += wrapped(note, "- ", "  ")
    if len(notes) > 12:
        lines += wrapped(f"and {len(notes) - 12} more notes, in the table.", "- ", "  ")
    failed = sum(done.summary is None for done in found)
    if failed:
        lines += wrapped(f"{failed} of {len(found)} failed; the causes stand above.", "- ", "  ")
    return [*lines, *caution_lines()]


def _worst_places(found: Sequence[Done]) -> dict[str, list[str]]:
    """Rows of the table by the place where each is worst."""
    titles = [done.job.title for done in found]
    shared, times = len(_shared_start(titles)), Counter(titles)
    places: dict[str, list[str]] = {}
    for done in found:
        if done.summary:
            # a comparison has the same title in each climate, a sweep says the climate itself
            where = f", {done.job.climate}" if times[done.job.title] > 1 else ""
            row = done.job.title[shared:] + where
            places.setdefault(done.summary["worst"], []).append(row)
    return places


def attic_lines(found: Sequence[Done], system: System) -> list[str]:
    """How hot the air in the gaps of roofs gets, for those that have any.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    system : {'ip', 'si'}
        Unit of temperature.
    """
    lines = []
    for done in found:
        if "attic_hottest" in done.measures:
            hottest = format_quantity(done.measures["attic_hottest"], "temperature", system)
            hours = f"{done.measures['attic_hot_hours']:.0f} h above 100 degF (38 degC)"
            told = f"{done.job.title}: air in the gap of the roof up to {hottest}, {hours}"
            lines += wrapped(told, "- ", "  ")
    return lines


def caution_lines() -> list[str]:
    """The cautions that every answer ends with."""
    lines = ["", "Cautions:"]
    for caution in CAUTIONS:
        lines += wrapped(caution, "- ", "  ")
    return lines


def difference_lines(
    names: Sequence[str], rows: Sequence[tuple[str, tuple[str, ...]]]
) -> list[str]:
    """What the files say differently, field by field.

    Parameters
    ----------
    names : sequence of str
        Names of the assemblies.
    rows : sequence of (str, tuple of str)
        Field, and what each file has there.
    """
    lines = ["", "What differs between the files, in the order in which they were given:"]
    for field, values in rows:
        lines += wrapped(f"{field}: " + " / ".join(values), "  ", "      ")
    return lines if rows else []


def study_data(
    kind: str, found: Sequence[Done], criterion: Criterion | None, **more: Any
) -> dict[str, Any]:
    """A study as plain data.

    Parameters
    ----------
    kind : str
        Which kind of study.
    found : sequence of Done
        In the order of the study.
    criterion : Criterion or None
        What was put to it.
    **more
        What else belongs to it; fit for JSON.

    Returns
    -------
    dict
        Fit for JSON, always SI.
    """
    return {
        "moistwall": __version__,
        "study": kind,
        "criterion": None if criterion is None else criterion.text,
        "criterion_source": None if criterion is None else criterion.source,
        "measures": {
            name: {"words": words, "unit": unit} for name, (words, unit) in MEASURES.items()
        },
        **more,
        "variants": [
            {
                "title": done.job.title,
                "climate": done.job.climate,
                "changes": {path: value for path, value in done.job.changes},
                "notes": list(done.job.notes),
                "failure": done.failure or None,
                "verdict": done.summary["verdict"] if done.summary else None,
                "decided_by": done.summary["decided_by"] if done.summary else None,
                "worst": done.summary["worst"] if done.summary else None,
                "measures": done.measures,
            }
            for done in found
        ],
        "cautions": list(CAUTIONS),
    }


def study_csv(found: Sequence[Done]) -> str:
    """Table of a study for spreadsheets, in SI with the unit in each head.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    """
    paths = list(dict.fromkeys(path for done in found for path, _ in done.job.changes))
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    units = [f"{name} [{unit}]" if unit else name for name, (_, unit) in MEASURES.items()]
    head = ["variant", "climate", *paths, *units, "verdict", "worst", "notes", "failure"]
    writer.writerow([plain_cell(name) for name in head])
    for done in found:
        changes = dict(done.job.changes)
        cells = [
            done.job.title,
            done.job.climate,
            *(changes.get(path, "") for path in paths),
            *(done.measures.get(name, "") for name in MEASURES),
            done.summary["verdict"] if done.summary else "",
            done.summary["worst"] if done.summary else "",
            "; ".join(done.job.notes),
            done.failure,
        ]
        writer.writerow([plain_cell(one) if isinstance(one, str) else one for one in cells])
    return file.getvalue()
