"""Drawings for pages: SVG whose texts keep their size while the shapes take the width of the page.

Across, places are percent of the width; down, they are pixels. What has a shape of its own, such as a
curve over the year, is drawn in a `Frame`, which stretches it. Looks come from the classes of ``page.css``;
all texts are escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markupsafe import Markup


def number_text(value: float) -> str:
    """A coordinate with at most two decimals.

    Parameters
    ----------
    value : float
        The coordinate.
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attributes(given: dict[str, str | float | None]) -> str:
    from markupsafe import escape

    texts = []
    for name, value in given.items():
        if value is not None:
            shown = number_text(value) if isinstance(value, (int, float)) else str(escape(value))
            texts.append(f' {name.rstrip("_").replace("_", "-")}="{shown}"')
    return "".join(texts)


def percent(value: float) -> str:
    """A place across the page.

    Parameters
    ----------
    value : float
        From 0 to 100.
    """
    return number_text(value) + "%"


class Drawing:
    """A drawing as wide as the page.

    Parameters
    ----------
    height : float
        [px]
    title : str
        What a screen reader says it is.
    told : str
        What is seen in it, in a sentence or two, for who does not see it.
    """

    def __init__(self, height: float, title: str, told: str = "") -> None:
        self._height, self._title, self._told = height, title, told
        self._body: list[str] = []

    def shape(self, tag: str, class_: str, **attributes: str | float | None) -> None:
        """Draw an SVG element without content.

        Parameters
        ----------
        tag, class_ : str
            Element and classes.
        **attributes
            As in SVG, with ``_`` for ``-``.
        """
        self._body.append(f"<{tag}{_attributes({'class': class_ or None, **attributes})}/>")

    def rect(
        self, class_: str, x: float, y: float, width: float, height: float, **more: str | float
    ) -> None:
        """Draw a rectangle.

        Parameters
        ----------
        class_ : str
            Its classes.
        x, width : float
            [%]
        y, height : float
            [px]
        **more
            Further attributes.
        """
        across = {"x": percent(x), "width": percent(width)}
        self.shape("rect", class_, y=y, height=height, **across, **more)

    def line(self, class_: str, x1: float, y1: float, x2: float, y2: float, **more: str) -> None:
        """Draw a straight line.

        Parameters
        ----------
        class_ : str
            Its classes.
        x1, x2 : float
            [%]
        y1, y2 : float
            [px]
        **more
            Further attributes.
        """
        self.shape("line", class_, x1=percent(x1), y1=y1, x2=percent(x2), y2=y2, **more)

    def circle(self, class_: str, x: float, y: float, radius: float, **more: str) -> None:
        """Draw a circle.

        Parameters
        ----------
        class_ : str
            Its classes.
        x : float
            [%]
        y, radius : float
            [px]
        **more
            Further attributes.
        """
        self.shape("circle", class_, cx=percent(x), cy=y, r=radius, **more)

    def text(self, class_: str, x: float, y: float, text: str, **more: str | float | None) -> None:
        """Write a text.

        Parameters
        ----------
        class_ : str
            Its classes; 'middle' or 'end' say where it is anchored.
        x : float
            [%]
        y : float
            [px], of the baseline.
        text : str
            The text.
        **more
            Further attributes; ``dx`` moves it by pixels.
        """
        from markupsafe import escape

        at = _attributes({"class": class_ or None, "x": percent(x), "y": y, **more})
        self._body.append(f"<text{at}>{escape(text)}</text>")

    def glyph(self, class_: str, x: float, y: float, path: str) -> None:
        """Draw a small shape that keeps its size.

        Parameters
        ----------
        class_ : str
            Its classes.
        x : float
            Where its origin lies. [%]
        y : float
            [px]
        path : str
            Path of SVG in pixels about the origin.
        """
        at = _attributes({"x": percent(x), "y": y, "width": 1, "height": 1})
        inside = _attributes({"class": class_, "d": path})
        self._body.append(f'<svg{at} overflow="visible"><path{inside}/></svg>')

    def image(
        self, png: bytes, x: float, y: float, width: float, height: float, class_: str = ""
    ) -> None:
        """Lay a picture into a rectangle, stretched to it.

        Parameters
        ----------
        png : bytes
            A PNG file.
        x, width : float
            [%]
        y, height : float
            [px]
        class_ : str
            Its classes.
        """
        import base64

        self.shape(
            "image", class_, x=percent(x), y=y, width=percent(width), height=height,
            preserveAspectRatio="none",
            href="data:image/png;base64," + base64.b64encode(png).decode("ascii"),
        )  # fmt: skip

    @contextmanager
    def group(self, class_: str = "", **attributes: str | float | None) -> Iterator[None]:
        """Draw what follows inside a group.

        Parameters
        ----------
        class_ : str
            Its classes.
        **attributes
            As in SVG.
        """
        self._body.append(f"<g{_attributes({'class': class_ or None, **attributes})}>")
        yield
        self._body.append("</g>")

    @contextmanager
    def frame(
        self, x: float, y: float, width: float, height: float, size: tuple[float, float]
    ) -> Iterator[Frame]:
        """Open a frame of its own coordinates, stretched to its rectangle.

        Parameters
        ----------
        x, width : float
            [%]
        y, height : float
            [px]
        size : (float, float)
            What its width and height count inside.
        """
        at = _attributes(
            {
                "x": percent(x), "y": y, "width": percent(width), "height": height,
                "viewBox": f"0 0 {number_text(size[0])} {number_text(size[1])}",
                "preserveAspectRatio": "none",
            }
        )  # fmt: skip
        inside: list[str] = []
        yield Frame(inside)
        self._body.append(f"<svg{at}>{''.join(inside)}</svg>")

    def svg(self, class_: str = "") -> Markup:
        """Give the drawing for a page.

        Parameters
        ----------
        class_ : str
            Classes besides 'drawing'.
        """
        from markupsafe import Markup

        # no <title>: browsers would show it over what is pointed at
        label = _attributes({"aria_label": " ".join(filter(None, (self._title + ".", self._told)))})
        classes = _attributes({"class": f"drawing {class_}".strip()})
        return Markup(
            f'<svg{classes} height="{number_text(self._height)}" role="img"{label}>'
            f"{''.join(self._body)}</svg>"
        )


class Frame:
    """Part of a drawing with coordinates of its own, from 0, 0 at its upper left."""

    def __init__(self, body: list[str]) -> None:
        self._body = body

    def path(self, class_: str, points: Iterable[Sequence[float]], closed: bool = False) -> None:
        """Draw a run of straight lines.

        Parameters
        ----------
        class_ : str
            Its classes.
        points : iterable of (x, y)
            Where it goes.
        closed : bool
            Whether it returns to its start.
        """
        run = "L".join(f"{number_text(float(x))} {number_text(float(y))}" for x, y in points)
        if run:
            self._body.append(
                f'<path{_attributes({"class": class_})} d="M{run}{"Z" if closed else ""}"/>'
            )

    def rect(self, class_: str, x: float, y: float, width: float, height: float) -> None:
        """Draw a rectangle.

        Parameters
        ----------
        class_ : str
            Its classes.
        x, y, width, height : float
            In the frame's coordinates.
        """
        at: dict[str, str | float | None] = {"x": x, "y": y, "width": width, "height": height}
        self._body.append(f"<rect{_attributes({'class': class_, **at})}/>")


def verdict_mark(word: str) -> Markup:
    """The mark of a verdict, in the ink of the text: a ring, a lozenge with a wave, a filled square.

    Parameters
    ----------
    word : {'dries', 'marginal', 'stays wet'}
        The verdict; the mark stands beside the word and is hidden from screen readers.
    """
    from markupsafe import Markup

    shapes = {
        "dries": '<circle cx="10" cy="10" r="7"/>',
        "marginal": '<path d="M10 1.5L18.5 10L10 18.5L1.5 10Z"/>'
        '<path d="M5.5 10c1.5-2.6 3-2.6 4.5 0s3 2.6 4.5 0"/>',
        "stays wet": '<rect class="solid" x="3" y="3" width="14" height="14"/>',
    }
    return Markup(
        f'<svg class="mark" viewBox="0 0 20 20" aria-hidden="true" focusable="false">{shapes[word]}</svg>'
    )
