"""Units become SI as pint has it, whether its answer was kept or not."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pint
import pytest

from moistwall.unit_kinds import KINDS
from moistwall.unit_lines import line_of

PAIRS = [
    (name, unit) for name, kind in KINDS.items() for unit in dict.fromkeys(kind.units.values())
]
OWN = ("perm", "calendar_year", "ounce_per_square", "pint_of_water")
"""Units that pint does not know: they have tests of their own in test_units.py."""


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    """Return pint as it comes."""
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=False)


@pytest.mark.parametrize(
    ("kind", "unit"), [pair for pair in PAIRS if not any(one in pair[1] for one in OWN)]
)
@pytest.mark.parametrize("number", [-40.0, 0.0, 0.3, 75.0, 1e4])
def test_as_pint_converts(registry: pint.UnitRegistry, kind: str, unit: str, number: float) -> None:
    """Every unit at numbers of everyday, to round-off."""
    line = line_of(kind, unit)
    wanted = registry.Quantity(number, unit).to(KINDS[kind].si).magnitude
    assert line.offset + line.slope * number == pytest.approx(wanted, rel=1e-14, abs=1e-12)


def test_pint_is_imported_once(tmp_path: Path) -> None:
    """The second program takes what the first one kept, and has the same numbers."""
    code = (
        "import sys; from moistwall.units import quantity;"
        "print(quantity('75.3 degF', 'temperature').hex(), quantity('R-13', 'thermal_resistance').hex());"
        "print('pint' in sys.modules)"
    )
    said = [
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
            env={**os.environ, "MOISTWALL_CACHE": str(tmp_path)},
        ).stdout.split()
        for _ in range(2)
    ]
    assert said[0][:2] == said[1][:2]
    assert [one[2] for one in said] == ["True", "False"]
