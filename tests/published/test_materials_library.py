"""The library against what handbooks, codes and data files say: within the source's own spread.

Where a source was not at hand its values are from memory and tested as ranges only; the tables say which.
R is in h ft2 degF/Btu per inch, permeance in perm, water in percent of dry mass or kg/m3.
"""

from __future__ import annotations

import numpy as np
import pytest

from moistwall.library import find_entry, find_film, find_material, find_record, material_names
from moistwall.material import Material
from moistwall.material_checks import PANEL_OFFSET, WOOD_TOLERANCE
from moistwall.material_curves import wood_moisture_content
from moistwall.material_file import MaterialFile
from moistwall.show.material_facts import material_facts
from moistwall.units import PERM

INCH_R = 0.14423
"""W/(m K) of R-1 per inch."""

SEEN = [
    # ASHRAE Fundamentals 2017 (SI) ch. 26, conductivities in W/(m K); read in an excerpt
    ("polyiso core under foil", 0.022, 0.023),
    ("polyiso core under glass", 0.023, 0.025),
    ("EPS", 0.033, 0.037),
    ("XPS", 0.0285, 0.0295),
    ("mineral wool board", 0.033, 0.036),
    ("glass-fiber batt", 0.040, 0.043),
    # data file of IEA Annex 24; EN ISO 10456 table; read
    ("concrete", 1.16, 2.0),
    ("vinyl siding", 0.17, 0.17),
    ("steel sheet", 50.0, 50.0),
]

# R per inch as handbooks and the trade give it, from memory: ranges
REMEMBERED = [
    ("closed-cell spray foam", 5.6, 6.6),
    ("open-cell spray foam", 3.4, 4.1),
    ("cellulose", 3.2, 3.9),
    ("blown glass fiber", 2.2, 2.9),
    ("sheep wool", 3.3, 4.1),
    ("cork board", 3.2, 4.1),
    ("wood-fiber board", 2.7, 3.8),
    ("hemp-lime", 1.2, 2.4),
    ("graphite EPS", 4.4, 5.0),
    ("gypsum board", 0.85, 0.95),
    ("OSB", 1.1, 1.6),
    ("plywood", 1.1, 1.5),
    ("fiberboard sheathing", 2.2, 2.8),
    ("aerated concrete", 0.9, 1.45),
    ("southern pine", 1.0, 1.4),
    ("Douglas fir", 1.0, 1.5),
    ("oak flooring", 0.8, 1.1),
]


@pytest.mark.parametrize(("name", "low", "high"), SEEN)
def test_conductivities_that_were_read(name: str, low: float, high: float) -> None:
    """Conductivity lies within what the handbook or data file gives for such a material (read)."""
    assert low <= find_material(name).conductivity[0] <= high


@pytest.mark.parametrize(("name", "low", "high"), REMEMBERED)
def test_r_per_inch(name: str, low: float, high: float) -> None:
    """R per inch lies in the range of handbooks and the trade (from memory)."""
    assert low <= INCH_R / find_material(name).conductivity[0] <= high


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("flat latex paint", 26.0, 28.0),  # 27 perm by a maker; read
        ("latex paint", 4.9, 5.1),  # 4.98 and about 5; read
        ("vapor-retarder primer", 0.4, 0.9),  # read
        ("polyethylene", 0.05, 0.06),  # read
        ("PVA primer", 8.0, 9.0),  # from memory, as all below
        ("polyamide membrane", 0.4, 1.0),
        ("kraft facing", 0.3, 1.0),
        ("asphalt felt", 0.5, 6.0),
        ("housewrap", 7.0, 59.0),
        ("perforated housewrap", 7.0, 59.0),
        ("fluid-applied membrane", 5.0, 28.0),
        ("open self-adhered membrane", 15.0, 30.0),
        ("self-adhered membrane", 0.0, 0.1),
        ("tight fluid-applied membrane", 0.0, 0.1),
        ("crawl-space liner", 0.0, 0.06),
        ("vinyl wallcovering", 0.05, 0.5),
        ("elastomeric paint", 1.0, 12.0),
        ("oil paint", 0.3, 1.6),
        ("perforated radiant barrier", 5.0, 50.0),
    ],
)
def test_dry_cups_of_films(name: str, low: float, high: float) -> None:
    """Dry-cup permeance of films lies in the quoted range; which were read stands beside each."""
    film = find_film(name)
    assert low <= np.interp(0.25, film.rh, film.permeance) / PERM <= high


@pytest.mark.parametrize(
    ("name", "retarder"),
    [
        # classes that 2021 IRC R702.7(1) names (read): polyethylene and foil I, kraft and
        # vapor-retarder paint II, latex and enamel paint III
        ("polyethylene", "I"),
        ("foil facer", "I"),
        ("radiant-barrier foil", "I"),
        ("kraft facing", "II"),
        ("vapor-retarder primer", "II"),
        ("latex paint", "III"),
        # computed from the library's own numbers at usual thickness
        ("foil-faced polyiso", "I"),
        ("OSB", "II"),
        ("plywood", "II"),
        ("XPS", "III"),
        ("gypsum board", "open"),
        ("closed-cell spray foam", "II"),
        ("mineral wool batt", "open"),
    ],
)
def test_retarder_class_of_what_the_code_names(name: str, retarder: str) -> None:
    """Materials fall in the class that the code names them for; boards and foams by their numbers."""
    assert material_facts(name).vapor_class == retarder


def test_variable_membrane_opens() -> None:
    """Below 1 perm when dry and above 20 when damp (product notes; read), read on the mean humidity."""
    film = find_film("polyamide membrane")
    dry, damp = np.interp([0.2, 0.95], film.rh, film.permeance / PERM)
    assert dry < 1.0
    assert damp >= 19.999
    assert np.all(np.diff(film.permeance) > 0.0)


def test_concrete_is_that_of_the_data_file() -> None:
    """Density, sorption at 89.6 and 97.8 %, permeability and saturation as IEA Annex 24 has them (read).

    76.4 kg/m3 at 90 % interpolates 0.0345 kg/kg at 89.6 %, that is 75.9; 0.0425 at 97.8 % is 93.5.
    """
    concrete = find_material("concrete")
    assert concrete.density == 2200.0
    content = concrete.storage.content(np.log(np.array([0.896, 0.978])))
    np.testing.assert_allclose(content, [0.0345 * 2200, 0.0425 * 2200], rtol=0.015)
    at = np.array([0.25, 0.5, 0.75, 0.95])
    found = np.interp(at, concrete.vapor_rh, concrete.vapor_permeability)
    np.testing.assert_allclose(found, [1.26e-12, 1.4e-12, 2.5e-12, 6.3e-12], rtol=1e-9)
    assert (concrete.storage.free, concrete.storage.holds) == pytest.approx((110.0, 155.0))


WOODS = [
    name
    for name in material_names()
    if isinstance(entry := find_entry(name), Material) and entry.wood
]


@pytest.mark.parametrize("name", WOODS)
def test_wood_lies_by_the_wood_handbook(name: str) -> None:
    """Sorption within 3 %MC of the Wood Handbook's 70 degF curve; panels of 2 %MC less (from memory)."""
    wood, told = find_material(name), find_record(name).entry
    assert isinstance(told, MaterialFile)
    rh = np.arange(20, 96, 5) / 100.0
    offset = PANEL_OFFSET if told.panel else 0.0
    found = wood.storage.content(np.log(rh)) / wood.density
    np.testing.assert_allclose(
        found, wood_moisture_content(rh, 21.1) - offset, rtol=0.0, atol=WOOD_TOLERANCE
    )


def test_there_are_woods_and_panels() -> None:
    """At least eight solid woods and six panels are judged by that curve."""
    told = [find_record(name).entry for name in WOODS]
    panels = [one for one in told if isinstance(one, MaterialFile) and one.panel]
    assert len(panels) >= 6
    assert len(told) - len(panels) >= 8


@pytest.mark.parametrize(
    ("name", "mold_class"),
    [
        # Ojanen et al. 2010 (classes of examples; read in a public listing)
        ("spruce", "sensitive"),
        ("gypsum board", "sensitive"),
        ("OSB", "sensitive"),
        ("concrete", "medium resistant"),
        ("mineral wool batt", "medium resistant"),
        ("glass-fiber batt", "medium resistant"),
        ("steel sheet", "resistant"),
        ("mirror", "resistant"),
    ],
)
def test_mold_classes(name: str, mold_class: str) -> None:
    """Materials that the published classes name stand in that class, with the source said."""
    found = find_entry(name)
    assert found.mold_class == mold_class  # type: ignore[union-attr]
    assert "Ojanen et al. 2010" in found.sources["mold"].text  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("name", "absorptance", "emittance"),
    [
        # absorptance of roofs by FSEC: white smooth metal 0.5, dark shingles up to 0.95 (read);
        # weathered bare metal and fresh white paint from memory
        ("white metal roofing", (0.25, 0.5), (0.80, 0.90)),
        ("bare metal roofing", (0.35, 0.45), (0.10, 0.30)),
        ("asphalt shingles", (0.70, 0.95), (0.85, 0.95)),
        ("radiant-barrier foil", (0.05, 0.25), (0.03, 0.10)),
        ("foil facer", (0.05, 0.25), (0.03, 0.10)),
    ],
)
def test_roof_and_foil_surfaces(
    name: str, absorptance: tuple[float, float], emittance: tuple[float, float]
) -> None:
    """Absorptance and emittance of roofs and foils lie in the quoted ranges."""
    found = find_entry(name)
    assert absorptance[0] <= found.absorptance <= absorptance[1]  # type: ignore[union-attr, operator]
    assert emittance[0] <= found.emittance <= emittance[1]  # type: ignore[union-attr, operator]


def test_magnesium_oxide_board_takes_up_water_when_damp() -> None:
    """It holds at least twice as much at 90 % as at 80 % and says that it is deliquescent (from memory)."""
    board = find_material("magnesium-oxide board")
    low, high = board.storage.content(np.log(np.array([0.8, 0.9])))
    assert high >= 2.0 * low
    assert "Deliquescent" in (find_record("magnesium-oxide board").entry.caution or "")


def test_the_trade_finds_what_it_asks_for() -> None:
    """What hot-humid walls, roofs, floors and crawl spaces are built of is found by common names."""
    for name in (
        "concrete block", "AAC", "lime plaster", "cement plaster", "earth block", "bamboo board",
        "MgO board", "engineered wood siding", "cork", "wood-fiber board", "hempcrete", "sheep wool",
        "vinyl plank", "ceramic tile", "mirror", "cement board", "T&G pine", "cedar", "clay tile",
        "concrete tile", "metal roofing", "white metal roofing", "bare metal roofing",
        "radiant barrier", "peel-and-stick", "vapor-open peel-and-stick", "crawl-space liner",
        "smart membrane", "drywall primer", "elastomeric paint", "carpet", "sandy soil", "clay soil",
        "dense-pack cellulose", "open-cell SPF", "closed-cell SPF", "glass-mat gypsum", "CMU",
        "kraft facing", "vinyl siding", "mineral wool board", "plywood siding", "fluid-applied WRB",
    ):  # fmt: skip
        find_entry(name)
    assert len(material_names()) >= 60
