"""Studies as pages: designs side by side, a field over its values, chances and what they hang on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from moistwall.climate.record import Climate
from moistwall.show.drawing import verdict_mark
from moistwall.show.ensemble_text import MOST_INPUTS, SPREAD, VERDICTS, input_text
from moistwall.show.names import Drawable
from moistwall.show.page import render_page
from moistwall.show.section_drawing import numbered_parts, section_drawing
from moistwall.show.study_drawing import (
    bars_drawing,
    chances_drawing,
    curves_drawing,
    influence_drawing,
)
from moistwall.show.study_text import (
    COLUMNS,
    WHERE_COUNTED,
    attic_lines,
    number_text,
)
from moistwall.show.wrapping import bullets
from moistwall.study.engine import Done
from moistwall.study.ensemble import (
    CONFIDENCE,
    Ensemble,
    chance_of,
    convergence,
    influences,
    kept_to,
    quantiles,
)
from moistwall.study.measures import MEASURES, Criterion
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from markupsafe import Markup

BARS = ("hours_rh_80", "mold_index", "wood_moisture", "r_value", "attic_hottest")
"""Measures that designs are set side by side by, besides the one that is judged."""

KINDS_OF: dict[str, str] = {"r_value": "thermal_resistance", "attic_hottest": "temperature"}
"""Measures that are shown in the units that were asked for."""

MOST_TICKS = 9
"""Texts below an axis at most, so that they can be read at 360 px."""


@dataclass(frozen=True)
class Design:
    """A design of a comparison as its card shows it.

    Parameters
    ----------
    title, verdict, told : str
        Its name, its verdict in a word (empty if it failed), and what decided or why it failed.
    mark, picture : Markup or None
        Mark of the verdict; the section to scale.
    parts : list
        What the numbers of the picture are.
    """

    title: str
    verdict: str
    told: str
    mark: Markup | None
    picture: Markup | None
    parts: list[Any]


def _told(done: Done) -> str:
    if done.summary is None:
        return f"failed: {done.failure}"
    decided = f"decided by '{done.summary['decided_by']}'" if done.summary["decided_by"] else ""
    return "; ".join(filter(None, (decided, f"worst at {done.summary['worst']}")))


def _words(measure: str) -> str:
    words, unit = MEASURES[measure]
    return f"{words} [{unit}]" if unit else words


def _rows(found: Sequence[Done], criterion: Criterion, system: System) -> list[dict[str, Any]]:
    """A row of texts for each variant."""
    rows = []
    for done in found:
        values = done.measures
        verdict = "" if done.summary is None else done.summary["verdict"]
        rows.append(
            {
                "title": done.job.title,
                "cells": [
                    number_text(name, values.get(name), decimals, system)
                    for name, _, decimals in COLUMNS
                ],
                "margin": f"{criterion.margin(values):.3g}" if criterion.measure in values else "-",
                "verdict": verdict or "failed",
                "mark": verdict_mark(verdict) if verdict else "",
                "failure": done.failure,
            }
        )
    return rows


def _remarks(found: Sequence[Done], criterion: Criterion) -> list[str]:
    words, unit = MEASURES[criterion.measure]
    limit = f"{criterion.sign} {criterion.limit:g} {unit}".strip()
    notes = dict.fromkeys(note for done in found for note in done.job.notes)
    return [
        f"Margin: to {limit} of '{words}' ({criterion.source}); negative is beyond it.",
        WHERE_COUNTED,
        *notes,
    ]


def _shared(found: Sequence[Done], criterion: Criterion, system: System) -> dict[str, Any]:
    return {
        "heads": [head for _, head, _ in COLUMNS],
        "remarks": _remarks(found, criterion),
        "counts": _counts(found),
    }


def _counts(found: Sequence[Done]) -> list[tuple[Markup, str, int]]:
    words = [done.summary["verdict"] for done in found if done.summary]
    return [(verdict_mark(word), word, words.count(word)) for word in VERDICTS]


def compare_page(
    found: Sequence[Done],
    criterion: Criterion,
    climates: Mapping[str, Climate],
    sections: Mapping[str, Drawable],
    differences: Sequence[tuple[str, tuple[str, ...]]],
    system: System,
) -> str:
    """Designs side by side as a page.

    Parameters
    ----------
    found : sequence of Done
        Every design in every year, in the order of the study.
    criterion : Criterion
        What margins are to.
    climates : mapping of str to Climate
        The years by label.
    sections : mapping of str to Drawable
        The designs by title.
    differences : sequence of (str, tuple of str)
        What the files say differently, in the order of ``sections``.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        HTML in one file.
    """
    years = []
    for label, climate in climates.items():
        members = [done for done in found if done.job.climate == label]
        years.append(
            {
                "label": label,
                "place": climate.place,
                "source": climate.source,
                "designs": [_design(done, sections[done.job.title], system) for done in members],
                "rows": _rows(members, criterion, system),
                "pictures": _bars(members, criterion, system),
                "attic": bullets(attic_lines(members, system)),
            }
        )  # fmt: skip
    return render_page(
        "compare.html",
        title=" / ".join(sections),
        names=list(sections),
        years=years,
        differences=differences,
        **_shared(found, criterion, system),
    )


def _design(done: Done, section: Drawable, system: System) -> Design:
    verdict = "" if done.summary is None else done.summary["verdict"]
    return Design(
        done.job.title,
        verdict,
        _told(done),
        verdict_mark(verdict) if verdict else None,
        section_drawing(section, system),
        numbered_parts(section, system),
    )


def _bars(found: Sequence[Done], criterion: Criterion, system: System) -> list[tuple[str, Markup]]:
    decimals = {name: count for name, _, count in COLUMNS}
    pictures = []
    for name in dict.fromkeys((criterion.measure, *BARS)):
        if name == "verdict" or not any(name in done.measures for done in found):
            continue
        words = _words(name)
        kind = KINDS_OF.get(name)
        if kind is not None:
            words = f"{MEASURES[name][0]} [{unit_label(kind, system)}]"
        rows = []
        for done in found:
            value = done.measures.get(name)
            if value is not None and kind is not None:
                value = float(convert(value, kind, system))
            text = "-" if value is None else f"{value:.{decimals.get(name, 1)}f}"
            rows.append((done.job.title, value, text))
        limit = None
        if name == criterion.measure and kind is None:
            limit = (criterion.limit, f"limit {criterion.sign} {criterion.limit:g}")
        pictures.append((words, bars_drawing(words, rows, limit=limit)))
    return pictures


def sweep_page(
    found: Sequence[Done],
    paths: Sequence[str],
    criterion: Criterion,
    name: str,
    climates: Mapping[str, Climate],
    system: System,
) -> str:
    """One field or two over all their values, as a page.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    paths : sequence of str
        Fields that are varied; the last one runs along the axis.
    criterion : Criterion
        What margins are to.
    name : str
        What was varied.
    climates : mapping of str to Climate
        The years by label.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        HTML in one file.
    """
    along = paths[-1]
    values = list(dict.fromkeys(dict(done.job.changes)[along] for done in found))
    step = max(1, -(-len(values) // MOST_TICKS))
    ticks = [(float(k), value if k % step == 0 else "") for k, value in enumerate(values)]
    lines: dict[str, list[Done]] = {}
    for done in found:
        others = [f"{path} = {value}" for path, value in done.job.changes if path != along]
        lines.setdefault(", ".join([*others, done.job.climate]), []).append(done)
    pictures = []
    measures = dict.fromkeys((criterion.measure, "hours_rh_80", "mold_index", "wood_moisture"))
    for measure in measures:
        series = [
            (
                label,
                [
                    (float(values.index(dict(done.job.changes)[along])), done.measures[measure])
                    for done in members
                    if measure in done.measures
                ],
            )
            for label, members in lines.items()
        ]
        series = [(label, points) for label, points in series if points]
        if not series or measure == "verdict":
            continue
        limit = None
        if measure == criterion.measure:
            limit = (criterion.limit, f"limit {criterion.limit:g}")
        words = _words(measure)
        pictures.append((words, curves_drawing(words, series, ticks, limit=limit)))
    return render_page(
        "sweep.html",
        title=name,
        along=along,
        paths=paths,
        climates=list(climates.items()),
        pictures=pictures,
        rows=_rows(found, criterion, system),
        **_shared(found, criterion, system),
    )


def ensemble_page(plan: Ensemble, found: Sequence[Done], criterion: Criterion) -> str:
    """Chances and what they hang on, as a page.

    Parameters
    ----------
    plan : Ensemble
        What was drawn.
    found : sequence of Done
        What came of it, in the order of the draws.
    criterion : Criterion
        What is judged.

    Returns
    -------
    str
        HTML in one file.
    """
    done = [one for one in found if one.summary is not None]
    (label,) = plan.climates
    verdicts = picture = influence = None
    steps: list[tuple[str, float, float, float]] = []
    spread = []
    if done:
        counted = [
            (word, chance_of(sum(one.summary["verdict"] == word for one in done if one.summary), len(done)))
            for word in VERDICTS
        ]  # fmt: skip
        verdicts = chances_drawing(
            "Chance of each verdict",
            [(word, one.share, one.low, one.high) for word, one in counted],
        )
        met = kept_to(done, criterion)
        if met:
            steps = [
                (f"after {one.total} draws", one.share, one.low, one.high)
                for one in convergence(met)
            ]
            picture = chances_drawing(f"Keeps to '{criterion.text}', as draws are added", steps)
        for name in SPREAD:
            values = [one.measures[name] for one in done if name in one.measures]
            if values:
                spread.append((_words(name), *(f"{value:.3g}" for value in quantiles(values))))
    rows = influences(plan, done, "hours_rh_80") if done else []
    clear = [row for row in rows if row.told_apart][:MOST_INPUTS]
    if clear:
        influence = influence_drawing(
            f"Which input goes with '{_words('hours_rh_80')}' (rank correlation)",
            [(row.name, row.rank_correlation) for row in clear],
        )
    return render_page(
        "ensemble.html",
        title=plan.base.name,
        plan=plan,
        label=label,
        place=plan.climates[label].place,
        source=plan.climates[label].source,
        verdicts=verdicts,
        criterion=criterion,
        confidence=f"{100.0 * CONFIDENCE:.0f}",
        steps=steps,
        picture=picture,
        influence=influence,
        others=len(rows) - len(clear),
        same=bool(done) and not rows,
        spread=spread,
        inputs=[(one.name, input_text(one), one.source) for one in plan.inputs],
        failed=[one.failure for one in found if one.summary is None],
        counts=_counts(found),
    )
