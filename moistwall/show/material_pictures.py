"""The curves of one material: sorption, permeance over humidity, conductivity, liquid diffusivity."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.material import DRY_CUP_RH, WET_CUP_RH, FilmMaterial, Material, Source
from moistwall.material_file import MaterialFile, MaterialRecord
from moistwall.material_schema import PointStorage
from moistwall.material_vapor import CLASS_LIMITS
from moistwall.show.labels import folded
from moistwall.show.material_facts import MaterialFacts
from moistwall.show.material_list import usual_text
from moistwall.show.palette import DEW_POINT, FILM, HATCH, INK, PAPER, TEMPERATURE
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

RH = np.concatenate((np.linspace(0.01, 0.97, 97), 1.0 - np.geomspace(0.029, 1e-6, 120), [1.0]))
"""Where curves are drawn, closer towards saturation."""


def material_figure(
    facts: MaterialFacts, part: Material | FilmMaterial, record: MaterialRecord, system: System
) -> Figure:
    """Draw the curves of a material or film, each with its source beneath.

    Parameters
    ----------
    facts : MaterialFacts
        What it, or the board that it belongs to, is.
    part : Material or FilmMaterial
        What is drawn.
    record : MaterialRecord
        What its own file says.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    Figure
        Four panels for a material, one for a film.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    is_film = isinstance(part, FilmMaterial)
    height = 4.6 if is_film else 8.0
    figure = Figure(figsize=(9.5, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    figure.text(
        0.02, 1.0 - 0.24 / height, folded(f"{part.name} ({part.kind})", 90, 1), fontsize=11.5,
        color=INK, va="center", parse_math=False,
    )  # fmt: skip
    if isinstance(part, FilmMaterial):
        axes = figure.add_axes((0.09, 0.28, 0.87, 0.54))
        _permeance(axes, part, system)
        _source(figure, axes, part.sources["vapor"])
        return figure
    panels: tuple[tuple[str, Callable[[Axes], None]], ...] = (
        ("storage", lambda axes: _sorption(axes, part, record, system)),
        ("vapor", lambda axes: _permeability(axes, part, facts, system)),
        ("conductivity", lambda axes: _conductivity(axes, part, system)),
        ("liquid", lambda axes: _diffusivity(axes, part, system)),
    )
    for k, (group, draw) in enumerate(panels):
        axes = figure.add_axes(
            (0.09 + 0.49 * (k % 2), 0.62 - 0.47 * (k // 2), 0.39, 0.27), label=group
        )
        draw(axes)
        _source(figure, axes, part.sources[group])
    return figure


def _frame(axes: Axes, title: str, x: str, y: str) -> None:
    axes.set_title(title, loc="left", fontsize=9, color=INK, weight="bold")
    axes.set_xlabel(x, fontsize=8)
    axes.set_ylabel(y, fontsize=8)
    axes.tick_params(labelsize=7.5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _source(figure: Figure, axes: Axes, source: Source) -> None:
    box = axes.get_position()
    width = 62 if box.width < 0.5 else 135
    figure.text(
        box.x0 - 0.045, box.y0 - 0.55 / figure.get_figheight(),
        folded(f"[{source.quality}] {source.text}", width, 3), fontsize=7, color=INK, va="top",
        parse_math=False,
    )  # fmt: skip


def _sorption(axes: Axes, part: Material, record: MaterialRecord, system: System) -> None:
    unit = unit_label("water_content", system)
    _frame(axes, "Water held", "relative humidity, %", f"water content, {unit}")
    storage = part.storage
    shown = convert(storage.content(np.log(RH)), "water_content", system)
    axes.plot(100 * RH, shown, color=FILM, lw=1.6)
    entry = record.entry
    if isinstance(entry, MaterialFile) and isinstance(entry.storage, PointStorage):
        points = [
            (rh.rh(), content.in_volume(part.density)) for rh, content in entry.storage.points
        ]
        rh, content = np.array(points).T
        axes.plot(
            100 * rh, convert(content, "water_content", system), "o", ms=4, mfc=PAPER, mec=INK,
            gid="points of the source",
        )  # fmt: skip
    # most of what saturated air brings lies above 98 %: the panel shows where it starts
    last = float(convert(storage.content(np.log(np.array([0.98]))), "water_content", system)[0])
    axes.set_xlim(0, 100)
    axes.set_ylim(0, 1.25 * last)
    free = float(convert(storage.free, "water_content", system))
    axes.text(
        0.03, 0.92, f"{free:.3g} {unit} at 100 %", transform=axes.transAxes, fontsize=7.5, color=INK
    )


def _cups(axes: Axes) -> None:
    for rh, name in ((DRY_CUP_RH, "dry cup"), (WET_CUP_RH, "wet cup")):
        axes.axvline(100 * rh, color=HATCH, lw=0.7, ls=(0, (4, 3)))
        axes.text(
            100 * rh, 1.0, name, transform=axes.get_xaxis_transform(), fontsize=7, color=INK,
            ha="center", va="bottom",
        )  # fmt: skip


def _permeability(axes: Axes, part: Material, facts: MaterialFacts, system: System) -> None:
    unit = unit_label("permeance", system)
    thickness = facts.thickness or 1.0
    _frame(axes, f"Permeance of {usual_text(facts, system)}\n", "mean relative humidity, %", unit)
    value = np.interp(RH, part.vapor_rh, part.vapor_permeability) / thickness
    axes.plot(100 * RH, convert(value, "permeance", system), color=DEW_POINT, lw=1.6)
    axes.set_xlim(0, 100)
    axes.set_ylim(0, 1.15 * float(convert(value, "permeance", system).max()))
    _cups(axes)


def _permeance(axes: Axes, part: FilmMaterial, system: System) -> None:
    unit = unit_label("permeance", system)
    _frame(axes, "Permeance\n", "mean relative humidity across it, %", unit)
    value = np.interp(RH, part.rh, part.permeance)
    shown = convert(value, "permeance", system)
    axes.plot(100 * RH, shown, color=DEW_POINT, lw=1.8)
    axes.set_yscale("log")
    low, high = float(shown.min()) / 3.0, float(shown.max()) * 3.0
    axes.set_xlim(0, 100)
    axes.set_ylim(low, high)
    for name, limit in CLASS_LIMITS:
        at = float(convert(limit, "permeance", system))
        if low < at < high:
            axes.axhline(at, color=HATCH, lw=0.7)
            axes.text(99, at * 0.96, f"class {name} below", fontsize=7.5, ha="right", va="top")
    _cups(axes)


def _conductivity(axes: Axes, part: Material, system: System) -> None:
    unit = unit_label("conductivity", system)
    content = np.linspace(0.0, part.storage.free, 200)
    _frame(
        axes, "Thermal conductivity", f"water content, {unit_label('water_content', system)}", unit
    )
    value = np.interp(content, part.conductivity_content, part.conductivity)
    shown = convert(value, "conductivity", system)
    axes.plot(convert(content, "water_content", system), shown, color=TEMPERATURE, lw=1.6)
    axes.set_ylim(0, 1.25 * float(shown.max()))
    axes.set_xlim(left=0)


def _diffusivity(axes: Axes, part: Material, system: System) -> None:
    content = np.linspace(0.0, part.storage.free, 200)
    unit = unit_label("diffusivity", system)
    _frame(
        axes, "Liquid diffusivity", f"water content, {unit_label('water_content', system)}", unit
    )
    if part.diffusivity is None:
        axes.set_xticks([])
        axes.set_yticks([])
        axes.text(
            0.5,
            0.5,
            "no liquid moves by suction",
            transform=axes.transAxes,
            ha="center",
            fontsize=9,
        )
        return
    shown = convert(part.diffusivity(content), "diffusivity", system)
    axes.plot(convert(content, "water_content", system), shown, color=FILM, lw=1.6)
    axes.set_yscale("log")
    axes.set_xlim(left=0)
