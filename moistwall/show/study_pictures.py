"""Pictures of studies: hours at risk and the number that is judged, against what is varied."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from moistwall.show.dry_out import shown_water, water_unit_of
from moistwall.show.labels import folded
from moistwall.show.palette import CONTROL, DEW_POINT, FILM, HATCH, INK, PAPER, TEMPERATURE
from moistwall.study.dry_out import DryStage, StageOutcome
from moistwall.study.engine import Done
from moistwall.study.ensemble import Ensemble, chance_of, influences
from moistwall.study.measures import MEASURES, Criterion

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LINES = ((FILM, "o", "-"), (DEW_POINT, "s", "--"), (TEMPERATURE, "D", "-."), (CONTROL, "^", ":"))
"""Color, mark and stroke, so that no line is told by color alone."""

MOST_LABELS = 14
"""Texts below the axis at most."""


def sweep_figure(
    found: Sequence[Done], paths: Sequence[str], criterion: Criterion, name: str
) -> Figure:
    """Hours at risk and the number that is judged, over the values of the last field that is varied.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    paths : sequence of str
        Fields that are varied; the last one runs along the axis, the others and the years make lines.
    criterion : Criterion
        What is judged.
    name : str
        What was varied, for the head.

    Returns
    -------
    Figure
    """
    from matplotlib.figure import Figure

    along = paths[-1]
    values = list(dict.fromkeys(dict(done.job.changes)[along] for done in found))
    lines: dict[str, list[Done]] = {}
    for done in found:
        others = [f"{path} = {value}" for path, value in done.job.changes if path != along]
        lines.setdefault(", ".join([*others, done.job.climate]), []).append(done)
    figure = Figure(figsize=(8.6, 6.4), facecolor=PAPER)
    upper, lower = figure.subplots(2, 1, sharex=True)
    for k, (label, members) in enumerate(lines.items()):
        color, mark, stroke = LINES[k % len(LINES)]
        for axes, measure in ((upper, "hours_rh_80"), (lower, criterion.measure)):
            x = [values.index(dict(done.job.changes)[along]) for done in members]
            y = [done.measures.get(measure, np.nan) for done in members]
            axes.plot(x, y, color=color, marker=mark, ls=stroke, lw=1.4, ms=5, label=label)
        for done in members:
            if done.summary is None:
                place = values.index(dict(done.job.changes)[along])
                upper.annotate("failed", (place, 0), fontsize=8, ha="center", color=INK)
    upper.set_ylabel("hours of the year\nat or above 80 % RH")
    words, unit = MEASURES[criterion.measure]
    label = f"{words} [{unit}]" if unit else words
    lower.set_ylabel("\n".join(_halves(label)))
    _limit(lower, criterion)
    lower.set_xlabel(along)
    step = max(1, -(-len(values) // MOST_LABELS))
    lower.set_xticks(range(0, len(values), step), values[::step])
    for axes in (upper, lower):
        axes.set_ylim(bottom=0.0)
        axes.grid(axis="y", color=HATCH, lw=0.4, alpha=0.5)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    if len(lines) > 1:
        upper.legend(frameon=False, fontsize=8)
    years = list(dict.fromkeys(done.job.climate for done in found))
    head = f"{name}, {years[0]}" if len(years) == 1 else name
    upper.set_title(head, loc="left", fontsize=11, color=INK)
    figure.text(0.01, 0.01, "Worst place inside of the water-control layer.", fontsize=8)
    figure.tight_layout(rect=(0, 0.03, 1, 1))
    return figure


def _limit(axes: Axes, criterion: Criterion) -> None:
    axes.axhline(criterion.limit, color=INK, lw=1.0, ls=(0, (6, 3)))
    axes.annotate(
        f"limit {criterion.limit:g}", (1.0, criterion.limit), xycoords=("axes fraction", "data"),
        ha="right", va="bottom", fontsize=8, color=INK,
    )  # fmt: skip


def _halves(text: str) -> list[str]:
    """Break a label near its middle."""
    if len(text) < 32:
        return [text]
    blanks = [k for k, letter in enumerate(text) if letter == " "]
    middle = min(blanks, key=lambda k: abs(k - len(text) // 2))
    return [text[:middle], text[middle + 1 :]]


def compare_figure(found: Sequence[Done], criterion: Criterion) -> Figure:
    """Draw designs side by side: damp hours and the number that is judged.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    criterion : Criterion
        What is judged.

    Returns
    -------
    Figure
        A bar a design and year in each of the two panels, the limit dashed.
    """
    from matplotlib.figure import Figure

    years = list(dict.fromkeys(done.job.climate for done in found))
    names = [
        folded(done.job.title + (f", {done.job.climate}" if len(years) > 1 else ""), 34, 2)
        for done in found
    ]
    figure = Figure(figsize=(9.5, 1.6 + 0.5 * len(found)), facecolor=PAPER)
    panels = figure.subplots(1, 2, sharey=True)
    y = np.arange(len(found))
    for axes, measure in zip(panels, ("hours_rh_80", criterion.measure), strict=True):
        values = np.array([done.measures.get(measure, np.nan) for done in found])
        axes.barh(y, np.nan_to_num(values), 0.5, color=DEW_POINT)
        for k, value in enumerate(values):
            text = "failed" if np.isnan(value) else f"{value:.4g}"
            axes.annotate(
                text, (np.nan_to_num(value), k), (4, 0), textcoords="offset points", fontsize=8,
                va="center", color=INK,
            )  # fmt: skip
        words, unit = MEASURES[measure]
        label = f"{words} [{unit}]" if unit else words
        axes.set_title("\n".join(_halves(label)), fontsize=8.5, loc="left", color=INK)
        axes.margins(x=0.16)
        axes.set_xticks([])
        for side in ("top", "right", "bottom"):
            axes.spines[side].set_visible(False)
    panels[1].axvline(criterion.limit, color=INK, lw=1.0, ls=(0, (6, 3)))
    panels[1].set_xlabel(f"dashed: limit {criterion.sign} {criterion.limit:g}", fontsize=8)
    panels[0].set_yticks(y, names, fontsize=8, parse_math=False)
    panels[0].invert_yaxis()
    figure.tight_layout()
    return figure


def ensemble_figure(plan: Ensemble, found: Sequence[Done]) -> Figure:
    """Draw the chance of each verdict with its interval, and which input goes with damp hours.

    Parameters
    ----------
    plan : Ensemble
        What was drawn.
    found : sequence of Done
        What came of it; failed draws are left out.

    Returns
    -------
    Figure
    """
    from matplotlib.figure import Figure

    done = [one for one in found if one.summary is not None]
    rows = [row for row in influences(plan, done, "hours_rh_80") if row.told_apart][:8]
    figure = Figure(figsize=(9.5, 3.6), facecolor=PAPER)
    left, right = figure.subplots(1, 2)
    for k, word in enumerate(("dries", "marginal", "stays wet")):
        count = sum(one.summary["verdict"] == word for one in done if one.summary)
        if not done:
            continue
        chance = chance_of(count, len(done))
        left.plot(
            [100 * chance.low, 100 * chance.high], [k, k], color=DEW_POINT, lw=7, alpha=0.35,
            solid_capstyle="butt",
        )  # fmt: skip
        left.plot([100 * chance.share], [k], marker="D", ms=7, color=DEW_POINT, mec=INK)
    left.set_yticks(range(3), ["dries", "marginal", "stays wet"], fontsize=8.5)
    left.set_xlim(-3, 103)
    left.set_ylim(2.6, -0.6)
    left.set_xlabel(f"chance, % of {len(done)} draws; band: 95 % interval", fontsize=8.5)
    right.barh(range(len(rows)), [row.rank_correlation for row in rows], 0.5, color=DEW_POINT)
    right.axvline(0.0, color=INK, lw=0.9)
    right.set_yticks(
        range(len(rows)), [folded(row.name, 30, 1) for row in rows], fontsize=8, parse_math=False
    )
    right.set_ylim(max(len(rows), 1) - 0.4, -0.6)
    right.set_xlim(-1, 1)
    told = "rank correlation with hours at or above 80 % RH"
    right.set_xlabel(told if rows else "no input is told apart from chance", fontsize=8.5)
    for axes in (left, right):
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    figure.suptitle(folded(plan.base.name, 80, 1), fontsize=11, color=INK, x=0.02, ha="left")
    figure.tight_layout()
    return figure


def dry_out_figure(stages: Sequence[DryStage], outcomes: Sequence[StageOutcome]) -> Figure:
    """Draw the mean water of every layer over the days of all stages.

    Parameters
    ----------
    stages : sequence of DryStage
        What was asked for.
    outcomes : sequence of StageOutcome
        What came of it.

    Returns
    -------
    Figure
        Wood in percent of dry mass above, other layers in kg/m3 below; stages parted by lines.
    """
    from matplotlib.figure import Figure

    layers = {layer.name: layer for stage in stages for layer in stage.section.layers}
    units = list(dict.fromkeys(water_unit_of(layer) for layer in layers.values()))
    figure = Figure(figsize=(9.5, 0.9 + 2.6 * len(units)), facecolor=PAPER)
    panels = np.atleast_1d(figure.subplots(len(units), 1, sharex=True))
    for axes, unit in zip(panels, units, strict=True):
        own = [name for name, layer in layers.items() if water_unit_of(layer) == unit]
        for k, name in enumerate(own):
            color, _, style = LINES[k % len(LINES)]
            label: str | None = folded(name, 30, 1)
            for outcome in outcomes:
                if name in outcome.layers:
                    water = outcome.content_day[:, outcome.layers.index(name)]
                    days = outcome.first_day + np.arange(water.size)
                    shown = [float(shown_water(layers[name], float(value))) for value in water]
                    axes.plot(days, shown, color=color, ls=style, lw=1.5, label=label)
                    label = None
        axes.set_ylabel(unit, fontsize=8.5)
        axes.set_ylim(bottom=0.0)
        axes.legend(frameon=False, fontsize=8, loc="upper left", bbox_to_anchor=(1.0, 1.0))
        for outcome in outcomes[1:]:
            axes.axvline(outcome.first_day, color=INK, lw=0.8, ls=(0, (2, 3)))
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    panels[-1].set_xlabel("days since the start", fontsize=8.5)
    figure.tight_layout()
    return figure
