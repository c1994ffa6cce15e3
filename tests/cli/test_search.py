"""``moistwall least``, ``moistwall most`` and ``moistwall ensemble`` as a user meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from heron_point import year

from moistwall.cli import main


def told(*arguments: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(main, list(arguments))


@pytest.mark.slow
def test_most_of_a_leak(tmp_path: Path) -> None:
    """The most rain behind the foam that keeps to a limit lies where a sweep would find it."""
    out = tmp_path / "study"
    line = (
        "most", "heron-point-wall-leak-behind-foam", "--vary", "rain.behind[1].share", "--between",
        "0 %", "0.4 %", "--until", "hours_rh_80 <= 1700", "--climate", "mobile", "--out", str(out),
    )  # fmt: skip
    found = told(*line)
    assert found.exit_code == 0, found.output
    text = " ".join(found.stdout.split())
    assert "The most rain.behind[1].share that keeps to 'hours_rh_80 <= 1700' is 0.1" in text
    assert "% of the driving rain" in text
    again = told(*line, "--resume", "--json", "-", "--quiet")
    numbers = json.loads(again.stdout)
    low, high = numbers["bracket"]
    assert 0.1 < low < high < 0.2
    assert high - low <= 0.4 / 64
    hours = {one["value"]: one["measures"]["hours_rh_80"] for one in numbers["runs"]}
    assert hours[low] <= 1700 < hours[high]


def test_a_field_that_does_not_decide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A wall whose answer is the same whatever the field: said so, and other things are tried."""
    same = year("wall")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: same)
    found = told(
        "least", "heron-point-wall", "--vary", "layer[polyiso,*].thickness", "--between", "1 in",
        "4 in", "--climate", "miami",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    text = " ".join(found.stdout.split())
    assert "Every value from 1 in to 4 in keeps to 'dries'" in text
    assert "layer[polyiso,*].thickness does not decide here" in text
    assert "the inside finish (polyethylene inside)" in text
    assert "None of these decides either." in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--vary", "layer[polyiso].thickness", "--between", "1 in", "2 in"), "inner foam"),
        (("--vary", "layer[3].thickness", "--between", "2 in", "1 in"), "not below"),
        (("--vary", "layer[3].thickness", "--between", "1 in", "2 perm"), "perm"),
        (("--vary", "layer[3].thickness", "--between", "1 in", "900 in"), "out of range"),
        (("--vary", "facing", "--between", "south", "west"), "south"),
        (("--vary", "outside.color", "--between", "white", "dark"), "no quantity"),
        (("--vary", "layer[3].thickness", "--between", "1 in", "2 in", "--until", "rot"), "no criterion"),
        (("--vary", "layer[3].thickness", "--between", "1 in", "2 in", "--climate", "phoenix"), "one year"),
    ],
)  # fmt: skip
def test_wrong_input(arguments: tuple[str, ...], said: str, tmp_path: Path) -> None:
    """Exit code 2, what is wrong, and nothing written."""
    out = tmp_path / "study"
    found = told("least", "heron-point-wall", "--climate", "miami", "--out", str(out), *arguments)
    assert found.exit_code == 2, found.output
    assert said in found.stderr
    assert not out.exists()


def test_ensemble(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Chances, convergence and inputs are printed; every draw is kept and taken up."""
    same = year("wall")
    monkeypatch.setattr("moistwall.study.job.simulate", lambda section, climate, tell: same)
    line = ("ensemble", "heron-point-wall", "--climate", "miami", "--draws", "8", "--seed", "3")
    found = told(*line, "--out", str(tmp_path / "study"))
    assert found.exit_code == 0, found.output
    assert "dries       100.0 %  (95 % interval 63 to 100 %)" in found.stdout
    assert "OSB: vapor" in found.stdout
    assert len(list((tmp_path / "study" / "variants").glob("*.json"))) == 8
    again = told(*line, "--out", str(tmp_path / "study"), "--resume", "--json", "-")
    assert "8 of them kept" in again.stderr
    assert json.loads(again.stdout)["verdicts"]["dries"]["share"] == 1.0
    other = told(*line[:-1], "4", "--out", str(tmp_path / "study"), "--resume")
    assert other.exit_code == 2
    assert "another study, which differs in seed" in other.stderr
