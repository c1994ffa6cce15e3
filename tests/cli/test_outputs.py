"""Outputs are whole or absent, errors are lines with the right exit code, a run says what it does."""

from __future__ import annotations

import os
import stat
import threading
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from heron_point import year

import moistwall.solver.march
import moistwall.study.whole_run
from moistwall.cli import main
from moistwall.cli.files import check_writable, find_assembly, write_all
from moistwall.cli.run import FILES, _Bar
from moistwall.errors import BalanceError, ConvergenceError, InputError, MoistwallError
from moistwall.library import data_folder
from moistwall.simulate import Progress

ROOF = ("run", "heron-point-roof", "--climate", "miami")


@pytest.fixture
def computed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a run take the year of the roof that is computed already."""
    result = year("roof")
    monkeypatch.setattr(moistwall.study.whole_run, "simulate", lambda *_, **__: result)


def refuse_to_compute(*_: object, **__: object) -> None:
    """Stand in for the simulation where it must not be reached."""
    raise AssertionError("computed although the input is wrong")


def tree(folder: Path) -> dict[str, bytes]:
    """Return names and contents of all files below a folder, and its folders."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b"folder"
        for path in sorted(folder.rglob("*"))
    }


# what a name stands for


def test_shipped_example_is_found_by_name_and_by_path(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From an empty folder the name, with or without 'examples/' and '.toml', leads to the example."""
    monkeypatch.chdir(tmp_path)
    shipped = data_folder("examples") / "heron-point-roof.toml"
    for name in ("heron-point-roof", "heron-point-roof.toml", "examples/heron-point-roof.toml"):
        assert find_assembly(name) == shipped


def test_file_that_is_here_wins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file in the current folder is taken even if an example has its name."""
    monkeypatch.chdir(tmp_path)
    Path("heron-point-roof.toml").write_text("mine", encoding="utf-8")
    assert find_assembly("heron-point-roof.toml").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("heron-point-rof", "heron-point-roof"),
        ("heron-point-roof.csv", "there is no such file"),
        ("elsewhere/heron-point-roof.toml", "there is no such file"),
        (".", "is a folder"),
        ("x" * 5000, "there is no such file"),
    ],
)
def test_other_names_are_refused(name: str, said: str) -> None:
    """A slip gets the nearest examples; a folder, another ending or a monstrous name one message."""
    with pytest.raises(InputError, match=said) as caught:
        find_assembly(name)
    assert len(str(caught.value)) < 1000


# writing


def test_files_appear_whole_with_their_folders(tmp_path: Path) -> None:
    """Folders are made, old content is replaced, and no other file is left."""
    old = tmp_path / "old.txt"
    old.write_bytes(b"a much longer old content")
    write_all({old: b"new", tmp_path / "a" / "b" / "c.txt": b"deep"})
    assert tree(tmp_path) == {
        "a": b"folder",
        "a/b": b"folder",
        "a/b/c.txt": b"deep",
        "old.txt": b"new",
    }


def test_failed_writing_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full at the last file, old files, folders and names are as before."""
    old = tmp_path / "old.txt"
    old.write_bytes(b"old")
    before, calls = tree(tmp_path), 0

    def full(descriptor: int) -> None:
        nonlocal calls
        calls += 1
        if calls == 3:
            raise OSError(28, "No space left on device", "c.txt")

    monkeypatch.setattr(os, "fsync", full)
    files = {old: b"new", tmp_path / "a" / "b.txt": b"b", tmp_path / "a" / "d" / "c.txt": b"c"}
    with pytest.raises(InputError, match="No space left on device"):
        write_all(files)
    assert calls == 3
    assert tree(tmp_path) == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    """What is no ordinary file, such as a pipe or /dev/null, keeps its nature."""
    pipe, got = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: got.append(pipe.read_bytes()), daemon=True)
    reader.start()
    write_all({pipe: b"summary"})
    reader.join(timeout=10.0)
    assert got == [b"summary"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.skipif(os.name == "nt", reason="needs symbolic links")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a symbolic link changes the file that it leads to."""
    target, link = tmp_path / "target.json", tmp_path / "link.json"
    target.write_bytes(b"old")
    link.symlink_to(target)
    write_all({link: b"new"})
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_one_file_under_two_names_is_written_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--json may name the summary that --out writes too, by whatever path."""
    monkeypatch.chdir(tmp_path)
    write_all({Path("summary.json"): b"same", tmp_path / "summary.json": b"same"})
    assert tree(tmp_path) == {"summary.json": b"same"}


def test_impossible_outputs_are_refused_together(tmp_path: Path) -> None:
    """A folder, and a file below a file: one fault each; nothing is made."""
    (tmp_path / "file").write_bytes(b"mine")
    with pytest.raises(InputError) as caught:
        check_writable([tmp_path, tmp_path / "file" / "out.json", tmp_path / "new" / "fine.json"])
    assert [fault.file for fault in caught.value.faults] == [
        str(tmp_path),
        str(tmp_path / "file" / "out.json"),
    ]
    assert tree(tmp_path) == {"file": b"mine"}


# wrong input


def test_wrong_section_year_and_outputs_come_together(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line each for the wall, the year and the place to write, before anything is computed."""
    monkeypatch.setattr(moistwall.study.whole_run, "simulate", refuse_to_compute)
    ran = CliRunner().invoke(
        main, ["run", "no-such-wall", "--climate", "atlantis", "--json", str(tmp_path)]
    )
    assert ran.exit_code == 2
    lines = ran.stderr.splitlines()
    assert len(lines) == 3
    for line, said in zip(lines, ("no-such-wall", "--climate", str(tmp_path)), strict=True):
        assert line.startswith(f"moistwall: {said}: ")
    assert ran.stdout == ""


def test_missing_climate_lists_what_is_shipped() -> None:
    """Without --climate the message names the years that come with moistwall."""
    ran = CliRunner().invoke(main, ["run", "heron-point-roof"])
    assert ran.exit_code == 2
    assert "--climate: is missing" in ran.stderr
    assert "miami" in ran.stderr


def test_output_that_is_a_file_stays_as_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--out onto a file: exit 2 at once, and the file keeps its content."""
    monkeypatch.setattr(moistwall.study.whole_run, "simulate", refuse_to_compute)
    (tmp_path / "out").write_bytes(b"mine")
    ran = CliRunner().invoke(main, [*ROOF, "--out", str(tmp_path / "out")])
    assert ran.exit_code == 2
    assert tree(tmp_path) == {"out": b"mine"}


# failed runs


@pytest.mark.parametrize(
    "error", [ConvergenceError(3, 4, "siding", 7.5), BalanceError("it does not close")]
)
def test_failed_run_is_one_line_and_leaves_the_folder_alone(
    error: MoistwallError, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the solver could not do ends with 1 and a line; earlier output is untouched."""

    def fail(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(moistwall.study.whole_run, "simulate", fail)
    (tmp_path / "summary.json").write_bytes(b"of an earlier run")
    before = tree(tmp_path)
    ran = CliRunner().invoke(main, [*ROOF, "--quiet", "--out", str(tmp_path)])
    assert (ran.exit_code, ran.stdout, ran.stderr) == (1, "", f"moistwall: {error}\n")
    assert tree(tmp_path) == before


@pytest.mark.parametrize(
    "arguments", [["--debug", "run", "nowhere"], ["run", "nowhere", "--debug"]]
)
def test_debug_may_stand_before_or_behind_the_command(arguments: list[str]) -> None:
    """With --debug the error itself comes through, wherever the option stands."""
    ran = CliRunner().invoke(main, [*arguments, "--climate", "miami"])
    assert isinstance(ran.exception, InputError)


# what a run says


@pytest.mark.usefixtures("computed")
def test_second_run_replaces_the_first(tmp_path: Path) -> None:
    """Two runs into one folder leave the same files with the same bytes, and strangers alone."""
    (tmp_path / "notes.txt").write_bytes(b"mine")
    runner = CliRunner()
    assert runner.invoke(main, [*ROOF, "--out", str(tmp_path)]).exit_code == 0
    first = tree(tmp_path)
    assert runner.invoke(main, [*ROOF, "--out", str(tmp_path)]).exit_code == 0
    assert tree(tmp_path) == first
    assert first.keys() == {*FILES, "notes.txt"}


@pytest.mark.usefixtures("computed")
def test_files_are_named_where_the_report_does_not_go(tmp_path: Path) -> None:
    """Each file written is named on stderr, so that the report can be piped alone."""
    ran = CliRunner().invoke(main, [*ROOF, "--out", str(tmp_path)])
    wrote = [line for line in ran.stderr.splitlines() if line.startswith("wrote ")]
    assert {Path(line.removeprefix("wrote ")).name for line in wrote} == set(FILES)
    assert "wrote" not in ran.stdout


@pytest.mark.usefixtures("computed")
def test_compiling_is_announced_unless_quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first run on a machine says why it takes a minute; later ones do not."""

    def said(*more: str) -> bool:
        return "compiling the solver" in CliRunner().invoke(main, [*ROOF, *more]).stderr

    monkeypatch.setattr(moistwall.solver.march, "is_cached", lambda: False)
    assert said()
    assert not said("--quiet")
    monkeypatch.setattr(moistwall.solver.march, "is_cached", lambda: True)
    assert not said()


@pytest.mark.usefixtures("computed")
def test_old_console_gets_a_question_mark_and_no_crash(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A name that a console in code page 1252 cannot show does not end the report."""
    named = replace(year("roof"), section_name="屋根 roof")
    monkeypatch.setattr(moistwall.study.whole_run, "simulate", lambda *_, **__: named)
    text = (data_folder("examples") / "heron-point-roof.toml").read_text(encoding="utf-8")
    file = tmp_path / "roof.toml"
    file.write_text(text.replace(year("roof").section_name, "屋根 roof"), encoding="utf-8")
    ran = CliRunner(charset="cp1252").invoke(main, ["run", str(file), *ROOF[2:]])
    assert ran.exit_code == 0, ran.exception
    assert ran.stdout.startswith("?? roof")


def test_progress_goes_year_by_year(capsys: pytest.CaptureFixture[str]) -> None:
    """A bar for the first year, a new one for each further year, on stderr."""
    with _Bar() as told:
        for one in ((1, 4380), (1, 8760), (2, 8760), (3, 100)):
            told(Progress(*one))
    shown = capsys.readouterr()
    assert shown.out == ""
    for label in ("first year", "year 2", "year 3"):
        assert shown.err.count(label) == 1
