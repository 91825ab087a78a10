"""One kit's tablet with another's unit: noted as it is, asked about when the kits are back."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta

from clubbot.desk import notices
from clubbot.desk.acting import Who
from clubbot.rules.mixing import Mixed, only_a_mix, read_mixes
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reminding import sending_time
from clubbot.rules.results import MixAsked, MixNoted
from clubbot.store import clubs, people, tags
from clubbot.store import notices as rows
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.notices import NewNotice

_USEFUL = timedelta(days=7)


def note(tx: Tx, who: Who, unit: KitNow, tablet: KitNow) -> MixNoted:
    """Note that the second kit's tablet is with the first one's unit; the adults are asked later.

    What was noted of that tablet or that unit before is over with it.
    """
    known = tags.mixes(tx, who.club)
    pair = (unit.kit.id, tablet.kit.id)
    if not any((each.unit, each.tablet) == pair for each in known):
        for each in known:
            if each.unit == pair[0] or each.tablet == pair[1]:
                tags.settle_mix(tx, who.club, each.id, who.now)
        mix = tags.add_mix(tx, who.club, *pair, who.person, who.now)
        due = unit.position.due or who.now + timedelta(minutes=90)
        ask(tx, who, mix, due + timedelta(minutes=who.settings.grace_minutes))
    return MixNoted(unit.ref, tablet.ref)


def noted(
    tx: Tx, who: Who, said: Iterable[Mixed], given: Collection[KitId]
) -> tuple[MixNoted, ...]:
    """Note what was said of tablets with kits that went out; return what stands of these kits."""
    known = kits(tx, who.club)
    by_label = {now.kit.label.casefold(): now for now in known.values()}
    for each in said:
        unit, tablet = (by_label.get(label.casefold()) for label in each)
        if unit is not None and tablet is not None and unit.kit.id in given:
            note(tx, who, unit, tablet)
    return tuple(
        MixNoted(known[mix.unit].ref, known[mix.tablet].ref)
        for mix in tags.mixes(tx, who.club)
        if mix.unit in given or mix.tablet in given
    )


def unknown(tx: Tx, who: Who, said: Iterable[Mixed]) -> Refused | None:
    """Return the refusal where a label of a mix is nobody's."""
    labels = {now.kit.label.casefold() for now in kits(tx, who.club).values()}
    words = (label for each in said for label in each if label.casefold() not in labels)
    word = next(words, None)
    return Refused(Reason.UNKNOWN_KIT, {"word": word}) if word is not None else None


def heard(tx: Tx, who: Who, text: str) -> MixNoted | None:
    """Take a sentence such as "D has F's tablet", from one who gives kits out."""
    if not may(who.role, Deed.GIVE_OUT) or not only_a_mix(text):
        return None
    _, said = read_mixes(text)
    by_label = {now.kit.label.casefold(): now for now in kits(tx, who.club).values()}
    pair = [by_label.get(label.casefold()) for label in said[0]] if said else []
    if len(pair) != 2 or pair[0] is None or pair[1] is None:
        return None
    return note(tx, who, pair[0], pair[1])


def asked_back(tx: Tx, who: Who, back: Collection[KitId]) -> tuple[MixAsked, ...]:
    """Return the questions about mixes of which a kit is back now and none is out any more."""
    known = kits(tx, who.club)
    return tuple(
        MixAsked(mix.id, known[mix.unit].ref, known[mix.tablet].ref, mix.noted_at)
        for mix in tags.mixes(tx, who.club)
        if (mix.unit in back or mix.tablet in back) and not known[mix.unit].position.out
    )


def ask(tx: Tx, who: Who, mix: int, at: datetime) -> None:
    """Owe the adults the question whether a mix is put right."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    adults = [row for row in people.people(tx, who.club) if row.role.adult]
    rows.add(
        tx,
        who.club,
        [
            NewNotice(
                kind=notices.MIX,
                subject=f"mix {mix}",
                occurrence=at.isoformat(),
                person=row.id,
                due_at=at,
                send_at=sending_time(at, row.role, calendar, who.settings),
                useful_until=at + _USEFUL,
            )
            for row in adults
        ],
    )
