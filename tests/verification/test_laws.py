"""Laws that hold for every wall and every weather, tried on sections and loads drawn by hypothesis.

No outside source is needed: each follows from the equations of docs/theory.md, whatever the materials.
Beside each law stands a control, in which it is broken by little and the same check must notice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from drawn import Wall, Weather, drive, walls, weathers
from driven import Air, Driven, coat, humid, sealed
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from moistwall.air import WATER_HEAT_CAPACITY, saturation_pressure
from moistwall.material import Material, Storage
from moistwall.section import Layer
from moistwall.solver.kernel.layout import HEAT_A, HEAT_B, MOISTURE_A, MOISTURE_B, Record
from moistwall.solver.march import Accuracy

Array = NDArray[np.float64]

HOURS = 48

WALL = Wall(
    (
        ("fiber cement", 8, 90),
        ("OSB", 11, 50),
        ("mineral wool batt", 140, 50),
        ("gypsum board", 12, 70),
    ),
    ((), ("gap",), (), ("vinyl wallcovering",), ()),
)
"""The wall of the controls."""

HOT, COOL = Weather(28, 9, 1, 75, 15, seed=1), Weather(22, 2, 1, 60, 8, seed=2)

numbers = st.integers(0, 4)
"""Which layer of a wall a law is tried on, counted round."""


def examples(count: int) -> Callable[[Any], Any]:
    """How many walls a law is tried on."""
    return settings(max_examples=count)


# mirror -------------------------------------------------------------------------------------------


def assert_mirrored(one: Record, other: Record) -> None:
    """Fail unless profiles and flows are the same the other way round, to round-off."""
    np.testing.assert_allclose(other.temperature[:, ::-1], one.temperature, rtol=0, atol=1e-9)
    np.testing.assert_allclose(other.humidity[:, ::-1], one.humidity, rtol=0, atol=1e-9)
    for a, b in ((MOISTURE_A, MOISTURE_B), (HEAT_A, HEAT_B)):
        scale = np.abs(one.flow[:, :, a]).max()
        np.testing.assert_allclose(
            other.flow[:, ::-1, a], -one.flow[:, :, b], rtol=0, atol=1e-9 * scale
        )


@examples(15)
@given(walls(), weathers(), weathers())
def test_mirrored_wall_mirrors_the_answer(wall: Wall, outer: Weather, inner: Weather) -> None:
    """Outside and inside exchanged, walls and their weather give the same, to 1e-9."""
    wall = replace(wall, emittance=0.0)  # what the inner face radiates is in its film
    a, b = outer.air(HOURS), inner.air(HOURS)
    assert_mirrored(drive(wall, a, b, HOURS).run(), drive(wall.mirrored, b, a, HOURS).run())


def test_mirrored_wall_under_the_same_weather_differs() -> None:
    """Control: with the wall turned round and the weather left as it is, the check fails."""
    a, b = HOT.air(HOURS), COOL.air(HOURS)
    with pytest.raises(AssertionError):
        assert_mirrored(drive(WALL, a, b, HOURS).run(), drive(WALL.mirrored, a, b, HOURS).run())


# subdivision --------------------------------------------------------------------------------------

GRID_TEMPERATURE, GRID_HUMIDITY = 0.1, 0.003
"""What four times the cells may change after day 1, by test_grid_error. [K], [-]"""


def at_joints(driven: Driven, record: Record, left_out: str = "") -> tuple[Array, Array]:
    """Temperature and humidity after day 1 at all sides of joints but those of one of them."""
    kept = [s for s in driven.grid.sides if s.skin < 0 and s.name != left_out]
    temperature = [record.side_temperature[24:, s.special, 0] for s in kept]
    humidity = [record.side_humidity[24:, s.special, int(s.side == "b"), 0] for s in kept]
    return np.array(temperature), np.array(humidity)


def assert_split_changes_little(wall: Wall, split: Wall, number: int, a: Air, b: Air) -> None:
    """Fail if a wall and the same in another division differ by more than three grid errors.

    The error of the default grid is what the other tests hold it to, or how far four times the cells
    move this wall: an abrupt start from very different humidities asks more of it than a year does.
    """
    hours = len(np.asarray(a.temperature)) - 1
    found = []
    for one, refine in ((wall, 1), (wall, 4), (split, 1)):
        driven = drive(one, a, b, hours, refine=refine)
        record = driven.run()
        new = f"layer {number + 1} | layer {number + 2}" if one is split else ""
        found.append((*at_joints(driven, record, new), driven.water(record)[24:]))
    if not len(found[0][0]):
        return  # a gap between two layers: there is no joint
    for k, (least, name) in enumerate(((GRID_TEMPERATURE, "K"), (GRID_HUMIDITY, "rh"))):
        error = max(least, float(np.abs(found[1][k] - found[0][k]).max()))
        apart = float(np.abs(found[2][k] - found[0][k]).max())
        assert apart <= 3.0 * error, f"{apart} {name}"
    np.testing.assert_allclose(found[2][2], found[0][2], rtol=5e-3)


@examples(12)
@given(walls(), weathers(), weathers(), numbers)
def test_splitting_a_layer_changes_little(
    wall: Wall, outer: Weather, inner: Weather, number: int
) -> None:
    """A layer as two halves of the same material gives the same wall, within 3 grid errors."""
    number %= len(wall.layers)
    a, b = outer.air(72), inner.air(72)
    assert_split_changes_little(wall, wall.split(number), number, a, b)


@pytest.mark.parametrize(("number", "lost"), [(1, 0.03), (2, 0.2)])
def test_a_lost_slice_of_a_layer_is_noticed(number: int, lost: float) -> None:
    """Control: two parts that are together 3 % thinner than the board, or 20 % than the wool, fail."""
    a, b = HOT.air(72), COOL.air(72)
    assert_split_changes_little(WALL, WALL.split(number), number, a, b)
    with pytest.raises(AssertionError):
        assert_split_changes_little(WALL, WALL.split(number, 0.5 - lost, 0.5), number, a, b)


# boxes --------------------------------------------------------------------------------------------


def boxed(wall: Wall, outer: Air, inner: Air, before: tuple[Weather, Weather]) -> tuple[Array, ...]:
    """A wall after a day of weather, then between these ends: its water and heat, hour by hour.

    Returns
    -------
    water, heat : (n_hours + 1,) ndarray
        Stored and run off, from the moment of closing. [kg/m2], [J/m2]
    """
    day = drive(wall, before[0].air(24), before[1].air(24), 24)
    day.run()
    box = drive(wall, outer, inner, HOURS)
    box.march.state = day.march.state
    start = [float(stored.sum()) for stored in box.march.stored()]
    record = box.run()
    width = box.grid.cells.width[:, 0]
    found = []
    for first, stored, drained in (
        (start[0], record.content, record.drained),
        (start[1], record.enthalpy, record.drained_heat),
    ):
        now = stored[..., 0] @ width + np.cumsum(drained[..., 0].sum(axis=1))
        found.append(np.concatenate(([first], now)))
    return tuple(found)


@examples(15)
@given(walls(), weathers(), weathers(), weathers())
def test_vapor_tight_box_keeps_its_water(
    wall: Wall, outer: Weather, inner: Weather, later: Weather
) -> None:
    """With no vapor film at either end, water moves about in the heat of the days and none is lost."""
    ends = [replace(one.air(HOURS), vapor_film=0.0, rain=0.0) for one in (later, inner)]
    water, _ = boxed(wall, *ends, (outer, inner))
    np.testing.assert_allclose(water, water[0], rtol=1e-12)


@examples(15)
@given(walls(), weathers(), weathers())
def test_closed_box_keeps_water_and_heat(wall: Wall, outer: Weather, inner: Weather) -> None:
    """With no film of any kind at either end, uneven warmth and water even out and none is lost."""
    wall = replace(wall, emittance=0.0)
    water, heat = boxed(wall, sealed(20.0), sealed(20.0), (outer, inner))
    np.testing.assert_allclose(water, water[0], rtol=1e-12)
    np.testing.assert_allclose(heat, heat[0], rtol=1e-9)


@pytest.mark.parametrize(("heat_film", "vapor_film"), [(1e-6, 0.0), (0.0, 1e-15)])
def test_a_leak_of_a_box_is_noticed(heat_film: float, vapor_film: float) -> None:
    """Control: a millionth of an ordinary film of heat, or less of vapor, shows in the sum."""
    box = replace(WALL, between=((), (), (), ("vinyl wallcovering",), ()))
    leaky = replace(humid(20.0, 0.5), heat_film=heat_film, vapor_film=vapor_film)
    water, heat = boxed(box, leaky, sealed(20.0), (HOT, COOL))
    assert abs(water[-1] / water[0] - 1.0) > 1e-12 or abs(heat[-1] / heat[0] - 1.0) > 1e-9


# equilibrium --------------------------------------------------------------------------------------


def assert_nothing_moves(wall: Wall, temperature: float, rh: float, air_rh: float) -> None:
    """Fail unless a wall at rest, in air of ``air_rh`` at both ends, is as it was after a year."""
    air = humid(temperature, air_rh, heat_film=10.0, vapor_film=5e-8)
    still = replace(wall.at(100.0 * rh), emittance=0.0)
    driven = drive(still, air, air, 8760, air_changes=50.0, start_temperature=temperature)
    before = driven.march.stored()[0].sum()
    record = driven.run()
    np.testing.assert_allclose(record.temperature, temperature, rtol=0, atol=1e-9)
    np.testing.assert_allclose(record.humidity, rh, rtol=0, atol=1e-9)
    np.testing.assert_allclose(driven.water(record), before, rtol=1e-9)


@examples(8)
@given(walls(), st.integers(0, 40), st.integers(20, 95))
def test_equilibrium_stays_put_for_a_year(wall: Wall, temperature: int, rh: int) -> None:
    """At one temperature and one humidity all through, nothing moves in 8760 hours."""
    assert_nothing_moves(wall, float(temperature), 0.01 * rh, 0.01 * rh)


def test_air_that_is_a_little_drier_is_noticed() -> None:
    """Control: air drier by a millionth of saturation draws water out."""
    with pytest.raises(AssertionError):
        assert_nothing_moves(WALL, 20.0, 0.6, 0.6 - 1e-6)


# resistance ---------------------------------------------------------------------------------------

LEAN = 1e4
"""By what storage is divided so that a wall is steady in days instead of decades. [-]"""

STEADY_HOURS = 1000

INSULATION = ("XPS", "polyiso core under foil", "glass-fiber batt", "mineral wool batt")


def lean(material: Material) -> Material:
    """The same conductivity, vapor and liquid flow at every temperature and humidity, less storage.

    Contents are divided and liquid diffusivity multiplied, so that g = -D dw/dx stays as it is.
    """
    storage, diffusivity = material.storage, material.diffusivity
    return replace(
        material,
        storage=Storage(
            lambda ln_rh: storage.content(ln_rh) / LEAN,
            storage.free / LEAN,
            storage.holds / LEAN,
            storage.over_suction,
        ),
        conductivity_content=material.conductivity_content / LEAN,
        diffusivity=None if diffusivity is None else lambda w: LEAN * diffusivity(LEAN * w),
    )


def steady_flows(
    wall: Wall, outer: Air, inner: Air, film: tuple[int, float] | None = None
) -> tuple[float, float]:
    """Steady flux of vapor and of heat into the room, with a film behind one of the layers if given.

    Returns
    -------
    moisture, heat : float
        [kg/(m2 h)], [W/m2]; the heat is what the inner film passes on, without latent heat.
    """
    section = replace(wall.at(50.0), emittance=0.0).section()
    parts = []
    for part in section.parts:
        parts.append(
            replace(part, material=lean(part.material)) if isinstance(part, Layer) else part
        )
        if film is not None and part.name == f"layer {film[0] + 1}":
            parts.append(coat("added", film[1]))
    section = replace(section, parts=tuple(parts))
    still = (0.0,) * wall.n_gaps
    rough = Driven(section, outer, inner, STEADY_HOURS, still)
    rough.run()
    # with so little stored, what a pass leaves over is seen in the flows: it is left no more
    close = Driven(section, outer, inner, 24, still, accuracy=Accuracy(1e-4, fixed=1))
    close.march.state = rough.march.state
    record = close.run()
    into, out = record.flow[-1, 0, MOISTURE_B, 0], record.flow[-1, -1, MOISTURE_A, 0]
    assert out == pytest.approx(into, rel=1e-6, abs=1e-12)  # it is steady
    surface = float(record.temperature[-1, -1, 0])
    return float(out), inner.heat_film * (surface - float(inner.temperature))


def two_airs(t_out: float, t_in: float, rh_out: float, rh_in: float) -> tuple[Air, Air]:
    """Constant air at both ends; humidities [%] refer to the colder one, so that none condenses."""
    saturated = float(saturation_pressure(min(t_out, t_in)))
    outer = Air(t_out, 0.01 * rh_out * saturated, heat_film=15.0, vapor_film=1e-7)
    return outer, Air(t_in, 0.01 * rh_in * saturated, heat_film=8.0, vapor_film=3e-8)


def assert_not_raised(more: float, less: float) -> None:
    """Fail if a flow through more resistance is larger than through less, or runs the other way."""
    assert abs(more) <= (1.0 + 1e-6) * abs(less)
    assert more * less >= 0.0


outdoors, room, humidities = st.integers(0, 40), st.integers(18, 28), st.integers(20, 85)
open_walls = walls(without=("steel sheet",))
"""Walls through which vapor passes: behind steel even a bare face takes weeks."""


@examples(12)
@given(open_walls, outdoors, room, humidities, humidities, numbers, st.sampled_from((1.1, 2.0)))
def test_thicker_insulation_never_raises_the_heat_flux(
    wall: Wall, t_out: int, t_in: int, rh_out: int, rh_in: int, number: int, factor: float
) -> None:
    """With more of any of its insulations, no more heat reaches the room, or leaves it."""
    assume(abs(t_out - t_in) > 2)
    number %= len(wall.layers)
    if wall.layers[number][0] not in INSULATION:
        wall = wall.with_layer(number, ("mineral wool batt", 50.0, 50.0))
    airs = two_airs(t_out, t_in, rh_out, rh_in)
    thin, thick = (steady_flows(one, *airs)[1] for one in (wall, wall.thicker(number, factor)))
    assert_not_raised(thick, thin)


@examples(12)
@given(
    open_walls, outdoors, room, humidities, humidities, numbers, st.integers(1, 400),
    st.sampled_from((1.1, 2.0)),
)  # fmt: skip
def test_tighter_film_never_raises_the_vapor_flux(
    wall: Wall, t_out: int, t_in: int, rh_out: int, rh_in: int, number: int, pg: int, factor: float
) -> None:
    """With a tighter sheet between any of its layers, no more vapor passes the wall."""
    assume(abs(rh_out - rh_in) > 3)
    number %= len(wall.layers)
    airs = two_airs(t_out, t_in, rh_out, rh_in)
    loose, tight = (
        steady_flows(wall, *airs, film=(number, 1e-12 * pg / each))[0] for each in (1.0, factor)
    )
    assert_not_raised(tight, loose)
    assert_not_raised(loose, steady_flows(wall, *airs)[0])


@examples(12)
@given(open_walls, room, humidities, humidities, numbers, st.sampled_from((1.1, 2.0)))
def test_thicker_layer_never_raises_the_vapor_flux(
    wall: Wall, t: int, rh_out: int, rh_in: int, number: int, factor: float
) -> None:
    """At one temperature, with more of any of its layers, no more vapor passes the wall.

    Between two temperatures it may: insulation also changes how warm, and so how open, the others are.
    """
    assume(abs(rh_out - rh_in) > 3)
    number %= len(wall.layers)
    airs = two_airs(t, t, rh_out, rh_in)
    thin, thick = (steady_flows(one, *airs)[0] for one in (wall, wall.thicker(number, factor)))
    assert_not_raised(thick, thin)


def test_less_resistance_is_noticed() -> None:
    """Control: taken the other way round, one percent of insulation or of a film fails the checks."""
    airs = two_airs(30.0, 22.0, 80.0, 50.0)
    (_, thick), (_, thin) = (steady_flows(WALL.thicker(2, f), *airs) for f in (1.01, 1.0))
    (tight, _), (loose, _) = (
        steady_flows(WALL, *airs, film=(2, permeance)) for permeance in (0.99e-11, 1e-11)
    )
    assert_not_raised(thick, thin)
    assert_not_raised(tight, loose)
    with pytest.raises(AssertionError):
        assert_not_raised(thin, thick)
    with pytest.raises(AssertionError):
        assert_not_raised(loose, tight)


# reference temperature ----------------------------------------------------------------------------


def assert_same_but_for_the_reference(here: Record, there: Record, moved: float) -> None:
    """Fail unless another reference temperature changes nothing but c_w per kg in flows of heat."""
    np.testing.assert_allclose(there.temperature, here.temperature, rtol=0, atol=1e-9)
    np.testing.assert_allclose(there.humidity, here.humidity, rtol=0, atol=1e-9)
    np.testing.assert_allclose(there.content, here.content, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(there.drained, here.drained, rtol=1e-9, atol=1e-12)
    for heat, moisture in ((HEAT_A, MOISTURE_A), (HEAT_B, MOISTURE_B)):
        expected = here.flow[:, :, heat] - WATER_HEAT_CAPACITY * moved * here.flow[:, :, moisture]
        np.testing.assert_allclose(there.flow[:, :, heat], expected, rtol=1e-9, atol=1e-5)


@examples(15)
@given(walls(), weathers(), weathers(), st.sampled_from((0.0, 20.0, 100.0)))
def test_reference_temperature_is_free(
    wall: Wall, outer: Weather, inner: Weather, air_changes: float
) -> None:
    """Where it lies, 100 K up or down, changes nothing beyond 1e-9 K but the count of heat."""
    a, b = outer.air(HOURS), inner.air(HOURS)
    here, up, down = (
        drive(wall, a, b, HOURS, air_changes, accuracy=Accuracy(reference_temperature=t)).run()
        for t in (0.0, 100.0, -100.0)
    )
    assert_same_but_for_the_reference(here, up, 100.0)
    assert_same_but_for_the_reference(here, down, -100.0)


def test_a_moved_start_is_noticed() -> None:
    """Control: a start that is warmer by a millionth of a kelvin fails the check."""
    a, b = HOT.air(HOURS), COOL.air(HOURS)
    here, there = (drive(WALL, a, b, HOURS, start_temperature=t).run() for t in (20.0, 20.000001))
    with pytest.raises(AssertionError):
        assert_same_but_for_the_reference(here, there, 0.0)


# what drawing walls has found ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wall", "outer", "inner"),
    [
        (
            # at the usual 70 %, in the air of a cold day
            Wall(
                (("OSB", 9, 70), ("mineral wool batt", 90, 70), ("gypsum board", 12, 70)),
                (("foil facer",), (), (), ()),
            ),
            Weather(0, 0, 0, 30, 16),
            Weather(20, 0, 0, 30, 8),
        ),
        (
            # steel that dries after a shower, warm from behind, in cool air
            Wall((("steel sheet", 1, 20), ("steel sheet", 1, 20)), ((), (), ())),
            Weather(10, 0, 0, 50, 9, rain=1.0),
            Weather(33, 0, 0, 88, 23),
        ),
    ],
    ids=["start", "after rain"],
)
def test_skins_dry_at_once(wall: Wall, outer: Weather, inner: Weather) -> None:
    """A tight face in air of less than a sixth of its own vapor pressure dries within seconds."""
    record = drive(wall, outer.air(24), inner.air(24), 24).run()
    assert record.humidity[:, 0].min() >= 0.0
