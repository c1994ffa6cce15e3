from importlib.util import find_spec
from pathlib import Path

import pytest
from epw_files import epw_text

from moistwall.climate import text as weather_text
from moistwall.climate.read import read_climate
from moistwall.errors import ClimateError

STATION = Path(find_spec("pvlib").origin).parent / "data" / "12839.tm2"
MIAMI = Path(__file__).parents[2] / "climates" / "miami.csv"


def message(path):
    with pytest.raises(ClimateError) as caught:
        read_climate(path)
    assert len(caught.value.faults) == 1
    return str(caught.value)


@pytest.mark.parametrize("name", ["a.tm2", "a.TMY2", "a.txt", "a"])
def test_tmy2_by_extension_or_content(tmp_path, name):
    """A TMY2 file is known by its header line, whatever its name is."""
    (tmp_path / name).write_bytes(STATION.read_bytes())
    assert read_climate(tmp_path / name).source == "NREL TMY2, station 12839"


def test_table_by_extension():
    """A climate table is known by its extension; a text is as good as a path."""
    assert read_climate(str(MIAMI)).name == "miami"


@pytest.mark.parametrize("name", ["a.tmy3", "a.csv", "a.txt"])
def test_tmy3_by_content(tmp_path, name):
    """A TMY3 file is known by the names of its first columns, also where it is called .csv."""
    (tmp_path / name).write_bytes((STATION.parent / "723170TYA.CSV").read_bytes())
    assert read_climate(tmp_path / name).source == "NREL TMY3, station 723170"


@pytest.mark.parametrize("name", ["a.epw", "a.csv", "a.EPW"])
def test_epw_by_content(tmp_path, name):
    """An EPW file is known by its first line."""
    (tmp_path / name).write_text(epw_text(), encoding="utf-8")
    assert read_climate(tmp_path / name).source == "EPW, invented, station 999999"


@pytest.mark.parametrize(("name", "kind"), [("a.xlsx", ".xlsx"), ("a", "no extension")])
def test_kinds_that_are_not_read(tmp_path, name, kind):
    """A file that is of no known kind is refused with the kinds that are read."""
    (tmp_path / name).write_text("something else", encoding="utf-8")
    text = message(tmp_path / name)
    assert f"(got {kind})" in text
    assert "read are TMY2 (.tm2, .tmy2), TMY3 (.tmy3, .csv), EPW (.epw), climate tables" in text


@pytest.mark.parametrize(
    ("name", "what"), [("a.tm2", "TMY2"), ("a.tmy3", "TMY3"), ("a.epw", "EPW")]
)
def test_extension_without_the_content(tmp_path, name, what):
    """A file that only its extension makes a typical year is refused by its header."""
    (tmp_path / name).write_text("something else\n1,2,3\n", encoding="utf-8")
    with pytest.raises(ClimateError) as caught:
        read_climate(tmp_path / name)
    assert f"is not the first line of a {what} file".replace("a EPW", "an EPW") in str(caught.value)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"month,day\n\xff\xfe1", "is not text in UTF-8"),
        ("month,day".encode("utf-16"), "is not text in UTF-8"),
        (b"month\0,day", "NUL bytes"),
    ],
)
def test_files_that_are_no_text(tmp_path, content, expected):
    """An empty, binary or otherwise coded file is refused in one message."""
    (tmp_path / "a.csv").write_bytes(content)
    assert expected in message(tmp_path / "a.csv")


def test_missing_file_and_folder(tmp_path):
    """A path without a file, or of a folder, is refused with its name."""
    assert "nowhere.csv: no such file" in message(tmp_path / "nowhere.csv")
    assert "cannot be read" in message(tmp_path)
    assert "cannot be read" in message("a\0b.csv")


def test_large_file(tmp_path, monkeypatch):
    """A file over the bound is refused before it is looked into."""
    monkeypatch.setattr(weather_text, "LARGEST_FILE", 1000)
    (tmp_path / "a.csv").write_bytes(b"x" * 1001)
    assert "is larger than" in message(tmp_path / "a.csv")
