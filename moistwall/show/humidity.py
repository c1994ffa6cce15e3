"""The year in one picture: humidity over depth and time, and the dew points on both sides."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure
from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Result
from moistwall.show.palette import DEW_POINT, HUMIDITY_MAP, INK, PAPER, TEMPERATURE
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

LEAST_SHARE = 0.055
"""Height that a thin layer gets at least, of the whole map, so that it can be seen. [-]"""

HOURS_A_COLUMN = 6
"""Hours averaged in a column of the map. [h]"""


def stretched_heights(result: Result) -> tuple[list[int], Array]:
    """Layers and gaps from outside to inside, and the height that each gets in the map.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    index : list of int
        Places in ``result.parts`` of those with a thickness.
    heights : (n,) ndarray
        Shares of the map: to scale, but at least ``LEAST_SHARE``. [-]
    """
    index = [k for k, part in enumerate(result.parts) if part.thickness > 0]
    thickness = np.array([result.parts[k].thickness for k in index])
    least = min(LEAST_SHARE, 0.8 / len(index))
    heights = np.maximum(thickness / thickness.sum(), least)
    thin = heights <= least
    heights[~thin] *= (1.0 - heights[thin].sum()) / heights[~thin].sum()
    return index, heights


def humidity_figure(result: Result, system: System = "ip") -> Figure:
    """Draw relative humidity over depth (outside at the top) and the months of the year.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Unit of the dew points.

    Returns
    -------
    Figure
        The map with its 80 % contour, and under it the daily dew points of outdoor and room air.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.5, 6.2), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.21, 0.33, 0.66, 0.58))
    index, heights = stretched_heights(result)
    edges = np.concatenate(([0.0], np.cumsum(heights)))
    hours = result.n_hours // HOURS_A_COLUMN * HOURS_A_COLUMN
    days = np.arange(0, hours + 1, HOURS_A_COLUMN) / 24.0
    mean = result.rh_cell[:hours].reshape(-1, HOURS_A_COLUMN, result.rh_cell.shape[1]).mean(axis=1)
    mesh = None
    for k, low, high in zip(index, edges[:-1], edges[1:], strict=True):
        part = result.parts[k]
        if part.kind == "gap":
            axes.text(
                days[-1] / 2, (low + high) / 2, part.name, ha="center", va="center",
                fontsize=7.5, color=INK, parse_math=False,
            )  # fmt: skip
            continue
        mine = np.flatnonzero((result.part_cell == k) & (result.skin_cell == 0))
        depth = np.concatenate(([0.0], np.cumsum(result.width_cell[mine])))
        depth = low + depth / depth[-1] * (high - low)
        percent = 100.0 * np.minimum(mean[:, mine].T, 1.0)
        mesh = axes.pcolormesh(
            days, depth, percent, cmap=HUMIDITY_MAP, vmin=30, vmax=100, rasterized=True
        )
        if percent.max() > 80.0 > percent.min() and len(mine) > 1:
            axes.contour(
                0.5 * (days[1:] + days[:-1]),
                0.5 * (depth[1:] + depth[:-1]),
                percent,
                levels=[80.0],
                colors="white",
                linewidths=0.6,
            )
    for edge in edges:
        axes.axhline(edge, color=INK, lw=0.6)
    axes.set_yticks(
        0.5 * (edges[1:] + edges[:-1]), [result.parts[k].name for k in index], fontsize=8
    )
    for tick in axes.get_yticklabels():
        tick.set_parse_math(False)
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(1.0, 0.0)
    starts = np.concatenate(([0], np.cumsum(MONTH_DAYS)))
    for day in starts[1:-1]:
        axes.axvline(day, color="white", lw=0.3)
    names = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    axes.set_xticks(0.5 * (starts[1:] + starts[:-1]), [], fontsize=8)
    axes.tick_params(axis="x", length=0)
    axes.set_title(
        f"{result.section_name}, {result.climate_name}: humidity in the section, outside at the top",
        fontsize=10.5, color=INK, loc="left", parse_math=False,
    )  # fmt: skip
    if mesh is not None:
        bar = figure.colorbar(mesh, cax=figure.add_axes((0.895, 0.33, 0.018, 0.58)))
        bar.set_label("relative humidity, % (white line: 80)", fontsize=8)
        bar.ax.tick_params(labelsize=8)

    under = figure.add_axes((0.21, 0.1, 0.66, 0.19), sharex=axes)
    for vapor, style, label in (
        (result.outdoor_vapor, "-", "outdoor air"),
        (result.room_vapor, "--", "room air"),
    ):
        daily = vapor[: hours // 24 * 24].reshape(-1, 24).mean(axis=1)
        under.plot(
            np.arange(daily.size) + 0.5,
            convert(dew_point_from_vapor_pressure(daily), "temperature", system),
            style, color=DEW_POINT, lw=1.0, label=f"dew point of {label}",
        )  # fmt: skip
    room = result.room_temperature[: hours // 24 * 24].reshape(-1, 24).mean(axis=1)
    under.plot(
        np.arange(room.size) + 0.5, convert(room, "temperature", system),
        color=TEMPERATURE, lw=1.2, label="room temperature",
    )  # fmt: skip
    under.set_xlim(0, days[-1])
    under.set_xticks(0.5 * (starts[1:] + starts[:-1]), names, fontsize=8)
    under.tick_params(axis="y", labelsize=8)
    under.set_ylabel(unit_label("temperature", system), fontsize=8)
    under.legend(fontsize=7, ncols=3, loc="upper center", bbox_to_anchor=(0.5, -0.2), frameon=False)
    for side in ("top", "right"):
        under.spines[side].set_visible(False)
    figure.text(
        0.21, 0.012, "Thin layers are drawn thicker than they are; six-hour means; cells in gaps are air.",
        fontsize=7, color=INK,
    )  # fmt: skip
    return figure
