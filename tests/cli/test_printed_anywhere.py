"""What is printed survives consoles that know few characters; files are utf-8 whatever the console."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from heron_point import year

from moistwall.cli import main
from moistwall.show.text import report

ROOT = Path(__file__).parents[2]

COMMANDS = [
    ["check", "heron-point-wall-all-loads"],
    ["check", "heron-point-attic", "--climate", "miami", "--units", "si"],
    ["climates"],
    ["climates", "miami"],
    ["climates", "--template"],
    ["materials"],
    ["materials", "OSB"],
    ["materials", "latex paint"],
    ["materials", "--template"],
    ["verify", "--list"],
    ["run", "no-such-wall", "--climate", "miami"],
]


@pytest.mark.parametrize("arguments", COMMANDS, ids=" ".join)
def test_printed_text_fits_a_western_console(arguments: list[str]) -> None:
    """Nothing that is printed of what comes with moistwall needs more than Windows-1252."""
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code in (0, 2)
    assert result.output
    result.output.encode("cp1252")


@pytest.mark.parametrize("command", sorted(main.commands))
def test_help_fits_a_western_console(command: str) -> None:
    """The help of every command needs no more than Windows-1252."""
    result = CliRunner().invoke(main, [command, "--help"])
    assert result.exit_code == 0
    result.output.encode("cp1252")


@pytest.mark.parametrize("system", ["ip", "si"])
def test_the_report_fits_a_western_console(system: str) -> None:
    """So does the report of a year."""
    report(year("wall"), system).encode("cp1252")


@pytest.mark.parametrize("coding", ["cp1252", "cp437"])
def test_names_that_a_console_cannot_show_stop_nothing(coding: str, tmp_path: Path) -> None:
    """A wall with a Greek name is checked on any console, with '?' for what that cannot show."""
    path = tmp_path / "wall.toml"
    text = (ROOT / "examples" / "heron-point-wall.toml").read_text(encoding="utf-8")
    path.write_text(text.replace('name = "', 'name = "Τοίχος 壁 ', 1), encoding="utf-8")
    out = tmp_path / "data.json"
    code = "from moistwall.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "check", str(path)],
        env=os.environ | {"PYTHONIOENCODING": coding, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "0"},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"?" in done.stdout.splitlines()[0]
    done_json = CliRunner().invoke(main, ["check", str(path), "--json", str(out)])
    assert done_json.exit_code == 0
    assert "Τοίχος 壁" in out.read_text(encoding="utf-8")


def test_every_text_file_is_opened_with_its_coding() -> None:
    """No module of the package reads or writes text in the coding that the system happens to have."""
    bare = []
    for path in sorted((ROOT / "moistwall").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            coded = any(keyword.arg == "encoding" for keyword in node.keywords)
            modes = [one.value for one in node.args if isinstance(one, ast.Constant)]
            binary = any("b" in mode for mode in modes if isinstance(mode, str))
            text_method = name in ("read_text", "write_text") and not coded
            if text_method and node.args[name == "write_text" :] == []:
                bare.append(f"{path.relative_to(ROOT)}:{node.lineno}")
            if name == "open" and not coded and not binary and not _opens_no_text(node):
                bare.append(f"{path.relative_to(ROOT)}:{node.lineno}")
    assert bare == []


def _opens_no_text(node: ast.Call) -> bool:
    """Whether the call is one of os or of pictures, which know no text."""
    owner = getattr(node.func, "value", None)
    return isinstance(owner, ast.Name) and owner.id in ("os", "Image")
