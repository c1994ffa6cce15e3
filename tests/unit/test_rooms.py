"""Rooms whose air is prescribed: by rule, by season, by file; what a file may not say of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heron_point import example, miami
from weather import changed

from moistwall.air import saturation_pressure, vapor_pressure_from_humidity_ratio
from moistwall.assembly import load_section
from moistwall.climate.record import HOURS
from moistwall.errors import AssemblyError
from moistwall.loads.rooms import prescribed_room, room_by_form
from moistwall.room import Ashrae160, ByOutdoorMean, Seasonal
from moistwall.solver.boundary import room_air

LAYERS = """
[[layer]]
material = "OSB"
thickness = "12 mm"
"""


def steady(temperature: float, vapor_pressure: float = 800.0):
    """A year without weather: one temperature and one vapor pressure."""
    from moistwall.air import dew_point_from_vapor_pressure

    hours = np.ones(HOURS)
    dew_point = float(dew_point_from_vapor_pressure(vapor_pressure))
    return changed(
        temperature=temperature * hours,
        dew_point=dew_point * hours,
        pressure=101_325.0 * hours,
    )


def read(folder: Path, room: str, more: str = ""):
    """The section of a small file with this room."""
    path = folder / "wall.toml"
    path.write_text(f"{more}{room}\n{LAYERS}", encoding="utf-8")
    return load_section(path)


@pytest.mark.parametrize(
    ("outdoors", "temperature", "rh"),
    [(0.0, 20.0, 40.0), (10.0, 20.0, 50.0), (15.0, 22.5, 55.0), (20.0, 25.0, 60.0), (-20.0, 20.0, 30.0)],
)  # fmt: skip
def test_en_15026_classes(outdoors: float, temperature: float, rh: float) -> None:
    """EN 15026 Annex C at round outdoor temperatures (from memory); the high class has 10 % more."""
    for load, more in (("normal", 0.0), ("high", 10.0)):
        t, humidity = room_by_form(
            ByOutdoorMean(load), steady(outdoors, 200.0 if outdoors > -1 else 80.0)
        )
        assert t[5000] == pytest.approx(temperature)
        assert 100.0 * humidity[5000] == pytest.approx(rh + more)


@pytest.mark.parametrize(
    ("outdoors", "rh"), [(-10.0, 40.0), (0.0, 50.0), (10.0, 60.0), (20.0, 70.0), (25.0, 70.0)]
)
def test_ashrae_160_simplified(outdoors: float, rh: float) -> None:
    """The simplified humidity of ASHRAE 160 at round outdoor temperatures (from memory)."""
    _, humidity = room_by_form(Ashrae160("simplified"), steady(outdoors, 200.0))
    assert 100.0 * humidity[100] == pytest.approx(rh)


def test_ashrae_160_air_conditioned() -> None:
    """W 0.018 outdoors is W 0.0112 in the room, 1792 Pa and 60.5 % at 23.9 degC (from memory)."""
    outdoors = float(vapor_pressure_from_humidity_ratio(0.018))
    temperature, rh = room_by_form(Ashrae160("air-conditioned"), steady(27.0, outdoors))
    assert temperature[0] == pytest.approx(23.9)
    vapor = rh * saturation_pressure(temperature)
    assert vapor[4000] == pytest.approx(1792.0, abs=1.0)
    assert 100.0 * rh[4000] == pytest.approx(60.5, abs=0.1)


@pytest.mark.parametrize(("outdoors", "temperature"), [(10.0, 21.1), (19.0, 21.8), (25.0, 23.9)])
def test_ashrae_160_temperature(outdoors: float, temperature: float) -> None:
    """Heated and cooled: 21.1 degC, then 2.8 K above outdoors, then 23.9 degC (from memory)."""
    t, _ = room_by_form(Ashrae160("air-conditioned"), steady(outdoors))
    assert t[0] == pytest.approx(temperature)


def test_ashrae_160_intermediate() -> None:
    """14 kg a day into 500 m3 at 0.2 air changes add 793 Pa (from memory), in a room 2.8 K warmer."""
    form = Ashrae160("intermediate", None, 14.0 / 86400.0, 0.2 * 500.0 / 3600.0)
    temperature, rh = room_by_form(form, steady(20.0, 1000.0))
    assert temperature[0] == pytest.approx(22.8)
    assert rh[0] * saturation_pressure(temperature)[0] == pytest.approx(1793.0, abs=1.0)


def test_seasonal_room_swings_between_its_states() -> None:
    """Summer state on its day, winter state half a year away, the mean between them in between."""
    t, rh = room_by_form(Seasonal(20.0, 26.0, 0.4, 0.6, 196.5), miami())
    day = np.arange(1, HOURS + 1) / 24.0
    summer, winter = int(np.argmax(t)), int(np.argmin(t))
    assert day[summer] == pytest.approx(196.5, abs=0.05)
    assert day[winter] == pytest.approx(14.0, abs=0.05)
    assert (t.max(), t.min(), t.mean()) == pytest.approx((26.0, 20.0, 23.0), abs=1e-3)
    assert (rh[summer], rh[winter]) == pytest.approx((0.6, 0.4), abs=1e-4)


def test_a_file_that_says_nothing_has_the_air_conditioned_room(tmp_path: Path) -> None:
    """Without [room] it is ASHRAE 160's; its mean humidity in the Miami summer is 55 to 62 %."""
    section = read(tmp_path, "")
    assert section.room == Ashrae160("air-conditioned")
    assert any("ASHRAE 160" in line and "from memory" in line for line in section.defaults)
    _, rh = room_air(section, miami())
    assert 0.55 < rh[4344:6552].mean() < 0.62


def test_a_setpoint_may_be_given_to_the_air_conditioned_room(tmp_path: Path) -> None:
    """A colder setpoint leaves the vapor and raises the humidity."""
    form = 'form = "ashrae 160 air-conditioned"'
    usual = prescribed_room(read(tmp_path, f"[room]\n{form}"), steady(27.0, 2800.0))
    cold = prescribed_room(
        read(tmp_path, f'[room]\n{form}\ntemperature = "70 degF"'), steady(27.0, 2800.0)
    )
    assert cold[0][0] == pytest.approx(21.111, abs=1e-3)
    vapor = [float(rh[0] * saturation_pressure(t[0])) for t, rh in (usual, cold)]
    assert vapor[0] == pytest.approx(vapor[1])
    assert cold[1][0] > usual[1][0]


def test_hours_of_a_file_reach_the_section(tmp_path: Path) -> None:
    """A CSV file of the room's air is read hour by hour."""
    hours = np.arange(HOURS)
    rows = [f"{20 + 5 * (h % 24) / 24:.6f},{40 + h % 7}" for h in hours]
    text = "\n".join(["room_temperature_degC,room_rh_percent", *rows])
    (tmp_path / "room.csv").write_text(text, encoding="utf-8")
    section = read(tmp_path, '[room]\nform = "hourly file"\nfile = "room.csv"')
    temperature, rh = prescribed_room(section, miami())
    assert temperature[30] == pytest.approx(20 + 5 * 6 / 24)
    assert rh[30] == pytest.approx(0.01 * (40 + 30 % 7))


@pytest.mark.parametrize(
    ("room", "more", "parts"),
    [
        ('form = "seasonal"\nwinter_temperature = "68 degF"', "", ("room.summer_humidity", "is missing")),
        ('form = "hourly file"', "", ("room.file", "is missing")),
        ('form = "constant"\nbedrooms = "2"', "", ("room.bedrooms", "has no meaning", "intermediate")),
        ('form = "ashrae 160 intermediate"\nbedrooms = "2"', "", ("room.form", "needs the volume")),
        ('form = "ashrae 160 intermediate"', '[building]\nvolume = "300 m3"\n', ("room.bedrooms", "is missing")),
        ('form = "tropical"', "", ("room.form", "tropical")),
        ('form = "hourly file"\nfile = "none.csv"', "", ("room.file", "there is no such file")),
        ('form = "en 15026 high"\nhumidity = "50 %"', "", ("room.humidity", "has no meaning")),
    ],
)  # fmt: skip
def test_a_room_that_cannot_be(
    tmp_path: Path, room: str, more: str, parts: tuple[str, ...]
) -> None:
    """A key that is missing or has no use is named, with what to write."""
    with pytest.raises(AssemblyError) as error:
        read(tmp_path, f"[room]\n{room}", more)
    for part in parts:
        assert part in str(error.value)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("room_temperature_degC\n20", ("has no column of room air", "room_rh_percent")),
        ("room_temperature_degC,room_rh_percent\n20,50", ("1 lines", "is not one year")),
        (
            "room_temperature_degC,room_rh_percent\n" + "20,50\n" * 8759 + "20,150",
            ("line 8761: room_rh_percent", "150", "is no value of room air"),
        ),
    ],
)
def test_a_file_of_room_air_that_cannot_be(
    tmp_path: Path, text: str, parts: tuple[str, ...]
) -> None:
    """A file of the wrong length or with a wrong value is refused, with the line."""
    (tmp_path / "room.csv").write_text(text, encoding="utf-8")
    with pytest.raises(AssemblyError) as error:
        read(tmp_path, '[room]\nform = "hourly file"\nfile = "room.csv"')
    for part in parts:
        assert part in str(error.value)


def test_an_uncooled_room_follows_the_weather_whatever_its_form() -> None:
    """Hours without cooling take the place of those of a form."""
    from moistwall.exposure import CoolingOff, Exposure

    wall = replace(
        example("wall"),
        room=Ashrae160("air-conditioned"),
        exposure=Exposure(cooling_off=(CoolingOff("storm", "cooling off", 6000, 48),)),
    )
    temperature, _ = room_air(wall, miami())
    assert temperature[6010] == pytest.approx(miami().temperature[6010 - 23 : 6011].mean())
    assert temperature[5990] == pytest.approx(23.9)
