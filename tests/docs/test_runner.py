"""The runner of the pages sees what is wrong with a page."""

from __future__ import annotations

from pathlib import Path

import pages
import pytest

PRINTED = "head\nHours 2368 of 8760, 0.85 dry\nmiddle\nend\n"


@pytest.mark.parametrize(
    "shown",
    [
        PRINTED,
        "head\n...\nend\n",
        "...\nHours 2320 of 8760, 0.87 dry\n...\n",
        "...\nmiddle\nend\n",
        "head\n  Hours   2368 of 8760,  0.85 dry\n...\n",
    ],
)
def test_what_is_printed_passes(shown: str) -> None:
    """Lines as printed, left out by dots, with other spaces or numbers within the tolerance, are true."""
    pages.compare(shown, PRINTED, "page:1")


@pytest.mark.parametrize(
    "shown",
    [
        "head\nHours 2368 of 8760, 0.85 wet\nmiddle\nend\n",
        "...\nHours 2250 of 8760, 0.85 dry\n...\n",
        "...\nHours 2368 of 8760, 0.90 dry\n...\n",
        "head\n",
        "Hours 2368 of 8760, 0.85 dry\n...\n",
        "...\nmiddle\n",
        "...\nend\n...\nmiddle\n...\n",
        "...\nhead\nmiddle\n...\n",
    ],
)
def test_what_is_not_printed_fails(shown: str) -> None:
    """Another word, a number too far off, another order, a line too few or too many are found."""
    with pytest.raises(AssertionError, match="page:1"):
        pages.compare(shown, PRINTED, "page:1")


def written(folder: Path, text: str) -> Path:
    """Return a page with this text."""
    page = folder / "page.md"
    page.write_text(text, encoding="utf-8")
    return page


def run(folder: Path, text: str) -> int:
    """Run a page with this text."""
    return pages.run_page(written(folder, text), folder, "page.md", slow=False)


def test_files_and_commands_go_together(tmp_path: Path) -> None:
    """A file of a page is written for the commands below it, and what they print is compared."""
    page = """
<!-- file one.toml -->

```toml
[[layer]]
material = "OSB"
thickness = "1/2 in"
```

Then:

```sh
moistwall check one.toml  # a remark
```

```text
one: checked, not simulated
...
```
"""
    assert run(tmp_path, page) == 1
    with pytest.raises(AssertionError, match=r"page\.md:16"):
        run(tmp_path, page.replace("one: checked", "two: checked"))
    with pytest.raises(AssertionError, match="no material"):
        run(tmp_path, page.replace("OSB", "no such stuff"))


@pytest.mark.parametrize(
    "block",
    [
        "```sh\nmoistwall no-such-command\n```\n",
        "```sh\nmoistwall check no-such-file.toml\n```\n",
        "```sh\nmoistwall check heron-point-wall --no-such-option\n```\n",
        "<!-- exit 2 -->\n\n```sh\nmoistwall check heron-point-wall\n```\n",
        "```sh\nls\n```\n",
        "<!-- slow -->\n\n```sh\nmoistwall run heron-point-wall --climate nowhere\n```\n",
        '```python\nprint("one")\n```\n\n```text\ntwo\n```\n',
    ],
)
def test_what_does_not_work_fails(block: str, tmp_path: Path) -> None:
    """Commands that are none, that are wrong, or that end otherwise than said, fail their page."""
    with pytest.raises(AssertionError):
        run(tmp_path, block)


def test_slow_blocks_end_before_they_simulate(tmp_path: Path) -> None:
    """A block marked slow reads all its input and is not counted as run."""
    page = "<!-- slow -->\n\n```sh\nmoistwall run heron-point-wall --climate mobile\n```\n"
    assert run(tmp_path, page) == 0
