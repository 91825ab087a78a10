"""How every use case runs: who asks, may they, one transaction, and nothing done twice.

A deed (`deed`) writes: the update that asks for it is recorded in the same transaction as its
effect, so a repeat of the update finds the first result and changes nothing. A look (`look`)
only reads.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Concatenate, NamedTuple, ParamSpec, TypeVar
from zoneinfo import ZoneInfo

from clubbot.desk import replay
from clubbot.rules.ledger import Entry
from clubbot.rules.model import ClubId, PersonId, Reason, Refused, Role
from clubbot.rules.permissions import Deed, may
from clubbot.rules.settings import ClubSettings
from clubbot.store import clubs, people, updates
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Store, Tx
from clubbot.store.ledger import Draft, Misfit, append

P = ParamSpec("P")
R = TypeVar("R")


class Asking(NamedTuple):
    """Who asks, where and when: all that a use case learns of the message behind it.

    `said_at` is the message's own date, `now` the club clock at handling; both aware UTC.
    """

    bot_id: int
    update_id: int
    telegram_id: int
    chat_id: int
    private: bool
    said_at: datetime
    now: datetime


@dataclass(frozen=True, slots=True)
class Who:
    """The person who asks, as the store knows them, and the club that they ask in."""

    person: PersonId
    name: str
    role: Role
    club: ClubId
    club_name: str
    zone: ZoneInfo
    settings: ClubSettings
    asking: Asking
    earlier: str | None = None
    """The stored result of this very update, where it had its effect already."""
    in_dialogue: bool = True
    """Whether something stands open between the bot and this person in this chat."""

    @property
    def now(self) -> datetime:
        return self.asking.now

    @property
    def deed(self) -> str:
        """What all that this action writes has in common."""
        if self.asking.update_id:
            return f"{self.asking.bot_id}:{self.asking.update_id}"
        return self.now.isoformat()

    def append(
        self, tx: Tx, drafts: list[Draft], happened_at: datetime | None = None
    ) -> list[Entry]:
        """Add ledger entries said by this person in this action."""
        return append(
            tx,
            self.club,
            drafts,
            happened_at=happened_at or self.now,
            said_at=self.now,
            said_by=self.person or None,
            deed=self.deed,
        )


class View(NamedTuple):
    """What words need beside a result: for whom, where, when, and in which zone."""

    zone: ZoneInfo
    now: datetime
    role: Role
    private: bool
    club: str
    contact: str = ""
    bot: str = ""


class Answer(NamedTuple):
    """A use case's result and the view to word it in."""

    value: object
    view: View


Deeds = Callable[Concatenate[Store, Asking, P], Answer]


def deed(
    what: Deed,
) -> Callable[[Callable[Concatenate[Tx, Who, P], R]], Deeds[P]]:
    """Make a use case that writes: locked, permitted, and done once for each update.

    A `Refused` result leaves nothing behind.
    """

    def wrap(function: Callable[Concatenate[Tx, Who, P], R]) -> Deeds[P]:
        def run(store: Store, asking: Asking, /, *args: P.args, **kwargs: P.kwargs) -> Answer:
            with store.write() as tx:
                who = _permitted(tx, asking, what)
                if isinstance(who, Answer):
                    return who
                clubs.lock(tx, who.club)
                if not store.sqlite:
                    # While this one waited for the lock, others may have settled who may do what.
                    who = _permitted(tx, asking, what)
                    if isinstance(who, Answer):
                        tx.rollback()
                        return who
                if who.earlier is not None:
                    return Answer(replay.read(who.earlier), view(who))
                return _first(tx, asking, view(who), lambda: function(tx, who, *args, **kwargs))

        functools.update_wrapper(run, function)
        return run

    return wrap


def look(
    what: Deed,
) -> Callable[[Callable[Concatenate[Tx, Who, P], R]], Deeds[P]]:
    """Make a use case that only reads."""

    def wrap(function: Callable[Concatenate[Tx, Who, P], R]) -> Deeds[P]:
        def run(store: Store, asking: Asking, /, *args: P.args, **kwargs: P.kwargs) -> Answer:
            with store.read() as tx:
                who = _permitted(tx, asking, what)
                if isinstance(who, Answer):
                    return who
                return Answer(function(tx, who, *args, **kwargs), view(who))

        functools.update_wrapper(run, function)
        return run

    return wrap


def _permitted(tx: Tx, asking: Asking, what: Deed) -> Who | Answer:
    """Return who asks if they may do this, or else the answer that they get."""
    who = find_who(tx, asking)
    if who is None:
        return _stranger(asking)
    if not may(who.role, what):
        return Answer(Refused(Reason.NOT_ALLOWED, {"deed": str(what)}), view(who))
    return who


def once(tx: Tx, asking: Asking, shown: View, act: Callable[[], object]) -> Answer:
    """Run an action in the open transaction, unless this update's effect is already there."""
    if (earlier := updates.earlier(tx, asking.bot_id, asking.update_id)) is not None:
        return Answer(replay.read(earlier), shown)
    return _first(tx, asking, shown, act)


def _first(tx: Tx, asking: Asking, shown: View, act: Callable[[], object]) -> Answer:
    try:
        result = act()
    except Misfit:
        tx.rollback()
        return Answer(Refused(Reason.LATER_ENTRIES), shown)
    if isinstance(result, Refused):
        tx.rollback()
    else:
        updates.record(tx, asking.bot_id, asking.update_id, asking.now, replay.write(result))
    return Answer(result, shown)


def find_who(tx: Tx, asking: Asking) -> Who | None:
    """Return the person behind a message, in the club that the chat means; None for strangers."""
    row = people.person_in_chat(
        tx,
        asking.telegram_id,
        asking.chat_id,
        private=asking.private,
        bot=asking.bot_id,
        update=asking.update_id,
    )
    if row is None:
        return None
    return Who(
        person=row.person_id,
        name=row.person_name,
        role=Role(row.role),
        club=row.club_id,
        club_name=row.club_name,
        zone=ZoneInfo(row.zone),
        settings=ClubSettings.read(row.settings),
        asking=asking,
        earlier=row.earlier,
        in_dialogue=row.in_dialogue,
    )


def by_the_clock(club: ClubRow, now: datetime) -> Who:
    """Return whom to act as where the clock acts and no person: nobody, with a leader's rights."""
    asking = Asking(0, 0, 0, 0, private=True, said_at=now, now=now)
    nobody = PersonId(0)
    return Who(nobody, "", Role.LEADER, club.id, club.name, club.zone, club.settings, asking)


def view(who: Who) -> View:
    """Return what words need to know of this person and moment."""
    return View(
        zone=who.zone,
        now=who.now,
        role=who.role,
        private=who.asking.private,
        club=who.club_name,
        contact=who.settings.contact,
    )


def stranger_view(asking: Asking) -> View:
    """Return what words need to know where nobody in a club asks."""
    return View(ZoneInfo("UTC"), asking.now, Role.STRANGER, asking.private, "")


def _stranger(asking: Asking) -> Answer:
    return Answer(Refused(Reason.NO_SUCH_CLUB), stranger_view(asking))
