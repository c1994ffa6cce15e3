"""``moistwall materials``: the list, one material, checks of files, and what is refused."""

import json
import tomllib

import pytest
from click.testing import CliRunner

from moistwall.cli import main
from moistwall.library import data_folder, material_names
from moistwall.material_file import read_material_file


def run(*arguments):
    return CliRunner().invoke(main, ["materials", *arguments])


def test_the_list_has_a_line_for_each():
    """More than sixty materials, films and boards, each on one line, in both systems."""
    for units in ("ip", "si"):
        shown = run("--units", units).stdout
        lines = shown.splitlines()
        assert len(material_names()) >= 60
        for name in material_names():
            assert sum(line.startswith(name[:26]) for line in lines) >= 1, name


def test_words_narrow_the_list():
    """Words list what speaks of all of them; the JSON has the same."""
    data = json.loads(run("polyiso", "--json", "-").stdout)
    names = {one["name"] for one in data["materials"]}
    assert {"foil-faced polyiso", "glass-faced polyiso"} <= names
    assert "OSB" not in names


def test_one_material_with_its_sources(tmp_path):
    """A name tells curves and the source of every number; pictures and JSON are written."""
    found = run("OSB", "--out", str(tmp_path / "osb"), "--json", str(tmp_path / "osb.json"))
    assert found.exit_code == 0, found.output
    assert "perm dry cup" in found.stdout
    assert "RP-1018" in found.stdout
    assert {path.suffix for path in (tmp_path / "osb").iterdir()} == {".png", ".svg"}
    json.loads((tmp_path / "osb.json").read_text(encoding="utf-8"))


def test_the_shipped_files_pass_their_check():
    """All shipped files are without fault."""
    found = run("--check", str(data_folder("materials")))
    assert found.exit_code == 0, found.output
    assert "no fault" in found.stdout


@pytest.mark.parametrize("sort", ["material", "film", "board"])
def test_templates_can_be_read(tmp_path, sort):
    """A template is a file that reads as it is."""
    text = run("--template", sort).stdout
    assert tomllib.loads(text)["type"] == sort
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    read_material_file(file)


def test_all_faults_of_all_files_at_once(tmp_path):
    """Two files with two mistakes each give four lines and exit code 2."""
    text = run("--template", "film").stdout
    for name in ("one", "two"):
        wrong = text.replace('type = "film"', 'type = "film"\nnonsense = 1')
        (tmp_path / f"{name}.toml").write_text(wrong, encoding="utf-8")
    found = run("--check", str(tmp_path))
    assert found.exit_code == 2
    assert found.stderr.count("nonsense") == 2
    assert "this name is taken" in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["no such thing"], "nothing has this name"),
        (["--out", "x"], "needs one material"),
        (["--template", "film", "--check", "x"], "cannot stand beside"),
        (["OSB", "--check", "x"], "cannot stand beside"),
        (["--check", "nowhere"], "no such file or folder"),
    ],
)
def test_what_is_refused(arguments, told):
    """Each mistake is told with what would be right, exit code 2."""
    found = run(*arguments)
    assert found.exit_code == 2
    assert told in found.stderr


def test_a_file_of_ones_own_is_told(tmp_path):
    """A file is told as a shipped material is, and a template without a word is that of a material."""
    text = run("--template").stdout
    assert tomllib.loads(text)["type"] == "material"
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    found = run(str(file), "--units", "si")
    assert found.exit_code == 0, found.output
    assert found.stdout.startswith("my board (material, ")
    assert "[estimate] invented" in found.stdout
    checked = run("--check", str(file))
    assert checked.stdout == "1 file checked: no fault, nothing unusual\n"


def test_what_is_unusual_is_told_and_passes(tmp_path):
    """A file without ranges passes its check with a remark; --quiet leaves that out."""
    lines = run("--template", "film").stdout.splitlines()
    text = "\n".join(line for line in lines if not line.startswith("valid"))
    file = tmp_path / "own.toml"
    file.write_text(text, encoding="utf-8")
    found = run("--check", str(file))
    assert found.exit_code == 0
    assert "does not say where it holds" in found.stderr
    quiet = run("--check", str(file), "--quiet")
    assert (quiet.exit_code, quiet.output) == (0, "")


def test_own_folder_joins_the_list(tmp_path, monkeypatch):
    """Materials of a folder in MOISTWALL_MATERIALS are listed with the others."""
    (tmp_path / "own.toml").write_text(run("--template", "film").stdout, encoding="utf-8")
    monkeypatch.setenv("MOISTWALL_MATERIALS", str(tmp_path))
    assert any(line.startswith("my membrane ") for line in run().stdout.splitlines())


def test_nothing_is_written_for_a_wrong_name(tmp_path):
    """With a name that nothing has, neither folder nor file appears."""
    out = tmp_path / "out"
    found = run("no such thing", "--out", str(out), "--json", str(tmp_path / "x.json"))
    assert found.exit_code == 2
    assert list(tmp_path.iterdir()) == []
