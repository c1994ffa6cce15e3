"""``moistwall sweep`` and ``moistwall compare`` as a user meets them."""

from __future__ import annotations

import csv
import importlib
import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from heron_point import year

from moistwall.assess.attic_air import attic_air
from moistwall.cli import main


def told(*arguments: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(main, list(arguments))


def test_sweep_end_to_end(tmp_path: Path) -> None:
    """Two thicknesses: a table, a chart and a file for each; going on runs nothing again."""
    out = tmp_path / "study"
    line = (
        "sweep", "heron-point-wall", "--vary", "layer[polyiso,*].thickness = 0 in, 2 in",
        "--climate", "miami", "--out", str(out), "--limit", "hours_rh_80 <= 10",
    )  # fmt: skip
    first = told(*line)
    assert first.exit_code == 0, first.output
    assert "2 of 2 variants" in first.stderr
    assert "core and its facers are gone" in " ".join(first.stdout.split())
    assert "o dries" in first.stdout
    assert "licensed design professional" in first.stdout
    with (out / "table.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["layer[polyiso,*].thickness"] for row in rows] == ["0 in", "2 in"]
    assert float(rows[1]["r_value [m2 K/W]"]) > float(rows[0]["r_value [m2 K/W]"]) + 1.5
    assert {path.name for path in out.iterdir()} == {
        "study.json", "sweep.png", "sweep.svg", "table.csv", "variants",
    }  # fmt: skip
    assert len(list((out / "variants").glob("*.json"))) == 2
    again = told(*line, "--resume", "--json", "-")
    assert "2 of them kept" in again.stderr
    numbers = json.loads(again.stdout)
    assert numbers["variants"][0]["measures"]["hours_rh_80"] == float(rows[0]["hours_rh_80 [h]"])
    assert told(*line).exit_code == 2


def test_a_swept_wall_has_the_numbers_of_a_run(tmp_path: Path) -> None:
    """The value that the file has anyway gives what ``moistwall run`` gives."""
    numbers = tmp_path / "run.json"
    run = told("run", "heron-point-wall", "--climate", "miami", "--json", str(numbers), "--quiet")
    assert run.exit_code == 0, run.output
    rows = json.loads(numbers.read_text(encoding="utf-8"))["interfaces"]
    swept = told(
        "sweep", "heron-point-wall", "--vary", "room.humidity = 50 %", "--climate", "miami", "--json", "-",
        "--quiet",
    )  # fmt: skip
    measures = json.loads(swept.stdout)["variants"][0]["measures"]
    inside = [row for row in rows if not row["outboard"]]
    for name in ("hours_rh_80", "longest_wet_hours", "condensing_hours", "liquid_hours"):
        assert measures[name] == max(row[name] for row in inside)
    assert measures["rh_mean"] == pytest.approx(100 * max(row["rh_mean"] for row in inside))


@pytest.mark.parametrize(
    ("vary", "more", "said"),
    [
        ("layer[polyiso].thickness = 1 in", (), "layer[3] 'outer foam' and layer[4] 'inner foam'"),
        ("room.temp = 75 degF", (), "room.temperature"),
        ("layer[3].thickness = 1 perm", (), "vapor permeance"),
        ("layer[3].thickness = 900 in", (), "out of range"),
        ("layer[3].thickness = 1 in", ("--limit", "rot"), "is no criterion"),
        ("layer[3].thickness = 1 in", ("--limit", "hours_rh_8 <= 3"), "hours_rh_80"),
        ("layer[3].thickness = 1 in", ("--workers", "0"), "no number of workers"),
        ("layer[3].thickness = 1 in", ("--climate", "miami"), "given twice"),
    ],
)
def test_wrong_input(vary: str, more: tuple[str, ...], said: str, tmp_path: Path) -> None:
    """Exit code 2, what is wrong, and nothing written."""
    out = tmp_path / "study"
    found = told(
        "sweep", "heron-point-wall", "--vary", vary, "--climate", "miami", "--out", str(out), *more
    )
    assert found.exit_code == 2, found.output
    assert said in found.stderr
    assert not out.exists()


def test_ten_million_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slip of the pen is refused with the time that it would take, as measured here."""
    module = importlib.import_module(
        "moistwall.cli.sweep"
    )  # the package has the command by this name
    monkeypatch.setattr(module, "timed_run", lambda jobs, years: 3600.0)
    found = told(
        "sweep", "heron-point-wall", "--climate", "miami",
        "--vary", "layer[2].depth = 10 mm .. 110 mm step 0.00001 mm",
    )  # fmt: skip
    assert found.exit_code == 2
    assert "10,000,001 variants" in found.stderr
    assert "years" in found.stderr
    assert "--yes" in found.stderr


def test_compare() -> None:
    """Two walls side by side, with what their files say differently."""
    found = told(
        "compare",
        "heron-point-wall",
        "heron-point-wall-vinyl",
        "--climate",
        "miami",
        "--units",
        "si",
    )
    assert found.exit_code == 0, found.output
    assert "layer[inside finish].film: latex paint / vinyl wallcovering" in found.stdout
    assert found.stdout.count("o dries") == 2


STRICT = """
name = "strict"

[[criterion]]
name = "hours at 40 %"
quantity = "hours at humidity"
threshold = "40 %"
limit = "1 h"
marginal = "0 h"
source = "common practice, no source"
quality = "estimate"
"""


def test_own_criteria_decide(tmp_path: Path) -> None:
    """A variant is judged by a file of one's own, and a folder of other criteria is refused."""
    strict, out = tmp_path / "strict.toml", tmp_path / "study"
    strict.write_text(STRICT, encoding="utf-8")
    line = (
        "sweep", "heron-point-wall", "--vary", "layer[gypsum].thickness = 1/2 in",
        "--climate", "miami", "--out", str(out), "--limit", "dries", "--criteria",
    )  # fmt: skip
    found = told(*line, str(strict), "--json", "-")
    assert found.exit_code == 0, found.output
    (variant,) = json.loads(found.stdout)["variants"]
    assert variant["verdict"] == "stays wet"
    assert variant["decided_by"] == "hours at 40 %"
    strict.write_text(STRICT.replace("40 %", "41 %"), encoding="utf-8")
    refused = told(*line, str(strict), "--resume")
    assert refused.exit_code == 2
    assert "another study" in " ".join(refused.stderr.split())


def test_compare_tells_of_attics(monkeypatch: pytest.MonkeyPatch) -> None:
    """Roofs with a gap come with the heat of its air; walls, whose gaps hold no equipment, do not."""
    roof = year("roof-over")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: roof)
    found = told("compare", "heron-point-roof-over", "heron-point-roof", "--climate", "miami")
    assert found.exit_code == 0, found.output
    hottest = max(one.highest for one in attic_air(roof))
    assert f"roof up to {1.8 * hottest + 32.0:.1f} degF" in " ".join(found.stdout.split())
    wall = year("wall")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: wall)
    other = told("compare", "heron-point-wall", "heron-point-wall-vinyl", "--climate", "miami")
    assert "gap of the roof" not in other.stdout


def test_compare_says_which_is_worst_where(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each place that is worst for some rows names them, with the climate where there are several."""
    years = {"roof": year("roof-over"), "wall": year("wall")}
    monkeypatch.setattr(
        "moistwall.study.job.simulate",
        lambda section, climate, tell: years["wall" if "wall" in section.name else "roof"],
    )
    found = told("compare", "heron-point-roof-over", "heron-point-wall", "--climate", "miami")
    assert found.exit_code == 0, found.output
    worst = " ".join(found.stdout.split()).split("- Worst at: ")[1:]
    assert len(worst) == 2
    assert "(Heron Point classroom, south wall)" in worst[1]
    files = ("heron-point-roof-over", "heron-point-wall")
    found = told("compare", *files, "--climate", "miami", "--climate", "mobile")
    assert "south wall, miami; Heron Point classroom, south wall, mobile)" in " ".join(
        found.stdout.split()
    )
    both = told("compare", "heron-point-wall", "heron-point-wall-vinyl", "--climate", "miami")
    (place,) = " ".join(both.stdout.split()).split("- Worst at: ")[1:]
    assert "south wall)" not in place


def test_paths_in_titles_break_behind_their_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """A field whose path is wider than its column is broken behind a point, never within a word."""
    wall = year("wall")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: wall)
    found = told(
        "sweep", "heron-point-floor-vented-vinyl-batt", "--climate", "miami",
        "--vary", "crawl_space.height = 2 ft, 3 ft", "--vary", "crawl_space.air_changes = 1 1/h, 5 1/h",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    starts = [line[:20].rstrip() for line in found.stdout.splitlines()]
    assert starts.count("air_changes = 5 1/h") == 2


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (("heron-point-wall",), "two assemblies or more"),
        (("heron-point-wall", "heron-point-wall"), "says the same as"),
        (("heron-point-wall", "nowhere.toml"), "nowhere.toml"),
    ],
)
def test_compare_wrong_input(names: tuple[str, ...], said: str) -> None:
    """One file, the same twice, one that is not there."""
    found = told("compare", *names, "--climate", "miami")
    assert found.exit_code == 2
    assert said in found.stderr


@pytest.mark.slow
def test_killed_and_resumed(tmp_path: Path) -> None:
    """Killed outright after some variants, then interrupted, then resumed: the table of a run in one go."""
    out, whole = tmp_path / "study", tmp_path / "whole"
    line = [
        "sweep", "heron-point-wall", "--vary", "room.humidity = 40 % .. 60 % step 4 %",
        "--climate", "miami", "--workers", "1",
    ]  # fmt: skip
    code = "from moistwall.cli import main; main(prog_name='moistwall')"
    kept = 0
    for number, signal_number in enumerate((signal.SIGKILL, signal.SIGINT)):
        more = ["--resume"] if number else []
        process = subprocess.Popen(
            [sys.executable, "-c", code, *line, "--out", str(out), *more], stderr=subprocess.PIPE
        )
        while len(list((out / "variants").glob("*.json"))) < kept + 2:
            assert process.poll() is None
            time.sleep(0.05)
        process.send_signal(signal_number)
        _, said = process.communicate()
        kept = len(list((out / "variants").glob("*.json")))
    assert process.returncode == 130
    assert b"every finished variant is in" in said
    assert b"Traceback" not in said
    assert 4 <= kept < 6
    resumed = told(*line, "--out", str(out), "--resume")
    assert f"{kept} of them kept" in resumed.stderr
    assert told(*line, "--out", str(whole), "--workers", "2").exit_code == 0
    assert (out / "table.csv").read_bytes() == (whole / "table.csv").read_bytes()
