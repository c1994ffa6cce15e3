"""The order of the house: what imports what, what is imported late, sizes, docstrings, paths."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import moistwall

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "moistwall"

ORDER = (
    "errors",
    "whole_files",
    "names",
    "kept",
    "unit_kinds",
    "unit_lines",
    "units",
    "air",
    "material",
    "material_curves",
    "material_fit",
    "material_liquid",
    "material_spread",
    "material_checks",
    "material_vapor",
    "exposure",
    "room",
    "zone",
    "section",
    "climate",
    "schema",
    "material_texts",
    "material_schema",
    "material_parts",
    "material_file",
    "library",
    "material_folder",
    "loads",
    "assembly",
    "solver",
    "result",
    "closing",
    "zone_closing",
    "reported_year",
    "spin_up",
    "simulate",
    "assess",
    "criteria_file",
    "study",
    "show",
    "lesson",
    "verify",
    "api",
    "cli",
    "__main__",
)
"""Modules and folders of the package: each may import those before it, and nothing after."""

INSIDE = {
    "climate": (
        "hours",
        "limits",
        "record",
        "text",
        "columns",
        "check",
        "rows",
        "table",
        "sun_path",
        "normals",
        "monthly",
        "built",
        "depths",
        "kinds",
        "rain",
        "tmy2",
        "tmy3",
        "epw",
        "read",
    ),
    "climate.built": (
        "draws",
        "seasons",
        "days",
        "showers",
        "sunshine",
        "air",
        "wind",
        "year",
    ),
    "assembly": (
        "fields",
        "exposure_schema",
        "zone_schema",
        "room_schema",
        "schema",
        "hourly_file",
        "gaps",
        "notes",
        "openings",
        "paths",
        "places",
        "room_checking",
        "zone_machines",
        "zone_checking",
        "starting",
        "stages",
        "exposure_checking",
        "reading",
        "laying",
        "exposure_resolving",
        "room_resolving",
        "zone_resolving",
        "resolving",
    ),
    "library": ("listing", "shipped", "materials", "years"),
    "solver": (
        "kernel",
        "tables",
        "boundary",
        "places",
        "gap_faces",
        "grid",
        "lanes",
        "starting",
        "march",
        "zone_series",
        "zones",
    ),
    "lesson": (
        "plans",
        "columns",
        "flows",
        "moments",
        "story",
        "numbers",
        "questions",
        "words",
        "picture",
        "figures",
        "page",
        "text",
    ),
    "solver.kernel": (
        "layout",
        "compile",
        "moist",
        "lookup",
        "within",
        "airflow",
        "draft",
        "ends",
        "joint",
        "arrivals",
        "eliminate",
        "step",
        "judge",
        "march",
        "machines",
        "zone_layout",
        "zone_balance",
        "zone",
    ),
}
"""The same inside folders where the order is part of the idea."""

PHYSICS = (
    "errors",
    "air",
    "material",
    "material_curves",
    "exposure",
    "room",
    "zone",
    "section",
    "loads",
    "solver",
    "result",
    "assess",
)
"""Where neither texts of units nor schemas are known."""

LATE = ("click", "matplotlib", "jinja2", "pvlib", "pandas", "rich")
"""Imported inside the functions that use them, but for the modules of `EARLY`."""

EARLY = {"cli": {"click"}, "show": {"matplotlib", "pandas"}, "lesson": {"matplotlib"}}
"""What a folder may import at its top; nothing outside of it imports its modules at the top."""

MOST_LINES = 600


@cache
def trees() -> dict[str, ast.Module]:
    """Return the parsed modules of the package, by their name without the package's."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


@cache
def own_imports(name: str) -> frozenset[str]:
    """Return the modules of the package that a module imports anywhere in it."""
    found = set()
    for node in ast.walk(trees()[name]):
        if isinstance(node, ast.Import):
            wanted = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name} has a relative import"
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            wanted = [
                one if one.removeprefix("moistwall.") in trees() else str(node.module)
                for one in inside
            ]
        else:
            continue
        found |= {
            one.removeprefix("moistwall").removeprefix(".")
            for one in wanted
            if one.partition(".")[0] == "moistwall"
        }
    return frozenset(found)


def outside_imports(nodes: Iterator[ast.AST]) -> set[str]:
    """Return the top names of what the import statements among some nodes bring in."""
    found = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(str(node.module).partition(".")[0])
    return found


def at_import_time(tree: ast.AST) -> Iterator[ast.AST]:
    """Walk through a module without entering its functions."""
    for node in ast.iter_child_nodes(tree):
        if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            yield node
            yield from at_import_time(node)


def test_every_module_has_its_place() -> None:
    """Every module and folder of the package stands in the order, and so do those inside folders."""
    tops = {name.partition(".")[0] for name in trees()} - {""}
    assert tops <= set(ORDER)
    for folder, order in INSIDE.items():
        depth = folder.count(".") + 1
        inside = {name.split(".")[depth] for name in trees() if name.startswith(folder + ".")}
        assert inside == set(order), folder


@pytest.mark.parametrize("name", [name for name in trees() if name])
def test_imports_run_back_up_the_order(name: str) -> None:
    """A module imports only what stands before it; of its own folder, only what stands before it."""
    for wanted in own_imports(name) - {""}:
        mine, other = name.split("."), wanted.split(".")
        assert ORDER.index(other[0]) <= ORDER.index(mine[0]), f"{name} imports {wanted}"
        for folder, order in INSIDE.items():
            depth = folder.count(".") + 1
            both = name.startswith(folder + ".") and wanted.startswith(folder + ".")
            if both and mine[: depth + 1] != other[: depth + 1]:
                assert order.index(other[depth]) < order.index(mine[depth]), f"{name}: {wanted}"


def test_no_circles() -> None:
    """No module imports itself by way of others."""
    done: set[str] = set()

    def visit(name: str, above: tuple[str, ...]) -> None:
        assert name not in above, " -> ".join((*above, name))
        if name not in done:
            for wanted in own_imports(name) - {""}:
                visit(wanted, (*above, name))
            done.add(name)

    for name in trees():
        if name:
            visit(name, ())


@pytest.mark.parametrize("name", [name for name in trees() if name.partition(".")[0] in PHYSICS])
def test_physics_knows_no_texts_of_units(name: str) -> None:
    """Neither pydantic nor pint, nor the modules that use them, are imported by the physics."""
    assert not outside_imports(ast.walk(trees()[name])) & {"pydantic", "pydantic_core", "pint"}
    assert not {wanted.partition(".")[0] for wanted in own_imports(name)} & {
        "units",
        "schema",
        "material_file",
        "library",
        "assembly",
        "criteria_file",
    }


@pytest.mark.parametrize("name", trees())
def test_heavy_modules_are_imported_late(name: str) -> None:
    """No module imports a heavy library when it is itself imported, but where that is its trade."""
    early = outside_imports(at_import_time(trees()[name])) & set(LATE)
    assert early <= EARLY.get(name.partition(".")[0], set())


def test_core_brings_nothing_heavy() -> None:
    """A fresh process that imports the simulation has none of the heavy libraries in it."""
    heavy = (*LATE, "pint", "pydantic")
    code = (
        "import sys, moistwall, moistwall.simulate, moistwall.assess\n"
        f"print(*[name for name in {heavy!r} if name in sys.modules])"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert shown.stdout.split() == []


def test_command_line_starts_light() -> None:
    """A fresh process that imports the command line has click in it and nothing heavier."""
    heavy = ({*LATE} | {"numba"}) - {"click"}
    code = (
        "import sys, moistwall.cli\n"
        f"print(*[name for name in {sorted(heavy)!r} if name in sys.modules])"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert shown.stdout.split() == []


def test_package_alone_brings_nothing_but_python() -> None:
    """`import moistwall` takes in no other library at all: its public names are looked up when used."""
    code = (
        "import sys; before = set(sys.modules); import moistwall\n"
        "new = {name.partition('.')[0] for name in set(sys.modules) - before}\n"
        "print(*sorted(new - set(sys.stdlib_module_names)))"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert shown.stdout.split() == ["moistwall"]


def test_public_names() -> None:
    """Every public name of the package exists, is documented and is the one of its module."""
    for name in moistwall.__all__:
        value = getattr(moistwall, name)
        assert name == "__version__" or value.__doc__
        assert name in dir(moistwall)
    with pytest.raises(AttributeError, match="no_such_name"):
        moistwall.no_such_name  # noqa: B018


def test_public_names_are_imported_for_the_type_checker() -> None:
    """What a type checker sees of the public names is what comes at run time."""
    seen = {}
    for node in ast.walk(trees()[""]):
        if isinstance(node, ast.ImportFrom) and str(node.module).startswith("moistwall"):
            seen |= {alias.name: node.module for alias in node.names}
    assert seen == moistwall._PLACES
    assert sorted(moistwall.__all__) == sorted([*seen, "__version__"])


def test_compiled_sources_are_all_hashed() -> None:
    """Whatever the compiled functions import from the package is part of the hash of their cache."""
    from moistwall.solver.kernel.compile import source_files

    hashed = {".".join(path.relative_to(PACKAGE).with_suffix("").parts) for path in source_files()}
    hashed.add("kept")  # tells where the cache lies, which changes nothing in it
    for name in trees():
        if name.startswith("solver.kernel."):
            assert own_imports(name) <= hashed, name


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: path.name)
def test_modules_are_short(path: Path) -> None:
    """A module that grows past 600 lines is split."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


def documented(tree: ast.Module) -> Iterator[tuple[str, bool]]:
    """Give each public function and class of a module, and whether it has a docstring."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            owners = [
                other
                for other in ast.walk(tree)
                if other is not node
                and isinstance(other, (ast.FunctionDef, ast.ClassDef))
                and node in ast.walk(other)
            ]
            hidden = any(
                isinstance(owner, ast.FunctionDef) or owner.name.startswith("_") for owner in owners
            )
            if not node.name.startswith("_") and not hidden:
                yield node.name, ast.get_docstring(node) is not None


@pytest.mark.parametrize("name", trees())
def test_everything_public_has_a_docstring(name: str) -> None:
    """Every module that holds something, and every public function and class, has a docstring."""
    tree = trees()[name]
    assert not tree.body or ast.get_docstring(tree)
    assert [what for what, ok in documented(tree) if not ok] == []


@pytest.mark.parametrize("path", sorted((ROOT / "tests").rglob("*.py")), ids=lambda path: path.name)
def test_every_test_has_a_docstring(path: Path) -> None:
    """Every test says in a docstring which fact it tests."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = [
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []


NAMED = {
    "climate.record": ("Climate",),
    "loads.soil": ("SurfaceWave",),
    "loads.leakage": ("HouseAir",),
    "loads.leak_sums": ("LeakageSummary", "CarriedWater"),
    "material": ("Storage", "Material", "FilmMaterial", "FacedBoard", "Source"),
    "exposure": (
        "CoolingOff",
        "Exposure",
        "Framing",
        "Leakage",
        "Openings",
        "Pour",
        "RainLeak",
        "RainLoad",
        "Spot",
    ),
    "section": ("Layer", "Film", "Gap", "Face", "Section"),
    "solver.grid": ("Grid",),
    "solver.places": ("Side",),
    "solver.kernel.layout": (
        "Topology",
        "Cells",
        "Tables",
        "Faces",
        "Loads",
        "State",
        "Control",
        "Record",
    ),
    "result": ("Part", "Place", "GapAir", "Balance", "SolverReport", "Result"),
    "assess.condensation": ("WetHours",),
    "assess.drying": ("GapDrying",),
    "assess.check": ("Check",),
    "assess.drying_paths": ("Path", "DryingPaths"),
    "assess.code_rows": ("CodeRow",),
    "assess.air_spaces": ("Surfaces",),
    "assess.fasteners": ("Fasteners",),
    "assess.thermal": ("Thermal",),
    "assess.daily_wave": ("DailyWave",),
    "assess.steady": ("Steps", "Steady"),
    "assess.steady_hourly": ("SteadyContrast",),
    "assess.mold": ("MoldClass", "MoldGrowth"),
    "assess.wood": ("WoodMoisture", "RunningMonth"),
    "assess.attic_air": ("AtticAir",),
    "assess.zone_air": ("ZoneYear", "ZoneAccount", "ObjectDew"),
    "zone": (
        "Zone",
        "AirConditioner",
        "Dehumidifier",
        "Ventilation",
        "Window",
        "Supply",
        "Ground",
        "ColdObject",
        "Ridge",
    ),
    "assess.criteria": ("Quantity", "Criterion", "Criteria"),
    "assess.measure": ("Measured",),
    "assess.verdict": ("Finding", "Judged", "Verdict"),
    "assess.driver": ("Driver", "Remedy"),
    "assess.weather": ("Fingerprint", "WallWeather"),
    "study.judged": ("Confidence", "JudgedRun"),
    "study.severe_year": ("YearScore", "SevereYear"),
    "study.vary": ("Vary",),
    "study.job": ("Job",),
    "study.engine": ("Done", "StudyProgress"),
    "study.measures": ("Criterion", "Measures"),
    "study.uncertain": ("Uncertain",),
    "lesson.columns": ("Step",),
    "lesson.flows": ("Joint",),
    "lesson.moments": ("Moment",),
    "lesson.story": ("Still", "Told", "Weather", "Lesson"),
    "lesson.questions": ("Question",),
}
"""Classes whose fields docs/nomenclature.md explains."""


def fields_of(module: str, name: str) -> list[str]:
    """Return the annotated fields of a class."""
    (found,) = (
        node
        for node in trees()[module].body
        if isinstance(node, ast.ClassDef) and node.name == name
    )
    return [
        node.target.id
        for node in found.body
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
    ]


@pytest.mark.parametrize(
    ("module", "name"), [(module, name) for module, names in NAMED.items() for name in names]
)
def test_nomenclature_has_every_field(module: str, name: str) -> None:
    """Every field of the classes that travel through the house stands in docs/nomenclature.md."""
    text = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
    fields = fields_of(module, name)
    assert fields
    explained = set(re.findall(r"`([\w]+)`", text))
    plain = [field.removesuffix("_range") for field in fields]
    assert [field for field in plain if field not in explained] == []


PRIVATE_PATH = re.compile(
    r"(?<![\w.:/-])/(home|root|work|tmp|mnt|Users)/[\w.-]+|\b[A-Za-z]:\\Users\\", re.ASCII
)
"""A path that exists on one machine only."""


def texts() -> list[Path]:
    """Return the text files of the project."""
    folders = ("moistwall", "tests", "docs", "scripts", "benchmarks", "changelog.d", ".ci")
    data = ("materials", "climates", "criteria", "examples")
    found = [path for path in ROOT.iterdir() if path.is_file() and path.suffix in (".md", ".toml")]
    for folder in (*folders, *data):
        found += [path for path in (ROOT / folder).rglob("*") if path.is_file()]
    binary = (".pyc", ".png", ".npz", ".svg")
    return sorted(path for path in found if path.suffix not in binary)


def test_no_path_of_a_machine() -> None:
    """No file of the project names a folder that exists on one machine only; all are utf-8."""
    found = [
        f"{path.relative_to(ROOT)}: {match[0]}"
        for path in texts()
        if (match := PRIVATE_PATH.search(path.read_text(encoding="utf-8")))
    ]
    assert found == []


@pytest.mark.parametrize("path", [["", "home", "x"], ["", "tmp", "run.csv"], ["C:", "Users", "x"]])
def test_a_path_of_a_machine_would_be_found(path: list[str]) -> None:
    """The search for such paths finds them, and leaves relative paths and addresses alone."""
    mark = "\\" if path[0] else "/"
    assert PRIVATE_PATH.search(f'"{mark.join(path)}"')
    relative = ["results", *path[1:]]
    assert not PRIVATE_PATH.search(
        f"https://example.org/{'/'.join(path[1:])}, {mark.join(relative)}"
    )
