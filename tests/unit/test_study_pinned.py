"""Files that change while a study runs, or between its start and --resume: it stops, and says which."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from heron_point import miami

from moistwall.assembly import read_assembly
from moistwall.cli import main
from moistwall.errors import InputError
from moistwall.library import data_folder, read_year
from moistwall.study.engine import Crew, local_crew, run_jobs
from moistwall.study.job import FORMAT, Job
from moistwall.study.pinned import SHIPPED, hourly_files, pin
from moistwall.study.store import FILES, open_store
from moistwall.study.sweep import plan_sweep
from moistwall.study.vary import read_vary

WALL = """
name = "a wall"
kind = "wall"
facing = "south"
materials = ["own.toml"]
[[layer]]
id = "board"
material = "own board"
thickness = "1/2 in"
[[layer]]
gap = "drained"
depth = "1 in"
air_changes_file = "air.csv"
[[layer]]
material = "gypsum board"
thickness = "1/2 in"
"""


def written(folder: Path) -> Path:
    """A wall with a material and hourly air of its own."""
    board = (data_folder("materials") / "sheathing" / "osb.toml").read_text(encoding="utf-8")
    board = board.replace('"OSB"', '"own board"').replace('"oriented strand board"', '"own"')
    (folder / "own.toml").write_text(board, encoding="utf-8")
    (folder / "air.csv").write_text("air_changes_1_h\n" + "20\n" * 8760, encoding="utf-8")
    path = folder / "wall.toml"
    path.write_text(WALL, encoding="utf-8")
    return path


def swept(path: Path) -> Any:
    """A sweep of the wall."""
    return plan_sweep(
        read_assembly(path), [read_vary("facing = south, west, north")], {"miami": miami()}
    )


def changed(path: Path) -> None:
    """Save a file anew, with other content."""
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("20\n", "30\n", 1) + "# saved anew\n", encoding="utf-8")


def gone(path: Path) -> None:
    """Take a file away."""
    path.unlink()


@pytest.mark.parametrize("name", ["own.toml", "air.csv"])
@pytest.mark.parametrize("happens", [changed, gone])
def test_a_file_that_changes_underneath_stops_the_study(
    name: str, happens: Callable[[Path], None], tmp_path: Path
) -> None:
    """What was finished before stays; the variant that may have read half of each is not kept."""
    plan = swept(written(tmp_path))
    store = open_store(tmp_path / "study", plan.head, resume=False)

    def each(job: Job, climate: object, stop: object = None) -> dict[str, Any]:
        if job.number == 1:
            happens(tmp_path / name)
        return {"format": FORMAT, "measures": {"x": 1.0}, "worst": ""}

    ended = []

    def run_all(crew: Crew) -> None:
        for done in run_jobs(
            plan.jobs(),
            plan.climates,
            crew,
            total=3,
            around=plan.around,
            store=store,
            pins=plan.pins,
            run=each,
        ):
            ended.append(done.job.number)

    with local_crew(1) as crew, pytest.raises(InputError) as caught:
        run_all(crew)
    (fault,) = caught.value.faults
    assert fault.file == str(tmp_path / name)
    assert "changed since the study began" in fault.problem or "any more" in fault.problem
    assert "--resume" in fault.remedy
    assert len(list((tmp_path / "study" / "variants").glob("*.json"))) == len(ended) < 3


def test_a_file_saved_again_as_it_was_stops_nothing(tmp_path: Path) -> None:
    """Its time is another, its content is not."""
    plan = swept(written(tmp_path))
    plan.pins.refuse_changed()
    os.utime(tmp_path / "own.toml", (1, 1))
    (tmp_path / "air.csv").write_bytes((tmp_path / "air.csv").read_bytes())
    plan.pins.refuse_changed()


@pytest.mark.parametrize("name", ["own.toml", "air.csv"])
def test_a_study_is_not_gone_on_with_after_a_file_has_changed(name: str, tmp_path: Path) -> None:
    """The message names the file, and nothing of the folder changes."""
    path = written(tmp_path)
    out = tmp_path / "study"
    open_store(out, swept(path).head, resume=False)
    before = (out / "study.json").read_bytes()
    changed(tmp_path / name)
    if name == "air.csv":  # still a whole file
        (tmp_path / name).write_text("air_changes_1_h\n" + "30\n" * 8760, encoding="utf-8")
    with pytest.raises(InputError, match=rf"differs in {tmp_path / name}"):
        open_store(out, swept(path).head, resume=True)
    assert (out / "study.json").read_bytes() == before


def test_another_year_is_named(tmp_path: Path) -> None:
    """A weather file that was replaced under its name is told by it."""
    path = written(tmp_path)
    year = tmp_path / "year.toml"
    text = (data_folder("climates") / "mobile.toml").read_text(encoding="utf-8")
    year.write_text(text, encoding="utf-8")
    command = ["sweep", str(path), "--climate", str(year), "--vary", "facing = south, west"]
    out = tmp_path / "study"
    base = read_assembly(path)
    varied = [read_vary("facing = south, west")]
    open_store(out, plan_sweep(base, varied, {"year": read_year(str(year))}).head, resume=False)
    year.write_text(text + "\n# the same\n", encoding="utf-8")
    head = plan_sweep(base, varied, {"year": read_year(str(year))}).head
    assert open_store(out, head, resume=True)
    year.write_text(text.replace("values = [60.8", "values = [61.8", 1), encoding="utf-8")
    result = CliRunner().invoke(main, [*command, "--out", str(out), "--resume", "--quiet"])
    assert result.exit_code == 2
    assert "differs in climate year" in result.stderr


def test_folders_of_before_are_gone_on_with(tmp_path: Path) -> None:
    """A study that was begun before files were listed in its head is still the same one."""
    head = swept(written(tmp_path)).head
    old = {key: value for key, value in head.items() if key != FILES}
    open_store(tmp_path / "study", old, resume=False)
    assert open_store(tmp_path / "study", head, resume=True)
    with pytest.raises(InputError, match="differs in vary"):
        open_store(tmp_path / "study", head | {"vary": []}, resume=True)


def test_what_is_pinned(tmp_path: Path) -> None:
    """Every material file, hourly files of gaps and room, each year; the library under one name."""
    path = written(tmp_path)
    base = read_assembly(path)
    assert hourly_files(base.data, base.folder) == [(tmp_path / "air.csv").resolve()]
    room = {"room": {"file": "room.csv"}, "layer": "none"}
    assert hourly_files(room, tmp_path) == [(tmp_path / "room.csv").resolve()]
    pins = pin({"miami": miami()}, [(base.data, base.folder)])
    assert len(pins.files) > 50
    named = pins.named()
    own = {str((tmp_path / name).resolve()) for name in ("own.toml", "air.csv")}
    assert set(named) == own | {"climate miami", SHIPPED}
    assert json.loads(json.dumps(named)) == named
    with pytest.raises(InputError, match="cannot be read"):
        pins.add([tmp_path / "nowhere.csv"])
