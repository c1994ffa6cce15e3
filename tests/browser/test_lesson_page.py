"""The papers of a lesson in a real browser: guesses are scored, moments and variants show the run's values."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from contrast import low_contrast
from lessons import lesson

from moistwall.lesson.page import lesson_handout, lesson_key, lesson_page

LETTER_HEIGHT = (11.0 - 2 * 14 / 25.4) * 96.0
"""What a Letter page has between its margins. [px]"""


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the files of the small lesson, for the trade, which has all there is."""
    folder = tmp_path_factory.mktemp("lesson")
    made = {
        "page": lesson_page(lesson(), trade=True),
        "handout": lesson_handout(lesson(), trade=True),
        "key": lesson_key(lesson(), trade=True),
    }
    for name, content in made.items():
        (folder / f"{name}.html").write_text(content, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in made}


def data_of(page: Any) -> dict[str, Any]:
    """Return the numbers in a page."""
    return dict(json.loads(page.text_content("#data")))


def missing(drawing: Any, still: dict[str, Any]) -> list[float]:
    """Return the dew points of a still that no number of a drawing is the rounded value of."""
    shown = [float(text.text_content()) for text in drawing.locator("text.strong").all()]
    heights = [step["dew_point_degF"] for step in still["steps"]]
    return [height for height in heights if min(abs(height - one) for one in shown) > 0.51]


def answer(page: Any, question: dict[str, Any], right: bool) -> None:
    """Guess one question with the keyboard alone, rightly or wrongly, and have it checked."""
    form = page.locator(f"#question-{question['key']}")
    if question["kind"] == "steps":
        for slider, value in zip(
            form.locator("input[type=range]").all(), question["answers"], strict=True
        ):
            slider.focus()
            page.keyboard.press("Home")
            low = int(slider.get_attribute("min"))
            for _ in range(int(value) - low if right else 0):
                page.keyboard.press("ArrowRight")
    else:
        for row, value in zip(form.locator("fieldset").all(), question["answers"], strict=True):
            for choice in row.locator("input").all():
                said = choice.get_attribute("value")
                if (said == value) == right and said not in question["near"]:
                    choice.focus()
                    page.keyboard.press("Space")
                    break
    form.locator("button").focus()
    page.keyboard.press("Enter")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1024, 1920])
def test_papers_fit_and_can_be_read(
    open_page: Any, papers: dict[str, Path], width: int, scheme: str
) -> None:
    """At every width and in both schemes nothing sticks out, and every text has AA contrast."""
    for name, path in papers.items():
        page = open_page(path, width=width, scheme=scheme)
        if name == "page":
            page.click("#open-all")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
        assert low_contrast(page) == [], name


def test_right_guesses_get_all_points(open_page: Any, papers: dict[str, Path]) -> None:
    """With the keyboard alone, the run's own answers get every point, and the storyboard opens."""
    page = open_page(papers["page"])
    assert not page.is_visible("#storyboard")
    asked = data_of(page)["questions"]
    for question in asked:
        answer(page, question, right=True)
    assert f"{len(asked)}.00 of {len(asked)} points" in page.text_content("#total")
    assert page.is_visible("#storyboard")
    assert page.is_visible("#question-joint .answer p")


def test_wrong_guesses_get_none(open_page: Any, papers: dict[str, Path]) -> None:
    """Other choices get no point, and an empty guess is asked for first."""
    page = open_page(papers["page"])
    page.click("#question-ways button")
    assert page.text_content("#question-ways .score") == "Choose first."
    for question in data_of(page)["questions"]:
        answer(page, question, right=False)
    assert page.text_content("#total").startswith("0.00 of ")


def test_moments_show_the_values_of_the_run(open_page: Any, papers: dict[str, Path]) -> None:
    """By arrow keys each moment shows alone, with the dew points that are stored for it."""
    page = open_page(papers["page"])
    page.click("#open-all")
    data = data_of(page)
    page.focus("input[name=moment]:checked")
    for moment in range(len(data["moments"])):
        shown = page.locator(".moment:visible")
        assert shown.count() == 1
        assert data["moments"][moment]["name"] in shown.locator("h3").text_content()
        for drawing, told in zip(shown.locator("svg").all(), data["designs"], strict=True):
            assert missing(drawing, told["stills"][moment]) == []
        page.keyboard.press("ArrowRight")


def test_what_if_shows_the_chosen_run(open_page: Any, papers: dict[str, Path]) -> None:
    """Each choice shows its own dampest joint and hours, and draws its own staircase."""
    page = open_page(papers["page"])
    page.click("#open-all")
    seen = set()
    for variant in data_of(page)["variants"]:
        for n, value in enumerate(variant["choice"]):
            page.check(f"input[name=factor-{n}][value='{value}']")
        (joint,) = (j for j in variant["joints"] if j["name"] == variant["dampest_joint"])
        told = page.text_content("#variant-told")
        assert f"{joint['name']}, {joint['hours_rh_80']} hours" in told
        assert missing(page.locator("#variant-steps"), variant["stills"][0]) == []
        seen.add(told)
    assert len(seen) == len(data_of(page)["variants"])


def test_without_script_all_is_there(open_page: Any, papers: dict[str, Path]) -> None:
    """With scripts switched off every moment is shown and every answer can be unfolded."""
    page = open_page(papers["page"], script=False)
    assert page.locator(".moment:visible").count() == len(lesson().moments)
    assert page.locator("details.answer").count() == 5


@pytest.mark.parametrize("name", ["page", "handout", "key"])
def test_print_cuts_no_figure(open_page: Any, papers: dict[str, Path], name: str) -> None:
    """On paper every figure is shorter than a page and may not be broken, and none is wider."""
    page = open_page(papers[name], width=720, media="print")
    figures = page.evaluate(
        """[...document.querySelectorAll('figure')].map((one) => {
          const box = one.getBoundingClientRect();
          return [box.height, box.right, getComputedStyle(one).breakInside];
        })"""
    )
    for height, right, inside in figures:
        assert height < LETTER_HEIGHT
        assert right <= 720
        assert inside == "avoid"
    assert page.pdf(format="Letter").startswith(b"%PDF")


def test_screen_readers_are_told(open_page: Any, papers: dict[str, Path]) -> None:
    """Every control has a name, every drawing a label, and what changes is announced."""
    page = open_page(papers["page"])
    page.click("#open-all")
    nameless = page.evaluate(
        """[...document.querySelectorAll('input, button')].filter(
          (one) => !(one.labels?.length || one.textContent.trim())).length"""
    )
    assert nameless == 0
    unlabeled = "document.querySelectorAll('svg.drawing:not([aria-label])').length"
    assert page.evaluate(unlabeled) == 0
    assert page.locator("[role=status]").count() >= 3
