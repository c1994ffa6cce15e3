"""The versions that decide which numbers come out: what to write beside a result, or into a question."""

from __future__ import annotations

import platform
from importlib.metadata import version

from moistwall import __version__

NUMERIC = ("numpy", "scipy", "numba", "llvmlite", "pvlib", "pandas")
"""Libraries that numbers pass through."""

OTHERS = ("pint", "pydantic", "click", "matplotlib", "jinja2")
"""Libraries that read input and show answers."""


def versions_text() -> str:
    """Versions of moistwall, Python and the libraries, and the compiled solver.

    Returns
    -------
    str
        Lines; the first is 'moistwall' and its number. The solver is told by the hash of its sources and
        of the versions that compile them: with equal hashes, equal input gives equal numbers on one kind
        of processor.
    """
    from moistwall.kept import cache_root
    from moistwall.solver.kernel.compile import source_hash
    from moistwall.solver.march import is_cached

    waits = "compiled" if is_cached() else "not compiled yet: the first run does, in about a minute"
    lines = [
        f"moistwall {__version__}",
        f"Python {platform.python_version()} on {platform.system()} {platform.machine()}",
        ", ".join(f"{name} {version(name)}" for name in NUMERIC),
        ", ".join(f"{name} {version(name)}" for name in OTHERS),
        f"solver {source_hash()}: {waits}; kept in {cache_root()}",
    ]
    return "\n".join(lines) + "\n"
