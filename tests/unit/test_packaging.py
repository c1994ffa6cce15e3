"""What is built, installed and run elsewhere: wheel, source archive, data, dependencies, README."""

from __future__ import annotations

import ast
import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from email.parser import Parser
from pathlib import Path, PurePosixPath

import pytest

import moistwall.library
from moistwall import __version__
from moistwall.errors import InputError
from moistwall.library import data_folder, shipped

ROOT = Path(__file__).parents[2]
DATA = ("materials", "climates", "criteria", "examples")

PART_OF = {
    "PIL": "pillow",
    "sksundae": "scikit-sundae",
    "llvmlite": "numba",
    "pydantic_core": "pydantic",
}
"""Modules that belong to a dependency which cannot be installed without them."""


def project() -> dict[str, object]:
    """Return the table [project] of pyproject.toml."""
    content = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return content["project"]


def plain(requirement: str) -> str:
    """Return the name that a requirement begins with."""
    return re.split(r"[^A-Za-z0-9_.-]", requirement)[0].lower()


def modules_imported(folder: Path) -> set[str]:
    """Return the top names of all modules that the files of a folder import, at any depth."""
    found: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                found.add(str(node.module).partition(".")[0])
    return found - set(sys.stdlib_module_names)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Build the source archive, and from it the wheel; return both."""
    folder = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)],
        check=True,
        capture_output=True,
    )
    (source,), (wheel,) = folder.glob("*.tar.gz"), folder.glob("*.whl")
    return source, wheel


@pytest.fixture(scope="module")
def python(built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel into a new environment that borrows the dependencies; return its Python."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False)
    scripts = folder / ("Scripts" if sys.platform == "win32" else "bin")
    python = scripts / ("python.exe" if sys.platform == "win32" else "python")
    install = ["install", "-q", "--no-deps", "--no-index", "--disable-pip-version-check"]
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(python), *install, str(built[1])],
        check=True,
    )
    # a folder added by a .pth file is searched last, and its own .pth files are not read: the
    # moistwall that these tests may be installed with as editable is out of sight
    borrowed = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (installed_package(python).parent / "borrowed.pth").write_text(
        "\n".join(sorted(borrowed)), encoding="utf-8"
    )
    return python


def installed_package(python: Path) -> Path:
    """Return the folder of the installed package."""
    (package,) = python.parents[1].rglob("site-packages/moistwall")
    return package


def data_in(names: list[str]) -> list[str]:
    """Return the data files among the names in a wheel, as paths in the checkout."""
    inside = [PurePosixPath(name) for name in names if name.startswith("moistwall/_data/")]
    return sorted(str(PurePosixPath(*path.parts[2:])) for path in inside)


def test_wheel_has_the_data_that_git_knows(built: tuple[Path, Path]) -> None:
    """The wheel, built through the source archive, has exactly the tracked data files."""
    if not shutil.which("git") or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(
        ["git", "ls-files", *DATA], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert data_in(zipfile.ZipFile(built[1]).namelist()) == sorted(listed.stdout.split())


def test_wheel_has_the_package_and_nothing_else(built: tuple[Path, Path]) -> None:
    """Besides data and metadata the wheel has the package's own files, and all of them."""
    names = zipfile.ZipFile(built[1]).namelist()
    inside = {
        name
        for name in names
        if not name.startswith("moistwall/_data/") and ".dist-info/" not in name
    }
    package = ROOT / "moistwall"
    own = {
        path.relative_to(ROOT).as_posix()
        for path in package.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert inside == own
    assert "moistwall/py.typed" in inside


def test_source_archive_has_what_git_knows(built: tuple[Path, Path]) -> None:
    """The source archive has every tracked file, so that it can be tested, and no other folders."""
    if not shutil.which("git") or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout.split()
    with tarfile.open(built[0]) as archive:
        names = {entry.name.partition("/")[2] for entry in archive if entry.isfile()}
    tracked = {name for name in listed if (ROOT / name).is_file()}
    assert tracked - names == set()
    tops = {name.partition("/")[0] for name in names}
    assert tops - {name.partition("/")[0] for name in listed} == {"PKG-INFO"}


def test_metadata(built: tuple[Path, Path]) -> None:
    """The wheel's metadata tell version, license, Python and the dependencies of pyproject.toml."""
    with zipfile.ZipFile(built[1]) as wheel:
        (path,) = (name for name in wheel.namelist() if name.endswith(".dist-info/METADATA"))
        metadata = Parser().parsestr(wheel.read(path).decode("utf-8"))
    assert metadata["Name"] == "moistwall"
    assert metadata["Version"] == __version__
    assert metadata["License-Expression"] == "MIT"
    assert metadata["Requires-Python"] == ">=3.11"
    always = [one for one in metadata.get_all("Requires-Dist", []) if "extra ==" not in one]
    declared = project()["dependencies"]
    assert isinstance(declared, list)
    assert sorted(map(plain, always)) == sorted(map(plain, declared))


def test_installed_copy_runs_alone(python: Path, tmp_path: Path) -> None:
    """In an empty folder and isolated, the installed copy finds its own data, not the checkout's."""
    code = (
        "import moistwall.library as library\n"
        "for kind in ('materials', 'climates', 'criteria', 'examples'):\n"
        "    print(library.data_folder(kind))\n"
        "print(*library.material_names(), sep=', ')\n"
        "print(*library.climate_names(), sep=', ')\n"
    )
    shown = subprocess.run(
        [str(python), "-I", "-c", code], cwd=tmp_path, check=True, capture_output=True, text=True
    )
    *folders, materials, climates = shown.stdout.splitlines()
    assert [Path(folder) for folder in folders] == [
        installed_package(python) / "_data" / kind for kind in DATA
    ]
    assert materials == ", ".join(moistwall.library.material_names())
    assert climates == ", ".join(moistwall.library.climate_names())


@pytest.mark.slow
def test_installed_command_does_the_main_job(python: Path, tmp_path: Path) -> None:
    """In an empty folder the installed command runs the example wall through the shipped year."""
    command = [str(python.with_name("moistwall")), "run", "examples/heron-point-wall.toml"]
    subprocess.run(
        [*command, "--climate", "miami", "--json", "out.json", "--quiet"],
        cwd=tmp_path,
        env={key: value for key, value in os.environ.items() if key != "PYTHONPATH"},
        check=True,
    )
    summary = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    assert [path.name for path in tmp_path.iterdir()] == ["out.json"]
    assert summary["balance"]["moisture_relative"] <= 1e-9
    assert summary["balance"]["heat_relative"] <= 1e-6
    assert len(summary["rainscreen"]["removed_kg_m2"]) == 12


def test_dependencies_are_complete_and_no_more() -> None:
    """Every module that the package imports is declared, and everything declared is imported."""
    imported = modules_imported(ROOT / "moistwall") - {"moistwall"}
    declared = project()["dependencies"]
    assert isinstance(declared, list)
    assert {PART_OF.get(name, name) for name in imported} == set(map(plain, declared))


def test_test_extra_is_complete() -> None:
    """What the tests import, and what a script package they use imports, comes with ``test``."""
    folder = ROOT / "tests"
    scripts = [path.parent for path in (ROOT / "scripts").glob("*/__init__.py")]
    own = {path.stem for path in (folder / "helpers").glob("*.py")} | {"moistwall"}
    own |= {script.name for script in scripts}
    imported = modules_imported(folder)
    for script in scripts:
        if script.name in imported:
            imported |= modules_imported(script)
    content = project()
    extras, dependencies = content["optional-dependencies"], content["dependencies"]
    assert isinstance(extras, dict)
    assert isinstance(dependencies, list)
    known = set(map(plain, [*dependencies, *extras["test"]]))
    assert {PART_OF.get(name, name) for name in imported - own} <= known


@pytest.fixture
def package_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make the library believe that its package lies in a checkout; return the checkout."""
    (tmp_path / "materials").mkdir()
    place = tmp_path / "moistwall" / "library" / "shipped.py"
    monkeypatch.setattr(shipped, "__file__", str(place))
    return tmp_path


def test_data_beside_the_package_only_in_a_checkout(package_elsewhere: Path) -> None:
    """A folder beside the package counts where pyproject.toml names moistwall."""
    text = '[project]\nname = "moistwall"\n'
    (package_elsewhere / "pyproject.toml").write_text(text, encoding="utf-8")
    assert data_folder("materials") == package_elsewhere / "materials"


@pytest.mark.parametrize("text", [None, "", '[project]\nname = "other"\n', "[project\n", b"\xff"])
def test_data_of_another_project_are_not_taken(
    package_elsewhere: Path, text: str | bytes | None
) -> None:
    """A folder called materials beside the package is not taken in any other project."""
    if text is not None:
        content = text if isinstance(text, bytes) else text.encode()
        (package_elsewhere / "pyproject.toml").write_bytes(content)
    with pytest.raises(InputError, match="missing from this installation"):
        data_folder("materials")


def test_data_inside_the_package_come_first(package_elsewhere: Path) -> None:
    """Where the package has data of its own, nothing beside it is looked at."""
    text = '[project]\nname = "moistwall"\n'
    (package_elsewhere / "pyproject.toml").write_text(text, encoding="utf-8")
    inside = package_elsewhere / "moistwall" / "_data" / "materials"
    inside.mkdir(parents=True)
    assert data_folder("materials") == inside


README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_ci_runs_the_test_command_of_the_readme() -> None:
    """`.ci/run` takes its command from README.md, where it stands below its marker."""
    if not shutil.which("bash"):
        pytest.skip("no bash")
    (command,) = re.findall(r"<!-- test command -->\n+```\w*\n(.+)\n```\n", README)
    shown = subprocess.run(
        ["bash", ".ci/run", "--list"], cwd=ROOT, check=True, capture_output=True, text=True
    )
    assert shown.stdout == f"README's test command: {command}\n"
    assert re.fullmatch(r"python3 -m venv .+ && .+pip install .+ && .+pytest .+", command)


@pytest.mark.parametrize(
    "name",
    [
        "README.md",
        "DEVELOPERS.md",
        *(str(path.relative_to(ROOT)) for path in sorted((ROOT / "docs").glob("*.md"))),
    ],
)
def test_links_lead_somewhere(name: str) -> None:
    """Every relative link in the documents leads to a file of the project."""
    text = (ROOT / name).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)\s]+)\)", text)
    local = [link.partition("#")[0] for link in links if "://" not in link]
    missing = [link for link in local if link and not ((ROOT / name).parent / link).exists()]
    assert missing == []


def test_fragments_have_a_kind() -> None:
    """Every fragment of changelog.d has one of the kinds that CHANGELOG.md explains, and text."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    kinds = set(re.findall(r"^\| `(\w+)` \|", text, flags=re.MULTILINE))
    fragments = sorted((ROOT / "changelog.d").iterdir())
    assert kinds == {"breaking", "physics", "fix", "feature", "docs"}
    for path in fragments:
        assert re.fullmatch(rf"[a-z0-9-]+\.({'|'.join(kinds)})\.md", path.name), path.name
        assert path.read_text(encoding="utf-8").strip()
