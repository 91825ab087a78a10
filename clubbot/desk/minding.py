"""What adults see of what the bot writes to children, and what is written down of it.

The writing down comes after the sending and in batches, so that nobody waits for it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from html import unescape

from clubbot.desk.acting import Who, look
from clubbot.rules.model import ClubId, PersonId, Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import SentLine, SentPage
from clubbot.store import minding, people
from clubbot.store.engine import Store, Tx
from clubbot.store.minding import Buttons, Met

CHILDREN = frozenset({Role.STUDENT, Role.HELPER, Role.DOOR})
"""Whose messages adults can see: helpers are students too, and children use the phone."""
PAGE = 12
_MARKUP = re.compile(r"</?[a-z-]+[^>]*>")


@dataclass(frozen=True, slots=True)
class Delivered:
    """Something that arrived in a private chat; `club` None: the one that the person chose."""

    chat_id: int
    text: str
    at: datetime
    club: ClubId | None = None
    asked: bool = True
    """Whether the person had just written or tapped."""
    buttons: Buttons = ()


def note(store: Store, batch: Sequence[Delivered]) -> None:
    """Write down what was sent to children, who was seen, and the newest buttons."""
    with store.write() as tx:
        behind = minding.met(tx, {each.chat_id for each in batch})
        kept: list[tuple[Met, datetime, str]] = []
        seen: set[Met] = set()
        for each in batch:
            whom = _meant(behind.get(each.chat_id, ()), each.club)
            if whom is None:
                continue
            if whom.role in CHILDREN and each.text:
                kept.append((whom, each.at, unescape(_MARKUP.sub("", each.text))))
            if each.asked:
                seen.add(whom)
        minding.keep(tx, kept)
        minding.saw(tx, seen, batch[-1].at.date())
        newest = {each.chat_id: (each.at, each.buttons) for each in batch if each.buttons}
        minding.put_buttons(tx, newest)


def last_buttons(store: Store) -> dict[int, tuple[datetime, Buttons]]:
    """Return the newest buttons of every private chat, as the last run left them."""
    with store.read() as tx:
        return minding.buttons(tx)


def _meant(known: Sequence[Met], club: ClubId | None) -> Met | None:
    return next((each for each in known if club in (None, each.club)), None)


@look(Deed.SEE_SENT)
def sent(tx: Tx, who: Who, name: str = "", page: int = 1) -> SentPage | Refused:
    """Return a page of what the bot wrote to children, newest first; of one, by their name."""
    person: PersonId | None = None
    if name:
        found = [
            row
            for row in people.people(tx, who.club)
            if row.role in CHILDREN and row.name.casefold().startswith(name.casefold())
        ]
        if len(found) != 1:
            return Refused(Reason.UNKNOWN_PERSON)
        person, name = found[0].id, found[0].name
    return _page(tx, who, person, name, page)


@look(Deed.SEE_SENT)
def sent_to(tx: Tx, who: Who, person: int, page: int) -> SentPage | Refused:
    """Return a page of what the bot wrote to one child, or (0) to all of them."""
    if not person:
        return _page(tx, who, None, "", page)
    names = {row.id: row.name for row in people.people(tx, who.club) if row.role in CHILDREN}
    if person not in names:
        return Refused(Reason.OUT_OF_DATE)
    return _page(tx, who, PersonId(person), names[PersonId(person)], page)


def _page(tx: Tx, who: Who, person: PersonId | None, name: str, page: int) -> SentPage:
    rows, count = minding.sent(tx, who.club, person, PAGE, (max(page, 1) - 1) * PAGE)
    lines = tuple(SentLine(row.at, row.name, row.role, row.text) for row in rows)
    days = who.settings.keep_messages_days
    return SentPage(lines, name, person or 0, max(page, 1), -(-count // PAGE), days)
