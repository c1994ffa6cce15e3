"""Whether pictures come out whole on paper: marks before and behind each, found on the same page of the PDF."""

from __future__ import annotations

import io
from typing import Any

import pypdf

MARK = """
() => [...document.querySelectorAll('figure')].map((one, k) => {
  for (const [where, text] of [['afterbegin', `begin${k}x`], ['beforeend', `end${k}x`]]) {
    const mark = document.createElement('p');
    mark.textContent = text;
    one.insertAdjacentElement(where, mark);
  }
  return k;
})
"""

WIDTHS = {"Letter": 8.5, "A4": 8.27}
"""Of the paper. [in]"""

MARGINS = 2 * 14 / 25.4
"""Both margins of the page's own style. [in]"""


def cut_pictures(page: Any, paper: str) -> list[int]:
    """Return the pictures that begin on one page and end on another.

    Parameters
    ----------
    page : Page
        An open page; marks are put into it.
    paper : {'Letter', 'A4'}
        What it is printed on.
    """
    pictures: list[int] = page.evaluate(MARK)
    assert pictures
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    width = int((WIDTHS[paper] - MARGINS) * 96.0)
    page.set_viewport_size({"width": width, "height": 900})
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    content = page.pdf(format=paper, prefer_css_page_size=False, print_background=True)
    texts = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(content)).pages]
    assert sum("begin0x" in text for text in texts) == 1
    return [
        k
        for k in pictures
        if not any(f"begin{k}x" in text and f"end{k}x" in text for text in texts)
    ]
