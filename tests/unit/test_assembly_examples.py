"""The assembly files that come with the project say what their names promise."""

import tomllib
from pathlib import Path

import pytest

from moistwall.assembly import load_paths, load_section, load_stages, read_assembly
from moistwall.exposure import Spot
from moistwall.section import Film, Gap, Layer, Section

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = sorted(EXAMPLES.glob("*.toml"))
INCH = 0.0254


def section(name: str) -> Section:
    return load_section(EXAMPLES / f"heron-point-{name}.toml")


def names(one: Section) -> list[str]:
    return [part.name for part in one.parts]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_example_resolves(path: Path) -> None:
    """Every example becomes a section that says what keeps rain out and what was assumed."""
    one = load_section(path)
    assert one.water_control in names(one)
    assert one.seams in ("taped", "lapped")
    assert one.defaults
    assert one.from_memory
    assert "invented" in path.read_text(encoding="utf-8")


def test_there_are_examples_of_each_finish_with_and_without_foam() -> None:
    """Paint, vinyl and polyethylene stand side by side, with foam and without; and a roof."""
    stems = {path.stem.removeprefix("heron-point-") for path in FILES}
    finishes = {"", "-vinyl", "-polyethylene"}
    assert stems >= {f"wall{foam}{one}" for foam in ("", "-no-foam") for one in finishes} | {"roof"}


def test_wall_lists_its_parts_from_outside_to_inside() -> None:
    """Siding first, paint last; each sheet of foam lies between its own two facers."""
    assert names(section("wall")) == [
        "siding",
        "rainscreen gap",
        "outer foam outer facer",
        "outer foam",
        "outer foam inner facer",
        "inner foam outer facer",
        "inner foam",
        "inner foam inner facer",
        "sheathing outer facer",
        "sheathing",
        "cavity wool",
        "gypsum board",
        "inside finish",
    ]


def test_wall_thicknesses() -> None:
    """5/16, 1, 1, 7/16, 5 1/2 and 1/2 in of solid layers, 3/4 in of gap."""
    one = section("wall")
    solid = [layer.thickness / INCH for layer in one.layers]
    assert solid == pytest.approx([5 / 16, 1.0, 1.0, 7 / 16, 5.5, 0.5], rel=1e-12)
    (gap,) = one.gaps
    assert gap.depth / INCH == pytest.approx(0.75, rel=1e-12)
    assert gap.kind == "ventilated"


def test_wall_faces_south_and_keeps_rain_out_with_its_outer_foil() -> None:
    """The outermost part of the named board meets the rain: the outer foil of the outer sheet."""
    one = section("wall")
    assert (one.tilt, one.azimuth) == (90.0, 180.0)
    assert (one.water_control, one.seams) == ("outer foam outer facer", "taped")
    assert one.room_temperature == pytest.approx((75 - 32) / 1.8, rel=1e-12)
    assert one.room_rh == pytest.approx(0.5, rel=1e-12)


def test_facers_are_films_of_their_own() -> None:
    """Only what a board comes with is marked as a facer; foil is far less emissive than paint."""
    films = {part.name: part for part in section("wall").parts if isinstance(part, Film)}
    assert [name for name, film in films.items() if not film.facer] == ["inside finish"]
    foil = films["outer foam outer facer"].emittance
    assert foil is not None
    assert foil < 0.2
    assert films["outer foam outer facer"].permeance.max() < films["inside finish"].permeance.min()


def test_facers_do_not_grow_with_the_board(tmp_path: Path) -> None:
    """A 4 in sheet has the facers of a 1 in sheet: only its core is thicker."""
    text = (EXAMPLES / "heron-point-wall.toml").read_text(encoding="utf-8")
    thick = tmp_path / "thick.toml"
    thick.write_text(text.replace('thickness = "1 in"', 'thickness = "4 in"'), encoding="utf-8")
    films = [
        [part.permeance.tolist() for part in one.parts if isinstance(part, Film)]
        for one in (section("wall"), load_section(thick))
    ]
    assert films[0] == films[1]
    assert load_section(thick).layers[1].thickness == pytest.approx(4 * INCH, rel=1e-12)


@pytest.mark.parametrize("foam", ["", "-no-foam"])
@pytest.mark.parametrize(
    ("variant", "film"), [("-vinyl", "vinyl wallcovering"), ("-polyethylene", "polyethylene")]
)
def test_variants_differ_from_their_wall_in_one_thing(foam: str, variant: str, film: str) -> None:
    """Vinyl replaces the paint, polyethylene comes behind the gypsum; nothing else changes."""
    base, other = (
        read_assembly(EXAMPLES / f"heron-point-wall{foam}{one}.toml").data for one in ("", variant)
    )
    assert {**base, "name": "", "layer": []} == {**other, "name": "", "layer": []}
    if variant == "-vinyl":
        assert other["layer"][:-1] == base["layer"][:-1]
        assert other["layer"][-1]["film"] == film
    else:
        assert [one for one in other["layer"] if one.get("film") != film] == base["layer"]
        place = next(k for k, one in enumerate(other["layer"]) if one.get("film") == film)
        assert other["layer"][place - 1]["material"] == "mineral wool"
        assert other["layer"][place + 1]["material"] == "gypsum board"


def test_without_foam_the_coating_keeps_the_rain_out() -> None:
    """The wall without foam is the wall less its two sheets, and its coating meets the rain."""
    with_foam, without = section("wall"), section("wall-no-foam")
    assert names(without) == [one for one in names(with_foam) if "foam" not in one]
    assert without.water_control == "sheathing outer facer"


def test_roof_has_its_insulation_above_the_deck() -> None:
    """Steel, ventilated gap, foam, membrane, plywood, boards; 2 in 12, so 9.46 deg."""
    one = section("roof")
    assert isinstance(one.parts[0], Layer)
    assert isinstance(one.parts[1], Gap)
    order = names(one)
    assert order.index("inner foam") < order.index("deck membrane") < order.index("deck")
    assert one.water_control == "deck membrane"
    assert one.tilt == pytest.approx(9.4623, abs=1e-4)
    assert one.outer.absorptance < section("wall").outer.absorptance


def test_loads_are_on_only_where_an_example_has_their_tables() -> None:
    """The walls without loads stay without; each of the others has what it is about."""
    plain = {path.stem for path in FILES} - {
        f"heron-point-{name}"
        for name in (
            "attic",
            "roof-over",
            "wall-all-loads",
            "wall-blower-door",
            "wall-brick",
            "wall-leak-behind-foam",
            "wall-panel",
            "wall-steel-band",
            "wall-stucco",
            "wall-wood-siding",
        )
    }
    for path in FILES:
        one = load_section(path)
        loaded = one.exposure.rain is not None or one.exposure.leakage is not None
        assert loaded == (path.stem not in plain), path.stem


def test_steel_band_stands_on_the_screened_gap_of_the_siding_above() -> None:
    """Same gap and same openings as the wall with fiber cement; steel outside, all the runoff."""
    band, above = section("wall-steel-band"), section("wall-leak-behind-foam")
    assert band.gaps == above.gaps
    assert band.layers[0].material.name == "steel sheet"
    assert band.exposure.rain is not None
    assert band.exposure.rain.deposition_factor == 1.0


def test_level_furring_of_the_wood_siding_has_no_rise() -> None:
    """Air behind upright boards runs level."""
    (gap,) = section("wall-wood-siding").gaps
    assert gap.openings is not None
    assert gap.openings.rise == 0.0


def test_rain_gets_through_stucco_to_its_back() -> None:
    """Stucco lies on the felt without a gap: what gets through stays outside of the felt."""
    one = section("wall-stucco")
    assert one.gaps == ()
    assert one.exposure.rain_leaks[0].spot == Spot("stucco", "inner")


def test_weeps_of_the_brick_resist_more_than_slots() -> None:
    """A head joint every two feet opens 1 mm of each width: a few thousandths of the slots' flow."""
    (weeps,), (slots,) = section("wall-brick").gaps, section("wall-steel-band").gaps
    assert weeps.openings is not None
    assert slots.openings is not None
    assert weeps.openings.loss > 50.0 * slots.openings.loss


def test_attic_is_a_deep_gap_below_the_deck() -> None:
    """30 in on average, vents by area, ridge 5 ft above the eaves; 5 in 12 is 22.6 deg."""
    one = section("attic")
    (attic,) = one.gaps
    assert attic.depth == pytest.approx(30 * INCH)
    assert attic.openings is not None
    assert attic.openings.rise == pytest.approx(60 * INCH)
    assert one.tilt == pytest.approx(22.6199, abs=1e-4)
    assert one.exposure.rain_leaks == ()


def test_over_roof_is_the_roof_with_openings_and_rain() -> None:
    """It differs from the roof in its gap, the building and the rain alone."""
    over, roof = (
        read_assembly(EXAMPLES / f"heron-point-{one}.toml").data for one in ("roof-over", "roof")
    )
    keys = ("inlet", "outlet", "screen_free_area", "length", "furring")
    layers = [{k: v for k, v in one.items() if k not in keys} for one in over["layer"]]
    assert layers == roof["layer"]
    assert set(over) - set(roof) == {"building", "rain"}


def test_blower_door_series_falls_from_stage_to_stage() -> None:
    """7, 4.5 and 2.8 air changes at 50 Pa; the fan draws the same at each."""
    stages = load_stages(EXAMPLES / "heron-point-wall-blower-door.toml")
    assert [label for label, _ in stages] == ["as built", "sheathing taped", "roof line sealed"]
    leaks = [one.exposure.leakage for _, one in stages]
    flows = [leak.flow_50 for leak in leaks if leak is not None]
    assert [flow / flows[0] * 7.0 for flow in flows] == pytest.approx([7.0, 4.5, 2.8])
    assert len({leak.exhaust for leak in leaks if leak is not None}) == 1


def test_leaks_behind_the_foam_land_on_the_sheathing() -> None:
    """What gets behind taped foam, by rain or by storm, lies on the outer face of the sheathing."""
    exposure = section("wall-leak-behind-foam").exposure
    assert exposure.rain_leaks[0].spot == Spot("outer foam", "outer")
    assert {exposure.rain_leaks[1].spot, exposure.pours[0].spot} == {Spot("sheathing", "outer")}


def test_all_loads_are_on_the_wall_of_the_main_example() -> None:
    """Layers and room are the main example's; every load is there, and a path through studs."""
    all_loads, main = (
        read_assembly(EXAMPLES / f"heron-point-{one}.toml").data
        for one in ("wall-all-loads", "wall")
    )
    assert all_loads["room"] == main["room"]
    assert [one.get("material") for one in all_loads["layer"]] == [
        one.get("material") for one in main["layer"]
    ]
    clear, framed = load_paths(EXAMPLES / "heron-point-wall-all-loads.toml")
    exposure = clear.exposure
    assert all((exposure.rain, exposure.rain_leaks, exposure.pours, exposure.leakage))
    assert [one.kind for one in exposure.cooling_off] == ["cooling off", "shut"]
    assert clear.gaps[0].openings is not None
    assert framed.framing is not None
    wet = {one.name for one in framed.layers if one.initial_content is not None}
    assert wet == {"sheathing", "studs"}


def test_examples_give_every_dimension_with_its_unit() -> None:
    """No example holds a bare number."""

    def values(table: object) -> list[object]:
        if isinstance(table, dict):
            return [one for value in table.values() for one in values(value)]
        if isinstance(table, list):
            return [one for value in table for one in values(value)]
        return [table]

    for path in FILES:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        assert all(isinstance(value, str) for value in values(table)), path.name
