"""The pictures: to scale, every part drawn and named, labels apart, the same bytes every time."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import matplotlib as mpl
import numpy as np
import pytest
from heron_point import year
from matplotlib.axes import Axes
from matplotlib.collections import PathCollection, QuadMesh
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation
from readable import assert_readable

from moistwall.assess.condensation import LEAST_LIQUID
from moistwall.result import Result
from moistwall.show import palette
from moistwall.show.humidity import LEAST_SHARE, bands_of, daily_means, humidity_figure
from moistwall.show.pictures import picture_files
from moistwall.show.section import section_figure, thickness_text
from moistwall.units import System

EXAMPLES = ("wall", "wall-no-foam-vinyl", "roof")


def with_kind_of_gap(result: Result, kind: str) -> Result:
    """Return the result with its gaps said to be of another kind."""
    parts = tuple(
        replace(part, material=kind) if part.kind == "gap" else part for part in result.parts
    )
    return replace(result, parts=parts)


def with_long_names(result: Result) -> Result:
    """Return the result with names as long as files may have them, all unlike."""
    names = {part.name: f"{k:02d} " + "wide Words " * 7 for k, part in enumerate(result.parts)}
    parts = tuple(
        part if part.kind == "facer" else replace(part, name=names[part.name])
        for part in result.parts
    )
    places = tuple(replace(place, part=names[place.part]) for place in result.places)
    control = names.get(result.water_control, "")
    return replace(
        result, parts=parts, places=places, water_control=control, section_name="Long Name " * 8
    )


def test_unreadable_pictures_are_noticed() -> None:
    """The check of this file fails on labels that lie upon each other or leave the paper."""
    for places in (((0.5, 0.5), (0.5, 0.52)), ((0.99, 0.5), (0.2, 0.2))):
        figure = Figure()
        for place in places:
            figure.text(*place, "several words")
        with pytest.raises(AssertionError, match="several words"):
            assert_readable(figure)


# the section


@pytest.mark.parametrize("example", EXAMPLES)
def test_layers_are_drawn_to_scale(example: str) -> None:
    """One rectangle a layer, side by side in order, widths and gaps in proportion to thickness."""
    result = year(example)
    (axes,) = section_figure(result).axes
    drawn = {patch.get_gid(): patch for patch in axes.patches if isinstance(patch, Rectangle)}
    layers = [part for part in result.parts if part.kind == "layer"]
    assert list(drawn) == [f"layer {part.name}" for part in layers]
    start = drawn[f"layer {layers[0].name}"].get_x()
    scale = drawn[f"layer {layers[0].name}"].get_width() / layers[0].thickness
    depth = 0.0
    for part in result.parts:
        if part.kind == "layer":
            patch = drawn[f"layer {part.name}"]
            assert patch.get_width() == pytest.approx(scale * part.thickness)
            assert patch.get_x() - start == pytest.approx(scale * depth)
        depth += part.thickness


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("example", EXAMPLES)
def test_every_part_is_named_once(example: str, system: System) -> None:
    """Name and thickness of each layer, gap and film; facers go with their board."""
    result = year(example)
    (axes,) = section_figure(result, system).axes
    said = [text.get_text().replace("\n", " ") for text in axes.texts]
    for part in result.parts:
        label = part.name
        if part.thickness > 0:
            label += f", {thickness_text(part.thickness, system)}"
        found = [
            text for text in said if text == label or text.startswith((f"{label},", f"{label} ("))
        ]
        assert len(found) == (0 if part.kind == "facer" else 1), part.name


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("example", EXAMPLES)
def test_section_is_readable(example: str, system: System) -> None:
    """No label lies upon another or leaves the paper, with names as they are and as long as can be."""
    assert_readable(section_figure(year(example), system))
    assert_readable(section_figure(with_long_names(year(example)), system))


@pytest.mark.parametrize(
    ("example", "line", "label"),
    [
        (
            "wall",
            "outer foam outer facer",
            "outer foam, 1 in (outer face keeps rain out, seams taped)",
        ),
        ("roof", "deck membrane", "deck membrane (keeps rain out, seams lapped)"),
    ],
)
def test_what_keeps_rain_out_is_marked(example: str, line: str, label: str) -> None:
    """Its line and its label have a color that nothing else in the picture has."""
    (axes,) = section_figure(year(example)).axes
    lines = [one.get_gid() for one in axes.lines if one.get_color() == palette.CONTROL]
    texts = [one.get_text() for one in axes.texts if one.get_color() == palette.CONTROL]
    assert (lines, texts) == ([f"line {line}"], [label])


def test_without_water_control_nothing_is_marked() -> None:
    """A section that names none has no such line and no such label."""
    (axes,) = section_figure(replace(year("wall"), water_control="", seams="")).axes
    colors = {one.get_color() for one in (*axes.lines, *axes.texts)}
    assert palette.CONTROL not in colors


@pytest.mark.parametrize(
    ("kind", "arrows"), [("ventilated", 2), ("vented", 1), ("drained", 1), ("sealed", 0)]
)
def test_gap_shows_where_its_air_goes(kind: str, arrows: int) -> None:
    """In below and out above, to and fro at one opening, down a drain, or nowhere."""
    (axes,) = section_figure(with_kind_of_gap(year("wall"), kind)).axes
    drawn = [text for text in axes.texts if isinstance(text, Annotation) and text.arrow_patch]
    assert len(drawn) == arrows


def test_roof_says_how_it_lies() -> None:
    """A 2/12 roof is drawn upright and says that it is 9.46 deg from level; a wall says nothing."""
    assert np.degrees(np.arctan(2 / 12)) == pytest.approx(9.46, abs=0.005)
    roof, wall = (
        " ".join(text.get_text() for text in section_figure(year(name)).axes[0].texts)
        for name in ("roof", "wall")
    )
    assert "9.46 deg from level, outside on top" in roof
    assert "level" not in wall


@pytest.mark.parametrize(
    ("thickness", "ip", "si"),
    [
        (0.0254, "1 in", "25.4 mm"),
        (5.5 * 0.0254, "5 1/2 in", "140 mm"),
        (0.0254 * 7 / 16, "7/16 in", "11.1 mm"),
        (0.0254 * 23 / 32, "23/32 in", "18.3 mm"),
        (0.024 * 0.0254, "0.024 in", "0.61 mm"),
        (0.012, "0.472 in", "12 mm"),
        (0.1, "3 15/16 in", "100 mm"),
    ],
)
def test_thickness_is_written_as_people_say_it(thickness: float, ip: str, si: str) -> None:
    """Sixteenths of an inch where one is near, thirty-seconds where one is meant, else decimals; or mm."""
    assert (thickness_text(thickness, "ip"), thickness_text(thickness, "si")) == (ip, si)


def test_no_kind_of_layer_is_told_by_color_alone() -> None:
    """Every kind that has a fill has a hatch of its own."""
    assert palette.LAYER_FILL.keys() == palette.LAYER_HATCH.keys()
    assert len(set(palette.LAYER_HATCH.values())) == len(palette.LAYER_HATCH)
    assert all(palette.LAYER_HATCH.values())


# the map


@pytest.mark.parametrize("example", EXAMPLES)
def test_bands_fill_the_map_in_order(example: str) -> None:
    """Layers and gaps from outside to inside without holes; thick ones keep their proportions."""
    result = year(example)
    bands = bands_of(result)
    assert bands[0].low == 0.0
    assert bands[-1].high == pytest.approx(1.0)
    assert all(one.high == other.low for one, other in pairwise(bands))
    parts = [band for band in bands if band.kind != "surface"]
    assert [band.index for band in parts] == [
        k for k, part in enumerate(result.parts) if part.thickness > 0
    ]
    surfaces = [band.index for band in bands if band.kind == "surface"]
    assert surfaces == [k for k, place in enumerate(result.places) if place.surface]
    heights = np.array([band.high - band.low for band in parts])
    thickness = np.array([result.parts[band.index].thickness for band in parts])
    least = LEAST_SHARE * heights.sum()
    assert np.all(heights >= least * (1 - 1e-12))
    thick = heights > least * (1 + 1e-9)
    assert thick.sum() >= 2
    assert heights[thick] / thickness[thick] == pytest.approx(
        heights[thick][0] / thickness[thick][0]
    )


def test_daily_means() -> None:
    """Days that hold 0..23, 24..47 have means 11.5 and 35.5; an unfinished day is left out."""
    assert daily_means(np.arange(50.0)).tolist() == [11.5, 35.5]
    assert daily_means(np.stack([np.arange(48.0), np.zeros(48)], axis=1)).tolist() == [
        [11.5, 0.0],
        [35.5, 0.0],
    ]


def axes_of(figure: Figure, label: str) -> Axes:
    """Return the axes of a picture that have this label."""
    (found,) = [axes for axes in figure.axes if axes.get_label() == label]
    return found


def test_map_shows_the_humidity_of_the_cells() -> None:
    """The mesh of a layer holds the daily means of its cells in percent, outside on top."""
    wall = year("wall")
    axes = axes_of(humidity_figure(wall), "map")
    k = next(k for k, part in enumerate(wall.parts) if part.name == "cavity wool")
    mine = np.flatnonzero((wall.part_cell == k) & (wall.skin_cell == 0))
    (band,) = [one for one in bands_of(wall) if one.kind == "layer" and one.index == k]
    meshes = [mesh for mesh in axes.collections if isinstance(mesh, QuadMesh)]
    (mesh,) = [
        one
        for one in meshes
        if np.allclose(one.get_coordinates()[[0, -1], 0, 1], (band.low, band.high))
    ]
    shown = np.asarray(mesh.get_array())
    expected = 100.0 * wall.rh_cell[:, mine].reshape(365, 24, -1).mean(axis=1)
    assert shown == pytest.approx(expected.T)
    assert axes.yaxis_inverted()


def test_steel_is_grey_and_the_days_with_dew_are_marked() -> None:
    """The steel over-roof holds no moisture: grey; its surfaces carry a dot for each day with dew."""
    roof = year("roof")
    axes = axes_of(humidity_figure(roof), "map")
    greys = [
        patch for patch in axes.patches if to_hex(patch.get_facecolor()) == to_hex(palette.NO_PORES)
    ]
    (steel,) = [
        band
        for band in bands_of(roof)
        if band.kind == "layer" and roof.parts[band.index].name == "steel over-roof"
    ]
    assert len(greys) == 1
    assert greys[0].get_path().get_extents(greys[0].get_transform() - axes.transData).intervaly == (
        pytest.approx([steel.low, steel.high])
    )
    dots = {
        str(one.get_gid()): len(np.asarray(one.get_offsets()))
        for one in axes.collections
        if isinstance(one, PathCollection)
    }
    wet_days = (roof.liquid_place > LEAST_LIQUID).reshape(365, 24, -1).any(axis=1).sum(axis=0)
    assert dots == {f"liquid {k}": days for k, days in enumerate(wet_days)}
    assert wet_days[0] > 100


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("example", EXAMPLES)
def test_map_is_readable(example: str, system: System) -> None:
    """No label lies upon another or leaves the paper, with names as they are and as long as can be."""
    assert_readable(humidity_figure(year(example), system))
    assert_readable(humidity_figure(with_long_names(year(example)), system))


def test_dew_points_are_purple_and_temperature_is_orange() -> None:
    """Below the map: dew points of both airs at the room's scale, in the colors of their quantities."""
    wall = year("wall")
    axes = axes_of(humidity_figure(wall, "ip"), "dew points")
    lines = {str(line.get_label()): line for line in axes.lines}
    room = lines["room temperature"]
    assert np.asarray(room.get_ydata()) == pytest.approx(75.0, abs=0.01)
    assert room.get_color() == palette.TEMPERATURE
    inside = lines["dew point of room air"]
    # 75 degF and 50 % RH: 55.1 degF (ASHRAE psychrometric chart)
    assert np.asarray(inside.get_ydata()) == pytest.approx(55.1, abs=0.1)
    assert inside.get_color() == lines["dew point of outdoor air"].get_color() == palette.DEW_POINT
    red, green, blue = to_rgb(palette.DEW_POINT)
    assert min(red, blue) > green


def test_scale_is_of_the_cividis_family() -> None:
    """Humidity goes from light to dark in steps of lightness that every eye sees (cividis, reversed)."""
    assert palette.HUMIDITY_MAP == "cividis_r"
    colors = mpl.colormaps[palette.HUMIDITY_MAP](np.linspace(0.0, 1.0, 20))[:, :3]
    luminance = colors @ np.array([0.2126, 0.7152, 0.0722])
    assert np.all(np.diff(luminance) < 0.0)


# files


def test_files_are_the_same_every_time() -> None:
    """PNG and SVG of two figures of one result agree to the byte and hold no date."""
    first, second = (
        picture_files("section", section_figure(year("roof")))
        | picture_files("humidity", humidity_figure(year("roof")))
        for _ in range(2)
    )
    assert first.keys() == {"section.png", "section.svg", "humidity.png", "humidity.svg"}
    assert first == second
    assert all(b"dc:date" not in content for content in first.values())


def test_text_in_svg_is_text() -> None:
    """The SVG is well-formed, and its words can be searched and read aloud."""
    svg = picture_files("section", section_figure(year("wall")))["section.svg"].decode()
    root = ElementTree.fromstring(svg)
    words = ["".join(one.itertext()) for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "cavity wool, 5 1/2 in" in words


def test_names_are_never_read_as_formulas() -> None:
    """A name with dollar signs or markup is shown as it is written."""
    wall = year("wall")
    name = r"$\frac{1}{2}$ <b>&siding"
    parts = (replace(wall.parts[0], name=name), *wall.parts[1:])
    places = tuple(
        replace(place, part=name) if place.part == "siding" else place for place in wall.places
    )
    odd = replace(wall, parts=parts, places=places, section_name="$x_1$ & <y>")
    for figure in (section_figure(odd), humidity_figure(odd)):
        svg = picture_files("odd", figure)["odd.svg"].decode()
        words = [
            "".join(one.itertext())
            for one in ElementTree.fromstring(svg).iter()
            if one.tag.endswith("}text")
        ]
        assert any(text.startswith(name) for text in words)
        assert "$x_1$ & <y>" in words


def test_pictures_leave_matplotlib_as_it_was() -> None:
    """No setting of the whole process changes."""
    before = dict(mpl.rcParams)
    picture_files("section", section_figure(year("wall")))
    assert dict(mpl.rcParams) == before


def test_pictures_need_no_window() -> None:
    """Drawing never imports pyplot, which may look for a screen."""
    code = (
        "import sys, moistwall.show.section, moistwall.show.humidity, moistwall.show.pictures\n"
        "assert 'matplotlib' not in sys.modules\n"
        "from moistwall.show.section import thickness_text\n"
        "from matplotlib.figure import Figure\n"
        "moistwall.show.pictures.picture_files('x', Figure())\n"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert re.sub(r"\s", "", done.stdout) == "False"
