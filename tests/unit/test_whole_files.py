"""Files appear under their name whole or not at all: full disks, failing renames, kills, two at once."""

from __future__ import annotations

import errno
import os
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from moistwall import whole_files
from moistwall.cli.files import write_all
from moistwall.errors import InputError
from moistwall.study.store import write_whole
from moistwall.whole_files import clear_forgotten, sync_folder, write_whole_by, write_whole_files

FULL = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def failing(at: int, real: Any) -> Any:
    """A function that finds no room at its n-th call."""
    calls = [0]

    def call(*arguments: Any) -> Any:
        calls[0] += 1
        if calls[0] == at:
            raise FULL
        return real(*arguments)

    return call


def names(folder: Path) -> list[str]:
    """What lies in a folder, hidden files too."""
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize("at", [1, 2, 3])
def test_a_full_disk_loses_no_earlier_result(
    at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever of three files finds no room, all three are as they were, and nothing is left over."""
    paths = [tmp_path / name for name in ("a", "b", "c")]
    write_whole_files(dict.fromkeys(paths, b"old"))
    monkeypatch.setattr(whole_files.os, "fsync", failing(at, os.fsync))
    with pytest.raises(InputError, match=r"[abc]: cannot be written: No space left.*room left"):
        write_all(dict.fromkeys(paths, b"new"))
    assert [path.read_bytes() for path in paths] == [b"old"] * 3
    assert names(tmp_path) == ["a", "b", "c"]


def test_a_full_disk_keeps_the_variants_of_a_study(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A variant that finds no room says so and leaves the one that was there."""
    path = tmp_path / "key.json"
    write_whole(path, {"a": 1})
    before = path.read_bytes()
    monkeypatch.setattr(whole_files.os, "fsync", failing(1, os.fsync))
    with pytest.raises(InputError, match="make room"):
        write_whole(path, {"a": 2})
    assert path.read_bytes() == before
    assert names(tmp_path) == ["key.json"]


def test_a_really_full_device_is_told() -> None:
    """What the system says of a device without room comes through as a message."""
    if not Path("/dev/full").exists():
        assert sys.platform != "linux"
        return
    with pytest.raises(InputError, match="/dev/full: cannot be written: No space left"):
        write_all({Path("/dev/full"): b"x" * 100_000})


def test_a_limit_of_the_system_on_size(tmp_path: Path) -> None:
    """Past the largest size that the system allows nothing half-written stands under the name."""
    if sys.platform == "win32":
        return
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "from moistwall.cli.files import write_all\n"
        "write_all({Path(sys.argv[1]): b'x' * 5000})\n"
    )
    path = tmp_path / "summary.json"
    path.write_bytes(b"old")
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=False
    )
    assert "cannot be written: File too large" in done.stderr
    assert path.read_bytes() == b"old"
    assert names(tmp_path) == ["summary.json"]


def test_a_writer_that_fails_leaves_nothing(tmp_path: Path) -> None:
    """An error of what makes the content comes through, and no file has changed."""

    def broken(file: Any) -> None:
        file.write(b"half")
        raise RuntimeError("no more")

    with pytest.raises(RuntimeError, match="no more"):
        write_whole_by({tmp_path / "a": broken})
    assert names(tmp_path) == []


def test_what_was_forgotten_is_cleared_and_what_is_being_written_stays(tmp_path: Path) -> None:
    """Incomplete files go when they are old; those of another running program, and others' files, stay."""
    old, new, other = (tmp_path / name for name in (".a.1-x.part", ".a.2-y.part", "mine.part"))
    for path in (old, new, other):
        path.write_bytes(b"half")
    past = time.time() - 2 * whole_files.FORGOTTEN
    for path in (old, other):
        os.utime(path, (past, past))
    clear_forgotten(tmp_path)
    assert names(tmp_path) == [".a.2-y.part", "mine.part"]
    write_whole_files({tmp_path / "a": b"whole"})
    assert names(tmp_path) == [".a.2-y.part", "a", "mine.part"]


def test_folders_are_not_opened_on_windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system opens no folders, none is tried; where it does, an odd one is no error."""
    opened: list[object] = []
    monkeypatch.setattr(whole_files.os, "open", lambda *given: opened.append(given) or 1 / 0)
    monkeypatch.setattr(whole_files.os, "name", "nt")
    sync_folder(tmp_path)
    assert opened == []
    monkeypatch.undo()
    sync_folder(tmp_path / "gone")


def test_killed_at_random_moments_every_file_is_whole(tmp_path: Path) -> None:
    """Forty kills of a program that writes on and on: a file holds one content or the other, never a part."""
    contents = [bytes([65 + k]) * 300_000 for k in range(2)]
    path = tmp_path / "result"
    path.write_bytes(contents[0])
    code = (
        "import sys; from pathlib import Path; from moistwall.whole_files import write_whole_files\n"
        "print('on', flush=True)\n"
        "k = 0\n"
        "while True:\n"
        "    k += 1\n"
        "    write_whole_files({Path(sys.argv[1]): bytes([65 + k % 2]) * 300_000})\n"
    )
    chance = random.Random(1)
    for _ in range(40):
        with subprocess.Popen(
            [
                sys.executable,
                "-S",
                "-c",
                f"import sys; sys.path[:0] = {sys.path!r}\n{code}",
                str(path),
            ],
            stdout=subprocess.PIPE,
        ) as writer:
            assert writer.stdout is not None
            writer.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.02))
            writer.kill()
        assert path.read_bytes() in contents
