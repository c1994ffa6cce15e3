"""The cases of `moistwall verify` hold, and each way in which one should miss makes it miss."""

import hashlib
import shutil
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner

import moistwall.verify.cases_air
import moistwall.verify.cases_exact
import moistwall.verify.cases_independent
import moistwall.verify.cases_published
from moistwall.cli import main
from moistwall.errors import InputError
from moistwall.solver.march import Accuracy
from moistwall.verify.case import (
    PROBLEMS,
    REFERENCES,
    Case,
    Outcome,
    compare,
    compare_rms,
)
from moistwall.verify.cases_exact import periodic, steady_pressures, steady_temperatures
from moistwall.verify.cases_independent import compare_all, water_kept
from moistwall.verify.cases_published import hamstad_2_series
from moistwall.verify.problem import read_problem
from moistwall.verify.reference import read_reference, reference_text
from moistwall.verify.run import run_problem
from moistwall.verify.runner import CASES, case_lines, chosen_cases, run_case, run_cases, summary


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case_holds(case):
    """Every comparison of the case is within its tolerance."""
    verdict = run_case(case)
    assert verdict.outcome.passes, "\n".join(case_lines(verdict))
    assert verdict.outcome.curves


def test_there_are_enough_comparisons():
    """The cases make at least 25 comparisons, and every one says who set its tolerance."""
    outcomes = [verdict.outcome for verdict in run_cases(chosen_cases())]
    comparisons = [one for outcome in outcomes for one in outcome.comparisons]
    assert len(comparisons) >= 25
    assert all(one.whose and one.tolerance > 0.0 for one in comparisons)
    assert all(case.proves and case.source for case in CASES)
    assert len({case.name for case in CASES}) == len(CASES)


def test_every_problem_is_used(monkeypatch):
    """Each problem that ships is read by a case of verification."""
    used = set()

    def read(path):
        used.add(path.stem)
        return read_problem(path)

    for module in (
        moistwall.verify.cases_exact,
        moistwall.verify.cases_published,
        moistwall.verify.cases_independent,
    ):
        monkeypatch.setattr(module, "read_problem", read)
        run_cases(module.CASES)
    assert used == {path.stem for path in PROBLEMS.glob("*.toml")}


# what makes a comparison miss --------------------------------------------------------------------


def test_a_comparison_shows_the_worst_point():
    """The point furthest off stands for all, with its sign; shares count from the reference."""
    one = compare("x", "K", [1.0, 2.0, 4.0], [1.1, 2.0, 3.5], 0.6, "test")
    assert (one.reference, one.ours, one.deviation) == (4.0, 3.5, -0.5)
    assert one.passes
    share = compare("x", "K", [1.0, 2.0, 4.0], [1.1, 2.0, 4.2], 0.09, "test", relative=True)
    assert share.deviation == pytest.approx(0.1)
    assert not share.passes


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_what_is_no_number_misses(value):
    """A value that is no number never passes, whatever the tolerance, wherever it stands."""
    for k in range(3):
        ours = np.array([1.0, 2.0, 3.0])
        ours[k] = value
        assert not compare("x", "", [1.0, 2.0, 3.0], ours, 1e9, "test").passes
        assert not compare_rms("x", "", [1.0, 2.0, 3.0], ours, 1e9, "test").passes


def test_nothing_to_compare_is_an_error():
    """Series of different lengths, or none at all, are not compared; no comparison is no pass."""
    for compared in (compare, compare_rms):
        with pytest.raises(ValueError, match="2 values against 3"):
            compared("x", "", [1.0, 2.0, 3.0], [1.0, 2.0], 1.0, "test")
        with pytest.raises(ValueError, match="0 values against 0"):
            compared("x", "", [], [], 1.0, "test")
    assert not Outcome().passes
    one = compare("x", "", 1.0, 1.0, 0.1, "test")
    assert Outcome([one]).passes
    assert not Outcome([one], error="no reference").passes
    assert not Outcome([one, replace(one, deviation=0.2)]).passes


def test_an_error_is_a_miss_and_not_the_end():
    """A case that cannot be judged is told with its reason, and the others run on."""

    def fails():
        raise InputError("there is no such reference")

    broken = Case("broken", "nothing", "test", fails)
    verdicts = run_cases([broken, *chosen_cases(["wood"])])
    assert [verdict.outcome.passes for verdict in verdicts] == [False, True]
    assert "not judged: there is no such reference" in "\n".join(case_lines(verdicts[0]))
    assert "1 MISS: broken" in summary(verdicts)


# controls: a wrong closed form, a wrong problem or a wrong answer must show -----------------------


def test_controls_of_the_steady_forms():
    """Without the membrane, the films, the latent heat or the air the closed forms differ by far."""
    vapor = read_problem(PROBLEMS / "steady-vapor.toml")
    answer = run_problem(vapor)
    exact, _ = steady_pressures(vapor)
    parts = tuple(part for part in vapor.section.parts if part.name != "membrane")
    bare, _ = steady_pressures(replace(vapor, section=replace(vapor.section, parts=parts)))
    assert np.max(np.abs(bare / exact - 1.0)) > 1e-3
    wrong, _ = steady_pressures(vapor, air=1e-5)
    assert np.max(np.abs(wrong / exact - 1.0)) > 1e-7
    assert answer.series["vapor"][-1] == pytest.approx(steady_pressures(vapor)[1], rel=1e-10)

    coupled = read_problem(PROBLEMS / "steady-coupled.toml")
    flow = steady_pressures(coupled)[1]
    with_latent, heat = steady_temperatures(coupled, flow)
    dry, dry_heat = steady_temperatures(coupled)
    assert heat - dry_heat == pytest.approx(flow * 2.5e6, rel=0.05)
    assert np.max(np.abs(with_latent / dry - 1.0)) > 1e-6
    turned, _ = steady_temperatures(coupled, -flow)
    assert np.max(np.abs(turned - with_latent)) > np.max(np.abs(dry - with_latent))


def test_controls_of_the_daily_wave():
    """An hour's shift and the cosine without its straight lines are beyond the tolerance."""
    problem = read_problem(PROBLEMS / "daily-wave.toml")
    answer = run_problem(problem, accuracy=Accuracy(0.1))
    hours = answer.hours.astype(float)
    exact = periodic(problem, hours)[0]["outer"]
    late = periodic(problem, hours + 1.0)[0]["outer"]
    assert np.max(np.abs(answer.series["t_outer"] - exact)) < 0.01
    assert np.max(np.abs(answer.series["t_outer"] - late)) > 1.0
    smooth = exact.mean() + (exact - exact.mean()) / (np.sin(np.pi / 24) / (np.pi / 24)) ** 2
    assert np.max(np.abs(answer.series["t_outer"] - smooth)) > 0.03


def test_controls_of_the_series_of_hamstad_2():
    """The series meets its boundary and start values, and printed values of the benchmark's restatement."""
    problem = read_problem(PROBLEMS / "hamstad-2.toml")
    depth = np.array([0.0, 0.1, 0.2])
    late, mean = hamstad_2_series(problem, depth, 1e6)
    np.testing.assert_allclose(late, [19.5356, 25.0208, 30.5059], atol=1e-3)
    assert mean == pytest.approx(0.5 * (19.5356 + 30.5059), abs=1e-3)
    early, _ = hamstad_2_series(problem, depth[1:2], 1.0)
    assert early[0] == pytest.approx(84.7687, abs=1e-3)
    # computed from the same series by others
    values, mean = hamstad_2_series(problem, np.array([0.01, 0.06, 0.18]), 300.0)
    np.testing.assert_allclose(values, [33.81, 78.53, 53.38], atol=0.006)
    assert mean == pytest.approx(67.607, abs=6e-4)


def test_controls_of_the_independent_cases():
    """Half a degree, 2 % of humidity or 3 % of water more are found in a series beside itself."""
    answer = run_problem(read_problem(PROBLEMS / "condensing-wool.toml"))
    reference = {"hour": answer.hours.astype(float)}
    for wanted in answer.problem.outputs:
        reference[wanted.column] = answer.series[wanted.name].copy()
    assert all(one.passes for one in compare_all(answer, reference))
    for column, change in (
        ("t_20mm_degC", 0.5),
        ("rh_50mm", 0.02),
        ("water_kg_m2", 0.03 * reference["water_kg_m2"].max()),
    ):
        one_hour = {**reference, column: reference[column].copy()}
        one_hour[column][100] += change
        missed = [one for one in compare_all(answer, one_hour) if not one.passes]
        assert [one.what.endswith(column.rsplit("_kg")[0].removesuffix("_degC")) for one in missed]
        throughout = {**reference, column: reference[column] + 0.3 * change}
        assert any(
            "root mean" in one.what for one in compare_all(answer, throughout) if not one.passes
        )
    with pytest.raises(ValueError, match="the reference has no water_kg_m2"):
        compare_all(answer, {k: v for k, v in reference.items() if k != "water_kg_m2"})
    with pytest.raises(ValueError, match="hours"):
        compare_all(answer, reference | {"hour": reference["hour"] + 1.0})


def test_lost_water_is_found():
    """A millionth of a kilogram that vanishes from the wool is beyond the tolerance."""
    answer = run_problem(read_problem(PROBLEMS / "condensing-wool.toml"))
    assert water_kept(answer).passes
    water = answer.series["water_all"].copy()
    water[120:] -= 1e-6
    assert not water_kept(replace(answer, series=answer.series | {"water_all": water})).passes


def test_what_condenses_dries_out_again():
    """The foil is wet for more than a day, and in the end the wool is drier than it was at first."""
    answer = run_problem(read_problem(PROBLEMS / "condensing-wool.toml"))
    water, rh = answer.series["water"], answer.series["rh_at_foil"]
    assert (rh > 0.999).sum() > 24
    assert water.max() > 0.1
    assert water[-1] < 0.2 * water.max()
    assert answer.series["drained"][-1] == 0.0


# references --------------------------------------------------------------------------------------


def test_reference_files_are_round_trips(tmp_path):
    """What is written as a reference is read as it was, empty cells as no number."""
    path = tmp_path / "r.csv"
    columns = {"hour": np.array([1.0, 2.0]), "t_degC": np.array([20.125, np.nan])}
    path.write_text(reference_text("abc", "a test", columns), encoding="utf-8")
    found = read_reference(path, "abc")
    assert found.made_by == "a test"
    for name, values in columns.items():
        np.testing.assert_array_equal(found.columns[name], values)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("# key: abc", "# key: abd", "answers another problem"),
        ("# key: abc\n", "", "answers another problem"),
        ("# made by: a test\n", "", "nothing says how it was made"),
        ("20.125", "warm", "is damaged"),
        ("hour,t_degC", "hour", "is damaged"),
        ("1,20.125\n2,21\n", "", "is damaged"),
    ],
)
def test_a_damaged_reference_is_refused(tmp_path, old, new, said):
    """A reference of another problem, without origin, or with a broken table is refused."""
    path = tmp_path / "r.csv"
    columns = {"hour": np.array([1.0, 2.0]), "t_degC": np.array([20.125, 21.0])}
    text = reference_text("abc", "a test", columns)
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=said):
        read_reference(path, "abc")
    with pytest.raises(InputError, match="there is no such reference"):
        read_reference(tmp_path / "none.csv", "abc")


@pytest.fixture
def own_files(tmp_path, monkeypatch):
    """Copies of all problems and references, which the cases read instead."""
    problems, references = tmp_path / "problems", tmp_path / "references"
    shutil.copytree(PROBLEMS, problems)
    shutil.copytree(REFERENCES, references)
    for module in (
        moistwall.verify.cases_exact,
        moistwall.verify.cases_published,
        moistwall.verify.cases_independent,
        moistwall.verify.cases_air,
    ):
        for name, folder in (("PROBLEMS", problems), ("REFERENCES", references)):
            if hasattr(module, name):
                monkeypatch.setattr(module, name, folder)
    return problems, references


def verify(*arguments):
    return CliRunner().invoke(main, ["verify", *arguments])


def changed(path, column, row, factor):
    """Multiply one number of a reference."""
    lines = path.read_text(encoding="utf-8").splitlines()
    head = next(k for k, line in enumerate(lines) if not line.startswith("#"))
    k = lines[head].split(",").index(column)
    cells = lines[head + row].split(",")
    cells[k] = repr(float(cells[k]) * factor)
    lines[head + row] = ",".join(cells)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("case", "file", "column", "row", "factor"),
    [
        ("uptake", "uptake", "w_15mm_kg_m3", 2, 1.04),
        ("uptake", "uptake", "uptake_kg_m2", 3, 0.99),
        ("rain", "rain-40", "water_kg_m2", 5, 1.005),
        ("moist-air", "moist-air", "saturation_Pa", 40, 1.00001),
    ],
)
def test_a_tampered_reference_ends_with_one(own_files, case, file, column, row, factor):
    """With one number of a reference changed `verify` names the case and ends with 1."""
    assert verify("--only", case, "--quiet").exit_code == 0
    changed(own_files[1] / f"{file}.csv", column, row, factor)
    shown = verify("--only", case)
    assert shown.exit_code == 1
    assert f"MISSES  {case}" in shown.output
    assert "    OFF " in shown.output
    assert shown.output.rstrip().endswith(f"1 MISS: {case}")


def test_a_changed_problem_ends_with_one(own_files):
    """With one number of a problem changed its reference is refused by its key; comments do not count."""
    path = own_files[0] / "rain-40.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text("# a note\n" + text, encoding="utf-8")
    assert verify("--only", "rain", "--quiet").exit_code == 0
    path.write_text(text.replace("thickness_m = 0.008", "thickness_m = 0.0081"), encoding="utf-8")
    shown = verify("--only", "rain")
    assert shown.exit_code == 1
    assert "answers another problem than the present one" in shown.output


def test_a_missing_reference_ends_with_one(own_files):
    """A reference that is not there is a miss, not a skip."""
    (own_files[1] / "uptake.csv").unlink()
    shown = verify("--only", "uptake")
    assert shown.exit_code == 1
    assert "there is no such reference" in shown.output


# the command -------------------------------------------------------------------------------------


def test_list_names_every_case():
    """`--list` gives each case with what it proves, and runs nothing."""
    shown = verify("--list")
    assert shown.exit_code == 0
    assert [line.split()[0] for line in shown.output.splitlines()] == [case.name for case in CASES]


def test_an_unknown_case_ends_with_two():
    """A name that no case has is wrong input, with the nearest name."""
    shown = verify("--only", "hamstat-2")
    assert shown.exit_code == 2
    assert "did you mean 'hamstad-2'" in shown.stderr


def test_the_page(tmp_path):
    """`--out` writes one page with every comparison, and each curve as PNG and SVG, the same bytes twice."""
    digests = []
    for name in ("a", "b"):
        shown = verify("--only", "rain", "--only", "wood", "--quiet", "--out", str(tmp_path / name))
        assert shown.exit_code == 0
        files = {path.name for path in (tmp_path / name).iterdir()}
        assert files == {"index.html", "rain-1.png", "rain-1.svg", "wood-1.png", "wood-1.svg"}
        picture = (tmp_path / name / "rain-1.png").read_bytes()
        assert picture.startswith(b"\x89PNG")
        digests.append(hashlib.sha256(picture).hexdigest())
    assert digests[0] == digests[1]
    page = (tmp_path / "a" / "index.html").read_text(encoding="utf-8")
    for text in ("stored water, 10 cells", "stored water, 40 cells", "holds", "<svg", "rain-1.png"):
        assert (text in page) is (text != "<svg")


def test_the_page_of_a_miss(own_files, tmp_path):
    """The page is written when a case misses too, and marks it."""
    changed(own_files[1] / "rain-10.csv", "water_kg_m2", 3, 1.1)
    shown = verify("--only", "rain", "--quiet", "--out", str(tmp_path / "page"))
    assert shown.exit_code == 1
    page = (tmp_path / "page" / "index.html").read_text(encoding="utf-8")
    assert '<span class="mark missed">misses</span>' in page
    assert "<b>off</b>" in page
