"""Every field of an assembly file, given what is wrong in every way: refused, by file, field, value and remedy."""

from __future__ import annotations

from typing import Any

import pytest
from every_field import (
    leaves,
    perhaps_wrong,
    put,
    shown,
    tables,
    wrong_kinds,
    wrong_quantities,
    wrong_texts,
)
from pydantic import BaseModel

from moistwall.assembly import assembly_from_data, resolve
from moistwall.assembly.schema import AssemblyFile, FilmEntry, GapEntry, LayerEntry
from moistwall.errors import Fault, InputError
from moistwall.library import read_year
from moistwall.solver.grid import build_grid
from moistwall.solver.zones import march_of

FILE = "wall.toml"
DAY = "0 0 0 0 0 0 0 50 100 100 100 100 50 100 100 50 0 0 0 0 0 0 0 0 %"

BOARD = {"id": "board", "material": "OSB", "thickness": "1/2 in", "start": "80 %"}
FINISH = {"film": "latex paint", "id": "finish"}
DRIER = {"setpoint": "50 %", "capacity": "70 pints/day", "power": "500 W"}
COLD = [{"name": "duct", "temperature": "55 degF"}, {"name": "pipe"}]

WALL: dict[str, Any] = {
    "name": "a wall",
    "kind": "wall",
    "facing": "south",
    "slope": "90 deg",
    "surfaces_hold": "100 g/m2",
    "water_control": {"layer": "sheathing", "seams": "taped"},
    "outside": {"color": "dark", "emittance": "90 %"},
    "room": {"form": "constant", "temperature": "75 degF", "humidity": "50 %"},
    "uncertain": {"room.humidity": "45 % .. 50 % .. 65 %"},
    "building": {
        "height": "14 ft",
        "volume": "10800 ft3",
        "envelope_area": "3600 ft2",
        "exposure": "severe",
    },
    "rain": {
        "position": "below steep roof",
        "leak_share": "1 %",
        "behind": [{"share": "1 %", "between": ["sheathing", "wool"], "name": "flange"}],
    },
    "leakage": {
        "test": [{"label": "before", "ach50": "7 1/h"}, {"label": "after", "cfm50": "700 cfm"}],
        "exponent": "0.65",
        "exhaust": "80 cfm",
        "supply": "40 cfm",
        "leaks_at": "4 ft",
        "meets": ["sheathing", "wool"],
        "contact": "50 %",
    },
    "start": {"preset": "flooded"},
    "event": [
        {
            "kind": "storm leak",
            "date": "Sep 10",
            "amount": "2 kg/m2",
            "between": ["sheathing", "wool"],
            "lasts": "6 h",
            "name": "storm",
        },
        {"kind": "cooling off", "date": "Sep 11", "lasts": "4 days", "name": "no power"},
    ],
    "studs": {
        "material": "spruce",
        "layer": "wool",
        "width": "1 1/2 in",
        "spacing": "16 in",
        "start": "15 %MC",
    },
    "layer": [
        {"material": "fiber cement", "thickness": "5/16 in"},
        {
            "gap": "ventilated",
            "depth": "3/4 in",
            "id": "gap",
            "inlet": "1/2 in",
            "outlet": "1/2 in",
            "screen_free_area": "50 %",
            "length": "8 ft",
            "rise": "7 ft",
            "furring": "vertical",
        },
        {"id": "sheathing", "material": "OSB", "thickness": "1/2 in", "start_humidity": "80 %"},
        {"id": "wool", "material": "mineral wool", "thickness": "5 1/2 in"},
        {"id": "inside", "material": "gypsum board", "thickness": "1/2 in", "start": "80 %"},
        FINISH,
    ],
}
"""Every table of a wall."""

ROOM: dict[str, Any] = {
    "kind": "wall",
    "building": {"height": "14 ft"},
    "outside": {"absorptance": "70 %"},
    "studs": {"share": "25 %", "layer": "wool"},
    "room": {
        "form": "balanced",
        "section_area": "2500 ft2",
        "volume": "10800 ft3",
        "air_changes": "0.3 1/h",
        "moisture": "5 pints/day",
        "other_conductance": "60 W/K",
        "cooling": {
            "setpoint": "75 degF",
            "capacity": "2 ton",
            "oversized": "20 %",
            "sensible_share": "75 %",
            "air_flow": "800 cfm",
            "fan": "auto",
            "fan_power": "300 W",
            "lowest_speed": "50 %",
            "wet_time": "17 min",
            "drying_time": "12 min",
        },
        "heating": {"setpoint": "68 degF", "capacity": "5 kW"},
        "dehumidifier": DRIER,
        "ventilation": {
            "flow": "120 cfm",
            "schedule": DAY,
            "sensible_recovery": "60 %",
            "latent_recovery": "50 %",
        },
        "people": {"count": "12", "schedule": DAY, "heat": "75 W", "moisture": "1 kg/day"},
        "equipment": {"power": "400 W", "schedule": DAY},
        "window": [{"area": "40 ft2", "facing": "north", "sun_share": "40 %"}],
        "cold_object": COLD,
    },
    "layer": [
        BOARD,
        {"gap": "drained", "depth": "20 mm", "air_changes": "20 1/h"},
        {"id": "wool", "material": "mineral wool", "thickness": "5 1/2 in"},
    ],
}
"""Every table of a balanced room."""

ATTIC: dict[str, Any] = {
    "kind": "roof",
    "slope": "5/12",
    "attic": {
        "ceiling_area": "900 ft2",
        "volume": "2250 ft3",
        "roof_area": "1000 ft2",
        "ceiling_resistance": "R-2",
        "ceiling_leakage": "40 cfm",
        "outdoor_leakage": "0.2 1/h",
        "supply": "by rule",
        "supply_temperature": "55 degF",
        "supply_humidity": "90 %",
        "duct_conductance": "15 W/K",
        "duct_leakage": "20 cfm",
        "diffusion_vent": "1/600",
        "diffusion_vent_permeance": "20 perm",
        "ridge": {"roof_share": "10 %", "exchange": "100 cfm", "rising": "60 %"},
        "dehumidifier": DRIER,
        "cold_object": COLD,
    },
    "layer": [BOARD],
}
"""Every key of a sealed attic."""

CRAWL: dict[str, Any] = {
    "kind": "floor",
    "crawl_space": {
        "floor_area": "600 ft2",
        "height": "3 ft",
        "air_changes": "5 1/h",
        "wall_conductance": "40 W/K",
        "ground_cover": "0.1 perm",
        "ground_depth": "2 ft",
        "ground_resistance": "R-2",
        "floor_leakage": "20 cfm",
        "supply": "40 cfm",
        "supply_temperature": "55 degF",
        "supply_humidity": "90 %",
        "duct_conductance": "15 W/K",
        "dehumidifier": DRIER,
        "cold_object": COLD,
    },
    "layer": [BOARD],
}
"""Every key of a crawl space."""

SEASONAL: dict[str, Any] = {
    "kind": "roof",
    "slope": "4/12",
    "leakage": {"cfm50": "1200 cfm"},
    "building": {"volume": "10800 ft3", "envelope_area": "3600 ft2"},
    "room": {
        "form": "seasonal",
        "winter_temperature": "68 degF",
        "summer_temperature": "76 degF",
        "winter_humidity": "40 %",
        "summer_humidity": "55 %",
        "warmest": "Jul 15",
    },
    "layer": [
        BOARD,
        {"gap": "ventilated", "depth": "1 ft", "net_free_area": "1/150", "rise": "4 ft"},
        {"material": "gypsum board", "thickness": "1/2 in"},
    ],
}
BEDROOMS: dict[str, Any] = {
    "leakage": {"ach50": "7 1/h"},
    "building": {"volume": "10800 ft3", "envelope_area": "3600 ft2"},
    "room": {
        "form": "ashrae 160 intermediate",
        "bedrooms": "2",
        "temperature": "75 degF",
        "air_changes": "0.3 1/h",
    },
    "layer": [BOARD],
}
FILES: dict[str, Any] = {
    "materials": ["own.toml"],
    "room": {"form": "hourly file", "file": "room.csv"},
    "layer": [BOARD, {"gap": "drained", "depth": "1 in", "air_changes_file": "air.csv"}, BOARD],
}
"""Paths; there are no such files."""

DOCUMENTS = {
    "wall": WALL,
    "room": ROOM,
    "attic": ATTIC,
    "crawl": CRAWL,
    "seasonal": SEASONAL,
    "bedrooms": BEDROOMS,
    "files": FILES,
}

FIELDS = [
    pytest.param(name, path, id=f"{name}-{shown(path)}")
    for name, document in DOCUMENTS.items()
    for path, _ in leaves(document)
]

NOT_QUANTITIES = {
    "name", "id", "label", "material", "film", "layer", "between", "meets", "materials", "file",
    "air_changes_file", "kind", "gap", "form", "color", "seams", "exposure", "position", "preset",
    "fan", "furring", "room.humidity",
}  # fmt: skip
"""Keys that hold names and words; and of ``[uncertain]``, whose units are checked when it is drawn from."""


def key_of(path: tuple[str | int, ...]) -> str:
    """The last key of a path."""
    return next(str(part) for part in reversed(path) if isinstance(part, str))


def value_at(document: dict[str, Any], path: tuple[str | int, ...]) -> Any:
    """What stands at a path."""
    here: Any = document
    for part in path:
        here = here[part]
    return here


def faults_of(document: dict[str, Any], *, whole: bool = False) -> tuple[Fault, ...]:
    """The mistakes of a document, from its reading; as a whole from there to the first hour of a run."""
    try:
        assembly = assembly_from_data(document, file=FILE)
        if whole:
            march_of(build_grid(resolve(assembly)), read_year("miami"))
    except InputError as error:
        return error.faults
    return ()


def hold_shape(faults: tuple[Fault, ...], field: str, given: object) -> None:
    """One line each, with file, field, value where there is one, and remedy; one about the field itself."""
    top = field.split(".")[0].split("[")[0]
    for fault in faults:
        told = (field, given, str(fault))
        assert fault.file.startswith(FILE) or fault.file.startswith("room.csv"), told
        assert fault.field, told
        assert fault.problem, told
        assert fault.remedy or "must be one of" in fault.problem, told
        assert str(fault).isprintable(), told
        assert len(str(fault)) < 700, told
        missing = "missing" in fault.problem or "has no" in fault.problem
        assert fault.value or missing or given in ("", [], {}), told
    related = [
        fault
        for fault in faults
        if fault.field.startswith(field) or field.startswith(fault.field) or fault.field == top
    ]
    assert related, (field, given, [str(one) for one in faults])


@pytest.mark.parametrize("name", [name for name in DOCUMENTS if name != "files"])
def test_what_is_made_wrong_is_right(name: str) -> None:
    """The documents are accepted as they stand."""
    assert [str(one) for one in faults_of(DOCUMENTS[name], whole=True)] == []


def test_every_key_of_the_schema_is_tried() -> None:
    """A key that is added to the schema has to be added here."""
    known = {key_of(path) for name in DOCUMENTS for path, _ in leaves(DOCUMENTS[name])}
    known |= {key_of(path) for name in DOCUMENTS for path in tables(DOCUMENTS[name])}
    models: list[type[BaseModel]] = [AssemblyFile, LayerEntry, FilmEntry, GapEntry]
    seen: set[type[BaseModel]] = set()
    wanted: set[str] = set()
    while models:
        model = models.pop()
        if model in seen:
            continue
        seen.add(model)
        wanted |= model.model_fields.keys()
        for field in model.model_fields.values():
            models += _models_in(field.annotation)
    assert len(seen) > 25
    assert wanted - known == set()


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for one in getattr(annotation, "__args__", ()) for model in _models_in(one)]


@pytest.mark.parametrize(("name", "path"), FIELDS)
def test_values_of_another_kind(name: str, path: tuple[str | int, ...]) -> None:
    """Numbers, flags, lists, tables and dates where a text belongs, and texts where a list does."""
    document = DOCUMENTS[name]
    for wrong in wrong_kinds(value_at(document, path)):
        faults = faults_of(put(document, path, wrong))
        assert faults, (shown(path), wrong, "is accepted")
        hold_shape(faults, shown(path), wrong)


@pytest.mark.parametrize(("name", "path"), FIELDS)
def test_texts_that_mean_nothing(name: str, path: tuple[str | int, ...]) -> None:
    """Nothing, blanks, control codes, line ends, endless texts; numbers that are none; units of other kinds."""
    document = DOCUMENTS[name]
    value = value_at(document, path)
    if isinstance(value, list):
        cases = [[*value[:-1], text] for text in wrong_texts(value[-1])]
    else:
        cases = list(wrong_texts(value))
        if key_of(path) not in NOT_QUANTITIES and not value.replace("-", "").isalpha():
            cases += wrong_quantities(value if " " in value else f"{value} x")
    for wrong in cases:
        faults = faults_of(put(document, path, wrong))
        assert faults, (shown(path), wrong, "is accepted")
        hold_shape(faults, shown(path), wrong)


@pytest.mark.parametrize(("name", "path"), FIELDS)
def test_numbers_at_the_edge(name: str, path: tuple[str | int, ...]) -> None:
    """Nothing, less than nothing, next to nothing, very much: run, or refused as everything else."""
    document = DOCUMENTS[name]
    value = value_at(document, path)
    if isinstance(value, list) or key_of(path) in NOT_QUANTITIES or " " not in value:
        return
    for doubtful in perhaps_wrong(value):
        faults = faults_of(put(document, path, doubtful), whole=True)
        if faults:
            hold_shape(faults, shown(path), doubtful)


@pytest.mark.parametrize(
    ("name", "path"),
    [
        pytest.param(name, path, id=f"{name}-{shown(path)}")
        for name, document in DOCUMENTS.items()
        for path in tables(document)
    ],
)
def test_tables_that_are_none(name: str, path: tuple[str | int, ...]) -> None:
    """A text, a number, a flag or a list where a table belongs; and a key that no table has."""
    document = DOCUMENTS[name]
    wrongs: list[Any] = ["text", 5, True, [5], [[]], "x" * 5000]
    inside = value_at(document, path)
    if isinstance(inside, dict) and path[-1] != "uncertain":
        wrongs += [inside | {"no_such_key": "1 in"}, inside | {"": 1}, inside | {"x" * 3000: 1}]
    for wrong in wrongs:
        faults = faults_of(put(document, path, wrong))
        assert faults, (shown(path), str(wrong)[:80], "is accepted")
        hold_shape(faults, shown(path), wrong)
