"""A drying as a page: how many days, and the water of each layer day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from moistwall.climate.record import Climate
from moistwall.section import Section
from moistwall.show.dry_out import COLUMNS, shown_water, water_unit_of
from moistwall.show.page import render_page
from moistwall.show.section import outline_of
from moistwall.show.section_drawing import numbered_parts, section_drawing
from moistwall.show.study_drawing import Point, curves_drawing
from moistwall.study.dry_out import MOST_DAYS, DryStage, StageOutcome
from moistwall.units import System

if TYPE_CHECKING:
    from markupsafe import Markup

MOST_POINTS = 400
"""Points of a line at most; of longer stages every so many days is drawn."""


@dataclass(frozen=True)
class ShownStage:
    """A stage as the page shows it.

    Parameters
    ----------
    name, told : str
        Its name; its days and what it waited for.
    pictures : list of (str, Markup)
        Water of its layers by unit.
    heads : tuple of str
    rows : list of tuple of str
        Water of each layer at some days.
    every : int
        Days between two points of the lines.
    """

    name: str
    told: str
    pictures: list[tuple[str, Markup]]
    heads: tuple[str, ...]
    rows: list[tuple[str, ...]]
    every: int


def dry_out_page(
    section: Section,
    climate: Climate,
    date: str,
    stages: Sequence[DryStage],
    outcomes: Sequence[StageOutcome],
    system: System = "ip",
) -> str:
    """A drying as a page.

    Parameters
    ----------
    section : Section
        What dries.
    climate : Climate
        The year.
    date : str
        First day, as it was given.
    stages : sequence of DryStage
        What was asked for.
    outcomes : sequence of StageOutcome
        What came of it; shorter where a stage never ended.
    system : {'ip', 'si'}
        Units of thicknesses.

    Returns
    -------
    str
        HTML in one file.
    """
    outline = outline_of(section)
    last = outcomes[-1]
    return render_page(
        "dry_out.html",
        name=section.name,
        date=date,
        climate=climate,
        dry=last.reached and len(outcomes) == len(stages),
        days=last.first_day + last.days,
        last=last.name,
        most_days=MOST_DAYS,
        stages=[_stage(*pair) for pair in zip(stages, outcomes, strict=False)],
        skipped=[stage.name for stage in stages[len(outcomes) :]],
        section_picture=section_drawing(outline, system),
        parts=numbered_parts(outline, system),
        moisture=f"{max(one.moisture_relative for one in outcomes):.1e}",
        heat=f"{max(one.heat_relative for one in outcomes):.1e}",
        drained=f"{sum(one.drained for one in outcomes):.3g}",
        defaults=section.defaults,
        from_memory=section.from_memory,
    )


def _stage(stage: DryStage, outcome: StageOutcome) -> ShownStage:
    layers = stage.section.layers
    days = np.arange(outcome.days + 1)
    every = max(1, -(-days.size // MOST_POINTS))
    drawn = sorted({*days[::every].tolist(), outcome.days})
    told = f"day {outcome.first_day} to day {outcome.first_day + outcome.days}"
    limit_of: dict[str, tuple[float, str]] = {}
    if stage.target is not None:
        layer = next(one for one in layers if one.name == stage.target.layer)
        unit = water_unit_of(layer)
        shown = shown_water(layer, stage.target.content)
        told += f", until {layer.name} is down to {shown} {unit}"
        told += "" if outcome.reached else ": not reached"
        limit_of[unit] = (float(shown), f"dry enough: {layer.name} {shown} {unit}")
    pictures = []
    ticks = [
        (float(day), f"{outcome.first_day + day}")
        for day in sorted({round(outcome.days * k / 4) for k in range(5)})
    ]
    for unit in dict.fromkeys(map(water_unit_of, layers)):
        series: list[tuple[str, list[Point]]] = []
        for k, layer in enumerate(layers):
            if water_unit_of(layer) == unit:
                water = outcome.content_day[:, k]
                points = [
                    (float(day), float(shown_water(layer, float(water[day])))) for day in drawn
                ]
                series.append((layer.name, points))
        of = "each layer" if len(series) > 1 else series[0][0]
        title = f"Mean water of {of}, {unit}"
        if len(ticks) > 1:
            picture = curves_drawing(title, series, ticks, limit=limit_of.get(unit), marked=False)
            pictures.append((title, picture))
    at = sorted({round(outcome.days * k / (COLUMNS - 1)) for k in range(COLUMNS)})
    rows = [
        (
            f"{layer.name}, {water_unit_of(layer)}",
            *(shown_water(layer, float(outcome.content_day[day, k])) for day in at),
        )
        for k, layer in enumerate(layers)
    ]
    heads = ("layer", *(f"day {outcome.first_day + day}" for day in at))
    return ShownStage(outcome.name, told, pictures, heads, rows, every)
