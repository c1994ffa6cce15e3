"""The decorator that compiles the kernel, with a cache that cannot serve a stale function.

numba's own cache looks only at the file that holds the compiled function, not at the functions it
calls. The cache folder is therefore named after a hash of *all* sources that end up in compiled
code and of the versions that compile them: change one line anywhere and a new folder is used.
"""

from __future__ import annotations

import hashlib
import platform
import sys
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import llvmlite  # type: ignore[import-untyped]
import numba
from numba.core import config

import moistwall.air
import moistwall.material
from moistwall.kept import cache_root


def source_files() -> list[Path]:
    """Files whose text ends up in compiled code."""
    return [
        Path(moistwall.air.__file__),
        Path(moistwall.material.__file__),
        *sorted(Path(__file__).parent.glob("*.py")),
    ]


def source_hash() -> str:
    """Hash of all compiled sources, of numba, llvmlite, Python and the processor's kind."""
    digest = hashlib.sha256()
    for path in source_files():
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    for version in (numba.__version__, llvmlite.__version__, sys.version, platform.machine()):
        digest.update(version.encode() + b"\0")
    return digest.hexdigest()[:20]


def _writable_folder() -> Path | None:
    folder = cache_root() / f"kernel-{source_hash()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError:
        return None
    return folder


CACHE_FOLDER = _writable_folder()
"""Where this version of the kernel is cached; None if it has to be compiled in memory."""


Function = TypeVar("Function", bound=Callable[..., Any])


def compiled(function: Function) -> Function:
    """Compile a kernel function: no interpreter lock, no reordered sums, division as IEEE has it.

    Every function is put in place of its call: handing over dozens of arrays costs more than most of what is
    done with them. And no arrays are made in the kernel, so that nothing needs to be counted: with counting of
    references each function took and gave back all the arrays that it was handed (docs/performance.md).
    """
    return _cached(function, {"forceinline": True, "_nrt": False})


def compiled_apart(function: Function) -> Function:
    """Compile a function that is called once in a while: it stays one, and may make arrays."""
    return _cached(function, {})


def _cached(function: Function, more: dict[str, Any]) -> Function:
    """Compile a function with these options beside the common ones, and keep it in the cache folder."""
    jit: Any = numba.njit
    options: dict[str, Any] = {"nogil": True, "error_model": "numpy"} | more
    if CACHE_FOLDER is None:
        return cast(Function, jit(**options)(function))
    # numba takes the folder from its configuration at the moment of decoration
    before = config.CACHE_DIR  # type: ignore[attr-defined]
    config.CACHE_DIR = str(CACHE_FOLDER)  # type: ignore[attr-defined]
    try:
        found = jit(cache=True, **options)(function)
    finally:
        config.CACHE_DIR = before  # type: ignore[attr-defined]
    _forget_damaged(found)
    return cast(Function, found)


def _forget_damaged(dispatcher: Any) -> None:
    """Let a function whose cached code was cut short be compiled anew; numba itself would end in an error."""
    cache = dispatcher._cache
    load = cache.load_overload

    def load_or_forget(signature: Any, target: Any) -> Any:
        try:
            return load(signature, target)
        except Exception:  # whatever reading a damaged file ends in
            cache.flush()
            return None

    cache.load_overload = load_or_forget


if CACHE_FOLDER is None:
    warnings.warn(
        f"cannot write to {cache_root()}: the solver is compiled anew in this run "
        "(set MOISTWALL_CACHE to a folder that can be written)",
        stacklevel=2,
    )
