"""Drying through stages: states are handed over, targets end a stage, water is kept."""

import dataclasses

import numpy as np
import pytest
from heron_point import example, miami

from moistwall.errors import InputError
from moistwall.exposure import Exposure, Pour, RainLoad, Spot
from moistwall.section import Gap, Layer
from moistwall.study.dry_out import DryStage, Target, dry_out, without

INSIDE = ("cavity wool", "gypsum board", "inside finish")


def wet(content=300.0):
    section = example("wall")
    parts = [
        dataclasses.replace(part, initial_content=content) if part.name == "sheathing" else part
        for part in section.parts
    ]
    return dataclasses.replace(section, parts=tuple(parts))


def index(outcome, name):
    return outcome.layers.index(name)


def test_states_are_handed_over():
    """A layer begins a stage with the water that it had at the end of the one before."""
    opened = without(example("wall"), INSIDE)
    first, second, third = dry_out(
        [DryStage("wet", wet(), 2), DryStage("open", opened, 3), DryStage("closed", example("wall"), 1)],
        miami(),
        200,
    )  # fmt: skip
    for before, after in ((first, second), (second, third)):
        for name in ("siding", "sheathing", "inner foam"):
            assert after.content_day[0, index(after, name)] == pytest.approx(
                before.content_day[-1, index(before, name)], rel=1e-12
            )
    assert [one.first_day for one in (first, second, third)] == [0, 2, 5]
    assert "cavity wool" not in second.layers
    # new gypsum starts as the section says, not as the old one ended
    assert third.content_day[0, index(third, "gypsum board")] < 10.0
    assert max(one.moisture_relative for one in (first, second, third)) < 1e-9


def test_one_stage_in_two_is_the_same():
    """Cut in two, a drying gives what it gives in one piece."""
    (whole,) = dry_out([DryStage("wet", wet(), 6)], miami(), 30)
    halves = dry_out([DryStage("a", wet(), 3), DryStage("b", wet(), 3)], miami(), 30)
    k = index(whole, "sheathing")
    assert halves[1].content_day[-1, k] == pytest.approx(whole.content_day[-1, k], rel=2e-3)


def test_opening_the_wall_dries_it_faster():
    """Sheathing dries faster to the room than behind gypsum and paint."""
    closed, opened = (
        dry_out([DryStage("x", section, 10)], miami(), 100)[0]
        for section in (wet(), without(wet(), INSIDE))
    )
    lost = [one.content_day[0] - one.content_day[-1] for one in (closed, opened)]
    assert lost[1][index(opened, "sheathing")] > 1.5 * lost[0][index(closed, "sheathing")]


def test_a_target_ends_the_stage_on_its_day():
    """The stage ends with the first day at or below the target, and the day before it was above."""
    content = 250.0
    (outcome,) = dry_out(
        [DryStage("x", without(wet(), INSIDE), target=Target("sheathing", content))], miami(), 100
    )
    series = outcome.content_day[:, index(outcome, "sheathing")]
    assert outcome.reached
    assert series[-1] <= content < series[-2]
    assert outcome.days == series.size - 1 > 0


def test_a_target_out_of_reach_is_told(monkeypatch):
    """What does not dry in the most days ends the run, and the stages after it are not run."""
    monkeypatch.setattr("moistwall.study.dry_out.MOST_DAYS", 3)
    outcomes = dry_out(
        [
            DryStage("wet", wet(), target=Target("sheathing", 1.0)),
            DryStage("closed", example("wall"), 5),
        ],
        miami(),
    )
    assert [one.reached for one in outcomes] == [False]
    assert outcomes[0].days == 3


def test_the_year_goes_on_at_its_end():
    """A drying that starts on December 30 goes on with January."""
    (outcome,) = dry_out([DryStage("x", wet(), 5)], miami(), 363)
    assert outcome.days == 5
    assert np.all(np.diff(outcome.content_day[:, index(outcome, "sheathing")]) < 0.0)


def test_what_is_taken_out_takes_its_loads_along():
    """Gaps that lose a neighbor go; so do leaks to layers that are gone, and the water-control layer."""
    exposure = Exposure(
        rain=RainLoad(1.0, 0.35),
        pours=(Pour("in", Spot("gypsum board", "inner"), 0, 1, 1.0),),
    )
    section = dataclasses.replace(example("wall"), exposure=exposure)
    inside = without(section, ["gypsum board", "inside finish"])
    assert inside.exposure.pours == ()
    outside = without(section, ["siding"])
    assert not any(isinstance(part, Gap) for part in outside.parts)
    control = without(section, [part.name for part in section.parts if "outer foam" in part.name])
    assert control.water_control == ""
    assert control.seams is None


@pytest.mark.parametrize(
    ("names", "told"), [(("plaster",), "is no part"), (None, "would leave no layer")]
)
def test_taking_out_what_is_not_there_is_refused(names, told):
    """A name that no part has, or taking out everything, is an error."""
    given = [part.name for part in example("wall").parts] if names is None else names
    with pytest.raises(InputError, match=told):
        without(example("wall"), given)


def test_a_stage_needs_an_end_and_a_target_a_layer():
    """A stage that neither lasts nor waits, or waits for no layer of its own, is refused."""
    with pytest.raises(InputError, match="neither lasts nor waits"):
        dry_out([DryStage("x", wet())], miami())
    opened = without(wet(), INSIDE)
    with pytest.raises(InputError, match="is no layer of this stage"):
        dry_out([DryStage("x", opened, target=Target("gypsum board", 5.0))], miami())
    assert any(isinstance(part, Layer) for part in opened.parts)
