"""Weather files as text: bounded, decoded, or refused in one message."""

from __future__ import annotations

from pathlib import Path

from moistwall.errors import ClimateError, Fault

LARGEST_FILE = 20_000_000
"""Size above which a file is not one year of hourly weather. [byte]"""


def read_text(path: Path) -> str:
    """Text of a weather file; a byte order mark is dropped, every kind of line end becomes one.

    The text is UTF-8; a file that begins as EPW may also be in Windows-1252.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    ClimateError
        If the file is missing, unreadable, too large, empty, or not text in UTF-8.
    """

    def refused(problem: str, remedy: str, value: str = "") -> ClimateError:
        return ClimateError(Fault(str(path), "", value, problem, remedy))

    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise refused("no such file", "give the path of a file that is there") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise refused(
            "cannot be read", "give the path of a file that can be read", reason
        ) from None
    if len(raw) > LARGEST_FILE:
        raise refused(
            f"is larger than {LARGEST_FILE / 1e6:.0f} MB", "one year of hourly weather is smaller"
        )
    # names of places in EPW files are often in the coding of the Windows of western Europe
    codings = ("utf-8-sig", "cp1252") if raw[:9].upper() == b"LOCATION," else ("utf-8-sig",)
    try:
        text = _decoded(raw, codings)
    except UnicodeDecodeError as error:
        byte = f"byte 0x{raw[error.start]:02x} at position {error.start}"
        raise refused("is not text in UTF-8", "save it as UTF-8 text", byte) from None
    if "\0" in text:
        raise refused("holds NUL bytes: not a text file", "save it as UTF-8 text")
    if not text.strip():
        raise refused("is empty", "give one year of hourly weather")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _decoded(raw: bytes, codings: tuple[str, ...]) -> str:
    """Text by the first coding that fits; the error of the last one if none does."""
    for coding in codings[:-1]:
        try:
            return raw.decode(coding)
        except UnicodeDecodeError:
            continue
    return raw.decode(codings[-1])
