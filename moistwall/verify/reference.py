"""Reference series: tables that belong to one problem, known by its key, made by somebody else.

A table is a CSV file with comment lines above its heading: ``# key:`` the hash of the problem that it
answers, ``# made by:`` how it was computed. `scripts/make_references.py` writes them.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from moistwall.climate.text import read_text
from moistwall.errors import Fault, InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Reference:
    """A reference series.

    Parameters
    ----------
    key : str
        Hash of the problem that it answers.
    made_by : str
        How it was computed, or where it was published.
    columns : dict of str to (n,) ndarray
        Values by heading; an empty cell is not a number.
    """

    key: str
    made_by: str
    columns: dict[str, Array]


def read_reference(path: Path, key: str) -> Reference:
    """Read the reference of a problem.

    Parameters
    ----------
    path : Path
        The table.
    key : str
        Hash of the problem as it is now.

    Returns
    -------
    Reference

    Raises
    ------
    InputError
        If there is no such table, if it is damaged, or if it answers another problem.
    """
    if not path.is_file():
        raise InputError(Fault(str(path), "", "", "there is no such reference"))
    notes: dict[str, str] = {}
    lines = []
    for line in read_text(path).splitlines():
        if line.startswith("#"):
            name, _, value = line[1:].partition(":")
            notes[name.strip()] = value.strip()
        elif line.strip():
            lines.append(line)
    if notes.get("key") != key:
        raise InputError(
            Fault(
                str(path),
                "key",
                notes.get("key", "none")[:12],
                f"answers another problem than the present one, {key[:12]}",
                "make the references again: python scripts/make_references.py",
            )
        )
    rows = list(csv.reader(lines))
    try:
        values = np.array([[float(cell or "nan") for cell in row] for row in rows[1:]])
        columns = {name: values[:, k] for k, name in enumerate(rows[0])}
        if len(columns) != values.shape[1] or not notes.get("made by"):
            raise ValueError("headings and columns differ, or nothing says how it was made")
    except (ValueError, IndexError) as error:
        raise InputError(Fault(str(path), "", "", f"is damaged: {error}")) from None
    return Reference(key, notes["made by"], columns)


def reference_text(key: str, made_by: str, columns: dict[str, Array]) -> str:
    """Give the text of a reference table.

    Parameters
    ----------
    key, made_by, columns
        See `Reference`; all columns of one length.

    Returns
    -------
    str
        CSV with eight significant digits; what is not a number becomes an empty cell.
    """
    lines = [f"# key: {key}", f"# made by: {made_by}", ",".join(columns)]
    for row in zip(*columns.values(), strict=True):
        lines.append(",".join("" if np.isnan(value) else f"{value:.8g}" for value in row))
    return "\n".join(lines) + "\n"
