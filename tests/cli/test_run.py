"""``moistwall run`` as a user meets it: exit codes, the report, the files, the summary."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from weather import without_rain

from moistwall.cli import main
from moistwall.climate.table import write_table
from moistwall.show.cautions import TYPICAL_YEAR

KEYS = {
    "name": str,
    "side": str,
    "condensation_risk_hours": int,
    "condensing_hours": int,
    "liquid_hours": int,
    "hours_rh_80": int,
    "hours_rh_90": int,
    "hours_rh_95": int,
    "longest_wet_hours": int,
    "contact_hours_outdoor_air": int,
    "contact_hours_room_air": int,
    "temperature_mean_degC": float,
    "rh_mean": float,
}


def moistwall(*arguments: str) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(main, arguments)


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """One run of the example wall with everything it can write."""
    folder = tmp_path_factory.mktemp("run")
    result = moistwall(
        "run",
        "examples/heron-point-wall.toml",
        "--climate",
        "miami",
        "--json",
        str(folder / "out.json"),
        "--out",
        str(folder / "wall"),
    )
    return result, folder


@pytest.fixture(scope="module")
def data(ran: tuple[Result, Path]) -> dict[str, Any]:
    """The summary that it wrote."""
    content: dict[str, Any] = json.loads((ran[1] / "out.json").read_text(encoding="utf-8"))
    return content


def test_run_ends_with_0_and_prints_the_report(ran: tuple[Result, Path]) -> None:
    """The report names the wall, the year, the interfaces, the gap, the closure and the cautions."""
    result, _ = ran
    assert result.exit_code == 0, result.output
    for text in (
        "Heron Point classroom, south wall",
        "NREL TMY2, station 12839",
        "sheltered outdoor air",
        "inner foam | sheathing",
        "drying potential",
        "carried off",
        "Closure: moisture",
        "110 air changes per hour",
        "From memory",
        "licensed design professional",
    ):
        assert text in result.output
    assert "safe" not in result.output.lower()


def test_report_fits_80_columns(ran: tuple[Result, Path]) -> None:
    """No line of the report is longer than a terminal is wide."""
    lines = [line for line in ran[0].stdout.splitlines() if not line.startswith("wrote")]
    assert max(map(len, lines)) <= 80


def test_folder_holds_pictures_table_and_summary(ran: tuple[Result, Path]) -> None:
    """Two pictures as PNG and SVG, the hourly table and the summary, and nothing else."""
    folder = ran[1] / "wall"
    assert sorted(path.name for path in folder.iterdir()) == [
        "hourly.csv",
        "humidity.png",
        "humidity.svg",
        "section.png",
        "section.svg",
        "summary.json",
    ]
    assert (folder / "section.png").read_bytes().startswith(b"\x89PNG")
    assert "sheathing, 7/16 in" in (folder / "section.svg").read_text(encoding="utf-8")
    assert (folder / "summary.json").read_bytes() == (ran[1] / "out.json").read_bytes()


def test_hourly_table_has_a_row_an_hour(ran: tuple[Result, Path]) -> None:
    """8,760 rows with unit-bearing columns, the first stamped 1,1,1."""
    with (ran[1] / "wall" / "hourly.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert len(rows) == 8761
    assert rows[1][:3] == ["1", "1", "1"]
    assert rows[-1][:3] == ["12", "31", "24"]
    assert rows[0][3:5] == ["outdoor air temperature_degF", "outdoor air relative_humidity_percent"]
    assert all(len(row) == len(rows[0]) for row in rows)


def test_summary_holds_every_number_of_the_report(data: dict[str, Any]) -> None:
    """Balances, solver, interfaces and rainscreen stand under their names, with their types."""
    assert 0 <= data["balance"]["moisture_relative"] <= 1e-9
    assert 0 <= data["balance"]["heat_relative"] <= 1e-6
    assert 0 <= data["balance"]["storage_drift"] <= 1e-3
    for key, kind in (("seconds", float), ("wall_years", int), ("steps", int), ("rejected", int)):
        assert isinstance(data["solver"][key], kind)
    assert data["solver"]["wall_years"] >= 2
    assert data["solver"]["steps"] >= 8760
    for row in data["interfaces"]:
        for key, kind in KEYS.items():
            assert isinstance(row[key], kind), key
        assert 0 <= row["hours_rh_95"] <= row["hours_rh_90"] <= row["hours_rh_80"] <= 8760
        low, high = row["hours_rh_80_range"]
        assert low <= row["hours_rh_80"] <= high
    for key in ("drying_potential_kg_m2", "removed_kg_m2"):
        assert len(data["rainscreen"][key]) == 12
    assert min(data["rainscreen"]["drying_potential_kg_m2"]) > 0
    assert data["sheltered_outdoor_air"]["hours_rh_80"] == pytest.approx(2763, abs=30)


def test_sheathing_behind_two_inches_of_foil_foam_is_far_from_wet(data: dict[str, Any]) -> None:
    """In this year, without rain or leaks, the sheathing never reaches 80 % RH."""
    rows = [row for row in data["interfaces"] if row["part"] == "sheathing"]
    assert len(rows) == 2
    assert all(row["hours_rh_80"] == 0 for row in rows)


def test_si_report_differs_in_units_only(tmp_path: Path) -> None:
    """With --units si temperatures are in degC and water in kg/m2; the summary stays the same."""
    result = moistwall(
        "run",
        "heron-point-wall",
        "--climate",
        "miami",
        "--units",
        "si",
        "--json",
        str(tmp_path / "x"),
    )
    assert result.exit_code == 0
    assert "degC" in result.stdout
    assert "kg/m2" in result.stdout
    answers = result.stdout.partition("Hours of the year")[
        2
    ]  # behind what the weather says of itself
    assert answers
    assert "Btu/(h ft2 degF)" in answers  # U is told in both
    assert "degF" not in answers.replace("Btu/(h ft2 degF)", "")


def test_json_to_the_terminal_is_nothing_but_json() -> None:
    """--json - prints the summary alone, ready for a pipe."""
    result = moistwall("run", "heron-point-roof", "--climate", "miami", "--json", "-")
    assert json.loads(result.stdout)["section"]["tilt_deg"] < 90


def test_quiet_prints_nothing() -> None:
    """--quiet leaves the terminal alone."""
    result = moistwall("run", "heron-point-roof", "--climate", "miami", "--quiet")
    assert (result.exit_code, result.output) == (0, "")


def test_example_is_found_from_an_empty_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shipped example runs by its name where no such file is, and leaves nothing behind."""
    monkeypatch.chdir(tmp_path)
    result = moistwall("run", "examples/heron-point-roof.toml", "--climate", "miami", "--quiet")
    assert result.exit_code == 0
    assert list(tmp_path.iterdir()) == []


def test_help_names_every_option() -> None:
    """Each option stands in the help with a text."""
    result = moistwall("run", "--help")
    for option in ("--climate", "--out", "--json", "--units", "--criteria", "--rooms", "--quiet"):
        assert option in result.stdout


def test_unwritable_output_is_one_line(tmp_path: Path) -> None:
    """A file where the folder should be: one message, exit 2, the file untouched."""
    (tmp_path / "there").write_text("mine", encoding="utf-8")
    target = tmp_path / "there" / "out.json"
    result = moistwall("run", "heron-point-roof", "--climate", "miami", "--json", str(target))
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr
    assert (tmp_path / "there").read_text(encoding="utf-8") == "mine"


def test_year_without_rain_says_so(tmp_path: Path) -> None:
    """A year without rain depths is run with the words 'no rain known', in the report and the summary."""
    path, summary = tmp_path / "dry.csv", tmp_path / "out.json"
    write_table(without_rain(), path)
    result = moistwall("run", "heron-point-roof", "--climate", str(path), "--json", str(summary))
    assert result.exit_code == 0, result.output
    assert "no rain known" in result.stdout
    assert TYPICAL_YEAR in " ".join(result.stdout.split())
    notes = json.loads(summary.read_text(encoding="utf-8"))["climate"]["notes"]
    assert any("no rain known" in note for note in notes)


def test_year_with_rain_does_not_say_that_none_is_known(ran: tuple[Result, Path]) -> None:
    """The Miami year has rain depths, so nothing of the kind is said."""
    assert "no rain known" not in ran[0].stdout
    assert TYPICAL_YEAR in " ".join(ran[0].stdout.split())


def test_rooms_are_run_beside(tmp_path: Path) -> None:
    """--rooms judges a cold room and a damp one as well, on the screen and in the summary."""
    file = tmp_path / "out.json"
    result = moistwall(
        "run",
        "heron-point-wall-no-foam-vinyl",
        "--climate",
        "miami",
        "--rooms",
        "--json",
        str(file),
    )
    assert result.exit_code == 0, result.output
    screen = result.stdout.splitlines()[:24]
    assert any("70 degF" in line for line in screen)
    verdict = json.loads(file.read_text(encoding="utf-8"))["verdict"]
    assert [room["room"][:7] for room in verdict["rooms"]] == ["70 degF", "75 degF"]
    assert all(room["overall"] != "dries" for room in verdict["rooms"])


def test_own_criteria_are_taken(tmp_path: Path) -> None:
    """--criteria FILE judges by that file; one with a mistake is refused before anything is computed."""
    rules = tmp_path / "rules.toml"
    rules.write_text(
        """
name = "local"
[[criterion]]
name = "damp sheathing"
quantity = "hours at humidity"
threshold = "40 %"
kinds = ["sheathing"]
limit = "10 h"
marginal = "1 h"
source = "invented"
quality = "estimate"
""",
        encoding="utf-8",
    )
    arguments = ("run", "heron-point-roof", "--climate", "miami", "--criteria", str(rules))
    result = moistwall(*arguments)
    assert result.exit_code == 0, result.output
    assert "[#] STAYS WET, by the criteria 'local'" in result.stdout
    rules.write_text(rules.read_text(encoding="utf-8").replace("10 h", "10"), encoding="utf-8")
    refused = moistwall(*arguments)
    assert refused.exit_code == 2
    assert "criterion[1].limit" in refused.stderr


def test_what_needs_no_simulation_stands_in_both(
    ran: tuple[Result, Path], data: dict[str, Any]
) -> None:
    """Summary and report of a run hold what ``check`` finds, and set the monthly method beside the hours."""
    checked = moistwall(
        "check", "examples/heron-point-wall.toml", "--climate", "miami", "--json", "-"
    )
    alone = json.loads(checked.stdout)
    assert data["check"] == {key: alone[key] for key in data["check"]}
    assert data["check"]["thermal"]["transmittance_W_m2K"] > 0.0
    told = " ".join(ran[0].stdout.split())
    assert data["steady_beside_hourly"] in told
    assert "Can it dry? Wet-cup permeance" in told


def test_a_year_without_its_option_is_answered_with_it() -> None:
    """The slip of leaving out --climate is told as what it is."""
    found = CliRunner().invoke(main, ["run", "heron-point-wall", "new-orleans"])
    assert found.exit_code == 2
    assert "(new-orleans); a year of weather stands behind --climate" in found.stderr
    other = CliRunner().invoke(main, ["schema", "new-orleans", "more"])
    assert "--climate" not in other.stderr
