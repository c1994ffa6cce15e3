"""In the strict mode of the continuous integration a skipped test fails."""

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

CONFTEST = Path(__file__).parent.parent / "conftest.py"

TESTS = """
import pytest

def test_runs():
    pass

@pytest.mark.skipif(True, reason="never here")
def test_skips_by_mark():
    pass

def test_skips_inside():
    pytest.skip("not today")

@pytest.mark.xfail(reason="known", strict=False)
def test_expected_to_fail():
    assert False

@pytest.mark.weather_files
def test_reads_weather():
    pytest.skip("no weather files")
"""


@pytest.mark.parametrize(
    ("strict", "outcomes"),
    [
        ("", {"passed": 1, "skipped": 3, "xfailed": 1}),
        ("1", {"passed": 1, "skipped": 1, "failed": 2, "errors": 1}),
    ],
)
def test_skips_fail_only_in_strict_mode(pytester, monkeypatch, strict, outcomes):
    """Skips by mark, inside a test and expected failures go red; tests of weather files may skip."""
    monkeypatch.setenv("MOISTWALL_STRICT", strict)
    pytester.makeconftest(CONFTEST.read_text(encoding="utf-8"))
    pytester.makeini("[pytest]\nmarkers =\n  weather_files: may skip")
    pytester.makepyfile(TESTS)
    found = pytester.runpytest_inprocess("-p", "no:xdist").parseoutcomes()
    assert {name: found.get(name, 0) for name in outcomes} == outcomes


@pytest.mark.parametrize(("strict", "outcome"), [("", "skipped"), ("1", "errors")])
def test_a_module_that_skips_itself_fails(pytester, monkeypatch, strict, outcome):
    """A package that is missing takes no test file out of a strict run."""
    monkeypatch.setenv("MOISTWALL_STRICT", strict)
    pytester.makeconftest(CONFTEST.read_text(encoding="utf-8"))
    pytester.makepyfile("import pytest\npytest.importorskip('no_such_package')")
    found = pytester.runpytest_inprocess("-p", "no:xdist").parseoutcomes()
    assert found == {outcome: 1}
