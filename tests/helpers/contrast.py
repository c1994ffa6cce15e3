"""Contrast of what a page shows, by the formula of WCAG 2.2."""

from __future__ import annotations

from typing import Any

FIND = """
() => {
  const number = text => text.match(/[\\d.]+/g).map(Number);
  const part = c => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const behind = node => {
    const before = node.previousElementSibling;
    if (before?.tagName === 'rect' && before.hasAttribute('fill'))
      return number(getComputedStyle(before).fill);
    for (let one = node; one; one = one.parentElement) {
      const fill = number(getComputedStyle(one).backgroundColor);
      if (fill.length < 4 || fill[3] === 1) return fill;
    }
    return [255, 255, 255];
  };
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || node.closest('script, style, .skip, title, desc')) continue;
    const style = getComputedStyle(node);
    const ink = number(node.closest('svg') ? style.fill : style.color);
    const pair = [light(ink), light(behind(node))].sort((a, b) => b - a);
    const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
    if (ratio < 4.5) found.push([walker.currentNode.data.trim().slice(0, 40), ratio]);
  }
  return found;
}
"""


def low_contrast(page: Any) -> list[list[object]]:
    """Return the texts that stand out by less than 4.5 : 1, with their contrast."""
    found: list[list[object]] = page.evaluate(FIND)
    return found
