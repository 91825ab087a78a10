"""A small club to try the desk on: people who ask, a clock that is set, and the mail that is owed.

club.set("2026-10-02 15:30")                     the club's own wall time
club.student(booking.request, "2 kits Fri ...")  what the desk answers
club.student.in_group(booking.request, "...")    the same, said in the club's group
club.student.again()                             the very same update once more
club.mail()                                      {"Leader": [what they are told, ...]}
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from sqlmodel import SQLModel

from clubbot.desk import sending, sweep
from clubbot.desk.acting import Answer, Asking
from clubbot.rules.model import ClubId, KitId, PersonId, Role, TeamId
from clubbot.rules.sending import Outcome, Sent
from clubbot.rules.settings import ClubSettings
from clubbot.store import clubs, groups, kits, ledger, people, stock
from clubbot.store.engine import Store
from clubbot.store.kits import KitNow
from clubbot.store.tables import PERSON

BOT = 4242
_telegram_ids = itertools.count(1_001)
_group_ids = itertools.count(1)
_updates = itertools.count(1)
UseCase = Callable[..., Answer]


@dataclass
class Somebody:
    """A person with an account, in the club or not; calling one asks the desk in private."""

    club: Club
    name: str
    telegram_id: int
    id: PersonId
    last: tuple[UseCase, Asking, tuple[Any, ...], dict[str, Any]] | None = None

    def __call__(self, use_case: UseCase, *args: Any, **kwargs: Any) -> Any:
        """Ask the desk in private, by an update of its own; return the result's value."""
        return self._ask(use_case, self.asking(), args, kwargs).value

    def in_group(self, use_case: UseCase, *args: Any, **kwargs: Any) -> Any:
        """Ask the desk in the club's group."""
        return self._ask(use_case, self.asking(self.club.group), args, kwargs).value

    def again(self) -> Any:
        """Let the last update come once more, as the platform does after a lost confirmation."""
        assert self.last is not None
        use_case, asking, args, kwargs = self.last
        return use_case(self.club.store, asking._replace(now=self.club.now), *args, **kwargs).value

    def asking(self, group: int | None = None) -> Asking:
        """What the desk learns of this person's next message."""
        return Asking(
            bot_id=BOT,
            update_id=next(_updates),
            telegram_id=self.telegram_id,
            chat_id=group or self.telegram_id,
            private=group is None,
            said_at=self.club.now,
            now=self.club.now,
        )

    def _ask(
        self, use_case: UseCase, asking: Asking, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> Answer:
        self.last = (use_case, asking, args, kwargs)
        return use_case(self.club.store, asking, *args, **kwargs)


@dataclass
class Club:
    """A club as a leader would have set it up, one person in each role, and a stranger."""

    store: Store
    id: ClubId
    zone: ZoneInfo
    now: datetime
    group: int
    people: dict[Role, Somebody] = field(default_factory=dict)

    @property
    def leader(self) -> Somebody:
        return self.people[Role.LEADER]

    @property
    def co_leader(self) -> Somebody:
        return self.people[Role.CO_LEADER]

    @property
    def helper(self) -> Somebody:
        return self.people[Role.HELPER]

    @property
    def student(self) -> Somebody:
        return self.people[Role.STUDENT]

    @property
    def door(self) -> Somebody:
        return self.people[Role.DOOR]

    @property
    def stranger(self) -> Somebody:
        return self.people[Role.STRANGER]

    def set(self, wall: str) -> datetime:
        """Set the clock to a wall time of the club, such as "2026-10-02 15:30"."""
        self.now = self.at(wall)
        return self.now

    def at(self, wall: str) -> datetime:
        """Return the instant at which the club's clocks show this."""
        return datetime.fromisoformat(wall).replace(tzinfo=self.zone).astimezone(UTC)

    def later(self, **by: float) -> datetime:
        """Move the clock on, such as by `minutes=5`."""
        self.now += timedelta(**by)
        return self.now

    def newcomer(self, name: str, role: Role | None = None, teams: Iterable[str] = ()) -> Somebody:
        """Bring in one more person; without a role they have an account and no club."""
        telegram_id = next(_telegram_ids)
        person = PersonId(0)
        if role is not None:
            with self.store.write() as tx:
                person = people.add(tx, self.id, telegram_id, name, role, self.now)
                for team in teams:
                    people.put_in_team(tx, self.id, person, self.team(team))
        return Somebody(self, name, telegram_id, person)

    def team(self, name: str) -> TeamId:
        """Return the id of a team by its name."""
        with self.store.read() as tx:
            return next(ref.id for ref in clubs.teams(tx, self.id).values() if ref.name == name)

    def kit(self, label: str) -> KitId:
        """Return the id of a kit by its label."""
        return self.stands(label).kit.id

    def stands(self, label: str) -> KitNow:
        """Return a kit with its position."""
        with self.store.read() as tx:
            known = kits.kits(tx, self.id).values()
        return next(now for now in known if now.kit.label == label)

    def out(self) -> list[str]:
        """Return the labels of all that is out."""
        with self.store.read() as tx:
            known = kits.kits(tx, self.id).values()
        return [now.kit.label for now in known if now.position.out]

    def settings(self, **changed: Any) -> None:
        """Change settings as a leader would."""
        with self.store.write() as tx:
            row = clubs.club(tx, self.id)
            values = row.settings.changed() | ClubSettings(**changed).changed()
            clubs.change(tx, self.id, settings=values)

    def sweep(self) -> int:
        """Let the sweep pass now; return how many notices it made."""
        return sweep.sweep(self.store, self.now)

    def mail(self, outcome: Outcome | None = None) -> dict[str, list[object]]:
        """Sweep, send all that is owed by now, and return what each person was told.

        What groups and the people of other clubs are told is sent too.
        """
        self.sweep()
        names = self._names()
        told: dict[str, list[object]] = {}
        while owed := sending.lease(self.store, self.now, self.now):
            for each in owed:
                found = sending.message(self.store, each, self.now)
                if found is None:
                    sending.drop(self.store, each)
                    continue
                if each.announcement is None and each.chat_id in names:
                    told.setdefault(names[each.chat_id], []).extend(found[0])
                sending.mark(self.store, each, outcome or Sent(1), self.now, self.now)
            if outcome is not None:
                break
        return told

    def name_of(self, telegram_id: int | None) -> str:
        """Return the name of a person of this club by their account."""
        return self._names()[telegram_id]

    def _names(self) -> dict[int | None, str]:
        with self.store.read() as tx:
            return {row.telegram_id: row.name for row in people.people(tx, self.id)}

    def audit(self) -> list[str]:
        """Return where store, books of parts and ledger differ; there must be nothing."""
        with self.store.read() as tx:
            return [*ledger.audit(tx, self.id), *stock.audit(tx, self.id)]


def dump(store: Store) -> Mapping[str, Counter[tuple[Any, ...]]]:
    """Return every row of every table, to compare before with after."""
    with store.read() as tx:
        return {
            table.name: Counter(tuple(map(repr, row)) for row in tx.execute(sa.select(table)))
            for table in SQLModel.metadata.sorted_tables
        }


def make_club(
    store: Store,
    *,
    name: str = "Club",
    labels: Iterable[str] = "ABCDEF",
    teams: Iterable[str] = ("Red", "Blue"),
    zone: str = "Europe/Dublin",
    now: str = "2026-10-01 12:00",
) -> Club:
    """Make a club that meets on Fridays 15:30-17:00 and Mondays 16:00-17:30 under its leader.

    The student is in the first team. 2026-10-01 is a Thursday.
    """
    place = ZoneInfo(zone)
    start = datetime.fromisoformat(now).replace(tzinfo=place).astimezone(UTC)
    group = -next(_group_ids)
    ids = {role: next(_telegram_ids) for role in Role}
    members = [role for role in Role if role is not Role.STRANGER]
    with store.write() as tx:
        number = clubs.found(tx, name, zone, start)
        agreed = ClubSettings(accounts="with", students_confirmed_on="2026-09-01")
        clubs.change(tx, number, settings=agreed.changed())
        kits.add(tx, number, next(iter(clubs.kit_types(tx, number))), labels)
        groups.link(tx, number, group, f"{name} group", start)
        rows = [_row(number, role, ids[role], start) for role in members]
        made = tx.execute(
            sa.insert(PERSON).returning(PERSON.c.id, sort_by_parameter_order=True), rows
        )
        numbers = dict(zip(members, made.scalars(), strict=True))
        refs = [clubs.add_team(tx, number, team) for team in teams]
        if refs:
            people.put_in_team(tx, number, numbers[Role.STUDENT], refs[0].id)
        for weekday, starts, ends in ((4, time(15, 30), time(17)), (0, time(16), time(17, 30))):
            clubs.add_meeting(tx, number, weekday, starts, ends, numbers[Role.LEADER])
    club = Club(store, number, place, start, group)
    for role in Role:
        person = PersonId(numbers.get(role, 0))
        club.people[role] = Somebody(club, role.value.capitalize(), ids[role], person)
    return club


def _row(club: ClubId, role: Role, telegram_id: int, now: datetime) -> dict[str, Any]:
    return {
        "club_id": club,
        "telegram_id": telegram_id,
        "name": role.value.capitalize(),
        "role": role.value,
        "joined_at": now,
        "chosen_at": now,
    }
