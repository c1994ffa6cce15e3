"""Zones in assembly files: what they become, what is refused; a year of one, told and kept."""

from __future__ import annotations

import csv
import dataclasses
import io
import math
import tomllib
from copy import copy
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from heron_point import example, miami

from moistwall import zone_closing
from moistwall.air import saturation_pressure
from moistwall.assembly import load_section
from moistwall.assess.criteria import worst_word
from moistwall.assess.verdict import worst_findings
from moistwall.assess.zone_air import WATER_NAMES, zone_year
from moistwall.criteria_file import find_criteria
from moistwall.errors import AssemblyError, ConvergenceError, UnsettledError
from moistwall.library import data_folder, find_assembly, find_material, read_year
from moistwall.loads.coil import rated_coil
from moistwall.result import Result
from moistwall.section import Face, Layer, Section
from moistwall.show.hourly import hourly_csv
from moistwall.show.report_page import report_page
from moistwall.show.summary import summary
from moistwall.show.text import report
from moistwall.show.zone import ridge_lines, zone_data, zone_lines
from moistwall.simulate import simulate
from moistwall.solver.boundary import boundary_rows
from moistwall.solver.kernel.zone_layout import AIR_IN, AIR_OUT
from moistwall.solver.march import Accuracy
from moistwall.solver.zone_series import zone_series
from moistwall.study.beside import beside_zone, ridge_strip
from moistwall.study.job import Job, compute
from moistwall.study.judged import judge_run
from moistwall.study.rooms import room_pairs
from moistwall.study.whole_run import WholeRun
from moistwall.zone import AirConditioner, ColdObject, Dehumidifier, Ventilation, Zone

VENTED = "heron-point-attic-vented"
"""What the sealed attics are set beside; its attic is a gap."""

WALL = """
[[layer]]
material = "OSB"
thickness = "12 mm"
"""
ROOM = '[room]\nform = "balanced"\nsection_area = "200 m2"\nvolume = "300 m3"\n'
COOLING = '[room.cooling]\nsetpoint = "75 degF"\ncapacity = "2 ton"\n'
FAN = '[room.ventilation]\nflow = "100 cfm"\n'
PEOPLE = '[room.people]\ncount = "3"\n'
ATTIC = 'kind = "roof"\nslope = "4/12"\n[attic]\nceiling_area = "90 m2"\nvolume = "60 m3"\n'
CRAWL = (
    'kind = "floor"\n[crawl_space]\nfloor_area = "60 m2"\nheight = "1 m"\nair_changes = "5 1/h"\n'
)


def read(folder: Path, text: str) -> Section:
    """The section of a small file."""
    path = folder / "one.toml"
    path.write_text(text + WALL, encoding="utf-8")
    return load_section(path)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (ROOM + '[room.dehumidifier]\nsetpoint = "55 %"', ("room.dehumidifier.capacity", "is missing")),
        (ROOM + COOLING + 'sensible_share = "55 %"', ("room.cooling", "colder than freezing")),
        (ROOM + COOLING + 'air_flow = "400 cfm"', ("room.cooling", "is what no coil does", "cfm a ton")),
        ('[room]\nform = "balanced"\nsection_area = "200 m2"', ("room.volume", "is missing", "[building]")),
        ('[room]\nform = "balanced"\nvolume = "300 m3"', ("room.section_area", "is missing")),
        (ROOM + FAN + 'sensible_recovery = "120 %"', ("sensible_recovery", "120 %")),
        (ROOM + PEOPLE + 'schedule = "0 50 100 %"', ("room.people.schedule", "has 3 hours", "24 numbers")),
        (ROOM + PEOPLE + 'schedule = "always"', ("room.people.schedule", "is no schedule")),
        (ROOM + '[room.people]\ncount = "-1"', ("room.people.count",)),
        (ROOM + COOLING + '[room.heating]\nsetpoint = "76 degF"', ("room.heating.setpoint", "is not below")),
        (ROOM + 'temperature = "75 degF"', ("room.temperature", "has no meaning")),
        ('[room]\ntemperature = "75 degF"\n' + COOLING, ("room.cooling", "has no meaning", "balanced")),
        ('kind = "wall"\n' + ATTIC.partition("\n")[2].partition("\n")[2], ("attic", "belongs to a roof")),
        (ROOM + '[leakage]\nach50 = "3 1/h"\nmeets = ["a", "b"]', ("leakage.meets", "has no meaning")),
        (CRAWL + ROOM, ("crawl_space", "cannot stand beside a balanced room")),
        (CRAWL + 'supply = "by law"', ("crawl_space.supply", "by law")),
        (ATTIC + 'diffusion_vent_permeance = "20 perm"', ("diffusion_vent_permeance", "without its area")),
        (ATTIC.replace('volume = "60 m3"\n', ""), ("attic.volume", "is missing")),
        (ATTIC + '[attic.dehumidifier]\nsetpoint = "55 %"', ("attic.dehumidifier.capacity", "is missing")),
    ],
)  # fmt: skip
def test_zones_that_cannot_be(tmp_path: Path, text: str, parts: tuple[str, ...]) -> None:
    """What is missing, contradicts itself or has no place is refused, by field, with what to write."""
    with pytest.raises(AssemblyError) as error:
        read(tmp_path, text)
    for part in parts:
        assert part in str(error.value)


def test_a_room_becomes_a_zone(tmp_path: Path) -> None:
    """People, machines and schedules reach the zone; what was assumed is listed with its source."""
    people = '[room.people]\ncount = "10"\nschedule = "' + "0 " * 8 + "100 " * 8 + "0 " * 8 + '%"\n'
    section = read(tmp_path, ROOM + COOLING + 'oversized = "50 %"\nfan = "on"\n' + people)
    zone = section.zone
    assert zone is not None
    assert (zone.kind, zone.area, zone.volume) == ("room", 200.0, 300.0)
    assert zone.heat[:24].sum() == pytest.approx(10 * 75.0 * 8)
    assert np.array_equal(zone.heat[:24], zone.heat[24 * 100 : 24 * 101])
    cooling = zone.cooling
    assert cooling is not None
    assert cooling.capacity == pytest.approx(1.5 * 2.0 * 3516.85, rel=1e-5)
    assert cooling.air_flow == pytest.approx(1.2 * 1200.0 * 4.71947e-4, rel=1e-4)
    assert rated_coil(cooling).apparatus == pytest.approx(13.0, abs=0.1)
    said = "\n".join(section.defaults)
    for text in (
        "Henderson and Rengarajan 1996",
        "400 cfm a ton",
        "75 W and 55 W",
        "0.2 air changes",
    ):
        assert text in said
    assert [one.name for one in zone.cold_objects] == [
        "duct boot",
        "cold-water pipe",
        "supply grille",
    ]


def test_a_balanced_room_leaks_as_its_enclosure_does() -> None:
    """Air enters the room by the blower-door test of the whole enclosure, and none through the section."""
    section = example("room")
    rows = boundary_rows(section, miami())
    assert np.all(rows[:, -1] == 0.0)
    series = zone_series(section, miami(), rows)
    changes = 3600.0 * series[:, AIR_IN].mean() / (1.2 * section.zone.volume)  # type: ignore[union-attr]
    assert 0.05 < changes < 0.6  # 2.8 air changes at 50 Pa
    assert np.array_equal(series[:, AIR_IN], series[:, AIR_OUT])
    said = "\n".join(section.defaults)
    assert "none passes this section" in said
    assert "spreads evenly" not in said
    assert "this section leaks as" not in said


def test_an_attic_follows_the_rules_of_the_code(tmp_path: Path) -> None:
    """50 cfm for 1000 ft2 of ceiling, 20 perm through 1/600 of it; the roof is the ceiling along the slope."""
    zone = read(tmp_path, ATTIC + 'supply = "by rule"\ndiffusion_vent = "1/600"').zone
    assert zone is not None
    assert zone.supply is not None
    assert zone.supply.flow == pytest.approx(0.05 * 4.71947e-4 * 90.0 / 0.09290304, rel=1e-4)
    assert zone.diffusion_vent == pytest.approx(20.0 * 57.45e-12 * 90.0 / 600.0, rel=1e-6)
    assert zone.area == pytest.approx(90.0 * math.hypot(1.0, 4.0 / 12.0))


def test_a_crawl_space_lies_outside_of_its_floor(tmp_path: Path) -> None:
    """No sun, no sky; a cover in series with bare soil; 1 cfm for 50 ft2 by rule."""
    section = read(tmp_path, CRAWL + 'ground_cover = "0.1 perm"\nsupply = "by rule"')
    zone = section.zone
    assert zone is not None
    assert zone.ground is not None
    assert (section.outer.emittance, section.outer.absorptance) == (0.0, 0.0)
    assert zone.ground.vapor_conductance == pytest.approx(
        60.0 / (1 / 2e-8 + 1 / 5.745e-12), rel=1e-6
    )
    assert zone.supply is not None
    assert zone.supply.flow == pytest.approx(0.02 * 4.71947e-4 * 60.0 / 0.09290304, rel=1e-4)
    with pytest.raises(AssemblyError, match="must neither radiate"):
        dataclasses.replace(section, outer=Face())


def test_there_are_examples_of_each_zone() -> None:
    """Five rooms, five sealed attics, five floors, all invented; each zone is of its kind."""
    found: dict[str, int] = {}
    for path in sorted((data_folder("examples") / "zones").glob("heron-point-*.toml")):
        if path.stem == VENTED:
            continue
        section = load_section(path)
        assert section.zone is not None
        assert "invented" in path.read_text(encoding="utf-8")
        start = {"room": "room", "attic": "attic", "crawl space": "floor"}[section.zone.kind]
        assert path.stem.startswith(f"heron-point-{start}")
        assert find_assembly(path.stem) == path
        found[start] = found.get(start, 0) + 1
    assert found == {"attic": 5, "floor": 5, "room": 5}


@cache
def busy() -> Result:
    """A Miami year of a room beside thin foam with every machine."""
    hours = np.arange(8760) % 24
    zone = Zone(
        "room", 150.0, 250.0, 2e6,
        np.where((hours > 7) & (hours < 17), 900.0, 200.0), np.full(8760, 4e-5),
        outdoor_air=0.015,
        ventilation=Ventilation(np.full(8760, 0.02), 0.6, 0.5),
        cooling=AirConditioner(23.9, 7034.0, 0.75, 0.453, "on", 292.0),
        heating_setpoint=20.0,
        dehumidifier=Dehumidifier(0.6, 3e-4, 600.0),
        cold_objects=(ColdObject("boot", 12.8), ColdObject("pipe", None), ColdObject("ice", -20.0)),
    )  # fmt: skip
    foam = Layer("foam", find_material("XPS"), 0.025)
    return simulate(
        Section("room", (foam,), zone=zone), miami(), most_years=1, accuracy=Accuracy(fixed=1)
    )


def test_a_zone_that_does_not_settle_is_no_result(monkeypatch: pytest.MonkeyPatch) -> None:
    """Told as a step without solution is, with its hour; here nothing but equality is taken for settled."""
    monkeypatch.setattr(zone_closing, "ZONE_DRIFT_LIMIT", 0.0)
    with pytest.raises(
        UnsettledError, match=r"hour \d+: the air of the room and the section"
    ) as told:
        busy.__wrapped__()
    assert told.value.apart > told.value.limit == 0.0
    assert isinstance(told.value, ConvergenceError)
    assert str(copy(told.value)) == str(told.value)


def test_a_year_of_a_room_closes_and_is_told() -> None:
    """A year closes within its limits; months add up; the report and the data say the same."""
    result = busy()
    year = zone_year(result)
    assert year is not None
    assert result.zone is not None
    assert result.zone.water_relative < 1e-9
    assert result.zone.heat_relative < 1e-6
    assert result.zone.drift_temperature < 0.02
    taken = year.water_by("air conditioner").sum() + year.water_by("dehumidifier").sum()
    assert taken < -500.0
    total = sum(one.month.sum() for one in year.water)
    assert total == pytest.approx(year.water_stored, abs=1e-6)
    boot, pipe, ice = year.objects
    assert ice.hours == 8760
    assert 3000 < boot.hours < 8760
    assert pipe.hours < boot.hours
    assert year.hours_over[0] >= year.hours_over[1] >= year.hours_over[2]
    data = zone_data(result)
    assert data is not None
    assert data["hours_over"] == list(year.hours_over)
    assert sum(data["hours_over_first_by_month"]) == year.hours_over[0]
    text = "\n".join(zone_lines(result, "ip"))
    assert f"{boot.hours:9d}" in text
    assert "dehumidifier" in text
    assert all(len(line) <= 80 for line in text.splitlines())


def test_a_page_tells_the_zone() -> None:
    """The report's page has the air of the zone month by month as the printed report has."""
    run = WholeRun(busy())
    page = report_page(run, judge_run(run, find_criteria()), "ip")
    assert "The air of the room, balanced hour by hour" in page
    assert "-0.0 " not in "\n".join(zone_lines(busy(), "ip"))


def test_the_room_of_a_result_is_the_zone() -> None:
    """What a result calls its room's air is the air of the zone, hour by hour."""
    result, year = busy(), zone_year(busy())
    assert year is not None
    assert np.array_equal(result.room_temperature, year.temperature)
    rh = result.room_vapor / saturation_pressure(result.room_temperature)
    assert np.abs(rh - year.rh).max() < 1e-9
    assert len(WATER_NAMES) == 10


def test_hours_of_a_zone_are_written() -> None:
    """hourly.csv has the dew point of the zone and what each machine took, hour by hour."""
    year = zone_year(busy())
    assert year is not None
    rows = list(csv.DictReader(io.StringIO(hourly_csv(busy(), "si"))))
    dew_points = [float(row["room air dew_point_degC"]) for row in rows]
    assert np.abs(np.array(dew_points) - year.dew_point).max() < 0.01
    for name in ("air conditioner", "dehumidifier"):
        taken = sum(float(row[f"room {name} water_kg"]) for row in rows)
        assert taken == pytest.approx(-year.water_by(name).sum(), rel=0.01)


def test_a_zone_is_saved_and_read_back(tmp_path: Path) -> None:
    """Arrays and words of a zone come back bit for bit."""
    result = busy()
    result.save(tmp_path / "one.npz")
    again = Result.load(tmp_path / "one.npz")
    assert again.zone == result.zone
    for name in ("zone_state", "zone_flow", "zone_object"):
        assert np.array_equal(getattr(again, name), getattr(result, name))


def test_studs_stand_beside_the_air_of_the_clear_path() -> None:
    """The path through the studs has the room that the clear path left, prescribed."""
    section = example("room")
    beside = beside_zone(section, busy())
    assert beside.zone is None
    assert np.array_equal(np.asarray(beside.room_temperature), busy().room_temperature)


def test_other_rooms_take_the_place_of_a_balanced_one_but_not_of_an_attic() -> None:
    """--rooms sets the room: a balanced room goes, an attic or a crawl space stays."""
    for name, stays in (
        ("room", False),
        ("attic-open-cell", True),
        ("floor-open-vinyl-batt", True),
    ):
        for _, section in room_pairs(example(name), miami()):
            assert (section.zone is not None) == stays
            assert section.room is None


def test_attics_differ_only_in_what_is_compared() -> None:
    """Vented and sealed attics have one facing, slope, color, room and rain; the sealed ones the same air."""
    files = {
        path.stem: tomllib.loads(path.read_text(encoding="utf-8"))
        for path in (data_folder("examples") / "zones").glob("heron-point-attic-*.toml")
    }
    assert len(files) == 6
    for key in ("kind", "facing", "slope", "building", "rain", "outside", "room"):
        assert len({repr(one[key]) for one in files.values()}) == 1, key
    plain = {"ceiling_area", "volume", "supply", "duct_conductance"}
    airs = [{key: one["attic"][key] for key in plain} for one in files.values() if "attic" in one]
    assert len(airs) == 5
    assert all(one == airs[0] for one in airs)


def test_a_ridge_is_a_part_of_its_attic(tmp_path: Path) -> None:
    """A twelfth of the roof and a prism as the attic's; the vent is in it; what was assumed is listed."""
    vented = ATTIC + 'diffusion_vent = "1/600"\n'
    section = read(tmp_path, vented + "[attic.ridge]")
    zone = section.zone
    assert zone is not None
    ridge = zone.ridge
    assert ridge is not None
    assert ridge.area == pytest.approx(zone.area / 12.0)
    assert ridge.volume == pytest.approx(60.0 / 144.0)
    assert ridge.exchange == pytest.approx(0.05e-3 * 90.0)
    assert ridge.diffusion_vent == pytest.approx(20.0 * 57.45e-12 * 90.0 / 600.0, rel=1e-6)
    assert zone.diffusion_vent == 0.0
    said = "\n".join(section.defaults)
    assert "ridge: a twelfth of the roof" in said
    assert "7 g/kg damper" in said
    given = '[attic.ridge]\nroof_share = "10 %"\nexchange = "20 cfm"\nrising = "50 %"'
    zone = read(tmp_path, ATTIC + given).zone
    assert zone is not None
    assert zone.ridge is not None
    assert zone.ridge.area == pytest.approx(0.1 * zone.area)
    assert (zone.ridge.rising, zone.ridge.diffusion_vent) == (0.5, 0.0)
    with pytest.raises(AssemblyError, match=r"attic\.ridge\.roof_share"):
        read(tmp_path, ATTIC + '[attic.ridge]\nroof_share = "80 %"')


@cache
def wool_roof() -> tuple[Section, Result]:
    """The roof of wool under a deck, and its attic well mixed, in a year of Houston."""
    section = example("attic-fibrous")
    return section, simulate(section, read_year("houston"))


def ridge_run(**changes: object) -> Result:
    """The strip along the ridge of that roof, with something changed."""
    section, clear = wool_roof()
    assert section.zone is not None
    assert section.zone.ridge is not None
    ridge = dataclasses.replace(section.zone.ridge, **changes)  # type: ignore[arg-type]
    zone = dataclasses.replace(section.zone, ridge=ridge)
    strip = ridge_strip(dataclasses.replace(section, zone=zone), clear)
    assert strip is not None
    return simulate(strip, read_year("houston"))


def below_deck(result: Result) -> np.ndarray:
    """Humidity between deck and wool, hour by hour."""
    place = next(k for k, place in enumerate(result.places) if place.name == "roof deck | wool")
    rh: np.ndarray = result.rh_place[:, place]
    return rh


def deck_water(result: Result, hour: int) -> float:
    """Mean water of the deck over its dry mass at an hour."""
    layer = [part.name for part in result.parts].index("roof deck")
    cells = result.part_cell == layer
    width = result.width_cell[cells]
    return (
        float(result.content_cell[hour, cells] @ width / width.sum()) / result.parts[layer].density
    )


@pytest.mark.slow
def test_the_ridge_of_a_wool_roof_is_damp_in_winter_and_dry_by_spring() -> None:
    """95 to 100 % at the ridge in winter, the roof below it drier; at most 10 %MC by spring (CP-1302, Houston)."""
    winter = slice(0, 59 * 24)
    ridge, roof = below_deck(ridge_run())[winter], below_deck(wool_roof()[1])[winter]
    assert 0.95 < ridge.max() <= 1.0
    assert (ridge > 0.95).sum() > 100
    assert (ridge > 0.95).sum() > 5 * (roof > 0.95).sum()
    assert deck_water(ridge_run(), 24 * 120) < 0.10


@pytest.mark.slow
def test_an_open_diffusion_vent_dries_the_ridge_and_the_least_of_the_code_hardly() -> None:
    """With a vent the ridge is much drier (CP-1302); here that takes far more than 20 perm through 1/600."""
    section, _ = wool_roof()
    assert section.zone is not None
    assert section.zone.ridge is not None
    ceiling = 900.0 * 0.3048**2 * 57.45e-12
    damp = {
        name: int((below_deck(ridge_run(diffusion_vent=vent * ceiling)) > 0.95).sum())
        for name, vent in (("none", 0.0), ("least", 20.0 / 600.0), ("open", 300.0 / 150.0))
    }
    assert damp["open"] < 0.05 * damp["none"]
    assert 0.8 * damp["none"] < damp["least"] < damp["none"]
    for vent in (0.0, 300.0 / 150.0):
        found = ridge_run(diffusion_vent=vent * ceiling)
        assert deck_water(found, 24 * 120) < 0.10


@pytest.mark.slow
def test_a_ridge_that_is_stirred_is_as_the_attic() -> None:
    """Much air from the attic, as a fan or supply air below the ridge moves it, makes the ridge as the rest."""
    still, stirred, roof = ridge_run(), ridge_run(exchange=1.0), wool_roof()[1]
    apart = [float(np.abs(below_deck(one) - below_deck(roof)).max()) for one in (still, stirred)]
    assert apart[0] > 0.1
    assert apart[1] < 0.03
    for one in (still, stirred):
        assert one.zone is not None
        assert one.zone.water_relative < 1e-9
        assert one.zone.heat_relative < 1e-6


@pytest.mark.slow
def test_studies_count_along_the_ridge() -> None:
    """A study sees the strip along the ridge, and so what a vent there does."""
    found = {}
    for name in ("fibrous", "diffusion-vent"):
        path = find_assembly(f"heron-point-attic-{name}")
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        job = Job(0, name, data, path.name, path.parent, "houston")
        found[name] = compute(job, read_year("houston"))
    assert found["fibrous"]["worst"].endswith("along the ridge")
    wood = [one["measures"]["wood_moisture"] for one in found.values()]
    assert wood[0] > 1.1 * wood[1]


@pytest.mark.slow
def test_a_ridge_worse_than_its_roof_decides() -> None:
    """In Mobile a roof of wool dries as a whole and is marginal along its ridge: the verdict is the ridge's."""
    section = example("attic-fibrous")
    mobile = read_year("mobile")
    clear = simulate(section, mobile)
    strip = ridge_strip(section, clear)
    assert strip is not None
    judged = judge_run(WholeRun(clear, ridge=simulate(strip, mobile)), find_criteria())
    assert judged.ridge is not None
    assert (judged.clear.overall, judged.ridge.overall) == ("dries", "marginal")
    assert judged.overall == "marginal"
    assert judged.decisive is not None
    assert any(judged.decisive[0] is one for one in worst_findings(judged.ridge, 9))
    assert judged.driver is not None


@pytest.mark.slow
def test_a_ridge_is_told() -> None:
    """Report and summary tell the strip along the ridge beside the roof."""
    section, clear = wool_roof()
    strip = ridge_strip(section, clear)
    assert strip is not None
    ridge = simulate(strip, read_year("houston"))
    lines = ridge_lines(ridge, "ip")
    assert any("Along the ridge" in line for line in lines)
    assert all(len(line) <= 80 for line in lines)
    run = WholeRun(clear, ridge=ridge)
    judged = judge_run(run, find_criteria())
    assert judged.ridge is not None
    page, text = report_page(run, judged, "ip"), report(clear, "ip", run, judged)
    for one in (page, text):
        assert "he ridge" in one
        assert "balanced hour by hour" in one
    assert "The same on the strip along the ridge" in page
    assert judged.overall == worst_word([judged.clear.overall, judged.ridge.overall])
    assert "along its ridge it" in " ".join(text.split())
    assert summary(clear, run, judged)["verdict"]["ridge"]["overall"] == judged.ridge.overall
    data = summary(clear, run)["ridge"]
    assert data["zone"]["kind"] == "attic"
    assert len(data["interfaces"]) == len(ridge.places)
    assert summary(clear, WholeRun(clear))["ridge"] is None
