"""Adults who are away: what would reach them goes to whoever acts for them, danger to both."""

from __future__ import annotations

from datetime import date, datetime, time

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed, look
from clubbot.rules.absence import Absence, read_away
from clubbot.rules.calendar import DAY
from clubbot.rules.model import PersonId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    AdultRef,
    AwayAsks,
    AwayLine,
    AwayNoted,
    BackAgain,
    WhoIsAway,
    YouAct,
)
from clubbot.store import absences, clubs, people
from clubbot.store.engine import Tx
from clubbot.store.notices import NoticeRow


@deed(Deed.GO_AWAY)
def go_away(tx: Tx, who: Who, text: str) -> AwayNoted | AwayAsks | Refused:
    """Note that one is away, such as "3 Oct to 10 Oct Sam"; the days count from their midnight.

    Who acts is asked where nobody was named and there are several other adults.
    """
    others = _other_adults(tx, who)
    if not others:
        return Refused(Reason.NO_OTHER_ADULT)
    today = who.now.astimezone(who.zone).date()
    said = read_away(text, others, today, who.zone)
    if isinstance(said, str):
        return Refused(Reason.UNKNOWN_PERSON)
    if said is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "away"})
    if said.last < today:
        return Refused(Reason.PAST)
    if said.acting is None and len(others) > 1:
        asked = tuple(AdultRef(person, name) for person, name in others.items())
        return AwayAsks(max(said.first, today), said.last, asked)
    return _note(tx, who, said.first, said.last, said.acting or next(iter(others)))


@deed(Deed.GO_AWAY)
def let_act(tx: Tx, who: Who, first: str, last: str, person: PersonId) -> AwayNoted | Refused:
    """Say who acts on the days that one is away."""
    try:
        days = date.fromisoformat(first), date.fromisoformat(last)
    except ValueError:
        return Refused(Reason.OUT_OF_DATE)
    today = who.now.astimezone(who.zone).date()
    if not today <= days[1] or days[0] > days[1] or person not in _other_adults(tx, who):
        return Refused(Reason.OUT_OF_DATE)
    return _note(tx, who, *days, person)


def _note(tx: Tx, who: Who, first: date, last: date, acting: PersonId) -> AwayNoted | Refused:
    calendar = clubs.calendar(tx, who.club, who.zone)
    starts = max(calendar.instant(first, time.min), who.now)
    ends = calendar.instant(last + DAY, time.min)
    away = absences.absences(tx, who.club)
    if any(e.person == acting and e.starts_at < ends and e.ends_at > starts for e in away):
        return Refused(Reason.AWAY_TOO, {"name": _other_adults(tx, who)[acting]})
    absences.add(tx, who.club, who.person, acting, starts, ends)
    facts = {"name": who.name, "first": first.isoformat(), "last": last.isoformat()}
    notices.tell(tx, who, [acting], notices.AWAY, f"person {who.person}", facts)
    absences.pass_on(tx, who.club, who.person, acting, (starts, ends), notices.PERSONAL)
    return AwayNoted(_line(tx, who, Absence(who.person, acting, starts, ends)))


@look(Deed.GO_AWAY)
def who_is_away(tx: Tx, who: Who) -> WhoIsAway:
    """Return which adults are away now or will be."""
    return WhoIsAway(coming(tx, who))


def coming(tx: Tx, who: Who) -> tuple[AwayLine, ...]:
    """Return the absences that aren't over, the first first."""
    away = [each for each in absences.absences(tx, who.club) if each.ends_at > who.now]
    return tuple(_line(tx, who, each) for each in away)


@deed(Deed.GO_AWAY)
def come_back(tx: Tx, who: Who) -> BackAgain:
    """End one's own absence now, or call it off."""
    ended = absences.end(tx, who.club, who.person, who.now)
    for each in ended:
        line = _line(tx, who, each)
        facts = {"name": line.name, "first": str(line.first), "last": str(line.last)}
        notices.tell(tx, who, [each.acting], notices.BACK, f"person {who.person}", facts)
    names = {row.id: row.name for row in people.people(tx, who.club)}
    return BackAgain(tuple(dict.fromkeys(names[each.acting] for each in ended)))


def _other_adults(tx: Tx, who: Who) -> dict[PersonId, str]:
    return {
        row.id: row.name
        for row in people.people(tx, who.club)
        if row.role.adult and row.id != who.person and row.telegram_id is not None
    }


def _line(tx: Tx, who: Who, each: Absence) -> AwayLine:
    names = {row.id: row.name for row in people.people(tx, who.club)}
    return AwayLine(
        name=names.get(each.person, ""),
        acting=names.get(each.acting, ""),
        first=each.starts_at.astimezone(who.zone).date(),
        last=_last_day(each.ends_at, who),
        mine=each.person == who.person,
    )


def _last_day(ends: datetime, who: Who) -> date:
    local = ends.astimezone(who.zone)
    return local.date() - DAY if local.time() == time.min else local.date()


def told(tx: Tx, who: Who, row: NoticeRow) -> YouAct:
    """Return for whom somebody is to act, or not any more."""
    first, last = (date.fromisoformat(row.facts[each]) for each in ("first", "last"))
    return YouAct(row.facts["name"], first, last, over=row.kind == notices.BACK)
