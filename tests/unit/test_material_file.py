from typing import Annotated, Literal

import numpy as np
import pytest
from pydantic import Field, ValidationError

from moistwall.errors import MaterialError
from moistwall.material import FilmMaterial, Material
from moistwall.material_file import BoardFile, MaterialFile, read_material_file
from moistwall.schema import StrictModel, TextOf, faults_from_validation, field_path
from moistwall.units import PERM

BOARD = """\
type = "material"
name = "test board"
wood = false

[density]
value = "600 kg/m3"
source = "invented"
quality = "estimate"

[heat_capacity]
value = "1000 J/(kg K)"
source = "invented"
quality = "estimate"

[conductivity]
value = "0.1 W/(m K)"
source = "invented"
quality = "estimate"

[vapor]
dry_cup = "1 perm"
wet_cup = "2 perm"
thickness = "1/2 in"
source = "invented"
quality = "memory"

[storage]
form = "points"
points = [["50 %", "30 kg/m3"], ["80 %", "10 %MC"], ["95 %", "90 kg/m3"]]
free = "400 kg/m3"
holds = "450 kg/m3"
source = "invented"
quality = "estimate"

[liquid]
absorption = "0.01 kg/(m2 s^0.5)"
source = "invented"
quality = "estimate"
"""

FILM = """\
type = "film"
name = "test film"

[vapor]
points = [["25 %", "1 perm"], ["75 %", "5 perm"], ["90 %", "20 perm"]]
source = "invented"
quality = "estimate"
"""


def read(tmp_path, text):
    """Write a file into a folder 'sheathing' and read it."""
    folder = tmp_path / "sheathing"
    folder.mkdir(exist_ok=True)
    path = folder / "one.toml"
    path.write_text(text, encoding="utf-8")
    return read_material_file(path)


def faults(tmp_path, text):
    """Read a file that must be wrong; its faults as (field, message)."""
    with pytest.raises(MaterialError) as caught:
        read(tmp_path, text)
    for fault in caught.value.faults:
        assert fault.file.endswith("one.toml")
    return [(fault.field, str(fault)) for fault in caught.value.faults]


def test_material_is_read(tmp_path):
    """Every group of a file arrives in the material in SI, with its source."""
    board = read(tmp_path, BOARD)
    assert isinstance(board, Material)
    assert (board.name, board.kind, board.density) == ("test board", "sheathing", 600.0)
    np.testing.assert_allclose(board.vapor_permeability, np.array([1.0, 2.0]) * PERM * 0.0127)
    np.testing.assert_allclose(board.vapor_rh, [0.25, 0.75])
    found = board.storage.content(np.log(np.array([0.5, 0.8, 0.95, 1.0])))
    np.testing.assert_allclose(found, [30.0, 60.0, 90.0, 400.0])
    assert board.storage.holds == 450.0
    assert not board.storage.over_suction
    assert board.capillary
    assert board.sources["vapor"].quality == "memory"
    assert set(board.sources) == {
        "density",
        "heat_capacity",
        "conductivity",
        "vapor",
        "storage",
        "liquid",
    }


def test_film_is_read(tmp_path):
    """A film has its permeance over mean humidity, and no surface unless given."""
    film = read(tmp_path, FILM)
    assert isinstance(film, FilmMaterial)
    np.testing.assert_allclose(film.permeance / PERM, [1.0, 5.0, 20.0])
    assert film.emittance is None
    surface = '[surface]\nemittance = "5 %"\nabsorptance = "15 %"\nsource = "x"\nquality = "memory"'
    assert read(tmp_path, f"{FILM}\n{surface}\n").emittance == pytest.approx(0.05)


def test_film_of_a_permeability_needs_a_thickness(tmp_path):
    """A film given by permeability has the permeance of its thickness, which must be given."""
    text = FILM.replace(
        'points = [["25 %", "1 perm"], ["75 %", "5 perm"], ["90 %", "20 perm"]]', "{}"
    )
    film = read(tmp_path, text.format('value = "0.01 perm in"\nthickness = "10 mil"'))
    np.testing.assert_allclose(film.permeance, [PERM])
    ((field, message),) = faults(tmp_path, text.format('value = "0.01 perm in"'))
    assert field == "vapor.thickness"
    assert "needs its thickness" in message


def test_board_is_read(tmp_path):
    """A faced board names its core and its faces."""
    board = read(tmp_path, 'type = "board"\nname = "b"\ncore = "foam"\noutside = "foil"\n')
    assert isinstance(board, BoardFile)
    assert (board.core, board.outside, board.inside) == ("foam", "foil", None)
    ((_, message),) = faults(tmp_path, 'type = "board"\nname = "b"\ncore = "foam"\n')
    assert "needs a film outside, inside or on both faces" in message


@pytest.mark.parametrize(
    ("given", "content", "conductivity"),
    [
        ('value = "R-5 per in"', [0.0], [0.14423 / 5]),
        ('resistance = "R-0.62"\nthickness = "7/16 in"', [0.0], [0.10177]),
        (
            'points = [["0 kg/m3", "0.1 W/(m K)"], ["20 %MC", "0.15 W/(m K)"]]',
            [0.0, 120.0],
            [0.1, 0.15],
        ),
    ],
)
def test_forms_of_conductivity(tmp_path, given, content, conductivity):
    """Conductivity may come per inch, from a layer's R, or over water content."""
    board = read(tmp_path, BOARD.replace('value = "0.1 W/(m K)"', given))
    np.testing.assert_allclose(board.conductivity_content, content)
    np.testing.assert_allclose(board.conductivity, conductivity, rtol=1e-4)


@pytest.mark.parametrize(
    ("given", "rh", "content"),
    [
        ('form = "wood"\nat = "70 degF"\nfree = "400 kg/m3"\nholds = "450 kg/m3"', 0.5, 55.4),
        (
            'form = "over suction"\nscale = "12.5 MPa"\nn = 1.6\nm = 0.375\n'
            'free = "146 kg/m3"\nholds = "146 kg/m3"',
            0.5,
            42.943,
        ),
        (
            'form = "over humidity"\na = 0.118\nn = 0.869\nfree = "116 kg/m3"\nholds = "116 kg/m3"',
            0.95,
            84.7687,
        ),
        ('form = "pore air"\nporosity = "50 %"\nholds = "5 kg/m3"', 0.5, 0.25 * 0.017287),
        (
            'form = "points"\npoints = [["93.77 MPa", "30 kg/m3"], ["30.19 MPa", "60 kg/m3"]]\n'
            'free = "400 kg/m3"\nholds = "450 kg/m3"',
            0.8,
            60.0,
        ),
    ],
)
def test_forms_of_storage(tmp_path, given, rh, content):
    """Storage may come as points over humidity or suction, as an equation, or as pore air."""
    start, end = BOARD.index("form ="), BOARD.index("source", BOARD.index("form ="))
    text = BOARD[:start] + given + "\n" + BOARD[end:]
    if "pore air" in given:
        text = text.replace('absorption = "0.01 kg/(m2 s^0.5)"', 'transport = "none"')
    board = read(tmp_path, text)
    found = board.storage.content(np.log(np.array([rh])))[0]
    assert found == pytest.approx(content, rel=2e-3)
    assert board.storage.over_suction == ("Pa" in given)


@pytest.mark.parametrize(
    ("given", "dry", "capillary"),
    [
        ('transport = "none"', None, False),
        ('diffusivity = "6e-10 m2/s"', 6e-10, True),
        ('points = [["0 kg/m3", "1e-11 m2/s"], ["400 kg/m3", "1e-8 m2/s"]]', 1e-11, True),
        ('absorption = "0.01 kg/(m2 s^0.5)"', 3.8e-3 * (0.01 / 400.0) ** 2, True),
    ],
)
def test_forms_of_liquid_transport(tmp_path, given, dry, capillary):
    """Liquid may not move at all, or by one diffusivity, points, or an absorption coefficient."""
    board = read(tmp_path, BOARD.replace('absorption = "0.01 kg/(m2 s^0.5)"', given))
    assert board.capillary is capillary
    if board.diffusivity:
        assert board.diffusivity(np.array([0.0]))[0] == pytest.approx(dry)


def test_every_mistake_is_reported_at_once(tmp_path):
    """Five mistakes in one file make five faults, each with its field and its remedy."""
    text = (
        BOARD.replace('"600 kg/m3"', "600")
        .replace("wood = false", 'wood = false\ncolour = "red"')
        .replace('wet_cup = "2 perm"', 'wet_cup = "2 mm"')
        .replace('free = "400 kg/m3"\n', "")
        .replace('quality = "memory"', 'quality = "guess"')
    )
    found = dict(faults(tmp_path, text))
    assert set(found) == {
        "density.value",
        "colour",
        "vapor.wet_cup",
        "storage.free",
        "vapor.quality",
    }
    assert 'needs a density with its unit (got 600); write "650 kg/m3"' in found["density.value"]
    assert "is not a known key" in found["colour"]
    assert "is the unit of a length" in found["vapor.wet_cup"]
    assert "storage.free: is missing" in found["storage.free"]
    assert "'published', 'handbook', 'memory' or 'estimate' (got guess)" in found["vapor.quality"]


@pytest.mark.parametrize(
    ("old", "new", "field", "message"),
    [
        ('type = "material"', "", "type", 'is missing; write type = "material" or'),
        ('type = "material"', 'type = "gas"', "type", "is not a type of file"),
        ('name = "test board"', 'name = " "', "name", "at least 1 character"),
        ("[liquid]", "[fluid]", "fluid", "is not a known key"),
        ("wet_cup", "wet_cop", "vapor.wet_cop", "did you mean 'wet_cup'"),
        ('thickness = "1/2 in"', "", "vapor.thickness", "needs the thickness of its sample"),
        ('dry_cup = "1 perm"', "", "vapor", "needs dry_cup and wet_cup, or value, or points"),
        ('dry_cup = "1 perm"', 'dry_cup = "0 perm"', "vapor.dry_cup", "must be above 0"),
        ('form = "points"', 'form = "curve"', "storage.form", "must be one of 'points', 'wood'"),
        ('form = "points"', "", "storage.form", "is missing"),
        ('["80 %", "10 %MC"]', '["40 %", "10 %MC"]', "storage.points[2]", "humidity must rise"),
        ('["80 %", "10 %MC"]', '["80 %", "1 %MC"]', "storage.points[2]", "water content must rise"),
        ('["95 %"', '["100 %"', "storage.points[3][1]", "between 0 and 100 %, both ends left out"),
        ('["95 %"', "[95", "storage.points[3][1]", "a bare number"),
        ('"400 kg/m3"', '"80 kg/m3"', "storage.free", "must lie above the last point"),
        ('"450 kg/m3"', '"300 kg/m3"', "storage.holds", "must not be below free saturation"),
        ('"0.1 W/(m K)"', '"0 W/(m K)"', "conductivity", "no building material has such a"),
        ('value = "0.1 W/(m K)"', "", "conductivity", "needs exactly one of value"),
        ('absorption = "0.01 kg/(m2 s^0.5)"', "", "liquid", "needs exactly one of transport"),
        (
            '"0.01 kg/(m2 s^0.5)"',
            '"0 kg/(m2 s^0.5)"',
            "liquid.absorption",
            'must be above 0 (got 0); or write transport = "none"',
        ),
        ("wood = false", "wood = 1", "wood", "true or false"),
        (
            "wood = false\n",
            "wood = true\n",
            "storage.holds",
            None,
        ),
    ],
)
def test_mistakes_are_named(tmp_path, old, new, field, message):
    """Each mistake is reported at its own field, with the remedy."""
    text = BOARD.replace(old, new, 1)
    if message is None:
        text = text.replace('"450 kg/m3"', '"620 kg/m3"')
        message = "wood of 600 kg/m3 has pores for 610.4 kg/m3 of water at most"
    found = faults(tmp_path, text)
    assert any(at == field and message in said for at, said in found), found


def test_broken_toml_is_named(tmp_path):
    """A file that is not TOML, not text or not there is refused with its name."""
    ((_, message),) = faults(tmp_path, 'name = "open')
    assert "is not valid TOML" in message
    (tmp_path / "sheathing" / "one.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(MaterialError, match=r"one\.toml: is not valid TOML"):
        read_material_file(tmp_path / "sheathing" / "one.toml")
    with pytest.raises(MaterialError, match=r"none\.toml: there is no such file"):
        read_material_file(tmp_path / "none.toml")


def test_fields_are_written_as_people_count():
    """Places are counted from 1."""
    assert field_path(("layer", 1, "points", 0, 1)) == "layer[2].points[1][2]"
    assert field_path(()) == ""


class _Left(StrictModel):
    form: Literal["left"]
    width: Annotated[float, TextOf("length")]


class _Right(StrictModel):
    form: Literal["right"]
    depth: Annotated[float, TextOf("length")]


class _Tree(StrictModel):
    branch: Annotated[_Left | _Right, Field(discriminator="form")]
    leaves: list[_Left] = Field(default_factory=list)


def test_unknown_key_deep_in_a_file_gets_the_nearest():
    """Nearest keys come from the table that the unknown one stands in, through unions and lists."""
    tree = {
        "branch": {"form": "right", "deph": "1 mm"},
        "leaves": [{"form": "left", "width": "1 mm"}, {"form": "left", "withd": "2 mm"}],
    }
    with pytest.raises(ValidationError) as caught:
        _Tree.model_validate(tree)
    found = [str(fault) for fault in faults_from_validation(caught.value, "t.toml", _Tree)]
    assert "t.toml: branch.depth: is missing; add the key depth" in found
    assert "t.toml: branch.deph: is not a known key (got 1 mm); did you mean 'depth'?" in found
    assert "t.toml: leaves[2].withd: is not a known key (got 2 mm); did you mean 'width'?" in found


def test_schema_says_how_quantities_are_written():
    """The JSON schema describes a quantity as text, with examples."""
    schema = MaterialFile.model_json_schema()
    value = schema["$defs"]["Density"]["properties"]["value"]
    assert value["type"] == "string"
    assert "650 kg/m3" in value["examples"]


@pytest.mark.parametrize("given", ["[]", "{}", "1", "true", '"what"'])
def test_odd_type_is_refused(tmp_path, given):
    """Whatever stands for the type of a file, it is refused with the types that there are."""
    ((field, message),) = faults(tmp_path, f'type = {given}\nname = "x"\n')
    assert field == "type"
    assert "is not a type of file" in message


def test_numbers_at_the_edge_of_what_can_be_computed(tmp_path):
    """An absorption so small that its square vanishes is refused as no building material's."""
    text = BOARD.replace("0.01 kg/(m2 s^0.5)", "1e-300 kg/(m2 s^0.5)")
    found = faults(tmp_path, text)
    assert any("no building material" in message for _, message in found)
