"""Files of strangers: nothing in them is run, paths stay in their folder, messages command no terminal."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from moistwall.assembly import read_assembly
from moistwall.cli import main
from moistwall.errors import Fault, InputError, ResultError
from moistwall.result import Result

ROOT = Path(__file__).parents[2]

WALL = """
name = "NAME"
kind = "wall"
MORE
[[layer]]
id = "LAYER"
material = "OSB"
thickness = "1/2 in"
"""

HARMLESS = {("re", "compile"), ("platform", "system")}
"""Calls of the same names that run nothing."""

RUNS = {
    "eval",
    "exec",
    "compile",
    "__import__",
    "system",
    "popen",
    "Popen",
    "loads_pickle",
    "marshal",
}
"""Calls that would run what they are given."""


def wall(folder: Path, more: str = "", name: str = "wall", layer: str = "board") -> Path:
    """An assembly of one board."""
    path = folder / "wall.toml"
    text = WALL.replace("NAME", name).replace("MORE", more).replace("LAYER", layer)
    path.write_text(text, encoding="utf-8")
    return path


def test_nothing_is_run() -> None:
    """No module calls what runs text, and none reads pickles."""
    found = []
    for path in sorted((ROOT / "moistwall").rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "attr", getattr(node.func, "id", ""))
                owner = getattr(getattr(node.func, "value", None), "id", "")
                if name in RUNS and (owner, name) not in HARMLESS:
                    found.append(f"{path.name}:{node.lineno} {name}")
            if isinstance(node, ast.Import | ast.ImportFrom):
                names = [one.name for one in node.names] + [getattr(node, "module", "") or ""]
                found += [
                    f"{path.name}: {one}" for one in names if one in ("pickle", "marshal", "shelve")
                ]
    assert found == []


def test_a_saved_result_with_objects_in_it_is_refused(tmp_path: Path) -> None:
    """A file that would be unpickled is no result."""
    path = tmp_path / "result.npz"
    np.savez(path, words=np.array([{"format": "x"}], dtype=object))
    with pytest.raises(ResultError):
        Result.load(path)


@pytest.mark.parametrize("where", ["../secret.toml", "in/../../secret.toml", "link.toml"])
def test_paths_do_not_lead_out_of_the_folder(where: str, tmp_path: Path) -> None:
    """Neither dots nor links lead out; the message names the path and how it could be meant."""
    inside = tmp_path / "inside"
    (inside / "in").mkdir(parents=True)
    secret = tmp_path / "secret.toml"
    secret.write_text("password = 1\n", encoding="utf-8")
    (inside / "link.toml").symlink_to(secret)
    path = wall(inside, f'materials = ["{where}"]')
    with pytest.raises(
        InputError, match=r"materials\[1\]: leads out .*; give the whole path"
    ) as caught:
        read_assembly(path)
    assert "password" not in str(caught.value)


@pytest.mark.parametrize("where", ["../x.csv", "/etc/passwd", "a/b.csv", ".hidden"])
def test_a_problem_names_a_series_beside_it_alone(where: str, tmp_path: Path) -> None:
    """The series of a problem is a name without a folder."""
    path = tmp_path / "problem.json"
    path.write_text(json.dumps({"title": "x", "series_file": where}), encoding="utf-8")
    result = CliRunner().invoke(main, ["bench", str(path)])
    assert result.exit_code == 2
    assert "series_file: holds characters that cannot stand here" in result.stderr


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null"])
def test_devices_are_no_files(device: str, tmp_path: Path) -> None:
    """What never ends is not read."""
    with pytest.raises(InputError, match="no such file or folder"):
        read_assembly(wall(tmp_path, f'materials = ["{device}"]'))


@pytest.mark.parametrize(
    "evil", ["\x1b[31m", "\x07", "\u202e", "\r", "\n", "\u2028", "\x9b2J", "\x00", "\ud800"]
)
def test_messages_command_no_terminal(evil: str) -> None:
    """Control codes, turned reading directions and line ends are written as escapes, in one line."""
    for fault in (
        Fault(f"f{evil}", "field", "v", "problem"),
        Fault("f", f"field{evil}", "v", "problem"),
        Fault("f", "field", f"v{evil}", "problem", "remedy"),
        Fault("f", "field", "v", f"problem {evil}", f"remedy{evil}"),
    ):
        text = str(InputError(fault))
        assert text.isprintable()
        assert "\\" in text
        assert len(text.splitlines()) == 1


def test_long_values_are_cut() -> None:
    """A value as long as a file makes no message as long as one."""
    assert len(str(Fault("f", "field", "9" * 900_000, "problem"))) < 300


@pytest.mark.parametrize(
    "name",
    ["$\\\\frac{", "$x^$", "<script>alert(1)</script>", "%s %d {0}", "=cmd()", "a & b", "_^{}"],
)
def test_names_are_drawn_and_written_as_they_are(name: str, tmp_path: Path) -> None:
    """A name is text: no formula, no markup, no pattern, in pictures and pages as on the terminal."""
    path = wall(tmp_path, name=name, layer=name)
    out = tmp_path / "out"
    result = CliRunner().invoke(main, ["check", str(path), "--out", str(out)])
    assert result.exit_code == 0, result.output or result.exception
    told = name.replace("\\\\", "\\")
    assert told in " ".join(result.stdout.split())
    for picture in out.glob("*.svg"):
        assert "<script" not in picture.read_text(encoding="utf-8")
