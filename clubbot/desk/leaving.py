"""What is kept about oneself, and leaving a club."""

from __future__ import annotations

import json

from clubbot.desk.acting import Who, deed, look
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import AboutMe, ConfirmLeaving, LeftClub, MyData
from clubbot.store import ageing, answering, bookings, clubs, forgetting, people
from clubbot.store.engine import Tx


@look(Deed.SEE_SELF)
def about_me(tx: Tx, who: Who) -> AboutMe:
    """Return all that is kept about the person who asks."""
    kept = forgetting.kept_about(tx, who.club, who.person)
    own = people.teams_of(tx, who.club, who.person)
    answers = answering.team_adults(tx, who.club)
    own |= {team for team, adult in answers.items() if adult == who.person}
    mine = bookings.of_person(tx, who.club, who.person, (), who.now)
    return AboutMe(
        club=who.club_name,
        account=who.asking.telegram_id,
        name=who.name,
        role=who.role,
        teams=tuple(ref.name for team, ref in clubs.teams(tx, who.club).items() if team in own),
        since=kept.since,
        bookings=len(mine),
        entries=kept.entries,
        reports=kept.reports,
    )


@look(Deed.SEE_SELF)
def my_data(tx: Tx, who: Who) -> MyData:
    """Return all that is kept about the person who asks, in a file that programs can read."""
    return data_of(tx, who)


def data_of(tx: Tx, who: Who) -> MyData:
    """Return what is kept about a person."""
    found = ageing.all_about(tx, who.club, who.person, who.asking.telegram_id)
    return MyData("my-data.json", json.dumps(found, indent=1, ensure_ascii=False))


@look(Deed.LEAVE)
def ask_to_leave(tx: Tx, who: Who) -> ConfirmLeaving | Refused:
    """Ask once more before somebody leaves; the last leader can't."""
    return asked_to_leave(tx, who)


def asked_to_leave(tx: Tx, who: Who) -> ConfirmLeaving | Refused:
    """Return the question, or why they can't."""
    return _only_leader(tx, who) or ConfirmLeaving(who.club_name)


@deed(Deed.LEAVE)
def leave(tx: Tx, who: Who) -> LeftClub | Refused:
    """Take oneself out of the club: name and account are deleted at once."""
    if refused := _only_leader(tx, who):
        return refused
    forgetting.forget(tx, who.club, who.person, who.now)
    return LeftClub(who.club_name)


def _only_leader(tx: Tx, who: Who) -> Refused | None:
    leaders = [row.id for row in people.people(tx, who.club) if row.role is Role.LEADER]
    return Refused(Reason.LAST_LEADER) if leaders == [who.person] else None
