"""``moistwall run`` on files of weather that a user brings."""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from epw_files import epw_text

from moistwall.cli import main

spec = find_spec("pvlib")
assert spec is not None
assert spec.origin is not None
DATA = Path(spec.origin).parent / "data"
BESIDE = Path(__file__).parents[3] / "shared" / "weather"


def run(climate: Path | str, *more: str) -> Result:
    """Run the shipped roof through a year."""
    return CliRunner().invoke(main, ["run", "heron-point-roof", "--climate", str(climate), *more])


def notes(climate: Path | str, *more: str) -> str:
    """Notes of the year in the summary of a run."""
    result = run(climate, "--json", "-", *more)
    assert result.exit_code == 0, result.output
    return " | ".join(json.loads(result.stdout)["climate"]["notes"])


def test_tmy2_with_and_without_made_up_depths() -> None:
    """The raw TMY2 of Miami gets its normals; as read it has no depths, and none is known."""
    path = DATA / "12839.tm2"
    assert "scaled to the normals of Miami, Florida" in notes(path)
    assert "no rain known: the file has no depths of rain" in notes(path, "--rain", "as-read")


def test_report_says_that_no_rain_is_known(tmp_path: Path) -> None:
    """The printed report of an EPW year without rain says 'no rain known', not 'dry'."""
    path = tmp_path / "year.epw"
    path.write_text(epw_text(fields=32, f27="9"), encoding="utf-8", newline="")
    result = run(path)
    assert result.exit_code == 0, result.output
    assert "no rain known: the file has no depths of rain" in result.stdout
    assert "weather: EPW, invented, station 999999" in result.stdout


def test_wrong_year_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    """Seven missing hours of a TMY3 year: exit 2, column and first hour named, no folder."""
    lines = (DATA / "723170TYA.CSV").read_text(encoding="utf-8").splitlines()
    column = lines[1].split(",").index("Dry-bulb (C)")
    for number in range(100, 107):
        cells = lines[number].split(",")
        cells[column] = "-9900"
        lines[number] = ",".join(cells)
    path = tmp_path / "year.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    result = run(path, "--out", str(tmp_path / "out"))
    assert result.exit_code == 2
    assert "Dry-bulb (C), from month 1, day 5, hour 3: gap too long to be filled" in result.output
    assert not (tmp_path / "out").exists()


def test_rain_has_two_ways() -> None:
    """Another word than normals or as-read is a usage error."""
    assert run("miami", "--rain", "doubled").exit_code == 2


@pytest.mark.weather_files
def test_raw_tmy3_of_mobile() -> None:
    """The raw file of Mobile runs; the report tells which months of its rain are doubtful."""
    path = BESIDE / "AL-Mobile_Regional_Ap.tmy3"
    if not path.is_file():
        pytest.skip("the TMY3 files of other stations are not here")
    told = notes(path)
    assert "10 months scaled to the normals of Mobile" in told
    assert "rain of October is doubtful" in told
