"""One page of all cases: what was compared, and the curves, ours as lines and the references as rings."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

import numpy as np

from moistwall import __version__
from moistwall.show.palette import INK, PAPER
from moistwall.show.pictures import picture_files
from moistwall.verify.case import Comparison, Curve
from moistwall.verify.runner import Verdict, number, share, summary

LINES = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00")
"""Colors of curves: the color-blind-safe set of Okabe and Ito (2008)."""

DASHES = ("-", "--", "-.", ":", (0, (5, 1, 1, 1)), (0, (1, 1)))
"""Dashes, so that no curve is told by its color alone."""

STYLE = f"""
body {{ font: 16px/1.5 Georgia, serif; color: {INK}; background: {PAPER}; max-width: 62rem;
  margin: 2rem auto; padding: 0 1rem; }}
table {{ border-collapse: collapse; font-size: 0.85rem; margin: 0.5rem 0 1rem; width: 100%; }}
th, td {{ border-bottom: 1px solid #ccc; padding: 0.2rem 0.6rem; text-align: left; }}
th.number {{ text-align: right; }}
td.number {{ text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }}
img {{ max-width: 30rem; width: 100%; }}
.mark {{ font-variant: small-caps; border: 1px solid; padding: 0 0.4rem; }}
.missed {{ border-width: 3px; font-weight: bold; }}
"""


def curve_figure(curve: Curve) -> Any:
    """Draw one curve.

    Parameters
    ----------
    curve : Curve
        Lines are ours; rings of the same color, in the same order, are the reference.

    Returns
    -------
    matplotlib.figure.Figure
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.0, 3.8), layout="constrained", facecolor=PAPER)
    axes = figure.subplots()
    for k, (label, (x, y)) in enumerate(curve.ours.items()):
        color, dashes = LINES[k % len(LINES)], DASHES[k % len(DASHES)]
        axes.plot(x, y, color=color, linestyle=dashes, linewidth=1.4, label=label)
    for k, (label, (x, y)) in enumerate(curve.reference.items()):
        axes.plot(
            np.asarray(x),
            y,
            linestyle="none",
            marker="o",
            markersize=4.5,
            markerfacecolor="none",
            markeredgecolor=LINES[k % len(LINES)],
            label=label,
        )
    axes.set_title(curve.title, fontsize=10, loc="left")
    axes.set_xlabel(curve.x_label)
    axes.set_ylabel(curve.y_label)
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(fontsize=7, frameon=False, ncols=4, loc="upper center", bbox_to_anchor=(0.5, -0.18))
    return figure


def page_files(verdicts: Sequence[Verdict]) -> dict[str, bytes]:
    """Give the page and its pictures.

    Parameters
    ----------
    verdicts : sequence of Verdict
        What was run.

    Returns
    -------
    dict of str to bytes
        ``index.html``, and each picture as PNG and SVG.
    """
    files: dict[str, bytes] = {}
    body = []
    for verdict in verdicts:
        case, outcome = verdict.case, verdict.outcome
        mark = "holds" if outcome.passes else "misses"
        kind = "mark" if outcome.passes else "mark missed"
        body.append(
            f'<h2 id="{escape(case.name)}">{escape(case.name)} <span class="{kind}">{mark}</span></h2>'
            f"<p>Proves that {escape(case.proves)}.<br>Source: {escape(case.source)}.</p>"
        )
        if outcome.error:
            body.append(f"<p>Not judged: {escape(outcome.error)}</p>")
        if outcome.comparisons:
            body.append(_table(outcome.comparisons))
        for k, curve in enumerate(outcome.curves, start=1):
            name = f"{case.name}-{k}"
            files |= picture_files(name, curve_figure(curve))
            body.append(
                f'<a href="{name}.svg"><img src="{name}.png" alt="{escape(curve.title)}"></a>'
            )
    head = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f"<title>moistwall: verification</title><style>{STYLE}</style></head><body>"
        f"<h1>Verification of moistwall {escape(__version__)}</h1><p>{escape(summary(verdicts))}</p>"
        "<p>Lines are moistwall's, rings are the references. Each row shows the one of its points that "
        "is furthest off. That the equations are solved right does not make their materials, weather "
        "and loads those of a building: what the model leaves out stays left out.</p>"
    )
    html = head + "\n".join(body) + "</body></html>\n"
    return {"index.html": html.encode("utf-8"), **files}


NUMBER = ' class="number"'


def _table(comparisons: Sequence[Comparison]) -> str:
    names = ("quantity", "points", "reference", "ours", "deviation", "tolerance", "whose")
    heads = "".join(f"<th{NUMBER if 0 < k < 6 else ''}>{name}</th>" for k, name in enumerate(names))
    rows = [f"<tr>{heads}<th></th></tr>"]
    for one in comparisons:
        unit = f" {one.unit}" if one.unit else ""
        cells = (
            f"<td>{escape(one.what)}</td>"
            + "".join(
                f'<td class="number">{escape(text)}</td>'
                for text in (
                    str(one.points),
                    number(one.reference) + unit,
                    number(one.ours) + unit,
                    share(one, one.deviation),
                    share(one, one.tolerance),
                )
            )
            + f"<td>{escape(one.whose)}</td><td>{'within' if one.passes else '<b>off</b>'}</td>"
        )
        rows.append(f"<tr>{cells}</tr>")
    return f"<table>{''.join(rows)}</table>"
