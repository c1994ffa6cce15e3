"""Pictures for slides: what they draw is what was computed, and every text can be read."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from heron_point import year
from matplotlib.figure import Figure
from readable import assert_readable

import moistwall
from moistwall.assess.budget import budget
from moistwall.assess.drying import gap_drying
from moistwall.show.humidity import daily_means
from moistwall.show.result_pictures import chosen_hours
from moistwall.study.engine import Done
from moistwall.study.measures import read_criterion

FIGURES = ("places_figure", "water_figure", "drying_figure", "depth_figure")


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("example", ["wall", "roof"])
def test_readable(name: str, example: str) -> None:
    """Every picture can be read: no two texts upon each other, none beyond the paper."""
    figure = getattr(moistwall, name)(year(example), system="si")
    assert isinstance(figure, Figure)
    assert_readable(figure)


def test_places_are_daily_means() -> None:
    """The line of each place is the mean of each day."""
    result = year("wall")
    figure = moistwall.places_figure(result)
    for k, axes in enumerate(figure.axes):
        (line,) = (one for one in axes.lines if one.get_gid() == f"mean {k}")
        expected = 100.0 * daily_means(result.rh_place[:, k])
        np.testing.assert_allclose(line.get_ydata(), expected)


def test_bars_are_the_budget() -> None:
    """Bars of water are as long as what each cause brought and took; bars of gaps as what they dried."""
    result = year("wall")
    causes = budget(result).causes
    (axes,) = moistwall.water_figure(result, "si").axes
    widths = [bar.get_width() for bar in axes.patches]
    expected = [cause.came for cause in causes] + [-cause.went for cause in causes]
    np.testing.assert_allclose(widths, expected)
    figure = moistwall.drying_figure(result, "si")
    assert figure is not None
    heights = [bar.get_height() for bar in figure.axes[0].patches]
    gap = gap_drying(result)[0]
    np.testing.assert_allclose(heights, [*gap.potential_month, *gap.removed_month])


def test_depth_shows_the_chosen_hours() -> None:
    """The chosen hours have the strongest drive in and out; temperatures are those of the cells."""
    result = year("wall")
    drive = result.outdoor_vapor - result.room_vapor
    hours = chosen_hours(result)
    assert [drive[hour] for hour in hours] == [drive.max(), drive.min()]
    axes = moistwall.depth_figure(result, [100], "si").axes[0]
    drawn = np.concatenate([line.get_ydata() for line in axes.lines if line.get_linestyle() == "-"])
    cells = [
        k for k in range(result.x_cell.size) if result.parts[result.part_cell[k]].kind == "layer"
    ]
    np.testing.assert_allclose(drawn[: len(cells)], result.temperature_cell[100, cells])


def done(number: int, hours: float) -> Done:
    """Return a variant with so many damp hours."""
    from moistwall.study.job import Job

    job = Job(number, f"design {number}", {}, "", data_path(), "miami")
    measures = {"hours_rh_80": hours, "mold_index": hours / 1000.0}
    return Done(job, {"measures": measures, "verdict": "dries"})


def data_path() -> Any:
    """Return a folder that is there."""
    from moistwall.library import data_folder

    return data_folder("examples")


def test_compare_figure_has_a_bar_a_design() -> None:
    """A comparison has a bar a design in both panels, as long as its numbers."""
    found = [done(0, 200.0), done(1, 3000.0)]
    figure = moistwall.compare_figure(found, read_criterion("mold"))
    assert_readable(figure)
    for axes, expected in zip(figure.axes, ([200.0, 3000.0], [0.2, 3.0]), strict=True):
        assert [bar.get_width() for bar in axes.patches] == expected


def test_the_picture_of_a_sweep_names_its_year() -> None:
    """One year stands in the head; of several each line has its own."""
    criterion = read_criterion("mold")
    done = [
        SimpleNamespace(
            job=SimpleNamespace(changes=(("room.humidity", value),), climate=town),
            measures={"hours_rh_80": 1.0, "mold_index": 0.5},
            summary={},
        )
        for town in ("mobile", "miami")
        for value in ("50 %", "60 %")
    ]
    several: Any = done
    one, both = (
        moistwall.sweep_figure(found, ["room.humidity"], criterion, "wall").axes[0]
        for found in (several[:2], several)
    )
    assert one.get_title(loc="left") == "wall, mobile"
    assert both.get_title(loc="left") == "wall"
    assert [text.get_text() for text in both.get_legend().get_texts()] == ["mobile", "miami"]
