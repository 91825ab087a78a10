"""Whatever happened, and in whatever order it was said, the store stands where replay leads."""

from __future__ import annotations

import string
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import sqlalchemy as sa
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from clubbot.rules.late import is_late
from clubbot.rules.ledger import Detail, Entry, EntryKind, Position, replay, standing
from clubbot.rules.model import BookingId, ClubId, ItemId, KitId, PersonId, Role, Seq, TeamId
from clubbot.rules.stock.books import TAKING
from clubbot.store import clubs, kits, ledger, people
from clubbot.store.engine import Store
from clubbot.store.ledger import Draft, Misfit, append, audit, cached, history
from clubbot.store.tables import ITEM, POSITION

START = datetime(2026, 9, 1, 14, tzinfo=UTC)
GRACE = timedelta(minutes=15)
KITS, ITEMS = 3, 2


@dataclass(frozen=True)
class Said:
    """One attempt to say something: about a kit or an item, and how long ago it happened."""

    kind: EntryKind
    about: int
    minutes_late: int
    due_in: int
    cancels: int


_PARTS = (EntryKind.SHORT, EntryKind.PARTS_IN, EntryKind.COUNTED)
_OF_THE_SHELF = TAKING - {EntryKind.PARTS_IN}
"""What moves parts between two places; tests/store/test_parts.py tries those."""
_KIT_KINDS = [
    kind
    for kind in EntryKind
    if kind not in (EntryKind.FITTED, EntryKind.TAKEN_OFF, EntryKind.SCRAPPED)
    and kind not in _OF_THE_SHELF
]
_MOSTLY_OUT_AND_BACK = [EntryKind.GIVEN_OUT, EntryKind.TAKEN_BACK, EntryKind.CORRECTED]
_ITEM_KINDS = [EntryKind.FITTED, EntryKind.TAKEN_OFF, EntryKind.CHARGED, EntryKind.CORRECTED]

saids = st.lists(
    st.builds(
        Said,
        kind=st.sampled_from(_MOSTLY_OUT_AND_BACK) | st.sampled_from(_KIT_KINDS),
        about=st.integers(0, KITS - 1),
        minutes_late=st.sampled_from([0, 0, 0, 5, 45, 600]),
        due_in=st.integers(-60, 240),
        cancels=st.integers(0, 30),
    )
    | st.builds(
        Said,
        kind=st.sampled_from(_ITEM_KINDS),
        about=st.integers(KITS, KITS + ITEMS - 1),
        minutes_late=st.sampled_from([0, 0, 7, 90]),
        due_in=st.just(0),
        cancels=st.integers(0, 30),
    ),
    min_size=1,
    max_size=30,
)


def _club(store: Store) -> tuple[ClubId, list[int], list[int]]:
    with store.write() as tx:
        club = clubs.found(tx, "Club", "Europe/Dublin", START)
        kit_type = next(iter(clubs.kit_types(tx, club)))
        kits.add(tx, club, kit_type, string.ascii_uppercase[:KITS])
        labelled = list(kits.kits(tx, club))
        rows = [{"club_id": club, "kind": "battery", "serial": str(n)} for n in range(ITEMS)]
        items = list(tx.execute(sa.insert(ITEM).returning(ITEM.c.id), rows).scalars())
        people.add(tx, club, 1, "Leader", Role.LEADER, START)
        people.add(tx, club, 2, "Helper", Role.HELPER, START)
    return club, [int(kit) for kit in labelled], items


def _say(store: Store, club: ClubId, draft: Draft, happened: datetime, said: datetime) -> bool:
    try:
        with store.write() as tx:
            clubs.lock(tx, club)
            append(
                tx, club, [draft], happened_at=happened, said_at=said, said_by=None, deed=f"{said}"
            )
    except Misfit:
        return False
    return True


def _draft(said: Said, kit_ids: list[int], items: list[int], known: list[Entry]) -> Draft | None:
    now = START + timedelta(minutes=20 * len(known))
    kit = KitId(kit_ids[said.about % KITS])
    item = ItemId(items[said.about - KITS]) if said.about >= KITS else None
    if said.kind is EntryKind.CORRECTED:
        if not known:
            return None
        target = known[said.cancels % len(known)]
        return Draft(said.kind, kit=target.kit, item=target.item, cancels=target.seq)
    detail = Detail(due=now + timedelta(minutes=said.due_in), note=f"because {said.due_in}")
    if said.kind is EntryKind.CHARGED and said.cancels % 2:
        detail = replace(detail, percent=said.cancels, minutes=30)
    if said.kind in _PARTS:
        detail = replace(detail, parts=(("axle", 1 + said.cancels % 3), ("cable", 1)))
    return Draft(said.kind, kit=kit, item=item, detail=detail)


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(story=saids)
def test_the_store_agrees_with_replay_for_any_history_however_late_it_is_said(
    store: Store, story: list[Said]
) -> None:
    club, kit_ids, items = _club(store)
    known: list[Entry] = []
    for place, said in enumerate(story):
        now = START + timedelta(minutes=20 * place)
        draft = _draft(said, kit_ids, items, known)
        if draft and _say(store, club, draft, now - timedelta(minutes=said.minutes_late), now):
            with store.read() as tx:
                known = list(history(tx, club))
    with store.read() as tx:
        entries, stored = list(history(tx, club)), cached(tx, club)
        differences = audit(tx, club)
        now = START + timedelta(minutes=20 * len(story))
        late = kits.late(tx, club, now, GRACE)
    whole = replay(entries)
    rebuilt: dict[tuple[str, int], Position] = {("kit", k): p for k, p in whole.kits.items()}
    rebuilt |= {("item", i): p for i, p in whole.items.items()}
    assert stored == rebuilt
    assert differences == []
    assert whole.misfits == ()
    assert late == {kit for kit, at in whole.kits.items() if is_late(at, now, GRACE)}


_OUT = Said(EntryKind.GIVEN_OUT, 0, 0, 0, 0)
_TAKEN_FOR_ANOTHER_TIME = Said(EntryKind.CORRECTED, 3, 90, 0, 1)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@example(story=[_OUT, _OUT, _OUT, replace(_OUT, about=1), _TAKEN_FOR_ANOTHER_TIME], since=0)
@given(story=saids, since=st.sampled_from([-700, 0, 45, 180]))
def test_what_the_store_counts_is_what_stands_in_the_ledger(
    store: Store, story: list[Said], since: int
) -> None:
    club, kit_ids, items = _club(store)
    known: list[Entry] = []
    for place, said in enumerate(story):
        now = START + timedelta(minutes=20 * place)
        draft = _draft(said, kit_ids, items, known)
        if draft is None or draft.kind is EntryKind.SAID_BACK:
            continue
        if _say(store, club, draft, now - timedelta(minutes=said.minutes_late), now):
            with store.read() as tx:
                known = list(history(tx, club))
    now = START + timedelta(minutes=20 * len(story))
    with store.read() as tx:
        used = ledger.given_out_since_charge(tx, club)
        first = min(START + timedelta(minutes=since), now)
        minutes = ledger.minutes_out_since(tx, club, first, now)
    for kit in map(KitId, kit_ids):
        mine = [e for e in standing(known) if e.kit == kit and e.item is None]
        charged = [e.happened_at for e in mine if e.kind is EntryKind.CHARGED]
        went = [e for e in mine if e.kind in (EntryKind.GIVEN_OUT, EntryKind.PASSED_ON)]
        last = max(charged, default=None)
        assert used.get(kit, 0) == sum(last is None or e.happened_at > last for e in went)
        if any(e.kind is EntryKind.LOST for e in mine):
            # How long one that got lost was driven nobody knows, and nothing is planned with it.
            continue
        out = minutes.get(kit, ledger.OutSince())
        assert out.minutes == _minutes_out(mine, max([first, *charged]), now)
        assert out.percent == _charged_to(mine, first, now)


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(
    saying=st.lists(st.tuples(st.booleans(), st.integers(0, 1), st.integers(0, 20)), max_size=14)
)
def test_the_last_deed_is_the_last_that_stands_however_often_it_was_corrected_to_and_fro(
    store: Store, saying: list[tuple[bool, int, int]]
) -> None:
    club, kit_ids, _ = _club(store)
    with store.write() as tx:
        speakers = [people.add(tx, club, None, name, Role.HELPER, START) for name in ("A", "B")]
    deeds: dict[int, str] = {}
    for place, (corrects, speaker, target) in enumerate(saying):
        at = START + timedelta(minutes=place)
        draft = Draft(EntryKind.CHARGED, kit=KitId(kit_ids[0]))
        if corrects and deeds:
            cancels = Seq(1 + target % len(deeds))
            draft = Draft(EntryKind.CORRECTED, kit=KitId(kit_ids[0]), cancels=cancels)
        who, deed = speakers[speaker], f"deed {place}"
        with store.write() as tx:
            clubs.lock(tx, club)
            made = append(tx, club, [draft], happened_at=at, said_at=at, said_by=who, deed=deed)
        deeds[made[0].seq] = deed
    with store.read() as tx:
        known = list(history(tx, club))
        for who in speakers:
            mine = [entry.seq for entry in standing(known) if entry.said_by == who]
            expected = deeds[max(mine)] if mine else None
            assert ledger.last_deed(tx, club, who) == expected


def _charged_to(mine: list[Entry], since: datetime, now: datetime) -> int:
    """Return what the last charge since then came to; full where there was none."""
    charges = [e for e in mine if e.kind is EntryKind.CHARGED and since < e.happened_at <= now]
    percent = charges[-1].detail.percent if charges else None
    return 100 if percent is None else percent


def _minutes_out(mine: list[Entry], since: datetime, now: datetime) -> int:
    """Count, in steps of five minutes, how long a kit was out since then."""
    moves = [e for e in mine if e.kind in (EntryKind.GIVEN_OUT, EntryKind.TAKEN_BACK)]
    total = 0
    while since < now:
        before = [e for e in moves if e.happened_at <= since]
        total += 5 if before and before[-1].kind is EntryKind.GIVEN_OUT else 0
        since += timedelta(minutes=5)
    return total


def _brute_force(entries: Iterable[Entry], kit: KitId) -> Position:
    """Where a kit stands, found without the fold: by the last entry of each sort that counts."""
    entries = list(entries)
    undone: set[Seq] = set()
    for each in sorted(entries, key=lambda e: -e.seq):
        if each.kind is EntryKind.CORRECTED and each.seq not in undone and each.cancels:
            undone.add(each.cancels)
    mine = sorted(
        (
            e
            for e in entries
            if e.kit == kit
            and e.item is None
            and e.seq not in undone
            and e.kind is not EntryKind.CORRECTED
        ),
        key=lambda e: (e.happened_at, e.seq),
    )

    def last(*kinds: EntryKind) -> Entry | None:
        return next((e for e in reversed(mine) if e.kind in kinds), None)

    moved = last(EntryKind.GIVEN_OUT, EntryKind.PASSED_ON, EntryKind.TAKEN_BACK, EntryKind.LOST)
    out = moved is not None and moved.kind not in (EntryKind.TAKEN_BACK, EntryKind.LOST)
    due = last(EntryKind.GIVEN_OUT, EntryKind.PASSED_ON, EntryKind.EXTENDED)
    word = last(EntryKind.SAID_BACK)
    held = last(EntryKind.HELD, EntryKind.RELEASED)
    withdrawn = last(EntryKind.WITHDRAWN, EntryKind.RESTORED)
    lost = last(EntryKind.LOST, EntryKind.FOUND)
    charged = last(EntryKind.CHARGED)
    counted = last(EntryKind.COUNTED)
    missing: dict[str, int] = {}
    for e in mine:
        if e.kind is EntryKind.COUNTED:
            missing = dict(e.detail.parts)
        for part, number in e.detail.parts if e.kind in _PARTS[:2] else ():
            sign = 1 if e.kind is EntryKind.SHORT else -1
            missing[part] = max(missing.get(part, 0) + sign * number, 0)
    after = word and moved and (word.happened_at, word.seq) > (moved.happened_at, moved.seq)
    return Position(
        team=moved.detail.team if out and moved else None,
        booking=moved.detail.booking if out and moved else None,
        out_since=moved.happened_at if out and moved else None,
        due=due.detail.due if out and due else None,
        said_back_at=word.happened_at if out and word and after else None,
        held=held.detail.note if held and held.kind is EntryKind.HELD else None,
        withdrawn=(
            withdrawn.detail.note if withdrawn and withdrawn.kind is EntryKind.WITHDRAWN else None
        ),
        lost=lost.detail.note if lost and lost.kind is EntryKind.LOST else None,
        charged_at=charged.happened_at if charged else None,
        missing=tuple(sorted((part, number) for part, number in missing.items() if number)),
        counted_at=counted.happened_at if counted else None,
        last=(mine[-1].happened_at, mine[-1].seq) if mine else None,
    )


_TEAMS = [TeamId(7), TeamId(8)]
_entries = st.lists(
    st.tuples(
        st.sampled_from(_KIT_KINDS),
        st.integers(0, 40),
        st.sampled_from(_TEAMS),
        st.integers(1, 12),
    ),
    max_size=12,
).map(
    lambda rows: [
        Entry(
            seq=Seq(place + 1),
            kind=kind,
            happened_at=START + timedelta(minutes=at),
            said_at=START,
            said_by=PersonId(1),
            kit=KitId(1),
            detail=Detail(team=team, booking=BookingId(at), due=START, note=f"n{at}", parts=parts),
            cancels=Seq(back) if kind is EntryKind.CORRECTED and back <= place else None,
        )
        for place, (kind, at, team, back) in enumerate(rows)
        for parts in [(("axle", at % 3 + 1), ("cable", back))]
        if kind is not EntryKind.CORRECTED or back <= place
    ]
)


@given(entries=_entries, seed=st.randoms(use_true_random=False))
def test_replay_takes_entries_in_order_of_happening_whatever_order_they_come_in(
    entries: list[Entry], seed: object
) -> None:
    expected = _brute_force(entries, KitId(1))
    shuffled = list(entries)
    seed.shuffle(shuffled)  # type: ignore[attr-defined]
    assert replay(shuffled).kits.get(KitId(1), Position()) == expected


def test_an_undone_giving_out_is_as_if_it_had_never_been(store: Store) -> None:
    club, kit_ids, _ = _club(store)
    kit = KitId(kit_ids[0])
    detail = Detail(due=START + timedelta(hours=1))
    assert _say(store, club, Draft(EntryKind.GIVEN_OUT, kit=kit, detail=detail), START, START)
    later = START + timedelta(minutes=5)
    assert _say(store, club, Draft(EntryKind.CORRECTED, kit=kit, cancels=Seq(1)), later, later)
    with store.read() as tx:
        assert cached(tx, club) == {}
        assert [each.kind for each in history(tx, club)] == ["given out", "corrected"]


def test_undoing_a_giving_out_after_the_return_is_refused_and_changes_nothing(
    store: Store,
) -> None:
    club, kit_ids, _ = _club(store)
    kit = KitId(kit_ids[0])
    for minute, kind in enumerate([EntryKind.GIVEN_OUT, EntryKind.TAKEN_BACK]):
        at = START + timedelta(minutes=minute)
        assert _say(store, club, Draft(kind, kit=kit), at, at)
    at = START + timedelta(minutes=9)
    assert not _say(store, club, Draft(EntryKind.CORRECTED, kit=kit, cancels=Seq(1)), at, at)
    with store.read() as tx:
        assert len(list(history(tx, club))) == 2


def test_a_kit_that_is_out_is_not_given_out_again(store: Store) -> None:
    club, kit_ids, _ = _club(store)
    kit = KitId(kit_ids[0])
    assert _say(store, club, Draft(EntryKind.GIVEN_OUT, kit=kit), START, START)
    assert not _say(store, club, Draft(EntryKind.GIVEN_OUT, kit=kit), START, START)


def test_an_audit_names_a_position_that_somebody_meddled_with(store: Store) -> None:
    club, kit_ids, _ = _club(store)
    kit = KitId(kit_ids[0])
    assert _say(store, club, Draft(EntryKind.CHARGED, kit=kit), START, START)
    with store.write() as tx:
        tx.execute(sa.update(POSITION).values(held="meddled"))
    with store.read() as tx:
        (line,) = audit(tx, club)
    assert f"kit {kit}" in line
    assert "meddled" in line


def test_payloads_of_the_first_version_are_still_read() -> None:
    written = {"team": None, "due": "2026-09-01T15:00:00+00:00", "note": "bent axle"}
    assert ledger.READERS[1](written) == Detail(due=START + timedelta(hours=1), note="bent axle")
