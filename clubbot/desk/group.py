"""The club's group chats: linked, let go, where announcements go, and what is announced there.

A group reads dates and times only: no name, no team, no reason that somebody typed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from clubbot.desk.acting import Answer, Asking, Who, deed, find_who, once, stranger_view, view
from clubbot.rules.model import Reason, Refused, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    AnnouncementsSet,
    DaysAnnounced,
    GroupLetGo,
    GroupLinked,
    MoveAnnounced,
    SchoolsYesNeeded,
)
from clubbot.rules.tidy import tidy
from clubbot.store import announcements, clubs, groups
from clubbot.store.engine import Store, Tx

CLOSED = "days"
MOVED = "moved"
_USEFUL = timedelta(days=2)


def link_group(
    store: Store,
    asking: Asking,
    title: str,
    reads_all: bool,
    as_administrator: bool = False,
    agreed: bool = False,
) -> Answer:
    """Link the group that this is said in to the club that the person chose last.

    A group that belongs to another club stays that club's until it lets the group go, or until
    the bot is taken out of it. Where the bot can read every message, the school's yes is needed.
    """
    with store.write() as tx:
        who = find_who(tx, asking._replace(private=True))
        if who is None or not may(who.role, Deed.LINK_GROUP):
            facts = {"deed": str(Deed.LINK_GROUP)}
            return Answer(
                Refused(Reason.NOT_ALLOWED, facts),
                stranger_view(asking) if who is None else view(who),
            )
        shown = view(who)._replace(private=False)
        if reads_all and not agreed:
            return Answer(SchoolsYesNeeded(who.club_name, as_administrator), shown)
        clubs.lock(tx, who.club)

        def act() -> GroupLinked | Refused:
            called = tidy(title)[:140]
            if groups.link(tx, who.club, asking.chat_id, called, asking.now, agreed=reads_all):
                return GroupLinked(who.club_name, reads_all)
            return Refused(Reason.ALREADY, {"what": "another club's"})

        return once(tx, asking, shown, act)


@deed(Deed.LINK_GROUP)
def let_group_go(tx: Tx, who: Who) -> GroupLetGo:
    """Let the group that this is said in go: it belongs to no club any more."""
    groups.unlink(tx, who.club, who.asking.chat_id)
    return GroupLetGo(who.club_name)


@deed(Deed.LINK_GROUP)
def announce_here(
    tx: Tx, who: Who, topic: int | None, announces: bool
) -> AnnouncementsSet | Refused:
    """Say that announcements come where this is said, in this topic if any, or not at all."""
    if groups.announce_in(tx, who.club, who.asking.chat_id, topic, announces=announces):
        return AnnouncementsSet(announces, topic is not None)
    return Refused(Reason.NO_SUCH_CLUB)


# -- what is announced ----------------------------------------------------------------------------


def announce(tx: Tx, who: Who, kind: str, facts: Mapping[str, Any]) -> None:
    """Owe every group of the club a message about what was just done."""
    to = groups.announcing(tx, who.club)
    announcements.add(tx, who.club, to, kind, who.deed, facts, who.now, who.now + _USEFUL)


def days_closed(tx: Tx, who: Who, first: date, last: date, *, closed: bool) -> None:
    """Announce that there is no club on these days, or that there is one after all."""
    facts = {"first": first.isoformat(), "last": last.isoformat(), "closed": closed}
    announce(tx, who, CLOSED, facts)


def session_moved(tx: Tx, who: Who, before: Window, after: Window) -> None:
    """Announce that a session is held at another time."""
    moments = (before.start, before.end, after.start, after.end)
    announce(tx, who, MOVED, {"moments": [each.isoformat() for each in moments]})


def _days(facts: Mapping[str, Any]) -> DaysAnnounced:
    first, last = (date.fromisoformat(facts[each]) for each in ("first", "last"))
    return DaysAnnounced(first, last, facts["closed"])


def _moved(facts: Mapping[str, Any]) -> MoveAnnounced:
    at = [datetime.fromisoformat(each) for each in facts["moments"]]
    return MoveAnnounced(Window(at[0], at[1]), Window(at[2], at[3]))


READ: dict[str, Callable[[Mapping[str, Any]], object]] = {CLOSED: _days, MOVED: _moved}
