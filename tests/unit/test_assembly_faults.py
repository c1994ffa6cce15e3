"""What is wrong with an assembly file is said in one message each, all of them together."""

from pathlib import Path

import pytest

from moistwall.assembly import read_assembly
from moistwall.errors import AssemblyError, Fault
from moistwall.library import data_folder

GOOD = """
kind = "wall"
[[layer]]
id = "siding"
material = "fiber cement"
thickness = "5/16 in"
[[layer]]
id = "furring"
gap = "ventilated"
depth = "3/4 in"
[[layer]]
material = "gypsum board"
thickness = "1/2 in"
[[layer]]
film = "latex paint"
"""
GYPSUM = 'material = "gypsum board"\nthickness = "1/2 in"'
GAP = 'gap = "ventilated"\ndepth = "3/4 in"'


def faults(folder: Path, text: str | bytes) -> tuple[Fault, ...]:
    """Return the faults of a file with this content; each names a file that exists."""
    path = folder / "wall.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(AssemblyError) as caught:
        read_assembly(path)
    assert all(fault.file for fault in caught.value.faults)
    return caught.value.faults


def changed(old: str, new: str) -> str:
    """Return the good file with one change."""
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new)


CASES = {
    "bare number": (
        changed('thickness = "1/2 in"', "thickness = 12.7"),
        ("layer[3].thickness", "12.7", "'gypsum board': a bare number; needs a length", "19 mm"),
    ),
    "number without unit": (
        changed('thickness = "1/2 in"', 'thickness = "1/2"'),
        ("layer[3].thickness", "1/2", "'gypsum board': has no unit", "19 mm"),
    ),
    "unit of another kind": (
        changed('thickness = "1/2 in"', 'thickness = "0.5 perm"'),
        ("layer[3].thickness", "0.5 perm", "is the unit of a vapor permeance", "19 mm"),
    ),
    "comma": (
        changed('thickness = "1/2 in"', 'thickness = "12,5 mm"'),
        ("layer[3].thickness", "12,5 mm", "has a comma", 'write "12.5 mm"'),
    ),
    "not finite": (
        changed('thickness = "1/2 in"', 'thickness = "nan mm"'),
        ("layer[3].thickness", "nan mm", "does not begin with a number", "19 mm"),
    ),
    "huge": (
        changed('thickness = "1/2 in"', 'thickness = "1e308 in"'),
        ("layer[3].thickness", "1e308 in", "a length must lie between", "19 mm"),
    ),
    "expression": (
        changed('thickness = "1/2 in"', 'thickness = "9**9**9 mm"'),
        ("layer[3].thickness", "9**9**9 mm", "is no unit of a length", "use one of"),
    ),
    "negative thickness": (
        changed('thickness = "1/2 in"', 'thickness = "-1/2 in"'),
        ("layer[3].thickness", "-1/2 in", "must not be negative", "19 mm"),
    ),
    "zero thickness": (
        changed('thickness = "1/2 in"', 'thickness = "0 in"'),
        ("layer[3].thickness", "0 in", "is out of range", "from 0.05 mm to 5 m"),
    ),
    "too thick": (
        changed('thickness = "1/2 in"', 'thickness = "6 m"'),
        ("layer[3].thickness", "6 m", "is out of range", "from 0.05 mm to 5 m"),
    ),
    "layer without thickness": (
        changed(GYPSUM, 'material = "gypsum board"'),
        ("layer[3].thickness", "", "is missing: a layer needs a thickness", 'thickness = "1 1/2'),
    ),
    "film with thickness": (
        changed('film = "latex paint"', 'film = "latex paint"\nthickness = "0.1 mm"'),
        ("layer[4].thickness", "0.1 mm", "'latex paint': a film has no thickness", "leave it out"),
    ),
    "film called a material": (
        changed('film = "latex paint"', 'material = "latex paint"\nthickness = "0.1 mm"'),
        ("layer[4].material", "latex paint", "is a film", 'write film = "latex paint"'),
    ),
    "material called a film": (
        changed('film = "latex paint"', 'film = "plywood"'),
        ("layer[4].film", "plywood", "is no film", 'write material = "plywood"'),
    ),
    "board called a film": (
        changed('film = "latex paint"', 'film = "foil-faced polyiso"'),
        ("layer[4].film", "foil-faced polyiso", "is no film", "and its thickness"),
    ),
    "unknown material": (
        changed('material = "gypsum board"', 'material = "gypsum bord"'),
        ("layer[3].material", "gypsum bord", "no material", "'gypsum board'"),
    ),
    "unknown material of a layer with an id": (
        changed('material = "fiber cement"', 'material = "fibre semment"'),
        ("layer[1].material", "fibre semment", "'siding': no material", "fiber cement"),
    ),
    "unknown film": (
        changed('film = "latex paint"', 'film = "latex pant"'),
        ("layer[4].film", "latex pant", "no material", "'latex paint'"),
    ),
    "unknown key": (
        changed('kind = "wall"', 'kind = "wall"\nfaceing = "south"'),
        ("faceing", "south", "is not a known key", "'facing'"),
    ),
    "unknown key of an entry": (
        changed('depth = "3/4 in"', 'depth = "3/4 in"\nair_chages = "9 1/h"'),
        ("layer[2].air_chages", "9 1/h", "'furring': is not a known key", "'air_changes'"),
    ),
    "key of another kind of entry": (
        changed('depth = "3/4 in"', 'depth = "3/4 in"\nthickness = "3/4 in"'),
        ("layer[2].thickness", "3/4 in", "'furring': a gap has no thickness", "leave it out"),
    ),
    "unknown kind": (
        changed('kind = "wall"', 'kind = "tent"'),
        ("kind", "tent", "must be one of 'wall', 'roof' or 'floor'", ""),
    ),
    "unknown gap": (
        changed('gap = "ventilated"', 'gap = "airy"'),
        ("layer[2].gap", "airy", "must be one of 'sealed', 'drained', 'vented'", ""),
    ),
    "gap without depth": (
        changed(GAP, 'gap = "ventilated"'),
        ("layer[2].depth", "", "'furring': is missing: a gap needs a depth", 'depth = "3/4 in"'),
    ),
    "shallow gap": (
        changed('depth = "3/4 in"', 'depth = "0.5 mm"'),
        ("layer[2].depth", "0.5 mm", "is out of range", "from 1 mm to 3 m"),
    ),
    "air through a sealed gap": (
        changed(GAP, 'gap = "sealed"\ndepth = "1 in"\nair_changes = "1 ach"'),
        ("layer[2].air_changes", "1 ach", "a sealed gap has no outdoor air", "leave it out"),
    ),
    "too much air": (
        changed(GAP, GAP + '\nair_changes = "5001 1/h"'),
        ("layer[2].air_changes", "5001 1/h", "is out of range", "to 5000 1/h"),
    ),
    "file of air changes that is not there": (
        changed(GAP, GAP + '\nair_changes_file = "air.csv"'),
        ("layer[2].air_changes_file", "air.csv", "there is no such file", ""),
    ),
    "ids alike": (
        changed('id = "furring"', 'id = "Siding"'),
        ("layer[2].id", "Siding", "is the id of layer[1] as well", "give each its own"),
    ),
    "id of many lines": (
        changed('id = "furring"', 'id = "fur\\nring"'),
        ("layer[2].id", "'fur\\nring'", "is no name", "printable"),
    ),
    "two kinds in one entry": (
        changed('film = "latex paint"', 'film = "latex paint"\nmaterial = "OSB"'),
        ("layer[4]", "film, material", "needs exactly one of the keys material, film", "[[layer]]"),
    ),
    "entry of no kind": (
        changed('film = "latex paint"', 'flim = "latex paint"'),
        ("layer[4]", "flim", "needs exactly one of the keys material, film and gap", "[[layer]]"),
    ),
    "no layers": ('name = "x"', ("layer", "", "is missing", "")),
    "empty list of layers": (
        "layer = []",
        ("layer", "[]", "has 0 entries", "give at least 1 entry"),
    ),
    "films only": (
        '[[layer]]\nfilm = "housewrap"',
        ("layer", "", "has no layer", 'at least one entry with a "material"'),
    ),
    "gap outside": (
        f"[[layer]]\n{GAP}\n[[layer]]\n{GYPSUM}",
        ("layer[1]", "", "'ventilated gap': a gap cannot be the outer end", "on both sides"),
    ),
    "gap inside but for a film": (
        f'[[layer]]\n{GYPSUM}\n[[layer]]\n{GAP}\n[[layer]]\nfilm = "housewrap"',
        ("layer[2]", "", "a gap cannot be the inner end", "on both sides"),
    ),
    "gap against gap": (
        changed(GAP, f'{GAP}\n[[layer]]\nfilm = "housewrap"\n[[layer]]\n{GAP}'),
        ("layer[4]", "", "a gap cannot lie against another gap", "put a layer between them"),
    ),
    "water control of nothing": (
        f'{GOOD}[water_control]\nlayer = "sidding"\nseams = "open"',
        ("water_control.layer", "sidding", "names no layer or film of this file", "'siding'"),
    ),
    "water control of two": (
        f'{GOOD}[[layer]]\n{GYPSUM}\n[water_control]\nlayer = "gypsum board"\nseams = "open"',
        ("water_control.layer", "gypsum board", "could be layer[3] and layer[5]", "an id"),
    ),
    "water control of a gap": (
        f'{GOOD}[water_control]\nlayer = "furring"\nseams = "open"',
        ("water_control.layer", "furring", "a gap keeps no rain out", "name a layer or film"),
    ),
    "water control without seams": (
        f'{GOOD}[water_control]\nlayer = "siding"',
        (
            "water_control.seams",
            "",
            "is missing",
            'add the key seams: seams = "taped", or seams = "lapped", or seams = "open"',
        ),
    ),
    "unknown seams": (
        f'{GOOD}[water_control]\nlayer = "siding"\nseams = "glued"',
        ("water_control.seams", "glued", "must be one of 'taped', 'lapped' or 'open'", ""),
    ),
    "roof without slope": (
        changed('kind = "wall"', 'kind = "roof"'),
        ("slope", "", "a roof needs its slope", 'slope = "4/12"'),
    ),
    "roof that looks down": (
        changed('kind = "wall"', 'kind = "roof"\nslope = "100 deg"'),
        ("slope", "100 deg", "is not the slope of a roof", "from 0 to 90 deg"),
    ),
    "slope that is no pitch": (
        changed('kind = "wall"', 'kind = "roof"\nslope = "steep/12"'),
        ("slope", "steep/12", "is no pitch", "4/12"),
    ),
    "pitch over zero": (
        changed('kind = "wall"', 'kind = "roof"\nslope = "4/0"'),
        ("slope", "4/0", "needs an angle", "90 deg"),
    ),
    "unknown direction": (
        changed('kind = "wall"', 'kind = "wall"\nfacing = "seaward"'),
        ("facing", "seaward", "is no point of the compass", "200 deg"),
    ),
    "direction beyond the circle": (
        changed('kind = "wall"', 'kind = "wall"\nfacing = "365 deg"'),
        ("facing", "365 deg", "an angle must lie between", ""),
    ),
    "room in Celsius without saying so": (
        f"{GOOD}[room]\ntemperature = 24",
        ("room.temperature", "24", "a bare number; needs a temperature", "75 degF"),
    ),
    "boiling room": (
        f'{GOOD}[room]\ntemperature = "75 degC"',
        ("room.temperature", "75 degC", "is out of range", "from 0 degC to 50 degC"),
    ),
    "humidity as a fraction": (
        f'{GOOD}[room]\nhumidity = "0.5"',
        ("room.humidity", "0.5", "has no unit; needs a share", "50 %"),
    ),
    "wet beyond saturation": (
        changed('film = "latex paint"', f'{GYPSUM}\nstart_humidity = "101 %"'),
        ("layer[4].start_humidity", "101 %", "a share must lie between", "50 %"),
    ),
    "color twice": (
        f'{GOOD}[outside]\ncolor = "white"\nabsorptance = "20 %"',
        ("outside.color", "white", "say the same thing", "give one of them"),
    ),
    "unknown color": (
        f'{GOOD}[outside]\ncolor = "teal"',
        ("outside.color", "teal", "must be one of 'white', 'light'", ""),
    ),
    "folder of materials that is not there": (
        changed('kind = "wall"', 'materials = ["mine"]'),
        ("materials[1]", "mine", "there is no such file or folder", ""),
    ),
    "materials outside the folder": (
        changed('kind = "wall"', 'materials = ["../mine"]'),
        ("materials[1]", "../mine", "leads out of the folder of this file", "the whole path"),
    ),
    "path with a NUL": (
        changed('kind = "wall"', 'materials = ["a\\u0000b"]'),
        ("materials[1]", "'a\\x00b'", "is no path", ""),
    ),
}


@pytest.mark.parametrize(("text", "wanted"), CASES.values(), ids=CASES)
def test_one_mistake_gives_one_message(
    tmp_path: Path, text: str, wanted: tuple[str, str, str, str]
) -> None:
    """Each mistake alone gives one fault, with file, field, value, problem and remedy."""
    (fault,) = faults(tmp_path, text)
    field, value, problem, remedy = wanted
    assert fault.file == str(tmp_path / "wall.toml")
    assert (fault.field, fault.value) == (field, value)
    assert problem in fault.problem
    assert remedy in fault.remedy
    assert not value or not fault.problem.startswith(f"'{value}'"), "the value is said twice"


def test_the_file_that_the_cases_change_is_right(tmp_path: Path) -> None:
    """What the cases start from has no fault of its own."""
    path = tmp_path / "wall.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert len(read_assembly(path).given.layer) == 4


def test_all_mistakes_come_together_from_the_head_to_the_last_layer(tmp_path: Path) -> None:
    """Mistakes of units, keys, names, order and references are in one error, in file order."""
    text = """
    kind = "tent"
    colour = "white"
    [water_control]
    layer = "nothing"
    seams = "taped"
    [room]
    temperature = "75"
    [[layer]]
    gap = "ventilated"
    [[layer]]
    id = "a"
    material = "plywod"
    thickness = 12
    [[layer]]
    id = "a"
    film = "plywood"
    thickness = "1 in"
    """
    fields = [fault.field for fault in faults(tmp_path, text)]
    assert sorted(fields[:4]) == ["colour", "kind", "room.temperature", "water_control.layer"]
    assert fields[4:6] == ["layer[1].depth", "layer[1]"]
    assert sorted(fields[6:8]) == ["layer[2].material", "layer[2].thickness"]
    assert sorted(fields[8:]) == ["layer[3].film", "layer[3].id", "layer[3].thickness"]


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b'kind = "wall', "is not valid TOML"),
        (b"kind = 'wall'\nkind = 'roof'", "is not valid TOML"),
        (b"\xff\xfek\x00i\x00", "is not valid TOML: not text in UTF-8"),
        ('name = "Größe"'.encode("latin-1"), "is not valid TOML: not text in UTF-8"),
        (b"\x00\x01\x02", "is not valid TOML: it holds NUL bytes"),
        (b"a = " + b"[" * 50_000, "is not valid TOML: brackets are nested too deeply"),
        (b"#" * 1_000_001, "is larger than 1 MB"),
    ],
    ids=["syntax", "key twice", "UTF-16", "Latin-1", "binary", "nested", "large"],
)
def test_what_is_no_toml_text_gives_one_message(
    tmp_path: Path, content: bytes, problem: str
) -> None:
    """A file that is no TOML text is refused in one message, without guessing further."""
    (fault,) = faults(tmp_path, content)
    assert problem in fault.problem


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    """Editors that begin UTF-8 files with a mark do no harm."""
    path = tmp_path / "wall.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert read_assembly(path).given.kind == "wall"


@pytest.mark.parametrize(("name", "problem"), [("none.toml", "no such file"), ("", "cannot be")])
def test_a_path_that_is_no_file_gives_one_message(tmp_path: Path, name: str, problem: str) -> None:
    """A missing file, or a folder in its place, is named."""
    with pytest.raises(AssemblyError, match=problem) as caught:
        read_assembly(tmp_path / name)
    assert len(caught.value.faults) == 1


def own_material(folder: Path, name: str) -> Path:
    """Write a copy of the library's plywood under a name of one's own."""
    text = (data_folder("materials") / "sheathing" / "plywood.toml").read_text(encoding="utf-8")
    lines = [f'name = "{name}"' if one.startswith("name") else one for one in text.splitlines()]
    path = folder / "own.toml"
    path.write_text("\n".join(one for one in lines if not one.startswith("aliases")), "utf-8")
    return path


@pytest.mark.parametrize("listed", ["own.toml", "boards", "whole path"])
def test_materials_of_ones_own(tmp_path: Path, listed: str) -> None:
    """A file or folder beside the assembly adds materials; elsewhere by its whole path."""
    site = tmp_path / "site"
    folder = {"own.toml": site, "boards": site / "boards"}.get(listed, tmp_path / "elsewhere")
    site.mkdir()
    folder.mkdir(exist_ok=True)
    own = own_material(folder, "Heron Point panel")
    listed = own.as_posix() if listed == "whole path" else listed
    text = changed('kind = "wall"', f'materials = ["{listed}"]')
    path = site / "wall.toml"
    path.write_text(text.replace("gypsum board", "heron point panel"), encoding="utf-8")
    found = read_assembly(path).found[2]
    assert found is not None
    assert found.name == "Heron Point panel"


def test_a_mistake_in_a_material_of_ones_own_names_its_file_once(tmp_path: Path) -> None:
    """Two layers of a wrong material give its fault once, with the material's file."""
    own = own_material(tmp_path, "Heron Point panel")
    own.write_text(own.read_text("utf-8").replace("kg/m3", "kg/m2", 1), encoding="utf-8")
    layer = '[[layer]]\nmaterial = "Heron Point panel"\nthickness = "1 in"\n'
    (fault,) = faults(tmp_path, f'materials = ["own.toml"]\n{layer}{layer}')
    assert fault.file == str(own)


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    """A symbolic link does not lead around the rule that paths stay in the folder."""
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    outside.mkdir()
    (inside / "mine").symlink_to(outside)
    (fault,) = faults(inside, changed('kind = "wall"', 'materials = ["mine"]'))
    assert "leads out of the folder" in fault.problem


@pytest.mark.parametrize(
    ("lines", "count", "place", "problem"),
    [
        (["air_changes_1_h"] + ["20"] * 8759, 1, "", "is not one year"),
        (["air_changes"] + ["20"] * 8760, 1, "line 1", "has no column of air changes"),
        (["air_changes_1_h", "nan", "-1", ""] + ["20"] * 8757, 3, "line 2:", "is no rate"),
        (["air_changes_1_h"] + ["5001"] * 8760, 10, "line 2:", "is no rate"),
        (["hour,air_changes_1_h"] + ["1"] * 8760, 10, "line 2:", "is no rate"),
        (["air_changes_1_h"] + ['"20', "1_0"] + ["20"] * 8758, 1, "", "is not one year"),
    ],
    ids=["short", "heading", "impossible", "too large", "cells missing", "quote left open"],
)
def test_hourly_air_changes_are_checked(
    tmp_path: Path, lines: list[str], count: int, place: str, problem: str
) -> None:
    """A file of hourly rates must hold one possible rate for each hour; the wrong lines are named."""
    (tmp_path / "air.csv").write_text("\n".join(lines), encoding="utf-8")
    found = faults(tmp_path, changed(GAP, GAP + '\nair_changes_file = "air.csv"'))
    assert len(found) == count
    assert found[0].file == str((tmp_path / "air.csv").resolve())
    assert found[0].field.startswith(place)
    assert problem in found[0].problem


def test_air_changes_are_given_once(tmp_path: Path) -> None:
    """A rate and a file of rates contradict each other."""
    (tmp_path / "air.csv").write_text("air_changes_1_h\n" + "20\n" * 8760, encoding="utf-8")
    both = f'{GAP}\nair_changes = "9 ach"\nair_changes_file = "air.csv"'
    (fault,) = faults(tmp_path, changed(GAP, both))
    assert fault.field == "layer[2].air_changes"
    assert "beside air_changes_file" in fault.problem
