"""Files of criteria: limits that a person or a jurisdiction can change without code.

Every number carries its unit; only the mold index has none. All mistakes of a file are reported together.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, ValidationError

from moistwall.assess.criteria import QUANTITIES, Criteria, Criterion
from moistwall.errors import CriteriaError, Fault, InputError
from moistwall.library import data_folder, material_kinds
from moistwall.material import Source
from moistwall.names import did_you_mean, plain_name
from moistwall.schema import StrictModel, Text, faults_from_validation, read_toml
from moistwall.units import quantity

HOUR = 3600.0


MOST_INDEX = 6.0
"""Highest mold index that there is. [-]"""


def _limit(given: object) -> str | float:
    """Return a text with its unit, or a finite number."""
    if isinstance(given, str):
        return given
    if isinstance(given, bool) or not isinstance(given, int | float) or not math.isfinite(given):
        problem, remedy = (
            "is no limit",
            'write a text with its unit, "30 days", or a mold index, 3.0',
        )
        raise InputError(Fault("", "", str(given)[:60], problem, remedy))
    return float(given)


Limit = Annotated[str | float, PlainValidator(_limit, json_schema_input_type=str | float)]


class CriterionTable(StrictModel):
    """A table [[criterion]]."""

    name: Text
    quantity: Text
    limit: Limit
    marginal: Limit
    comparison: Literal["below", "above"] = "below"
    threshold: str | None = None
    counts: bool = True
    everywhere: bool = False
    kinds: list[Text] = Field(default_factory=list)
    source: Text
    quality: Literal["published", "handbook", "memory", "estimate"]


class CriteriaFile(StrictModel):
    """A file of criteria."""

    name: Text
    note: Text | None = None
    criterion: list[CriterionTable] = Field(min_length=1, max_length=100)


def find_criteria(name: str | None = None) -> Criteria:
    """Read the criteria that come with moistwall, or those of a file.

    Parameters
    ----------
    name : str or None
        Path of a file; None for the shipped ones.

    Returns
    -------
    Criteria

    Raises
    ------
    CriteriaError
        With every mistake of the file.
    """
    return read_criteria(data_folder("criteria") / "screening.toml" if name is None else Path(name))


def read_criteria(path: Path | str) -> Criteria:
    """Read a file of criteria.

    Parameters
    ----------
    path : Path or str
        TOML file.

    Returns
    -------
    Criteria

    Raises
    ------
    CriteriaError
        With every mistake of the file.
    """
    path = Path(path)
    return criteria_from_data(read_toml(path, CriteriaError), str(path))


def criteria_from_data(data: dict[str, Any], file: str = "") -> Criteria:
    """Check what a file of criteria says.

    Parameters
    ----------
    data : dict
        Content of the file, as TOML gives it.
    file : str
        Name for messages.

    Returns
    -------
    Criteria

    Raises
    ------
    CriteriaError
        With every mistake.
    """
    try:
        given = CriteriaFile.model_validate(data)
    except ValidationError as error:
        raise CriteriaError(faults_from_validation(error, file, CriteriaFile)) from None
    faults: list[Fault] = []
    found = [
        _criterion(table, f"criterion[{number}]", file, faults)
        for number, table in enumerate(given.criterion, start=1)
    ]
    names = [plain_name(table.name) for table in given.criterion]
    for number, name in enumerate(names, start=1):
        if name in names[: number - 1]:
            field = f"criterion[{number}].name"
            shown = given.criterion[number - 1].name
            faults.append(
                Fault(file, field, shown, "two criteria have this name", "give each its own")
            )
    if not any(table.counts for table in given.criterion):
        faults.append(
            Fault(
                file,
                "criterion",
                "",
                "none of them counts",
                "leave counts = false out of at least one",
            )
        )
    if faults:
        raise CriteriaError(faults)
    return Criteria(given.name, given.note or "", file, tuple(one for one in found if one))


def _criterion(
    table: CriterionTable, field: str, file: str, faults: list[Fault]
) -> Criterion | None:
    """Return a criterion in SI and hours; None if something of it is wrong."""
    known = QUANTITIES.get(table.quantity)
    if known is None:
        remedy = did_you_mean(table.quantity, list(QUANTITIES))
        faults.append(
            Fault(
                file,
                f"{field}.quantity",
                table.quantity,
                "is no quantity that can be limited",
                remedy or "give one of: " + ", ".join(QUANTITIES),
            )
        )
        return None
    before = len(faults)
    limit = _number(table.limit, known.kind, f"{field}.limit", file, faults)
    marginal = _number(table.marginal, known.kind, f"{field}.marginal", file, faults)
    threshold = None
    if known.threshold is None and table.threshold is not None:
        problem = f"'{table.quantity}' has no threshold"
        faults.append(
            Fault(file, f"{field}.threshold", table.threshold, problem, "leave this key out")
        )
    elif known.threshold is not None:
        if table.threshold is None:
            example = {"share": '"80 %"', "moisture_content": '"20 %MC"'}[known.threshold]
            faults.append(
                Fault(
                    file,
                    f"{field}.threshold",
                    "",
                    f"is missing: '{table.quantity}' counts from it",
                    f"write for instance threshold = {example}",
                )
            )
        else:
            threshold = _number(
                table.threshold, known.threshold, f"{field}.threshold", file, faults
            )
    if limit <= 0.0 and before == len(faults):
        faults.append(
            Fault(file, f"{field}.limit", str(table.limit), "must be above 0", "give a larger one")
        )
    top = limit if table.comparison == "below" else float("inf")
    if before == len(faults) and not 0.0 <= marginal <= top:
        faults.append(
            Fault(
                file,
                f"{field}.marginal",
                str(table.marginal),
                "must lie between 0 and the limit: it is the band before the limit",
                f"give at most {table.limit}",
            )
        )
    faults += _faults_of_kinds(table.kinds, f"{field}.kinds", file)
    if before != len(faults):
        return None
    return Criterion(
        table.name,
        table.quantity,
        limit,
        marginal,
        Source(table.source, table.quality),
        table.comparison,
        threshold,
        table.counts,
        table.everywhere,
        tuple(table.kinds),
    )


def _faults_of_kinds(kinds: list[str], field: str, file: str) -> list[Fault]:
    """Find kinds of material that the library has not: a criterion for them would never be asked."""
    known = material_kinds()
    return [
        Fault(
            file,
            f"{field}[{number}]",
            kind,
            "is no kind of material",
            did_you_mean(kind, known) or "give one of: " + ", ".join(known),
        )
        for number, kind in enumerate(kinds, start=1)
        if kind not in known
    ]


def _number(given: str | float, kind: str, field: str, file: str, faults: list[Fault]) -> float:
    """Return a number of a quantity, times in hours; nan and a fault where it is none."""
    if kind == "index":
        if isinstance(given, str):
            faults.append(
                Fault(
                    file, field, given, "the mold index has no unit", "write a number such as 3.0"
                )
            )
            return float("nan")
        if given > MOST_INDEX:
            problem, remedy = "there is no such mold index", f"give one up to {MOST_INDEX:g}"
            faults.append(Fault(file, field, f"{given:g}", problem, remedy))
        return given
    try:
        value = quantity(given, kind)
    except InputError as error:
        faults += [Fault(file, field, one.value, one.problem, one.remedy) for one in error.faults]
        return float("nan")
    return value / HOUR if kind == "time" else value
