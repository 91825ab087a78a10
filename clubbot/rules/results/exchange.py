"""What the desk answers about files that are taken in and given out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ImportChange:
    """One row that would change: `columns` are (name, before, after), of a new row all of them."""

    sheet: str
    new: bool
    name: str
    columns: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class ImportPreview:
    """What some files would change, not done yet; `key` names just that."""

    key: str
    files: tuple[str, ...]
    changes: tuple[ImportChange, ...]
    new: int
    changed: int
    same: int
    absent: int
    anew: bool = False
    """Whether it was confirmed, but stands differently by now."""


@dataclass(frozen=True, slots=True)
class ImportProblem:
    """What is wrong in a row of a file; `what` is a code that the words know."""

    sheet: str
    row: int
    column: str
    what: str
    value: str


@dataclass(frozen=True, slots=True)
class ImportProblems:
    """Nothing was changed; all that is wrong."""

    problems: tuple[ImportProblem, ...]


@dataclass(frozen=True, slots=True)
class NothingToImport:
    """Everything stands like that already."""

    rows: int


@dataclass(frozen=True, slots=True)
class Imported:
    new: int
    changed: int
    short: int = 0
    """Bookings that can't have all their kits any more."""


@dataclass(frozen=True, slots=True)
class ExportedFile:
    name: str
    content: str


@dataclass(frozen=True, slots=True)
class Exported:
    """The five files, of which a spreadsheet takes no cell for a formula."""

    files: tuple[ExportedFile, ...]
