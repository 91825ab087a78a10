"""What is fitted to which kit: what people type of it, and who was in which kit when."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime

from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import ItemId, ItemKind, KitId

LISTED = "listed"
"""The note of a fitting by which a thing was only listed: it had been in the kit before."""
ALWAYS = datetime(2000, 1, 1, tzinfo=UTC)
LONGEST_NAME = 60

_KIND = re.compile(rf"\b({'|'.join(ItemKind)})\b", re.IGNORECASE)
_OFF = re.compile(r"\b(?:off|out)\b", re.IGNORECASE)
_INTO = re.compile(r"\b(?:in)?to\b|\b(?:in|for)\b", re.IGNORECASE)
_NEW = re.compile(r"\bnew\b", re.IGNORECASE)
_ARTICLE = re.compile(r"^\s*(?:an?|the)\b(?!['\u2019])", re.IGNORECASE)
"""Before the kind only: "battery A" is A's."""
_FROM = re.compile(r"\b(?:of|from)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Fit:
    """What a text says: `name` is what is written on the thing, `kit` the words of the label.

    `off`: it is taken off; `new`: it was in no kit before. Without a kind or a kit it asks.
    """

    kind: ItemKind | None
    name: str
    kit: str
    off: bool = False
    new: bool = False


def read(text: str) -> Fit:
    """Read "battery B7 to D", "a new tablet to D", "battery off D", "battery B7" or "D"."""
    found = _KIND.search(text)
    if found is None:
        return Fit(None, "", text.strip())
    kind = ItemKind(found[1].lower())
    rest = f"{_ARTICLE.sub('', text[: found.start()])} {text[found.end() :]}".strip()
    if off := _OFF.search(rest):
        kit = f"{rest[: off.start()]} {rest[off.end() :]}"
        return Fit(kind, "", " ".join(_FROM.sub(" ", kit).split()), off=True)
    into = list(_INTO.finditer(rest))
    if not into:
        return Fit(kind, _name(rest), "")
    name, kit = rest[: into[-1].start()], rest[into[-1].end() :].strip()
    return Fit(kind, _name(name), kit, new=bool(_NEW.search(name)))


def _name(words: str) -> str:
    return re.sub(r"^the\b", "", _NEW.sub(" ", words).strip(), flags=re.I).strip()


def whose(name: str) -> str:
    """Return the words for a kit where a thing is named by it: "E's", "of E" or "kit E"."""
    return re.sub(r"^(?:(?:of|from|kit|in)\s+)+|['\u2019]s$", "", name, flags=re.I).strip()


@dataclass(frozen=True, slots=True)
class Stay:
    """A thing in a kit over [start, end); `item` None: one that nobody has listed."""

    item: ItemId | None
    kit: KitId
    start: datetime
    end: datetime | None


def stays(entries: Iterable[Entry]) -> list[Stay]:
    """Return who was in which kit when, from what stands of one kind of thing, in order.

    A new thing that was listed in a kit in which none had been was there from the beginning.
    """
    there: dict[ItemId, tuple[KitId, datetime]] = {}
    touched: set[KitId] = set()
    known: set[ItemId] = set()
    found: list[Stay] = []
    for entry in entries:
        item, kit, at = entry.item, entry.kit, entry.happened_at
        if item is None or kit is None:
            continue
        if entry.kind is EntryKind.FITTED:
            first = entry.detail.note == LISTED and kit not in touched and item not in known
            there[item] = kit, ALWAYS if first else at
            touched.add(kit)
            known.add(item)
        elif entry.kind is EntryKind.TAKEN_OFF and item in there:
            was, since = there.pop(item)
            found.append(Stay(item, was, since, at))
            touched.add(kit)
    found += [Stay(item, kit, since, None) for item, (kit, since) in there.items()]
    return sorted(found, key=lambda stay: stay.start)
