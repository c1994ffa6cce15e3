"""``moistwall dry-out``: the days a wet layer takes, and what is refused."""

import json

import pytest
from click.testing import CliRunner

from moistwall import load_section
from moistwall.cli import main
from moistwall.library import data_folder
from moistwall.show.dry_out import shown_water

WALL = ["dry-out", "heron-point-wall", "--climate", "miami", "--quiet"]
ROOF = data_folder("examples") / "heron-point-roof-over.toml"
STAGES = data_folder("examples") / "stages" / "flooded-classroom.toml"


def run(*more):
    return CliRunner().invoke(main, [*WALL, *more])


def test_one_layer_dries(tmp_path):
    """Slightly damp sheathing reaches its target; the JSON has days, water and closure."""
    file = tmp_path / "dry.json"
    found = run(
        "--wet", "sheathing", "--start", "17 %MC", "--target", "16 %MC", "--json", str(file)
    )
    assert found.exit_code == 0, found.output
    data = json.loads(file.read_text(encoding="utf-8"))
    stage = data["stages"][0]
    assert data["dry"]
    assert data["days"] == stage["days"] > 0
    assert stage["balance"]["moisture_relative"] < 1e-9
    sheathing = next(layer for layer in stage["layers"] if layer["name"] == "sheathing")
    share = [x / sheathing["density_kg_m3"] for x in sheathing["content_by_day_kg_m3"]]
    assert share[0] == pytest.approx(0.17, rel=1e-3)
    assert share[-1] <= 0.16


def test_percent_of_wood_is_told_apart():
    """A plain percentage for wood is said to be humidity; with %MC, or where --quiet is given, nothing is."""
    line = ["--wet", "sheathing", "--start", "82 %", "--target", "16 %MC"]
    told = CliRunner().invoke(main, [*WALL[:-1], *line])
    assert told.exit_code == 0, told.output
    assert (
        "note: 82 % is the humidity in its pores; of the mass of dry wood write 82 %MC"
        in told.stderr
    )
    assert "note: 16" not in told.stderr
    assert "note:" not in run(*line).stderr


def test_columns_of_next_to_no_water_stay_apart():
    """A layer that holds next to nothing, such as sheet metal, leaves a space between its numbers."""
    steel = next(one for one in load_section(ROOF).layers if not one.material.wood)
    assert len(shown_water(steel, 0.000121)) < 8
    assert shown_water(steel, 0.0) == "0"
    assert shown_water(steel, 0.0125) == "0.0125"


@pytest.mark.slow
def test_the_flooded_classroom():
    """The shipped stages of a flood run to their end, new wool and board being dry."""
    found = CliRunner().invoke(
        main, [*WALL[:-1], "--on", "Sep 12", "--stages", str(STAGES), "--json", "-"]
    )
    assert found.exit_code == 0, found.output
    data = json.loads(found.stdout)
    assert data["dry"]
    assert [stage["reached"] for stage in data["stages"]] == [True] * 4
    last = {layer["name"]: layer for layer in data["stages"][-1]["layers"]}
    assert last["gypsum board"]["content_by_day_kg_m3"][0] < 10.0


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--wet", "sheathing", "--start", "30 %MC"], "--target: is missing"),
        (["--start", "30 %MC", "--target", "16 %MC"], "--wet: is missing"),
        (["--wet", "sheathing", "--target", "16 %MC"], "--start: is missing"),
        (["--wet", "plaster", "--start", "30 %MC", "--target", "16 %MC"], "--wet: is no layer"),
        (["--wet", "sheathing", "--start", "300 %MC", "--target", "16 %MC"], "--start: is more water than"),
        (["--wet", "sheathing", "--start", "wet", "--target", "16 %MC"], "wet"),
        (["--stages", "nowhere.toml"], "there is no such file"),
        (["--stages", str(STAGES), "--target", "16 %MC"], "beside --stages"),
        (["--wet", "sheathing", "--start", "20 %MC", "--target", "16 %MC", "--on", "Feb 30"], "--on"),
    ],
)  # fmt: skip
def test_bad_input_is_told(options, told):
    """Each mistake is one line that names the option, and exit code 2."""
    found = CliRunner().invoke(main, [*WALL[:-1], *options])
    assert found.exit_code == 2
    assert told in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize(
    ("stage", "told"),
    [
        ('name = "x"', "neither lasts nor waits"),
        ('name = "x"\nlasts = "3 days"\nuntil = "16 %MC"\nlayer = "sheathing"', "waits as well"),
        ('name = "x"\nuntil = "16 %MC"', "belong together"),
        ('name = "x"\nlasts = 3', "3"),
        ('name = "x"\nlasts = "3 days"\nremove = ["plaster"]', "is no part"),
        ('name = "x"\nlasts = "3 days"\nroom = { humidity = "140 %" }', "must lie between"),
    ],
)
def test_bad_stages_are_told(tmp_path, stage, told):
    """Each mistake of a stages file is told with what would be right."""
    file = tmp_path / "stages.toml"
    file.write_text(f"[[stage]]\n{stage}\n", encoding="utf-8")
    found = CliRunner().invoke(main, [*WALL[:-1], "--stages", str(file)])
    assert found.exit_code == 2
    assert told in found.stderr
