"""``moistwall severe-year`` as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from weather import changed

from moistwall.cli import main
from moistwall.climate.table import write_table


def test_ranking_is_printed_and_written(tmp_path: Path) -> None:
    """Two years: the damper one is the design year, in the text and in the numbers."""
    damp = changed(name="damp", dew_point=changed().temperature - 0.5)
    write_table(damp, tmp_path / "damp.csv")
    numbers = tmp_path / "ranking.json"
    told = CliRunner().invoke(
        main,
        [
            "severe-year", "heron-point-roof", "--climate", "miami",
            "--climate", str(tmp_path / "damp.csv"), "--json", str(numbers),
        ],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    assert "damp  <- design year" in told.stdout
    assert "Of 2 years" in told.stdout
    assert json.loads(numbers.read_text(encoding="utf-8"))["design_year"] == "damp"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("heron-point-wall", "--climate", "miami"), ("two years or more",)),
        (("heron-point-wall", "--climate", "miami", "--climate", "Miami"), ("given twice",)),
        (("nowhere.toml", "--climate", "atlantis"), ("nowhere.toml", "atlantis")),
    ],
)
def test_wrong_input(arguments: tuple[str, ...], said: tuple[str, ...], tmp_path: Path) -> None:
    """One message a mistake, exit code 2, nothing written."""
    path = tmp_path / "x.json"
    told = CliRunner().invoke(main, ["severe-year", *arguments, "--json", str(path)])
    assert told.exit_code == 2, told.output
    for words in said:
        assert words in told.stderr
    assert not path.exists()
