"""The search for the least and the most: turns, flat answers, answers that turn twice, failures."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from moistwall.assembly import assembly_from_data, read_assembly, resolve
from moistwall.errors import InputError
from moistwall.library import data_folder
from moistwall.show.search_text import answer_lines, lever_lines, water_line
from moistwall.study.bisect import Found, Wanted, search
from moistwall.study.levers import levers
from moistwall.study.measures import MEASURES, NAMED_CRITERIA, Criterion, read_criterion

DAMP = Criterion("hours_rh_80", "<=", 100.0, "test")


def sought(
    hours: Callable[[float], float | None], wanted: Wanted = "least", tolerance: float = 0.01
) -> tuple[Found, int]:
    """Search where the hours are a function of the value, from 0 to 4; and how often it was asked."""
    asked: list[float] = []

    def run(values: Sequence[float]) -> list[dict[str, float] | None]:
        asked.extend(values)
        return [
            None if (h := hours(value)) is None else {"hours_rh_80": h, "nearness": h / 100.0}
            for value in values
        ]

    return search(0.0, 4.0, DAMP, run, wanted=wanted, tolerance=tolerance), len(asked)


def said(found: Found, wanted: Wanted = "least") -> str:
    """The answer in one line."""
    return " ".join(answer_lines("layer[foam].thickness", "in", DAMP, found, wanted))


def test_least() -> None:
    """Hours that fall with the value: the least that keeps to the limit, bracketed, with its margin."""
    found, asked = sought(lambda x: 400.0 - 123.0 * x)
    turn = 300.0 / 123.0
    assert found.kind == "found"
    assert found.bracket is not None
    assert found.answer == found.bracket[1]
    assert found.bracket[0] < turn <= found.bracket[1]
    assert found.bracket[1] - found.bracket[0] <= 0.01
    assert found.margin == pytest.approx(100.0 - (400.0 - 123.0 * found.answer))
    assert found.margin >= 0.0
    assert asked == 5 + 7
    assert "The least layer[foam].thickness" in said(found)


def test_most() -> None:
    """Hours that rise with the value: the most is the last one below the turn."""
    found, _ = sought(lambda x: 100.0 * x, "most")
    assert found.answer == 1.0
    found, _ = sought(lambda x: 123.0 * x, "most")
    assert found.bracket is not None
    assert found.answer == found.bracket[0] <= 100.0 / 123.0 < found.bracket[1]


def test_a_turn_and_back_is_no_answer() -> None:
    """Hours that fall and rise again have no least: said so, with what keeps to the limit."""
    found, asked = sought(lambda x: 60.0 + 90.0 * (x - 2.0) ** 2)
    assert found.kind == "turns more than once"
    assert (found.answer, asked) == (None, 5)
    assert "of what was run, 2 in keep to" in said(found)


def test_the_other_way_round() -> None:
    """Asked for the least where small values keep to it: the end, and a word to ask for the most."""
    found, _ = sought(lambda x: 123.0 * x)
    assert (found.kind, found.answer) == ("other way round", 0.0)
    assert "Ask for the most" in said(found)
    found, _ = sought(lambda x: 400.0 - 123.0 * x, "most")
    assert found.answer == 4.0
    assert "Ask for the least" in said(found, "most")


@pytest.mark.parametrize(("hours", "kind"), [(20.0, "all meet it"), (500.0, "none meets it")])
def test_flat(hours: float, kind: str) -> None:
    """Hours that hardly move, on either side of the limit: the field does not decide."""
    found, _ = sought(lambda x: hours + 0.2 * x)
    assert (found.kind, found.flat) == (kind, True)
    assert "does not decide here" in said(found)


def test_moving_without_a_turn_is_not_flat() -> None:
    """Hours that move, but not over the limit, have no turn, and the field is not said to be idle."""
    found, _ = sought(lambda x: 1000.0 - 200.0 * x)
    assert (found.kind, found.flat) == ("none meets it", False)
    assert "does not decide" not in said(found)
    assert "alone does not do it" in said(found)


def test_a_failure_ends_the_search() -> None:
    """A value that could not be run, in the look or in the bracket, ends it without an answer."""
    found, _ = sought(lambda x: None if x == 3.0 else 400.0 - 123.0 * x)
    assert (found.kind, found.answer) == ("failed", None)
    found, _ = sought(lambda x: None if x == 2.5 else 400.0 - 123.0 * x)
    assert (found.kind, found.answer) == ("failed", None)
    assert "nothing can be said" in said(found)


@pytest.mark.parametrize("word", NAMED_CRITERIA)
def test_named_criteria(word: str) -> None:
    """Every word stands for a criterion over a known measure, with a source."""
    criterion = read_criterion(word)
    assert criterion.measure in MEASURES
    assert criterion.source
    assert read_criterion(criterion.text).text == criterion.text


def test_criterion_at_its_limit() -> None:
    """'<=' takes the limit itself and '<' does not; margins count from the limit to the good side."""
    assert read_criterion("hours_rh_80 <= 100").met({"hours_rh_80": 100.0})
    assert not read_criterion("hours_rh_80<100").met({"hours_rh_80": 100.0})
    assert read_criterion("drying_potential >= 2").margin({"drying_potential": 5.0}) == 3.0
    assert read_criterion("hours_rh_80 <= 100").margin({"hours_rh_80": 130.0}) == -30.0


@pytest.mark.parametrize(
    "text", ["", "dry", "hours_rh_8 <= 1", "hours_rh_80 = 1", "hours_rh_80 <= -1"]
)
def test_wrong_criteria(text: str) -> None:
    """What is no criterion is refused."""
    with pytest.raises(InputError):
        read_criterion(text)


@pytest.mark.parametrize(
    "path", sorted(data_folder("examples").glob("*.toml")), ids=lambda p: p.stem
)
def test_levers_are_assemblies(path: object) -> None:
    """What is tried instead is an assembly, and another one than the file, for every example."""
    base = read_assembly(str(path))
    found = levers(base)
    assert {"the inside finish", "the setpoint"} <= {one.words for one in found}
    for one in found:
        assert one.data != base.data, one.words
        resolve(assembly_from_data(one.data, folder=base.folder))


def test_strongest_lever_is_named() -> None:
    """Of what was tried, that which moves the number most is said to decide."""
    base = {"hours_rh_80": 200.0, "nearness": 0.1}
    tried = [
        ("the setpoint", "70 degF", {"hours_rh_80": 230.0, "nearness": 0.11}),
        ("the inside finish", "polyethylene inside", {"hours_rh_80": 900.0, "nearness": 0.6}),
    ]
    told = " ".join(lever_lines(DAMP, base, tried))
    assert "Of these, the inside finish decides most." in told
    idle = " ".join(lever_lines(DAMP, base, [("x", "y", base)]))
    assert "None of these decides either." in idle


def test_water_of_an_answer() -> None:
    """365 g/m2 in a year are 1 g/m2 day, and of 36.5 kg/m2 of driving rain 1 %."""
    told = " ".join(water_line({"leaked": 0.365, "rain": 36.5}, "si"))
    assert "1 g/m2 day" in told
    assert "1 % of the driving rain" in told
    assert water_line({"leaked": 0.0, "rain": 36.5}, "si") == []


@pytest.mark.parametrize(
    ("text", "offered"),
    [("hours_rh80 <= 3", "'hours_rh_80'"), ("qqqq <= 3", "name one of verdict, nearness")],
)
def test_unknown_measure_is_answered_with_known_ones(text: str, offered: str) -> None:
    """With those near by name; with all of them where none is."""
    with pytest.raises(InputError, match="is no measure") as told:
        read_criterion(text)
    assert offered in told.value.faults[0].remedy
