"""Every field of a file of criteria or of stages, given what is wrong, names file, field, value and remedy."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from every_field import leaves, put, shown, wrong_kinds, wrong_quantities, wrong_texts
from pydantic import ValidationError

from moistwall.assembly.stages import StagesFile
from moistwall.criteria_file import criteria_from_data
from moistwall.errors import Fault, InputError
from moistwall.library import data_folder
from moistwall.schema import faults_from_validation

FILE = "own.toml"


def staged(data: dict[str, Any], file: str) -> None:
    """Read stages from data."""
    try:
        StagesFile.model_validate(data)
    except ValidationError as error:
        raise InputError(faults_from_validation(error, file, StagesFile)) from None


def shipped(folder: str, name: str) -> dict[str, Any]:
    """What a shipped file holds."""
    return tomllib.loads((data_folder(folder) / name).read_text(encoding="utf-8"))


CRITERIA = shipped("criteria", "screening.toml")
CRITERIA["criterion"][0]["kinds"] = ["lumber"]
KINDS: dict[str, tuple[dict[str, Any], Callable[[dict[str, Any], str], object]]] = {
    "criteria": (CRITERIA, criteria_from_data),
    "stages": (shipped("examples", str(Path("stages") / "flooded-classroom.toml")), staged),
}
QUANTITIES = {"limit", "marginal", "threshold", "lasts", "until", "temperature", "humidity"}
FREE = {"note", "source"}
"""Keys of texts that may say anything."""


@pytest.mark.parametrize(
    ("kind", "path"),
    [
        pytest.param(kind, path, id=f"{kind}-{shown(path)}")
        for kind, (document, _) in KINDS.items()
        for path, _ in leaves(document)
    ],
)
def test_a_wrong_value_is_refused(kind: str, path: tuple[str | int, ...]) -> None:
    """Other types, texts that mean nothing, numbers that are none, units of other kinds."""
    document, read = KINDS[kind]
    value: Any = document
    for part in path:
        value = value[part]
    key = str(path[-1])
    wrongs: list[Any] = [
        one
        for one in wrong_kinds(value)
        # a mold index is a number, all other limits are texts
        if not (key in ("limit", "marginal") and isinstance(one, int | float) and one == one)
    ]
    if isinstance(value, str) and key not in FREE:
        wrongs += wrong_texts(value)
        if key in QUANTITIES:
            wrongs += wrong_quantities(value)
    for wrong in wrongs:
        faults: tuple[Fault, ...] = ()
        try:
            read(put(document, path, wrong), FILE)
        except InputError as error:
            faults = error.faults
        told = (shown(path), wrong, [str(fault) for fault in faults])
        assert faults, told
        for fault in faults:
            assert fault.file == FILE, told
            assert fault.field, told
            assert fault.remedy or "must be one of" in fault.problem, told
            assert len(str(fault)) < 1000, told
        near = [
            one
            for one in faults
            if one.field.startswith(shown(path)) or shown(path).startswith(one.field)
        ]
        assert near, told
