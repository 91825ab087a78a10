"""The books of parts balance, whatever happened and in whatever order it was said."""

from __future__ import annotations

import string
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.rules.ledger import Detail, Entry, EntryKind
from clubbot.rules.model import ClubId, KitId, KitTypeId, Seq
from clubbot.rules.stock.balance import balance
from clubbot.rules.stock.books import Books
from clubbot.store import clubs, kits, ledger, stock
from clubbot.store.engine import Store
from clubbot.store.ledger import Draft, Misfit, append, history
from clubbot.store.tables import PART

START = datetime(2026, 9, 1, 14, tzinfo=UTC)
KITS = 2
CONTENTS = {"axle": 2, "cable": 4}

Happened = tuple[str, str, int, int, int, int]
"""(what, part, how many, kit, minutes before it was said, which earlier deed is meant)."""
WHATS = (
    "bought", "bought", "ordered", "found", "short", "short", "counted", "counted", "counted",
    "broken", "shelf broken", "out", "lent", "lent", "from shelf", "from shelf", "from found",
    "turned up", "shelved", "sent", "replaced", "shelf counted", "corrected", "corrected",
)  # fmt: skip
STORIES = st.lists(
    st.tuples(
        st.sampled_from(WHATS),
        st.sampled_from(["axle", "cable", "cable", "washer"]),
        st.integers(1, 3),
        st.integers(0, KITS - 1),
        st.sampled_from([0, 0, 0, 15, 45, 600]),
        st.integers(0, 40),
    ),
    min_size=12,
    max_size=32,
)


@dataclass
class Shop:
    """A club with two kits of one type, and the deeds that were accepted of it."""

    store: Store
    club: ClubId
    kit_type: KitTypeId
    kits: list[KitId]
    deeds: list[list[Entry]]

    def say(self, drafts: list[Draft], happened: datetime, said: datetime) -> bool:
        try:
            with self.store.write() as tx:
                clubs.lock(tx, self.club)
                made = append(
                    tx, self.club, drafts,
                    happened_at=happened, said_at=said, said_by=None, deed=f"{said}",
                )  # fmt: skip
        except Misfit:
            return False
        self.deeds.append(made)
        return True

    def tell(self, story: list[Happened]) -> None:
        for place, each in enumerate(story):
            now = START + timedelta(minutes=20 * place)
            if drafts := self.drafts(each):
                self.say(drafts, now - timedelta(minutes=each[4]), now)

    def drafts(self, each: Happened) -> list[Draft]:
        what, part, number, place, _, which = each
        kit, other = self.kits[place], self.kits[(place + 1) % KITS]
        parts = ((part, number),)

        def of_kit(kind: EntryKind, **more: object) -> Draft:
            return Draft(kind, kit=kit, kit_type=self.kit_type, detail=Detail(parts=parts, **more))  # type: ignore[arg-type]

        def of_shelf(kind: EntryKind, **more: object) -> Draft:
            return Draft(kind, kit_type=self.kit_type, detail=Detail(parts=parts, **more))  # type: ignore[arg-type]

        kinds = EntryKind
        match what:
            case "corrected":
                return self._corrections(which)
            case "short" | "counted" | "broken" | "out":
                kind = {
                    "short": kinds.SHORT,
                    "counted": kinds.COUNTED,
                    "broken": kinds.PARTS_BROKEN,
                    "out": kinds.PARTS_OUT,
                }[what]
                return [of_kit(kind)]
            case "from shelf" | "from found":
                return [of_kit(kinds.PARTS_IN, source=what.split()[1])]
            case "turned up":
                return [of_kit(kinds.PARTS_IN)]
            case "lent":
                given = of_kit(kinds.PARTS_LENT, other=other)
                detail = Detail(parts=parts, source="kit", other=kit)
                got = Draft(kinds.PARTS_IN, kit=other, kit_type=self.kit_type, detail=detail)
                return [given, got]
            case "shelf broken":
                return [of_shelf(kinds.PARTS_BROKEN, source="shelf")]
            case "shelved" | "replaced":
                source = {"shelved": "found", "replaced": "supplier"}[what]
                return [of_shelf(kinds.PARTS_SHELVED, source=source)]
        kind = {
            "bought": kinds.PARTS_BOUGHT,
            "ordered": kinds.PARTS_ORDERED,
            "found": kinds.PARTS_FOUND,
            "sent": kinds.PARTS_SENT,
            "shelf counted": kinds.SHELF_COUNTED,
        }[what]
        return [of_shelf(kind)]

    def _corrections(self, which: int) -> list[Draft]:
        if not self.deeds:
            return []
        deed = self.deeds[which % len(self.deeds)]
        return [
            Draft(EntryKind.CORRECTED, kit=e.kit, kit_type=e.kit_type, cancels=e.seq)
            for e in reversed(deed)
        ]

    def books(self) -> tuple[Books, list[Entry], list[str]]:
        with self.store.read() as tx:
            told = list(history(tx, self.club))
            wrong = [*ledger.audit(tx, self.club), *stock.audit(tx, self.club)]
            return stock.books(tx, self.club), told, wrong


@pytest.fixture
def shop(store: Store) -> Shop:
    return _shop(store)


def _shop(store: Store) -> Shop:
    with store.write() as tx:
        club = clubs.found(tx, "Club", "Europe/Dublin", START)
        kit_type = next(iter(clubs.kit_types(tx, club)))
        kits.add(tx, club, kit_type, string.ascii_uppercase[:KITS])
        rows = [
            {"club_id": club, "kit_type_id": kit_type, "name": name, "number": number}
            for name, number in CONTENTS.items()
        ]
        tx.execute(
            sa.insert(PART), [{"big": False, "essential": True, "tray": ""} | r for r in rows]
        )
        labelled = list(kits.kits(tx, club))
    return Shop(store, club, kit_type, labelled, [])


class Pieces:
    """Every single piece and where it is: no sums, no differences, one step after the other.

    A place is a word, or (kit, whose it is) for the pieces in a tray.
    """

    def __init__(self, kit_ids: list[KitId]) -> None:
        self.at: list[tuple[str, object]] = []
        self.ordered: Counter[str] = Counter()
        self.gaps: dict[KitId, Counter[str]] = {kit: Counter() for kit in kit_ids}
        self.debt: Counter[str] = Counter()
        for kit in kit_ids:
            for part, number in CONTENTS.items():
                self.at += [(part, kit)] * number

    def count(self, part: str, place: object) -> int:
        return self.at.count((part, place))

    def move(self, part: str, number: int, source: object, to: object) -> None:
        for _ in range(number):
            if (part, source) in self.at:
                self.at.remove((part, source))
            elif source == "missing":
                # It turned up though nobody had missed it: some tray lacks it, unknown to all.
                self.debt[part] += 1
            else:
                # Nobody's list says that it was there, but it must have been.
                assert isinstance(source, int)
            if to == "missing" and self.debt[part]:
                self.debt[part] -= 1
            else:
                self.at.append((part, to))

    def happen(self, e: Entry) -> None:
        kit, source = e.kit, e.detail.source
        told = dict(e.detail.parts)
        if e.kind is EntryKind.COUNTED:
            assert kit is not None
            for part in {*told, *self.gaps[kit]}:
                more = told.get(part, 0) - self.gaps[kit][part]
                self._tray(part, more, kit, "missing") if more > 0 else None
                self._tray(part, more, kit, "missing") if more < 0 else None
            return
        for part, number in told.items():
            match e.kind:
                case EntryKind.PARTS_BOUGHT:
                    self.at += [(part, "shelf")] * number
                    self.ordered[part] = max(self.ordered[part] - number, 0)
                case EntryKind.PARTS_ORDERED:
                    self.ordered[part] += number
                case EntryKind.PARTS_FOUND:
                    self.move(part, number, "missing", "found")
                case EntryKind.PARTS_SENT:
                    self.move(part, number, "broken", "supplier")
                case EntryKind.PARTS_SHELVED:
                    self.move(part, number, source, "shelf")
                case EntryKind.SHELF_COUNTED:
                    more = number - self.count(part, "shelf")
                    self.at += [(part, "shelf")] * more
                    self.move(part, -more, "shelf", "missing")
                case EntryKind.PARTS_BROKEN if kit is None:
                    self.move(part, number, "shelf", "broken")
                case EntryKind.SHORT | EntryKind.PARTS_BROKEN | EntryKind.PARTS_OUT:
                    words = {"short of parts": "missing", "parts broken": "broken"}
                    self._tray(part, number, kit, words.get(str(e.kind), "shelf"))
                case EntryKind.PARTS_LENT:
                    self._tray(part, number, kit, "hand")
                case EntryKind.PARTS_IN:
                    where = {"": "missing", "kit": "hand"}.get(source, source)
                    self._tray(part, -number, kit, where)

    def _tray(self, part: str, number: int, kit: KitId | None, place: str) -> None:
        """Take so many out of a tray, or put them in where the number is negative."""
        assert kit is not None
        if number > 0:
            self.move(part, number, kit, place)
        else:
            self.move(part, -number, place, kit)
        self.gaps[kit][part] += number


def _standing(told: list[Entry]) -> list[Entry]:
    undone: set[Seq | None] = set()
    for e in sorted(told, key=lambda each: -each.seq):
        if e.kind is EntryKind.CORRECTED and e.seq not in undone:
            undone.add(e.cancels)
    kept = [e for e in told if e.seq not in undone and e.kind is not EntryKind.CORRECTED]
    return sorted(kept, key=lambda each: (each.happened_at, each.seq))


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(story=STORIES)
def test_the_books_balance_and_agree_with_every_single_piece(
    sqlite_store: Store, story: list[Happened]
) -> None:
    shop = _shop(sqlite_store)
    shop.tell(story)
    books, told, wrong = shop.books()
    assert wrong == []
    pieces = Pieces(shop.kits)
    for entry in _standing(told):
        pieces.happen(entry)
    with sqlite_store.read() as tx:
        lines = balance(books, stock.numbers(tx, shop.club), stock.fleet(tx, shop.club))
    for line in lines:
        part = line.key[1]
        assert line.balanced
        assert line.on_shelf == pieces.count(part, "shelf")
        assert line.found == pieces.count(part, "found")
        assert line.broken == pieces.count(part, "broken")
        assert line.at_supplier == pieces.count(part, "supplier")
        assert line.ordered == pieces.ordered[part]
        assert line.missing == pieces.count(part, "missing") - pieces.debt[part]
        assert pieces.count(part, "hand") == 0
    for kit in shop.kits:
        assert books.gaps.get(kit, {}) == +pieces.gaps[kit]


def test_on_both_servers_a_part_said_late_that_was_never_there_is_refused(shop: Shop) -> None:
    at = [START + timedelta(hours=hour) for hour in range(6)]
    kit = shop.kits[0]
    short = Draft(EntryKind.SHORT, kit=kit, detail=Detail(parts=(("cable", 2),)))
    bought = Draft(
        EntryKind.PARTS_BOUGHT, kit_type=shop.kit_type, detail=Detail(parts=(("cable", 2),))
    )
    filled = Draft(
        EntryKind.PARTS_IN,
        kit=kit,
        kit_type=shop.kit_type,
        detail=Detail(parts=(("cable", 2),), source="shelf"),
    )
    assert shop.say([short], at[0], at[0])
    assert shop.say([bought], at[2], at[2])
    assert not shop.say([filled], at[1], at[3]), "there were none on the shelf then"
    assert shop.say([filled], at[3], at[3])
    undo = Draft(EntryKind.CORRECTED, kit_type=shop.kit_type, cancels=shop.deeds[1][0].seq)
    assert not shop.say([undo], at[4], at[4]), "they are in the tray by now"
    half = Draft(EntryKind.PARTS_LENT, kit=kit, detail=Detail(parts=(("axle", 1),), other=kit))
    assert not shop.say([half], at[5], at[5]), "lent to a kit that did not get it"
    _, _, wrong = shop.books()
    assert wrong == []


def test_what_goes_missing_is_dated_by_the_two_counts_around_it(shop: Shop) -> None:
    at = [START + timedelta(days=7 * week) for week in range(4)]
    for day, parts in ((at[0], ()), (at[2], (("cable", 2),))):
        counted = Draft(EntryKind.COUNTED, kit=shop.kits[1], detail=Detail(parts=parts))
        assert shop.say([counted], day, day)
    found = Draft(
        EntryKind.PARTS_FOUND, kit_type=shop.kit_type, detail=Detail(parts=(("cable", 1),))
    )
    assert shop.say([found], at[3], at[3])
    books, _, _ = shop.books()
    (loss,) = books.losses
    assert (loss.kit, loss.since, loss.at, loss.number) == (shop.kits[1], at[0], at[2], 1)
