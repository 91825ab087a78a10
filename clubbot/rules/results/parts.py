"""What the desk answers about parts and spares."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class Lender:
    """A kit that waits for repair anyway, and what it could give."""

    kit: KitRef
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class GapLine:
    """What a kit's tray lacks, and where that could come from; `rest` must be bought.

    `here` is False while the kit is out.
    """

    kit: KitRef
    lacks: tuple[tuple[str, int], ...]
    found: tuple[tuple[str, int], ...]
    shelf: tuple[tuple[str, int], ...]
    lenders: tuple[Lender, ...]
    rest: tuple[tuple[str, int], ...]
    here: bool


@dataclass(frozen=True, slots=True)
class PartsShown:
    """The gaps, what was found without a home, and what lies on the shelf."""

    gaps: tuple[GapLine, ...]
    found: tuple[tuple[str, int], ...]
    shelf: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class PartsNoted:
    """What was noted of parts; `what` says what they did, `kit` and `other` whose they are.

    `lacks` is what the kit's tray lacks now, `there` how many of each lie on the shelf, `gaps`
    whom what has just come in could make whole.
    """

    what: str
    parts: tuple[tuple[str, int], ...]
    kit: KitRef | None
    other: KitRef | None
    lacks: tuple[tuple[str, int], ...]
    there: tuple[tuple[str, int], ...]
    gaps: tuple[GapLine, ...] = ()


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """One part of the books: `bought` is the sum of all the others but `ordered`."""

    kit_type: str
    part: str
    bought: int
    in_trays: int
    kept_built: int
    on_shelf: int
    lent: int
    found: int
    at_supplier: int
    missing: int
    broken: int
    ordered: int


@dataclass(frozen=True, slots=True)
class PartsBooks:
    lines: tuple[BalanceLine, ...]


@dataclass(frozen=True, slots=True)
class MissingLine:
    """Parts that went missing from a kit (or from the shelf) between two counts, or broke."""

    kit: KitRef | None
    part: str
    number: int
    since: datetime | None
    at: datetime
    broken: bool


@dataclass(frozen=True, slots=True)
class PartsGone:
    """What went missing or broke lately, the newest first."""

    lines: tuple[MissingLine, ...]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many packs of a part: `lost` in the sessions watched, `there` or on order, `owed`."""

    kit_type: str
    part: str
    packs: int
    pack: int | None
    pieces: int
    cents: int | None
    lost: int
    there: int
    owed: int
    base: int


@dataclass(frozen=True, slots=True)
class PartsOrder:
    """What to order; `key` names just that. `until` is when the order after this one has come.

    `enough` are parts of which there are enough, `percent` the chance of not running out.
    """

    key: str
    lines: tuple[OrderLine, ...]
    enough: int
    seen: int
    ahead: int
    until: date
    percent: int


@dataclass(frozen=True, slots=True)
class PartsOrdered:
    """The order is noted: what comes is counted towards the next one."""

    lines: tuple[OrderLine, ...]
