"""What all commands do alike on a terminal: width, bold and plain, quiet, JSON, files for slides and pages."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from heron_point import year

from moistwall.cli import main
from moistwall.cli.answering import emphasized

NO_ANSWER = {
    "new": "writes a file to fill",
    "lesson": "writes pages",
    "bench": "prints CSV, as its form says",
    "schema": "prints JSON anyway",
}
"""Commands without an answer in words that could be had as JSON, and why."""

PAGES = ("run", "compare", "sweep", "ensemble", "dry-out")

LONG = "a wall with a name longer than any column of a table"


def options_of(name: str) -> set[str]:
    """Return the options of a command."""
    return {option for parameter in main.commands[name].params for option in parameter.opts}


@pytest.mark.parametrize("name", sorted(set(main.commands) - set(NO_ANSWER)))
def test_every_answer_can_be_quiet_and_json(name: str) -> None:
    """Every command with an answer in words has --quiet and --json."""
    assert {"--quiet", "--json"} <= options_of(name)


@pytest.mark.parametrize("name", PAGES)
def test_every_answer_with_pictures_has_page_and_slides(name: str) -> None:
    """Every command whose answer has pictures has --report and --slides."""
    assert {"--report", "--slides"} <= options_of(name)


@pytest.mark.parametrize(
    ("terminal", "environment", "bold"),
    [
        (True, {}, True),
        (False, {}, False),
        (True, {"NO_COLOR": "1"}, False),
        (True, {"NO_COLOR": ""}, True),
        (True, {"TERM": "dumb"}, False),
    ],
)
def test_bold_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch, terminal: bool, environment: dict[str, str], bold: bool
) -> None:
    """Lines with a verdict are bold on a terminal, plain elsewhere and where NO_COLOR asks for it."""
    for name in ("NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal)
    text = "before\n( ) DRIES\n    where\n"
    assert ("\x1b[1m( ) DRIES\x1b[0m" in emphasized(text)) == bold
    assert emphasized(text).replace("\x1b[1m", "").replace("\x1b[0m", "") == text


def long_named(tmp_path: Path, example: str) -> str:
    """Copy an example under a long name."""
    from moistwall.library import data_folder

    text = (data_folder("examples") / f"{example}.toml").read_text(encoding="utf-8")
    first = next(line for line in text.splitlines() if line.startswith("name = "))
    path = tmp_path / f"{example}.toml"
    path.write_text(text.replace(first, f'name = "{LONG}, {example}"'), encoding="utf-8")
    return str(path)


def commands(tmp_path: Path) -> dict[str, list[str]]:
    """Return a command of each study over sections with long names."""
    wall, roof = (long_named(tmp_path, one) for one in ("heron-point-wall", "heron-point-roof"))
    return {
        "compare": ["compare", wall, roof, "--climate", "miami"],
        "sweep": ["sweep", wall, "--vary", "layer[polyiso,*].thickness = 1 in, 2 in", "--climate", "miami"],
        "ensemble": ["ensemble", wall, "--climate", "miami", "--draws", "8"],
    }  # fmt: skip


@pytest.mark.parametrize("kind", ["compare", "sweep", "ensemble"])
def test_studies_answer_alike(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kind: str) -> None:
    """The text has 80 columns; --quiet prints nothing; files of JSON, page and slides are whole."""
    same = year("wall")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: same)
    line = commands(tmp_path)[kind]
    told = CliRunner().invoke(main, line)
    assert told.exit_code == 0, told.output
    assert max(map(len, told.stdout.splitlines())) <= 80
    numbers, page, slides = tmp_path / "numbers.json", tmp_path / "page.html", tmp_path / "slides"
    more = ["--json", str(numbers), "--report", str(page), "--slides", str(slides)]
    quiet = CliRunner().invoke(main, [*line, "--quiet", *more])
    assert (quiet.exit_code, quiet.output) == (0, "")
    data: dict[str, Any] = json.loads(numbers.read_text(encoding="utf-8"))
    assert data["study"] == kind
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert {path.name for path in slides.iterdir()} == {f"{kind}.png", f"{kind}.svg"}
    printed = CliRunner().invoke(main, [*line, "--quiet", "--json", "-"])
    assert json.loads(printed.stdout) == data


def test_unwritable_page_is_refused_first(tmp_path: Path) -> None:
    """A page or slides that could not be written are refused before anything is run, all faults together."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    there = str(tmp_path / "file" / "page.html")
    told = CliRunner().invoke(
        main,
        ["compare", "nowhere.toml", "heron-point-wall", "--climate", "miami", "--report", there],
    )
    assert told.exit_code == 2
    assert "nowhere.toml" in told.stderr
    assert "page.html" in told.stderr
