"""What README.md shows is true when it is run."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from moistwall import load_section
from moistwall.cli import main

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


COMMANDS = r"```sh\n.*?```|`moistwall [^`]+`"
"""Where the README shows a command line: in a block, or in one line of text."""


def block(marker: str) -> str:
    """Return the text of the block below a marker."""
    (found,) = re.findall(rf"<!-- {marker} -->\n+```\w*\n(.*?)```\n", README, flags=re.DOTALL)
    return str(found)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    """Run the command of the README in an empty folder; return what it printed, and the folder."""
    folder = tmp_path_factory.mktemp("readme")
    command = shlex.split(block("run command").split(" && ")[-1])
    assert command[0] == ".venv/bin/moistwall"
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        ran = CliRunner().invoke(main, command[1:], catch_exceptions=False)
    assert ran.exit_code == 0
    return ran.stdout, folder


def numbers(line: str) -> list[float]:
    """Return the numbers of a row of the report."""
    return [float(word) for word in line.split() if re.fullmatch(r"-?[0-9.]+", word)]


def test_excerpt_is_what_is_printed(report: tuple[str, Path]) -> None:
    """The rows that the README shows are printed in this order; counts to 5 h or 3 %."""
    printed = iter(report[0].splitlines())
    for shown in block("excerpt").splitlines():
        words = re.sub(r"[0-9.]+", "#", shown).split()
        line = next((one for one in printed if re.sub(r"[0-9.]+", "#", one).split() == words), None)
        assert line is not None, f"not printed: {shown}"
        assert numbers(line) == pytest.approx(numbers(shown), rel=0.03, abs=5.0)


def test_columns_are_explained(report: tuple[str, Path]) -> None:
    """The README explains every column of the table."""
    heading = next(line for line in report[0].splitlines() if line.split()[:1] == ["risk"])
    explained = set(re.findall(r"`([^`]+)`", "".join(re.findall(r"^\| (.+?) \|", README, re.M))))
    assert set(heading.split()) <= explained


def test_files_are_listed(report: tuple[str, Path]) -> None:
    """The folder that the command makes holds the files that the README lists, and no others."""
    rows = re.findall(r"^\| (`[a-z]+\.[a-z]+`.*?) \|", README, flags=re.MULTILINE)
    listed = set()
    for row in rows:
        first, *others = re.findall(r"`([^`]+)`", row)
        listed |= {first, *(first.partition(".")[0] + suffix for suffix in others)}
    assert {path.name for path in (report[1] / "heron-point").iterdir()} == listed


def test_commands_and_options_exist() -> None:
    """Every command of moistwall that the README names exists, and so does every option of `run`."""
    commands = set(
        re.findall(
            r"moistwall ([a-z]+)(?: |`|\n)", "".join(re.findall(COMMANDS, README, re.DOTALL))
        )
    )
    assert {"run", "verify", "bench"} <= commands <= set(main.commands)
    helped = CliRunner().invoke(main, ["run", "--help"]).output
    named = set(re.findall(r"`(?:moistwall run )?(--[a-z]+)", README)) | set(
        re.findall(r" (--[a-z]+)", block("run command"))
    )
    assert {"--climate", "--out", "--json", "--units"} <= named
    assert [option for option in sorted(named) if option not in helped] == []


def test_assembly_can_be_read(tmp_path: Path) -> None:
    """The wall of the README is a valid assembly file whose outer part and order are as shown."""
    file = tmp_path / "wall.toml"
    file.write_text(block("assembly"), encoding="utf-8")
    section = load_section(file)
    assert section.name == "my wall"
    assert [layer.name for layer in section.layers] == [
        "fiber cement",
        "foam",
        "OSB",
        "glass-fiber batt",
        "gypsum board",
    ]
    assert section.water_control == "foam"
