"""A result in a notebook, and the example notebook, whose cells are run here one after the other.

They are run in this process by `exec`, not by a notebook's own kernel: that would add a stack of servers and
sockets to the tests, while what can break on our side is the code of the cells and what they show.
"""

from __future__ import annotations

import ast
import html
import json
from pathlib import Path
from typing import Any

import pytest
from heron_point import year
from matplotlib.figure import Figure

from moistwall.library import data_folder
from moistwall.result import Result


@pytest.fixture(scope="module")
def notebook() -> dict[str, Any]:
    """Return the example notebook."""
    text = (data_folder("examples") / "heron-point.ipynb").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def run_cell(source: str, names: dict[str, Any]) -> Any:
    """Run a cell and return what it shows: the value of its last line, if that is an expression."""
    tree = ast.parse(source)
    last = tree.body[-1]
    if not isinstance(last, ast.Expr):
        exec(compile(tree, "cell", "exec"), names)
        return None
    exec(compile(ast.Module(tree.body[:-1], []), "cell", "exec"), names)
    return eval(compile(ast.Expression(last.value), "cell", "eval"), names)


def test_example_notebook_runs(
    notebook: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    """Every cell runs; they show a result, figures and the hours of outdoor air."""
    names: dict[str, Any] = {}
    shown = [
        run_cell("".join(cell["source"]), names)
        for cell in notebook["cells"]
        if cell["cell_type"] == "code"
    ]
    assert isinstance(shown[0], Result)
    assert sum(isinstance(one, Figure) for one in shown) == 2
    printed = capsys.readouterr().out
    assert "sheltered outdoor air 2763" in printed
    assert all(place.name in printed for place in shown[0].places)


def test_example_notebook_is_clean(notebook: dict[str, Any]) -> None:
    """It is a notebook of format 4.5 without outputs, whose cells have ids of their own."""
    assert (notebook["nbformat"], notebook["nbformat_minor"]) == (4, 5)
    ids = [cell["id"] for cell in notebook["cells"]]
    assert len(set(ids)) == len(ids)
    for cell in notebook["cells"]:
        assert cell.get("outputs", []) == []
        assert cell.get("execution_count") is None


def test_result_shows_itself(tmp_path: Path) -> None:
    """A result shows the first sheets of its report in a frame; its plain form is one line."""
    result = year("roof")
    shown = result._repr_html_()
    assert shown.startswith("<iframe ")
    page = html.unescape(shown.partition('srcdoc="')[2].removesuffix('"></iframe>'))
    assert page.startswith("<!doctype html>")
    assert f"<h1>{result.section_name}</h1>" in page
    assert 'id="year"' in page
    assert 'id="interfaces"' not in page
    assert 'id="cautions"' in page
    assert len(shown) < 400_000
    assert len(repr(result)) < 200
    assert result.section_name in repr(result)
