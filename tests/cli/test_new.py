"""``moistwall new``, ``--version``, Tab, and the picture of ``check``: the first minutes with the command line."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest
from click.shell_completion import BashComplete, CompletionItem
from click.testing import CliRunner, Result

from moistwall import __version__, load_section
from moistwall.cli import main
from moistwall.library import data_folder

KINDS = ("wall", "roof", "floor")


def moistwall(*arguments: str) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(main, arguments)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("units", ["ip", "si"])
def test_starter_is_what_it_says(kind: str, units: str, tmp_path: Path) -> None:
    """Each starter passes `check` as it is, has its kind and name, and speaks of one system of units only."""
    file = tmp_path / "first.toml"
    ran = moistwall("new", kind, str(file), "--units", units)
    assert ran.exit_code == 0, ran.output
    assert f"moistwall check {file}" in ran.stderr
    checked = moistwall("check", str(file), "--climate", "mobile")
    assert checked.exit_code == 0, checked.output
    text = file.read_text(encoding="utf-8")
    assert "@" not in text
    assert f'kind = "{kind}"' in text
    assert load_section(file).name == "first"
    lengths = re.findall(r'^(?:thickness|depth|rise|length) = "(.+)"', text, re.MULTILINE)
    assert lengths
    assert all(re.search(r" (?:in|ft)$" if units == "ip" else r" m?m$", one) for one in lengths)


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_starter_offers_works(kind: str, tmp_path: Path) -> None:
    """With the marks taken off what it offers to add, a starter is still a valid file."""
    file = tmp_path / "first.toml"
    moistwall("new", kind, str(file))
    text = file.read_text(encoding="utf-8")
    offered = re.sub(r'^# (\[|\w+ = ")', r"\1", text, flags=re.MULTILINE)
    assert offered.count("\n[") > text.count("\n[")
    file.write_text(offered, encoding="utf-8")
    assert moistwall("check", str(file)).exit_code == 0, moistwall("check", str(file)).output


def test_starters_agree_in_both_units(tmp_path: Path) -> None:
    """A starter in SI is the one in inch-pound to within a few percent of each thickness."""
    for kind in KINDS:
        sections = []
        for units in ("ip", "si"):
            moistwall("new", kind, str(tmp_path / f"{kind}-{units}.toml"), "--units", units)
            sections.append(load_section(tmp_path / f"{kind}-{units}.toml"))
        thick = [[layer.thickness for layer in section.layers] for section in sections]
        assert thick[0] == pytest.approx(thick[1], rel=0.11)


def test_nothing_is_written_over(tmp_path: Path) -> None:
    """A file that is there is refused with exit code 2 and kept to the byte, unless --replace is given."""
    file = tmp_path / "mine.toml"
    file.write_text("mine", encoding="utf-8")
    ran = moistwall("new", "wall", str(file))
    assert ran.exit_code == 2
    assert "--replace" in ran.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert moistwall("new", "wall", str(file), "--replace").exit_code == 0
    assert load_section(file).name == "mine"


@pytest.mark.parametrize(
    "name", ["my wall.toml", 'so "called".toml', "back\\slash.toml", "ñ壁.toml"]
)
def test_any_name_of_a_file_makes_a_valid_starter(name: str, tmp_path: Path) -> None:
    """Spaces, quotes, backslashes and letters of any script in the file's name leave the starter valid."""
    file = tmp_path / name
    assert moistwall("new", "wall", str(file)).exit_code == 0
    assert load_section(file).name == file.stem


def test_other_endings_are_refused(tmp_path: Path) -> None:
    """A name without .toml is refused, with the name to give, and nothing is written."""
    ran = moistwall("new", "wall", str(tmp_path / "mine"))
    assert ran.exit_code == 2
    assert "mine.toml" in ran.stderr
    assert list(tmp_path.iterdir()) == []


def test_check_draws_the_section(tmp_path: Path) -> None:
    """`check --out` writes PNG and SVG, and the SVG names each part and draws each layer."""
    ran = moistwall("check", "heron-point-wall", "--out", str(tmp_path), "--quiet")
    assert ran.exit_code == 0, ran.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["section.png", "section.svg"]
    drawn = (tmp_path / "section.svg").read_text(encoding="utf-8")
    for name in ("siding", "rainscreen gap", "outer foam", "sheathing", "cavity wool", "room"):
        assert name in drawn
    layers = [
        layer.name
        for layer in load_section(data_folder("examples") / "heron-point-wall.toml").layers
    ]
    assert re.findall(r'id="layer ([^"]+)"', drawn) == layers


def test_version_tells_what_numbers_depend_on() -> None:
    """`--version` names moistwall, Python, the libraries as installed, and the hash of the solver's sources."""
    from moistwall.solver.kernel.compile import source_hash

    told = moistwall("--version").stdout
    assert told.splitlines()[0] == f"moistwall {__version__}"
    for name in ("numpy", "scipy", "numba", "llvmlite", "pvlib"):
        assert f"{name} {version(name)}" in told
    assert source_hash() in told


def test_python_runs_the_command_as_a_module() -> None:
    """`python -m moistwall` is the command, where its folder is not among those that a terminal searches."""
    ran = subprocess.run(
        [sys.executable, "-m", "moistwall", "--help"], capture_output=True, text=True, check=True
    )
    assert ran.stdout.startswith("Usage: moistwall ")


def offered(words: str, typed: str) -> list[CompletionItem]:
    """Return what Tab offers behind some words, as click asks for it."""
    complete = BashComplete(main, {}, "moistwall", "_MOISTWALL_COMPLETE")
    return complete.get_completions(words.split(), typed)


def test_tab_offers_names_of_the_library() -> None:
    """Tab completes commands, options, shipped assemblies, years and materials, and files beside them."""
    assert "check" in {item.value for item in offered("", "ch")}
    assert "--climate" in {item.value for item in offered("run", "--cl")}
    for words, typed, found in (
        ("run", "heron-point-roof", "heron-point-roof-over"),
        ("compare heron-point-wall", "heron-point-wall-v", "heron-point-wall-vinyl"),
        ("run heron-point-wall --climate", "mo", "mobile"),
        ("sweep heron-point-wall --climate", "mi", "miami"),
        ("climates", "ho", "houston"),
        ("materials", "gyp", "gypsum board"),
        ("run", "heron-point-floor", "heron-point-floor-conditioned-vinyl"),
        ("dry-out heron-point-wall --stages", "fl", "flooded-classroom"),
    ):
        items = offered(words, typed)
        names = {item.value for item in items if item.type == "plain"}
        assert any(found in name for name in names), words
        assert all(name.startswith(typed) for name in names)
        assert "file" in {item.type for item in items}


def test_every_command_is_told_whole() -> None:
    """The list of commands cuts no sentence off."""
    listed = moistwall("--help").stdout.partition("Commands:")[2].strip().splitlines()
    assert len(listed) == len(main.commands)
    assert all(line.endswith(".") and not line.endswith("...") for line in listed)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_are_told_how_to_complete(shell: str) -> None:
    """With the variable that the README names, the command prints what a shell needs to complete it."""
    given = {"_MOISTWALL_COMPLETE": f"{shell}_source"}
    ran = CliRunner().invoke(main, [], env=given, prog_name="moistwall")
    assert ran.exit_code == 0, ran.output
    assert f"_MOISTWALL_COMPLETE={shell}_complete" in ran.output
