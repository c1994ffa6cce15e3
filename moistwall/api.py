"""What a few lines of Python ask for: load, change, run, judge, and the report.

The names are those of the package: ``import moistwall as mw``, then ``mw.load(...)``. They join what the
modules below offer, as the command line does, and take names of the library wherever a file may stand.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from moistwall.assembly import Assembly, assembly_from_data, read_assembly, resolve
from moistwall.assess.criteria import Criteria
from moistwall.assess.verdict import Verdict
from moistwall.assess.verdict import judge as judge_by
from moistwall.climate.record import Climate
from moistwall.criteria_file import find_criteria
from moistwall.library import find_assembly, read_year
from moistwall.result import Result
from moistwall.section import Section
from moistwall.simulate import Progress, simulate
from moistwall.study.changing import changed
from moistwall.units import System


def load(file: str | Path) -> Assembly:
    """Read a wall, roof or floor.

    Parameters
    ----------
    file : str or Path
        An assembly file, or the name of a shipped example, such as 'heron-point-wall'.

    Returns
    -------
    Assembly
        Read and checked.

    Raises
    ------
    InputError
        If there is no such file, or with every mistake in it.
    """
    return read_assembly(find_assembly(str(file)))


def change(assembly: Assembly | str | Path, changes: Mapping[str, str]) -> Assembly:
    """Make a variant; the assembly that it is made from stays as it is.

    Parameters
    ----------
    assembly : Assembly, str or Path
        What `load` gave, or a file or name that it takes.
    changes : mapping of str to str
        Values, as text with units, by the path of their field: ``{"layer[foam].thickness": "2 in"}``. Paths are
        those of ``moistwall sweep --vary``; a thickness of zero takes the layer out.

    Returns
    -------
    Assembly
        Read and checked as a file of its own.

    Raises
    ------
    InputError
        If a path means no field or several, or with every mistake in the variant.
    """
    if not isinstance(assembly, Assembly):
        assembly = load(assembly)
    data, _ = changed(assembly, list(changes.items()), field="changes")
    return assembly_from_data(data, file=assembly.file, folder=assembly.folder)


def run(
    what: Assembly | Section | str | Path,
    climate: Climate | str | Path,
    *,
    tell: Callable[[Progress], None] | None = None,
) -> Result:
    """Run the clear path of a wall, roof or floor through a year, repeated until stored water repeats itself.

    Parameters
    ----------
    what : Assembly, Section, str or Path
        What `load` or `change` gave, a section, or a file or name that `load` takes. Of several blower-door tests
        the last one is taken; the path through studs is ``resolve(assembly, studs=True)``.
    climate : Climate, str or Path
        A year, the name of a shipped one, such as 'mobile', or a file.
    tell : callable or None
        Called as the run goes on.

    Returns
    -------
    Result
        All numbers of the last year, as arrays.

    Raises
    ------
    InputError
        If what is to be run, or the year, is wrong.
    ConvergenceError, BalanceError
        As `moistwall.simulate.simulate`.
    """
    if not isinstance(what, Assembly | Section):
        what = load(what)
    section = resolve(what) if isinstance(what, Assembly) else what
    year = climate if isinstance(climate, Climate) else read_year(climate, field="climate")
    return simulate(section, year, tell=tell)


def judge(result: Result, criteria: Criteria | str | Path | None = None) -> Verdict:
    """Judge a result.

    Parameters
    ----------
    result : Result
        A computed year.
    criteria : Criteria, str, Path or None
        Criteria, or a file of them; None for the shipped ones.

    Returns
    -------
    Verdict
        ``overall`` is 'dries', 'marginal' or 'stays wet'.

    Raises
    ------
    CriteriaError
        With every mistake in the file.
    """
    if not isinstance(criteria, Criteria):
        criteria = find_criteria(None if criteria is None else str(criteria))
    return judge_by(result, criteria)


def report(result: Result, system: System = "ip") -> str:
    """The text that ``moistwall run`` prints, of a clear path alone.

    Parameters
    ----------
    result : Result
        A computed year.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    str
        Assumptions, closure and cautions included.
    """
    from moistwall.show.text import report as text_of

    return text_of(result, system)
