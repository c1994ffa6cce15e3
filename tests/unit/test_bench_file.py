"""Problem files: every mistake is found, each form is read as it says, series and outputs are checked."""

import copy
import json

import numpy as np
import pytest

from moistwall.air import saturation_pressure
from moistwall.errors import InputError
from moistwall.material_curves import ln_rh_from_suction
from moistwall.verify.problem import problem_from_data, read_problem

WALL = {
    "title": "one layer",
    "source": "made for a test",
    "hours": 3,
    "output_hours": [1, 3],
    "outside": {"temperature_degC": 10.0, "relative_humidity": 0.8},
    "inside": {
        "temperature_degC": 20.0,
        "vapor_pressure_Pa": 1200.0,
        "heat_film_W_m2K": 8.0,
        "vapor_film_kg_m2sPa": 2e-8,
    },
    "material": {
        "stuff": {
            "heat": {
                "density_kg_m3": 500.0,
                "heat_capacity_J_kgK": 900.0,
                "conductivity_W_mK": 0.2,
            },
            "storage": {
                "form": "table over humidity",
                "relative_humidity": [0.5, 1.0],
                "water_content_kg_m3": [10.0, 200.0],
            },
            "vapor": {"form": "constant", "permeability_kg_msPa": 2e-11},
        }
    },
    "part": [
        {
            "type": "layer",
            "name": "slab",
            "material": "stuff",
            "thickness_m": 0.1,
            "cells": 4,
            "initial_temperature_degC": 15.0,
            "initial_relative_humidity": 0.6,
        }
    ],
    "output": [{"name": "t", "quantity": "temperature", "at": "depth", "depth_m": 0.05}],
}


def wall(**changes):
    """Give the data of the wall, with dotted keys changed; None takes a key away."""
    data = copy.deepcopy(WALL)
    for place, value in changes.items():
        *path, last = place.split("__")
        here = data
        for key in path:
            here = here[int(key)] if isinstance(here, list) else here[key]
        if value is None:
            del here[last]
        else:
            here[int(last) if isinstance(here, list) else last] = value
    return data


def faults_of(data):
    with pytest.raises(InputError) as caught:
        problem_from_data(data, file="p.toml")
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"hours": 0}, "hours: is out of range (got 0); give a number at least 1"),
        ({"hours": 2.5}, "hours: must be a whole number"),
        ({"hours": "3"}, "hours: must be a whole number"),
        ({"nonsense": 1}, "nonsense: is not a known key"),
        ({"outside__temperature_degC": None}, "outside.temperature_degC: is missing"),
        ({"outside__temperature_degC": 120.0}, "must lie from -50 to 100 (got 120)"),
        ({"outside__temperature_degC": float("nan")}, "must be a finite number"),
        ({"outside__relative_humidity": 1.2}, "must lie from 0 to 1 (got 1.2)"),
        ({"outside__relative_humidity": None}, "exactly one of relative_humidity and vapor"),
        ({"outside__rain_kg_m2s": -1e-4}, "must lie from 0 to 0.1 (got -0.0001)"),
        ({"outside__surface_holds_kg_m2": 0.0}, "give a number at least 0.001"),
        ({"inside__heat_film_W_m2K": 0.0}, "inside.heat_film_W_m2K: must lie from 0.001"),
        ({"inside__heat_film_W_m2K": "nil"}, "inside.heat_film_W_m2K: must be one of 'none'"),
        ({"inside__temperature_degC": {"colum": "x", "hold": "step"}}, "colum: is not a known key"),
        ({"inside__temperature_degC": {"column": "x", "hold": "step"}}, "has no series_file"),
        (
            {"inside__temperature_degC": {"values": [1, 2], "hold": "linear"}},
            "inside.temperature_degC.values: must be 4 for 3 hours held 'linear' (got 2 values)",
        ),
        (
            {"inside__temperature_degC": {"values": [1, 2, 3, 4], "hold": "step"}},
            "must be 3 for 3 hours held 'step'",
        ),
        (
            {"inside__temperature_degC": {"values": [1, 2, 300], "hold": "step"}},
            "value 3 of 3: must lie from -50 to 100 (got 300)",
        ),
        ({"air_flow_kg_m2s": 2.0}, "air_flow_kg_m2s: must lie from -1 to 1 (got 2)"),
        ({"output_hours": None}, "exactly one of output_hours, output_every_hours"),
        ({"output_every_hours": 1}, "exactly one of output_hours, output_every_hours"),
        ({"output_hours": [3, 1]}, "output_hours: must rise"),
        ({"output_hours": [1, 4]}, "ends after the problem, 3 hours (got 4)"),
        ({"part__0__material": "staff"}, "is no material (got staff); did you mean 'stuff'?"),
        ({"part__0__thickness_m": 0.0}, "part[1].thickness_m: is out of range"),
        ({"part__0__cell_widths_m": [0.05, 0.05]}, "stands beside cell_widths_m"),
        ({"part__0__initial_temperature_degC": None}, "part[1].initial_temperature_degC: is mis"),
        ({"part__0__initial_relative_humidity": None}, "part[1].initial_relative_humidity: is mis"),
        ({"part__0__initial_relative_humidity": [0.5] * 3}, "one value for each of the 4 cells"),
        ({"part__0__initial_water_content_kg_m3": 9.0}, "stands beside initial_relative_humidity"),
        ({"part__0": {"type": "layr"}}, "part[1].type: must be one of"),
        ({"material__stuff__storage": None}, "material.stuff.storage: is missing for mode"),
        ({"material__stuff__heat": None}, "material.stuff.heat: is missing for mode"),
        (
            {"material__stuff__storage__relative_humidity": [0.5, 0.9]},
            "material.stuff.storage.relative_humidity: must end at 1",
        ),
        (
            {"material__stuff__storage__water_content_kg_m3": [200.0, 10.0]},
            "material.stuff.storage.water_content_kg_m3[2]: must rise",
        ),
        (
            {"material__stuff__storage__holds_kg_m3": 100.0},
            "must not be below free saturation, 200",
        ),
        ({"material__stuff__vapor__form": "constnt"}, "material.stuff.vapor.form: must be one of"),
        (
            {"material__stuff__vapor__permeability_kg_msPa": 1.0},
            "material.stuff.vapor.permeability_kg_msPa: is out of range",
        ),
        ({"material__stuff__heat__conductivity_W_mK": [0.2, 0.3]}, "is missing for conductiv"),
        ({"output__0__depth_m": 0.1}, "output[1].depth_m: lies on the face of a layer"),
        ({"output__0__depth_m": 0.3}, "output[1].depth_m: lies in no layer"),
        ({"output__0__depth_m": None}, "output[1].depth_m: is missing for the place 'depth'"),
        ({"output__0__layer": "slab"}, "output[1].layer: has no place beside 'depth'"),
        ({"output__0__quantity": "heat flow"}, "is no place for 'heat flow'"),
        (
            {"output__0": {"name": "t", "quantity": "temperature", "at": "layer", "layer": "slap"}},
            "output[1].layer: is no layer (got slap); did you mean 'slab'?",
        ),
        (
            {
                "output__0": {
                    "name": "t",
                    "quantity": "temperature",
                    "at": "cell",
                    "layer": "slab",
                    "cell": 5,
                }
            },
            "output[1].cell: 'slab' has 4 cells (got 5)",
        ),
        ({"temperature_degC": 20.0}, "belongs to an isothermal problem only"),
    ],
)
def test_a_mistake_is_named(changes, said):
    """A wrong number, a wrong name or a missing key is refused with its field and what is wrong."""
    found = faults_of(wall(**changes))
    assert any(said in fault for fault in found), found
    assert all(fault.startswith("p.toml: ") for fault in found)
    assert not any("~" in fault for fault in found)


def test_all_mistakes_come_at_once():
    """Mistakes of fields come together, and so do mistakes between fields."""
    assert len(faults_of(wall(hours=0, outside__absorptance=2.0, part__0__thickness_m=-1.0))) == 3
    data = wall(
        outside__relative_humidity=1.2,
        inside__temperature_degC=-80.0,
        output_hours=[9],
        part__0__material="staff",
        output__0__depth_m=5.0,
    )
    assert len(faults_of(data)) == 5


@pytest.mark.parametrize(
    ("mode", "changes", "said"),
    [
        ("isothermal", {}, "temperature_degC: is missing for an isothermal problem"),
        ("isothermal", {}, "outside.temperature_degC: has no place in an isothermal problem"),
        ("isothermal", {}, "inside.heat_film_W_m2K: has no place in mode 'isothermal'"),
        ("heat only", {}, "outside.relative_humidity: has no place where moisture is left out"),
        ("heat only", {}, "starts with moisture, which 'heat only' leaves out"),
        (
            "heat only",
            {"output__0__quantity": "vapor pressure"},
            "is not solved where moisture is left out",
        ),
    ],
)
def test_what_a_mode_leaves_out_is_refused(mode, changes, said):
    """Values that a mode would not use are refused, not passed over."""
    assert any(said in fault for fault in faults_of(wall(mode=mode, **changes)))


def test_humidity_and_temperature_are_held_alike():
    """A stepped humidity over a linear temperature has no vapor pressure that is either."""
    data = wall(
        outside__temperature_degC={"hold": "linear", "values": [1, 2, 3, 4]},
        outside__relative_humidity={"hold": "step", "values": [0.5, 0.6, 0.7]},
    )
    assert any("must be held as its temperature is" in fault for fault in faults_of(data))


def test_loads_of_a_file():
    """Constants, lines and steps stand in the columns of the kernel, humidity as vapor pressure."""
    data = wall(
        outside__temperature_degC={"hold": "linear", "values": [1.0, 2.0, 3.0, 4.0]},
        outside__rain_kg_m2s={"hold": "step", "values": [1e-4, 0.0, 2e-4]},
        air_flow_kg_m2s=-1e-4,
    )
    problem = problem_from_data(data)
    np.testing.assert_array_equal(problem.loads[:, 0], [1.0, 2.0, 3.0, 4.0])
    expected = 0.8 * saturation_pressure(np.array([1.0, 2.0, 3.0, 4.0]))
    np.testing.assert_allclose(problem.loads[:, 1], expected)
    np.testing.assert_array_equal(problem.loads[1:, 6], [1e-4, 0.0, 2e-4])
    np.testing.assert_array_equal(problem.loads[:, 8], 1200.0)
    np.testing.assert_array_equal(problem.loads[:, 14], -1e-4)
    assert np.flatnonzero(problem.is_step).tolist() == [6]


def test_humidity_of_an_equivalent_temperature():
    """Humidity refers to the air's temperature where that is given beside an equivalent one."""
    data = wall(outside__temperature_degC=40.0, outside__humidity_temperature_degC=30.0)
    expected = 0.8 * saturation_pressure(30.0)
    np.testing.assert_allclose(problem_from_data(data).loads[:, 1], expected)


def written(folder, table, **changes):
    """Write the wall as JSON with a table beside it; return the path."""
    (folder / "t.csv").write_text(table, encoding="utf-8")
    path = folder / "wall.json"
    data = wall(
        series_file="t.csv",
        outside__temperature_degC={"hold": "linear", "column": "t"},
        outside__rain_kg_m2s={"hold": "step", "column": "r"},
        **changes,
    )
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


TABLE = "# a note\nhour,t,r\n0,1,\n1,2,0\n2,3,1e-4\n3,4,2e-4\n4,5,0\n"


def test_series_of_a_table(tmp_path):
    """Columns of a table reach the loads: lines from hour 0, steps from hour 1, later hours unused."""
    loads = read_problem(written(tmp_path, TABLE)).loads
    np.testing.assert_array_equal(loads[:, 0], [1.0, 2.0, 3.0, 4.0])
    np.testing.assert_array_equal(loads[1:, 6], [0.0, 1e-4, 2e-4])


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("0,1,\n", "0,1,5\n", "r, hour 0: must be empty in a step column (got 5)"),
        ("2,3,", "2,x,", "t, hour 2: is no number (got x)"),
        ("2,3,", "2,,", "t, hour 2: is no number"),
        ("2,3,", "2,300,", "must lie from -50 to 100 (got 300)"),
        ("2,3,1e-4", "2,3", "row of hour 2: needs one cell for each of the 3 columns"),
        ("2,3,", "5,3,", "must be hour 2, hour by hour (got 5)"),
        ("3,4,2e-4\n4,5,0\n", "", "must reach hour 3"),
        ("hour,t,r", "time,t,r", "must begin with the column 'hour'"),
        ("hour,t,r", "hour,t,t", "stands there twice"),
        ("hour,t,r", "hour,t,q", "is no column of"),
    ],
)
def test_mistakes_of_a_table(tmp_path, old, new, said):
    """A table that is wrong in one place is refused with that place."""
    with pytest.raises(InputError) as caught:
        read_problem(written(tmp_path, TABLE.replace(old, new, 1)))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[1, 2]", "must be one object"),
        ('{"hours": 1, "hours": 2}', "the key 'hours' stands there twice"),
        ("{", "is not valid JSON"),
        ('{"temperature_degC": NaN}', "temperature_degC: must be a finite number"),
    ],
)
def test_json_is_read_as_strictly_as_toml(tmp_path, text, said):
    """JSON that is no object, holds a key twice, is cut off or holds no number is refused."""
    path = tmp_path / "p.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_problem(path)
    assert said in str(caught.value)


def test_a_missing_file(tmp_path):
    """A problem or a table that is not there is named."""
    for name in ("p.toml", "p.json"):
        with pytest.raises(InputError, match="there is no such file"):
            read_problem(tmp_path / name)
    path = written(tmp_path, TABLE)
    (tmp_path / "t.csv").unlink()
    with pytest.raises(InputError, match=r"t\.csv: there is no such file"):
        read_problem(path)


def test_the_key_belongs_to_what_is_solved(tmp_path):
    """Title and source leave the key alone; a number of the file or of its table changes it."""
    first = read_problem(written(tmp_path, TABLE)).key
    assert read_problem(written(tmp_path, TABLE, title="other", source="other")).key == first
    assert read_problem(written(tmp_path, TABLE, part__0__thickness_m=0.11)).key != first
    assert read_problem(written(tmp_path, TABLE.replace("2e-4", "3e-4"))).key != first


def content_of(storage, rh):
    data = wall(material__stuff__storage=storage)
    return problem_from_data(data).materials["slab"].storage.content(np.log(np.array(rh)))


def test_storage_by_tables():
    """Straight lines over humidity, and over the logarithm of suction, through the given points."""
    table = {
        "form": "table over humidity",
        "relative_humidity": [0.4, 0.8, 1.0],
        "water_content_kg_m3": [4.0, 12.0, 100.0],
    }
    np.testing.assert_allclose(content_of(table, [0.2, 0.4, 0.6, 0.9]), [2.0, 4.0, 8.0, 56.0])
    cubic = content_of(table | {"between": "monotone cubic"}, [0.4, 0.6, 0.8, 1.0])
    np.testing.assert_allclose(cubic[[0, 2, 3]], [4.0, 12.0, 100.0])
    assert 4.0 < cubic[1] < 8.0
    over_suction = {
        "form": "table over suction",
        "suction_Pa": [1e4, 1e6, 1e8],
        "water_content_kg_m3": [150.0, 50.0, 5.0],
        "free_kg_m3": 160.0,
    }
    suction = np.array([5e3, 1e4, 1e5, 1e7])
    rh = np.exp(ln_rh_from_suction(suction))
    np.testing.assert_allclose(content_of(over_suction, rh), [155.0, 150.0, 100.0, 27.5], rtol=1e-6)
    driest = np.exp(ln_rh_from_suction(np.array(1e8)))
    np.testing.assert_allclose(content_of(over_suction, [0.5 * driest]), [2.5])


def test_storage_by_formulas():
    """The retention curve of EN 15026 and the power of HAMSTAD 2 give their known contents."""
    retention = {
        "form": "retention curve",
        "free_kg_m3": 146.0,
        "term": [{"inverse_scale_1_Pa": 8e-8, "exponent": 1.6, "power": 0.375}],
    }
    assert content_of(retention, [0.5])[0] == pytest.approx(42.943, abs=6e-4)
    halves = [{"share": 0.5, **retention["term"][0]}] * 2
    np.testing.assert_allclose(
        content_of(retention | {"term": halves}, [0.3, 0.9]), content_of(retention, [0.3, 0.9])
    )
    power = {"form": "power of humidity", "free_kg_m3": 116.0, "scale": 0.118, "power": 0.869}
    np.testing.assert_allclose(
        content_of(power, [0.95, 0.45, 0.65]), [84.7687, 19.5356, 30.5059], atol=5e-5
    )


def test_shares_of_a_retention_curve_add_up():
    """Terms whose shares do not add up to 1 are refused."""
    term = {"share": 0.5, "inverse_scale_1_Pa": 8e-8, "exponent": 1.6, "power": 0.375}
    storage = {"form": "retention curve", "free_kg_m3": 146.0, "term": [term]}
    assert any(
        "the shares must add up to 1 (got 0.5)" in fault
        for fault in faults_of(wall(material__stuff__storage=storage))
    )


def test_conductivity_keeps_the_flow():
    """D from a conductivity K has the integral of K dP: exactly known for K constant."""
    suction = np.geomspace(1e3, 1e8, 6)
    content = np.array([190.0, 150.0, 100.0, 50.0, 20.0, 5.0])
    storage = {
        "form": "table over suction",
        "suction_Pa": suction.tolist(),
        "water_content_kg_m3": content.tolist(),
        "free_kg_m3": 200.0,
    }
    liquid = {
        "form": "conductivity table",
        "suction_Pa": [1.0, 1e9],
        "conductivity_s": [1e-16, 1e-16],
    }
    data = wall(material__stuff__storage=storage, material__stuff__liquid=liquid)
    diffusivity = problem_from_data(data).materials["slab"].diffusivity
    for low, high, between in ((50.0, 100.0, 1e6 - 1e5), (150.0, 200.0, 1e4)):
        w = np.linspace(low, high, 200_001)
        moved = np.trapezoid(diffusivity(w), w)
        assert moved == pytest.approx(1e-16 * between, rel=2e-3)


def test_polynomial_of_en_15026():
    """At the center of its polynomial K is exp(c0); D there is K times the slope of suction."""
    storage = {
        "form": "retention curve",
        "free_kg_m3": 146.0,
        "term": [{"inverse_scale_1_Pa": 8e-8, "exponent": 1.6, "power": 0.375}],
    }
    liquid = {
        "form": "conductivity polynomial",
        "center_kg_m3": 73.0,
        "coefficients": [-39.2619, 0.0704, -1.742e-4],
    }
    data = wall(material__stuff__storage=storage, material__stuff__liquid=liquid)
    diffusivity = problem_from_data(data).materials["slab"].diffusivity

    def suction(w):
        return 0.125e8 * ((146.0 / w) ** (1.0 / 0.375) - 1.0) ** 0.625

    slope = (suction(73.001) - suction(72.999)) / 0.002
    expected = -np.exp(-39.2619) * slope
    assert diffusivity(np.array([73.0]))[0] == pytest.approx(expected, rel=1e-5)


def test_filled_pores():
    """Dry pores let vapor through by the factor alone, full ones let next to nothing through."""
    vapor = {"form": "filled pores", "resistance_factor": 200.0, "p": 0.497, "full_kg_m3": 200.0}
    material = problem_from_data(wall(material__stuff__vapor=vapor)).materials["slab"]
    air = 26.1e-6 * 0.018 / (8.314 * 293.15)
    assert material.vapor_permeability[0] == pytest.approx(air / 200.0, rel=1e-3)
    assert material.vapor_permeability[-1] <= 1e-20
    half = np.interp(100.0, [0.0, 10.0, 200.0], [0.0, 0.5, 1.0])  # humidity at half full
    found = np.interp(half, material.vapor_rh, material.vapor_permeability)
    assert found == pytest.approx(air / 200.0 * 0.5 / (0.503 * 0.25 + 0.497), rel=1e-4)


def test_content_above_what_a_material_holds_is_refused():
    """An initial water content that the material cannot hold is refused."""
    data = wall(part__0__initial_relative_humidity=None, part__0__initial_water_content_kg_m3=250.0)
    assert any("is more than 'stuff' holds, 200 kg/m3" in fault for fault in faults_of(data))


def test_a_gap_must_lie_between_layers():
    """What the section itself refuses is told with the file's name."""
    gap = {"type": "gap", "name": "gap", "depth_m": 0.02, "convection_W_m2K": 3.0}
    data = wall()
    data["part"].append(gap)
    assert any("a gap must have a layer on both of its sides" in one for one in faults_of(data))
