"""EPW files made for tests: an invented place, every field of every hour open to change."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from moistwall.climate.hours import MONTH_DAYS

LOCATION = "LOCATION,Heron Point (invented),-,USA,invented,999999,30.25,-88.1,-6.0,3.0"

HEADER = (
    LOCATION,
    "DESIGN CONDITIONS,0",
    "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0",
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    "COMMENTS 1,made for a test",
    "COMMENTS 2,",
    "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
)

PLAIN = {
    6: "A7A7A7A7*0E8*0",
    7: "24.0",
    8: "20.0",
    9: "78",
    10: "101300",
    11: "0",
    12: "0",
    13: "380",
    14: "0",
    15: "0",
    16: "0",
    17: "0",
    18: "0",
    19: "0",
    20: "0",
    21: "180",
    22: "3.0",
    23: "8",
    24: "5",
    25: "16.0",
    26: "1500",
    27: "0",
    28: "999999999",
    29: "40",
    30: "0.10",
    31: "0",
    32: "88",
    33: "0.2",
    34: "0.0",
    35: "1.0",
}
"""Fields 6 to 35 of an even hour, by their number in the description of the format."""

Change = Callable[[int, int, int], dict[int, str]]


def epw_text(
    change: Change | None = None,
    *,
    header: Iterable[str] = HEADER,
    fields: int = 35,
    year: str = "2001",
    minute: str = "60",
    leap_day: bool = False,
    **always: str,
) -> str:
    """Text of an EPW file.

    Parameters
    ----------
    change : callable, optional
        Gives the fields of an hour that differ, by month, day and hour.
    header : iterable of str
        Lines above the hours.
    fields : int
        Number of fields in each row.
    year, minute : str
        Fields 1 and 5 of every row.
    leap_day : bool
        True to have a February 29.
    **always : str
        Fields that differ in all hours, such as ``f34="999"``.
    """
    plain = PLAIN | {int(name[1:]): value for name, value in always.items()}
    rest = ",".join(plain[i] for i in range(6, fields + 1))
    rows = list(header)
    for month, days in enumerate(MONTH_DAYS, start=1):
        for day in range(1, days + 1 + (leap_day and month == 2)):
            for hour in range(1, 25):
                changed = change(month, day, hour) if change else {}
                if not changed:
                    rows.append(f"{year},{month},{day},{hour},{minute},{rest}")
                    continue
                stamp = {1: year, 2: str(month), 3: str(day), 4: str(hour), 5: minute}
                row = stamp | plain | changed
                rows.append(",".join(row[i] for i in range(1, fields + 1)))
    return "\r\n".join(rows) + "\r\n"
