"""Pages of one file: what is inside, what is escaped, and what a browser is told to let in."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from moistwall.show.drawing import Drawing, number_text, verdict_mark
from moistwall.show.page import page_source, policy_hash
from moistwall.show.palette import LAYER_FILL

EVIL = "<script>alert('1')</script> & \"co\""


def test_hash_of_a_known_text() -> None:
    """The hash of a style or script is the one that the policy's own standard prints."""
    # W3C, Content Security Policy Level 3, section 8.3: alert('Hello, world.');
    known = "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="
    assert policy_hash("alert('Hello, world.');") == known


@pytest.mark.parametrize("kind", LAYER_FILL)
def test_every_kind_of_material_can_be_drawn(kind: str) -> None:
    """Each kind of material has its fill and its hatch on pages too, in light, dark and print."""
    style = page_source("page.css")
    assert f".drawing .layer-{kind} {{ fill: var(--{kind})" in style
    assert f".drawing .hatch-{kind} {{ fill: url(#hatch-{kind})" in style
    assert len(re.findall(rf"--{kind}: #", style)) == 3
    assert f'id="hatch-{kind}"' in page_source("patterns.svg")


def test_drawing_is_sound_and_escapes() -> None:
    """A drawing is XML that can be read, in which texts from files are text."""
    drawing = Drawing(90, EVIL, "told: " + EVIL)
    with drawing.group("marks", data_of=EVIL):
        drawing.text("strong", 50.0, 20.0, EVIL)
        drawing.line("edge", 0, 1, 100, 1)
    with drawing.frame(10.0, 5.0, 80.0, 40.0, (365.0, 100.0)) as frame:
        frame.path("dew", [(0, 1.234), (365, -0.0001)])
    svg = str(drawing.svg())
    assert "<script" not in svg
    tree = ElementTree.fromstring(svg)
    assert [one.text for one in tree.iter("text")] == [EVIL]
    assert tree.find("g").attrib["data-of"] == EVIL  # type: ignore[union-attr]
    assert [one.attrib["d"] for one in tree.iter("path")] == ["M0 1.23L365 0"]


def test_coordinates_are_short() -> None:
    """Coordinates have at most two decimals and no minus before a zero."""
    assert [number_text(value) for value in (1.0, 0.125, -0.001, 100)] == ["1", "0.12", "0", "100"]


def test_marks_of_verdicts_differ_in_shape() -> None:
    """Each verdict has a mark of its own shape, and none has a color of its own."""
    marks = {word: str(verdict_mark(word)) for word in ("dries", "marginal", "stays wet")}
    assert len(set(marks.values())) == 3
    assert not any(re.search(r"(?:fill|stroke|style)=", mark) for mark in marks.values())
