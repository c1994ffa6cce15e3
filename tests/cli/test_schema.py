"""``moistwall schema``: what it prints is a schema, and what a run writes fits it."""

from __future__ import annotations

import copy
import json
import tomllib
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner
from heron_point import example, miami, year

from moistwall.assembly import load_paths, load_stages
from moistwall.assess.check import check_paths
from moistwall.cli import main
from moistwall.criteria_file import find_criteria
from moistwall.library import data_folder
from moistwall.result import Result
from moistwall.show.summary import summary
from moistwall.simulate import simulate
from moistwall.study.judged import judge_run
from moistwall.study.rooms import room_pairs
from moistwall.study.whole_run import WholeRun


def printed(*arguments: str) -> dict[str, Any]:
    """Return the schema that the command prints."""
    ran = CliRunner().invoke(main, ["schema", *arguments], catch_exceptions=False)
    assert ran.exit_code == 0
    schema: dict[str, Any] = json.loads(ran.stdout)
    return schema


def faults(data: object) -> list[str]:
    """Return what is wrong with a summary by the printed schema."""
    validator = jsonschema.Draft202012Validator(printed("--result"))
    return [error.message for error in validator.iter_errors(data)]


def as_json(run: WholeRun) -> dict[str, Any]:
    """Return the summary of a run as a program reads it."""
    text = json.dumps(summary(run.clear, run, judge_run(run, find_criteria())), allow_nan=False)
    data: dict[str, Any] = json.loads(text)
    return data


@pytest.fixture(scope="module")
def whole() -> dict[str, Any]:
    """Return a summary in which nothing is missing: studs, tests, leaks, other rooms."""
    path = data_folder("examples") / "heron-point-wall-all-loads.toml"
    clear, stud = load_paths(path)
    labels = [label for label, _ in load_stages(path)]
    assert stud.framing is not None
    result = year("wall-all-loads")
    rooms = tuple((name, result) for name, _ in room_pairs(clear, miami()))
    return as_json(
        WholeRun(
            result,
            simulate(stud, miami(), most_years=1),
            stud.framing.share,
            tuple((label, result) for label in labels),
            rooms,
            check_paths([clear, stud], miami()),
        )
    )


def test_both_schemas_are_schemas() -> None:
    """What is printed is valid JSON schema, draft 2020-12."""
    for arguments in ((), ("--result",)):
        schema = printed(*arguments)
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize(
    "path", sorted(data_folder("examples").glob("*.toml")), ids=lambda path: path.stem
)
def test_examples_fit_the_schema_of_assembly_files(path: Any) -> None:
    """Every shipped example is valid by the schema that editors would check it with."""
    validator = jsonschema.Draft202012Validator(printed())
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert [error.message for error in validator.iter_errors(data)] == []


def test_whole_summary_fits(whole: dict[str, Any]) -> None:
    """A summary with studs, tests, leaks of rain and air, and other rooms has every key and no other."""
    assert whole["studs"] is not None
    assert whole["stages"]
    assert whole["air_carried"] is not None
    assert whole["verdict"]["rooms"]
    assert whole["verdict"]["cause"] is not None
    assert whole["check"]["steady"] is not None
    assert faults(whole) == []


@pytest.mark.parametrize("name", ["wall", "roof", "attic", "wall-no-foam-vinyl"])
def test_summaries_of_examples_fit(name: str) -> None:
    """So do those of walls and roofs in which much of it is missing; without a verdict too."""
    assert faults(as_json(WholeRun(year(name)))) == []
    assert faults(json.loads(json.dumps(summary(year(name))))) == []


def test_section_without_gap_and_wood_fits() -> None:
    """A single board of gypsum has neither gap nor wood nor water-control layer."""
    board = example("wall").layers[-1]
    bare = type(example("wall"))("board", (board,))
    result: Result = simulate(bare, miami(), most_years=1)
    data = as_json(WholeRun(result))
    assert (data["wood"], data["gaps"], data["rainscreen"]) == ([], [], None)
    assert faults(data) == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("moistwall",), 1),
        (("verdict", "overall"), "safe"),
        (("interfaces", 0, "hours_rh_80"), 8761),
        (("interfaces", 0, "hours_rh_80_range"), [1]),
        (("mold", 0, "class"), "delicious"),
        (("wood", 0, "limits_kg_kg"), [0.2]),
        (("water_by_layer", 0, "air_kg_m2"), [0.0] * 11),
        (("verdict", "clear", "criteria", 0, "unit"), "inch"),
        (("new_key",), 1.0),
    ],
)
def test_wrong_summaries_do_not_fit(
    whole: dict[str, Any], path: tuple[str | int, ...], value: object
) -> None:
    """The schema is tight: a wrong kind, word, length or key is found."""
    data = copy.deepcopy(whole)
    at: Any = data
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    assert len(faults(data)) >= 1


def test_every_missing_key_is_found(whole: dict[str, Any]) -> None:
    """No key at the top of the summary may be left out."""
    for key in whole:
        data = {name: value for name, value in whole.items() if name != key}
        assert len(faults(data)) == 1
