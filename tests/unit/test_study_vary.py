"""Fields by path, values they are varied over, and what follows from a changed file."""

from __future__ import annotations

from typing import Any

import pytest

from moistwall.assembly import Assembly, assembly_from_data, read_assembly, resolve
from moistwall.errors import InputError
from moistwall.library import data_folder
from moistwall.study.changing import changed
from moistwall.study.fields import find_fields
from moistwall.study.sweep import faults_of, plan_sweep
from moistwall.study.vary import Vary, read_between, read_vary


def wall(name: str = "wall") -> Assembly:
    """Read an example."""
    return read_assembly(data_folder("examples") / f"heron-point-{name}.toml")


def after(base: Assembly, *changes: tuple[str, str]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Change a file, and see that what comes out is an assembly."""
    data, notes = changed(base, changes)
    resolve(assembly_from_data(data, file=base.file, folder=base.folder))
    return data, notes


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("layer[2].thickness = 0 in .. 2 in step 1/2 in", ["0 in", "0.5 in", "1 in", "1.5 in", "2 in"]),
        ("layer[2].thickness = 0 in .. 1 1/2 in step 3/4 in", ["0 in", "0.75 in", "1.5 in"]),
        ("room.temperature = 70 degF .. 74 degF step 2 degF", ["70 degF", "72 degF", "74 degF"]),
        ("room.humidity=40%..42%step 1 %", ["40 %", "41 %", "42 %"]),
        ("leakage.exponent = 0.5 .. 0.7 step 0.1", ["0.5", "0.6", "0.7"]),
        ("facing = south, north-west", ["south", "north-west"]),
        ('outside.color = "white", "dark"', ["white", "dark"]),
        ("layer[2].start = 19 %MC, 25 %MC", ["19 %MC", "25 %MC"]),
    ],
)  # fmt: skip
def test_values(text: str, values: list[str]) -> None:
    """A range holds both of its ends, exactly; a list is what it says."""
    found = read_vary(text)
    assert list(found.values) == values
    assert len(found.values) == len(values)
    assert found.values[-1] == values[-1]


def test_a_tenth_adds_up() -> None:
    """Steps of a tenth reach the end of a long range without round-off."""
    assert read_vary("layer[1].thickness = 0 mm .. 100 mm step 0.1 mm").values[1000] == "100 mm"


def test_a_huge_range_costs_nothing() -> None:
    """Ten million values are counted without being written out."""
    found = read_vary("layer[2].depth = 10 mm .. 110 mm step 0.00001 mm")
    assert len(found.values) == 10_000_001
    with pytest.raises(IndexError):
        found.values[10_000_001]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("layer[2].thicknes = 1 in", "did you mean 'layer[...].thickness'"),
        ("room.temp = 75 degF", "did you mean 'room.temperature'"),
        ("layer.thickness = 1 in", "names no field"),
        ("layer[2.thickness = 1 in", "is no path"),
        ("layer[2].thickness", "does not say"),
        ("layer[2].thickness = 0 perm .. 4 perm step 1 perm", "'perm' is the unit of a vapor permeance"),
        ("layer[2].thickness = 0 in .. 1 in", "range without a step"),
        ("layer[2].thickness = 0 in .. 1 in step 1 mm", "more than one unit"),
        ("layer[2].thickness = 1 in .. 0 in step 1 in", "does not rise"),
        ("layer[2].thickness = 0 in .. 1 in step 0 in", "does not rise"),
        ("layer[2].thickness = 0 in .. 1 in step 0.3 in", "do not reach"),
        ("layer[2].thickness = 0 .. 1 step 1", "has no unit"),
        ("layer[2].thickness = 1 in, 25.4 mm", "value twice"),
        ("layer[2].thickness = 1 in,, 2 in", "empty value"),
        ("layer[2].thickness = 1/0 in .. 2 in step 1 in", "divides by zero"),
        ("facing = south .. west step 1", "does not begin with a number"),
    ],
)  # fmt: skip
def test_wrong_text(text: str, said: str) -> None:
    """Each mistake has its own message."""
    with pytest.raises(InputError, match=r".") as caught:
        read_vary(text)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("which", "places"), [("3", [2]), ("outer foam", [2]), ("Outer-Foam", [2]), ("fiber cement", [0]),
                          ("polyiso,*", [2, 3]), ("*foam,*", [2, 3]), ("gypsum", [6])],
)  # fmt: skip
def test_entries(which: str, places: list[int]) -> None:
    """A layer is found by number, id, material, words or pattern, whatever its spelling."""
    found = find_fields(wall().data, f"layer[{which}].thickness")
    assert [place[1] for place in found.places] == places


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("layer[polyiso].thickness", "layer[3] 'outer foam' and layer[4] 'inner foam'"),
        ("layer[poliso].thickness", "names none of"),
        ("layer[19].thickness", "there are 8"),
        ("layer[0].thickness", "there are 8"),
        ("rain.behind[1].share", "there is no [[rain.behind]] in this file"),
    ],
)
def test_no_single_entry(path: str, said: str) -> None:
    """A path that means none or several is told, with the numbers and names of several."""
    with pytest.raises(InputError, match=r".") as caught:
        find_fields(wall().data, path)
    assert said in str(caught.value)


def test_total_is_split() -> None:
    """A thickness for all that match is shared evenly, and that is told."""
    data, notes = after(wall(), ("layer[polyiso,*].thickness", "3 in"))
    assert [data["layer"][k]["thickness"] for k in (2, 3)] == ["1.5 in", "1.5 in"]
    assert any("1.5 in for each of 2" in note for note in notes)


def test_base_is_left_alone() -> None:
    """A variant changes nothing in the file that it is made from."""
    base = wall()
    after(base, ("layer[polyiso,*].thickness", "0 in"))
    assert base.data["layer"][2]["thickness"] == "1 in"
    assert len(base.data["layer"]) == 8


def test_no_thickness_is_no_layer() -> None:
    """At zero the board is gone with its facers; the next layer inward keeps the rain out, and it is told."""
    data, notes = after(wall(), ("layer[polyiso,*].thickness", "0 in"))
    section = resolve(assembly_from_data(data))
    assert not any("foam" in part.name for part in section.parts)
    assert data["water_control"]["layer"] == "sheathing"
    assert "outer foam: no thickness, so its core and its facers are gone" in notes
    assert any("now sheathing" in note for note in notes)


def test_without_foam_is_the_example_without_foam() -> None:
    """A wall whose foam is set to zero has the parts of the example that was drawn without."""
    data, _ = after(wall(), ("layer[polyiso,*].thickness", "0 mm"))
    drawn = resolve(wall("wall-no-foam"))
    mine = resolve(assembly_from_data(data))
    assert [part.name for part in mine.parts] == [part.name for part in drawn.parts]
    assert mine.water_control == drawn.water_control


def test_places_of_leaks_move() -> None:
    """A leak between foam and sheathing lies between gap and sheathing once the foam is gone."""
    base = wall("wall-leak-behind-foam")
    data, notes = after(base, ("layer[polyiso,*].thickness", "0 in"))
    assert data["rain"]["behind"][0]["between"] == ["rainscreen gap", "sheathing"]
    assert data["event"][0]["between"] == ["rainscreen gap", "sheathing"]
    assert any(note.startswith("rain.behind[1].between") for note in notes)


def test_leak_lies_where_one_sheet_was() -> None:
    """With only the inner sheet gone, the leak lies behind the outer one."""
    data, _ = after(wall("wall-leak-behind-foam"), ("layer[inner foam].thickness", "0 in"))
    assert data["rain"]["behind"][0]["between"] == ["outer foam", "sheathing"]


def test_field_that_is_not_in_the_file() -> None:
    """A known field that the file leaves out may be set; a table that is added by it is told."""
    base = wall("wall-no-foam")
    data, notes = after(base, ("outside.color", "dark"), ("room.humidity", "60 %"))
    assert data["outside"] == {"color": "dark"}
    assert data["room"]["humidity"] == "60 %"
    assert any("[outside]" in note for note in notes)
    assert not any("[room]" in note for note in notes)


def test_the_same_field_twice() -> None:
    """Two paths that mean one field are refused."""
    with pytest.raises(InputError, match="is the same field"):
        changed(wall(), [("layer[3].thickness", "1 in"), ("layer[outer foam].thickness", "2 in")])


def test_two_gaps_in_touch() -> None:
    """A layer between two gaps cannot go: the mistake of the variant is told like that of a file."""
    base = wall()
    data = {**base.data, "layer": [*base.data["layer"]]}
    data["layer"][3:3] = [{"gap": "sealed", "depth": "1 in"}]
    told = faults_of(assembly_from_data(data), [("layer[outer foam].thickness", "0 in")])
    assert [one.problem for one in told] == ["'sealed gap': a gap cannot lie against another gap"]


def test_plan_refuses_all_wrong_values_together() -> None:
    """Every value that the file could not hold is told before anything is run."""
    varied = [Vary("layer[1].thickness", ("1 in", "600 in", "700 in"), "")]
    with pytest.raises(InputError) as caught:
        plan_sweep(wall(), varied, {})
    assert [fault.value for fault in caught.value.faults] == ["600 in", "700 in"]
    assert all(fault.field == "layer[1].thickness" for fault in caught.value.faults)


def test_plan_refuses_three_fields() -> None:
    """One field or two, no more."""
    varied = [read_vary(f"layer[{k}].thickness = 1 in") for k in (1, 3, 4)]
    with pytest.raises(InputError, match="3 fields"):
        plan_sweep(wall(), varied, {})


def test_ends_of_a_search() -> None:
    """Two ends come as numbers in their unit; ends of two units or in the wrong order are refused."""
    assert read_between("room.temperature", "68 degF", "78 degF") == ("degF", 68.0, 78.0)
    for low, high, said in (
        ("1 in", "30 mm", "two units"),
        ("2 in", "1 in", "not below"),
        ("1 perm", "2 perm", "perm"),
    ):
        with pytest.raises(InputError, match=said):
            read_between("layer[1].thickness", low, high)
    with pytest.raises(InputError, match="holds no quantity"):
        read_between("outside.color", "white", "dark")
