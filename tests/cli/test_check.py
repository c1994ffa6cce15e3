"""``moistwall check`` as a user meets it: the text, the numbers, what is wrong, and that nothing is run."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from moistwall.cli import main
from moistwall.library import data_folder
from moistwall.units import PERM

EXAMPLES = sorted(path.stem for path in data_folder("examples").glob("*.toml"))


def moistwall(*arguments: str) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(main, arguments)


def numbers(*arguments: str) -> dict[str, Any]:
    """What a check writes as JSON."""
    ran = moistwall("check", *arguments, "--json", "-")
    assert ran.exit_code == 0, ran.output
    data: dict[str, Any] = json.loads(ran.stdout)
    return data


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("units", ["ip", "si"])
def test_every_example_fits_80_columns(name: str, units: str) -> None:
    """Each example is drawn, told and cautioned about, in lines no wider than a terminal."""
    ran = moistwall("check", name, "--units", units, "--climate", "miami")
    assert ran.exit_code == 0, ran.output
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 80
    for said in ("outside", "Can it dry?", "Thermal resistance", "dew-point method", "2021 I"):
        assert said in ran.stdout
    assert "licensed design professional" in ran.stdout
    assert "safe" not in ran.stdout.lower()


def test_drawing_has_a_letter_for_every_part() -> None:
    """Siding, gap, two sheets, sheathing, wool, board and paint are drawn as a to h, in this order."""
    lines = moistwall("check", "heron-point-wall").stdout.splitlines()
    at = next(k for k, line in enumerate(lines) if line.startswith("outside"))
    rows, letters = lines[at + 1 : at + 5], lines[at + 5]
    assert letters.split() == list("abcdefgh")
    assert {len(row) for row in rows} == {len(rows[0])}
    for key, sign in (("a", "#"), ("c", "o"), ("e", "="), ("f", "~"), ("g", "%"), ("h", "!")):
        assert rows[0][letters.index(key)] == sign
    widths = [len(part) for part in rows[1].split("|")[1:-1]]
    assert max(widths) == widths[5]  # the wool is the thickest
    listed = [line[0] for line in lines[at + 7 : at + 16] if line[1:2] == " " and line[0] != " "]
    assert listed == list("abcdefgh")


def test_double_barrier_is_told() -> None:
    """Vinyl inside of foil foam: sheathing and gypsum board cannot dry either way, with what stands in the way."""
    ran = moistwall("check", "heron-point-wall-vinyl")
    assert ran.stdout.count("CANNOT DRY EITHER WAY") == 2
    assert "double barrier" in ran.stdout
    assert "CANNOT DRY" not in moistwall("check", "heron-point-wall").stdout
    data = numbers("heron-point-wall-vinyl")
    assert data["cannot_dry"] == ["sheathing", "gypsum board"]
    assert numbers("heron-point-wall")["cannot_dry"] == []


def test_numbers_are_si_whatever_the_units() -> None:
    """The JSON holds permeances in SI, with the inward way of the sheathing through wool, board and paint."""
    data = numbers("heron-point-wall", "--units", "ip")
    assert data == numbers("heron-point-wall", "--units", "si")
    sheathing = data["drying"][0]
    assert sheathing["layer"] == "sheathing"
    assert sheathing["inward"]["parts"] == ["cavity wool", "gypsum board", "inside finish"]
    by_hand = 1.0 / (1.0 / 21.1 + 1.0 / 50.0 + 1.0 / 10.0)
    assert sheathing["inward"]["permeance_kg_m2sPa"] / PERM == pytest.approx(by_hand, rel=0.01)
    assert sheathing["inward"]["class"] == "III"
    assert data["drying"][-1]["inward"]["permeance_kg_m2sPa"] is not None
    assert data["steady"] is None


def test_open_side_is_null() -> None:
    """A side with nothing between it and the air has no permeance; the text calls it open."""
    deck = numbers("heron-point-attic")["drying"][0]
    assert deck["layer"] == "roof deck"
    assert deck["inward"] == {
        "to": "attic",
        "parts": [],
        "permeance_kg_m2sPa": None,
        "tightest": "",
        "class": "open",
    }


def test_resistances_of_the_text() -> None:
    """Labels, clear wall, studs, limits and U of the wall with studs stand in the text."""
    text = moistwall("check", "heron-point-wall-all-loads").stdout
    for line in (
        "insulation as labelled, added up                  R-35.8",
        "with 25 % studs, parallel paths",
        "ISO 6946, mean of the two",
        "Left out, as outdoor air moves behind it: siding, rainscreen gap.",
    ):
        assert line in text
    assert "Btu/(h ft2 degF)" in text
    assert "W/(m2 K)" in text
    data = numbers("heron-point-wall-all-loads")["thermal"]
    assert data["joined_layers_m2K_W"] < data["combined_m2K_W"] < data["parallel_paths_m2K_W"]
    assert data["transmittance_W_m2K"] == pytest.approx(1.0 / data["combined_m2K_W"])


def test_fasteners_as_an_option() -> None:
    """Screws every 2 ft2 raise U by 0.8 (50 A / area / d) (R_foam / R)^2, by hand from the other numbers."""
    plain = numbers("heron-point-wall")["thermal"]
    screwed = numbers("heron-point-wall", "--area-per-fastener", "2 ft2")["thermal"]
    foam = sum(
        part["resistance_m2K_W"]
        for part in plain["parts"]
        if part["name"] in ("outer foam", "inner foam")
    )
    shank = 3.14159265 / 4.0 * (0.19 * 0.0254) ** 2
    added = 0.8 * 50.0 * shank / (2 * 0.09290304) / 0.0508 * (foam / plain["combined_m2K_W"]) ** 2
    assert screwed["fasteners_W_m2K"] == pytest.approx(added, rel=1e-6)
    assert screwed["transmittance_W_m2K"] == pytest.approx(
        plain["transmittance_W_m2K"] + added, rel=1e-9
    )
    wide = numbers(
        "heron-point-wall", "--area-per-fastener", "2 ft2", "--fastener-diameter", "0.38 in"
    )
    assert wide["thermal"]["fasteners_W_m2K"] == pytest.approx(4.0 * added, rel=1e-6)


def test_monthly_method_with_a_year() -> None:
    """--climate adds twelve months; Minneapolis wets the wall behind vinyl in winter and dries it by May."""
    steady = numbers("heron-point-wall-no-foam-vinyl", "--climate", "minneapolis")["steady"]
    assert list(steady["stored_kg_m2"]) == ["sheathing | cavity wool"]
    water = steady["stored_kg_m2"]["sheathing | cavity wool"]
    assert steady["first_month"] in (10, 11, 12)
    assert max(water) == max(water[:3]) > 0.0
    assert max(water[5:9]) == 0.0
    assert len(steady["outdoor_temperature_degC"]) == 12
    text = moistwall("check", "heron-point-wall-no-foam-vinyl", "--climate", "minneapolis").stdout
    assert "All of it dries within the year." in text
    assert "knows no storage" in text.replace("\n  ", " ")


def test_json_file_is_what_is_printed(tmp_path: Path) -> None:
    """A file gets the same bytes, the text is still printed, and --quiet prints nothing."""
    file = tmp_path / "new" / "check.json"
    ran = moistwall("check", "heron-point-roof", "--json", str(file))
    assert "Can it dry?" in ran.stdout
    assert f"wrote {file}" in ran.stderr
    assert json.loads(file.read_text(encoding="utf-8")) == numbers("heron-point-roof")
    silent = moistwall("check", "heron-point-roof", "--json", str(file), "--quiet")
    assert (silent.exit_code, silent.stdout, silent.stderr) == (0, "", "")


def test_everything_wrong_comes_together(tmp_path: Path) -> None:
    """Wall, year, fastener and output file each have their line; exit code 2, nothing written."""
    ran = moistwall(
        "check", "no-such-wall", "--climate", "atlantis", "--area-per-fastener", "2",
        "--fastener-diameter", "soup", "--json", str(tmp_path),
    )  # fmt: skip
    assert ran.exit_code == 2
    lines = ran.stderr.splitlines()
    wanted = (
        "no-such-wall", "--climate", "--area-per-fastener", "--fastener-diameter", str(tmp_path)
    )  # fmt: skip
    assert [line.partition(": ")[2].partition(":")[0] for line in lines] == list(wanted)
    assert ran.stdout == ""
    assert list(tmp_path.iterdir()) == []


def test_mistakes_of_a_file_are_all_told(tmp_path: Path) -> None:
    """An unknown material and a bare number are named by file and field, with what would be right."""
    file = tmp_path / "wall.toml"
    file.write_text(
        'name = "w"\n[[layer]]\nmaterial = "plywud"\nthickness = "1/2 in"\n'
        '[[layer]]\nmaterial = "OSB"\nthickness = 12\n',
        encoding="utf-8",
    )
    ran = moistwall("check", str(file))
    assert ran.exit_code == 2
    assert "plywud" in ran.stderr
    assert "plywood" in ran.stderr
    assert "thickness" in ran.stderr
    assert ran.stdout == ""


def test_fasteners_without_foam_or_without_area() -> None:
    """Screws through no foam, and a diameter without an area, are refused with exit code 2."""
    ran = moistwall("check", "heron-point-wall-no-foam", "--area-per-fastener", "2 ft2")
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert "no foam" in ran.stderr
    ran = moistwall("check", "heron-point-wall", "--fastener-diameter", "0.2 in")
    assert ran.exit_code == 2
    assert "add --area-per-fastener" in ran.stderr


def test_nothing_is_compiled_or_drawn_by_a_library() -> None:
    """A check in a fresh process takes in neither the compiled solver nor matplotlib."""
    code = (
        "import sys\nfrom click.testing import CliRunner\nfrom moistwall.cli import main\n"
        "ran = CliRunner().invoke(main, ['check', 'heron-point-wall'])\n"
        "print(ran.exit_code, *[m for m in ('numba', 'matplotlib') if m in sys.modules])"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).parents[2],
        check=True,
        capture_output=True,
        text=True,
    )
    assert shown.stdout.split() == ["0"]


def test_commands_of_the_page_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What docs/check.md and the README show of `check` ends with 0 and writes what it says."""
    root = Path(__file__).parents[2]
    monkeypatch.chdir(tmp_path)
    shown = [
        line
        for page in ("docs/check.md", "README.md")
        for line in re.findall(
            r"^moistwall (check .*)$", (root / page).read_text(encoding="utf-8"), re.MULTILINE
        )
    ]
    assert len(shown) >= 3
    assert moistwall("new", "wall", "my-wall.toml").exit_code == 0  # as the README has it
    for line in shown:
        ran = moistwall(*shlex.split(line, comments=True))
        assert ran.exit_code == 0, ran.output
    assert (tmp_path / "check.json").is_file()


def test_kind_of_a_gap_is_told_once(tmp_path: Path) -> None:
    """A gap that is named after its kind is not called so twice; one with a name of its own is."""
    board = '[[layer]]\nmaterial = "gypsum board"\nthickness = "1/2 in"\n'
    gaps = (
        '[[layer]]\ngap = "sealed"\ndepth = "1 in"\n',
        '[[layer]]\nid = "furring"\ngap = "drained"\ndepth = "1 in"\n',
    )
    file = tmp_path / "gaps.toml"
    file.write_text(board + gaps[0] + board + gaps[1] + board, encoding="utf-8")
    told = CliRunner().invoke(main, ["check", str(file)])
    assert told.exit_code == 0, told.output
    assert "sealed gap, sealed" not in told.stdout
    assert "sealed gap " in told.stdout
    assert "furring, drained gap" in told.stdout
