"""Who did what to a kit, and a correction for each of it."""

from __future__ import annotations

from collections.abc import Mapping

from clubbot.desk import correcting
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import named
from clubbot.rules.correcting import cancelled_by, needed, newest_first
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import ItemId, ItemKind, KitId, PersonId, Reason, Refused, Seq, TeamId
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    History,
    HistoryCorrected,
    HistoryEntry,
    HistoryLine,
    KitRef,
    TeamRef,
)
from clubbot.store import clubs, fitting, ledger, people
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

PAGE = 6
"""How many lines stand on one screen of a phone, each with its button."""
_LOSSES = frozenset({EntryKind.LOST, EntryKind.FOUND})


class _Past:
    """A kit's history as one person may see it."""

    def __init__(self, tx: Tx, who: Who, kit: KitId) -> None:
        self.who = who
        entries = ledger.of_kit(tx, who.club, kit)
        self.not_so = cancelled_by(entries)
        see_losses = may(who.role, Deed.LOSE)
        self.entries = [
            each for each in newest_first(entries) if see_losses or each.kind not in _LOSSES
        ]
        self.teams: Mapping[TeamId, TeamRef] = clubs.teams(tx, who.club)
        names = {row.id: row.name for row in people.people(tx, who.club)}
        self.names: Mapping[PersonId, str] = names if who.role.adult else {}
        self.things: Mapping[ItemId, str] = {}
        if any(each.item is not None for each in self.entries):
            self.things = {each.id: each.kind.value for each in fitting.things(tx, who.club)}

    def find(self, seq: int) -> Entry | None:
        return next((each for each in self.entries if each.seq == seq), None)

    def may_correct(self, entry: Entry) -> bool:
        """An adult may correct what anybody said, a helper what they said themselves."""
        own = entry.said_by == self.who.person
        return may(self.who.role, needed(entry.kind)) and (self.who.role.adult or own)

    def line(self, entry: Entry) -> HistoryLine:
        detail = entry.detail
        correction = self.not_so.get(entry.seq)
        own = entry.said_by == self.who.person
        return HistoryLine(
            seq=entry.seq,
            what=str(entry.kind),
            at=entry.happened_at,
            said_at=entry.said_at,
            by=self._name(entry.said_by),
            team=self.teams.get(detail.team) if detail.team else None,
            due=detail.due,
            note=detail.note,
            # What is missing is for leaders to connect with who had it, and for nobody else.
            parts=detail.parts if self.who.role.adult or own else (),
            percent=detail.percent,
            thing=self._thing(entry),
            not_so_at=correction.said_at if correction else None,
            not_so_by=self._name(correction.said_by) if correction else "",
            mine=self.may_correct(entry),
        )

    def _thing(self, entry: Entry) -> str:
        if entry.item is None:
            return ItemKind.TABLET.value if entry.detail.own else ""
        return self.things.get(entry.item, "")

    def _name(self, person: PersonId | None) -> str:
        return self.names.get(person, "") if person is not None else ""


@look(Deed.SEE_HISTORY)
def history(tx: Tx, who: Who, text: str) -> History | Refused:
    """Return the newest page of what happened to the kit that is named."""
    wanted = named(text, kits(tx, who.club), {})
    if isinstance(wanted, Refused):
        return wanted
    if len(wanted.kits) != 1:
        return Refused(Reason.UNKNOWN_KIT, {"word": ""})
    return _page(tx, who, wanted.kits[0].ref, 0)


@look(Deed.SEE_HISTORY)
def history_page(tx: Tx, who: Who, kit: KitId, skipped: int) -> History | Refused:
    """Return the page of a kit's history that leaves out so many newer lines."""
    now = kits(tx, who.club).get(kit)
    return Refused(Reason.OUT_OF_DATE) if now is None else _page(tx, who, now.ref, skipped)


def _page(tx: Tx, who: Who, ref: KitRef, skipped: int) -> History:
    past = _Past(tx, who, ref.id)
    total = len(past.entries)
    skipped = min(skipped, max(total - 1, 0)) // PAGE * PAGE
    shown = past.entries[skipped : skipped + PAGE]
    return History(ref, tuple(past.line(each) for each in shown), skipped, PAGE, total)


@look(Deed.SEE_HISTORY)
def history_entry(tx: Tx, who: Who, kit: KitId, seq: int, skipped: int) -> HistoryEntry | Refused:
    """Return one line of a kit's history, to be put right or not."""
    now = kits(tx, who.club).get(kit)
    past = _Past(tx, who, kit)
    entry = past.find(seq)
    if now is None or entry is None:
        return Refused(Reason.OUT_OF_DATE)
    return HistoryEntry(now.ref, past.line(entry), skipped)


@deed(Deed.UNDO)
def was_not_so(tx: Tx, who: Who, kit: KitId, seq: int) -> HistoryCorrected | Refused:
    """Take one entry back, if all that came after still fits."""
    return _correct(tx, who, kit, seq, again=False)


@deed(Deed.UNDO)
def was_so(tx: Tx, who: Who, kit: KitId, seq: int) -> HistoryCorrected | Refused:
    """Let one entry stand again that was taken back, if it fits between the others."""
    return _correct(tx, who, kit, seq, again=True)


def _correct(tx: Tx, who: Who, kit: KitId, seq: int, *, again: bool) -> HistoryCorrected | Refused:
    now = kits(tx, who.club).get(kit)
    past = _Past(tx, who, kit)
    entry = past.find(seq)
    if now is None or entry is None or (Seq(seq) in past.not_so) is not again:
        return Refused(Reason.OUT_OF_DATE)
    if not may(who.role, needed(entry.kind)):
        return Refused(Reason.NOT_ALLOWED, {"deed": str(needed(entry.kind))})
    if not past.may_correct(entry):
        return Refused(Reason.OTHERS, {"labels": (now.kit.label,)})
    target = past.not_so[entry.seq] if again else entry
    if refused := correcting.take_back(tx, who, [target]):
        return refused
    return HistoryCorrected(now.ref, past.line(entry), again)
