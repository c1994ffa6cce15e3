"""What an assembly becomes: unique names, boards taken apart, defaults put in and listed."""

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from moistwall.assembly import assembly_from_data, assembly_json_schema, resolve
from moistwall.errors import AssemblyError
from moistwall.section import Film, Gap, Section

INCH = 0.0254
GYPSUM = {"material": "gypsum board", "thickness": "1/2 in"}
FOAM = {"material": "foil-faced polyiso", "thickness": "1 in"}
OSB = {"material": "OSB", "thickness": "7/16 in"}


def section(*layers: dict[str, Any], folder: Path = Path(), **head: Any) -> Section:
    return resolve(assembly_from_data({**head, "layer": list(layers)}, folder=folder))


def names(one: Section) -> list[str]:
    return [part.name for part in one.parts]


def gap(kind: str = "ventilated", depth: str = "3/4 in", **more: str) -> dict[str, str]:
    return {"gap": kind, "depth": depth, **more}


@given(
    whole=st.integers(0, 60),
    over=st.integers(1, 63),
    under=st.sampled_from([2, 4, 8, 16, 32, 64]),
)
@settings(max_examples=60, deadline=None)
def test_mixed_fractions_of_an_inch_are_exact(whole: int, over: int, under: int) -> None:
    """A thickness in inches and fractions is that many times 25.4 mm (the inch of 1959)."""
    text = f"{whole} {over}/{under} in" if whole else f"{over}/{under} in"
    (layer,) = section({**GYPSUM, "thickness": text}).layers
    assert layer.thickness == pytest.approx(
        float((whole + Fraction(over, under)) * Fraction(254, 10000)), rel=1e-14
    )


@given(millimeters=st.floats(0.0, 1e4, allow_nan=False))
@settings(max_examples=60, deadline=None)
def test_a_thickness_is_taken_or_refused_never_bent(millimeters: float) -> None:
    """From 0.05 mm to 5 m a thickness is kept as it is; outside it is an error."""
    layer = {**GYPSUM, "thickness": f"{millimeters:.4f} mm"}
    rounded = float(f"{millimeters:.4f}")
    if 0.05 <= rounded <= 5000.0:
        assert section(layer).layers[0].thickness == pytest.approx(rounded / 1000.0, rel=1e-12)
    else:
        with pytest.raises(AssemblyError):
            section(layer)


def test_the_same_board_twice_gets_names_of_its_own() -> None:
    """The second of two equal entries without an id is numbered, and so are its facers."""
    assert names(section(FOAM, FOAM, OSB)) == [
        "foil-faced polyiso outer facer",
        "foil-faced polyiso",
        "foil-faced polyiso inner facer",
        "foil-faced polyiso 2 outer facer",
        "foil-faced polyiso 2",
        "foil-faced polyiso 2 inner facer",
        "OSB",
    ]


def test_an_id_is_never_given_to_another_part() -> None:
    """A name made up for a part evades the ids of the file, wherever they stand."""
    one = section(GYPSUM, GYPSUM, {**OSB, "id": "Gypsum Board 2"}, {**OSB, "id": "gypsum board"})
    assert names(one) == ["gypsum board 3", "gypsum board 4", "Gypsum Board 2", "gypsum board"]


def test_an_alias_resolves_to_the_name_of_the_library() -> None:
    """A layer without an id is called as the library calls it."""
    assert names(section({"material": "drywall", "thickness": "1/2 in"})) == ["gypsum board"]


@pytest.mark.parametrize("wanted", ["outer sheet", "OUTER-SHEET"])
def test_water_control_by_id(wanted: str) -> None:
    """Upper and lower case, spaces and hyphens make no difference to what is meant."""
    control = {"layer": wanted, "seams": "taped"}
    one = section({**FOAM, "id": "outer sheet"}, FOAM, water_control=control)
    assert (one.water_control, one.seams) == ("outer sheet outer facer", "taped")


@pytest.mark.parametrize("wanted", ["OSB", "oriented strand board"])
def test_water_control_by_what_it_is(wanted: str) -> None:
    """Without an id the material's name, as written or as in the library, says which is meant."""
    layer = {"material": "oriented strand board", "thickness": "7/16 in"}
    one = section(layer, GYPSUM, water_control={"layer": wanted, "seams": "open"})
    assert (one.water_control, one.seams) == ("OSB", "open")


def test_a_film_keeps_rain_out() -> None:
    """A sheet laid by itself may be the water control."""
    control = {"layer": "housewrap", "seams": "lapped"}
    one = section(GYPSUM, {"film": "housewrap"}, OSB, water_control=control)
    assert one.water_control == "housewrap"
    assert isinstance(one.parts[1], Film)
    assert not one.parts[1].facer


@pytest.mark.parametrize(
    ("kind", "rate"), [("sealed", 0.0), ("drained", 1.0), ("vented", 20.0), ("ventilated", 110.0)]
)
def test_air_changes_by_kind_of_gap(kind: str, rate: float) -> None:
    """Without a rate: none; the low end behind brick veneer; British Columbia field hut, 2021.

    The field hut's design constants are 15 to 25 with one opening and 100 to 120 with two.
    """
    one = section(GYPSUM, gap(kind, id="space"), OSB)
    assert one.gaps[0].air_changes == rate
    said = [text for text in one.defaults if text.startswith(f"space: {rate:g} air changes")]
    assert len(said) == (kind != "sealed")


def test_a_given_rate_is_no_default() -> None:
    """A rate from the file is used and not listed as assumed."""
    one = section(GYPSUM, gap(air_changes="250 ach"), OSB)
    assert one.gaps[0].air_changes == pytest.approx(250.0, rel=1e-12)
    assert not any("air changes" in text for text in one.defaults)


def test_hourly_air_changes_come_from_their_file(tmp_path: Path) -> None:
    """Value k of the file is the mean of hour k + 1, whatever other columns stand beside it."""
    rates = np.round(np.linspace(0.0, 400.0, 8760), 3)
    lines = [f"{hour},{rate}" for hour, rate in enumerate(rates, start=1)]
    (tmp_path / "air.csv").write_text("\n".join(["hour,air_changes_1_h", *lines]), "utf-8")
    one = section(GYPSUM, gap(air_changes_file="air.csv"), OSB, folder=tmp_path)
    np.testing.assert_array_equal(one.gaps[0].air_changes, rates)


@pytest.mark.parametrize(
    ("depth", "resistance"), [(5, 0.11), (7, 0.13), (10, 0.15), (15, 0.17), (25, 0.18), (100, 0.18)]
)
def test_still_air_gap_has_the_tabulated_resistance(depth: float, resistance: float) -> None:
    """ISO 6946, unventilated airspaces, horizontal heat flow, emittance 0.9 (from memory).

    The table is rounded to 0.01; its radiation is 5.1 W/(m2 K) (10 degC) times 1/(2/0.9 - 1).
    """
    one = section(GYPSUM, gap("sealed", f"{depth} mm"), OSB)
    radiation = 5.1 / (2.0 / 0.9 - 1.0)
    assert 1.0 / (one.gaps[0].convection / 2.0 + radiation) == pytest.approx(resistance, abs=0.006)


def test_moving_air_convects_no_less_than_still_air() -> None:
    """A gap that air flows through has 5 W/(m2 K) a face, or more where it is narrow."""
    wide, narrow = (
        section(GYPSUM, gap("ventilated", depth), OSB).gaps[0].convection
        for depth in ("3/4 in", "5 mm")
    )
    assert wide == 5.0
    assert narrow == pytest.approx(10.0, rel=1e-12)


def test_two_gaps_without_ids_are_told_apart() -> None:
    """Gaps are named by their kind, and numbered."""
    one = section(OSB, gap("sealed"), OSB, gap("sealed"), OSB)
    assert [part.name for part in one.parts if isinstance(part, Gap)] == [
        "sealed gap",
        "sealed gap 2",
    ]


@pytest.mark.parametrize(
    ("facing", "azimuth"),
    [
        ("north", 0.0),
        ("east", 90.0),
        ("South-Southwest", 202.5),
        ("south southwest", 202.5),
        ("SSW", 202.5),
        ("w", 270.0),
        ("northwest", 315.0),
        ("200 deg", 200.0),
        ("360 deg", 0.0),
    ],
)
def test_facing(facing: str, azimuth: float) -> None:
    """Points of the compass lie 22.5 degrees apart, clockwise from north."""
    assert section(OSB, facing=facing).azimuth == pytest.approx(azimuth, abs=1e-9)


@pytest.mark.parametrize(
    ("slope", "tilt"),
    [
        ("12/12", 45.0),
        ("0/12", 0.0),
        ("0 deg", 0.0),
        ("4/12", 18.4349),
        ("4:12", 18.4349),
        ("1/4:12", 1.1935),
        ("2 1/2 / 12", 11.7683),
        ("18 deg", 18.0),
    ],
)
def test_slope(slope: str, tilt: float) -> None:
    """A pitch is the rise over a run of 12: its angle is the arc tangent of the two."""
    assert section(OSB, kind="roof", slope=slope).tilt == pytest.approx(tilt, abs=1e-4)


@pytest.mark.parametrize(
    ("head", "tilt", "resistance"),
    [
        ({"kind": "wall"}, 90.0, 0.13),
        ({"kind": "roof", "slope": "3/12"}, 14.036, 0.17),
        ({"kind": "floor"}, 180.0, 0.10),
    ],
)
def test_posture_and_room_side_by_kind(
    head: dict[str, str], tilt: float, resistance: float
) -> None:
    """ISO 6946 surface resistances (from memory) for heat flowing into an air-conditioned room."""
    one = section(OSB, **head)
    assert one.tilt == pytest.approx(tilt, abs=1e-3)
    assert 1.0 / one.room_film == pytest.approx(resistance, rel=1e-12)


def test_everything_not_given_is_listed() -> None:
    """A file that gives nothing but its layers lists every assumption, with its value."""
    one = section(OSB, gap(), GYPSUM)
    said = "\n".join(one.defaults)
    for text in (
        "kind: a wall",
        "slope: 90 deg",
        "facing: south, 180 deg",
        "water control: no layer",
        "ventilated gap: 110 air changes per hour",
        "ventilated gap: convection 5 W/(m2 K)",
        "start of their own at 70 %",
        f"solar absorptance {100 * one.outer.absorptance:.0f} %",
        f"long-wave emittance {100 * one.outer.emittance:.0f} %",
        "hold 100 g/m2",
        "room: ASHRAE 160, cooled without control of humidity",
        "surface resistance 0.13 m2 K/W",
        "vapor transfer 2e-08 kg/(m2 s Pa)",
    ):
        assert said.count(text) == 1, text
    assert (one.water_control, one.seams) == ("", None)


def test_what_is_given_is_used_and_not_listed() -> None:
    """Each value that the file gives reaches the section, and leaves the list of defaults."""
    one = section(
        {**OSB, "start_humidity": "90 %"},
        gap(air_changes="30 1/h"),
        {**GYPSUM, "start_humidity": "55 %"},
        name="north wall",
        kind="wall",
        facing="north",
        slope="85 deg",
        surfaces_hold="50 g/m2",
        water_control={"layer": "OSB", "seams": "open"},
        outside={"absorptance": "20 %", "emittance": "80 %"},
        room={"temperature": "21 degC", "humidity": "60 %"},
    )
    assert one.name == "north wall"
    assert (one.tilt, one.azimuth) == (85.0, 0.0)
    assert [layer.initial_rh for layer in one.layers] == pytest.approx([0.9, 0.55])
    assert (one.outer.absorptance, one.outer.emittance) == pytest.approx((0.2, 0.8))
    held = (one.outer.holds, one.inner.holds, one.gap_holds)
    assert held == pytest.approx((0.05, 0.05, 0.05))
    assert (one.room_temperature, one.room_rh) == pytest.approx((21.0, 0.6))
    assert [text.split(":")[0] for text in one.defaults] == [
        "ventilated gap",
        "room side",
        "room side",
    ]
    assert "convection" in one.defaults[0]


def test_colors_rise_from_white_to_black() -> None:
    """A darker color takes up more sun, and says that its value has no source."""
    sections = [
        section(OSB, outside={"color": color})
        for color in ("white", "light", "medium", "dark", "black")
    ]
    absorptances = [one.outer.absorptance for one in sections]
    assert absorptances == sorted(set(absorptances))
    assert all("no source" in "\n".join(one.defaults) for one in sections)


def test_outer_face_is_that_of_the_outermost_film_or_layer() -> None:
    """A foil facer on the outside gives the face its emittance; paint inside does not."""
    paint = {"film": "latex paint"}
    bare, foil = section(OSB, FOAM, paint), section(FOAM, OSB, paint)
    assert bare.outer.emittance == bare.layers[0].material.emittance
    facer = foil.parts[0]
    assert isinstance(facer, Film)
    assert foil.outer.emittance == facer.emittance
    assert foil.outer.emittance < 0.2 < bare.outer.emittance


def test_values_from_memory_are_listed_once_by_material() -> None:
    """Two layers of a material list its remembered values once; every line says how it is known."""
    one = section(OSB, FOAM, OSB, {"film": "latex paint"})
    assert len(one.from_memory) == len(set(one.from_memory))
    assert all(text.endswith(("(from memory)", "(estimate)")) for text in one.from_memory)
    assert any(text.startswith("OSB: ") and "storage" in text for text in one.from_memory)
    assert any(text.startswith("latex paint: vapor") for text in one.from_memory)
    published = {
        what
        for layer in one.layers
        for what, source in layer.material.sources.items()
        if source.quality in ("published", "handbook") and layer.material.name == "OSB"
    }
    listed = " ".join(text for text in one.from_memory if text.startswith("OSB: "))
    assert not any(what.replace("_", " ") in listed for what in published)


def test_a_variant_is_read_from_changed_data() -> None:
    """What was read keeps the file's own text, from which a variant is made and checked anew."""
    base = assembly_from_data({"layer": [OSB, GYPSUM]})
    thicker = {**base.data, "layer": [{**base.data["layer"][0], "thickness": "3/4 in"}, GYPSUM]}
    assert resolve(assembly_from_data(thicker)).layers[0].thickness == pytest.approx(0.75 * INCH)
    assert resolve(base).layers[0].thickness == pytest.approx(7 / 16 * INCH)


def test_an_assembly_cannot_be_changed() -> None:
    """What has been checked stays as it was checked."""
    one = assembly_from_data({"layer": [OSB]})
    with pytest.raises(Exception, match="frozen"):
        one.given.layer[0].id = "other"
    with pytest.raises(AttributeError, match="cannot assign"):
        one.file = "other"  # type: ignore[misc]


def test_json_schema_tells_an_editor_what_may_stand_in_a_file() -> None:
    """Text with units is a string there, words are enumerated, unknown keys are refused."""
    schema = json.loads(json.dumps(assembly_json_schema()))
    entries = schema["$defs"]
    assert schema["additionalProperties"] is False
    assert schema["required"] == ["layer"]
    assert entries["LayerEntry"]["properties"]["thickness"]["type"] == "string"
    assert entries["LayerEntry"]["required"] == ["material", "thickness"]
    assert set(entries["GapEntry"]["properties"]["gap"]["enum"]) == {
        "sealed",
        "drained",
        "vented",
        "ventilated",
    }
