"""What people read: names, labels, the printed report, the hourly table, the summary."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import asdict, replace

import numpy as np
import pytest
from heron_point import year
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from moistwall.assess.condensation import sheltered_outdoor_air, wet_hours
from moistwall.assess.drying import gap_drying
from moistwall.climate.hours import hour_index
from moistwall.result import Result
from moistwall.show.hourly import hourly_csv, plain_cell
from moistwall.show.labels import folded, spread
from moistwall.show.names import board_of, place_name, side_name, water_control_name
from moistwall.show.summary import summary
from moistwall.show.text import COLUMNS, LABEL, report
from moistwall.units import System, convert

OUNCES = 9.290304 / 0.028349523125
"""A kilogram per square meter in ounces per 100 square feet: avoirdupois ounce and international foot,
both exact by definition (NIST SP 811, app. B)."""

POSITIONS = st.lists(st.floats(-1.0, 2.0, allow_subnormal=False), min_size=2, max_size=9)


def without_gaps(result: Result) -> Result:
    """Return the result as if it had no gap."""
    return replace(result, gaps=(), air_changes_gap=result.air_changes_gap[:, :0])


# names


def test_facers_of_boards_do_not_appear_in_names() -> None:
    """Between two faced boards the name has the boards alone; a membrane between them stays."""
    wall, roof = year("wall"), year("roof")
    assert "inner foam | sheathing" in {place_name(wall, place) for place in wall.places}
    assert "inner foam | deck membrane | deck" in {place_name(roof, place) for place in roof.places}
    assert not any("facer" in place_name(wall, place) for place in wall.places)


def test_side_is_a_surface_or_in_a_layer() -> None:
    """The outermost place is a surface, the back of the sheathing lies in it."""
    wall = year("wall")
    assert side_name(wall, wall.places[0]) == "surface"
    sides = [side_name(wall, place) for place in wall.places if place.part == "sheathing"]
    assert sides == ["in sheathing", "in sheathing"]


@pytest.mark.parametrize(
    ("example", "name"),
    [
        ("wall", "outer face of outer foam"),
        ("wall-no-foam", "outer face of sheathing"),
        ("roof", "deck membrane"),
    ],
)
def test_water_control_is_named_as_people_know_it(example: str, name: str) -> None:
    """A facer is a face of its board, a membrane goes by its own name."""
    assert water_control_name(year(example)) == name


def test_without_water_control_there_is_no_name() -> None:
    """A section that names none gives an empty text, and no part of it belongs to a board by chance."""
    wall = replace(year("wall"), water_control="")
    assert water_control_name(wall) == ""
    boards = [board_of(wall, k) for k in range(len(wall.parts))]
    named = {
        wall.parts[k].name: wall.parts[board].name
        for k, board in enumerate(boards)
        if board is not None
    }
    assert named == {
        "outer foam outer facer": "outer foam",
        "outer foam inner facer": "outer foam",
        "inner foam outer facer": "inner foam",
        "inner foam inner facer": "inner foam",
        "sheathing outer facer": "sheathing",
    }


# labels


@given(POSITIONS, st.floats(0.01, 0.1))
def test_labels_keep_their_distance(given_positions: list[float], least: float) -> None:
    """Whatever is wanted, labels keep order, distance and room."""
    wanted = np.sort(given_positions)
    at = spread(wanted, least, 0.0, 1.0)
    assert np.all(np.diff(at) >= least - 1e-9)
    assert at.min() >= -1e-12
    assert at.max() <= 1.0 + 1e-12


@given(POSITIONS)
def test_labels_are_shifted_as_little_as_can_be(given_positions: list[float]) -> None:
    """Where room is plenty the sum of squared shifts is the least; scipy's lsq_linear is the judge."""
    wanted, least = np.sort(given_positions), 0.2
    n = len(wanted)
    # x = x0 + sum of gaps, each gap at least the distance
    steps = np.tril(np.ones((n, n)))
    low = np.array([-np.inf, *[least] * (n - 1)])
    best = lsq_linear(steps, wanted, bounds=(low, np.full(n, np.inf)), tol=1e-14)
    at = spread(wanted, least, -100.0, 100.0)
    assert np.sum((at - wanted) ** 2) <= 2.0 * best.cost + 1e-9


def test_labels_far_apart_stay_where_they_are() -> None:
    """Nothing moves that is not crowded; a crowd that has no room for its distance shares it evenly."""
    wanted = np.array([0.1, 0.5, 0.9])
    assert spread(wanted, 0.05, 0.0, 1.0) == pytest.approx(wanted)
    crowd = spread(np.full(11, 0.5), 0.5, 0.0, 1.0)
    assert crowd == pytest.approx(np.linspace(0.0, 1.0, 11))


def test_folded_text_has_no_more_lines_than_wanted() -> None:
    """A long text ends in dots after its last line, a short one stays as it is."""
    assert folded("cavity wool", 24, 1) == "cavity wool"
    lines = folded("word " * 40, 30).splitlines()
    assert len(lines) == 2
    assert all(len(line) <= 30 for line in lines)
    assert lines[-1].endswith(" ...")


# the report


def table(text: str) -> Iterator[list[str]]:
    """Return the counts of each row of the table of hours, with its mean temperature."""
    for line in text.splitlines():
        cells = line[LABEL:].split()
        numeric = [cell == "-" or cell.replace(".", "").lstrip("-").isdigit() for cell in cells]
        if len(cells) == len(COLUMNS) + 1 and all(numeric):
            yield cells


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("example", ["wall", "roof"])
def test_report_shows_the_hours_of_the_assessment(example: str, system: System) -> None:
    """Outdoor air first, then each place from outside to inside, with the counts as assessed."""
    result = year(example)
    expected = []
    for row in (sheltered_outdoor_air(result), *wet_hours(result)):
        counts = [getattr(row, field) for _, field in COLUMNS]
        mean = convert(row.temperature_mean, "temperature", system)
        expected.append(
            ["-" if count is None else str(count) for count in counts] + [f"{mean:.1f}"]
        )
    assert list(table(report(result, system))) == expected


@pytest.mark.parametrize(("system", "scale", "error"), [("ip", OUNCES, 0.51), ("si", 1.0, 5.1e-4)])
def test_report_shows_the_drying_of_the_gap(system: System, scale: float, error: float) -> None:
    """Twelve months and their sum, in kg/m2, or in oz/100 ft2."""
    result = year("roof")
    (gap,) = gap_drying(result)
    lines = report(result, system).splitlines()
    start = next(k for k, line in enumerate(lines) if line.startswith("  Jan "))
    rows = [line.split() for line in lines[start : start + 13]]
    assert [row[0] for row in rows[::12]] == ["Jan", "year"]
    assert all(len(row) == 4 for row in rows)
    shown = np.array([[float(cell) for cell in row[1:]] for row in rows])
    for column, values in enumerate(
        (gap.potential_month, gap.removed_month, gap.removed_from_inner_month)
    ):
        assert shown[:12, column] == pytest.approx(scale * values, abs=error, rel=1e-6)
        assert shown[12, column] == pytest.approx(scale * values.sum(), abs=error, rel=1e-6)


@pytest.mark.parametrize("system", ["ip", "si"])
def test_report_is_narrow_whatever_the_names(system: System) -> None:
    """Names of the greatest length that files may have do not widen it past 80 columns."""
    wall = year("wall")
    long = "x" * 80
    places = tuple(
        replace(place, name=f"{long} | {'y z ' * 20}", part=f"{long}{k}")
        for k, place in enumerate(wall.places)
    )
    text = report(replace(wall, places=places, section_name="n " * 40), system)
    assert max(map(len, text.splitlines())) <= 80


def test_numbers_of_a_furious_gap_do_not_touch() -> None:
    """At the greatest air change that a file may state, each number stands apart."""
    roof = year("roof")
    text = report(replace(roof, air_changes_gap=np.full_like(roof.air_changes_gap, 5000.0)), "ip")
    rows = [line.split() for line in text.splitlines() if line.startswith(("  Jul ", "  year "))]
    assert [len(row) for row in rows] == [4, 4]


def test_section_without_a_gap_has_no_drying() -> None:
    """No gap, no table of drying; the rest of the report stands."""
    text = report(without_gaps(year("wall")), "si")
    assert "drying potential" not in text
    assert "Closure" in text


def test_without_water_control_nothing_is_called_outside_of_it() -> None:
    """No part is named that keeps rain out: the table is not split."""
    assert "water-control" in report(year("wall"), "ip")
    assert (
        "water-control"
        not in report(replace(year("wall"), water_control=""), "ip").split("risk:")[0]
    )


def test_report_of_an_example_is_plain_ascii() -> None:
    """Any console can show it; it promises nothing."""
    for example in ("wall", "roof"):
        text = report(year(example), "ip")
        assert text.isascii()
        assert "safe" not in text.casefold()


# the hourly table


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_is_a_formula(start: str) -> None:
    """Spreadsheets take a text that starts so for a formula: an apostrophe keeps it a text."""
    assert plain_cell(f"{start}cmd") == f"'{start}cmd"
    assert plain_cell("siding") == "siding"


def test_names_in_the_hourly_table_are_defused() -> None:
    """A layer called '=1+1' reaches the header behind an apostrophe."""
    wall = year("wall")
    places = (replace(wall.places[0], name="=1+1 | siding"), *wall.places[1:])
    header = next(csv.reader(io.StringIO(hourly_csv(replace(wall, places=places), "si"))))
    assert header[7].startswith("'=1+1")
    assert not any(cell[0] in "=+-@" for cell in header)


@pytest.mark.parametrize("system", ["ip", "si"])
def test_hourly_table_holds_the_hours(system: System) -> None:
    """The row stamped July 4, hour 15 has that hour's values, each under a name with its unit."""
    roof = year("roof")
    header, *rows = csv.reader(io.StringIO(hourly_csv(roof, system)))
    assert len(rows) == 8760
    assert len(set(header)) == len(header) == 3 + 4 + 2 * len(roof.places)
    hour = hour_index(7, 4, 15)
    assert hour is not None
    assert rows[hour][:3] == ["7", "4", "15"]
    unit = "degF" if system == "ip" else "degC"
    column = header.index(f"deck | ceiling (in ceiling) temperature_{unit}")
    place = [(one.part, one.side, one.surface) for one in roof.places].index(
        ("ceiling", "b", False)
    )
    value = roof.temperature_place[hour, place]
    expected = 1.8 * value + 32.0 if system == "ip" else value
    assert float(rows[hour][column]) == pytest.approx(expected, abs=6e-4)
    assert float(rows[hour][column + 1]) == pytest.approx(
        100.0 * roof.rh_place[hour, place], abs=6e-4
    )


# the summary


def test_summary_is_strict_json_in_si() -> None:
    """It survives JSON without NaN, and hours and temperatures are those of the assessment."""
    roof = year("roof")
    data = json.loads(json.dumps(summary(roof), allow_nan=False))
    assert len(data["interfaces"]) == len(roof.places)
    for row, wet in zip(data["interfaces"], wet_hours(roof), strict=True):
        assert row["liquid_hours"] == wet.liquid_hours
        assert row["temperature_mean_degC"] == wet.temperature_mean
        assert tuple(row["hours_rh_80_range"]) == wet.hours_rh_80_range
    assert data["sheltered_outdoor_air"]["liquid_hours"] is None
    assert data["solver"] == asdict(roof.solver)


def test_rainscreen_is_the_outermost_gap_that_outdoor_air_enters() -> None:
    """Of a sealed and a vented gap the vented one; none if there is none such."""
    wall = year("wall")
    (gap,) = wall.gaps
    sealed = replace(gap, name="sealed gap", kind="sealed")
    vented = replace(gap, name="vented gap", kind="vented")
    rates = np.repeat(wall.air_changes_gap, 2, axis=1)
    both = summary(replace(wall, gaps=(sealed, vented), air_changes_gap=rates))
    assert both["rainscreen"]["gap"] == "vented gap"
    assert [one["gap"] for one in both["gaps"]] == ["sealed gap", "vented gap"]
    assert summary(replace(wall, gaps=(sealed,)))["rainscreen"] is None
    assert summary(without_gaps(wall))["rainscreen"] is None
