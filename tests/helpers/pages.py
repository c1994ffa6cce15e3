"""Pages of Markdown as programs: their blocks of commands, files and Python, and what these print.

A page is run from top to bottom in one empty folder. Of its fenced blocks

- ``sh`` is a list of command lines of moistwall, which may end in ``> FILE``, and of ``mkdir``;
- ``python`` is run in one namespace for the page;
- ``text`` behind either is what it prints;
- ``toml`` and ``csv`` below ``<!-- file NAME -->`` are written to that file.

A comment right above a block says what is special: ``<!-- exit 2 -->`` (ends so), ``<!-- slow -->`` (run by the
slow tests; else only until its input is read), ``<!-- not run: WHY -->``.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from moistwall.cli import main

FENCE = re.compile(
    r"((?:^<!-- [^\n]+ -->\n+)*)^```(\w*)\n(.*?)^```$", flags=re.MULTILINE | re.DOTALL
)
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w.]*\d)")

RELATIVE, LEAST_COUNT, LAST_PLACES = 0.03, 3.0, 2.0
"""Tolerance of a printed number: 3 %; at least 3 for a whole one, 2 units of the last place of others."""


class Enough(BaseException):
    """All input has been read, and a simulation would begin."""


@dataclass(frozen=True)
class Block:
    """A fenced block: its page, line and language, the comments above it, its text."""

    page: str
    line: int
    language: str
    marks: tuple[str, ...]
    text: str

    @property
    def where(self) -> str:
        """Place for messages."""
        return f"{self.page}:{self.line}"

    def mark(self, word: str) -> str | None:
        """Return what follows a word in the comments above, or None without it."""
        for one in self.marks:
            if one == word or one.startswith((word + " ", word + ":")):
                return one[len(word) :].lstrip(": ")
        return None


def blocks_of(path: Path, name: str = "") -> list[Block]:
    """Return the fenced blocks of a page."""
    text = path.read_text(encoding="utf-8")
    found = []
    for match in FENCE.finditer(text):
        marks = tuple(re.findall(r"<!-- (.+?) -->", match[1]))
        line = text.count("\n", 0, match.start(2)) + 1
        found.append(Block(name or path.name, line, match[2], marks, match[3]))
    return found


def commands_of(block: Block) -> Iterator[tuple[list[str], str | None]]:
    """Give the command lines of a block, and the file that each writes its output to."""
    for line in block.text.replace("\\\n", " ").splitlines():
        words = shlex.split(line, comments=True)
        if not words:
            continue
        if words[0] == "mkdir":
            (folder,) = words[1:]
            Path(folder).mkdir()
            continue
        assert words[0] == "moistwall", f"{block.where}: is no command of moistwall: {line}"
        target = None
        if len(words) > 2 and words[-2] == ">":
            *words, _, target = words
        yield words[1:], target


def run_page(path: Path, folder: Path, name: str, *, slow: bool, skip: tuple[str, ...] = ()) -> int:
    """Run a page in a folder and compare what it prints; return how many blocks were run to their end."""
    blocks = blocks_of(path, name)
    names: dict[str, Any] = {"__name__": "__main__"}
    ran = 0
    before = Path.cwd()
    os.chdir(folder)
    try:
        for block, after in zip(blocks, [*blocks[1:], None], strict=False):
            if block.mark("not run") is not None or any(block.mark(one) == "" for one in skip):
                continue
            if block.language in ("toml", "csv"):
                write_file(block, folder)
            if block.language not in ("sh", "python"):
                continue
            whole = slow or block.mark("slow") is None
            printed = run_block(block, names, whole=whole)
            ran += printed is not None
            if printed is not None and after and after.language == "text" and not after.marks:
                compare(after.text, printed, after.where)
    finally:
        os.chdir(before)
    return ran


def write_file(block: Block, folder: Path) -> None:
    """Write a block to the file that it names; TOML without a name has at least to be TOML."""
    if block.language == "toml":
        tomllib.loads(block.text)
    file = block.mark("file")
    if file:
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        (folder / file).write_text(block.text, encoding="utf-8")


def run_block(block: Block, names: dict[str, Any], *, whole: bool) -> str | None:
    """Run a block and return what it prints; None if it was run only until its input was read."""
    if block.language == "python":
        if not whole:
            compile(block.text, block.where, "exec")
            return None
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            exec(compile(block.text, block.where, "exec"), names)
        return out.getvalue()
    wanted = int(block.mark("exit") or 0)
    printed = ""
    for arguments, target in commands_of(block):
        try:
            with stopped_before_simulating(not whole):
                ran = CliRunner().invoke(main, arguments, prog_name="moistwall")
        except Enough:
            continue
        shown = f"{block.where}: moistwall {shlex.join(arguments)}\n{ran.output}"
        if ran.exception is not None and not isinstance(ran.exception, SystemExit):
            raise AssertionError(shown) from ran.exception
        assert ran.exit_code == wanted, shown
        if target is not None:
            Path(target).write_text(ran.stdout, encoding="utf-8")
        else:
            # progress and what was written go to the other stream, as mistakes do
            printed += ran.output if wanted else ran.stdout
    return printed if whole else None


@contextlib.contextmanager
def stopped_before_simulating(really: bool) -> Iterator[None]:
    """Raise `Enough` where a kernel would be built."""
    import pytest

    def enough(*_: object, **__: object) -> None:
        raise Enough

    with pytest.MonkeyPatch.context() as patch:
        if really:
            for module in simulating_modules():
                patch.setattr(module, "simulate", enough)
        yield


def simulating_modules() -> list[Any]:
    """Return the modules that hold the name of the function that simulates."""
    import moistwall.api
    import moistwall.simulate
    import moistwall.study.job
    import moistwall.study.severe_year
    import moistwall.study.whole_run

    return [
        moistwall.api,
        moistwall.simulate,
        moistwall.study.job,
        moistwall.study.severe_year,
        moistwall.study.whole_run,
    ]


def compare(shown: str, printed: str, where: str) -> None:
    """See that a shown text is what was printed; a line of ``...`` stands for any lines."""
    lines = printed.splitlines()
    while lines and not lines[-1].strip():
        lines.pop()
    wanted = shown.splitlines()
    parts: list[list[str]] = [[]]
    for line in wanted:
        if line.strip() == "...":
            parts.append([])
        else:
            parts[-1].append(line)
    at = 0
    for number, part in enumerate(parts):
        first, last = number == 0, number == len(parts) - 1
        if first:
            places = [0]
        elif last:
            places = [max(at, len(lines) - len(part))]
        else:
            places = list(range(at, len(lines)))
        for place in places:
            if fits(part, lines[place : place + len(part)]):
                at = place + len(part)
                break
        else:
            raise AssertionError(
                f"{where}: not printed here:\n" + "\n".join(part) + "\n---\n" + printed
            )
        if first and last:
            assert at == len(lines), f"{where}: more is printed:\n{printed}"


def fits(wanted: list[str], lines: list[str]) -> bool:
    """Whether lines are those wanted, but for spaces and small differences of numbers."""
    return len(wanted) == len(lines) and all(
        same_line(one, other) for one, other in zip(wanted, lines, strict=True)
    )


def same_line(wanted: str, line: str) -> bool:
    """Whether a line says the same, its numbers within the tolerance."""
    if NUMBER.sub("#", wanted).split() != NUMBER.sub("#", line).split():
        return False
    pairs = zip(NUMBER.findall(wanted), NUMBER.findall(line), strict=True)
    return all(close(one, other) for one, other in pairs)


def close(wanted: str, printed: str) -> bool:
    """Whether two printed numbers are within the tolerance."""
    decimals = len(wanted.partition(".")[2])
    least = LAST_PLACES * 10.0**-decimals if decimals else LEAST_COUNT
    return abs(float(wanted) - float(printed)) <= max(least, RELATIVE * abs(float(wanted))) + 1e-12
