"""Water by cause adds up, and each cause is what it says."""

import dataclasses
from functools import cache

import numpy as np
import pytest
from heron_point import example, miami, year

from moistwall.air import humidity_ratio_from_vapor_pressure as ratio
from moistwall.assess.budget import air_carried, budget
from moistwall.assess.first_year import start_drying
from moistwall.assess.layer_budget import CAUSES, layer_budgets
from moistwall.exposure import Exposure, Leakage, Pour, RainLeak, RainLoad, Spot
from moistwall.simulate import simulate

WATER = Exposure(
    rain=RainLoad(1.0, 0.35),
    rain_leaks=(
        RainLeak("standard", Spot("outer foam", "outer"), 0.01),
        RainLeak("behind", Spot("sheathing", "outer"), 0.005),
    ),
    pours=(Pour("storm", Spot("sheathing", "inner"), 6000, 6, 0.5),),
    leakage=Leakage(2e-3, 0.65, 4.0, 0.5, 0.5, spot=Spot("sheathing", "inner"), contact=0.5),
)


@cache
def result(spread=False):
    leakage = dataclasses.replace(WATER.leakage, spot=None) if spread else WATER.leakage
    wet = [
        dataclasses.replace(part, initial_content=200.0) if part.name == "sheathing" else part
        for part in example("wall").parts
    ]
    exposure = dataclasses.replace(WATER, leakage=leakage)
    section = dataclasses.replace(example("wall"), parts=tuple(wet), exposure=exposure)
    return simulate(section, miami())


@pytest.mark.parametrize("spread", [False, True])
def test_causes_add_up_to_what_is_stored(spread):
    """All causes together are the change of storage, to 1e-9 of what moved."""
    account = budget(result(spread))
    moved = sum(cause.came + cause.went for cause in account.causes)
    assert abs(account.missing) < 1e-9 * moved
    months = sum(cause.month.sum() for cause in account.causes)
    assert months == pytest.approx(account.stored, abs=1e-9 * moved)


def test_rain_leaks_and_pours_are_what_arrived():
    """Leaks are their shares of the driving rain, the pour its amount."""
    causes = {cause.name.split(",")[0]: cause for cause in budget(result()).causes}
    rain = causes["rain on the outer face"].came
    assert rain > 50.0
    assert causes["standard"].came == pytest.approx(0.01 * rain)
    assert causes["behind"].came == pytest.approx(0.005 * rain)
    assert causes["storm"].came == pytest.approx(0.5)
    assert causes["storm"].month[8] == pytest.approx(0.5)  # hour 6000 lies in September


def test_a_tight_section_has_no_leaks():
    """Without loads there is neither rain nor air, and nothing is carried."""
    kinds = {cause.kind for cause in budget(year("wall")).causes}
    assert kinds == {"vapor", "gap", "drained"}
    assert air_carried(year("wall")) is None


def test_air_carries_what_its_humidity_says():
    """Water carried in is air times humidity ratio; what a short cut leaves is its cause's entry."""
    carried = air_carried(result())
    assert carried.part == ("sheathing",)
    inward = np.maximum(result().air_flow, 0.0)
    assert carried.air_inward == pytest.approx(inward.sum())
    assert 0.004 < carried.inward / carried.air_inward < 0.022  # of Miami's air, kg/kg
    air = next(cause for cause in budget(result()).causes if cause.kind == "air")
    assert carried.left[0] == pytest.approx(air.came, rel=0.05)
    assert carried.taken[0] == pytest.approx(air.went, rel=0.05)


def test_spread_air_is_told_for_every_layer_inside_of_the_gap():
    """Air through the whole section meets all layers inside of the gap, and none outside of it."""
    carried = air_carried(result(True))
    assert carried.part == ("outer foam", "inner foam", "sheathing", "cavity wool", "gypsum board")
    net = sum(carried.left) - sum(carried.taken)
    # all that the air brought from outdoors and did not take to the room; films keep a little of it
    air = result(True).air_flow
    between = (air * (ratio(result(True).outdoor_vapor) - ratio(result(True).room_vapor))).sum()
    assert net == pytest.approx(between, rel=0.05)


def test_a_wet_start_dries():
    """The wet sheathing is told with its start and dries within the year; nothing else started wet."""
    layers = start_drying(result())
    assert [layer.part for layer in layers] == ["sheathing"]
    wet = layers[0]
    assert wet.start == pytest.approx(200.0 * 0.0111125, rel=1e-3)
    assert 0 < wet.dried_days < 365
    values = [value for _, value in wet.after_days]
    assert wet.start > values[0] > values[-1]
    assert start_drying(result(True))[0].start == pytest.approx(wet.start)


@pytest.mark.parametrize("spread", [False, True])
def test_every_layer_adds_up(spread):
    """By layer too, causes and storage agree to 1e-9 of what moved; leaks stand at their layer."""
    layers = layer_budgets(result(spread))
    assert [layer.part for layer in layers] == [
        part.name for part in result(spread).parts if part.kind == "layer"
    ]
    for layer in layers:
        assert abs(layer.missing) < 1e-9 * max(np.abs(layer.month).sum(), 1e-3)
    by_name = {
        layer.part: dict(zip(CAUSES, layer.month.sum(axis=0), strict=True)) for layer in layers
    }
    rain = result(spread).rain_outer.sum()
    assert by_name["sheathing"]["leaks"] == pytest.approx(0.005 * rain + 0.5)
    assert by_name["outer foam"]["leaks"] == pytest.approx(0.01 * rain)
    assert by_name["cavity wool"]["leaks"] == 0.0
    assert by_name["siding"]["liquid_outer"] == pytest.approx(rain, rel=1e-6)
    assert (by_name["sheathing"]["air"] != 0.0) is not spread


def test_layers_and_gaps_make_the_section():
    """What the layers get through their outermost and innermost faces is what the section gets."""
    layers, account = layer_budgets(result()), budget(result())
    stored = sum(layer.stored for layer in layers)
    assert stored == pytest.approx(account.stored, abs=1e-12)
    moved = sum(float(np.abs(layer.month).sum()) for layer in layers)
    # inside the section one layer's loss is the next one's gain, but for what the gap's air takes
    total = sum(float(layer.month.sum()) for layer in layers)
    assert total == pytest.approx(account.stored - account.missing, abs=1e-9 * moved)
