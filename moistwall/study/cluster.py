"""Running variants on an existing dask.distributed cluster.

Every worker needs the same version of moistwall; of files that an assembly names (materials of one's own, hourly
air changes) each needs its copy at the same path. If a worker is lost, the cluster gives its variants to others.
"""

from __future__ import annotations

import importlib
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from moistwall import __version__
from moistwall.errors import Fault, InputError
from moistwall.study.engine import Crew

CONNECT_SECONDS = 10
"""Time for a scheduler to answer, and for a first worker to be there. [s]"""

RETRIES = 2
"""Times that the cluster tries a variant again which ended with an error of the machine."""


def version() -> str:
    """Version of moistwall, asked of each worker."""
    return __version__


@contextmanager
def cluster_crew(address: str, *, field: str = "--workers") -> Iterator[Crew]:
    """Workers of a cluster.

    Parameters
    ----------
    address : str
        Where its scheduler listens, as in "tcp://192.0.2.7:8786".
    field : str
        Where the address stands, for messages.

    Yields
    ------
    Crew

    Raises
    ------
    InputError
        If dask.distributed is missing, nothing answers, there is no worker, or one has another moistwall.
    """

    def refused(problem: str, remedy: str) -> InputError:
        return InputError(Fault("", field, address, problem, remedy))

    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        remedy = "install it: pip install 'moistwall[cluster]'"
        raise refused("dask.distributed is not installed", remedy) from None
    logging.getLogger("distributed").setLevel(logging.ERROR)
    try:
        client = distributed.Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        remedy = "start one with dask scheduler, and workers with dask worker"
        raise refused(f"no scheduler answers there ({error})", remedy) from None
    try:
        try:
            client.wait_for_workers(1, timeout=CONNECT_SECONDS)
        except TimeoutError:
            raise refused("has no workers", "start some with dask worker") from None
        others = {found for found in client.run(version).values() if found != __version__}
        if others:
            remedy = f"install {__version__} on every worker"
            raise refused(f"has workers with moistwall {', '.join(sorted(others))}", remedy)
        size = sum(client.ncores().values())
        pool = client.get_executor(pure=False, retries=RETRIES)
        words = f"{size} workers at {address}"
        try:
            yield Crew(pool, size, words, shares_memory=False)
        finally:
            pool.shutdown(wait=False)
    finally:
        client.close()
