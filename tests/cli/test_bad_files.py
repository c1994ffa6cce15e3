"""Malformed files of every kind: one clear message with file, field, value and remedy; exit 2; nothing written.

The table of small mutations stands in bad_files.json: kind of file, what is replaced by what, and the field and
value that the message names.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest
from bad_climates import CLIMATES
from click.testing import CliRunner, Result

from moistwall.cli import main
from moistwall.library import data_folder

TABLE = json.loads((Path(__file__).parent / "bad_files.json").read_text(encoding="utf-8"))

ASSEMBLY = ("check", "@FILE", "--json", "@DIR/out.json")
MATERIAL = ("materials", "--check", "@FILE")
CLIMATE = ("climates", "@FILE", "--json", "@DIR/out.json")
PROBLEM = ("bench", "@FILE", "--out", "@DIR/out.csv")
CRITERIA = (
    "run",
    "heron-point-wall",
    "--climate",
    "miami",
    "--criteria",
    "@FILE",
    "--out",
    "@DIR/out",
)
COMMANDS = {
    "assembly": ASSEMBLY,
    "material": MATERIAL,
    "film": MATERIAL,
    "board": MATERIAL,
    "monthly": CLIMATE,
    "problem": PROBLEM,
    "criteria": CRITERIA,
}
"""What reads a file of each kind, and would write if nothing were wrong."""


@cache
def valid(kind: str) -> str:
    """A file of a kind in which nothing is wrong."""
    folder = data_folder("materials")
    if kind == "assembly":
        path = data_folder("examples") / "heron-point-wall-all-loads.toml"
    elif kind == "monthly":
        path = data_folder("climates") / "mobile.toml"
    elif kind == "problem":
        path = Path(__file__).parents[1] / "verification" / "wall-48h.toml"
    elif kind == "criteria":
        path = data_folder("criteria") / "screening.toml"
    else:
        names = {"material": "sheathing/osb", "film": "coating/latex-paint"}
        path = folder / f"{names.get(kind, 'foam/foil-faced-polyiso')}.toml"
    text = path.read_text(encoding="utf-8")
    for own, others in {
        "own board": ('"OSB"', '"foil-faced polyiso"'),
        "own": ('"oriented strand board"', '"foil-faced polyisocyanurate"', '"paint"'),
        "own paint": ('"latex paint"',),
    }.items():
        for other in others:
            if kind in ("material", "film", "board"):
                text = text.replace(f"= {other}", f'= "{own}"').replace(f"[{other}]", f'["{own}"]')
    return text


def refused(arguments: tuple[str, ...], path: Path) -> list[str]:
    """Run a command on a bad file, see that it is refused as it should be, and give its lines."""
    given = [one.replace("@FILE", str(path)).replace("@DIR", str(path.parent)) for one in arguments]
    result: Result = CliRunner().invoke(main, given)
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit), result.exception
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]
    lines = [line for line in result.stderr.splitlines() if not line.startswith("unusual:")]
    assert lines
    assert len(lines) <= 61
    for line in lines:
        assert line.startswith("moistwall: "), line
        assert line.isprintable(), line
        assert len(line) < 1200
    return lines


@pytest.mark.parametrize("case", TABLE, ids=[f"{k}-{case[0]}" for k, case in enumerate(TABLE)])
def test_a_small_mutation_is_refused(case: list[str], tmp_path: Path) -> None:
    """One line names file, field and value, and says what would be right."""
    kind, old, new, field, value = case
    assert old in valid(kind)
    path = tmp_path / "bad.toml"
    path.write_text(valid(kind).replace(old, new, 1), encoding="utf-8")
    (line,) = refused(COMMANDS[kind], path)
    assert line.startswith(f"moistwall: {path}: ")
    assert field in line
    assert value in line
    assert "; " in line or "must be one of" in line


@pytest.mark.parametrize("kind", COMMANDS)
def test_what_is_mutated_is_right(kind: str, tmp_path: Path) -> None:
    """The files that are mutated are accepted as they are."""
    path = tmp_path / "good.toml"
    path.write_text(valid(kind), encoding="utf-8")
    given = [
        one.replace("@FILE", str(path)).replace("@DIR", str(tmp_path)) for one in COMMANDS[kind]
    ]
    if kind == "criteria":
        given = ["run", "no-such-wall", "--climate", "miami", "--criteria", str(path)]
        result = CliRunner().invoke(main, given)
        assert "good.toml" not in result.stderr
        return
    result = CliRunner().invoke(main, given)
    assert result.exit_code == 0, result.output


RAW = {
    "empty": b"",
    "blank lines": b"\n\n",
    "NUL": b'name = "a\0b"',
    "latin-1": b'name = "H\xe9ron"',
    "UTF-16": 'name = "x"'.encode("utf-16"),
    "UTF-16 without a mark": 'name = "x"'.encode("utf-16-le"),
    "picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "archive": b"PK\x03\x04" + bytes(100),
    "huge": b"#" * 1_000_001,
    "deep brackets": b"a = " + b"[" * 5000 + b"]" * 5000,
    "deep keys": b".".join([b"a"] * 3000) + b" = 1",
    "JSON": b'{"name": "x"}',
    "another markup": b"name: x\nlayer:\n - a\n",
    "page": b"<html></html>",
    "two marks": b'\xef\xbb\xbf\xef\xbb\xbfname = "x"',
    "carriage returns alone": b'name = "x"\rkind = "wall"\r',
    "endless number": b"name = " + b"9" * 5000,
    "open text": b'name = "x',
    "many keys": b"".join(b"k%d = 1\n" % k for k in range(3000)),
    "key twice": b'name = "x"\nname = "y"\n',
    "surrogate": b'name = "\\ud800"',
    "a hundred thousand layers": b"[[layer]]\n" * 99_000,
    "empty tables in a row": b"layer = [" + b"{}," * 300_000 + b"]\n",
    "long key": b"x" * 990_000 + b" = 1\n",
    "long line": b'name = "' + b"x" * 990_000 + b'"\n',
    "long number": b'[[layer]]\nthickness = "' + b"9" * 900_000 + b' in"\n',
    "code": b'name = """__import__("os").system("true")"""',
}
"""Files that are none of ours at all."""


@pytest.mark.parametrize("kind", ["assembly", "material"])
@pytest.mark.parametrize("name", RAW)
def test_what_is_no_such_file_is_refused(kind: str, name: str, tmp_path: Path) -> None:
    """Binary, huge, deep, truncated and foreign files are told from TOML, with what to do."""
    path = tmp_path / "bad.toml"
    path.write_bytes(RAW[name])
    lines = refused(COMMANDS[kind], path)
    assert all(str(path) in line for line in lines if "more like these" not in line)
    assert any("; " in line or "must be one of" in line for line in lines)


JSON = {
    "empty": b"",
    "list": b"[]",
    "text": b'"x"',
    "key twice": b'{"title": 1, "title": 2}',
    "NaN": b'{"title": NaN}',
    "deep": b"[" * 100_000,
    "trailing comma": b'{"a": 1,}',
    "endless number": b'{"a": ' + b"9" * 5000 + b"}",
    "UTF-16": "{}".encode("utf-16"),
    "surrogate": b'{"title": "\\ud800"}',
    "nothing in it": b"{}",
    "deep tables": b'{"a":' * 50 + b"1" + b"}" * 50,
}


@pytest.mark.parametrize("name", JSON)
def test_no_problem_in_json(name: str, tmp_path: Path) -> None:
    """Broken JSON, and JSON that is no problem, is refused with what to do."""
    path = tmp_path / "bad.json"
    path.write_bytes(JSON[name])
    lines = refused(PROBLEM, path)
    assert all(str(path) in line and "; " in line for line in lines)


@pytest.mark.parametrize("name", CLIMATES)
def test_a_year_that_is_wrong(name: str, tmp_path: Path) -> None:
    """Rows, cells, hours, codings and heads of every format that is read."""
    suffix, content, field = CLIMATES[name]
    path = tmp_path / f"bad{suffix}"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    lines = refused(CLIMATE, path)
    assert str(path) in lines[0]
    assert any(field in line for line in lines), lines
    assert any("; " in line for line in lines), lines


STAGES = {
    "no stage": ('start = "flooded"\n', "stage"),
    "lasts and waits": (
        '[[stage]]\nname = "a"\nlasts = "3 days"\nuntil = "16 %MC"\nlayer = "x"\n',
        "stage[1]",
    ),
    "neither": ('[[stage]]\nname = "a"\n', "stage[1]"),
    "no layer": ('[[stage]]\nname = "a"\nuntil = "16 %MC"\n', "stage[1]"),
    "no time": ('[[stage]]\nname = "a"\nlasts = "soon"\n', "stage[1].lasts"),
    "too long": ('[[stage]]\nname = "a"\nlasts = "9 years"\n', "stage[1].lasts"),
    "hot room": (
        '[[stage]]\nname = "a"\nlasts = "3 days"\nroom = {temperature = "99 degC"}\n',
        "stage[1].room.temperature",
    ),
    "unknown key": ('[[stage]]\nname = "a"\nlasts = "3 days"\ndoors = 2\n', "stage[1].doors"),
    "preset": ('start = "soaked"\n[[stage]]\nname = "a"\nlasts = "3 days"\n', "start"),
    "too many": ('[[stage]]\nname = "a"\nlasts = "3 days"\n' * 60, "stage"),
    "part that is not there": (
        '[[stage]]\nname = "a"\nremove = ["tiles"]\nlasts = "3 days"\n',
        "tiles",
    ),
}


@pytest.mark.parametrize("name", STAGES)
def test_stages_that_are_wrong(name: str, tmp_path: Path) -> None:
    """Stages of drying out are checked before anything is computed."""
    text, field = STAGES[name]
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    command = ("dry-out", "heron-point-wall", "--climate", "miami", "--stages", "@FILE")
    lines = refused((*command, "--json", "@DIR/out.json"), path)
    assert any(field in line for line in lines), lines


OPTIONS = {
    "no path": ("sweep", "--vary", "thickness = 1 in"),
    "no values": ("sweep", "--vary", "layer[sheathing].thickness ="),
    "no equals": ("sweep", "--vary", "layer[sheathing].thickness"),
    "no step": ("sweep", "--vary", "layer[sheathing].thickness = 1 in .. 2 in"),
    "steps that miss": ("sweep", "--vary", "layer[sheathing].thickness = 1 in .. 2 in step 0.3 in"),
    "falls": ("sweep", "--vary", "layer[sheathing].thickness = 2 in .. 1 in step 0.5 in"),
    "two units": ("sweep", "--vary", "layer[sheathing].thickness = 1 in .. 30 mm step 1 mm"),
    "twice": ("sweep", "--vary", "facing = south, south"),
    "wrong unit": ("sweep", "--vary", "layer[sheathing].thickness = 1 perm, 2 perm"),
    "NaN": ("sweep", "--vary", "layer[sheathing].thickness = nan in, 1 in"),
    "zero over": ("sweep", "--vary", "layer[sheathing].thickness = 1/0 in .. 2 in step 1 in"),
    "huge": ("sweep", "--vary", "layer[sheathing].thickness = 0 in .. 1e300 in step 1e-9 in"),
    "no layer of the file": ("sweep", "--vary", "layer[roof tiles].thickness = 1 in, 2 in"),
    "limit": ("sweep", "--vary", "facing = south, west", "--limit", "dry as dust"),
    "limit of nothing": ("sweep", "--vary", "facing = south, west", "--limit", "hours_of_fun < 3"),
    "workers": ("sweep", "--vary", "facing = south, west", "--workers", "0"),
    "workers in words": ("sweep", "--vary", "facing = south, west", "--workers", "many"),
    "year that is not there": ("sweep", "--vary", "facing = south, west", "--climate", "atlantis"),
    "ends": ("least", "layer[sheathing].thickness", "--between", "2 in", "1 in"),
}


@pytest.mark.parametrize("name", OPTIONS)
def test_options_of_studies_that_are_wrong(name: str, tmp_path: Path) -> None:
    """What is varied, limits and workers are checked before anything is run or a folder made."""
    path = tmp_path / "wall.toml"
    text = (data_folder("examples") / "heron-point-wall.toml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    command, *others = OPTIONS[name]
    given = [command, str(path), "--climate", "miami", "--out", str(tmp_path / "study"), *others]
    result = CliRunner().invoke(main, given)
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    assert result.stderr.strip()
    assert [entry.name for entry in tmp_path.iterdir()] == ["wall.toml"]


def test_there_are_enough_of_them() -> None:
    """At least 150 bad files of all kinds are tried."""
    assert len({tuple(case) for case in TABLE}) == len(TABLE)
    assert len(TABLE) + 2 * len(RAW) + len(JSON) + len(CLIMATES) + len(STAGES) >= 300
    assert find_spec("pvlib") is not None
