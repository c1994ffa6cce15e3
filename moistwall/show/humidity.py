"""The year in one picture: humidity over depth and time, and the dew points on both sides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure
from moistwall.assess.condensation import LEAST_LIQUID
from moistwall.climate.hours import MONTH_DAYS
from moistwall.result import Place, Result
from moistwall.show.labels import folded, spread
from moistwall.show.names import MONTHS, water_control_name
from moistwall.show.palette import (
    CONTROL,
    DEW_POINT,
    FILM,
    HUMIDITY_MAP,
    INK,
    NO_PORES,
    PAPER,
    TEMPERATURE,
)
from moistwall.show.section import thickness_text
from moistwall.units import System, convert, unit_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.colors import Normalize
    from matplotlib.figure import Figure

Array = NDArray[np.float64]

LEAST_SHARE = 0.055
"""Height that a thin layer gets at least, of all layers and gaps, so that it can be seen. [-]"""

SURFACE_SHARE = 0.018
"""Height of the band of a surface, of the whole map. [-]"""

HOLDS_NOTHING = 1e-3
"""A layer that never holds more has no moisture to show; air alone holds ten times this. [kg/m3]"""

LOWEST, HIGHEST = 30.0, 100.0
"""Ends of the color scale. [%]"""

LEFT, WIDTH = 0.235, 0.64


@dataclass(frozen=True)
class Band:
    """A horizontal band of the map.

    Parameters
    ----------
    kind : str
        'layer', 'gap' or 'surface'.
    index : int
        Place in ``result.parts``, of a surface in ``result.places``.
    low, high : float
        Its edges, 0 outside and 1 at the room. [-]
    """

    kind: str
    index: int
    low: float
    high: float


def daily_means(hourly: Array | NDArray[np.bool_]) -> Array:
    """Means of the days of an hourly series; an unfinished last day is left out.

    Parameters
    ----------
    hourly : (n_hours, ...) ndarray of float or bool
        Values by hour.

    Returns
    -------
    (n_hours // 24, ...) ndarray
    """
    days = hourly.shape[0] // 24
    means: Array = hourly[: 24 * days].reshape(days, 24, *hourly.shape[1:]).mean(axis=1)
    return means


def _surfaces(result: Result) -> dict[tuple[str, bool], int]:
    """Places that are surfaces in air, by layer and whether they look outside."""
    ends = np.cumsum([part.thickness for part in result.parts])
    middle = {
        part.name: float(end) - 0.5 * part.thickness
        for part, end in zip(result.parts, ends, strict=True)
    }

    def outward(place: Place) -> bool:
        return place.position < middle[place.part]

    return {
        (place.part, outward(place)): k for k, place in enumerate(result.places) if place.surface
    }


def bands_of(result: Result) -> list[Band]:
    """Bands of the map from outside to inside: to scale, but thin ones high enough to be seen.

    Parameters
    ----------
    result : Result
        A computed year.

    Returns
    -------
    list of Band
        One a layer and gap, and a narrow one for each surface in air.
    """
    index = [k for k, part in enumerate(result.parts) if part.thickness > 0]
    thickness = np.array([result.parts[k].thickness for k in index])
    surfaces = _surfaces(result)
    least = min(LEAST_SHARE, 0.8 / len(index))
    shares = _at_least(thickness / thickness.sum(), least) * (1.0 - SURFACE_SHARE * len(surfaces))
    rows: list[tuple[str, int, float]] = []
    for k, share in zip(index, shares, strict=True):
        name = result.parts[k].name
        for kind, key, height in (
            ("surface", surfaces.get((name, True)), SURFACE_SHARE),
            (result.parts[k].kind, k, float(share)),
            ("surface", surfaces.get((name, False)), SURFACE_SHARE),
        ):
            if key is not None:
                rows.append((kind, key, height))
    edges = np.concatenate(([0.0], np.cumsum([height for _, _, height in rows])))
    return [
        Band(kind, key, float(low), float(high))
        for (kind, key, _), low, high in zip(rows, edges[:-1], edges[1:], strict=True)
    ]


def _at_least(shares: Array, least: float) -> Array:
    """Raise small shares to the least, the others giving way in proportion."""
    small = shares < least
    while True:
        rest = 1.0 - least * small.sum()
        scaled = np.where(small, least, shares * rest / shares[~small].sum())
        more = scaled < least
        if not (more & ~small).any():
            return scaled
        small |= more


def humidity_figure(result: Result, system: System = "ip") -> Figure:
    """Draw relative humidity over depth (outside at the top) and the days of the year.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units of thicknesses and dew points.

    Returns
    -------
    Figure
        The map of daily means with its 80 % contour, and under it the dew points of outdoor and
        room air.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.colors import Normalize
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.5, 6.4), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((LEFT, 0.335, WIDTH, 0.555), label="map")
    under = figure.add_axes((LEFT, 0.125, WIDTH, 0.18), sharex=axes, label="dew points")
    bands = bands_of(result)
    scale = Normalize(LOWEST, HIGHEST)
    impervious = _map(axes, result, bands, scale, system)
    _names(axes, result, bands, system)
    wet = _drops(axes, result, bands)
    _dew_points(under, result, system)

    starts = np.concatenate(([0], np.cumsum(MONTH_DAYS)))
    for day in starts[1:-1]:
        axes.axvline(day, color=PAPER, lw=0.4, alpha=0.7)
    under.set_xlim(0, starts[-1])
    under.set_xticks(0.5 * (starts[1:] + starts[:-1]), MONTHS, fontsize=8)
    for one in (axes, under):
        one.tick_params(axis="x", length=0, labelbottom=one is under)

    from matplotlib.cm import ScalarMappable

    bar = figure.colorbar(
        ScalarMappable(scale, HUMIDITY_MAP),
        cax=figure.add_axes((LEFT + WIDTH + 0.022, 0.335, 0.016, 0.555), label="scale"),
        extend="min" if result.rh_cell.min() * 100.0 < LOWEST else "neither",
    )
    bar.set_label("relative humidity, %; white line: 80", fontsize=8)
    bar.ax.tick_params(labelsize=8)
    bar.ax.axhline(80.0, color="white", lw=1.2)

    figure.text(
        0.02, 0.965, folded(result.section_name, 80, 1), fontsize=11.5, color=INK, va="center",
        parse_math=False,
    )  # fmt: skip
    figure.text(
        0.02, 0.922,
        folded(f"Daily mean humidity in the section, outside at the top; {result.climate_place}", 110, 1),
        fontsize=8.5, color=INK, va="center", parse_math=False,
    )  # fmt: skip
    remarks = ["depth to scale, but thin parts stretched", "narrow bands beside air: surfaces"]
    if impervious:
        remarks.append("grey: holds no moisture")
    if wet:
        remarks.append("dots: days with liquid there")
    figure.text(
        0.02, 0.02, folded("; ".join(remarks), 140, 1).capitalize() + ".", fontsize=7.5, color=INK
    )  # fmt: skip
    return figure


def _map(axes: Axes, result: Result, bands: list[Band], scale: Normalize, system: System) -> bool:
    """Fill the bands; tell whether one of them holds no moisture."""
    days = np.arange(result.n_hours // 24 + 1, dtype=np.float64)
    impervious = False
    for band in bands:
        low, high = band.low, band.high
        if band.kind == "gap":
            part = result.parts[band.index]
            text = f"{part.name}, {thickness_text(part.thickness, system)}, {part.material}"
            axes.text(
                0.5 * days[-1], 0.5 * (low + high), folded(text, 90, 1), ha="center", va="center",
                fontsize=8, color=INK, parse_math=False,
            )  # fmt: skip
            continue
        if band.kind == "surface":
            percent = 100.0 * daily_means(result.rh_place[:, [band.index]]).T
            depth = np.array([low, high])
        else:
            mine = np.flatnonzero((result.part_cell == band.index) & (result.skin_cell == 0))
            if result.content_cell[:, mine].max() < HOLDS_NOTHING:
                axes.axhspan(low, high, color=NO_PORES, lw=0)
                impervious = True
                continue
            percent = 100.0 * daily_means(np.minimum(result.rh_cell[:, mine], 1.0)).T
            depth = np.concatenate(([0.0], np.cumsum(result.width_cell[mine])))
            depth = low + depth / depth[-1] * (high - low)
        axes.pcolormesh(days, depth, percent, cmap=HUMIDITY_MAP, norm=scale, rasterized=True)
        if percent.max() > 80.0 > percent.min() and percent.shape[0] > 1:
            axes.contour(
                days[:-1] + 0.5,
                0.5 * (depth[1:] + depth[:-1]),
                percent,
                levels=[80.0],
                colors=PAPER,
                linewidths=0.8,
            )
    for band in bands:
        if band.kind != "surface":
            for edge in (band.low, band.high):
                axes.axhline(edge, color=INK, lw=0.5)
    axes.set_ylim(1.0, 0.0)
    axes.set_yticks([])
    return impervious


def liquid_depths(result: Result, bands: list[Band]) -> list[float]:
    """Heights in the map at which the liquid of each place is marked.

    Parameters
    ----------
    result : Result
        A computed year.
    bands : list of Band
        Those of `bands_of`.

    Returns
    -------
    list of float
        One a place: the middle of a surface's band, else just inside the layer that the side belongs
        to. [-]
    """
    of_surface = {band.index: band for band in bands if band.kind == "surface"}
    of_layer = {result.parts[band.index].name: band for band in bands if band.kind == "layer"}
    found = []
    for k, place in enumerate(result.places):
        if k in of_surface:
            found.append(0.5 * (of_surface[k].low + of_surface[k].high))
        else:
            layer, inset = of_layer[place.part], 0.5 * SURFACE_SHARE
            found.append(layer.high - inset if place.side == "a" else layer.low + inset)
    return found


def _drops(axes: Axes, result: Result, bands: list[Band]) -> bool:
    """Mark the days on which a place has liquid; tell whether there are any."""
    present = daily_means(result.liquid_place > LEAST_LIQUID) > 0.0
    for k, depth in enumerate(liquid_depths(result, bands)):
        wet = np.flatnonzero(present[:, k])
        axes.scatter(
            wet + 0.5, np.full(wet.size, depth), s=7.0, color=PAPER, ec=INK, lw=0.3, zorder=4,
            gid=f"liquid {k}",
        )  # fmt: skip
    return bool(present.any())


def _names(axes: Axes, result: Result, bands: list[Band], system: System) -> None:
    """Name layers and films left of the map, with lines to where they are; draw the films."""
    of_part = {band.index: band for band in bands if band.kind == "layer"}
    entries: list[tuple[float, str, str]] = []
    for k, part in enumerate(result.parts):
        if k in of_part:
            band = of_part[k]
            text = f"{folded(part.name, 24, 1)}, {thickness_text(part.thickness, system)}"
            entries.append((0.5 * (band.low + band.high), text, INK))
        control = part.name == result.water_control
        if not control and part.kind != "film":
            continue
        depth = _depth_of_film(result, of_part, k)
        text = folded(water_control_name(result) if control else part.name, 32, 1)
        axes.axhline(depth, color=CONTROL if control else FILM, lw=2.0 if control else 1.6)
        entries.append((depth, text, CONTROL if control else FILM))
    entries.sort(key=lambda entry: entry[0])
    wanted = np.array([depth for depth, _, _ in entries])
    at = spread(wanted, 0.042, 0.0, 1.0)
    beside = axes.get_yaxis_transform()
    for (depth, text, color), y in zip(entries, at, strict=True):
        axes.plot(
            [-0.028, -0.004], [y, depth], color=color, lw=0.6, transform=beside, clip_on=False
        )  # fmt: skip
        axes.text(
            -0.033, y, text, transform=beside, ha="right", va="center", fontsize=8, color=color,
            parse_math=False,
        )  # fmt: skip


def _depth_of_film(result: Result, of_part: dict[int, Band], k: int) -> float:
    """Height in the map of a film, or of the outer edge of a layer: where it touches a layer."""
    parts = result.parts
    if parts[k].kind == "layer":
        return of_part[k].low
    for step in (1, -1):
        other = k + step
        while 0 <= other < len(parts) and parts[other].kind in ("film", "facer"):
            other += step
        if 0 <= other < len(parts) and parts[other].kind == "layer":
            return of_part[other].low if step == 1 else of_part[other].high
    raise AssertionError("a film that touches no layer was not refused")


def _dew_points(axes: Axes, result: Result, system: System) -> None:
    days = np.arange(result.n_hours // 24) + 0.5
    for vapor, style, label in (
        (result.outdoor_vapor, "-", "dew point of outdoor air"),
        (result.room_vapor, (0, (4, 2)), "dew point of room air"),
    ):
        dew_point = dew_point_from_vapor_pressure(daily_means(vapor))
        shown = convert(dew_point, "temperature", system)
        axes.plot(days, shown, ls=style, color=DEW_POINT, lw=1.1, label=label)
    room = convert(daily_means(result.room_temperature), "temperature", system)
    axes.plot(days, room, color=TEMPERATURE, lw=1.4, label="room temperature")
    axes.tick_params(axis="y", labelsize=8)
    axes.set_ylabel(unit_label("temperature", system), fontsize=8)
    axes.margins(y=0.12)
    axes.legend(fontsize=8, ncols=3, loc="upper center", bbox_to_anchor=(0.5, -0.14), frameon=False)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
