import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from moistwall.errors import ClimateError, InputError, MaterialError
from moistwall.library import (
    climate_names,
    data_folder,
    find_climate_path,
    find_entry,
    find_film,
    find_material,
    material_names,
    nearest_normals,
    shipped,
)
from moistwall.material import FacedBoard, FilmMaterial, Material
from moistwall.names import nearest, plain_name

FILM = """\
type = "film"
name = "{name}"
aliases = [{aliases}]

[vapor]
value = "{perm} perm"
source = "invented"
quality = "estimate"
"""


def write_film(folder: Path, file: str, name: str, aliases: str = "", perm: float = 1.0) -> Path:
    """Write a small film into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / file
    path.write_text(FILM.format(name=name, aliases=aliases, perm=perm), encoding="utf-8")
    return path


@pytest.mark.parametrize("name", material_names())
def test_every_file_of_the_library_can_be_used(name):
    """Each material, film and board of the library is read, and knows the source of its numbers."""
    entry = find_entry(name)
    assert entry.name == name
    parts = [entry]
    if isinstance(entry, FacedBoard):
        parts = [part for part in (entry.core, entry.outside, entry.inside) if part]
    for part in parts:
        assert isinstance(part, (Material, FilmMaterial))
        assert part.sources
        for source in part.sources.values():
            assert len(source.text) > 3
        assert part.mold_class in ("very sensitive", "sensitive", "medium resistant", "resistant")


def test_library_has_what_a_wall_needs():
    """The materials that the first walls and roofs are built of are there, by the trade's names."""
    for name in (
        "fiber cement",
        "steel sheet",
        "cement stucco",
        "clay brick",
        "western red cedar",
        "asphalt shingles",
        "EPS",
        "asphalt felt",
        "foil-faced polyiso",
        "glass-faced polyiso",
        "XPS",
        "OSB",
        "plywood",
        "integrated-coated sheathing",
        "mineral wool batt",
        "glass-fiber batt",
        "gypsum board",
        "spruce",
        "latex paint",
        "vinyl wallcovering",
        "polyethylene",
        "housewrap",
    ):
        assert name in material_names()


def test_names_forgive_case_spaces_and_hyphens():
    """Upper and lower case, spaces, hyphens and aliases lead to the same material."""
    osb = find_material("OSB")
    for name in ("osb", " Osb ", "oriented strand board", "Oriented-Strand  Board"):
        assert find_material(name) is osb
    assert find_film("House Wrap") is find_film("housewrap")
    assert find_film("polyamidemembrane") is find_film("polyamide membrane")
    assert plain_name("Foil-Faced_polyiso ") == "foil faced polyiso"


def test_faced_board_has_core_and_facers():
    """Foil-faced polyiso is a core between two foils; coated sheathing is OSB under a coat."""
    foam = find_entry("foil-faced polyiso")
    assert isinstance(foam, FacedBoard)
    assert foam.kind == "foam"
    assert foam.outside is foam.inside is find_film("foil facer")
    assert foam.outside.emittance == pytest.approx(0.05)
    sheathing = find_entry("integrated-coated sheathing")
    assert sheathing.core is find_material("OSB")
    assert sheathing.inside is None


@pytest.mark.parametrize(
    ("name", "meant"), [("OBS", "OSB"), ("plywod", "plywood"), ("mineralwol", "mineral wool")]
)
def test_unknown_material_comes_with_the_nearest(name, meant):
    """A name that no file has is refused with those that it may mean, and its place."""
    with pytest.raises(MaterialError, match=rf"did you mean .*'{meant}'") as caught:
        find_material(name, file="wall.toml", field="layer[2].material")
    assert str(caught.value).startswith("wall.toml: layer[2].material: ")
    assert nearest("xyzzy", ["OSB"]) == []


def test_wrong_sort_of_entry_is_named():
    """A film is no material, and a board is no film."""
    with pytest.raises(MaterialError, match="is a film, not a material"):
        find_material("housewrap")
    with pytest.raises(MaterialError, match="is a faced board, not a material"):
        find_material("foil-faced polyiso")
    with pytest.raises(MaterialError, match="is a material, not a film"):
        find_film("OSB")


def test_own_folder_and_file_and_environment(tmp_path, monkeypatch):
    """Materials of one's own are found in a folder, as a file, and through the environment."""
    write_film(tmp_path / "a" / "coating", "one.toml", "own paint", perm=3.0)
    single = write_film(tmp_path / "b", "two.toml", "own wrap")
    found = find_film("own paint", [tmp_path / "a"])
    assert found.kind == "coating"
    assert find_film("own wrap", [single]).name == "own wrap"
    with pytest.raises(MaterialError, match="own wrap"):
        find_film("own wrap")
    monkeypatch.setenv("MOISTWALL_MATERIALS", os.pathsep.join([str(tmp_path / "a"), str(single)]))
    assert find_film("own wrap").name == "own wrap"
    assert {"own paint", "own wrap", "OSB"} <= set(material_names())
    # naming a folder twice is no mistake
    assert find_film("own paint", [tmp_path / "a"]) is found


def test_changed_file_is_read_again(tmp_path):
    """What is kept of a file is dropped when the file changes."""
    path = write_film(tmp_path, "one.toml", "own paint", perm=3.0)
    first = find_film("own paint", [tmp_path])
    write_film(tmp_path, "one.toml", "own paint", perm=12.5)
    os.utime(path, ns=(1, 1))
    second = find_film("own paint", [tmp_path])
    np.testing.assert_allclose(second.permeance, first.permeance * 12.5 / 3.0)


def test_missing_folder_is_named(tmp_path, monkeypatch):
    """A folder that is not there is refused, with the variable that names it."""
    with pytest.raises(MaterialError, match="there is no such folder"):
        find_material("OSB", [tmp_path / "none"])
    monkeypatch.setenv("MOISTWALL_MATERIALS", str(tmp_path / "none"))
    with pytest.raises(MaterialError, match="MOISTWALL_MATERIALS: there is no such folder"):
        find_material("OSB")


def test_name_given_twice_is_refused(tmp_path):
    """Two files with one name, be it as an alias, are refused naming both."""
    write_film(tmp_path, "one.toml", "own paint")
    write_film(tmp_path, "two.toml", "other", aliases='"Own-Paint"')
    with pytest.raises(MaterialError, match=r"two\.toml: name: .*taken by .*one\.toml"):
        find_film("own paint", [tmp_path])
    write_film(tmp_path, "two.toml", "osb")
    with pytest.raises(MaterialError, match=r"taken by .*osb\.toml"):
        find_film("own paint", [tmp_path])


def test_board_of_an_unknown_core_is_refused(tmp_path):
    """A board whose core is in no file is refused at its own file and field."""
    path = tmp_path / "board.toml"
    path.write_text('type = "board"\nname = "odd"\ncore = "OBS"\ninside = "housewrap"\n', "utf-8")
    with pytest.raises(MaterialError, match=r"board\.toml: core: .*did you mean 'OSB'"):
        find_entry("odd", [tmp_path])
    path.write_text('type = "board"\nname = "odd"\ncore = "housewrap"\ninside = "OSB"\n', "utf-8")
    with pytest.raises(MaterialError, match=r"board\.toml: inside: is a material, not a film"):
        find_entry("odd", [tmp_path])


def test_climates_are_found():
    """Miami is there by name; a path is taken as it is; an unknown name is refused."""
    assert "miami" in climate_names()
    path = find_climate_path("Miami")
    assert path.is_file()
    assert find_climate_path(path) == path
    assert find_climate_path(str(path)) == path
    with pytest.raises(ClimateError, match=r"no climate of this name \(got miamy\).*'miami'"):
        find_climate_path("miamy")
    with pytest.raises(
        ClimateError, match=r"known: .*; or give a file: docs/how-to/own-climate.md"
    ):
        find_climate_path("atlantis")
    with pytest.raises(ClimateError, match="no such file"):
        find_climate_path("none/miami.csv")
    with pytest.raises(ClimateError, match="no such file"):
        find_climate_path("absent.epw")


def test_normals_are_found_by_nearness():
    """The Gulf coast at Mobile has Mobile's normals within 60 km; the middle of the Gulf has none."""
    assert nearest_normals(30.7, -88.2).name == "mobile"
    assert nearest_normals(18.4, -66.0).rain.sum() == pytest.approx(1329.4)
    assert nearest_normals(26.0, -90.0) is None
    assert nearest_normals(26.0, -90.0, within_km=1000.0).name == "new-orleans"


def test_normals_nearness_is_a_distance():
    """Miami's station lies 1.0 degree of latitude, 111.2 km, south of a point: no nearer than that."""
    miami = nearest_normals(25.8, -80.3)
    assert nearest_normals(miami.latitude + 1.0, miami.longitude, within_km=111.0) is None
    assert nearest_normals(miami.latitude + 1.0, miami.longitude, within_km=111.4) is miami


def test_climates_of_every_kind_of_place_are_there():
    """Besides the measured year of Miami: six built years of the humid coasts and two contrasts."""
    built = {"charleston", "houston", "miami-built", "mobile", "new-orleans", "san-juan"}
    assert built | {"miami", "phoenix", "minneapolis"} <= set(climate_names())
    assert sum(path.stat().st_size for path in data_folder("climates").iterdir()) < 3e6


def test_data_inside_the_package_go_first(tmp_path, monkeypatch):
    """Data in the installed package are used; beside it they are only in moistwall's checkout."""
    package = tmp_path / "moistwall"
    package.mkdir()
    (tmp_path / "materials").mkdir()
    monkeypatch.setattr(shipped, "__file__", str(package / "library" / "shipped.py"))
    with pytest.raises(InputError, match="missing from this installation"):
        data_folder("materials")
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "other"\n', encoding="utf-8")
    with pytest.raises(InputError, match="missing from this installation"):
        data_folder("materials")
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "moistwall"\n', encoding="utf-8")
    assert data_folder("materials") == tmp_path / "materials"
    inside = package / "_data" / "materials"
    inside.mkdir(parents=True)
    assert data_folder("materials") == inside


def test_finding_a_material_imports_nothing_heavy():
    """The library needs neither matplotlib nor pandas nor numba."""
    heavy = "{'matplotlib', 'pandas', 'numba', 'pvlib', 'click', 'jinja2'}"
    code = (
        # pint takes in dask where somebody has installed it, and that takes in jinja2
        "import sys; sys.modules['dask'] = None;"
        "from moistwall.library import find_material; find_material('OSB');"
        f"print(sorted({heavy} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert run.stdout.strip() == "[]"
