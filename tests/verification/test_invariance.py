"""What must not change an answer: reference temperature, neighbors, chunks, direction, subdivision.

No outside source is needed: each fact follows from the equations, whatever the materials.
"""

import dataclasses

import numpy as np
import pytest
from driven import Air, Driven, bare_section, coat, humid, sealed
from heron_point import example, miami

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.library import find_material
from moistwall.section import Gap, Layer
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.layout import HEAT_A, HEAT_B, MOISTURE_A, MOISTURE_B, RAIN
from moistwall.solver.march import Accuracy, March, join_lanes

SUMMER = 4000
"""Row of the loads, in June, at which a stretch of the Miami year starts."""

HOURS = 336


def rows_of(section, wet=False):
    """Loads of the Miami year; wet ones add a shower of 3 hours on the outer face, twice a day."""
    rows = boundary_rows(section, miami())
    if wet:
        hour = np.arange(rows.shape[0])
        rows[:, RAIN] = np.where(hour % 12 < 3, 2e-4, 0.0)
    return rows


def march_of(sections, wet=False, accuracy=None, sets=None):
    rows = [rows_of(section, wet) for section in (sections if sets is None else sets)]
    lanes = join_lanes([build_grid(section) for section in sections])
    loads = loads_of(rows, list(range(len(rows))), len(sections[0].gaps))
    return March(lanes, loads, accuracy, start_temperature=24.0)


# reference temperature ----------------------------------------------------------------------------


@pytest.mark.parametrize("moved", [100.0, -100.0])
@pytest.mark.parametrize(
    ("name", "wet"), [("wall", False), ("wall", True), ("roof", False), ("wall-no-foam", True)]
)
def test_reference_temperature(name, wet, moved):
    """Where the reference temperature lies changes nothing but the count of heat, by c_w per kg."""
    found = []
    for reference in (0.0, moved):
        accuracy = Accuracy(reference_temperature=reference)
        found.append(march_of([example(name)], wet, accuracy).hours(SUMMER, HOURS))
    here, there = found
    np.testing.assert_allclose(there.temperature, here.temperature, rtol=0, atol=1e-6)
    np.testing.assert_allclose(there.humidity, here.humidity, rtol=0, atol=1e-8)
    np.testing.assert_allclose(there.content, here.content, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(there.drained, here.drained, rtol=1e-6, atol=1e-9)
    for heat, moisture in ((HEAT_A, MOISTURE_A), (HEAT_B, MOISTURE_B)):
        expected = here.flow[:, :, heat] - WATER_HEAT_CAPACITY * moved * here.flow[:, :, moisture]
        np.testing.assert_allclose(there.flow[:, :, heat], expected, rtol=1e-6, atol=0.1)
    if wet:
        assert here.content[:, 0].max() > 1.0  # kg/m3 on the outer skin: it has been wet


# lanes and chunks ---------------------------------------------------------------------------------


def neighbors(section):
    """Seven sections of the same topology, some of them far stiffer."""
    wall = list(section.parts)

    def changed(**by_name):
        parts = [
            dataclasses.replace(part, **by_name.get(part.name.replace(" ", "_"), {}))
            for part in wall
        ]
        return dataclasses.replace(section, parts=tuple(parts))

    tight = np.full(2, 1e-13)
    open_coat = np.full(2, 1e-8)
    ends = np.array([0.25, 0.75])
    return [
        changed(siding={"initial_rh": 0.99}, cavity_wool={"initial_rh": 0.95}),
        changed(inside_finish={"rh": ends, "permeance": tight}),
        changed(inside_finish={"rh": ends, "permeance": open_coat}),
        changed(rainscreen_gap={"air_changes": 900.0}),
        changed(rainscreen_gap={"air_changes": 0.0, "depth": 0.006}),
        dataclasses.replace(changed(siding={"initial_rh": 0.2}), room_vapor_film=1e-6),
        dataclasses.replace(section, room_temperature=16.0, room_rh=0.9),
    ]


def assert_same_bytes(record, lane, alone):
    for name, here in record._asdict().items():
        there = getattr(alone, name)
        assert here[..., lane].tobytes() == there[..., 0].tobytes(), name


@pytest.mark.parametrize("n_lanes", [1, 3, 8])
def test_bytes_equal_in_every_lane(n_lanes):
    """A section gives the same bytes alone and in every lane, whatever stands beside it."""
    section = example("wall")
    count = 120
    alone = march_of([section], wet=True).hours(SUMMER, count)
    others = neighbors(section)
    for lane in range(n_lanes):
        beside = (others * 2)[lane : lane + n_lanes - 1]
        sections = [*beside[:lane], section, *beside[lane:]]
        record = march_of(sections, wet=True).hours(SUMMER, count)
        assert_same_bytes(record, lane, alone)


def test_neighbors_are_different_and_stiff():
    """The neighbors of the test above take other steps, and get other answers."""
    section = example("wall")
    sections = [section, *neighbors(section)]
    record = march_of(sections, wet=True).hours(SUMMER, 120)
    assert len({tuple(record.counts[:, lane]) for lane in range(8)}) == 8
    spread = np.ptp(record.humidity[-1], axis=1)
    assert spread.max() > 0.3


def test_a_series_shared_by_lanes_changes_nothing():
    """Lanes that share one series of loads give the bytes of lanes that each have a copy."""
    section = example("wall")
    both = [section, neighbors(section)[3]]
    rows = rows_of(section)
    shared = March(
        join_lanes([build_grid(one) for one in both]), loads_of([rows], [0, 0], 1)
    ).hours(SUMMER, 48)
    own = March(
        join_lanes([build_grid(one) for one in both]), loads_of([rows, rows.copy()], [0, 1], 1)
    ).hours(SUMMER, 48)
    for here, there in zip(shared, own, strict=True):
        assert here.tobytes() == there.tobytes()


@pytest.mark.parametrize("chunk", [1, 7, 100, 730])
@pytest.mark.parametrize("name", ["wall", "roof"])
def test_bytes_equal_for_any_chunks(name, chunk):
    """How many hours a call of the kernel takes changes no byte."""
    whole = march_of([example(name)], wet=True).hours(SUMMER, HOURS, chunk=HOURS)
    cut = march_of([example(name)], wet=True).hours(SUMMER, HOURS, chunk=chunk)
    for field, here, there in zip(whole._fields, whole, cut, strict=True):
        assert here.tobytes() == there.tobytes(), field


def test_bytes_equal_when_a_march_goes_on():
    """Two stretches one after the other give the bytes of one stretch."""
    whole = march_of([example("wall")]).hours(SUMMER, 60)
    march = march_of([example("wall")])
    first, second = march.hours(SUMMER, 23), march.hours(SUMMER + 23, 37)
    for field in ("temperature", "humidity", "content", "enthalpy", "flow", "side_humidity"):
        joined = np.concatenate((getattr(first, field), getattr(second, field)))
        assert joined.tobytes() == getattr(whole, field).tobytes(), field
    assert np.array_equal(first.counts + second.counts, whole.counts)


# boxes and equilibria -----------------------------------------------------------------------------


def layered(name="box", start=(0.6, 0.6, 0.6)):
    """Siding, gap, sheathing, wool, sheet and lining, from the library."""
    return bare_section(
        name,
        [
            Layer("siding", find_material("fiber cement"), 0.008, start[0]),
            Gap("gap", 0.02, "sealed", 3.0),
            Layer("sheathing", find_material("OSB"), 0.011, start[1]),
            Layer("wool", find_material("mineral wool"), 0.14, start[1]),
            coat("sheet", 1e-10),
            Layer("lining", find_material("gypsum board"), 0.0127, start[2]),
        ],
    )


def test_sealed_box_keeps_its_water():
    """With no vapor film at either end, water moves about in the heat of the day and none is lost."""
    hours = 480
    warm = 25.0 + 20.0 * np.sin(2.0 * np.pi * np.arange(hours + 1) / 24.0)
    box = layered(start=(0.97, 0.5, 0.8))
    outer = Air(warm, 0.0, heat_film=20.0, vapor_film=0.0)
    driven = Driven(box, outer, sealed(22.0, heat_film=8.0), hours, air_changes=(0.0,))
    before = driven.march.stored()[0].sum()
    record = driven.run()
    total = driven.water(record)
    np.testing.assert_allclose(total, before, rtol=1e-12)
    assert np.ptp(driven.water(record, "lining")) > 0.01  # kg/m2: it has moved
    assert record.drained.sum() == 0.0


@pytest.mark.parametrize("rh", [0.3, 0.6, 0.9])
def test_equilibrium_stays_put(rh):
    """At one temperature and one humidity all through, nothing moves."""
    t = 20.0
    section = layered(start=(rh, rh, rh))
    air = humid(t, rh, heat_film=10.0, vapor_film=5e-8)
    driven = Driven(section, air, air, 240, air_changes=(50.0,), start_temperature=t)
    before = driven.march.stored()[0][:, 0]
    record = driven.run()
    np.testing.assert_allclose(record.temperature, t, atol=1e-6)
    np.testing.assert_allclose(record.humidity, rh, atol=1e-6)
    width = driven.grid.cells.width[:, 0]
    np.testing.assert_allclose(record.content[-1, :, 0] * width, before, rtol=1e-5, atol=1e-9)


# direction and subdivision ------------------------------------------------------------------------


def seasons(hours, mean, swing, rh, **films):
    """Air with a daily wave of temperature at a constant vapor pressure."""
    t = mean + swing * np.sin(2.0 * np.pi * np.arange(hours + 1) / 24.0)
    return Air(t, humid(mean, rh).vapor, **films)


def test_mirrored_section_mirrors_the_answer():
    """Outside and inside exchanged, all profiles are the same the other way round, to round-off."""
    section = layered(start=(0.9, 0.5, 0.7))
    mirrored = bare_section("mirrored", section.parts[::-1])
    films = {"heat_film": 15.0, "vapor_film": 8e-8}
    hot, cool = seasons(240, 30.0, 12.0, 0.6, **films), seasons(240, 22.0, 2.0, 0.5, **films)
    one = Driven(section, hot, cool, 240, (0.0,)).run()
    other = Driven(mirrored, cool, hot, 240, (0.0,)).run()
    np.testing.assert_allclose(other.temperature[:, ::-1], one.temperature, atol=1e-6)
    np.testing.assert_allclose(other.humidity[:, ::-1], one.humidity, atol=1e-8)
    for a, b in ((MOISTURE_A, MOISTURE_B), (HEAT_A, HEAT_B)):
        scale = np.abs(one.flow[:, :, a]).max()
        np.testing.assert_allclose(
            other.flow[:, ::-1, a], -one.flow[:, :, b], rtol=0, atol=1e-6 * scale
        )


@pytest.mark.parametrize("split", ["siding", "sheathing", "wool", "lining"])
def test_splitting_a_layer_changes_little(split):
    """A layer as two halves of the same material gives the same wall, within the grid's error."""
    section = layered(start=(0.9, 0.5, 0.7))
    parts = []
    for part in section.parts:
        if part.name == split:
            half = dataclasses.replace(part, thickness=0.5 * part.thickness)
            parts += [dataclasses.replace(half, name=f"{split} {k}") for k in (1, 2)]
        else:
            parts.append(part)
    films = {"heat_film": 15.0, "vapor_film": 8e-8}
    hot, cool = seasons(240, 30.0, 12.0, 0.6, **films), seasons(240, 22.0, 2.0, 0.5, **films)
    found = []
    for one in (section, bare_section("split", parts)):
        driven = Driven(one, hot, cool, 240, (0.0,))
        record = driven.run()
        kept = [s for s in driven.grid.sides if not s.name.startswith(f"{split} 1 | {split} 2")]
        t = [record.side_temperature[24:, s.special, 0] for s in kept]
        rh = [record.side_humidity[24:, s.special, int(s.side == "b"), 0] for s in kept]
        found.append((np.array(t), np.array(rh), driven.water(record)))
    np.testing.assert_allclose(found[1][0], found[0][0], atol=0.1)
    np.testing.assert_allclose(found[1][1], found[0][1], atol=3e-3)
    np.testing.assert_allclose(found[1][2], found[0][2], rtol=2e-3)
