"""Materials as they are shown: list, page, pictures and numbers."""

from __future__ import annotations

import numpy as np
import pytest

from moistwall.library import find_film, find_material, find_record, material_names
from moistwall.show.material_facts import material_facts, parts_of
from moistwall.show.material_list import LEGEND, list_text
from moistwall.show.material_pictures import material_figure
from moistwall.show.material_summary import material_summary
from moistwall.show.material_text import curve_points, given_text, material_text
from moistwall.units import PERM


def words(text: str) -> str:
    """Give a text without its line breaks."""
    return " ".join(text.split())


@pytest.mark.parametrize("system", ["ip", "si"])
def test_list_has_one_line_for_each(system: str) -> None:
    """Each material has a line with its class and quality; two heads, a blank and the legend beside."""
    told = [material_facts(name) for name in material_names()]
    lines = list_text(told, system).splitlines()  # type: ignore[arg-type]
    assert len(lines) == len(told) + 2 + 1 + len(LEGEND)
    for one in told:
        (line,) = (
            line for line in lines if line.startswith(f"{one.entry.name:28} {one.entry.kind} ")
        )
        assert f" {one.vapor_class} " in line
        assert line.endswith(one.quality)
    assert max(map(len, lines)) <= 110


def test_line_of_osb() -> None:
    """OSB's line: R-1.41 per inch, 0.75 and 2 perm at 7/16 in, class II, 12 %MC, from memory."""
    (line,) = (
        line for line in list_text([material_facts("OSB")], "ip").splitlines() if "OSB" in line
    )
    assert words(line) == "OSB sheathing 7/16 in 1.4 0.75 2 II 12.0 %MC sensitive memory"


@pytest.mark.parametrize("name", material_names())
def test_page_tells_the_source_of_every_number(name: str) -> None:
    """Each group's number as given, its source, quality and range stand in the page, 80 columns wide."""
    facts = material_facts(name)
    text = material_text(facts, "ip")
    assert max(map(len, text.splitlines())) <= 80
    told = words(text)
    parts = parts_of(facts.entry)
    for part in parts:
        record = facts.record if len(parts) == 1 else find_record(part.name)
        for group in record.content.values():
            if isinstance(group, dict):
                assert words(given_text(group)) in told
                assert words(f"[{group['quality']}] {group['source']}") in told
                for valid in group["valid"]:
                    assert valid in told


def test_page_tells_the_fit_and_its_error() -> None:
    """A fitted formula is named after its authors, with parameters and what it misses its points by."""
    told = words(material_text(material_facts("sheep wool"), "ip"))
    assert "formula of Guggenheim-Anderson-de Boer through its points (m [kg/m3]" in told
    assert "it misses them by" in told
    assert "monotone cubic" in words(material_text(material_facts("OSB"), "ip"))


def test_page_warns() -> None:
    """Cautions of a material and its opening when damp are told."""
    board = words(material_text(material_facts("magnesium-oxide board"), "si"))
    assert "Caution: Deliquescent" in board
    assert "above 1 perm when damp" in material_text(material_facts("plywood"), "ip")
    assert "above 1 perm when damp" not in material_text(material_facts("polyethylene"), "ip")


def test_curves_are_those_of_the_material() -> None:
    """The table's curves are the material's own functions; a film has its permeance alone."""
    osb = find_material("OSB")
    points = curve_points(osb, 0.0111125)
    at = int(np.argmin(np.abs(points["rh"] - 0.8)))
    assert points["content"][at] == pytest.approx(78.0)
    assert points["content"][-1] == pytest.approx(osb.storage.free)
    np.testing.assert_allclose(points["permeance"] * 0.0111125, points["permeability"])
    assert osb.diffusivity is not None
    np.testing.assert_allclose(points["diffusivity"], osb.diffusivity(points["content"]))
    film = curve_points(find_film("latex paint"), None)
    assert set(film) == {"rh", "permeance"}


@pytest.mark.parametrize(("name", "panels"), [("OSB", 4), ("EPS", 4), ("polyamide membrane", 1)])
def test_pictures_have_a_panel_a_curve(name: str, panels: int) -> None:
    """A material has four panels and a film one, each with its source beneath."""
    facts = material_facts(name)
    (part,) = parts_of(facts.entry)
    figure = material_figure(facts, part, facts.record, "ip")
    assert len(figure.axes) == panels
    texts = words(" ".join(text.get_text() for text in figure.texts))
    group = "vapor" if panels == 1 else "storage"
    assert part.sources[group].text[:40] in texts


def test_picture_shows_the_points_of_the_source() -> None:
    """The sorption panel has the curve and the six points that OSB's file gives, on the curve."""
    facts = material_facts("OSB")
    figure = material_figure(facts, find_material("OSB"), facts.record, "si")
    curve, points = figure.axes[0].lines
    assert len(points.get_xdata()) == 6
    at = np.interp(points.get_xdata(), curve.get_xdata(), curve.get_ydata())
    np.testing.assert_allclose(points.get_ydata(), at, rtol=0.01)


def test_numbers_of_a_board() -> None:
    """The JSON of a board has each part once, with curves and spreads in SI and its file as given."""
    data = material_summary(material_facts("foil-faced polyiso"))
    assert [part["name"] for part in data["parts"]] == ["foil facer", "polyiso core under foil"]
    assert data["dry_cup_kg_m2_s_Pa"] == pytest.approx(0.0295 * PERM, rel=0.01)
    foil = data["parts"][0]
    assert foil["as_given"]["vapor"]["value"] == "0.06 perm"
    np.testing.assert_allclose(foil["curves"]["permeance_kg_m2_s_Pa"], 0.06 * PERM)
    (dry,) = (one for one in foil["spreads"] if one["field"] == "vapor.dry_cup")
    assert (dry["low"], dry["high"]) == pytest.approx((0.02 * PERM, 0.1 * PERM))


def test_words_find_by_kind_alias_and_note() -> None:
    """All words must stand in name, kind, other names or note, in any order and case."""
    assert material_facts("OSB").speaks_of("Oriented SHEATHING")
    assert material_facts("cellulose").speaks_of("borates wool")
    assert not material_facts("OSB").speaks_of("oriented foam")
