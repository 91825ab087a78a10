"""Notices that follow from what somebody did: queued in the same transaction as the deed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from clubbot.desk.acting import Asking, Who
from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.model import ClubId, PersonId, Role, TeamId
from clubbot.rules.muting import can_wait, next_list
from clubbot.rules.reminding import evening_before, sending_time
from clubbot.rules.results import BookingView, Swap
from clubbot.store import answering, clubs, kits, people
from clubbot.store import swaps as swaps_owed
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Tx
from clubbot.store.notices import NewNotice, add

TOMORROW = "tomorrow"
DUE_SOON = "due soon"
LONGER = "longer"
LONGER_SAID = "longer said"
LATE_ASKED = "late asked"
LATE_HOLDER = "late holder"
LATE_MORNING = "late morning"
LATE_LEADER = "late leader"
CHARGE_LIST = "charge list"
MORNING_LIST = "morning list"
SWAPPED = "swapped"
CHANGED = "changed"
SHORT = "short"
OFF = "off"
KNOCK = "knock"
LET_IN = "let in"
OFFER = "offer"
ASKED = "asked"
DECIDED = "decided"
TEARDOWN = "teardown"
FAULT = "fault"
DANGER = "danger"
DANGER_AGAIN = "danger again"
DANGER_TAKEN = "danger taken"
DANGER_PLACED = "danger placed"
DANGER_SAID = "danger said again"
FEED = "feed"
MOVED = "moved"
LEFT = "left"
SCANNED = "scanned"
MIX = "mix"
LOST = "lost"
FAULTS_STALLED = "faults stalled"
CLAIM_PASSED = "claim passed"
PARTS_ORDER = "parts order"
LOT_LOOK = "lot look"
LOT_OVER = "lot over"
TEST_LEFT = "test left"
LOT_LEFT = "lot left"
AWAY = "away"
BACK = "back again"
GUESSING = "guessing"
ALONE = "only leader"
WEAR = "wear"
VERSIONS = "versions"
PERSONAL = frozenset({LET_IN, OFFER, DECIDED, AWAY, BACK})
"""What nobody else is told while somebody is away."""

_USEFUL = timedelta(days=7)


def tell(
    tx: Tx,
    who: Who,
    to: Iterable[PersonId],
    kind: str,
    subject: str,
    facts: Mapping[str, Any] | None = None,
    *,
    urgent: bool = False,
    themselves: bool = False,
    occurrence: str = "",
) -> int:
    """Owe people a message; whoever did it hears only what is `urgent` or for `themselves` too."""
    spared = None if urgent or themselves else who.person
    roles = {row.id: row.role for row in people.people(tx, who.club)}
    known = [each for each in to if each in roles and each != spared]
    at = {each: who.now if urgent else _sending(tx, who, each, roles[each], kind) for each in known}
    return add(
        tx,
        who.club,
        [
            NewNotice(
                kind=kind,
                subject=subject,
                occurrence=occurrence or who.deed,
                person=each,
                due_at=who.now,
                send_at=moment,
                moves_at=moment,
                useful_until=who.now + _USEFUL,
                urgent=urgent,
                facts=facts or {},
                personal=kind in PERSONAL,
            )
            for each, moment in at.items()
        ],
        by=who.person,
    )


def _sending(tx: Tx, who: Who, person: PersonId, role: Role, kind: str) -> datetime:
    """Return when it goes out: at once, with an adult's next list, or after the quiet hours."""
    calendar, at = clubs.calendar(tx, who.club, who.zone), who.now
    if role.adult and can_wait(kind, person, at, calendar):
        at = next_list(at, calendar, who.settings)
    return sending_time(at, role, calendar, who.settings)


def tell_once(tx: Tx, who: Who, to: Iterable[PersonId], kind: str, subject: str) -> int:
    """Owe people a message that they get once a day, however often its cause is found again."""
    day = who.now.astimezone(who.zone).date().isoformat()
    return tell(tx, who, to, kind, subject, occurrence=day)


def adults(tx: Tx, who: Who) -> list[PersonId]:
    """Return the adults of the club."""
    return [row.id for row in people.people(tx, who.club) if row.role.adult]


def company(tx: Tx, club: ClubId) -> dict[TeamId, list[PersonId]]:
    """Return who belongs to which team: its members in the chat, and its adult."""
    found = {team: list(persons) for team, persons in people.members(tx, club).items()}
    for team, adult in answering.team_adults(tx, club).items():
        if adult not in found.setdefault(team, []):
            found[team].append(adult)
    return found


def concerned(tx: Tx, who: Who, booking: BookingView) -> list[PersonId]:
    """Return who is to hear about a booking: who made it, and those who belong to the team."""
    found = [booking.booked_by] if booking.booked_by else []
    if booking.team:
        found += company(tx, who.club).get(booking.team.id, [])
    return found


def tell_of_swaps(tx: Tx, who: Who, bookings: Sequence[BookingView], swaps: Iterable[Swap]) -> None:
    """Let those concerned hear which kit they get instead of the one they were told.

    They hear it with the reminder of the evening before, if that is still to come: until then
    plans may change back. Otherwise they are told at once.
    """
    by_number = {booking.number: booking for booking in bookings}
    by_label = {now.kit.label: kit for kit, now in kits.kits(tx, who.club).items()}
    calendar = clubs.calendar(tx, who.club, who.zone)
    changed: dict[int, list[tuple[str, str, str]]] = {}
    for swap in swaps:
        changed.setdefault(swap.number, []).append((swap.before, swap.after, swap.why))
    for number, pairs in changed.items():
        booking = by_number[number]
        if evening_before(booking.window, calendar, who.settings).at > who.now:
            for before, _, why in pairs:
                swaps_owed.note(
                    tx, who.club, booking.id, by_label[before], why, named=booking.named
                )
            continue
        facts = {"swaps": pairs}
        to = concerned(tx, who, booking) or _session_adults(tx, who, calendar, booking)
        tell(tx, who, to, SWAPPED, f"booking {booking.id}", facts)


def _session_adults(
    tx: Tx, who: Who, calendar: ClubCalendar, booking: BookingView
) -> list[PersonId]:
    """Return who runs a booking's session, to hear what a team without anybody in the chat can't.

    Where nobody does it is the adults.
    """
    session = calendar.session_with(booking.window)
    return [session.adult] if session is not None and session.adult else adults(tx, who)


def tell_of_cancelling(tx: Tx, who: Who, booking: BookingView, *, closed: bool = False) -> int:
    """Tell those concerned that a booking is off."""
    facts = {
        "number": booking.number,
        "start": booking.window.start.isoformat(),
        "closed": closed,
    }
    return tell(tx, who, concerned(tx, who, booking), OFF, f"booking {booking.id}", facts)


def tell_adults(
    tx: Tx,
    who: Who,
    kind: str,
    subject: str,
    facts: Mapping[str, Any] | None = None,
    *,
    urgent: bool = False,
) -> int:
    """Owe every adult a message about what was just done."""
    return tell(tx, who, adults(tx, who), kind, subject, facts, urgent=urgent)


def codes_guessed(tx: Tx, asking: Asking, club: ClubRow, tries: int) -> None:
    """Tell a club's leaders, once a day, that somebody guesses at codes."""
    calendar = clubs.calendar(tx, club.id, club.zone)
    rows = [row for row in people.people(tx, club.id) if row.role is Role.LEADER]
    at = {row.id: sending_time(asking.now, row.role, calendar, club.settings) for row in rows}
    add(
        tx,
        club.id,
        [
            NewNotice(
                kind=GUESSING,
                subject="codes",
                occurrence=calendar.day_of(asking.now).isoformat(),
                person=row.id,
                due_at=asking.now,
                send_at=at[row.id],
                moves_at=at[row.id],
                useful_until=asking.now + _USEFUL,
                facts={"tries": tries},
            )
            for row in rows
        ],
    )


def someone_knocks(tx: Tx, asking: Asking, club: ClubRow, knock: int) -> None:
    """Tell the adults of a club that somebody wants in."""
    calendar = clubs.calendar(tx, club.id, club.zone)
    rows = [row for row in people.people(tx, club.id) if row.role.adult]
    at = {row.id: sending_time(asking.now, row.role, calendar, club.settings) for row in rows}
    add(
        tx,
        club.id,
        [
            NewNotice(
                kind=KNOCK,
                subject=f"knock {knock}",
                occurrence=f"{asking.bot_id}:{asking.update_id}",
                person=row.id,
                due_at=asking.now,
                send_at=at[row.id],
                moves_at=at[row.id],
                useful_until=asking.now + _USEFUL,
                facts={"knock": knock},
            )
            for row in rows
        ],
    )
