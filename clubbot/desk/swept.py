"""What the sweep knows of a club, and the notices that it makes of that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from clubbot.rules.calendar import ClubCalendar
from clubbot.rules.model import KitId, PersonId, Role, TeamId
from clubbot.rules.reminding import Due, sending_time
from clubbot.store.bookings import LiveBooking
from clubbot.store.clubs import ClubRow
from clubbot.store.kits import KitNow
from clubbot.store.notices import NewNotice


@dataclass(frozen=True, slots=True)
class Swept:
    """What the sweep knows of a club."""

    row: ClubRow
    now: datetime
    calendar: ClubCalendar
    roles: dict[PersonId, Role]
    members: Mapping[TeamId, Sequence[PersonId]]
    kits: Mapping[KitId, KitNow]
    bookings: tuple[LiveBooking, ...]

    @property
    def adults(self) -> list[PersonId]:
        return [person for person, role in self.roles.items() if role.adult]

    @property
    def leaders(self) -> list[PersonId]:
        return [person for person, role in self.roles.items() if role is Role.LEADER]

    def fresh(self, due: Due | None) -> bool:
        """Say whether a moment has come and is still of use."""
        return due is not None and due.at <= self.now < due.useful_until

    def notice(self, kind: str, subject: str, due: Due, person: PersonId) -> NewNotice:
        role = self.roles[person]
        return NewNotice(
            kind=kind,
            subject=subject,
            occurrence=due.occurrence,
            person=person,
            due_at=due.at,
            send_at=sending_time(self.now, role, self.calendar, self.row.settings),
            useful_until=due.useful_until,
        )


def holders_of(club: Swept, booking: LiveBooking) -> list[PersonId]:
    """Return who is to hear of a booking: who made it; all of the team where none of it did."""
    team = club.members.get(booking.team, []) if booking.team else []
    found = [booking.booked_by] if booking.booked_by else []
    found += [] if booking.booked_by in team and booking.booked_by in club.roles else team
    return [person for person in dict.fromkeys(found) if person in club.roles]
