"""The examples of Heron Point and the Miami year, read once; the latest years that were run are kept."""

from __future__ import annotations

import dataclasses
from functools import cache, lru_cache
from typing import Any

from moistwall.assembly import load_section
from moistwall.climate.read import read_climate
from moistwall.climate.record import Climate
from moistwall.library import data_folder, find_assembly
from moistwall.result import Result
from moistwall.section import Section
from moistwall.simulate import simulate


@cache
def miami() -> Climate:
    """The Miami year."""
    return read_climate(data_folder("climates") / "miami.csv")


@cache
def example(name: str) -> Section:
    """An example by what follows 'heron-point-' in its name."""
    return load_section(find_assembly(f"heron-point-{name}"))


@lru_cache(maxsize=24)
def year(name: str, refine: int = 1, **changes: Any) -> Result:
    """The reported Miami year of an example, with some fields of its section changed."""
    return simulate(dataclasses.replace(example(name), **changes), miami(), refine=refine)
