"""Somebody scans a label: the kit's card for those in its club, whose it is for anybody else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from clubbot.desk import mixing, notices, today
from clubbot.desk.acting import (
    Answer,
    Asking,
    Who,
    by_the_clock,
    deed,
    find_who,
    once,
    stranger_view,
    view,
)
from clubbot.desk.fault import OVER_AFTER, WHAT_STEP, ask_what, note_report
from clubbot.desk.fleet import picture
from clubbot.desk.people import TRIES, TRIES_WITHIN
from clubbot.rules.faults import FaultReading
from clubbot.rules.faults.asides import gives_up
from clubbot.rules.labels import Thing
from clubbot.rules.model import KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import (
    DangerReported,
    FaultKitNeeded,
    FaultReported,
    Forgot,
    KitCard,
    KitRef,
    LabelScanned,
    MixAsked,
    MixNoted,
    MixSettled,
    ScanAction,
    Scanned,
    ScannedByStranger,
    WhatIsWrong,
)
from clubbot.store import clubs, dialogues, losses, people, tags
from clubbot.store.engine import Store, Tx
from clubbot.store.kits import kits
from clubbot.store.notices import NoticeRow
from clubbot.store.tags import TagRow

TOGETHER = timedelta(minutes=2)
"""Labels scanned by one person within this belong to one handing over."""
_USEFUL = timedelta(days=7)
_AFTER_ALL = timedelta(microseconds=1)
"""A scan comes after a club chosen at the same moment."""


def scan(store: Store, asking: Asking, code: str) -> Answer:
    """Open what a label stands for: in the club that it belongs to, whichever was chosen last."""
    with store.write() as tx:
        tag = tags.by_code(tx, code.strip().lower())
        mine = people.clubs_of(tx, asking.telegram_id)
        if tag is None or not any(club == tag.club for club, _, _ in mine):
            return _from_outside(tx, asking, tag)
        clubs.lock(tx, tag.club)
        person = next(each for club, _, each in mine if club == tag.club)
        if mine[0][0] != tag.club:
            people.change(tx, tag.club, person, chosen_at=asking.now + _AFTER_ALL)
        who = find_who(tx, asking._replace(private=True))
        if who is None or not may(who.role, Deed.SEE_KIT):
            return Answer(Refused(Reason.NO_SUCH_CLUB), stranger_view(asking))
        shown = view(who)._replace(private=asking.private)
        return once(tx, asking, shown, lambda: _card(tx, who, tag))


def _from_outside(tx: Tx, asking: Asking, tag: TagRow | None) -> Answer:
    """Say whose it is, and tell the adults once a day; codes that aren't there are counted."""
    shown = stranger_view(asking)
    if people.wrong_codes(tx, asking.telegram_id, asking.now - TRIES_WITHIN) >= TRIES:
        return Answer(Refused(Reason.TOO_MANY_TRIES), shown)
    if tag is None:
        people.note_wrong_code(tx, asking.telegram_id, asking.now)
        return Answer(Refused(Reason.CODE_WRONG), shown)
    clubs.lock(tx, tag.club)
    club = clubs.club(tx, tag.club)

    def act() -> ScannedByStranger:
        _tell(tx, by_the_clock(club, asking.now), tag, outside=True)
        return ScannedByStranger(club.name, club.settings.contact, club.settings.hand_in)

    return once(tx, asking, shown, act)


def _tell(tx: Tx, who: Who, tag: TagRow, *, outside: bool) -> None:
    day = who.now.astimezone(who.zone).date().isoformat()
    facts = {"outside": outside, "at": who.now.isoformat(), "thing": tag.thing}
    subject = f"kit {tag.kit}"
    notices.tell(
        tx,
        who,
        notices.adults(tx, who),
        notices.SCANNED,
        subject,
        facts,
        occurrence=f"{day} {tag.thing} {outside:d}",
    )


def _card(tx: Tx, who: Who, tag: TagRow) -> Scanned:
    seen = picture(tx, who, Window(who.now, who.now + timedelta(minutes=1)))
    card = today.card_of(tx, who, seen, seen.kits[tag.kit])
    loss = _lost(tx, who, tag)
    if loss is not None and not may(who.role, Deed.LOSE):
        _tell(tx, who, tag, outside=False)
    mix = _mix(tx, who, tag)
    if may(who.role, Deed.GIVE_OUT):
        tags.scanned(tx, tag, who.person, who.now, who.now - TOGETHER)
    actions = _actions(who, card, loss)
    return Scanned(card, tag.thing, actions, who.club_name, mix, loss)


def _lost(tx: Tx, who: Who, tag: TagRow) -> int | None:
    return next(
        (
            loss.number
            for loss in losses.standing(tx, who.club)
            if loss.kit == tag.kit and loss.thing in ("kit", tag.thing)
        ),
        None,
    )


def _actions(who: Who, card: KitCard, loss: int | None) -> tuple[ScanAction, ...]:
    """Return what this person may do about a kit as it stands now, the likeliest first."""
    if loss is not None:
        return ("found",) if may(who.role, Deed.LOSE) else ()
    found: list[ScanAction] = []
    if card.out:
        if card.mine or may(who.role, Deed.TAKE_BACK) or may(who.role, Deed.ACT_FOR_TEAM):
            found.append("back")
        if may(who.role, Deed.PASS_ON):
            found.append("pass on")
    elif card.held is None and card.withdrawn is None and may(who.role, Deed.GIVE_OUT):
        found.append("give out")
    return (*found, "wrong")


def _mix(tx: Tx, who: Who, tag: TagRow) -> tuple[KitRef, KitRef] | None:
    """Return (unit's kit, tablet's kit) where two kits' things were scanned one after the other."""
    if not may(who.role, Deed.GIVE_OUT) or tag.thing == "tray":
        return None
    other = "tablet" if tag.thing == "unit" else "unit"
    lately = tags.scanned_by(tx, who.club, who.person, who.now - TOGETHER)
    last = next((each for each in lately if each.id != tag.id), None)
    if last is None or last.thing != other or last.kit == tag.kit:
        return None
    known = kits(tx, who.club)
    unit, tablet = (last, tag) if tag.thing == "tablet" else (tag, last)
    return known[unit.kit].ref, known[tablet.kit].ref


@deed(Deed.REPORT_FAULT)
def wrong(tx: Tx, who: Who, kit: KitId) -> WhatIsWrong | Refused:
    """Ask what is wrong with a kit that is known already."""
    now = kits(tx, who.club).get(kit)
    if now is None:
        return Refused(Reason.OUT_OF_DATE)
    return ask_what(tx, who, now)


def chosen(tx: Tx, who: Who) -> KitId | None:
    """Return the kit that this person was asked about, and hasn't said yet what is wrong."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    return KitId(int(stands.facts["kit"])) if stands and stands.step == WHAT_STEP else None


def take_answer(
    tx: Tx, who: Who, text: str, kit: KitId, reading: FaultReading
) -> FaultReported | FaultKitNeeded | DangerReported | Forgot | Refused:
    """Take what was typed as what is wrong with the kit that was chosen before."""
    known = kits(tx, who.club)
    dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    if gives_up(text) or text.strip(" .!").casefold() == "nothing":
        return Forgot(WHAT_STEP)
    if kit not in known:
        return Refused(Reason.OUT_OF_DATE)
    if not reading.kits:
        reading = replace(reading, kits=(known[kit].kit.label,))
    return note_report(tx, who, text, reading)


# -- mixes ----------------------------------------------------------------------------------------


@deed(Deed.GIVE_OUT)
def mixed(tx: Tx, who: Who, kit_ids: Sequence[KitId]) -> MixNoted | Refused:
    """Note that the second kit's tablet is with the first one's unit; it is asked about later."""
    known = kits(tx, who.club)
    if len(kit_ids) != 2 or not all(kit in known for kit in kit_ids):
        return Refused(Reason.OUT_OF_DATE)
    unit, tablet = (known[kit] for kit in kit_ids)
    return mixing.note(tx, who, unit, tablet)


@deed(Deed.TAKE_BACK)
def apart(tx: Tx, who: Who, number: int) -> MixSettled | Refused:
    """Note that a mixed unit and tablet are back with their own kits."""
    return _settle(tx, who, number, apart=True)


@deed(Deed.TAKE_BACK)
def still_mixed(tx: Tx, who: Who, number: int) -> MixSettled | Refused:
    """Ask again about a mix on the next open day."""
    return _settle(tx, who, number, apart=False)


def _settle(tx: Tx, who: Who, number: int, *, apart: bool) -> MixSettled | Refused:
    mix = next((each for each in tags.mixes(tx, who.club) if each.id == number), None)
    if mix is None:
        return Refused(Reason.OUT_OF_DATE)
    known = kits(tx, who.club)
    if apart:
        tags.settle_mix(tx, who.club, mix.id, who.now)
    else:
        calendar = clubs.calendar(tx, who.club, who.zone)
        day = calendar.next_open_day(calendar.day_of(who.now))
        mixing.ask(tx, who, mix.id, calendar.instant(day, who.settings.morning_at))
    return MixSettled(known[mix.unit].ref, known[mix.tablet].ref, apart)


# -- what notices say -----------------------------------------------------------------------------


def owed_mix(tx: Tx, who: Who, row: NoticeRow) -> MixAsked | None:
    """Return the question about a mix, unless it is settled."""
    number = int(row.subject.rpartition(" ")[2])
    known = kits(tx, who.club)
    return next(
        (
            MixAsked(mix.id, known[mix.unit].ref, known[mix.tablet].ref, mix.noted_at)
            for mix in tags.mixes(tx, who.club)
            if mix.id == number
        ),
        None,
    )


def owed_scan(tx: Tx, who: Who, row: NoticeRow) -> LabelScanned | None:
    """Return which label was scanned from outside, or lost and scanned."""
    kit = KitId(int(row.subject.rpartition(" ")[2]))
    now = kits(tx, who.club).get(kit)
    if now is None:
        return None
    thing: Thing = row.facts["thing"]
    lost = any(
        loss.kit == kit and loss.thing in ("kit", thing) for loss in losses.standing(tx, who.club)
    )
    at = datetime.fromisoformat(row.facts["at"])
    return LabelScanned(now.ref, thing, at, lost, bool(row.facts["outside"]))
