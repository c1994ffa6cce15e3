from importlib.util import find_spec
from pathlib import Path

import pytest

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


@pytest.mark.parametrize(
    ("name", "start", "kind"),
    [
        ("a.epw", "LOCATION,Somewhere,XX,USA,TMY3,0,30,-90,-6,1\n", "EPW"),
        ("a.csv", '722230,"SOMEWHERE",XX,-6.0,30,-88,6\nDate (MM/DD/YYYY),Time (HH:MM),', "TMY3"),
        ("a.xlsx", "something else", ".xlsx"),
        ("a", "something else", "no extension"),
    ],
)
def test_kinds_that_are_not_read(tmp_path, name, start, kind):
    """A kind of file that is not read is named, with the kinds that are."""
    (tmp_path / name).write_text(start, encoding="utf-8")
    text = message(tmp_path / name)
    assert f"(got {kind})" in text
    assert "read are TMY2 (.tm2, .tmy2) and climate tables (.csv)" in text


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
