"""Pictures of studies: hours at risk and the number that is judged, against what is varied."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from moistwall.show.palette import CONTROL, DEW_POINT, FILM, HATCH, INK, PAPER, TEMPERATURE
from moistwall.study.engine import Done
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
    upper.set_title(name, loc="left", fontsize=11, color=INK)
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
