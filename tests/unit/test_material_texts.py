"""Texts of material files: ranges, still-air factors, spreads; files checked together; classes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from moistwall.air import still_air_permeability
from moistwall.errors import MaterialError
from moistwall.library import find_entry, find_record
from moistwall.material import FilmMaterial, Material
from moistwall.material_file import read_material_file, read_material_record
from moistwall.material_folder import check_material_files
from moistwall.material_vapor import permeance_of, vapor_class
from moistwall.show.material_template import material_template
from moistwall.units import PERM

# without the comments at their head
FILM, BOARD, MATERIAL = (
    text[text.index("type =") :]
    for text in (material_template(sort) for sort in ("film", "board", "material"))
)


def written(path: Path, text: str) -> Path:
    """Write a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def film_of(tmp_path: Path, cups: str) -> FilmMaterial:
    """Read the template's film with other cups."""
    old = FILM[FILM.index("dry_cup") : FILM.index("source")]
    film = read_material_file(written(tmp_path / "own.toml", FILM.replace(old, cups + "\n")))
    assert isinstance(film, FilmMaterial)
    return film


def test_resistance_factors_are_told_against_still_air(tmp_path: Path) -> None:
    """A mu of 50 in 1 mm and an s_d of 50 mm are the same: still air at 23 degC, 195.3e-12, by 0.05 m.

    ISO 12572 with Schirmer's equation; the value at 23 degC computed.
    """
    of_factor = film_of(tmp_path, 'value = "mu 50"\nthickness = "1 mm"')
    of_layer = film_of(tmp_path, 'value = "sd 50 mm"')
    np.testing.assert_allclose(of_factor.permeance, 195.3e-12 / 0.05, rtol=1e-3)
    np.testing.assert_allclose(of_layer.permeance, of_factor.permeance)
    assert float(still_air_permeability(23.0)) == pytest.approx(195.3e-12, rel=1e-3)


@pytest.mark.parametrize(
    ("cups", "told"),
    [
        ('value = "mu 0.5"\nthickness = "1 mm"', "must not be below 1"),
        ('value = "sd 5 perm"', "is the unit of a vapor permeance, not of a length"),
        ('value = "sd 0 m"', "must be above 0"),
        ('value = "mu 5"', "needs its thickness"),
        ('value = "1 perm"\ndry_cup_spread = "1 perm"', "is not a range"),
        ('value = "1 perm"\ndry_cup_spread = "2 perm to 1 perm"', "upper end below its lower"),
        ('value = "1 perm"\ndry_cup_spread = "1 perm to 2 perm in"', "one end in the unit of"),
        ('value = "1 perm"\ndry_cup_spread = "1 degC to 2 degC"', "is the unit of a temperature"),
        ('value = "1 perm"\ndry_cup_spread = "2 perm to 3 perm"', "lies outside"),
        ('value = "1 perm"\nvalid = ["5 perm to 6 perm"]', "is the unit of a vapor permeance"),
    ],
)
def test_wrong_texts_are_told(tmp_path: Path, cups: str, told: str) -> None:
    """Each wrong range, factor or spread is refused with what is wrong."""
    if "valid" in cups:
        head, _, rest = FILM.partition('valid = ["25 %RH to 75 %RH", "5 degC to 40 degC"]\n')
        text = head + 'valid = ["5 perm to 6 perm"]\n' + rest
        with pytest.raises(MaterialError, match=told):
            read_material_file(written(tmp_path / "own.toml", text))
        return
    with pytest.raises(MaterialError, match=told):
        film_of(tmp_path, cups)


def test_spreads_are_kept_in_si() -> None:
    """How far sources lie apart is kept as data: of OSB's dry cup, 0.5 to 1.5 perm of 7/16 in."""
    spreads = {one.field: one for one in find_record("OSB").spreads}
    assert set(spreads) == {
        "density",
        "conductivity",
        "vapor.dry_cup",
        "vapor.wet_cup",
        "storage.at_80",
        "liquid.absorption",
    }
    dry = spreads["vapor.dry_cup"]
    thickness = 7 / 16 * 0.0254
    np.testing.assert_allclose(
        [dry.low, dry.given, dry.high], np.array([0.5, 0.75, 1.5]) * PERM * thickness
    )
    np.testing.assert_allclose(dry.factors, [2 / 3, 2.0])
    assert (dry.text, dry.source.quality) == ("0.5 perm to 1.5 perm", "memory")
    at_80 = spreads["storage.at_80"]
    np.testing.assert_allclose([at_80.low, at_80.given, at_80.high], [65.0, 78.0, 97.5])
    assert spreads["conductivity"].holds_given


def test_most_of_the_library_has_spreads() -> None:
    """At least 85 of the files say how far sources lie apart about something."""
    from moistwall.library import material_names

    spread = [name for name in material_names() if find_record(name).spreads]
    assert len(spread) >= 85


@pytest.mark.parametrize(
    ("perms", "name"),
    [
        (0.06, "I"),
        (0.1, "I"),
        (0.11, "II"),
        (1.0, "II"),
        (1.01, "III"),
        (10.0, "III"),
        (10.1, "open"),
    ],
)
def test_retarder_classes(perms: float, name: str) -> None:
    """Class I up to 0.1 perm, II up to 1, III up to 10, dry cup (2021 IRC R702.7, published)."""
    assert vapor_class(perms * PERM) == name


def test_permeance_of_layers_films_and_boards() -> None:
    """A layer's permeance falls with thickness; a board's has its facers in series whatever it is."""
    foam, core = find_entry("foil-faced polyiso"), find_entry("polyiso core under foil")
    foil = find_entry("foil facer")
    assert isinstance(core, Material)
    one, two = (permeance_of(core, inches * 0.0254) for inches in (1.0, 2.0))
    assert one / two == pytest.approx(2.0)
    assert one == pytest.approx(1.6 * PERM, rel=1e-6)
    series = 1.0 / (2.0 / permeance_of(foil, 1.0) + 1.0 / two)
    assert permeance_of(foam, 0.0508) == pytest.approx(series)
    assert permeance_of(foil, 0.01) == permeance_of(foil, 1.0)


def test_files_are_checked_together(tmp_path: Path) -> None:
    """A name given twice and parts of a board that are not there are faults of the folder."""
    written(tmp_path / "membrane" / "a.toml", FILM)
    written(tmp_path / "membrane" / "b.toml", FILM.replace("my membrane", "My-Membrane"))
    text = BOARD.replace('"polyiso core under foil"', '"polyiso cor under foil"')
    written(tmp_path / "foam" / "c.toml", text.replace('"glass facer"', '"OSB"'))
    found = check_material_files([tmp_path])
    told = [(Path(fault.file).name, fault.field, fault.problem) for fault in found.faults]
    assert told == [
        ("c.toml", "core", "no material has this name"),
        ("c.toml", "inside", "is a material, not a film"),
        ("b.toml", "name", f"this name is taken by {tmp_path / 'membrane' / 'a.toml'}"),
    ]
    assert "did you mean 'polyiso core under foil'" in found.faults[0].remedy


def test_board_may_name_parts_beside_it(tmp_path: Path) -> None:
    """What a board names may stand in the library or in the files that are checked with it."""
    text = BOARD.replace('"glass facer"', '"my membrane"')
    board = written(tmp_path / "foam" / "c.toml", text)
    film = written(tmp_path / "membrane" / "a.toml", FILM)
    assert [fault.field for fault in check_material_files([board]).faults] == ["inside"]
    assert check_material_files([board, film]).faults == ()


def test_copy_of_a_shipped_file_is_unusual_only(tmp_path: Path) -> None:
    """A name of the library is a warning: the file may be a copy that is being edited."""
    path = written(tmp_path / "a.toml", FILM.replace('"my membrane"', '"Housewrap"'))
    found = check_material_files([path])
    assert found.faults == ()
    (warning,) = found.warnings
    assert "taken by" in warning.problem
    assert "housewrap.toml" in warning.problem


def test_broken_files_do_not_hide_others(tmp_path: Path) -> None:
    """A file that is no TOML is one fault; those beside it are still checked."""
    written(tmp_path / "a.toml", "name = ")
    written(tmp_path / "b.toml", 'type = "what"\nname = "b"\n')
    written(tmp_path / "c.toml", FILM.replace('"5 perm"', '"5"'))
    written(tmp_path / "d.toml", MATERIAL)
    faults = check_material_files([tmp_path]).faults
    assert [Path(fault.file).name for fault in faults] == ["a.toml", "b.toml", "c.toml"]


def test_places_that_are_not_there_come_together(tmp_path: Path) -> None:
    """A missing path and a folder without material files are told together."""
    with pytest.raises(MaterialError) as caught:
        check_material_files([tmp_path / "none", tmp_path])
    problems = [fault.problem for fault in caught.value.faults]
    assert problems == ["there is no such file or folder", "holds no file that ends in .toml"]


@pytest.mark.parametrize("sort", ["material", "film", "board"])
def test_templates_are_sound(tmp_path: Path, sort: str) -> None:
    """A file printed to be filled passes all rules as it is."""
    path = written(tmp_path / "own.toml", material_template(sort))  # type: ignore[arg-type]
    found = check_material_files([path])
    assert (found.faults, found.warnings) == ((), ())
    assert read_material_record(path).entry.type == sort


def test_formulas_may_be_named_after_their_authors(tmp_path: Path) -> None:
    """'van Genuchten' is the form over suction, 'Hansen' that over humidity, as EN 15026 and HAMSTAD use.

    Contents 42.943 and 84.769 kg/m3 are computed.
    """
    start, end = MATERIAL.index('form = "points"'), MATERIAL.index('source = "invented"\nquality = "estimate"\nvalid = ["50 %RH')  # noqa: E501  # fmt: skip
    for form, rh, content in (
        ('form = "van Genuchten"\nscale = "12.5 MPa"\nn = 1.6\nm = 0.375\nfree = "146 kg/m3"', 0.5, 42.943),
        ('form = "Hansen"\na = 0.118\nn = 0.869\nfree = "116 kg/m3"', 0.95, 84.7687),
    ):  # fmt: skip
        text = MATERIAL[:start] + form + '\nholds = "150 kg/m3"\n' + MATERIAL[end:]
        found = read_material_file(written(tmp_path / "own.toml", text))
        assert isinstance(found, Material)
        assert found.storage.content(np.log(np.array([rh])))[0] == pytest.approx(content, rel=1e-4)


def test_absorption_may_stand_beside_a_diffusivity(tmp_path: Path) -> None:
    """Given both, the diffusivity is used and the absorption coefficient must agree with it."""
    old = 'absorption = "0.01 kg/(m2 s^0.5)"'
    text = MATERIAL.replace(old, f'{old}\ndiffusivity = "1e-9 m2/s"')
    found = read_material_file(written(tmp_path / "own.toml", text))
    assert isinstance(found, Material)
    assert found.diffusivity is not None
    np.testing.assert_allclose(found.diffusivity(np.array([0.0, 300.0])), 1e-9)
    with pytest.raises(MaterialError, match="differs by more than a factor of 2"):
        read_material_file(written(tmp_path / "own.toml", text.replace("1e-9", "1e-7")))
