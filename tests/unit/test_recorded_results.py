"""The examples give the numbers that were recorded; moving them needs an entry of kind physics."""

from __future__ import annotations

from pathlib import Path

import pytest
from recorded import FOLDER, MOVES, digest, examples, moves, numbers, recorded, tolerance

ROOT = Path(__file__).parents[2]

QUICK = ("attic", "room-dehumidifier", "wall-all-loads", "wall-brick")
"""Examples that are run each time: a roof over an attic, a room with its machines, every load at once, a cladding
that soaks."""


def compare(name: str) -> None:
    """Run an example and hold every number against what was recorded."""
    found, kept = numbers(name), recorded(name)
    assert found.keys() == kept.keys()
    moved = {
        key: (value, kept[key][0])
        for key, value in found.items()
        if not abs(value - kept[key][0]) <= kept[key][1]
    }
    assert moved == {}, "see scripts/record-results, if physics moves them"


@pytest.mark.parametrize("name", QUICK)
def test_numbers_are_those_recorded(name: str) -> None:
    """Hours, mold, wood, heat, water and means of a year are the recorded ones."""
    compare(name)


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in examples() if name not in QUICK])
def test_numbers_of_all_others_are_those_recorded(name: str) -> None:
    """The same for every other example."""
    compare(name)


def test_every_example_is_recorded() -> None:
    """An example without a record, or a record without an example, is an oversight."""
    assert {path.stem for path in FOLDER.glob("*.json") if path != MOVES} == set(examples())
    assert all(len(recorded(name)) >= 15 for name in examples())


def test_records_move_only_with_an_entry_of_kind_physics() -> None:
    """The fingerprint of the records is that of the last recording, and each had an entry of its own."""
    told = moves()
    assert told[-1]["digest"] == digest(), "records were changed without scripts/record-results"
    reasons = [move["because"] for move in told]
    assert len(set(reasons)) == len(reasons)
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    for reason in reasons:
        assert reason.endswith(".physics.md")
        # a release gathers the entries in CHANGELOG.md under their names
        assert (ROOT / "changelog.d" / reason).is_file() or reason.split(".")[0] in changes


def test_tolerances_are_tight() -> None:
    """No tolerance lets a number move by more than a thousandth, a count by more than two hours."""
    assert tolerance("hours_rh_80", 3000.0) == 2.0
    assert tolerance("condensing_hours", 10.0) == 2.0
    assert tolerance("stored_water_end", 20.0) == pytest.approx(0.02)
    assert tolerance("verdict", 1.0) == 0.0
    for name in examples():
        for key, (value, allowed) in recorded(name).items():
            assert allowed == tolerance(key, value)
