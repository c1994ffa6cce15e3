"""The rules that every material passes: each is kept by a sound one and broken by a wrong one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from moistwall.air import still_air_permeability
from moistwall.errors import MaterialError
from moistwall.library import data_folder
from moistwall.material import Source, Storage
from moistwall.material_checks import (
    ABSORPTION_FACTOR,
    PLAUSIBLE,
    POSSIBLE,
    RULES,
    Finding,
    Subject,
    check,
)
from moistwall.material_curves import (
    diffusivity_from_absorption,
    storage_from_table,
    storage_of_pore_air,
    storage_of_wood,
)
from moistwall.material_file import check_material_file, read_material_file, read_material_record
from moistwall.material_folder import check_material_files
from moistwall.material_spread import Spread
from moistwall.show.material_template import material_template

SHIPPED = sorted(data_folder("materials").rglob("*.toml"))
RH = np.array([0.5, 0.65, 0.8, 0.9, 0.95])


def storage(*content: float, free: float = 300.0, holds: float = 350.0) -> Storage:
    """Give storage through contents at `RH`."""
    return storage_from_table(RH, np.array(content), free, holds)


SOUND = Subject(
    name="sound",
    kind="sheathing",
    density=800.0,
    heat_capacity=1000.0,
    conductivity=(np.array([0.0, 300.0]), np.array([0.16, 0.4])),
    vapor=(np.array([0.25, 0.75]), np.array([1e-11, 2e-11])),
    storage=storage(10, 14, 20, 32, 50),
    absorption=0.01,
    diffusivity=diffusivity_from_absorption(0.01, 300.0),
    mold_class="sensitive",
)


def found(**changed: object) -> list[Finding]:
    """Give what the rules find when something of the sound material is changed."""
    return check(replace(SOUND, **changed))  # type: ignore[arg-type]


def test_sound_material_passes() -> None:
    """A sound material passes every rule without a word."""
    assert check(SOUND) == []


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_files_pass_all_rules(path: Path) -> None:
    """Every file of the library has neither a fault nor anything unusual."""
    assert check_material_file(path) == ([], [])


def test_shipped_files_fit_together() -> None:
    """No two files of the library share a name, and what its boards name is there."""
    checked = check_material_files([data_folder("materials")])
    assert len(checked.files) == len(SHIPPED) >= 60
    assert (checked.faults, checked.warnings) == ((), ())


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_files_say_where_each_number_comes_from(path: Path) -> None:
    """Each group has a source that says something, a quality and a range in which it holds."""
    record = read_material_record(path)
    groups = [group for group in record.content.values() if isinstance(group, dict)]
    assert groups or record.entry.type == "board"
    for group in groups:
        assert len(group["source"]) >= 6
        assert group["quality"] in ("published", "handbook", "memory", "estimate")
        assert group["valid"]


@pytest.mark.parametrize(
    ("changed", "field", "problem", "refused"),
    [
        (
            {"storage": Storage(lambda ln: 300.0 + 50.0 * ln * np.exp(ln), 300.0, 350.0)},
            "storage",
            "must rise strictly",
            True,
        ),
        (
            {"storage": Storage(lambda ln: 200.0 + 100.0 * np.exp(ln), 300.0, 350.0)},
            "storage",
            "must begin at 0",
            True,
        ),
        (
            {"storage": Storage(lambda ln: 250.0 * np.exp(ln), 300.0, 350.0)},
            "storage.free",
            "does not meet the curve",
            True,
        ),
        (
            {"storage": storage(10, 14, 20, 32, 50, holds=720.0)},
            "storage.holds",
            "has pores for 714.3 kg/m3",
            True,
        ),
        (
            {"storage": storage(10, 14, 20, 32, 50, holds=290.0)},
            "storage.holds",
            "not be below free saturation",
            True,
        ),
        ({"porosity": 0.3}, "storage.holds", "leaves room for 300", True),
        (
            {"vapor": (np.array([0.25, 0.75]), np.array([2e-11, 1e-11]))},
            "vapor",
            "less vapor through when damp",
            True,
        ),
        ({"falls": "because"}, "vapor.falls", "the values do not", False),
        (
            {"vapor": (np.array([0.5]), np.array([2.1e-10]))},
            "vapor",
            "more vapor through than still air",
            True,
        ),
        ({"density": 2e4, "storage": None}, "density", "no building material", True),
        ({"density": 1900.0, "storage": None}, "density", "density of sheathing is mostly", False),
        (
            {"conductivity": (np.array([0.0]), np.array([0.001]))},
            "conductivity",
            "no building material",
            True,
        ),
        (
            {"conductivity": (np.array([0.0]), np.array([1.2]))},
            "conductivity",
            "of sheathing is mostly",
            False,
        ),
        (
            {"conductivity": (np.array([0.0, 10.0]), np.array([0.2, 0.1]))},
            "conductivity.points",
            "conducts less when damp",
            True,
        ),
        ({"heat_capacity": 30.0}, "heat_capacity", "no building material", True),
        ({"heat_capacity": 3000.0}, "heat_capacity", "of sheathing is mostly", False),
        (
            {"storage": storage_of_pore_air(0.5, 5.0), "sorbs": False},
            "liquid",
            "the storage is that of pore air",
            True,
        ),
        ({"absorption": 0.05}, "liquid.absorption", "differs by more than a factor of 2", True),
        (
            {"diffusivity": diffusivity_from_absorption(9.0, 300.0), "absorption": None},
            "liquid",
            "draws up water as no building material does",
            True,
        ),
        ({"wood": True}, "storage", "from the Wood Handbook's curve for solid wood", False),
        ({"wood": True, "panel": True}, "storage", "for panels, 2 %MC below", False),
        ({"without_range": ("vapor",)}, "vapor", "does not say where it holds", False),
        ({"sorption_points": 3}, "storage.points", "so few points", False),
        ({"fit_error": 0.2}, "storage.fit", "misses a point by more than 15 %", False),
        ({"mold_class": ""}, "mold", "cannot be judged", False),
    ],
)
def test_each_rule_finds_what_breaks_it(
    changed: dict[str, object], field: str, problem: str, refused: bool
) -> None:
    """One wrong number breaks its rule, at its field, refused where it cannot be right."""
    matching = [one for one in found(**changed) if problem in one.problem]
    assert [(one.field, one.refused) for one in matching] == [(field, refused)]


def test_falling_permeability_may_be_stated() -> None:
    """A wet cup below the dry cup passes where the file says why."""
    vapor = (np.array([0.25, 0.75]), np.array([2e-11, 1e-11]))
    assert found(vapor=vapor, falls="pores swell shut") == []


def test_film_may_be_as_open_as_thin_still_air() -> None:
    """A film is judged by its permeance: 5000 perm pass, 0.05 mm of still air does not."""
    film = Subject("film", "membrane", film=True, mold_class="resistant")
    rh = np.array([0.5])
    assert check(replace(film, vapor=(rh, np.array([5000 * 57.45e-12])))) == []
    open_film = np.array([float(still_air_permeability(23.0)) / 5e-5])
    (one,) = check(replace(film, vapor=(rh, open_film)))
    assert "0.1 mm of still air" in one.problem


def test_absorption_may_differ_by_the_stated_factor() -> None:
    """Absorption and diffusivity pass just inside of the factor and fail just outside, both ways."""
    for ratio in (ABSORPTION_FACTOR, 1.0 / ABSORPTION_FACTOR):
        inside, outside = (0.01 * 1.01 * ratio ** (1.0 + s) for s in (-0.03, 0.03))
        assert found(absorption=inside) == []
        assert [one.field for one in found(absorption=outside)] == ["liquid.absorption"]


@pytest.mark.parametrize(("away", "passes"), [(0.029, True), (0.031, False)])
def test_solid_wood_may_lie_three_points_from_the_handbook(away: float, passes: bool) -> None:
    """Solid wood 2.9 %MC above the Wood Handbook's curve passes, 3.1 %MC does not."""
    density = 450.0
    curve = storage_of_wood(density, 21.1, 650.0, 680.0)

    def content(ln_rh: np.ndarray) -> np.ndarray:
        # nothing is added in dry and in saturated air
        return curve.content(ln_rh) + away * density * np.clip(np.exp(ln_rh) / 0.2, 0.0, 1.0) * (
            np.clip((1.0 - np.exp(ln_rh)) / 0.02, 0.0, 1.0)
        )

    wood = Storage(content, 650.0, 680.0)
    problems = [
        one.problem
        for one in found(
            wood=True, density=density, storage=wood, absorption=None, diffusivity=None
        )
        if "Wood Handbook" in one.problem
    ]
    assert (problems == []) is passes


@pytest.mark.parametrize(("low", "high", "passes"), [(0.9, 1.2, True), (1.1, 1.2, False)])
def test_value_lies_within_its_spread(low: float, high: float, passes: bool) -> None:
    """A value outside of the range of its own sources is refused, with both in SI."""
    spread = Spread("vapor.dry_cup", low, 1.0, high, "1 perm to 2 perm", Source("x", "memory"))
    findings = found(spreads=(spread,))
    assert (findings == []) is passes
    if not passes:
        assert findings[0].field == "vapor.dry_cup_spread"
        assert "1 in SI, lies outside of it: 1.1 to 1.2" in findings[0].problem


def test_rules_are_asked_of_what_is_known() -> None:
    """Of a material of which nothing could be read, only what is missing is told."""
    assert [one.field for one in check(Subject("x", "wool"))] == ["mold"]


def test_every_rule_says_what_holds() -> None:
    """Each rule is a sentence, and needs only what a subject has."""
    for rule in RULES:
        assert rule.says.endswith(".")
        assert all(hasattr(SOUND, one) for one in rule.needs)


def test_ranges_of_kinds_lie_within_the_possible() -> None:
    """What is plausible for a kind is possible for a material, and every kind of the library has one."""
    for plausible in PLAUSIBLE.values():
        for name in ("density", "conductivity", "heat_capacity"):
            (low, high), (least, most) = getattr(plausible, name), getattr(POSSIBLE, name)
            assert least <= low < high <= most
    kinds = {path.parent.name for path in SHIPPED if 'type = "material"' in path.read_text("utf-8")}
    assert kinds == set(PLAUSIBLE)


WRONG = (
    ('spread = "36 lb/ft3 to 44 lb/ft3"', 'spread = "46 lb/ft3 to 54 lb/ft3"', "density.spread"),
    ('"0.3 Btu/(lb degF)"', '"30000 J/(kg K)"', "heat_capacity"),
    ('resistance = "R-0.5"', 'resistance = "R-0.0001"', "conductivity"),
    ('wet_cup = "12 perm"', 'wet_cup = "2 perm"', "vapor"),
    ('holds = "350 kg/m3"', 'holds = "900 kg/m3"', "storage.holds"),
    ('absorption = "0.01', 'absorption = "50', "liquid"),
    ('emittance = "90 %"', 'emittance = "0.9"', "surface.emittance"),
    ('sensitivity = "sensitive"', 'sensitivity = "so so"', "mold.sensitivity"),
)


def wrong_text() -> str:
    """Give the template with a mistake in every group."""
    text = material_template("material")
    for right, wrong, _ in WRONG:
        assert text.count(right) == 1, right
        text = text.replace(right, wrong)
    return text


def test_all_faults_of_a_file_come_at_once(tmp_path: Path) -> None:
    """Mistakes in eight groups, of form and of physics, are told together when the file is loaded."""
    path = tmp_path / "own.toml"
    path.write_text(wrong_text(), encoding="utf-8")
    with pytest.raises(MaterialError) as caught:
        read_material_file(path)
    assert {fault.field for fault in caught.value.faults} == {field for _, _, field in WRONG}
    assert all(fault.file == str(path) for fault in caught.value.faults)


def test_rules_are_asked_without_the_density(tmp_path: Path) -> None:
    """Without a density, sorption in a volume is judged all the same; that in dry mass waits for it."""
    text = material_template("material").replace('value = "40 lb/ft3"', 'value = "40"')
    text = text.replace('"24 kg/m3"', '"14 kg/m3"')
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    faults, _ = check_material_file(path)
    assert [fault.field for fault in faults] == ["density.value", "storage.points[3]"]
    path.write_text(text.replace('"12 kg/m3"', '"2 %MC"'), encoding="utf-8")
    faults, _ = check_material_file(path)
    assert [fault.field for fault in faults] == ["density.value"]


def test_what_is_unusual_is_no_fault(tmp_path: Path) -> None:
    """A file without ranges and with few points loads, and its record carries the warnings."""
    text = material_template("material").replace('  ["65 %", "16 kg/m3"],\n', "")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("valid"))
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    record = read_material_record(path)
    assert record.built is not None
    problems = [warning.problem for warning in record.warnings]
    assert len(problems) == 2
    assert "does not say where it holds" in problems[0]
    assert "so few points" in problems[1]
