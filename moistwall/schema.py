"""What the schemas of all input files share: strict models, unit text, and readable faults.

A file is checked whole: pydantic gathers every mistake, and `faults_from_validation` turns them
into faults with file, field, value and remedy. Fields are written as a person would point at them,
``layer[2].thickness``, counted from 1.
"""

from __future__ import annotations

import tomllib
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    StringConstraints,
    ValidationError,
)
from pydantic_core import CoreSchema, core_schema

from moistwall.errors import Fault, InputError
from moistwall.names import did_you_mean
from moistwall.units import KINDS, quantity

Place = tuple[int | str, ...]

LARGEST_FILE = 1_000_000
"""Size above which a file is no input file. [byte]"""

MOST_NESTED = 24
"""Depth of tables and lists in each other above which a file is no input file."""

MOST_ENTRIES = 100
"""Entries of a list of tables, such as the layers of an assembly, at most."""

GIVE_FILE = "give the path of a file that can be read"
"""What to do where there is none."""

HOW_TOML = 'each line is a heading such as [room] or a key with its value, name = "text"'
"""What a TOML file looks like, for whoever has another file in hand."""


def _printable(text: str) -> str:
    if not text.isprintable():
        problem, remedy = (
            "holds what cannot be printed in one line",
            "write it without control codes",
        )
        raise InputError(Fault("", "", ascii(text[:60]), problem, remedy))
    return text


Text = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=2000),
    AfterValidator(_printable),
]
"""A line of text for people."""


class StrictModel(BaseModel):
    """A table of an input file: no key that is not known, no silent change of type."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, hide_input_in_errors=True
    )


@dataclass(frozen=True)
class TextOf:
    """Marks a number as given by text with a unit: ``Annotated[float, TextOf("length")]``.

    Parameters
    ----------
    kind : str
        Name in `moistwall.units.KINDS`; the field holds the value in its SI unit.
    """

    kind: str

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            lambda text: quantity(text, self.kind),
            json_schema_input_schema=core_schema.str_schema(),
            metadata={
                "pydantic_js_extra": {
                    "description": f"Text: {KINDS[self.kind].noun} with its unit.",
                    "examples": list(KINDS[self.kind].examples),
                }
            },
        )


def read_toml(path: Path, error: type[InputError] = InputError) -> dict[str, Any]:
    """Read a TOML file, or raise ``error`` naming the file and what is wrong with it.

    A byte order mark is dropped; a file above `LARGEST_FILE` is not read to its end.
    """

    def refused(problem: str, remedy: str = "") -> InputError:
        return error(Fault(str(path), "", "", problem, remedy))

    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise refused("there is no such file", GIVE_FILE) from None
    except OSError as problem:
        raise refused(f"cannot be read: {problem.strerror}", GIVE_FILE) from None
    except ValueError as problem:
        raise refused(f"cannot be read: {problem}", GIVE_FILE) from None
    if len(raw) > LARGEST_FILE:
        remedy = "give a smaller file; series belong into a CSV file of their own"
        raise refused(f"is larger than {LARGEST_FILE / 1e6:g} MB, and so is no input file", remedy)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        byte = f"byte 0x{raw[problem.start]:02x} at position {problem.start}"
        raise refused(
            f"is not valid TOML: not text in UTF-8 ({byte})", "save it as UTF-8"
        ) from None
    if "\0" in text:
        holds_nul = "is not valid TOML: it holds NUL bytes and is no text file"
        raise refused(holds_nul, "save it as text in UTF-8")
    too_deep = "is not valid TOML: brackets are nested too deeply"
    try:
        data = tomllib.loads(text)
    except RecursionError:
        raise refused(too_deep, HOW_TOML) from None
    except ValueError as problem:
        raise refused(f"is not valid TOML: {str(problem).partition(';')[0]}", HOW_TOML) from None
    if nested_deeper(data, MOST_NESTED):
        raise refused(too_deep, HOW_TOML)
    return data


def nested_deeper(data: object, depth: int) -> bool:
    """Tell whether tables and lists lie in each other more deeply than they may.

    Parameters
    ----------
    data : object
        As TOML or JSON gives it.
    depth : int
        The most that is allowed.
    """
    here: list[object] = [data]
    for _ in range(depth + 1):
        here = [
            one
            for outer in here
            if isinstance(outer, dict | list)
            for one in (outer.values() if isinstance(outer, dict) else outer)
        ]
    return bool(here)


def field_path(place: Place) -> str:
    """Write a place as a person points at it: ``layer[2].thickness``, counted from 1."""
    text = ""
    for part in place:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


def faults_from_validation(
    error: ValidationError, file: str, model: type[BaseModel] | None = None
) -> list[Fault]:
    """Turn what pydantic found into faults, one for each mistake.

    Parameters
    ----------
    error : ValidationError
        What pydantic raised.
    file : str
        File that was checked.
    model : type of BaseModel, optional
        Its schema; with it an unknown key comes with the nearest known ones.

    Returns
    -------
    list of Fault
        In the order of the schema.
    """
    faults: list[Fault] = []
    for detail in error.errors(include_url=False):
        place, known, words = _resolved(model, detail["loc"]) if model else (detail["loc"], [], ())
        where = field_path(place)
        given = detail["input"]
        cause = detail.get("ctx", {}).get("error")
        kind = detail["type"]
        if isinstance(cause, InputError):
            for inner in cause.faults:
                deeper = ".".join(part for part in (where, inner.field) if part)
                faults.append(Fault(file, deeper, inner.value, inner.problem, inner.remedy))
        elif kind == "missing":
            what = f"add the key {place[-1]}" if isinstance(place[-1], str) else "give all of it"
            what += "".join(
                f'{", or" if k else ":"} {place[-1]} = "{one}"' for k, one in enumerate(words)
            )
            faults.append(Fault(file, where, "", "is missing", what))
        elif kind == "extra_forbidden":
            remedy = did_you_mean(str(place[-1]), known)
            remedy = remedy or "leave it out: known are " + ", ".join(known)
            faults.append(Fault(file, where, _short(given), "is not a known key", remedy))
        elif kind in ("literal_error", "union_tag_invalid"):
            context = detail["ctx"]
            expected = context.get("expected") or context.get("expected_tags")
            if kind == "union_tag_invalid":
                where = field_path((*place, str(context["discriminator"]).strip("'")))
                given = context["tag"]
            faults.append(Fault(file, where, _short(given), f"must be one of {expected}"))
        elif kind == "union_tag_not_found":
            tag = str(detail["ctx"]["discriminator"]).strip("'")
            faults.append(
                Fault(file, field_path((*place, tag)), "", "is missing", f"add the key {tag}")
            )
        else:
            problem, remedy = _of_type(kind, detail.get("ctx", {}), place)
            if not problem:
                problem = detail["msg"][0].lower() + detail["msg"][1:]
                problem = problem.removeprefix("value error, ")
            faults.append(Fault(file, where, _short(given), problem, remedy))
    return faults


def _of_type(kind: str, given: Mapping[str, Any], place: Place) -> tuple[str, str]:
    """Say of a value of a wrong type or length what is wrong and what would be right, if that is known."""
    # pydantic's tags of the members of a union are no keys
    keys = [part for part in place if isinstance(part, str) and not part.startswith("~")]
    key = keys[-1] if keys else ""
    if kind == "string_pattern_mismatch":
        return "holds characters that cannot stand here", f"it must match {given.get('pattern')}"
    if kind in ("string_type", "string_unicode"):
        return "must be text", f'write it in quotes, {key} = "..."'
    if kind == "bool_type":
        return "must be true or false", f"write {key} = true, or {key} = false"
    if kind in ("int_type", "int_from_float", "int_parsing"):
        return "must be a whole number", f"write it without quotes or decimals, such as {key} = 3"
    if kind in ("float_type", "finite_number"):
        return "must be a finite number", f"write it without quotes, such as {key} = 3"
    if kind in ("list_type", "tuple_type"):
        return "must be a list", f"write it in brackets, {key} = [...], or as tables [[{key}]]"
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return "must be a table", f"write its keys below a heading [{key}]"
    if kind in ("too_short", "too_long"):
        bound = given.get("min_length", given.get("max_length"))
        most = "least" if kind == "too_short" else "most"
        entries = "entry" if bound == 1 else "entries"
        actual = given.get("actual_length")
        problem = f"has {actual} {'entry' if actual == 1 else 'entries'}"
        return problem, f"give at {most} {bound} {entries}"
    if kind in ("string_too_short", "string_too_long"):
        bound = given.get("min_length", given.get("max_length"))
        most = "least" if kind == "string_too_short" else "most"
        return "is empty" if kind == "string_too_short" else "is too long", (
            f"write at {most} {bound} character{'' if bound == 1 else 's'}"
        )
    bounds = {
        "greater_than": "gt",
        "greater_than_equal": "ge",
        "less_than": "lt",
        "less_than_equal": "le",
    }
    if kind in bounds:
        words = {"gt": "above", "ge": "at least", "lt": "below", "le": "at most"}[bounds[kind]]
        return "is out of range", f"give a number {words} {given[bounds[kind]]:g}"
    return "", ""


def _short(value: object) -> str:
    """Give a value in the space of a message."""
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _resolved(model: type[BaseModel], loc: Place) -> tuple[Place, list[str], tuple[str, ...]]:
    """Walk down a schema: the place without union tags, the keys of its last table, the words it may hold."""
    here: Any = model
    place: list[int | str] = []
    known: list[str] = []
    for part in loc:
        members = _members(here)
        tagged = {
            value: one
            for one in members
            for field in one.model_fields.values()
            for value in _literals(field.annotation)
        }
        if len(members) > 1 and part in tagged:
            here = tagged[str(part)]
            continue
        place.append(part)
        if isinstance(part, int):
            arguments = [one for one in typing.get_args(_bare(here)) if one is not Ellipsis]
            is_tuple = typing.get_origin(_bare(here)) is tuple and len(arguments) > 1
            here = (
                arguments[min(part, len(arguments) - 1) if is_tuple else 0] if arguments else None
            )
        else:
            fields = {
                field.alias or name: field
                for one in members
                for name, field in one.model_fields.items()
            }
            known = list(fields)
            here = fields[part].annotation if part in fields else None
    return tuple(place), known, tuple(one for one in _literals(here) if isinstance(one, str))


def _bare(annotation: Any) -> Any:
    """Take ``Annotated`` and ``| None`` off an annotation."""
    if typing.get_origin(annotation) is Annotated:
        return _bare(typing.get_args(annotation)[0])
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        rest = [one for one in typing.get_args(annotation) if one is not types.NoneType]
        if len(rest) == 1:
            return _bare(rest[0])
    return annotation


def _members(annotation: Any) -> list[type[BaseModel]]:
    """List the models that an annotation may stand for."""
    bare = _bare(annotation)
    if isinstance(bare, type) and issubclass(bare, BaseModel):
        return [bare]
    if typing.get_origin(bare) in (typing.Union, types.UnionType):
        return [model for one in typing.get_args(bare) for model in _members(one)]
    return []


def _literals(annotation: Any) -> tuple[Any, ...]:
    """List the values of a ``Literal``."""
    bare = _bare(annotation)
    return typing.get_args(bare) if typing.get_origin(bare) is typing.Literal else ()
