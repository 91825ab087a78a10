"""Today's list in one message a person, kept up to date in place."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from clubbot.desk import notices, today
from clubbot.desk.acting import Who, deed, look
from clubbot.rules.model import Role
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import DayLists, ListCopy, ListKept
from clubbot.store import clubs, lists, people
from clubbot.store.engine import Tx


@deed(Deed.SEE_TODAY)
def keep_list(tx: Tx, who: Who, message: int) -> ListKept:
    """Note that this message of the bot's shows today's list, so that it is kept up to date."""
    day = who.now.astimezone(who.zone).date()
    lists.keep(tx, who.club, who.person, who.asking.chat_id, message, day)
    return ListKept()


@look(Deed.REPORT_FAULT)
def day_lists(tx: Tx, who: Who) -> DayLists:
    """Return today's list as it stands and the messages that show it, each with a person's role.

    Only the bot looks here, after something has changed: what is in it goes to those who have the
    list already.
    """
    # Whoever caused the change, adults' copies have all of it; the words leave out the rest.
    as_adult = replace(who, role=Role.LEADER)
    day = who.now.astimezone(who.zone).date()
    calendar = clubs.calendar(tx, who.club, who.zone)
    since = calendar.instant(day, time.min)
    roles = {row.id: row.role for row in people.people(tx, who.club)}
    copies = tuple(
        ListCopy(row.chat_id, row.message_id, str(roles[row.person]))
        for row in lists.of_day(tx, who.club, day, notices.MORNING_LIST, since)
        if row.person in roles and may(Role(roles[row.person]), Deed.SEE_TODAY)
    )
    return DayLists(today.of_day(tx, as_adult, day) if copies else None, copies)
