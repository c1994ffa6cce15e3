"""Cells and faces of a section, and the names that belong to them."""

from __future__ import annotations

import numpy as np
import pytest

from moistwall.assembly import load_section
from moistwall.library import data_folder, find_film, find_material
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.grid import FIRST_CELL, THICKEST_CELL, build_grid, graded_widths
from moistwall.solver.kernel.layout import END, GAP, JOINT, WITHIN
from moistwall.solver.lanes import join_lanes


@pytest.fixture(scope="module")
def section() -> Section:
    """Siding, gap, membrane, sheathing, paint."""
    wrap = find_film("housewrap")
    paint = find_film("latex paint")
    return Section(
        "small wall",
        (
            Layer("siding", find_material("fiber cement"), 0.008),
            Gap("gap", 0.019, "ventilated", 5.0, 100.0),
            Film("wrap", wrap.rh, wrap.permeance),
            Layer("sheathing", find_material("OSB"), 0.011),
            Film("paint", paint.rh, paint.permeance),
        ),
    )


@pytest.mark.parametrize("thickness", [5e-5, 6e-4, 0.008, 0.0127, 0.14, 1.0])
def test_widths_add_up_mirror_and_grow_slowly(thickness: float) -> None:
    """Widths add up to the layer, are symmetrical, start as asked and never grow past the largest."""
    widths = graded_widths(thickness, FIRST_CELL)
    assert widths.sum() == pytest.approx(thickness, rel=1e-12)
    assert np.allclose(widths, widths[::-1])
    assert widths[0] <= FIRST_CELL * 1.0001
    assert widths.max() <= THICKEST_CELL * 1.0001
    ratio = widths[1:] / widths[:-1]
    assert ratio.max() < 1.45


def test_faces_follow_the_section(section: Section) -> None:
    """Ends, joints and gap stand where the section has them, and every face within a layer between."""
    grid = build_grid(section)
    kinds = grid.topology.face_kind
    special = kinds[kinds != WITHIN].tolist()
    assert special == [END, JOINT, JOINT, GAP, JOINT, JOINT, END]
    assert grid.is_skin.sum() == 4
    assert kinds.size == grid.n_cells + 1


def test_film_resistances_stand_at_their_joints(section: Section) -> None:
    """The membrane and the paint are found at the joints where they lie, as 1 / permeance."""
    grid = build_grid(section)
    curves = grid.faces.film_resistance[:, :, 0]
    assert [bool(curve[0] > 0) for curve in curves] == [
        False,
        False,
        False,
        False,
        True,
        True,
        False,
    ]
    wrap = find_film("housewrap")
    dry = 1.0 / np.interp(0.25, wrap.rh, wrap.permeance)
    assert curves[4][16] == pytest.approx(dry)


def test_sides_are_named_from_outside_to_inside(section: Section) -> None:
    """A bare surface is one place, one behind a film is two, and depths never fall."""
    places = [(side.name, side.side, side.skin >= 0) for side in build_grid(section).sides]
    assert places == [
        ("outdoor air | siding", "a", True),
        ("siding | gap", "b", True),
        ("gap | wrap | sheathing", "a", True),
        ("gap | wrap | sheathing", "b", False),
        ("sheathing | paint | room air", "a", False),
        ("sheathing | paint | room air", "b", True),
    ]
    depth = [side.position for side in build_grid(section).sides]
    assert depth == sorted(depth)


def test_refinement_keeps_thickness_and_faces(section: Section) -> None:
    """Splitting every cell changes neither thickness nor special faces."""
    coarse, fine = build_grid(section), build_grid(section, refine=3)
    for grid in (coarse, fine):
        width = grid.cells.width[:, 0]
        assert width[~grid.is_skin].sum() == pytest.approx(0.019)
    assert (~fine.is_skin).sum() == 3 * (~coarse.is_skin).sum()
    assert fine.topology.special_face.size == coarse.topology.special_face.size


def test_given_widths_are_taken(section: Section) -> None:
    """A caller's own cells replace the default ones of that layer only."""
    own = np.array([0.002, 0.004, 0.005])
    grid = build_grid(section, widths={"sheathing": own})
    names = [section.parts[k].name for k in grid.part_cell]
    mine = np.array([name == "sheathing" for name in names]) & ~grid.is_skin
    assert np.allclose(grid.cells.width[mine, 0], own)


def test_emittance_of_a_gap_is_that_of_its_two_faces(section: Section) -> None:
    """Two faces of emittance 0.9 exchange as 1 / (1/0.9 + 1/0.9 - 1); a foil face takes it down."""
    grid = build_grid(section)
    assert grid.faces.gap_emittance[3, 0] == pytest.approx(1 / (2 / 0.9 - 1))
    foil = load_section(data_folder("examples") / "heron-point-wall.toml")
    grid = build_grid(foil)
    assert grid.faces.gap_emittance[grid.gap_special[0], 0] < 0.1


def test_lanes_of_another_topology_are_refused(section: Section) -> None:
    """Sections side by side must have the same sequence of cells and faces."""
    other = Section("one layer", (Layer("board", find_material("OSB"), 0.011),))
    with pytest.raises(ValueError, match="same sequence"):
        join_lanes([build_grid(section), build_grid(other)])
