"""The club's belongings as CSV files: read, compared with what stands, and written."""

from clubbot.rules.exchange.comparing import Change, Plan, compare
from clubbot.rules.exchange.rows import (
    ClubLine,
    Contents,
    ItemRow,
    KitRow,
    KitTypeRow,
    PartRow,
    Row,
    SpareRow,
    TeamRow,
)
from clubbot.rules.exchange.sheets import (
    COLUMNS,
    LARGEST,
    Problem,
    Sheet,
    decode,
    read_sheet,
)
from clubbot.rules.exchange.writing import grams, write_sheets

__all__ = [
    "COLUMNS",
    "LARGEST",
    "Change",
    "ClubLine",
    "Contents",
    "ItemRow",
    "KitRow",
    "KitTypeRow",
    "PartRow",
    "Plan",
    "Problem",
    "Row",
    "Sheet",
    "SpareRow",
    "TeamRow",
    "compare",
    "decode",
    "grams",
    "read_sheet",
    "write_sheets",
]
