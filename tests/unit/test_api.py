"""What `import moistwall as mw` gives: the same answers as the modules and the command line."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import moistwall as mw
from moistwall.assembly import assembly_from_data
from moistwall.assess.condensation import wet_hours
from moistwall.climate.hours import MONTH_OF_HOUR
from moistwall.criteria_file import find_criteria
from moistwall.library import data_folder
from moistwall.section import Layer

SCREENING = data_folder("criteria") / "screening.toml"


@pytest.fixture(scope="module")
def result() -> mw.Result:
    """Return a year of the example wall."""
    return mw.run("heron-point-wall", "miami")


def test_load_takes_names_and_files(tmp_path: Path) -> None:
    """A shipped example is found by its name, a file by its path, and a name that is neither is refused."""
    file = data_folder("examples") / "heron-point-wall.toml"
    assert mw.load("heron-point-wall").data == mw.load(file).data
    with pytest.raises(mw.InputError, match="heron-point-wall"):
        mw.load("heron-point-wal")


def test_what_is_listed_is_what_there_is_to_use() -> None:
    """`dir` lists the public names and nothing else, and an assembly and a year are told in a line."""
    assert dir(mw) == sorted(mw.__all__)
    assert repr(mw.load("heron-point-wall")) == (
        "<Assembly 'Heron Point classroom, south wall': wall of 8 layers, films and gaps>"
    )
    bare = assembly_from_data(
        {"layer": [{"material": "OSB", "thickness": "1/2 in"}]}, file="bare.toml"
    )
    assert repr(bare) == "<Assembly 'bare': wall of 1 layers, films and gaps>"
    assert repr(mw.find_material("OSB")) == "<Material 'OSB': sheathing, 650 kg/m3>"
    assert repr(mw.find_film("latex paint")).startswith("<FilmMaterial 'latex paint': coating, ")
    board = Layer("board", mw.find_material("gypsum board"), 0.0127)
    section = mw.Section("bare", (board, replace(board, name="other")))
    assert repr(section) == "<Section 'bare': 2 layers, films and gaps>"
    year = repr(mw.read_year("phoenix"))
    assert year.startswith("<Climate of 'Phoenix, Arizona': ")
    assert len(year) < 80


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("room.humidty", "changes: names no field of an assembly file"),
        ("layer[paint].permeance", "it is a number of a material"),
    ],
)
def test_change_is_not_told_in_words_of_the_command_line(path: str, said: str) -> None:
    """A path that means nothing is told as one of the changes, and a material's number by where it stands."""
    with pytest.raises(mw.InputError, match=said) as caught:
        mw.change(mw.load("heron-point-wall"), {path: "50 %"})
    assert "--vary" not in str(caught.value)


def test_change_takes_a_name_as_run_does() -> None:
    """A variant of an example may be made from its name."""
    changes = {"room.humidity": "60 %"}
    wall = mw.change("heron-point-wall", changes)
    assert wall.data == mw.change(mw.load("heron-point-wall"), changes).data


def test_change_makes_another_assembly() -> None:
    """A variant has its fields changed, a vanished layer out, and the assembly it is made from as it was."""
    wall = mw.load("heron-point-wall")
    before = dict(wall.data)
    other = mw.change(wall, {"layer[polyiso,*].thickness": "3 in", "room.humidity": "60 %"})
    thick = [one.thickness for one in mw.resolve(other).layers if "foam" in one.name]
    assert thick == pytest.approx([1.5 * 0.0254] * 2)
    assert mw.resolve(other).room_rh == pytest.approx(0.6)
    assert wall.data == before
    assert mw.resolve(wall).room_rh == pytest.approx(0.5)
    bare = mw.change(wall, {"layer[polyiso,*].thickness": "0 in"})
    assert not any("foam" in part.name for part in mw.resolve(bare).parts)
    with pytest.raises(mw.InputError, match="no_such"):
        mw.change(wall, {"room.no_such": "1 in"})


def test_run_takes_sections_and_years(result: mw.Result) -> None:
    """A section with a year gives what the name of the assembly with the name of the year gives."""
    section = mw.resolve(mw.load("heron-point-wall"))
    again = mw.run(section, mw.read_year("miami"))
    assert np.array_equal(again.rh_place, result.rh_place)
    assert again.section_name == result.section_name


def test_judge_takes_files_of_criteria(result: mw.Result, tmp_path: Path) -> None:
    """The shipped criteria are taken if nothing else is said; a file of stricter ones gives another word."""
    assert mw.judge(result).overall == "dries"
    assert mw.judge(result, find_criteria()).overall == "dries"
    strict = tmp_path / "strict.toml"
    strict.write_text(
        'name = "strict"\n[[criterion]]\nname = "any hour at 50 %"\nquantity = "hours at humidity"\n'
        'threshold = "50 %"\nlimit = "1 h"\nmarginal = "0 h"\nsource = "invented"\nquality = "estimate"\n',
        encoding="utf-8",
    )
    assert mw.judge(result, strict).overall == "stays wet"


def test_hourly_frame_is_the_arrays(result: mw.Result) -> None:
    """The hourly frame holds the arrays of the result; its months are those of the year."""
    frame = mw.hourly_frame(result)
    assert np.array_equal(np.asarray(frame.index.month), MONTH_OF_HOUR)  # type: ignore[attr-defined]
    found = frame.filter(like="(in sheathing) relative_humidity_percent").to_numpy()
    places = [k for k, place in enumerate(result.places) if place.part == "sheathing"]
    assert np.array_equal(found, 100.0 * result.rh_place[:, places])
    assert frame["outdoor air temperature_degC"].to_numpy() == pytest.approx(
        result.outdoor_temperature
    )
    assert "outdoor air temperature_degF" in mw.hourly_frame(result, "ip")


def test_place_frame_is_the_table(result: mw.Result) -> None:
    """The frame of places has outdoor air first, then every side from outside to inside with its hours."""
    frame = mw.place_frame(result)
    assert list(frame["hours_rh_80"])[1:] == [row.hours_rh_80 for row in wet_hours(result)]
    assert (frame["hours_rh_80_low"] <= frame["hours_rh_80"]).all()
    assert (frame["hours_rh_80"] <= frame["hours_rh_80_high"]).all()
    assert frame["depth_m"].iloc[1:].is_monotonic_increasing


def test_criteria_frame_has_every_criterion(result: mw.Result) -> None:
    """The frame of criteria has a row each, with its word, limit and source."""
    verdict = mw.judge(result)
    frame = mw.criteria_frame(verdict)
    assert list(frame["criterion"]) == [one.name for one in find_criteria().criteria]
    assert frame["source"].str.len().min() > 0
    assert list(frame["word"]) == [one.word for one in verdict.judged]


def test_climate_frame_leaves_unknown_rain_out() -> None:
    """The frame of a year has a row an hour and its series; without known rain it has no such column."""
    year = mw.read_year("mobile")
    frame = mw.climate_frame(year)
    assert len(frame) == 8760
    assert np.array_equal(frame["rain_mm"].to_numpy(), year.rain)  # type: ignore[arg-type]
    assert "rain_mm" not in mw.climate_frame(replace(year, rain=None))


def test_start_up_is_light() -> None:
    """Looking at all names loads nothing heavy, and loading an assembly neither the kernel nor pandas."""
    code = (
        "import sys, moistwall as mw; dir(mw); mw.__all__\n"
        "print(*[m for m in ('numpy', 'pandas', 'numba') if m in sys.modules])\n"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).parents[2],
        check=True,
        capture_output=True,
        text=True,
    )
    assert shown.stdout.split() == []


def test_pictures_are_figures(result: mw.Result, tmp_path: Path) -> None:
    """Both pictures are figures that can be saved, and the report is the text with its cautions."""
    for figure in (mw.section_figure(result), mw.humidity_figure(result)):
        figure.savefig(tmp_path / "one.png")
        assert (tmp_path / "one.png").stat().st_size > 1000
    assert "licensed design professional" in mw.report(result)


def test_sections_need_no_file() -> None:
    """A section made of classes alone is run like any other."""
    board = Layer("board", mw.find_material("gypsum board"), 0.0127)
    found = mw.run(mw.Section("board", (board,), room_temperature=24.0, room_rh=0.5), "miami")
    assert found.section_name == "board"


def test_a_verdict_is_told_in_a_line() -> None:
    """The word, and the criteria that are not met."""
    dry = repr(mw.judge(mw.run("heron-point-wall", "miami")))
    assert dry.startswith("<Verdict 'dries', ")
    wet = repr(mw.judge(mw.run("heron-point-wall-no-foam-vinyl", "miami")))
    assert "hours at 80 % RH: stays wet" in wet
    assert max(len(dry), len(wet)) < 200
