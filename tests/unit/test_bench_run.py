"""Problems solved: what is asked for is what comes, and what must not matter does not matter."""

import copy
import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import moistwall.closing
from moistwall.air import saturation_pressure
from moistwall.cli import main
from moistwall.errors import BalanceError, ConvergenceError, InputError
from moistwall.solver.march import Accuracy
from moistwall.verify.case import PROBLEMS
from moistwall.verify.problem import problem_from_data, read_problem
from moistwall.verify.run import run_problem

DOCUMENT = Path(__file__).parents[2] / "docs" / "bench.md"

WARM = {
    "temperature_degC": 30.0,
    "relative_humidity": 0.7,
    "heat_film_W_m2K": 17.0,
    "vapor_film_kg_m2sPa": 8e-8,
}
COOL = {
    "temperature_degC": 20.0,
    "relative_humidity": 0.5,
    "heat_film_W_m2K": 8.0,
    "vapor_film_kg_m2sPa": 2e-8,
}
BOARD = {
    "heat": {"density_kg_m3": 600.0, "heat_capacity_J_kgK": 1200.0, "conductivity_W_mK": 0.2},
    "storage": {
        "form": "table over humidity",
        "between": "monotone cubic",
        "relative_humidity": [0.5, 0.8, 0.95, 1.0],
        "water_content_kg_m3": [20.0, 45.0, 80.0, 300.0],
    },
    "vapor": {"form": "constant", "permeability_kg_msPa": 5e-12},
    "liquid": {"form": "absorption", "absorption_kg_m2s05": 0.01},
}
OUTPUTS = [
    {"name": "t", "quantity": "temperature", "at": "depth", "depth_m": 0.012},
    {"name": "rh", "quantity": "relative humidity", "at": "layer", "layer": "board"},
    {"name": "w", "quantity": "water content", "at": "cell", "layer": "board", "cell": 3},
    {"name": "w_mean", "quantity": "water content", "at": "layer", "layer": "board"},
    {"name": "water", "quantity": "stored water", "at": "layer", "layer": "board"},
    {"name": "all", "quantity": "stored water", "at": "section"},
    {"name": "came", "quantity": "moisture passed", "at": "outer surface"},
    {"name": "left", "quantity": "moisture passed", "at": "inner surface"},
    {"name": "heat", "quantity": "heat flow", "at": "inner surface"},
    {"name": "film", "quantity": "film heat flow", "at": "inner surface"},
    {"name": "passed", "quantity": "heat passed", "at": "inner surface"},
]


def data_of(**changes):
    data = {
        "title": "a board",
        "source": "made for a test",
        "hours": 48,
        "output_every_hours": 1,
        "outside": WARM,
        "inside": COOL,
        "material": {"board": BOARD},
        "part": [
            {
                "type": "layer",
                "name": "board",
                "material": "board",
                "thickness_m": 0.02,
                "cells": 20,
                "initial_temperature_degC": 20.0,
                "initial_relative_humidity": 0.5,
            }
        ],
        "output": OUTPUTS,
    }
    return copy.deepcopy(data) | changes


def solved(**changes):
    return run_problem(problem_from_data(data_of(**changes)))


def test_water_and_means_belong_together():
    """Stored water is mean content x thickness, and grows by what came less what left."""
    series = solved().series
    np.testing.assert_allclose(series["water"], 0.02 * series["w_mean"], rtol=1e-12)
    grown = np.diff(series["all"])
    np.testing.assert_allclose(grown, np.diff(series["came"] - series["left"]), atol=1e-12)


def test_flows_and_what_has_passed_belong_together():
    """What has passed is the sum of the hourly mean flows."""
    series = solved().series
    np.testing.assert_allclose(series["passed"], 3600.0 * np.cumsum(series["heat"]), rtol=1e-12)


def test_film_flow_is_the_sensible_part():
    """In the steady state the film's heat flow is the whole flow less what vapor carries."""
    answer = solved(
        hours=2000,
        output_hours=[2000],
        output_every_hours=None,
        output=[
            *OUTPUTS,
            {"name": "vapor", "quantity": "vapor flow", "at": "inner surface"},
            {"name": "film_vapor", "quantity": "film vapor flow", "at": "inner surface"},
            {"name": "t_in", "quantity": "temperature", "at": "inner surface"},
        ],
    )
    last = {name: values[-1] for name, values in answer.series.items()}
    carried = last["vapor"] * (2.5e6 + 1860.0 * last["t_in"])
    assert last["heat"] == pytest.approx(last["film"] + carried, rel=1e-6)
    assert last["film_vapor"] == pytest.approx(last["vapor"], rel=1e-6)
    assert last["film"] == pytest.approx(8.0 * (last["t_in"] - 20.0), rel=1e-9)


def test_only_the_asked_hours_come():
    """Asking for single hours picks them out of the hourly answer."""
    every = solved()
    some = solved(output_every_hours=None, output_hours=[1, 7, 48])
    assert some.hours.tolist() == [1, 7, 48]
    for name, values in some.series.items():
        # a mean over cells may be summed in another order
        np.testing.assert_allclose(values, every.series[name][[0, 6, 47]], rtol=1e-13)


def test_pieces_of_the_run_do_not_matter(monkeypatch):
    """Marching 48 hours at once or seven at a time gives the same states and flows."""
    at_once = solved().series
    monkeypatch.setattr(moistwall.verify.run, "HOURS_AT_ONCE", 7)
    in_pieces = solved().series
    for name, values in at_once.items():
        np.testing.assert_allclose(in_pieces[name], values, rtol=1e-12, err_msg=name)


def test_start_by_cells():
    """A list with one value for each cell of the file is the state of these cells, refined too."""
    rh = np.linspace(0.4, 0.8, 20)
    part = data_of()["part"][0] | {
        "initial_relative_humidity": rh.tolist(),
        "initial_temperature_degC": np.linspace(10.0, 30.0, 20).tolist(),
        "thickness_m": 2.0,
    }
    cells = [
        {"name": f"{key}{k}", "quantity": quantity, "at": "cell", "layer": "board", "cell": k}
        for key, quantity in (("rh", "relative humidity"), ("t", "temperature"))
        for k in (5, 16)
    ]
    problem = problem_from_data(data_of(hours=1, part=[part], output=cells))
    for refine in (1, 3):
        series = run_problem(problem, refine=refine).series
        # ten centimeters inside thick cells nothing has happened after an hour
        assert series["rh5"][0] == pytest.approx(rh[4], abs=2e-3)
        assert series["rh16"][0] == pytest.approx(rh[15], abs=2e-3)
        assert series["t5"][0] == pytest.approx(10.0 + 20.0 * 4 / 19, abs=0.05)
        assert series["t16"][0] == pytest.approx(10.0 + 20.0 * 15 / 19, abs=0.05)


def test_start_by_content_is_start_by_humidity():
    """The content that belongs to a humidity starts the same run."""
    by_rh = solved().series
    part = data_of()["part"][0] | {"initial_water_content_kg_m3": 20.0}
    del part["initial_relative_humidity"]
    by_content = solved(part=[part]).series
    for name, values in by_rh.items():
        np.testing.assert_allclose(by_content[name], values, rtol=1e-5, atol=1e-6)


def test_start_above_saturation():
    """A content above free saturation that cannot move is kept, at humidity 1."""
    material = copy.deepcopy(BOARD)
    material["storage"]["holds_kg_m3"] = 320.0
    del material["liquid"]
    part = data_of()["part"][0] | {"initial_water_content_kg_m3": 310.0}
    del part["initial_relative_humidity"]
    sealed = COOL | {"vapor_film_kg_m2sPa": 1e-15}
    answer = solved(material={"board": material}, part=[part], outside=sealed, inside=sealed)
    np.testing.assert_allclose(answer.series["w_mean"], 310.0, rtol=1e-5)
    np.testing.assert_allclose(answer.series["rh"], 1.0, atol=1e-12)


def test_rest_stays_at_rest():
    """A board in equilibrium with both sides stays put, and nothing there is no fault of balance."""
    air = COOL | {"relative_humidity": 0.5}
    answer = solved(outside=air, inside=air, hours=2000, output_every_hours=500)
    np.testing.assert_allclose(answer.series["t"], 20.0, atol=1e-9)
    np.testing.assert_allclose(answer.series["rh"], 0.5, atol=1e-9)
    np.testing.assert_allclose(answer.series["came"], 0.0, atol=1e-9)


def test_isothermal_is_isothermal():
    """With heat switched off the temperature is the same everywhere while vapor moves."""
    names = {"temperature_degC": 25.0, "mode": "isothermal"}
    ends = [
        {"vapor_pressure_Pa": p, "vapor_film_kg_m2sPa": beta}
        for p, beta in ((2500.0, 8e-8), (1200.0, 2e-8))
    ]
    part = data_of()["part"][0]
    del part["initial_temperature_degC"]
    series = solved(**names, outside=ends[0], inside=ends[1], part=[part]).series
    np.testing.assert_allclose(series["t"], 25.0, atol=1e-3)
    assert series["came"][-1] > 0.01


def test_heat_only_leaves_moisture_out():
    """With moisture switched off the steady heat flow is that of the resistances."""
    ends = [
        {"temperature_degC": end["temperature_degC"], "heat_film_W_m2K": end["heat_film_W_m2K"]}
        for end in (WARM, COOL)
    ]
    part = data_of()["part"][0]
    del part["initial_relative_humidity"]
    answer = solved(
        mode="heat only",
        outside=ends[0],
        inside=ends[1],
        part=[part],
        hours=200,
        output_every_hours=200,
        output=[{"name": "q", "quantity": "heat flow", "at": "inner surface"}],
    )
    assert answer.series["q"][-1] == pytest.approx(10.0 / (1 / 17 + 0.1 + 1 / 8), rel=1e-9)


def test_sun_and_sky_reach_the_surface():
    """What a surface absorbs and emits balances its film: solved by hand for a foamed-off surface."""
    foam = {
        "heat": {"density_kg_m3": 1.0, "heat_capacity_J_kgK": 1.0, "conductivity_W_mK": 1e-4},
    }
    part = {
        "type": "layer",
        "name": "board",
        "material": "board",
        "thickness_m": 1.0,
        "cells": 20,
        "initial_temperature_degC": 20.0,
    }
    outside = {
        "temperature_degC": 25.0,
        "heat_film_W_m2K": 12.0,
        "sun_W_m2": 500.0,
        "absorptance": 0.7,
        "longwave_W_m2": 380.0,
        "emittance": 0.9,
    }
    answer = solved(
        mode="heat only",
        material={"board": foam},
        part=[part],
        outside=outside,
        inside={"temperature_degC": 25.0, "heat_film_W_m2K": 1e-3},
        hours=500,
        output_every_hours=500,
        output=[{"name": "t", "quantity": "temperature", "at": "outer surface"}],
    )
    t = answer.series["t"][-1]
    gained = 0.7 * 500.0 + 0.9 * (380.0 - 5.670374e-8 * (t + 273.15) ** 4)
    assert 12.0 * (t - 25.0) == pytest.approx(gained, abs=0.05)


def test_a_step_is_a_step():
    """A stepped temperature that never changes is a constant; one that jumps is not a line."""
    values = [30.0] * 24 + [40.0] * 24
    step = solved(outside=WARM | {"temperature_degC": {"hold": "step", "values": [30.0] * 48}})
    jump = WARM | {
        "temperature_degC": {"hold": "step", "values": values},
        "vapor_pressure_Pa": 2900.0,
    }
    line = jump | {"temperature_degC": {"hold": "linear", "values": [30.0, *values]}}
    for end in (jump, line):
        del end["relative_humidity"]
    np.testing.assert_array_equal(step.series["t"], solved().series["t"])
    jumped, lined = solved(outside=jump).series["t"], solved(outside=line).series["t"]
    assert jumped[23] == pytest.approx(lined[23], abs=1e-6)
    # within the hour of the jump a line has given half of it
    assert jumped[24] - lined[24] > 0.2


def test_a_film_parts_its_two_sides():
    """Vapor pressure jumps across a film by flow over permeance, and is one place without it."""
    parts = [
        data_of()["part"][0] | {"name": "front"},
        {"type": "film", "name": "coat", "permeance_kg_m2sPa": 1e-10},
        data_of()["part"][0] | {"name": "back"},
    ]
    output = [
        {"name": name, "quantity": "vapor pressure", "at": at, "layer": layer}
        for name, at, layer in (("a", "inner side", "front"), ("b", "outer side", "back"))
    ]
    output += [{"name": "g", "quantity": "moisture flow", "at": "inner side", "layer": "front"}]
    long = {"hours": 4000, "output_every_hours": 4000, "output": output}
    with_film = solved(part=parts, **long).series
    assert with_film["a"][-1] - with_film["b"][-1] == pytest.approx(
        with_film["g"][-1] / 1e-10, rel=1e-3
    )
    without = solved(part=[parts[0], parts[2]], **long).series
    assert without["a"][-1] == pytest.approx(without["b"][-1], rel=1e-9)


def test_an_aired_gap_takes_vapor_away():
    """Air from outside through a gap carries moisture off, which shows in the gap's two sides."""
    gap = {
        "type": "gap",
        "name": "gap",
        "depth_m": 0.02,
        "convection_W_m2K": 5.0,
        "air_changes_1_h": 200.0,
    }
    parts = [
        data_of()["part"][0] | {"name": "front"},
        gap,
        data_of()["part"][0] | {"name": "back", "initial_relative_humidity": 0.98},
    ]
    output = [
        {"name": "w", "quantity": "stored water", "at": "layer", "layer": "back"},
    ]
    dry = WARM | {"relative_humidity": 0.3}
    wet = solved(part=parts, output=output, outside=dry).series["w"]
    parts[1] = gap | {"air_changes_1_h": 0.0}
    sealed = solved(part=parts, output=output, outside=dry)
    assert wet[-1] < sealed.series["w"][-1] < wet[0]


def test_depth_reaches_the_faces():
    """Values at a depth near a face come near those of the layer's own side."""
    output = [
        {"name": "near", "quantity": "vapor pressure", "at": "depth", "depth_m": 1e-6},
        {"name": "side", "quantity": "vapor pressure", "at": "outer side", "layer": "board"},
        {"name": "surface", "quantity": "vapor pressure", "at": "outer surface"},
        {"name": "t", "quantity": "temperature", "at": "outer side", "layer": "board"},
        {"name": "rh", "quantity": "relative humidity", "at": "outer side", "layer": "board"},
    ]
    series = solved(output=output).series
    np.testing.assert_allclose(series["near"], series["side"], rtol=1e-3)
    np.testing.assert_allclose(series["surface"], series["side"], rtol=1e-9)
    expected = series["rh"] * saturation_pressure(series["t"])
    np.testing.assert_allclose(series["side"], expected, rtol=1e-12)


def test_refined_and_closer_runs_agree():
    """Four times the cells and a tenth of the error move the answer by little, and do move it."""
    problem = problem_from_data(data_of())
    coarse = run_problem(problem).series
    fine = run_problem(problem, accuracy=Accuracy(0.1), refine=4).series
    np.testing.assert_allclose(fine["t"], coarse["t"], atol=0.1)
    np.testing.assert_allclose(fine["rh"], coarse["rh"], atol=0.005)
    assert np.abs(fine["t"] - coarse["t"]).max() > 0.0


def test_table_gives_the_numbers_back():
    """Reading the CSV gives the same numbers, under headings with their units."""
    answer = solved()
    rows = list(csv.reader(answer.table().splitlines()))
    assert rows[0][:4] == ["hour", "t_degC", "rh", "w_kg_m3"]
    read = np.array([[float(cell) for cell in row] for row in rows[1:]])
    np.testing.assert_array_equal(read[:, 0], answer.hours)
    for k, wanted in enumerate(answer.problem.outputs, start=1):
        np.testing.assert_array_equal(read[:, k], answer.series[wanted.name])


def test_a_balance_that_does_not_close_is_refused(monkeypatch):
    """With the limit of the moisture balance at zero the run ends in an error."""
    monkeypatch.setattr(moistwall.closing, "MOISTURE_LIMIT", 0.0)
    with pytest.raises(BalanceError, match="the moisture balance is"):
        solved()


def test_a_load_without_solution_is_refused():
    """Where a step cannot be solved at any length the run says in which hour and layer."""
    problem = problem_from_data(data_of())
    loads = problem.loads.copy()
    loads[6:, 1] = np.nan
    with pytest.raises(ConvergenceError) as caught:
        run_problem(replace(problem, loads=loads))
    assert caught.value.hour == 5
    assert caught.value.layer == "board"


def test_temperatures_beyond_saturation_pressure_are_refused():
    """Loads that drive a surface above 110 degC are refused, with the hour and the layer."""
    hot = {"longwave_W_m2": 2000.0, "emittance": 1.0, "sun_W_m2": 2000.0, "absorptance": 1.0}
    with pytest.raises(InputError, match=r"hour [0-9]+, board: the loads drive a temperature out"):
        solved(outside=WARM | hot)


# the command -------------------------------------------------------------------------------------


def documented():
    """Return the example of the document, and the answer that stands below it."""
    text = DOCUMENT.read_text(encoding="utf-8")
    problem = re.search(r"```toml\n(.*?)```", text, re.DOTALL)[1]
    answer = re.search(r"It answers.*?```text\n(.*?)```", text, re.DOTALL)[1]
    return problem, list(csv.reader(answer.splitlines()))


def test_the_documented_example_runs(tmp_path):
    """The example of docs/bench.md gives the answer that stands there, by the command."""
    problem, expected = documented()
    (tmp_path / "p.toml").write_text(problem, encoding="utf-8")
    out = tmp_path / "out" / "answer.csv"
    shown = CliRunner().invoke(main, ["bench", str(tmp_path / "p.toml"), "--out", str(out)])
    assert shown.exit_code == 0, shown.output
    found = list(csv.reader(out.read_text(encoding="utf-8").splitlines()))
    assert found[0] == expected[0]
    np.testing.assert_allclose(
        np.array(found[1:], float), np.array(expected[1:], float), rtol=5e-3, atol=1e-9
    )


def test_json_gives_the_same_answer(tmp_path):
    """The same problem in JSON gives the same bytes on the terminal."""
    import tomllib

    problem, _ = documented()
    (tmp_path / "p.toml").write_text(problem, encoding="utf-8")
    (tmp_path / "p.json").write_text(json.dumps(tomllib.loads(problem)), encoding="utf-8")
    shown = [
        CliRunner().invoke(main, ["bench", str(tmp_path / name), "--quiet"])
        for name in ("p.toml", "p.json")
    ]
    assert shown[0].exit_code == 0
    assert shown[0].stdout == shown[1].stdout
    assert shown[0].stdout.startswith("hour,t_joint_degC")


def test_every_form_of_the_format_is_documented():
    """Every key and every word of the format stands in docs/bench.md."""
    from moistwall.verify.schema import ProblemFile

    text = DOCUMENT.read_text(encoding="utf-8")
    schema = ProblemFile.model_json_schema()
    words = set(schema["properties"])
    for table in schema["$defs"].values():
        words |= set(table.get("properties", {}))
        for value in table.get("properties", {}).values():
            words |= {str(one) for one in value.get("enum", [])}
            words |= {value["const"]} if "const" in value else set()
    words -= {"a number, or a table with values or column, and hold", "note"}
    missing = sorted(word for word in words if not re.search(rf"\b{re.escape(word)}\b", text))
    assert missing == []


def test_wrong_input_ends_with_two_and_writes_nothing(tmp_path):
    """Every mistake stands on stderr, the exit code is 2, and no file is written."""
    problem, _ = documented()
    wrong = problem.replace("hours = 12\n", "hours = 12\nhour = 3\n", 1)
    wrong = wrong.replace("relative_humidity = 0.8", "relative_humidity = 1.8")
    (tmp_path / "p.toml").write_text(wrong.replace("hour = 3\n", ""), encoding="utf-8")
    out = tmp_path / "answer.csv"
    shown = CliRunner().invoke(main, ["bench", str(tmp_path / "p.toml"), "--out", str(out)])
    assert shown.exit_code == 2
    assert "outside.relative_humidity: must lie from 0 to 1 (got 1.8)" in shown.stderr
    (tmp_path / "p.toml").write_text(wrong, encoding="utf-8")
    shown = CliRunner().invoke(main, ["bench", str(tmp_path / "p.toml"), "--out", str(out)])
    assert shown.exit_code == 2
    assert "hour: is not a known key (got 3); did you mean" in shown.stderr
    assert not out.exists()


def test_shipped_problems_can_be_read():
    """Every problem that ships can be read, and no two have the same key."""
    keys = [read_problem(path).key for path in sorted(PROBLEMS.glob("*.toml"))]
    assert len(keys) >= 16
    assert len(set(keys)) == len(keys)
