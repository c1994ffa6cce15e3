"""Whether the texts of a picture can be read: none upon another, none beyond the paper."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox


def boxes(figure: Figure, texts: Iterable[Text]) -> list[tuple[str, Bbox]]:
    """Return what texts say and the rectangles that they take on paper."""
    figure.draw_without_rendering()
    return [(text.get_text(), text.get_window_extent()) for text in texts if text.get_text()]


def beyond_the_ends(axes: Axes) -> set[Text]:
    """Return the labels of marks that lie beyond the ends of an axis and are not drawn."""
    hidden = set()
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        for mark in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
            if not low <= mark.get_loc() <= high:
                hidden |= {mark.label1, mark.label2}
    return hidden


def assert_readable(figure: Figure) -> None:
    """No two texts of the picture lie upon each other, and none leaves the paper."""
    figure.draw_without_rendering()
    hidden = set[Text]().union(*map(beyond_the_ends, figure.axes))
    texts = [
        text
        for text in figure.findobj(Text)
        if isinstance(text, Text) and text.get_visible() and text not in hidden
    ]
    assert texts
    found = boxes(figure, texts)
    paper = figure.bbox
    for text, box in found:
        assert paper.x0 <= box.x0 <= box.x1 <= paper.x1, text
        assert paper.y0 <= box.y0 <= box.y1 <= paper.y1, text
    for (text, box), (other, of_other) in combinations(found, 2):
        shared = Bbox.intersection(box, of_other)
        assert shared is None or shared.width * shared.height < 1.0, f"'{text}' upon '{other}'"
