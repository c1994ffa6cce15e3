"""Ways out of the layers that moisture harms: series by hand, where they end, the double barrier."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from driven import PERM, coat, plain_material
from heron_point import example

from moistwall.assess.code_rows import ROWS, code_rows, kind_of_section
from moistwall.assess.drying_paths import (
    DryingPaths,
    drying_paths,
    flushing,
    is_sensitive,
    part_resistance,
)
from moistwall.exposure import Openings
from moistwall.library import find_entry, find_material
from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Film, Gap, Layer, Part, Section

VENTILATED = Gap("gap", 0.019, "ventilated", 5.0, 110.0)


def layer(name: str, perms: float, *, kind: str = "foam", mold: str = "") -> Layer:
    """A centimeter of something with this permeance [perm]."""
    material = plain_material(
        name, storage_of_pore_air(0.9, 1.0), permeability=PERM * perms * 0.01, mold_class=mold
    )
    return Layer(name, replace(material, kind=kind), 0.01)


BOARD = layer("board", 2.0, kind="sheathing")


def of(*parts: Part) -> DryingPaths:
    """Ways out of the only layer that is sensitive."""
    (found,) = drying_paths(Section("section", parts))
    return found


def test_resistances_add_up() -> None:
    """Outward 1 / (1/0.5 + 1/2) = 0.4 perm, inward 1 / (1/20 + 1/5) = 4 perm, the board's own 2 aside."""
    found = of(
        layer("cladding", 2.0),
        coat("sheet", PERM * 0.5),
        BOARD,
        layer("wool", 20.0),
        coat("paint", PERM * 5.0),
    )
    assert found.outward.permeance == pytest.approx(0.4 * PERM, rel=1e-12)
    assert found.inward.permeance == pytest.approx(4.0 * PERM, rel=1e-12)
    assert found.own_permeance == pytest.approx(2.0 * PERM, rel=1e-12)
    assert found.outward.parts == ("sheet", "cladding")
    assert (found.outward.to, found.inward.to) == ("outdoor air", "room air")
    assert (found.outward.tightest, found.inward.tightest) == ("sheet", "paint")
    assert (found.outward.vapor_class, found.inward.vapor_class) == ("II", "III")
    assert found.ways == "inward only"


@pytest.mark.parametrize(
    ("outward", "inward", "ways", "near"),
    [
        (0.05, 5.0, "inward only", False),
        (5.0, 0.05, "outward only", False),
        (5.0, 5.0, "both ways", False),
        (0.05, 0.5, "neither way", False),
        (0.99, 0.99, "neither way", True),
        (1.01, 0.05, "outward only", True),
        (0.79, 0.05, "neither way", False),
    ],
)
def test_double_barrier(outward: float, inward: float, ways: str, near: bool) -> None:
    """Under 1 perm on both sides a layer cannot dry; within a factor of 1.25 that is said to be near."""
    found = of(coat("out", PERM * outward), BOARD, coat("in", PERM * inward))
    assert found.ways == ways
    assert found.cannot_dry == (ways == "neither way")
    assert found.near == near


def test_way_ends_at_the_first_ventilated_gap() -> None:
    """What lies beyond a ventilated gap does not hold vapor back, on either side."""
    tight = layer("steel", 0.001)
    found = of(tight, VENTILATED, coat("wrap", PERM * 20.0), BOARD)
    assert found.outward.to == "gap"
    assert found.outward.permeance == pytest.approx(20.0 * PERM, rel=1e-12)
    assert found.inward.permeance is None
    assert found.inward.vapor_class == "open"
    attic = of(tight, BOARD, VENTILATED, layer("wool", 0.5))
    assert (attic.inward.to, attic.inward.permeance) == ("gap", None)
    assert attic.ways == "inward only"


def test_gap_beside_the_layer_leaves_nothing_between() -> None:
    """A layer that borders the ventilated gap is open to it."""
    found = of(layer("siding", 1.0), VENTILATED, BOARD, layer("lining", 0.1))
    assert found.outward.permeance is None
    assert found.outward.dries
    assert found.ways == "outward only"


def test_stated_air_of_a_vented_gap_is_a_way_beside_its_cladding() -> None:
    """19 mm at 10 air changes amounts to 6.7 perm at 25 degC, beside a cladding of 0.1 (computed)."""
    gap = Gap("gap", 0.019, "vented", 5.0, 10.0)
    assert flushing(gap) / PERM == pytest.approx(6.7, abs=0.05)
    found = of(layer("siding", 0.1), gap, BOARD, layer("lining", 0.1))
    air = part_resistance(gap)
    beyond = 1.0 / (0.1 * PERM + flushing(gap))
    assert found.outward.permeance == pytest.approx(1.0 / (beyond + air), rel=1e-12)
    closed = of(layer("siding", 0.1), replace(gap, air_changes=0.0), BOARD)
    assert closed.outward.permeance == pytest.approx(1.0 / (1.0 / (0.1 * PERM) + air), rel=1e-12)


@pytest.mark.parametrize(("rate", "perms"), [(10.0, 6.7), (100.0, 66.8), (500.0, 334.0)])
def test_gap_as_permeance(rate: float, perms: float) -> None:
    """A gap of 19 mm at 25 degC is d n / (3600 R_v T): 6.7, 66.8, 334 perm (computed)."""
    assert flushing(Gap("gap", 0.019, "vented", 5.0, rate)) / PERM == pytest.approx(perms, rel=0.01)


def test_hourly_and_unknown_air_of_a_gap() -> None:
    """Hourly rates count by their mean; of openings, whose air depends on the weather, nothing is counted."""
    hourly = Gap("gap", 0.019, "vented", 5.0, np.tile([5.0, 15.0], 4380))
    assert flushing(hourly) == pytest.approx(flushing(Gap("gap", 0.019, "vented", 5.0, 10.0)))
    openings = Openings(2.4, 2.4, 3.0, 0.1, 0.1)
    assert flushing(Gap("gap", 0.019, "vented", 5.0, 10.0, openings)) == 0.0


def test_wet_cup_is_what_counts() -> None:
    """Permeances are those at 75 %: OSB of 7/16 in has 2 perm there, 0.75 at dry cup (library)."""
    osb = Layer("osb", find_material("OSB"), 7 / 16 * 0.0254)
    assert 1.0 / part_resistance(osb) == pytest.approx(2.0 * PERM, rel=1e-6)
    sheet = Film("adaptive", np.array([0.25, 0.75]), PERM * np.array([1.0, 12.0]))
    assert 1.0 / part_resistance(sheet) == pytest.approx(12.0 * PERM, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "sensitive"),
    [
        ("OSB", True),
        ("plywood", True),
        ("spruce", True),
        ("gypsum board", True),
        ("western red cedar", True),
        ("XPS", False),
        ("mineral wool batt", False),
        ("fiber cement", False),
        ("steel sheet", False),
        ("clay brick", False),
    ],
)
def test_what_moisture_harms(name: str, sensitive: bool) -> None:
    """Wood, panels and paper-faced board are looked at; foam, wool, metal and masonry are not."""
    assert is_sensitive(find_material(name)) == sensitive


def test_faced_boards_keep_their_facers() -> None:
    """A layer's own facers lie between it and the air, since they hold its water in."""
    board = find_entry("integrated-coated sheathing")
    film = board.outside  # type: ignore[union-attr]
    facer = Film("coat", film.rh, film.permeance, facer=True)
    found = of(facer, BOARD)
    assert found.outward.tightest == "coat"
    assert found.outward.permeance == pytest.approx(1.0 / part_resistance(facer), rel=1e-12)


def test_examples() -> None:
    """Foil foam lets the sheathing dry inward only; with vinyl or polyethylene inside it cannot dry at all."""
    ways = {
        name: {row.layer: row.ways for row in drying_paths(example(name))}["sheathing"]
        for name in ("wall", "wall-no-foam", "wall-vinyl", "wall-polyethylene")
    }
    assert ways == {
        "wall": "inward only",
        "wall-no-foam": "both ways",
        "wall-vinyl": "neither way",
        "wall-polyethylene": "neither way",
    }


def test_foil_foam_closes_the_outside() -> None:
    """Two sheets with a foil on each face pass under 0.1 perm, class I (foil about 0.03 perm a sheet)."""
    (sheathing, _) = drying_paths(example("wall"))
    assert sheathing.outward.vapor_class == "I"
    assert sheathing.outward.to == "rainscreen gap"


def test_code_rows_name_their_edition() -> None:
    """Every row has a code with its year, zones and whether it is from memory; every kind of section has some."""
    for row in ROWS:
        assert row.edition.startswith("2021 I")
        assert row.zones
        assert row.says
    for tilt, kind in ((0.0, "roof"), (90.0, "wall"), (180.0, "floor")):
        assert kind_of_section(tilt) == kind
        assert code_rows(kind)
    seen = [row for row in ROWS if not row.from_memory and row.subject == "vapor retarder"]
    assert [row.zones for row in seen] == ["1A"]
