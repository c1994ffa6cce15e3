"""``moistwall climates`` as a user meets it: the list, one year, its page, the template, wrong input."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from weather import with_showers, without_rain

from moistwall.cli import main
from moistwall.climate.table import write_table
from moistwall.library import climate_names
from moistwall.show.cautions import TYPICAL_YEAR
from moistwall.show.climate_page import FILES


def moistwall(*arguments: str) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(main, arguments)


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A climate table with invented showers."""
    path = tmp_path_factory.mktemp("climate") / "showers.csv"
    write_table(with_showers(), path)
    return path


@pytest.fixture(scope="module")
def page(table: Path) -> tuple[Result, Path]:
    """The page of that table, in SI, with its numbers beside it."""
    folder = table.parent / "page"
    numbers = table.parent / "numbers.json"
    told = moistwall(
        "climates", str(table), "--out", str(folder), "--json", str(numbers), "--units", "si"
    )
    return told, folder


@pytest.fixture(scope="module")
def listed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, dict[str, Any], float]:
    """The list of all shipped years, its numbers, and how long it took."""
    numbers = tmp_path_factory.mktemp("list") / "years.json"
    start = time.perf_counter()
    told = moistwall("climates", "--json", str(numbers))
    seconds = time.perf_counter() - start
    return told, json.loads(numbers.read_text(encoding="utf-8")), seconds


def test_list_has_every_shipped_year(listed: tuple[Result, dict[str, Any], float]) -> None:
    """Each year stands with its fingerprint, place, kind and source; the caution is there."""
    told, data, _ = listed
    assert told.exit_code == 0, told.output
    lines = told.stdout.splitlines()
    for name in climate_names():
        assert sum(line.startswith(f"{name} ") for line in lines) == 1
        assert sum(line.startswith(f"{name}: ") for line in lines) == 1
    assert [year["name"] for year in data["climates"]] == climate_names()
    assert TYPICAL_YEAR in " ".join(told.stdout.split())
    assert max(map(len, lines)) <= 80
    (miami,) = (year for year in data["climates"] if year["name"] == "miami")
    assert miami["kind"] == "typical year, measured"
    assert miami["fingerprint"]["hours_dew_point_over_24_degC"] == 257


def test_list_is_there_in_some_seconds(listed: tuple[Result, dict[str, Any], float]) -> None:
    """All shipped years are listed within 10 s; on two cores of 2020 it takes about two."""
    assert listed[2] < 10.0


def test_page_and_its_files(page: tuple[Result, Path]) -> None:
    """The page, three pictures as PNG and SVG and the numbers, and nothing else, are written."""
    told, folder = page
    assert told.exit_code == 0, told.output
    assert sorted(path.name for path in folder.iterdir()) == sorted(FILES)
    assert "miami with showers" in (folder / "index.html").read_text(encoding="utf-8")
    numbers = (folder.parent / "numbers.json").read_bytes()
    assert numbers == (folder / "summary.json").read_bytes()
    data = json.loads(numbers)
    assert data["fingerprint"]["rain_mm"] == pytest.approx(736.0)
    assert len(data["driving_rain_on_walls_kg_m2"]) == 12
    assert {len(row) for row in data["sun_on_walls_kWh_m2"]} == {8}
    assert "736 mm" in told.stdout
    assert "degF" not in told.stdout.replace("75 degF", "")


def test_text_of_a_shipped_year() -> None:
    """With a name and no folder the text is printed, in inch-pound, and nothing is written."""
    told = moistwall("climates", "Miami")
    assert told.exit_code == 0, told.output
    for words in ("miami: Miami, Florida", "75.8 degF", "kBtu/ft2", "inward", TYPICAL_YEAR):
        assert words in told.stdout
    assert told.stderr == ""


def test_year_without_rain_says_so(tmp_path: Path) -> None:
    """A table without a column of rain is told as 'no rain known', in the terminal and on the page."""
    path = tmp_path / "dry.csv"
    write_table(without_rain(), path)
    told = moistwall("climates", str(path), "--out", str(tmp_path / "page"))
    assert told.exit_code == 0, told.output
    assert "no rain known" in told.stdout
    assert "no rain known" in (tmp_path / "page" / "index.html").read_text(encoding="utf-8")


def test_json_to_the_terminal_is_nothing_but_json(table: Path) -> None:
    """--json - prints the numbers alone, ready for a pipe; --quiet prints nothing."""
    told = moistwall("climates", str(table), "--json", "-")
    assert json.loads(told.stdout)["name"] == "miami with showers"
    silent = moistwall("climates", str(table), "--quiet")
    assert (silent.exit_code, silent.output) == (0, "")


@pytest.mark.parametrize(
    ("units", "column"), [("ip", "temperature_degF"), ("si", "temperature_degC")]
)
def test_template_is_printed(units: str, column: str) -> None:
    """The template comes in the units asked for, and is the only thing printed."""
    told = moistwall("climates", "--template", "--units", units)
    assert told.exit_code == 0
    header = told.stdout.splitlines()[-4]
    assert header.startswith(f"month,day,hour,{column},")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("atlantis",), ("atlantis", "no climate of this name")),
        (("no/such.csv",), ("no/such.csv", "no such file")),
        (("--out", "page"), ("--out", "needs a year")),
        (("miami", "--template"), ("NAME|FILE", "--template")),
        (("--template", "--out", "x", "--json", "y"), ("--out", "--json")),
    ],
)
def test_wrong_input(
    arguments: tuple[str, ...],
    said: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One message that names what is wrong, exit code 2, and nothing written."""
    monkeypatch.chdir(tmp_path)
    told = moistwall("climates", *arguments)
    assert told.exit_code == 2, told.output
    assert told.stdout == ""
    for words in said:
        assert words in told.stderr
    assert list(tmp_path.iterdir()) == []


def test_mistakes_are_told_together_and_nothing_is_half_written(tmp_path: Path) -> None:
    """A bad table and a folder that cannot be written are both named; the file there stays."""
    (tmp_path / "there").write_text("mine", encoding="utf-8")
    bad = tmp_path / "bad.csv"
    bad.write_text("# place: x\nmonth,day,hour,temperature\n", encoding="utf-8")
    told = moistwall("climates", str(bad), "--out", str(tmp_path / "there" / "page"))
    assert told.exit_code == 2
    assert "cannot be written" in told.stderr
    assert "bad.csv" in told.stderr
    assert (tmp_path / "there").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.csv", "there"]
