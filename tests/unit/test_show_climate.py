"""A year of weather in words, pictures and on a page; the template of a climate table."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from heron_point import miami
from matplotlib.collections import QuadMesh
from matplotlib.text import Text
from readable import assert_readable
from weather import changed, with_showers, without_rain

from moistwall.assess.weather import FACINGS, WallWeather, fingerprint, wall_weather
from moistwall.climate.columns import COLUMNS
from moistwall.climate.hours import HOURS, hour_stamp
from moistwall.climate.record import Climate
from moistwall.climate.table import climate_from_table
from moistwall.loads.driving_rain import INDEX_LIMIT
from moistwall.show.cautions import TYPICAL_YEAR
from moistwall.show.climate_page import FILES, page_files
from moistwall.show.climate_pictures import dew_point_figure, drive_figure, walls_figure
from moistwall.show.climate_summary import climate_summary
from moistwall.show.climate_template import climate_template
from moistwall.show.climate_text import climate_text, list_text
from moistwall.show.climate_words import BUILT, OTHER, TYPICAL, kind_of_year
from moistwall.units import System

DRAW = (walls_figure, dew_point_figure, drive_figure)


@cache
def showers() -> tuple[Climate, WallWeather]:
    """The Miami year with invented showers, and what it brings to walls."""
    return with_showers(), wall_weather(with_showers())


@cache
def unknown() -> tuple[Climate, WallWeather]:
    """The Miami year without its rain, and what it brings to walls."""
    return without_rain(), wall_weather(without_rain())


def flat_text(text: str) -> str:
    """Return a text with its lines joined."""
    return " ".join(text.split())


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("year", [showers, unknown])
@pytest.mark.parametrize("draw", DRAW)
def test_pictures_are_readable(draw, year, system: System) -> None:
    """With and without rain, in both systems, no text lies upon another or leaves the paper."""
    assert_readable(draw(*year(), system))


@pytest.mark.parametrize("draw", DRAW)
def test_pictures_of_extreme_years_are_readable(draw) -> None:
    """Long names, rain in storms, and air that drives one way only leave the pictures readable."""
    long = "Heron Point " * 12
    rain = np.full(HOURS, 3.0)
    humid = changed(
        place=long.strip(), temperature=30.0, dew_point=27.0, rain=rain, wind_speed=15.0
    )
    dry = changed(name=long.strip(), temperature=5.0, dew_point=-10.0)
    for climate in (humid, dry):
        for system in ("ip", "si"):
            assert_readable(draw(climate, wall_weather(climate), system))


def test_strip_has_facings_as_rows_and_months_as_columns() -> None:
    """The color of the cell in row SE, column July is that of the July rain on the south-east wall."""
    climate, walls = showers()
    assert walls.rain_month is not None
    axes = next(one for one in walls_figure(climate, walls, "si").axes if one.get_label() == "rain")
    (mesh,) = (one for one in axes.collections if isinstance(one, QuadMesh))
    drawn = np.ma.filled(mesh.get_array(), 0.0).reshape(8, 12)
    np.testing.assert_allclose(drawn, walls.rain_month.T, rtol=1e-9)
    shown = {text.get_position(): text.get_text() for text in axes.findobj(Text)}  # type: ignore[attr-defined]
    row = FACINGS.index("SE")
    assert shown[(6, row)] == f"{walls.rain_month[6, row]:.0f}"
    assert shown[(0, row)] == "0"


def test_strip_says_that_no_rain_is_known() -> None:
    """Without rain depths there is no strip of zeros but the words."""
    figure = walls_figure(*unknown())
    assert [axes.get_label() for axes in figure.axes] == ["sun"]
    assert any("no rain known" in text.get_text() for text in figure.texts)


def test_bars_have_the_hours_of_the_months() -> None:
    """Bars up are the hours inward and bars down those outward."""
    climate, walls = unknown()
    (axes,) = drive_figure(climate, walls).axes
    for bars, hours in zip(
        axes.containers, (walls.inward_hours_month, -walls.outward_hours_month), strict=True
    ):
        assert [bar.get_height() for bar in bars] == hours.tolist()


@pytest.mark.parametrize("year", [showers, unknown])
def test_text_fits_80_columns_and_says_what_a_typical_year_leaves_out(year) -> None:
    """No line is longer than a terminal is wide; the caution and the limit of the index are there."""
    climate, walls = year()
    for system in ("ip", "si"):
        text = climate_text(climate, fingerprint(climate), walls, system)
        assert max(map(len, text.splitlines())) <= 80
        assert TYPICAL_YEAR in flat_text(text)
        known = climate.rain is not None
        assert (INDEX_LIMIT in flat_text(text)) == known
        assert ("no rain known" in text) == (not known)
        assert "safe" not in text.lower().replace("unsafe", "")
    listed = list_text([(climate, fingerprint(climate))], "ip")
    assert TYPICAL_YEAR in flat_text(listed)
    assert max(map(len, listed.splitlines())) <= 80


def test_list_is_not_zero_where_rain_is_unknown() -> None:
    """In the list a year without rain depths has a dash and the words, a dry one has 0."""
    dry = changed(name="dry", rain=0.0)
    text = list_text([(one, fingerprint(one)) for one in (without_rain(), dry)], "si")
    miami_row = next(line for line in text.splitlines() if line.startswith("miami "))
    dry_row = next(line for line in text.splitlines() if line.startswith("dry "))
    assert miami_row.split()[-3:] == ["-", "-", "-"]
    assert dry_row.split()[-3:] == ["0", "0", "none"]
    assert "no rain known" in text


def test_units_are_converted() -> None:
    """24.3 degC is 75.8 degF, 736 mm 29.0 in, 4.91 kWh/m2 1.56 kBtu/ft2 (factor 0.3170)."""
    climate, walls = showers()
    ip, si = (climate_text(climate, fingerprint(climate), walls, system) for system in ("ip", "si"))
    for text, wanted in (
        (ip, ("75.8 degF", "29.0 in, in 184 hours", "1.56 kBtu/ft2", "SE, 19.0 in")),
        (si, ("24.3 degC", "736 mm, in 184 hours", "4.91 kWh/m2", "SE, 482 mm")),
    ):
        for words in wanted:
            assert words in text


def test_kinds_of_years() -> None:
    """A year says by its source and notes whether it is typical or built; a logger's is neither."""
    assert kind_of_year(miami()) == TYPICAL
    assert (
        kind_of_year(replace(miami(), notes=("built from twelve values, not measured",))) == BUILT
    )
    assert kind_of_year(replace(miami(), source="own logger", notes=())) == OTHER


def test_page_is_whole_and_needs_nothing_else() -> None:
    """The page holds its pictures, loads nothing from elsewhere, and escapes what the input says."""
    climate, walls = showers()
    evil = replace(climate, place="<script>alert(1)</script> & Bay", source="a <b>logger</b>")
    files = page_files(evil, fingerprint(evil), walls, "ip")
    assert sorted(files) == sorted(FILES)
    page = files["index.html"].decode("utf-8")
    assert "<script>" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; Bay" in page
    assert "a &lt;b&gt;logger&lt;/b&gt;" in page
    assert len(re.findall(r'src="data:image/png;base64,', page)) == 3
    assert set(re.findall(r'(?:src|href)="(?!data:|#main)([^"]*)"', page)) == set()
    assert "://" not in page
    for words in (TYPICAL_YEAR, INDEX_LIMIT, "Cautions"):
        assert words in page
    assert files["walls.png"].startswith(b"\x89PNG")


def test_page_of_a_built_year_says_so() -> None:
    """A built year carries the mark and the sentence; a year without rain the words."""
    climate, walls = unknown()
    built = replace(climate, notes=("built, not measured",))
    page = page_files(built, fingerprint(built), walls, "si")["index.html"].decode("utf-8")
    assert 'class="kind built">built, not measured<' in page
    assert "no single hour of it ever was" in page
    assert "no rain known" in page
    assert INDEX_LIMIT not in page
    plain = page_files(climate, fingerprint(climate), walls, "si")["index.html"].decode("utf-8")
    assert "no single hour of it ever was" not in plain


def test_summary_has_null_for_unknown_rain() -> None:
    """In the numbers unknown rain is None everywhere, and the caution stands beside them."""
    climate, walls = unknown()
    data = climate_summary(climate, fingerprint(climate), walls)
    assert data["driving_rain_on_walls_kg_m2"] is None
    assert data["airfield_index_mm"] is None
    assert data["fingerprint"]["rain_mm"] is None
    assert TYPICAL_YEAR in data["cautions"]
    assert data["airfield_index_limit"] == INDEX_LIMIT


@pytest.mark.parametrize("system", ["ip", "si"])
def test_template_filled_to_a_year_is_a_climate_table(system: System) -> None:
    """Its three rows repeated over all hours are read back; the first hours are those shown."""
    lines = climate_template(system).rstrip("\n").split("\n")
    head, rows = lines[:-3], [line.split(",", 3) for line in lines[-3:]]
    assert [row[:3] for row in rows] == [["1", "1", hour] for hour in "123"]
    filled = [f"{','.join(map(str, hour_stamp(k)))},{rows[k % 3][3]}" for k in range(HOURS)]
    year = climate_from_table("\n".join((*head, *filled)) + "\n", "template.csv")
    assert year.place == "Heron Point (invented)"
    assert year.temperature[:3] == pytest.approx([14.2, 14.0, 13.9], abs=0.06)
    assert year.dew_point[0] == pytest.approx(12.9, abs=0.06)
    assert year.pressure[0] == pytest.approx(101_800.0, abs=20.0)
    assert year.wind_speed[0] == pytest.approx(2.1, abs=0.01)
    assert year.elevation == pytest.approx(3.0, abs=0.06)
    assert year.rain is not None
    assert year.rain[1] == pytest.approx(0.3, abs=0.05)
    assert year.cloud[:3] == pytest.approx([0.4, 0.7, 1.0])


@pytest.mark.parametrize("system", ["ip", "si"])
def test_template_names_every_column(system: System) -> None:
    """Every column that the reader knows stands in the template."""
    text = climate_template(system)
    for column in COLUMNS:
        assert re.search(rf"\b{column.name}\b", text), column.name
