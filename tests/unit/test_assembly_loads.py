"""What the loads of an assembly file become: numbers, places, dates, paths; every default listed."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from moistwall.assembly import (
    assembly_from_data,
    assembly_json_schema,
    load_paths,
    load_section,
    load_stages,
    resolve,
)
from moistwall.assembly.fields import MONTHS, date_text, read_day
from moistwall.errors import AssemblyError
from moistwall.exposure import NOTHING, Spot
from moistwall.loads.gap_air import WIND_COEFFICIENT, attic_openings, openings
from moistwall.section import Section

FOOT = 0.3048
CFM = FOOT**3 / 60.0
FIBER_CEMENT = {"material": "fiber cement", "thickness": "5/16 in", "id": "siding"}
FOAM = {"material": "foil-faced polyiso", "thickness": "1 in", "id": "foam"}
XPS = {"material": "XPS", "thickness": "1 in", "id": "xps"}
COATED = {"material": "integrated-coated sheathing", "thickness": "7/16 in", "id": "sheathing"}
OSB = {"material": "OSB", "thickness": "7/16 in", "id": "osb"}
WOOL = {"material": "mineral wool", "thickness": "5 1/2 in", "id": "wool"}
BOARD = {"material": "gypsum board", "thickness": "1/2 in", "id": "board"}
STEEL = {"material": "steel sheet", "thickness": "0.6 mm", "id": "steel"}
WRAP = {"film": "housewrap"}
BUILDING = {"volume": "10800 ft3", "envelope_area": "3600 ft2"}


def furring(kind: str = "ventilated", depth: str = "3/4 in", **more: str) -> dict[str, str]:
    return {"gap": kind, "depth": depth, "id": "furring", **more}


WALL = (FIBER_CEMENT, furring(), FOAM, COATED, WOOL, BOARD)


def section(*layers: dict[str, Any], studs_path: bool = False, **head: Any) -> Section:
    assembly = assembly_from_data({**head, "layer": list(layers)})
    return resolve(assembly, studs=studs_path)


def said(one: Section) -> str:
    return "\n".join(one.defaults)


def control(layer: str) -> dict[str, str]:
    return {"layer": layer, "seams": "taped"}


def landing(pair: list[str], *layers: dict[str, Any]) -> Spot:
    """Return where water lands that gets between two neighbors."""
    event = {"kind": "storm leak", "date": "Sep 10", "amount": "1 kg/m2", "between": pair}
    (pour,) = section(*layers, event=[event]).exposure.pours
    return pour.spot


def test_a_file_without_loads_has_none() -> None:
    """Rain, leaks and events are off unless the file has their tables, and no default speaks of them."""
    one = section(*WALL, water_control=control("foam"))
    assert one.exposure == NOTHING
    assert one.framing is None
    assert all(gap.openings is None for gap in one.gaps)
    assert not any(text.startswith(("rain", "leakage", "building")) for text in one.defaults)


def test_an_empty_rain_table_switches_the_standard_rain_on() -> None:
    """ASHRAE 160 (from memory): F_E 1.0 and F_D 0.35, and 1 % at the water-control layer."""
    one = section(*WALL, water_control=control("foam"), rain={})
    assert one.exposure.rain is not None
    assert one.exposure.rain.exposure_factor == 1.0
    assert one.exposure.rain.deposition_factor == 0.35
    (leak,) = one.exposure.rain_leaks
    assert leak.share == pytest.approx(0.01)
    assert leak.spot == Spot("foam", "outer")
    for text in (
        "12 ft high",
        "medium exposure",
        "'below steep roof'",
        "1 % of what reaches the wall",
        "lands on the outer face of foam",
    ):
        assert said(one).count(text) == 1, text


def test_given_rain_is_used_and_not_listed() -> None:
    """Height, exposure, position and share of the file reach the section; their defaults are gone."""
    one = section(
        *WALL,
        water_control=control("foam"),
        building={"height": "40 ft", "exposure": "severe"},
        rain={"position": "subject to runoff", "leak_share": "0.5 %"},
    )
    assert one.exposure.rain is not None
    assert one.exposure.rain.exposure_factor == 1.3  # 12.2 m: second row of the standard's table
    assert one.exposure.rain.deposition_factor == 1.0
    assert one.exposure.rain_leaks[0].share == pytest.approx(0.005)
    assert "common practice" not in "\n".join(t for t in one.defaults if t.startswith("building"))
    assert not any(text.startswith("rain:") for text in one.defaults)


def test_no_share_leaves_rain_on_the_face_only() -> None:
    """With a share of 0 % rain wets the cladding and nothing lands behind it."""
    one = section(*WALL, rain={"leak_share": "0 %"})
    assert one.exposure.rain is not None
    assert one.exposure.rain_leaks == ()


def test_nothing_gets_behind_a_water_control_layer_outside() -> None:
    """Where the outermost layer keeps the rain out there is no standard leak, and the report says so."""
    one = section(STEEL, OSB, BOARD, water_control=control("steel"), rain={})
    assert one.exposure.rain is not None
    assert one.exposure.rain_leaks == ()
    assert "rain: none gets behind the outermost layer" in said(one)


def test_a_roof_gets_all_the_rain_that_wind_carries() -> None:
    """Nothing is above a roof."""
    one = section(STEEL, OSB, kind="roof", slope="4/12", rain={"leak_share": "0 %"})
    assert one.exposure.rain is not None
    assert one.exposure.rain.deposition_factor == 1.0


def test_rain_behind_the_foam_is_a_leak_of_its_own() -> None:
    """The second standard case: a share at the joint of foam and sheathing, beside the first one."""
    behind = [{"share": "0.2 %", "between": ["foam", "sheathing"], "name": "behind the tape"}]
    one = section(*WALL, water_control=control("foam"), rain={"behind": behind})
    first, second = one.exposure.rain_leaks
    assert first.spot == Spot("foam", "outer")
    assert (second.name, second.spot) == ("behind the tape", Spot("sheathing", "outer"))
    assert second.share == pytest.approx(0.002)


@pytest.mark.parametrize(
    ("pair", "layers", "spot"),
    [
        # two layers: the capillary one, on whichever side
        (["xps", "osb"], (XPS, OSB), Spot("osb", "outer")),
        (["osb", "xps"], (OSB, XPS), Spot("osb", "inner")),
        # facer against coat: neither is counted on, the sheathing takes up more
        (["foam", "sheathing"], (FOAM, COATED), Spot("sheathing", "outer")),
        # neither is capillary: wool holds more than foam
        (["xps", "wool"], (XPS, WOOL, BOARD), Spot("wool", "outer")),
        # a film keeps the place to its own side
        (["osb", "housewrap"], (OSB, WRAP, {**OSB, "id": "other"}), Spot("osb", "inner")),
        (["housewrap", "other"], (OSB, WRAP, {**OSB, "id": "other"}), Spot("other", "outer")),
        # a face in air, before its film and behind it
        (["furring", "osb"], (XPS, furring(), OSB), Spot("osb", "outer")),
        (["xps", "furring"], (XPS, furring(), OSB), Spot("xps", "inner")),
        (["furring", "housewrap"], (XPS, furring(), WRAP, OSB), Spot("osb", "outer")),
        (["housewrap", "osb"], (XPS, furring(), WRAP, OSB), Spot("osb", "outer", True)),
        (["osb", "housewrap"], (OSB, WRAP, furring(), XPS), Spot("osb", "inner", True)),
        # the ends
        (["outside", "osb"], (OSB, XPS), Spot("osb", "outer")),
        (["board", "room"], (OSB, BOARD), Spot("board", "inner")),
        (
            ["board", "latex paint"],
            (OSB, BOARD, {"film": "latex paint"}),
            Spot("board", "inner", True),
        ),
    ],
)
def test_where_water_lands(pair: list[str], layers: tuple[dict[str, Any], ...], spot: Spot) -> None:
    """The two neighbors of a place decide which layer's face takes the water."""
    assert landing(pair, *layers) == spot


def test_water_stays_outside_of_a_sheet_that_keeps_rain_out() -> None:
    """Behind a cladding laid on housewrap the standard share lands on the back of the cladding."""
    one = section(FIBER_CEMENT, WRAP, OSB, water_control=control("housewrap"), rain={})
    assert one.exposure.rain_leaks[0].spot == Spot("siding", "inner")


def test_leakage_from_air_changes() -> None:
    """ACH50 7 in 10,800 ft3 with 3,600 ft2: 7 * 10800 / 60 = 1260 cfm, 0.35 cfm/ft2."""
    one = section(*WALL, building=BUILDING, leakage={"ach50": "7 1/h", "exhaust": "80 cfm"})
    leak = one.exposure.leakage
    assert leak is not None
    assert leak.flow_50 == pytest.approx(1260.0 * CFM / (3600.0 * FOOT**2), rel=1e-12)
    assert leak.exhaust == pytest.approx(80.0 * CFM / (3600.0 * FOOT**2), rel=1e-12)
    assert (leak.supply, leak.exponent, leak.spot, leak.stage) == (0.0, 0.65, None, "")
    assert leak.height == pytest.approx(12.0 * FOOT)
    assert leak.leak_height == 0.0
    for text in ("to the power 0.65", "50 % of that at 10 m", "spreads evenly", "middle height"):
        assert said(one).count(text) == 1, text
    assert "no fans" not in said(one)


def test_the_same_flow_gives_the_same_leakage() -> None:
    """1260 cfm at 50 Pa is ACH50 7 of that building, and needs no volume."""
    area = {"envelope_area": "3600 ft2"}
    flows = [
        section(*WALL, building=building, leakage=leakage).exposure.leakage
        for building, leakage in ((BUILDING, {"ach50": "7 1/h"}), (area, {"cfm50": "1260 cfm"}))
    ]
    assert flows[0] is not None
    assert flows[1] is not None
    assert flows[0].flow_50 == pytest.approx(flows[1].flow_50, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "leaks_at", "height"),
    [("wall", "7 ft", 0.0), ("wall", "0 ft", -7.0), ("wall", "14 ft", 7.0), ("roof", None, 7.0),
     ("floor", None, -7.0)],
)  # fmt: skip
def test_height_of_the_leaks(kind: str, leaks_at: str | None, height: float) -> None:
    """Leaks are placed from the middle of the building's 14 ft: a roof at the top, a floor below."""
    leakage = {"ach50": "3 1/h"} | ({"leaks_at": leaks_at} if leaks_at else {})
    head = {"kind": kind} | ({"slope": "4/12"} if kind == "roof" else {})
    one = section(OSB, building={**BUILDING, "height": "14 ft"}, leakage=leakage, **head)
    assert one.exposure.leakage is not None
    assert one.exposure.leakage.leak_height == pytest.approx(height * FOOT, abs=1e-12)


def test_a_short_cut_meets_a_place() -> None:
    """The air of a short cut meets the inner face of the sheathing, a stated part of it."""
    leakage = {"ach50": "3 1/h", "meets": ["sheathing", "wool"], "contact": "40 %"}
    leak = section(*WALL, building=BUILDING, leakage=leakage).exposure.leakage
    assert leak is not None
    assert leak.spot == Spot("sheathing", "inner")
    assert leak.contact == pytest.approx(0.4)


def test_stages_of_a_series(tmp_path: Path) -> None:
    """Each test of a series is a section of its own, by its label; alone, the last one counts."""
    path = tmp_path / "wall.toml"
    path.write_text(
        """
        [building]
        volume = "10800 ft3"
        envelope_area = "3600 ft2"
        [[leakage.test]]
        label = "before sealing"
        ach50 = "7 1/h"
        [[leakage.test]]
        label = "after sealing"
        cfm50 = "504 cfm"
        [[layer]]
        material = "OSB"
        thickness = "7/16 in"
        """,
        encoding="utf-8",
    )
    stages = load_stages(path)
    leaks = [one.exposure.leakage for _, one in stages]
    assert [label for label, _ in stages] == ["before sealing", "after sealing"]
    assert [leak.stage for leak in leaks if leak] == ["before sealing", "after sealing"]
    flows = [leak.flow_50 for leak in leaks if leak]
    assert flows[1] / flows[0] == pytest.approx(504.0 / 1260.0, rel=1e-12)
    assert load_section(path).exposure.leakage == leaks[1]
    (first,) = load_paths(path, stage="Before-Sealing")
    assert first.exposure.leakage == leaks[0]


def test_a_file_without_a_series_has_one_stage(tmp_path: Path) -> None:
    """Without labels there is one stage, and it has none."""
    path = tmp_path / "wall.toml"
    path.write_text('[[layer]]\nmaterial = "OSB"\nthickness = "7/16 in"\n', encoding="utf-8")
    ((label, one),) = load_stages(path)
    assert label == ""
    assert one.exposure.leakage is None


def test_openings_switch_to_the_flow_of_stack_and_wind() -> None:
    """Slots, screens and the height of the gap become what the flow needs; the rate is not used."""
    gap = furring(inlet="1/2 in", outlet="3/8 in", screen_free_area="60 %", length="9 ft",
                  furring="vertical")  # fmt: skip
    one = section(FIBER_CEMENT, gap, OSB).gaps[0]
    inch = 0.0254
    expected = openings(0.75 * inch, 9 * FOOT, 9 * FOOT, 0.5 * inch, 0.375 * inch, 0.6)
    assert one.openings is not None
    assert one.openings.loss == pytest.approx(expected.loss, rel=1e-12)
    assert one.openings.friction == pytest.approx(expected.friction, rel=1e-12)
    assert one.openings.rise == pytest.approx(9 * FOOT, rel=1e-12)
    assert one.air_changes == 0.0


def test_openings_not_given_are_assumed_and_listed() -> None:
    """Screens of 50 %, a story of 8 ft, vertical furring and an upper slot like the lower one."""
    one = section(FIBER_CEMENT, furring(inlet="1/2 in"), OSB)
    for text in (
        "8 ft from opening to opening",
        "screens with 50 % free area",
        "upper opening as large as",
        "vertical furring",
        f"wind pressure between its openings {WIND_COEFFICIENT:g}",
    ):
        assert said(one).count(text) == 1, text
    assert "air changes" not in said(one)


def test_level_furring_has_no_stack() -> None:
    """Air between horizontal strips runs level."""
    one = section(FIBER_CEMENT, furring(inlet="1/2 in", furring="horizontal"), OSB).gaps[0]
    assert one.openings is not None
    assert one.openings.rise == 0.0


@pytest.mark.parametrize(("slope", "rise"), [("0 deg", 0.0), ("12/12", 12 * 0.5**0.5)])
def test_air_under_a_roof_rises_with_its_slope(slope: str, rise: float) -> None:
    """12 ft along a slope of 45 deg rise by 8.49 ft; on a flat roof by nothing."""
    one = section(STEEL, furring(inlet="1/2 in", length="12 ft"), OSB, kind="roof", slope=slope)
    assert one.gaps[0].openings is not None
    assert one.gaps[0].openings.rise == pytest.approx(rise * FOOT, rel=1e-9)


def test_one_opening_lets_less_air_through_than_two() -> None:
    """A vented gap resists more than a ventilated one with the same slot low and high."""
    vented, ventilated = (
        section(FIBER_CEMENT, furring(kind, inlet="1/2 in"), OSB).gaps[0].openings
        for kind in ("vented", "ventilated")
    )
    assert vented is not None
    assert ventilated is not None
    assert vented.loss > 5.0 * ventilated.loss


def test_an_attic_by_its_vent_area() -> None:
    """Net free area over the floor, height of the ridge vents, depth and run of the attic."""
    attic = {"gap": "ventilated", "depth": "3 ft", "net_free_area": "1/150", "rise": "5 ft",
             "length": "14 ft"}  # fmt: skip
    one = section(STEEL, OSB, attic, WOOL, BOARD, kind="roof", slope="4/12")
    expected = attic_openings(1 / 150, 5 * FOOT, depth=3 * FOOT, length=14 * FOOT)
    assert one.gaps[0].openings is not None
    assert one.gaps[0].openings.loss == pytest.approx(expected.loss, rel=1e-9)
    assert one.gaps[0].openings.rise == pytest.approx(5 * FOOT, rel=1e-12)
    assert "vent area in the upper part" in said(one)


@pytest.mark.parametrize(
    ("start", "rh", "content"),
    [("80 %", 0.8, None), ("80 %RH", 0.8, None), ("19 %MC", None, 0.19 * 650), ("120 kg/m3", None, 120.0)],
)  # fmt: skip
def test_start_of_a_layer(start: str, rh: float | None, content: float | None) -> None:
    """Humidity, percent of dry mass or water in a volume: OSB of 650 kg/m3 at 19 %MC has 123.5."""
    (layer,) = section({**OSB, "start": start}).layers
    if rh is not None:
        assert layer.initial_rh == pytest.approx(rh)
    assert layer.initial_content == (None if content is None else pytest.approx(content))
    assert "start:" not in said(section({**OSB, "start": start}))


def test_damp_lumber_wets_lumber_alone() -> None:
    """19 %MC, the most of lumber sold as dry (PS 20, from memory); a start of its own goes first."""
    spruce = {"material": "spruce", "thickness": "3/4 in"}
    wet, dry, panel = section(
        spruce, {**spruce, "start": "12 %MC"}, OSB, start={"preset": "damp lumber"}
    ).layers
    assert wet.initial_content == pytest.approx(0.19 * wet.material.density)
    assert dry.initial_content == pytest.approx(0.12 * dry.material.density)
    assert panel.initial_content is None


def test_rain_during_framing_spares_the_siding() -> None:
    """Wood siding comes after dry-in: only what lies inward of the water-control layer is wet."""
    siding = {"material": "spruce", "thickness": "3/4 in", "id": "boards"}
    one = section(
        siding, WRAP, OSB, WOOL, BOARD,
        water_control=control("housewrap"), start={"preset": "rained on during framing"},
    )  # fmt: skip
    contents = {layer.name: layer.initial_content for layer in one.layers}
    assert contents["osb"] == pytest.approx(0.30 * 650)
    assert [name for name, content in contents.items() if content is not None] == ["osb"]
    assert "common practice, no source" in next(t for t in one.defaults if "framing" in t)


def test_a_flood_fills_what_soaks_and_spares_foam() -> None:
    """Gypsum at free saturation, wool at what it holds, wood far above dry; foam keeps its start."""
    one = section(*WALL, start={"preset": "flooded"})
    content = {layer.name: layer.initial_content for layer in one.layers}
    assert content["foam"] is None
    for layer in one.layers:
        if layer.initial_content is not None:
            assert layer.initial_content <= layer.material.storage.holds
    assert content["board"] == pytest.approx(one.layers[-1].material.storage.free)
    assert content["sheathing"] == pytest.approx(0.5 * 650)


@given(day=st.integers(0, 364))
@settings(max_examples=80, deadline=None)
def test_every_day_of_the_year_is_read_as_it_is_written(day: int) -> None:
    """The date of a day leads to the hour at its beginning, whatever the spelling of the month."""
    month, number = date_text(day).split()
    for text in (f"{month} {number}", f"{month.lower()}. {number}", f"{month.upper()}  {number}"):
        event = {"kind": "cooling off", "date": text, "lasts": "1 h"}
        (off,) = section(OSB, event=[event]).exposure.cooling_off
        assert (off.first_hour, off.hours) == (24 * day, 1)


def test_months_make_a_year() -> None:
    """The months have 365 days; September 10 is day 253."""
    assert sum(MONTHS.values()) == 365
    assert date_text(252) == "Sep 10"
    for written in ("10 Sep", "September 10", "10. sept."):
        assert read_day(written) == 252


def test_events() -> None:
    """A storm leak pours its amount over its hours; a building stands shut for weeks."""
    events = [
        {"kind": "storm leak", "date": "September 10", "amount": "2 kg/m2", "lasts": "12 h",
         "between": ["sheathing", "wool"]},
        {"kind": "cooling off", "date": "Sep 10", "lasts": "10 days"},
        {"kind": "shut", "date": "Dec 18", "lasts": "2 weeks", "name": "holidays"},
    ]  # fmt: skip
    one = section(*WALL, event=events)
    (pour,) = one.exposure.pours
    assert (pour.name, pour.first_hour, pour.hours) == ("storm leak of Sep 10", 252 * 24, 12)
    assert pour.amount == pytest.approx(2.0)
    assert pour.spot == Spot("sheathing", "inner")
    off, shut = one.exposure.cooling_off
    assert (off.kind, off.first_hour, off.hours) == ("cooling off", 252 * 24, 240)
    assert (shut.name, shut.kind, shut.hours) == ("holidays", "shut", 336)
    assert shut.first_hour + shut.hours == 8760
    assert shut.mean_hours > off.mean_hours
    assert shut.warmer > off.warmer == 0.0
    assert sum("mean outdoor air of the last" in text for text in one.defaults) == 2


def test_two_storm_leaks_at_two_places_may_meet() -> None:
    """One storm can leak in at two places."""
    leak = {"kind": "storm leak", "date": "Sep 10", "amount": "1 kg/m2"}
    places = [["foam", "sheathing"], ["sheathing", "wool"]]
    events = [{**leak, "between": pair, "name": f"at {pair[0]}"} for pair in places]
    assert len(section(*WALL, event=events).exposure.pours) == 2


def test_the_path_through_the_studs(tmp_path: Path) -> None:
    """Lumber takes the place of the wool; all else is the clear path's; 1 1/2 in of 16 is 9.4 %."""
    head = {
        "studs": {"width": "1 1/2 in", "spacing": "16 in", "start": "19 %MC"},
        "water_control": control("foam"),
        "rain": {},
        "building": BUILDING,
        "leakage": {"ach50": "3 1/h"},
    }
    clear = section(*WALL, name="wall", **head)
    framed = section(*WALL, name="wall", studs_path=True, **head)
    assert clear.framing is None
    assert framed.framing is not None
    assert framed.framing.share == pytest.approx(1.5 / 16.0)
    assert (framed.framing.layer, framed.framing.material) == ("wool", "spruce")
    assert (clear.name, framed.name) == ("wall", "wall, at the studs")
    pairs = list(zip(clear.parts, framed.parts, strict=True))
    changed = [(a.name, b.name) for a, b in pairs if a.name != b.name]
    assert changed == [("wool", "studs")]
    studs = framed.layers[-2]
    assert studs.thickness == clear.layers[-2].thickness
    assert studs.initial_content == pytest.approx(0.19 * studs.material.density)
    assert framed.exposure.rain_leaks == clear.exposure.rain_leaks
    assert clear.exposure.leakage is not None
    assert framed.exposure.leakage is None
    assert "leakage: none through the studs" in said(framed)
    assert "studs alone" in said(framed)


def test_studs_of_nothing_said() -> None:
    """Spruce in the only wool, 25 % of the area (ASHRAE Fundamentals, from memory), all listed."""
    one = section(*WALL, studs={}, studs_path=True)
    assert one.framing is not None
    assert one.framing.share == 0.25
    assert "studs: spruce" in said(one)
    assert "studs: 25 % of the area" in said(one)


def test_facers_of_what_studs_interrupt_are_left_out() -> None:
    """Studs between sheets of faced foam have no facers of their own."""
    studs = {"layer": "foam", "share": "10 %"}
    one = section(FIBER_CEMENT, FOAM, BOARD, studs=studs, studs_path=True)
    assert [part.name for part in one.parts] == ["siding", "studs", "board"]


def test_a_place_beside_the_studs_is_found_in_both_paths() -> None:
    """What lies between sheathing and wool lies between sheathing and stud, where the stud takes more."""
    event = {"kind": "storm leak", "date": "Sep 10", "amount": "1 kg/m2",
             "between": ["sheathing", "wool"]}  # fmt: skip
    one = section(*WALL, studs={}, studs_path=True, event=[event])
    assert one.exposure.pours[0].spot.part in ("studs", "sheathing")


def test_asking_for_studs_that_are_not_there() -> None:
    """A file without the table has no second path."""
    with pytest.raises(AssemblyError, match="there are none in this file"):
        section(*WALL, studs_path=True)


def test_paths_of_a_file(tmp_path: Path) -> None:
    """The clear path comes first, then the studs' if there are any."""
    text = '[[layer]]\nmaterial = "mineral wool"\nthickness = "3 1/2 in"\n'
    path = tmp_path / "wall.toml"
    path.write_text(text, encoding="utf-8")
    assert [one.framing for one in load_paths(path)] == [None]
    path.write_text(f"{text}[studs]\n", encoding="utf-8")
    clear, framed = load_paths(path)
    assert clear.framing is None
    assert framed.framing is not None


def test_json_schema_has_the_tables_of_loads() -> None:
    """Editors are told the words and keys of each table, and that their numbers are text."""
    schema = json.loads(json.dumps(assembly_json_schema()))
    tables = schema["$defs"]
    assert {"building", "rain", "leakage", "start", "event", "studs"} <= set(schema["properties"])
    assert tables["LeakageTable"]["properties"]["ach50"]["anyOf"][0]["type"] == "string"
    assert tables["StormLeak"]["required"] == ["kind", "date", "amount", "between"]
    assert tables["StormLeak"]["properties"]["date"]["type"] == "string"
    assert tables["LayerEntry"]["properties"]["start"]["anyOf"][0]["type"] == "string"
    assert set(tables["Start"]["properties"]["preset"]["enum"]) == {
        "damp lumber",
        "rained on during framing",
        "flooded",
    }
    assert all(
        one.get("additionalProperties") is False for one in tables.values() if "properties" in one
    )


def test_the_page_on_the_assembly_file_has_every_key() -> None:
    """Every key and every word that a file may use stands in docs/assembly.md, those of zones in docs/zones.md."""
    docs = Path(__file__).parents[2] / "docs"
    pages = [(docs / name).read_text(encoding="utf-8") for name in ("assembly.md", "zones.md")]
    assert "zones.md" in pages[0]
    page = "\n".join(pages)
    words = set(re.findall(r"\w+", " ".join(re.findall(r"`([^`\n]+)`", page))))
    schema = assembly_json_schema()
    tables = [schema, *(one for one in schema["$defs"].values() if "properties" in one)]
    for table in tables:
        for key, field in table["properties"].items():
            assert key in words, key
            choices = [field, *field.get("anyOf", [])]
            for choice in (word for one in choices for word in one.get("enum", [])):
                assert choice in page, choice
