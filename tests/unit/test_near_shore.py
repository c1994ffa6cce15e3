"""The script that turns the near-shore year of another package into a climate table."""

import hashlib
import importlib.util
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest

from moistwall.climate.hours import HOURS, hour_index, hour_stamp
from moistwall.climate.read import read_climate

ROOT = Path(__file__).parents[2]
COLUMNS = "temp_air,dew_point,dhi,dni,ghi,albedo,pressure,wind_direction,wind_speed"


@pytest.fixture
def script():
    path = ROOT / "scripts" / "read_near_shore.py"
    spec = importlib.util.spec_from_file_location("near_shore", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def wheel(folder, order=1):
    """An archive of the same form with invented values; temperature is the hour of the day / 2."""
    lines = [f",Year,Month,Day,Hour,Minute,{COLUMNS}"]
    for k in range(HOURS)[::order]:
        month, day, hour = hour_stamp(k)
        sun = 300.0 if 8 <= hour <= 16 else 0.0
        values = f"{hour / 2},-1.0,{sun},0.0,{sun},0.1,1012.0,{350 if hour % 2 else 10},4.0"
        lines.append(f"x,2019,{month},{day},{hour - 1},30,{values}")
    table = "\n".join(lines) + "\n"
    site = {"latitude": 25.8, "longitude": -80.2, "tz": -5, "altitude": 7, "Location ID": "0"}
    path = folder / "a.whl"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("pvdeg/data/psm4_miami.csv", table)
        archive.writestr("pvdeg/data/meta_miami.json", json.dumps(site))
    return path, hashlib.sha256(table.encode()).hexdigest()


def test_another_file_is_refused(script, tmp_path):
    """A file that is not the one whose form is known is refused and nothing is written."""
    with pytest.raises(SystemExit, match=r"not that of pvdeg 0\.7\.4"):
        script.main(wheel(tmp_path)[0], tmp_path / "out.csv")
    assert not (tmp_path / "out.csv").exists()


def test_hours_out_of_order_are_refused(script, tmp_path):
    """Rows that do not run through one year are refused."""
    path, script.SHA256 = wheel(tmp_path, order=-1)
    with pytest.raises(SystemExit, match="one year, hour by hour"):
        script.main(path, tmp_path / "out.csv")


def test_values_move_from_half_past_to_the_end_of_the_hour(script, tmp_path):
    """Readings are means of the two half hours around the end of the hour, sun stays in its hour."""
    path, script.SHA256 = wheel(tmp_path)
    script.main(path, tmp_path / "out.csv")
    year = read_climate(tmp_path / "out.csv")
    noon = hour_index(7, 1, 12)
    assert year.temperature[noon] == pytest.approx(6.25)
    assert year.temperature[hour_index(7, 1, 24)] == pytest.approx(6.25)  # of 12 and 0.5
    assert year.pressure[noon] == pytest.approx(101_200.0)
    assert year.wind_speed[noon] == pytest.approx(4.0 * 5.0**0.14)
    assert np.cos(np.radians(year.wind_direction[noon])) == pytest.approx(1.0)  # of 350 and 10
    assert np.flatnonzero(year.sun_global[noon - 11 : noon + 13]).tolist() == list(range(7, 16))
    assert year.rain is None
    assert 0.0 < year.cloud.min() <= year.cloud.max() < 1.0
