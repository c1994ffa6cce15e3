"""The cache of compiled functions: never stale, and not needed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import moistwall
from moistwall.solver.kernel import compile as kernel_compile

CALL = (
    "from moistwall.solver.kernel.ends import gap_conductances\n"
    "print(repr(gap_conductances(0.019, 100.0, 5.0, 3.5e-8, 20.0)))\n"
)
"""Calls a compiled function that itself calls one of another file and uses a constant of a third."""

EDITS = {
    "called function": (
        "solver/kernel/moist.py",
        "return (1.0 - e) / ntu",
        "return (1.5 - e) / ntu",
    ),
    "constant": ("air.py", "AIR_HEAT_CAPACITY = 1006.0", "AIR_HEAT_CAPACITY = 2012.0"),
}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """Copy the package to where it can be edited, as it would be installed."""
    target = tmp_path / "site" / "moistwall"
    source = Path(moistwall.__file__).parent
    shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
    return target


def answer(copy: Path, cache: Path) -> str:
    """Call the function in a fresh process and return what it printed."""
    environment = {**os.environ, "MOISTWALL_CACHE": str(cache), "PYTHONPATH": str(copy.parent)}
    shown = subprocess.run(
        [sys.executable, "-W", "error", "-B", "-c", CALL],
        cwd=copy.parent,
        env=environment,
        check=True,
        capture_output=True,
        text=True,
    )
    return shown.stdout


def replace(path: Path, old: str, new: str) -> None:
    """Replace a text that must stand in a file exactly once."""
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("what", EDITS)
def test_an_edit_elsewhere_is_seen(copy: Path, tmp_path: Path, what: str) -> None:
    """After an edit in a file that a cached function only calls, the new number comes out."""
    file, old, new = EDITS[what]
    before = answer(copy, tmp_path / "cache")
    assert list((tmp_path / "cache").rglob("*.nbc"))
    assert answer(copy, tmp_path / "cache") == before
    replace(copy / file, old, new)
    assert answer(copy, tmp_path / "cache") != before


def test_without_the_hash_the_old_number_would_come_back(copy: Path, tmp_path: Path) -> None:
    """The danger is real: with a fixed name of the folder, the edit of a called function is missed."""
    hashed = "return digest.hexdigest()[:20]"
    replace(copy / "solver/kernel/compile.py", hashed, 'return "always the same"')
    file, old, new = EDITS["called function"]
    before = answer(copy, tmp_path / "cache")
    replace(copy / file, old, new)
    assert answer(copy, tmp_path / "cache") == before


def test_hash_changes_with_every_source(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One more byte in any of the compiled sources gives another hash."""
    copies = []
    for number, path in enumerate(kernel_compile.source_files()):
        copies.append(tmp_path / str(number) / path.name)
        copies[-1].parent.mkdir()
        shutil.copy(path, copies[-1])
    before = kernel_compile.source_hash()
    monkeypatch.setattr(kernel_compile, "source_files", lambda: copies)
    hashes = {before}
    assert kernel_compile.source_hash() == before
    for path in copies:
        path.write_bytes(path.read_bytes() + b"\n")
        hashes.add(kernel_compile.source_hash())
    assert len(hashes) == 1 + len(copies)


def test_unwritable_cache_is_said_once(tmp_path: Path) -> None:
    """Where no cache can be written, one warning says so and the functions are compiled in memory."""
    blocked = tmp_path / "a file"
    blocked.write_text("no folder", encoding="utf-8")
    shown = subprocess.run(
        [sys.executable, "-c", CALL + "import moistwall.solver.march"],
        cwd=tmp_path,
        env={
            **os.environ,
            "MOISTWALL_CACHE": str(blocked),
            "PYTHONPATH": str(Path(moistwall.__file__).parents[1]),
        },
        check=True,
        capture_output=True,
        text=True,
    )
    assert shown.stderr.count("cannot write to") == 1
    assert str(blocked) in shown.stderr
    assert "MOISTWALL_CACHE" in shown.stderr
    from moistwall.solver.kernel.ends import gap_conductances

    assert shown.stdout == repr(gap_conductances(0.019, 100.0, 5.0, 3.5e-8, 20.0)) + "\n"
    assert blocked.read_text(encoding="utf-8") == "no folder"


def doubled(value: float) -> float:
    """Function to be compiled."""
    return 2.0 * value


def test_damaged_cache_is_compiled_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Code that was cut short on the disk is made again, and kept again."""
    monkeypatch.setattr(kernel_compile, "CACHE_FOLDER", tmp_path)
    assert kernel_compile.compiled_apart(doubled)(3.0) == 6.0
    kept = sorted(tmp_path.rglob("*.nbc"))
    assert kept
    whole = [path.read_bytes() for path in kept]
    for cut in (len(whole[0]) // 2, 0):
        for path in sorted(tmp_path.rglob("*.nbc")):
            path.write_bytes(path.read_bytes()[:cut])
        again: Any = kernel_compile.compiled_apart(doubled)
        assert again(3.0) == 6.0
        assert sum(again.stats.cache_misses.values()) == 1
    healed: Any = kernel_compile.compiled_apart(doubled)
    assert healed(3.0) == 6.0
    assert sum(healed.stats.cache_hits.values()) == 1
