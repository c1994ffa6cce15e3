"""Wrong input: one message each with file, field, value and remedy; exit 2; nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from moistwall.cli import main
from moistwall.library import data_folder, find_climate_path

WALL = (data_folder("examples") / "heron-point-wall.toml").read_text(encoding="utf-8")

BAD_ASSEMBLIES = {
    "unknown material": (
        'material = "mineral wool"',
        'material = "minerall wool"',
        ("minerall wool", "mineral wool"),
    ),
    "bare number": ('thickness = "5 1/2 in"', "thickness = 5.5", ("thickness", "5.5", "in")),
    "no unit": ('thickness = "5 1/2 in"', 'thickness = "5 1/2"', ("thickness", "5 1/2", "unit")),
    "wrong kind of unit": (
        'thickness = "5 1/2 in"',
        'thickness = "5 perm"',
        ("thickness", "5 perm"),
    ),
    "comma": ('thickness = "5 1/2 in"', 'thickness = "1,5 mm"', ("thickness", "1,5 mm", "comma")),
    "not a number": ('thickness = "5 1/2 in"', 'thickness = "nan mm"', ("thickness", "nan mm")),
    "overflow": ('thickness = "5 1/2 in"', 'thickness = "1e308 in"', ("thickness", "1e308 in")),
    "power": ('thickness = "5 1/2 in"', 'thickness = "9**9**9 mm"', ("thickness", "9**9**9 mm")),
    "negative": ('thickness = "5 1/2 in"', 'thickness = "-1 in"', ("thickness", "-1 in")),
    "gap without depth": ('depth = "3/4 in"\n', "", ("depth",)),
    "unknown key": ('depth = "3/4 in"', 'dept = "3/4 in"', ("dept", "depth")),
    "unknown gap": ('gap = "ventilated"', 'gap = "breezy"', ("breezy", "ventilated")),
    "water control names nothing": ('layer = "outer foam"', 'layer = "tar"', ("tar",)),
    "not TOML": ('kind = "wall"', "kind = = wall", ("line",)),
}


@pytest.mark.parametrize("case", BAD_ASSEMBLIES)
def test_mistake_in_the_assembly(case: str, tmp_path: Path) -> None:
    """The message names file, field and value; the exit code is 2; nothing is written."""
    before, after, said = BAD_ASSEMBLIES[case]
    assert before in WALL
    path = tmp_path / "wall.toml"
    path.write_text(WALL.replace(before, after, 1), encoding="utf-8")
    out = tmp_path / "out"
    result = CliRunner().invoke(
        main,
        ["run", str(path), "--climate", "miami", "--out", str(out), "--json", str(tmp_path / "j")],
    )
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    for text in ("wall.toml", *said):
        assert text in result.stderr
    assert "Traceback" not in result.stderr
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["wall.toml"]


def test_all_mistakes_come_together(tmp_path: Path) -> None:
    """Three mistakes in one file make three messages in one go."""
    text = WALL.replace('thickness = "5 1/2 in"', "thickness = 5.5", 1)
    text = text.replace('depth = "3/4 in"\n', "", 1).replace("latex paint", "latax paint", 1)
    path = tmp_path / "wall.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["run", str(path), "--climate", "miami"])
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 3


def test_no_layers(tmp_path: Path) -> None:
    """An assembly without layers is refused."""
    path = tmp_path / "empty.toml"
    path.write_text('name = "nothing"\nkind = "wall"\nfacing = "south"\n', encoding="utf-8")
    result = CliRunner().invoke(main, ["run", str(path), "--climate", "miami"])
    assert result.exit_code == 2
    assert "layer" in result.stderr


@pytest.mark.parametrize("case", ["missing hour", "duplicate hour", "impossible hour"])
def test_weather_with_a_wrong_hour(case: str, tmp_path: Path) -> None:
    """A missing, duplicate or impossible hour is named, and nothing is run."""
    lines = find_climate_path("miami").read_text(encoding="utf-8").splitlines()
    start = next(k for k, line in enumerate(lines) if line.startswith("month")) + 1
    head, rows = lines[:start], lines[start:]
    if case == "missing hour":
        rows = rows[:100] + rows[101:]
        said = "5 Jan", "hour 5"
    elif case == "duplicate hour":
        rows = [*rows[:100], rows[99], *rows[100:]]
        said = "5 Jan", "hour 4"
    else:
        stamp = rows[50].split(",")
        rows[50] = ",".join([*stamp[:2], "25", *stamp[3:]])
        said = ("25",)
    path = tmp_path / "year.csv"
    path.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")
    result = CliRunner().invoke(main, ["run", "heron-point-wall", "--climate", str(path)])
    assert result.exit_code == 2
    assert "year.csv" in result.stderr
    assert any(text in result.stderr for text in said), result.stderr
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["run", "heron-point-wall"],
        ["run", "heron-point-wall", "--climate", "miami", "--nonsense"],
        ["run", "heron-point-wall", "--climate", "miami", "--units", "imperial"],
        ["run", "heron-point-wall", "--climate", "atlantis"],
        ["run", "no-such-wall", "--climate", "miami"],
        ["walk"],
    ],
)
def test_nonsense_on_the_command_line(arguments: list[str]) -> None:
    """A missing, unknown or impossible option or name ends with 2 and a message."""
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert result.stderr
    assert "Traceback" not in result.stderr


def test_debug_shows_where() -> None:
    """With --debug the error itself comes through, for whoever mends the code."""
    result = CliRunner().invoke(main, ["--debug", "run", "no-such-wall", "--climate", "miami"])
    assert result.exception is not None
    assert not isinstance(result.exception, SystemExit)
