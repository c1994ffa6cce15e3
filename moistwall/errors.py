"""Every error that moistwall raises on purpose.

MoistwallError
├── InputError (ValueError)          something given is wrong: exit code 2
│   ├── UnitError                    a text that is not a quantity of the wanted kind
│   ├── MaterialError                a material that is unknown or cannot be right
│   ├── AssemblyError                an assembly file that cannot be resolved
│   ├── ClimateError                 a year of weather that is incomplete or impossible
│   └── CriteriaError                a file of criteria that says something impossible
├── ConvergenceError (RuntimeError)  a step was not solved: exit code 1
├── BalanceError (ArithmeticError)   what was solved does not close: exit code 1
└── ResultError (ValueError)         a saved result that cannot be read: exit code 1
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LONGEST = 200
"""Length at which a value is cut in a message. [characters]"""


@dataclass(frozen=True)
class Fault:
    """One mistake in the input: where it stands, what stands there, what is wrong, what to do.

    Parameters
    ----------
    file : str
        File (or the name of the argument) that holds the mistake; may be empty.
    field : str
        Path of the field inside it, such as ``layer[2].thickness``; may be empty.
    value : str
        The value given, as text; may be empty when something is missing.
    problem : str
        What is wrong with it.
    remedy : str
        What would be right.
    """

    file: str
    field: str
    value: str
    problem: str
    remedy: str = ""

    def __str__(self) -> str:
        place = ": ".join(part for part in (self.file, cut(self.field)) if part)
        given = f" (got {cut(self.value)})" if self.value else ""
        remedy = f"; {cut(self.remedy, 2 * LONGEST)}" if self.remedy else ""
        problem = cut(self.problem, 2 * LONGEST)
        return one_line(f"{place + ': ' if place else ''}{problem}{given}{remedy}")


def cut(text: str, most: int = LONGEST) -> str:
    """Cut a text that is too long for a message.

    Parameters
    ----------
    text : str
        Any text.
    most : int
        Characters that are left of it, at most.
    """
    return text if len(text) <= most else text[:most] + " ..."


def one_line(text: str) -> str:
    """Write line ends, control codes and marks that turn the reading direction as escapes.

    What stands in somebody's file can so neither add a line to a message nor command a terminal.

    Parameters
    ----------
    text : str
        Any text.
    """
    if text.isprintable():
        return text
    return "".join(
        one if one.isprintable() else one.encode("unicode_escape").decode("ascii") for one in text
    )


class MoistwallError(Exception):
    """Root of every error that moistwall raises on purpose."""


class InputError(MoistwallError, ValueError):
    """Something given is wrong; carries every mistake found, not only the first.

    Parameters
    ----------
    faults : sequence of Fault or str
        The mistakes; a plain text becomes a fault without a place.
    """

    def __init__(self, faults: Sequence[Fault] | Fault | str) -> None:
        if isinstance(faults, str):
            faults = (Fault("", "", "", faults),)
        elif isinstance(faults, Fault):
            faults = (faults,)
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Fault, ...]]]:
        return type(self), (self.faults,)


class UnitError(InputError):
    """A text that is not a quantity of the wanted kind."""


class MaterialError(InputError):
    """A material that is unknown or cannot be right."""


class AssemblyError(InputError):
    """An assembly file that cannot be resolved to a section."""


class ClimateError(InputError):
    """A year of weather that is incomplete or impossible."""


class CriteriaError(InputError):
    """A file of criteria that says something impossible."""


class ConvergenceError(MoistwallError, RuntimeError):
    """A step was not solved, whatever its length.

    Parameters
    ----------
    hour : int
        Hour of the run (0 = first) in which it happened.
    cell : int
        Cell with the largest correction, counted from outside.
    layer : str
        Name of the layer that this cell belongs to.
    residual : float
        Largest correction of the last pass, in units of the tolerance. [-]
    tried : int
        Steps and cuts after which the hour or the march was given up; 0 if a step was not solved at its shortest.
        [-]
    """

    def __init__(self, hour: int, cell: int, layer: str, residual: float, tried: int = 0) -> None:
        self.hour, self.cell, self.layer, self.residual = hour, cell, layer, residual
        self.tried = tried
        if tried:
            told = (
                f"hour {hour}: given up after {tried} steps and cuts, the limit of an hour or a march; "
                f"the last pass moved cell {cell} of '{layer}' most, by {residual:.3g} times the tolerance"
            )
        else:
            told = (
                f"hour {hour}: no solution in cell {cell} of '{layer}' at the shortest step; "
                f"the last pass still moved it by {residual:.3g} times the tolerance"
            )
        super().__init__(told)

    def __reduce__(self) -> tuple[type[ConvergenceError], tuple[int, int, str, float, int]]:
        return type(self), (self.hour, self.cell, self.layer, self.residual, self.tried)


class UnsettledError(ConvergenceError):
    """The air of a zone and the section beside it did not come to terms within an hour.

    Parameters
    ----------
    hour : int
        Hour of the run (0 = first) in which they were furthest apart.
    zone : str
        Kind of the zone.
    apart, limit : float
        How far the state that the zone's balances ask for is from the one that the section has seen, and may be.
        [``unit``]
    unit : str
        ``"K"`` or ``"% RH"``.
    """

    def __init__(self, hour: int, zone: str, apart: float, limit: float, unit: str) -> None:
        super().__init__(hour, -1, zone, apart / limit if limit > 0.0 else float("inf"))
        self.apart, self.limit, self.unit = apart, limit, unit
        self.args = (
            f"hour {hour}: the air of the {zone} and the section beside it did not settle; they are "
            f"{apart:.3g} {unit} apart, and may be {limit:g}: is the zone far too small for its section or its "
            "machines?",
        )

    def __reduce__(self) -> tuple[type[UnsettledError], tuple[int, str, float, float, str]]:  # type: ignore[override]
        return type(self), (self.hour, self.layer, self.apart, self.limit, self.unit)


class BalanceError(MoistwallError, ArithmeticError):
    """What was solved does not close: a balance or the storage drift is over its limit."""


class ResultError(MoistwallError, ValueError):
    """A saved result that cannot be read."""
