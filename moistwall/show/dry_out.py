"""The answer of a drying, as text and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moistwall.climate.record import Climate
from moistwall.section import Layer, Section
from moistwall.show.cautions import CAUTIONS
from moistwall.show.wrapping import wrapped
from moistwall.study.dry_out import MOST_DAYS, DryStage, StageOutcome

COLUMNS = 6
"""Points in time of a stage that the text shows."""


def shown_water(layer: Layer, content: float) -> str:
    """Water of a layer, in the unit of `water_unit_of`.

    Parameters
    ----------
    layer : Layer
        The layer.
    content : float
        [kg/m3]
    """
    if layer.material.wood:
        return f"{100.0 * content / layer.material.density:.1f}"
    # a sheet of metal holds next to nothing: seven characters at most
    return f"{content:.3g}" if content >= 1e-3 or content == 0.0 else f"{content:.1e}"


def water_unit_of(layer: Layer) -> str:
    """Unit in which the water of a layer is shown: percent of dry mass for wood, kg/m3 for others.

    Parameters
    ----------
    layer : Layer
        The layer.
    """
    return "%MC" if layer.material.wood else "kg/m3"


def dry_out_text(
    section: Section,
    climate: Climate,
    date: str,
    stages: Sequence[DryStage],
    outcomes: Sequence[StageOutcome],
) -> str:
    """Tell a drying in words and a table for each stage.

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

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    lines = wrapped(f"{section.name}: drying from {date}, in {climate.place}", other="  ")
    lines += wrapped(climate.source, "  weather: ", other="  ")
    for stage, outcome in zip(stages, outcomes, strict=False):
        lines += ["", *_stage(stage, outcome)]
    total = outcomes[-1].first_day + outcomes[-1].days
    lines.append("")
    if outcomes[-1].reached and len(outcomes) == len(stages):
        lines += wrapped(f"In all: {total} days.", other="  ")
    else:
        lines += wrapped(
            f"Not dry enough after {MOST_DAYS} days of '{outcomes[-1].name}': it does not dry as it "
            "stands, and what would follow was not run.",
            other="  ",
        )
    moisture = max(one.moisture_relative for one in outcomes)
    heat = max(one.heat_relative for one in outcomes)
    drained = sum(one.drained for one in outcomes)
    lines += wrapped(
        f"Closure: moisture {moisture:.1e}, heat {heat:.1e}, worst day. Ran off: {drained:.3g} kg/m2. "
        "Mean water of each layer: its wettest spot dries last.",
        other="  ",
    )
    for title, entries in (
        ("Assumed, because the file does not say", section.defaults),
        ("Cautions", CAUTIONS),
    ):
        lines += ["", f"{title}:"]
        for entry in entries:
            lines += wrapped(entry, "- ", other="  ")
    return "\n".join(lines) + "\n"


def _stage(stage: DryStage, outcome: StageOutcome) -> list[str]:
    layers = stage.section.layers
    end = f"day {outcome.first_day + outcome.days}"
    head = f"{stage.name}: day {outcome.first_day} to {end}"
    if stage.target is not None:
        layer = next(one for one in layers if one.name == stage.target.layer)
        limit = f"{shown_water(layer, stage.target.content)} {water_unit_of(layer)}"
        head += f", until {layer.name} is down to {limit}"
        head += "" if outcome.reached else ": NOT REACHED"
    days = sorted({round(outcome.days * k / (COLUMNS - 1)) for k in range(COLUMNS)})
    lines = wrapped(head, other="  ")
    lines.append(" " * 30 + "".join(f"{f'd {outcome.first_day + day}':>8}" for day in days))
    for k, layer in enumerate(layers):
        unit = water_unit_of(layer)
        label = layer.name if len(layer.name) <= 20 else layer.name[:18] + ".."
        cells = "".join(f"{shown_water(layer, outcome.content_day[day, k]):>8}" for day in days)
        lines.append(f"  {label:<21}{unit:>6} {cells}")
    return lines


def dry_out_summary(
    section: Section,
    climate: Climate,
    date: str,
    stages: Sequence[DryStage],
    outcomes: Sequence[StageOutcome],
) -> dict[str, Any]:
    """Give a drying as plain data, always in SI.

    Parameters
    ----------
    section, climate, date, stages, outcomes
        As in `dry_out_text`.

    Returns
    -------
    dict
        Fit for JSON.
    """
    return {
        "section": section.name,
        "climate": climate.name,
        "place": climate.place,
        "source": climate.source,
        "first_day": date,
        "dry": len(outcomes) == len(stages) and all(one.reached for one in outcomes),
        "days": outcomes[-1].first_day + outcomes[-1].days,
        "stages": [
            {
                "name": outcome.name,
                "first_day": outcome.first_day,
                "days": outcome.days,
                "reached": outcome.reached,
                "target": None
                if stage.target is None
                else {"layer": stage.target.layer, "content_kg_m3": stage.target.content},
                "drained_kg_m2": outcome.drained,
                "balance": {
                    "moisture_relative": outcome.moisture_relative,
                    "heat_relative": outcome.heat_relative,
                },
                "layers": [
                    {
                        "name": layer.name,
                        "density_kg_m3": layer.material.density,
                        "content_by_day_kg_m3": [float(x) for x in outcome.content_day[:, k]],
                    }
                    for k, layer in enumerate(stage.section.layers)
                ],
            }
            for stage, outcome in zip(stages, outcomes, strict=False)
        ],
        "defaults": list(section.defaults),
        "from_memory": list(section.from_memory),
        "cautions": list(CAUTIONS),
    }
