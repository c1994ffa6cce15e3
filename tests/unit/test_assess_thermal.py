"""Resistances, studs, gaps, fasteners and daily waves against hand sums and the standards' own numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from driven import plain_material
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from moistwall.assembly import load_paths
from moistwall.assess.air_spaces import (
    Surfaces,
    airspace_resistance,
    heat_direction,
    standard_surfaces,
)
from moistwall.assess.daily_wave import DAY, daily_wave, layer_matrix, resistance_matrix
from moistwall.assess.fasteners import Fasteners
from moistwall.assess.thermal import (
    first_inside,
    part_resistances,
    thermal,
    total_resistance,
)
from moistwall.errors import AssemblyError, InputError
from moistwall.exposure import Framing
from moistwall.library import data_folder
from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Gap, Layer, Part, Section

Array = NDArray[np.float64]

R_UNIT = 0.17611
"""h ft2 degF/Btu in m2 K/W."""


def layer(name: str, resistance: float, *, thickness: float = 0.1, kind: str = "foam") -> Layer:
    """A layer with a given resistance [m2 K/W] that holds heat as water-free board does."""
    storage = storage_of_pore_air(0.9, 1.0)
    made = plain_material(name, storage, conductivity=thickness / resistance)
    return Layer(name, replace(made, kind=kind), thickness)


def wall(*parts: Part, **changes: object) -> Section:
    """A wall of these parts."""
    return Section("wall", parts, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("depth", "resistance"),
    [(0.005, 0.11), (0.007, 0.13), (0.010, 0.15), (0.015, 0.17), (0.025, 0.18), (0.300, 0.18)],
)
def test_unventilated_airspaces(depth: float, resistance: float) -> None:
    """Airspaces with emittance 0.9 and horizontal heat flow are those of ISO 6946 table 8 (from memory)."""
    assert airspace_resistance(depth, 0.9, 0.9, "horizontal") == pytest.approx(
        resistance, abs=0.005
    )


@pytest.mark.parametrize(
    ("direction", "depth", "resistance"),
    [("up", 0.025, 0.16), ("up", 0.3, 0.16), ("down", 0.050, 0.21), ("down", 0.3, 0.23)],
)
def test_airspaces_of_roofs_and_floors(direction: str, depth: float, resistance: float) -> None:
    """The same table for heat that flows up and down (from memory, within 0.01)."""
    found = airspace_resistance(depth, 0.9, 0.9, direction)  # type: ignore[arg-type]
    assert found == pytest.approx(resistance, abs=0.01)


def test_reflective_airspace() -> None:
    """A foil (0.05) across a 3/4 in airspace at 75 degF gives R-2.5 to R-3.6, ordinary faces R-0.9 to R-1.0.

    ASHRAE Fundamentals ch. 26, 0.75 to 3.5 in, effective emittances 0.05 and 0.82, from memory: within 5 %.
    """
    foil = airspace_resistance(0.02, 0.05, 0.95, "horizontal", 24.0) / R_UNIT
    plain = airspace_resistance(0.02, 0.9, 0.9, "horizontal", 24.0) / R_UNIT
    assert 2.5 / 1.05 <= foil <= 3.6 * 1.05
    assert 0.9 / 1.05 <= plain <= 1.0 * 1.05


def test_surfaces_by_direction() -> None:
    """0.13, 0.10 and 0.17 inside, 0.04 outside, and heat comes down through a roof (ISO 6946, from memory)."""
    found = {
        heat_direction(wall(layer("a", 1.0), tilt=tilt)): standard_surfaces(
            heat_direction(wall(layer("a", 1.0), tilt=tilt))
        )
        for tilt in (0.0, 90.0, 180.0)
    }
    assert {name: one.inside for name, one in found.items()} == {
        "down": 0.17,
        "horizontal": 0.13,
        "up": 0.10,
    }
    assert {one.outside for one in found.values()} == {0.04}


def test_clear_wall_is_a_sum() -> None:
    """Without gaps or studs every resistance is the sum of the layers and the two surfaces."""
    found = thermal([wall(layer("a", 0.5), layer("b", 3.0))])
    assert found.clear == pytest.approx(0.04 + 0.5 + 3.0 + 0.13, rel=1e-12)
    assert (found.upper, found.lower, found.combined) == (found.clear,) * 3
    assert found.combined_error == 0.0
    assert found.transmittance == pytest.approx(1.0 / found.clear, rel=1e-12)


def test_label_counts_insulation_alone() -> None:
    """The sum of labels leaves out what conducts as boards do, and what is outside of an open gap."""
    gap = Gap("gap", 0.02, "ventilated", 3.0, 100.0)
    parts = (layer("out", 2.0), gap, layer("foam", 2.0), layer("board", 0.1))
    found = thermal([wall(*parts)])
    assert found.labelled_parts == ("foam",)
    assert found.labelled == pytest.approx(2.0, rel=1e-12)
    assert found.left_out == ("out", "gap")


def test_well_ventilated_gap() -> None:
    """What lies outside of a ventilated gap does not count, and its face has still air: 0.13 for 0.04."""
    gap = Gap("gap", 0.02, "ventilated", 3.0, 100.0)
    found = thermal([wall(layer("siding", 0.3), gap, layer("foam", 2.0))])
    assert found.clear == pytest.approx(0.13 + 2.0 + 0.13, rel=1e-12)


@pytest.mark.parametrize(("kind", "share"), [("sealed", 0.0), ("drained", 0.0), ("vented", 0.5)])
def test_other_gaps(kind: str, share: float) -> None:
    """A gap that is not ventilated counts in full, one with a single opening for the half of it."""
    gap = Gap("gap", 0.025, kind, 3.0)  # type: ignore[arg-type]
    section = wall(layer("siding", 0.3), gap, layer("foam", 2.0))
    still = airspace_resistance(0.025, 0.9, 0.9, "horizontal")
    closed, opened = 0.04 + 0.3 + still + 2.0 + 0.13, 0.13 + 2.0 + 0.13
    assert thermal([section]).clear == pytest.approx(
        (1.0 - share) * closed + share * opened, rel=1e-12
    )


def test_innermost_open_gap_decides() -> None:
    """Of two ventilated gaps the inner one is where the section begins."""
    parts = (
        layer("a", 1.0),
        Gap("one", 0.02, "ventilated", 3.0, 100.0),
        layer("b", 1.0),
        Gap("two", 0.02, "ventilated", 3.0, 100.0),
        layer("c", 1.0),
    )
    section = wall(*parts)
    assert first_inside(section) == 4
    found = total_resistance(section, part_resistances(section), standard_surfaces("horizontal"))
    assert found == pytest.approx(1.26, rel=1e-12)


def framed(cavity: float, stud: float, share: float, *around: Layer) -> list[Section]:
    """Both paths of a wall whose cavity layer is interrupted by studs."""
    clear = wall(*around, layer("cavity", cavity))
    lumber = wall(*around, layer("studs", stud), framing=Framing("cavity", "spruce", share))
    return [clear, lumber]


def test_combined_method_by_hand() -> None:
    """ISO 6946: R 3.0 interrupted by 1.0 over 20 %, with R 0.4 before it.

    upper: paths 3.57 and 1.57, 1 / (0.8/3.57 + 0.2/1.57) = 2.845127
    lower: 0.57 + 1 / (0.8/3 + 0.2/1) = 0.57 + 2.142857 = 2.712857
    mean 2.778992, error (2.845127 - 2.712857) / (2 2.778992) = 2.38 %
    """
    found = thermal(framed(3.0, 1.0, 0.2, layer("board", 0.4)))
    assert found.upper == pytest.approx(2.845127, abs=1e-6)
    assert found.lower == pytest.approx(2.712857, abs=1e-6)
    assert found.combined == pytest.approx(2.778992, abs=1e-5)
    assert found.combined_error == pytest.approx(0.0238, abs=5e-5)
    assert found.within_method
    assert (found.clear, found.stud) == (pytest.approx(3.57), pytest.approx(1.57))


def test_limits_hold_the_truth() -> None:
    """Heat computed in two dimensions through cavity and stud lies between the two limits.

    Ten columns, two of them stud, behind a board that spreads heat: a network of resistances, solved.
    """
    board, cavity, stud, share = 0.4, 3.0, 1.0, 0.2
    found = thermal(framed(cavity, stud, share, layer("board", board)))
    for sideways in (1e-6, 1.0, 1e6):
        n = 10
        core = np.where(np.arange(n) < share * n, stud, cavity)
        outer, inner = 1.0 / (0.04 + board / 2), 1.0 / (core + 0.13)
        between = 1.0 / (board / 2)
        # two rows of unknowns: middle of the board (joined sideways) and its inner face
        matrix, right = np.zeros((2 * n, 2 * n)), np.zeros(2 * n)
        for k in range(n):
            for one, other, value in (
                (k, None, outer),
                (k, n + k, between),
                (n + k, None, inner[k]),
                (k, (k + 1) % n, sideways),
                (n + k, n + (k + 1) % n, sideways),
            ):
                matrix[one, one] += value
                if other is not None:
                    matrix[other, other] += value
                    matrix[one, other] -= value
                    matrix[other, one] -= value
            right[k] += outer * 1.0
        t = np.linalg.solve(matrix, right)
        u = float(np.mean(inner * t[n:]))
        assert 1.0 / found.upper * (1 - 1e-6) <= u <= 1.0 / found.lower * (1 + 1e-6)


def test_method_says_where_it_ends() -> None:
    """Studs as of steel put the limits further apart than 1.5, which is told."""
    found = thermal(framed(3.0, 0.003, 0.01, layer("board", 0.4)))
    assert found.upper / found.lower > 1.5
    assert not found.within_method


def test_fasteners_by_hand() -> None:
    """ISO 6946 annex: 0.8 50 2e-5 / 0.2 / 0.05 (1.5/2.17)^2 = 0.03823 W/(m2 K).

    One screw of 20 mm2 for each 0.2 m2, through 50 mm of foam with R 1.5 of 2.17 in all.
    """
    section = wall(layer("foam", 1.5, thickness=0.05), layer("board", 0.5, kind="lining"))
    found = thermal([section], Fasteners(0.2, 2e-5))
    assert found.fastener_transmittance == pytest.approx(0.03823, abs=1e-5)
    assert found.transmittance == pytest.approx(1.0 / 2.17 + 0.03823, abs=1e-5)


def test_two_sheets_of_foam_are_one() -> None:
    """Screws through two sheets add what they add through one of the same thickness."""
    one = wall(layer("foam", 3.0, thickness=0.1), layer("board", 0.5, kind="lining"))
    sheets = [layer(name, 1.5, thickness=0.05) for name in ("a", "b")]
    two = wall(*sheets, layer("board", 0.5, kind="lining"))
    screws = Fasteners(0.2, 2e-5)
    assert thermal([two], screws).fastener_transmittance == pytest.approx(
        thermal([one], screws).fastener_transmittance, rel=1e-12
    )


def test_fasteners_need_foam_and_sense() -> None:
    """No foam, no metal or metal all over: refused in words."""
    with pytest.raises(AssemblyError, match="no foam"):
        thermal([wall(layer("board", 0.5, kind="lining"))], Fasteners(0.2, 2e-5))
    with pytest.raises(InputError, match=r"cross_section: must be a finite number above 0"):
        Fasteners(0.2, 0.0)
    with pytest.raises(InputError, match="would cover the wall"):
        Fasteners(2e-5, 2e-5)


def test_foam_inside_of_the_studs_has_no_such_fasteners() -> None:
    """Screws through the exterior foam leave foam on the room side alone."""
    outer, inner = layer("outer", 1.5, thickness=0.05), layer("inner", 1.5, thickness=0.05)
    cavity, studs = layer("cavity", 3.0, kind="wool"), layer("studs", 1.0, kind="lumber")
    screws = Fasteners(0.2, 2e-5)
    paths = [
        wall(outer, cavity, inner),
        wall(outer, studs, inner, framing=Framing("cavity", "spruce", 0.2)),
    ]
    found = thermal(paths, screws)
    by_hand = 0.8 * 50.0 * 2e-5 / 0.2 / 0.05 * (1.5 / found.combined) ** 2
    assert found.fastener_transmittance == pytest.approx(by_hand, rel=1e-12)


def test_example_with_studs() -> None:
    """The example's limits lie between its two paths, and its facers do not keep them from pairing."""
    found = thermal(load_paths(data_folder("examples") / "heron-point-wall-all-loads.toml"))
    assert found.stud is not None
    assert found.stud < found.lower < found.combined < found.upper < found.clear
    assert found.stud_share == 0.25


def test_wave_through_nothing_that_stores() -> None:
    """Without storage the wave comes through whole and at once."""
    wave = daily_wave([resistance_matrix(0.5), resistance_matrix(1.5)], 0.5)
    assert wave.decrement == pytest.approx(1.0, rel=1e-12)
    assert wave.lag == pytest.approx(0.0, abs=1e-9)


def test_wave_through_a_thick_layer() -> None:
    """Deep in concrete a wave falls by exp(-d/delta) and is late by d/delta / omega (half space).

    delta = sqrt(2 k / (rho c omega)), Carslaw and Jaeger, Conduction of Heat in Solids, 2.6.
    """
    omega = 2.0 * np.pi / DAY
    depth = np.sqrt(2.0 * 1.8 / (2400.0 * 1000.0 * omega))

    def wave(thickness: float) -> tuple[float, float]:
        found = daily_wave([layer_matrix(thickness, 1.8, 2.4e6, omega)], 1.8 / thickness)
        return found.periodic_transmittance, found.lag

    (near, early), (far, late) = wave(1.0), wave(1.3)
    assert far / near == pytest.approx(np.exp(-0.3 / depth), rel=1e-3)
    assert (late - early) % 24.0 == pytest.approx(0.3 / depth / omega / 3600.0, rel=1e-3)


def test_wave_against_a_chain_of_cells_in_time() -> None:
    """A wall cut into cells and followed in time to its daily rhythm has the same decrement and lag."""
    board, foam = layer("board", 0.1, thickness=0.05), layer("foam", 1.5, thickness=0.05)
    found = thermal([wall(board, foam, replace(board, name="inner board"))])
    omega, n = 2.0 * np.pi / DAY, 30
    sizes, conductance, heat = [], [], []
    for part in (board, foam, board):
        material = part.material
        sizes += [part.thickness / n] * n
        conductance += [float(material.conductivity[0])] * n
        heat += [material.density * material.heat_capacity] * n
    dx, k, c = (np.array(values) for values in (sizes, conductance, heat))
    half = 0.5 * dx / k
    faces = 1.0 / np.concatenate(([0.04 + half[0]], half[:-1] + half[1:], [half[-1] + 0.13]))

    inward = np.diag(-(faces[:-1] + faces[1:])) + np.diag(faces[1:-1], 1) + np.diag(faces[1:-1], -1)
    matrix = inward / (c * dx)[:, None]
    driven = np.zeros(dx.size)
    driven[0] = faces[0] / (c * dx)[0]

    def slope(time: float, t: Array) -> Array:
        return matrix @ t + driven * np.cos(omega * time)

    day = np.linspace(5.0 * DAY, 6.0 * DAY, 289)[:-1]
    path = solve_ivp(
        slope, (0.0, 6.0 * DAY), driven * 0.0, "BDF", day, jac=matrix, rtol=1e-7, atol=1e-9
    )
    flow = faces[-1] * path.y[-1]
    first = 2.0 * np.mean(flow * np.exp(-1j * omega * day))
    assert found.wave.decrement == pytest.approx(abs(first) * found.clear, rel=1e-3)
    assert found.wave.lag == pytest.approx(-np.angle(first) / omega / 3600.0, rel=1e-3)


def test_inner_capacity_of_a_thick_layer() -> None:
    """Behind a thick bare layer the room sees the half space: sqrt(k rho c / omega) per swing.

    Heat taken up is the integral of a flow with amplitude sqrt(omega k rho c): over omega.
    """
    omega = 2.0 * np.pi / DAY
    found = daily_wave([layer_matrix(2.0, 1.8, 2.4e6, omega)], 0.9)
    assert found.inner_capacity == pytest.approx(np.sqrt(1.8 * 2.4e6 / omega), rel=1e-4)


def test_other_surfaces() -> None:
    """Given films take the place of the standard's: 0.17 and 0.68 h ft2 degF/Btu outside and inside."""
    films = Surfaces(0.68 * R_UNIT, 0.17 * R_UNIT, 0.68 * R_UNIT, "ASHRAE Fundamentals, winter")
    found = thermal([wall(layer("a", 2.0))], surfaces=films)
    assert found.clear == pytest.approx(2.0 + 0.85 * R_UNIT, rel=1e-12)
