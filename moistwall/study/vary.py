"""What a field of an assembly file is varied over: ``PATH = 0 in .. 4 in step 0.5 in``, or a list.

The path is the one that messages about the file use, such as ``layer[2].thickness`` or
``room.humidity``. Values are texts as the file holds them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import overload

from moistwall.errors import Fault, InputError, UnitError
from moistwall.study.fields import examples_at
from moistwall.unit_kinds import canonical_unit
from moistwall.units import KINDS, quantity, quantity_of

_NUMBER = r"[+-]?(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
_WITH_UNIT = re.compile(rf"(?P<number>{_NUMBER})(?P<unit>.*)", re.DOTALL)
_RANGE = re.compile(r"(?P<low>.+?)\.\.(?P<high>.+?)(?:\bstep\b(?P<step>.+))?", re.DOTALL)

HOW = 'write "PATH = LOW .. HIGH step STEP", or "PATH = VALUE, VALUE"'


class Steps(Sequence[str]):
    """The values of a range, each written out when it is asked for.

    Parameters
    ----------
    low, step : Fraction
        First value and what each next one has more, in the unit.
    count : int
        How many there are.
    unit : str
        Their unit; may be empty.
    """

    def __init__(self, low: Fraction, step: Fraction, count: int, unit: str) -> None:
        self._low, self._step, self._count, self._unit = low, step, count, unit

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, index: int) -> str: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[str]: ...

    def __getitem__(self, index: int | slice) -> str | Sequence[str]:
        if isinstance(index, slice):
            return [self[k] for k in range(*index.indices(self._count))]
        if not -self._count <= index < self._count:
            raise IndexError(index)
        return text_of(self._low + (index % self._count) * self._step, self._unit)


@dataclass(frozen=True)
class Vary:
    """A field and the values that it takes.

    Parameters
    ----------
    path : str
        Path of the field.
    values : sequence of str
        Values as the file would hold them.
    text : str
        The values as they were given.
    """

    path: str
    values: Sequence[str]
    text: str


def read_vary(text: str, *, field: str = "--vary") -> Vary:
    """Read what is varied, and over what.

    Parameters
    ----------
    text : str
        Such as "layer[foam].thickness = 0 in .. 4 in step 0.5 in" or "facing = south, west".
    field : str
        Where the text stands, for messages.

    Returns
    -------
    Vary

    Raises
    ------
    InputError
        If the text is not of this form, the path is none of an assembly file, or values are of a wrong
        unit, in the wrong order or given twice.
    """
    path, equals, wanted = (part.strip() for part in text.partition("="))
    if not equals or not path or not wanted:
        raise InputError(Fault("", field, text, "does not say what is varied over what", HOW))
    examples = examples_at(path, field=field)
    found = _RANGE.fullmatch(wanted)
    if found:
        steps = _range(path, wanted, found)
        kind_of(examples, (steps[0], steps[-1]), path)
        return Vary(path, steps, wanted)
    values = tuple(part.strip().strip("\"'") for part in wanted.split(","))
    if not all(values):
        raise InputError(Fault("", path, wanted, "has an empty value", HOW))
    kind = kind_of(examples, values, path)
    seen = {quantity(value, kind, field=path) if kind else value for value in values}
    if len(seen) < len(values):
        raise InputError(Fault("", path, wanted, "has a value twice", "give each once"))
    return Vary(path, values, wanted)


def read_between(
    path: str, low: str, high: str, *, field: str = "--between"
) -> tuple[str, float, float]:
    """Read two ends of a field that is sought between them.

    Parameters
    ----------
    path : str
        Path of the field.
    low, high : str
        The ends, as texts with their unit.
    field : str
        Where they stand, for messages.

    Returns
    -------
    unit : str
        Unit of both texts.
    low, high : float
        Their numbers in this unit.

    Raises
    ------
    InputError
        If the path is none, the field no quantity, the units differ, or low is not below high.
    """
    examples = examples_at(path, field="--vary")
    kind = kind_of(examples, (low, high), path)
    if not kind:
        problem = "holds no quantity, so that nothing lies between two of its values"
        raise InputError(Fault("", path, f"{low} .. {high}", problem))
    for text in (low, high):
        quantity(text, kind, field=path)
    (first, unit), (last, other) = _apart(low, path), _apart(high, path)
    if canonical_unit(unit) != canonical_unit(other):
        problem, remedy = "the ends are in two units", "write both in one"
        raise InputError(Fault("", field, f"{low} and {high}", problem, remedy))
    if not first < last:
        raise InputError(Fault("", field, f"{low} and {high}", "the first is not below the second"))
    return unit, float(first), float(last)


def kind_of(examples: tuple[str, ...], values: tuple[str, ...], path: str) -> str:
    """Find of which kind the values of a field are.

    Parameters
    ----------
    examples : tuple of str
        Texts that the field may hold.
    values : tuple of str
        Texts that it is to hold.
    path : str
        Path of the field, for the message.

    Returns
    -------
    str
        Empty for words, plain numbers, pitches and ratios.

    Raises
    ------
    UnitError
        If the field holds quantities only, and the values are none of its kinds.
    """
    kinds: list[str] = []
    others = False
    for example in examples:
        try:
            kinds.append(quantity_of(example, tuple(KINDS))[1])
        except UnitError:
            others = True
    for kind in kinds:
        if all(_is_of(value, kind) for value in values):
            return kind
    if kinds and not others:
        for value in values:
            quantity(value, kinds[0], field=path)
    return ""


def _is_of(text: str, kind: str) -> bool:
    try:
        quantity(text, kind)
    except UnitError:
        return False
    return True


def _apart(text: str, path: str) -> tuple[Fraction, str]:
    """Take a text apart into its number, exactly, and its unit."""
    found = _WITH_UNIT.fullmatch(text.strip())
    if found is None:
        problem, remedy = "does not begin with a number", "a range needs numbers with their unit"
        raise InputError(Fault("", path, text.strip(), problem, remedy))
    number, unit = found["number"], found["unit"].strip()
    sign = -1 if number.startswith("-") else 1
    try:
        parts = [Fraction(part) for part in re.split(r"[ -](?=[0-9]+/)", number.lstrip("+-"))]
    except ZeroDivisionError:
        raise InputError(Fault("", path, text.strip(), "divides by zero")) from None
    return sign * sum(parts, Fraction(0)), unit


def _range(path: str, wanted: str, found: re.Match[str]) -> Steps:
    """Give the values of a range; both ends belong to it."""

    def fault(problem: str, remedy: str = HOW) -> InputError:
        return InputError(Fault("", path, wanted, problem, remedy))

    if found["step"] is None:
        raise fault("is a range without a step")
    ends = [_apart(found[name], path) for name in ("low", "high", "step")]
    (low, unit), (high, _), (step, _) = ends
    if len({canonical_unit(one) for _, one in ends}) > 1:
        raise fault("has more than one unit", "write low, high and step in the same unit")
    if step <= 0 or high <= low:
        raise fault("does not rise from low to high in steps above zero")
    count = (high - low) / step
    if count.denominator != 1:
        raise fault(f"steps of {text_of(step, unit)} do not reach {text_of(high, unit)}")
    return Steps(low, step, int(count) + 1, unit)


def text_of(number: Fraction | float, unit: str) -> str:
    """Write a number with its unit as the file would hold it.

    Parameters
    ----------
    number : Fraction or float
        The number in that unit.
    unit : str
        The unit; may be empty.
    """
    return f"{float(number):.10g} {unit}".strip()


def split_evenly(total: str, count: int, path: str) -> str:
    """Give each of several layers its share of a thickness.

    Parameters
    ----------
    total : str
        Text with its unit.
    count : int
        How many share it.
    path : str
        Path, for messages.
    """
    number, unit = _apart(total, path)
    return text_of(number / count, unit)


def is_zero(text: str) -> bool:
    """Whether a text is a number of zero, whatever its unit."""
    found = _WITH_UNIT.fullmatch(text.strip())
    return found is not None and _apart(text, "")[0] == 0
