"""People: the code that opens a club, invitations and knocks, roles and teams, and who left.

A link only knocks: an adult lets each person in. Codes are kept as hashes; wrong ones are counted.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from clubbot.desk import notices
from clubbot.desk.acting import (
    Answer,
    Asking,
    Who,
    deed,
    find_who,
    look,
    once,
    stranger_view,
    view,
)
from clubbot.desk.club import new_code
from clubbot.rules.model import ClubId, PersonId, Reason, Refused, Role, TeamId
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Claimed,
    Invited,
    Knocked,
    LetIn,
    People,
    PersonView,
    Removed,
    TeamSet,
    TurnedAway,
    Welcome,
)
from clubbot.rules.settings import students_welcome
from clubbot.rules.setup import LONGEST_NAME, NEW_CLUB
from clubbot.rules.tidy import tidy
from clubbot.store import clubs, forgetting, groups, people
from clubbot.store import notices as owed
from clubbot.store.engine import Store, Tx
from clubbot.store.people import PersonRow

TRIES = 5
TRIES_WITHIN = timedelta(hours=1)
TRIES_OF_ALL = 20
"""From so many wrong codes within that time on, by whomever, the leaders hear of it too."""
LINK_DAYS = 7
LINK_USES = 30
NO_NAME = "someone"


def start(store: Store, asking: Asking, code: str, name: str) -> Answer:
    """Open the chat: found a club with the first leader's code, knock with a link, or just look in.

    Five wrong codes within an hour, and no further one is looked at until the hour is over; the
    leaders of every club are told, since nobody knows which one is meant.
    """
    with store.write() as tx:
        who = find_who(tx, asking._replace(private=True))
        shown = view(who) if who else stranger_view(asking)
        shown = shown._replace(private=asking.private)
        if not code:
            if people.reachable(tx, asking.telegram_id, None):
                owed.try_again(tx, asking.telegram_id, asking.now)
            return Answer(_welcome(who), shown)
        if people.wrong_codes(tx, asking.telegram_id, asking.now - TRIES_WITHIN) >= TRIES:
            return Answer(Refused(Reason.TOO_MANY_TRIES), shown)
        answer = once(tx, asking, shown, lambda: _enter(tx, asking, code, name))
        if isinstance(answer.value, Refused) and answer.value.reason is Reason.CODE_WRONG:
            people.note_wrong_code(tx, asking.telegram_id, asking.now)
            _report_guessing(tx, asking)
        if isinstance(answer.value, Claimed) and (leader := find_who(tx, asking)):
            return Answer(answer.value, view(leader))
        return answer


def _report_guessing(tx: Tx, asking: Asking) -> None:
    since = asking.now - TRIES_WITHIN
    tries = people.wrong_codes(tx, None, since)
    if tries >= TRIES_OF_ALL or people.wrong_codes(tx, asking.telegram_id, since) >= TRIES:
        for row in clubs.everyone(tx):
            notices.codes_guessed(tx, asking, row, tries)


def _welcome(who: Who | None) -> Welcome:
    if who is None:
        return Welcome(None, Role.STRANGER, "")
    return Welcome(who.club_name, who.role, who.settings.contact)


def _enter(tx: Tx, asking: Asking, code: str, name: str) -> Claimed | Knocked | Refused:
    found = people.invitation(tx, code.strip().lower(), asking.now)
    if found is None:
        return Refused(Reason.CODE_WRONG)
    called = tidy(name)[:LONGEST_NAME] or NO_NAME
    if found.club_id is None:
        clubs.found_alone(tx)
        if not people.use_invitation(tx, found.id):
            return Refused(Reason.CODE_WRONG)
        people.drop_founding_codes(tx)
        waiting = [row for row in clubs.everyone(tx) if not people.people(tx, row.id)]
        club = waiting[0].id if waiting else clubs.found(tx, NEW_CLUB, "UTC", asking.now)
        people.add(tx, club, asking.telegram_id, called, Role.LEADER, asking.now)
        return Claimed(waiting[0].name if waiting else NEW_CLUB, called)
    club = ClubId(found.club_id)
    clubs.lock(tx, club)
    row = clubs.club(tx, club)
    if found.role == Role.STUDENT and not students_welcome(row.settings):
        return Refused(Reason.CODE_WRONG)
    if any(club == number for number, _, _ in people.clubs_of(tx, asking.telegram_id)):
        return Refused(Reason.ALREADY, {"what": "in the club", "club": row.name})
    known = people.is_knocking(tx, club, asking.telegram_id)
    if not known and not people.use_invitation(tx, found.id):
        return Refused(Reason.CODE_WRONG)
    knock = people.knock(tx, club, asking.telegram_id, called, Role(found.role), asking.now)
    notices.someone_knocks(tx, asking, row, knock)
    return Knocked(row.name, row.settings.contact)


@deed(Deed.LET_IN)
def invite(tx: Tx, who: Who, role: Role) -> Invited | Refused:
    """Make a link by which people can knock: good for a week and thirty people."""
    if role in (Role.LEADER, Role.STRANGER):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "role"})
    if role is Role.STUDENT and not students_welcome(who.settings):
        return Refused(Reason.STUDENTS_UNCONFIRMED)
    code = new_code()
    until = who.now + timedelta(days=LINK_DAYS)
    people.invite(tx, who.club, code, role, until, LINK_USES)
    return Invited(code, role, LINK_USES, until)


@look(Deed.LET_IN)
def everyone(tx: Tx, who: Who, page: int = 1) -> People:
    """Return who is in the club and who knocks."""
    return People(
        tuple(_shown(tx, who, row) for row in people.people(tx, who.club)),
        tuple(people.knocks(tx, who.club)),
        page,
    )


def _shown(tx: Tx, who: Who, row: PersonRow) -> PersonView:
    own = people.teams_of(tx, who.club, row.id)
    names = tuple(ref.name for team, ref in clubs.teams(tx, who.club).items() if team in own)
    return PersonView(row.id, row.name, row.role, not row.unreachable, names)


@look(Deed.LET_IN)
def find(tx: Tx, who: Who, name: str) -> LetIn | People | Refused:
    """Return the person of this name, to change their role or team; everybody without a name."""
    rows = people.people(tx, who.club)
    wanted = name.strip().casefold()
    if not wanted:
        return People(tuple(_shown(tx, who, row) for row in rows), ())
    found = [row for row in rows if row.name.casefold() == wanted]
    found = found or [row for row in rows if row.name.casefold().startswith(wanted)]
    if len(found) != 1:
        return Refused(Reason.UNKNOWN_PERSON)
    return LetIn(_shown(tx, who, found[0]), tuple(clubs.teams(tx, who.club).values()))


@deed(Deed.LET_IN)
def let_in(tx: Tx, who: Who, knock: int) -> LetIn | Refused:
    """Let in somebody who knocks, in the role of the link that they came by."""
    found = people.take_knock(tx, who.club, knock)
    if found is None:
        return Refused(Reason.ANSWERED)
    if found.role == Role.STUDENT and not students_welcome(who.settings):
        return Refused(Reason.STUDENTS_UNCONFIRMED)
    person = people.add(tx, who.club, found.telegram_id, found.name, Role(found.role), who.now)
    notices.tell(tx, who, [person], notices.LET_IN, f"person {person}")
    row = next(each for each in people.people(tx, who.club) if each.id == person)
    return LetIn(_shown(tx, who, row), tuple(clubs.teams(tx, who.club).values()))


@deed(Deed.LET_IN)
def turn_away(tx: Tx, who: Who, knock: int) -> TurnedAway | Refused:
    """Take a knock off the list; nothing of the person is kept."""
    found = people.take_knock(tx, who.club, knock)
    return TurnedAway(found.name) if found else Refused(Reason.ANSWERED)


@deed(Deed.LET_IN)
def put_in_team(tx: Tx, who: Who, person: PersonId, team: TeamId) -> TeamSet | Refused:
    """Put a person into a team, in place of any other."""
    row = _known(tx, who, person)
    ref = clubs.teams(tx, who.club).get(team)
    if row is None or ref is None:
        return Refused(Reason.OUT_OF_DATE)
    people.put_in_team(tx, who.club, person, team)
    return TeamSet(row.name, ref)


@deed(Deed.LET_IN)
def change_role(tx: Tx, who: Who, person: PersonId, role: Role) -> LetIn | Refused:
    """Give a person another role; the last leader stays one."""
    row = _known(tx, who, person)
    if row is None or role is Role.STRANGER:
        return Refused(Reason.UNKNOWN_PERSON)
    if row.role is Role.LEADER and role is not Role.LEADER and _last_leader(tx, who):
        return Refused(Reason.LAST_LEADER)
    if role is Role.STUDENT and not students_welcome(who.settings):
        return Refused(Reason.STUDENTS_UNCONFIRMED)
    people.change(tx, who.club, person, role=role.value)
    notices.tell(tx, who, [person], notices.LET_IN, f"person {person}")
    changed = _known(tx, who, person)
    return LetIn(_shown(tx, who, changed or row), tuple(clubs.teams(tx, who.club).values()))


@deed(Deed.LET_IN)
def remove(tx: Tx, who: Who, person: PersonId) -> Removed | Refused:
    """Take a person out of the club; what they did stays in the ledger, without their name."""
    row = _known(tx, who, person)
    if row is None:
        return Refused(Reason.UNKNOWN_PERSON)
    if row.role is Role.LEADER and _last_leader(tx, who):
        return Refused(Reason.LAST_LEADER)
    forgetting.forget(tx, who.club, person, who.now)
    return Removed(row.name)


def _known(tx: Tx, who: Who, person: PersonId) -> PersonRow | None:
    return next((row for row in people.people(tx, who.club) if row.id == person), None)


def _last_leader(tx: Tx, who: Who) -> bool:
    return sum(row.role is Role.LEADER for row in people.people(tx, who.club)) == 1


def blocked(store: Store, asking: Asking) -> None:
    """Note that somebody can't be written to until they come back."""
    with store.write() as tx:
        people.reachable(tx, asking.telegram_id, asking.now)


def unblocked(store: Store, asking: Asking) -> None:
    """Note that somebody can be written to again, and owe them what they missed."""
    with store.write() as tx:
        people.reachable(tx, asking.telegram_id, None)
        owed.try_again(tx, asking.telegram_id, asking.now)


def unreachable(store: Store, chat_id: int, now: datetime) -> None:
    """Note that a person or a group can't be written to."""
    with store.write() as tx:
        if chat_id > 0:
            people.reachable(tx, chat_id, now)
        else:
            groups.left(tx, chat_id, now)


def group_moved(store: Store, old: int, new: int) -> None:
    """Follow a group whose chat id has changed."""
    with store.write() as tx:
        groups.move(tx, old, new)


def group_left(store: Store, asking: Asking) -> None:
    """Note that the bot was taken out of a group."""
    with store.write() as tx:
        groups.left(tx, asking.chat_id, asking.now)


def group_joined(store: Store, asking: Asking) -> None:
    """Note that the bot was put back into a group that it knows.

    Where nobody of the group's club did it, the group belongs to no club until it is linked.
    """
    with store.write() as tx:
        groups.joined(tx, asking.chat_id, asking.telegram_id)
