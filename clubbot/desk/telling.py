"""What each kind of notice says, read from the store at the moment it is sent."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Literal

from clubbot.desk import (
    absence,
    alarms,
    busy,
    charging,
    feed,
    left_on,
    longer,
    losing,
    lots,
    moving,
    notices,
    ordering,
    scanning,
    stalled,
    storing,
    succession,
    testday,
    today,
    versions,
    wearing,
)
from clubbot.desk.acting import Who
from clubbot.desk.fleet import Picture, picture
from clubbot.rules.late import is_late
from clubbot.rules.ledger import Use
from clubbot.rules.model import BookingId, KitId, Window
from clubbot.rules.results import (
    BookedTomorrow,
    BookingChanged,
    BookingOff,
    BookingShort,
    CodesGuessed,
    DueSoon,
    KitsSwapped,
    Late,
    NewFault,
    PlaceOffered,
    RequestAsked,
    RequestDecided,
    SomeoneKnocks,
    StillOut,
    Teardown,
    YouAreIn,
)
from clubbot.store import bookings, clubs, faults, people, wishes
from clubbot.store.engine import Tx
from clubbot.store.notices import NoticeRow


def number_of(row: NoticeRow) -> int:
    """Return the id that a notice is about."""
    return int(row.subject.rpartition(" ")[2])


def _around(tx: Tx, who: Who, row: NoticeRow) -> tuple[Picture, bookings.LiveBooking] | None:
    booking = bookings.by_id(tx, who.club, [number_of(row)]).get(BookingId(number_of(row)))
    return (picture(tx, who, booking.window), booking) if booking else None


def _tomorrow(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    if found is None:
        return None
    seen, booking = found
    return BookedTomorrow(seen.shown(booking), _changed_since(seen, booking, row))


def _changed_since(
    seen: Picture, booking: bookings.LiveBooking, row: NoticeRow
) -> tuple[tuple[str, str, str], ...]:
    """Return which kits a booking has instead of those told, and why where that still holds."""
    gone = [(KitId(kit), why) for kit, why in row.facts.get("gone", []) if kit in seen.kits]
    missing = [(kit, why) for kit, why in gone if kit not in booking.chosen]
    believed = {*booking.named, *(kit for kit, _ in gone)}
    fresh = [ref.label for ref in seen.refs(set(booking.chosen) - believed)]
    pairs = zip(missing, fresh, strict=False)
    return tuple(
        (seen.kits[kit].kit.label, new, why if _holds(seen, kit, why) else "")
        for (kit, why), new in pairs
    )


def _holds(seen: Picture, kit: KitId, why: str) -> bool:
    use = seen.kits[kit].position.use
    return use is not Use.IN_USE or why not in {str(each) for each in Use}


def _due_soon(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    if found is None:
        return None
    shown = found[0].shown(found[1])
    more = shown.id if shown.out and longer.open_ends(tx, who, found[1]) else None
    return DueSoon(shown.out, shown.team, shown.window.end, more) if shown.out else None


def _late_asked(tx: Tx, who: Who, row: NoticeRow) -> object:
    seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
    due = datetime.fromisoformat(row.occurrence)
    late = [now.ref for now in seen.kits.values() if now.position.due == due]
    return StillOut(row.id, tuple(late)) if late else None


def _late(step: Literal["holder", "morning", "leader"]) -> Callable[[Tx, Who, NoticeRow], object]:
    def read(tx: Tx, who: Who, row: NoticeRow) -> object:
        seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
        now = seen.kits.get(KitId(number_of(row)))
        grace = timedelta(minutes=who.settings.grace_minutes)
        if now is None or not is_late(now.position, who.now, grace):
            return None
        if now.position.said_back_at is not None or now.position.due is None:
            return None
        team = seen.teams.get(now.position.team) if now.position.team else None
        more = _open_ended(tx, who, now.position.booking) if step != "leader" else None
        return Late((now.ref,), team, now.position.due, step, more)

    return read


def _open_ended(tx: Tx, who: Who, booking: BookingId | None) -> BookingId | None:
    """Return a late kit's booking where it may have the kit for longer without asking."""
    found = bookings.by_id(tx, who.club, [booking]) if booking is not None else {}
    return next((b.id for b in found.values() if longer.open_ends(tx, who, b)), None)


def _charge_list(tx: Tx, who: Who, row: NoticeRow) -> object:
    calendar = clubs.calendar(tx, who.club, who.zone)
    found = charging.planned(tx, who, calendar, calendar.day_of(row.due_at))
    return found if charging.worth_saying(found) else None


def _morning_list(tx: Tx, who: Who, row: NoticeRow) -> object:
    return today.of_day(tx, who, row.due_at.astimezone(who.zone).date())


def _swapped(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    if found is None:
        return None
    swaps = tuple((before, after, why) for before, after, why in row.facts["swaps"])
    return KitsSwapped(found[0].shown(found[1]), swaps)


def _changed(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return BookingChanged(found[0].shown(found[1])) if found else None


def _short(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return BookingShort(found[0].shown(found[1])) if found else None


def _off(tx: Tx, who: Who, row: NoticeRow) -> object:
    start = datetime.fromisoformat(row.facts["start"])
    return BookingOff(row.facts["number"], start, row.facts["closed"])


def _knock(tx: Tx, who: Who, row: NoticeRow) -> object:
    waiting = {each.id: each for each in people.knocks(tx, who.club)}
    knock = waiting.get(row.facts["knock"])
    return SomeoneKnocks(knock) if knock else None


def _let_in(tx: Tx, who: Who, row: NoticeRow) -> object:
    several = len(people.clubs_of(tx, who.asking.telegram_id)) > 1
    return YouAreIn(who.club_name, str(who.role), several)


def _fault(tx: Tx, who: Who, row: NoticeRow) -> object:
    number = number_of(row)
    found = [each for each in faults.still_open(tx, who.club) if each.id == number]
    return NewFault(found[0]) if found else None


def _offer(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, number_of(row))
    if wish is None or wish.state != "offered" or wish.booking is None:
        return None
    until = bookings.offered_until(tx, who.club, wish.booking)
    return PlaceOffered(wish.id, wish.window, wish.count, until) if until else None


def _asked(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, number_of(row))
    if wish is None or wish.state != "asked":
        return None
    names = {each.id: each.name for each in people.people(tx, who.club)}
    team = clubs.teams(tx, who.club).get(wish.team) if wish.team else None
    by = names.get(wish.person, "")
    return RequestAsked(wish.id, wish.window, wish.count, team, by, wish.why)


def _decided(tx: Tx, who: Who, row: NoticeRow) -> object:
    wish = wishes.by_id(tx, who.club, number_of(row))
    if wish is None:
        return None
    found = bookings.by_id(tx, who.club, [wish.booking]) if wish.booking else {}
    number = found[wish.booking].number if wish.booking in found else None
    return RequestDecided(wish.window, wish.count, row.facts["yes"], number)


def _teardown(tx: Tx, who: Who, row: NoticeRow) -> object:
    found = _around(tx, who, row)
    return Teardown(found[0].shown(found[1])) if found else None


def _guessing(tx: Tx, who: Who, row: NoticeRow) -> object:
    return CodesGuessed(row.facts["tries"])


READ: dict[str, Callable[[Tx, Who, NoticeRow], object]] = {
    notices.TOMORROW: _tomorrow,
    notices.DUE_SOON: _due_soon,
    notices.LATE_ASKED: _late_asked,
    notices.LONGER: longer.asked,
    notices.LONGER_SAID: longer.said,
    notices.LATE_HOLDER: _late("holder"),
    notices.LATE_MORNING: _late("morning"),
    notices.LATE_LEADER: _late("leader"),
    notices.CHARGE_LIST: _charge_list,
    notices.MORNING_LIST: _morning_list,
    notices.SWAPPED: _swapped,
    notices.CHANGED: _changed,
    notices.SHORT: _short,
    notices.OFF: _off,
    notices.KNOCK: _knock,
    notices.LET_IN: _let_in,
    notices.FAULT: _fault,
    notices.DANGER: alarms.shown,
    notices.DANGER_AGAIN: alarms.unanswered,
    notices.DANGER_TAKEN: alarms.taken,
    notices.DANGER_PLACED: alarms.placed,
    notices.DANGER_SAID: alarms.said_again,
    notices.OFFER: _offer,
    notices.ASKED: _asked,
    notices.DECIDED: _decided,
    notices.TEARDOWN: _teardown,
    notices.FEED: feed.owed,
    notices.MOVED: moving.owed,
    notices.LEFT: moving.owed,
    notices.SCANNED: scanning.owed_scan,
    notices.MIX: scanning.owed_mix,
    notices.LOST: losing.told,
    notices.FAULTS_STALLED: stalled.owed,
    notices.CLAIM_PASSED: stalled.passed,
    notices.PARTS_ORDER: ordering.owed,
    notices.LOT_LOOK: lots.look,
    notices.LOT_OVER: lots.over,
    notices.TEST_LEFT: testday.left_running,
    notices.LOT_LEFT: left_on.told,
    notices.ALONE: succession.told,
    notices.GUESSING: _guessing,
    notices.AWAY: absence.told,
    notices.BACK: absence.told,
    notices.WEAR: wearing.owed,
    notices.VERSIONS: versions.owed,
    busy.BUSY_DAY: busy.told,
    storing.BEFORE_BREAK: storing.before_break,
    storing.TOP_UP: storing.top_up,
}
