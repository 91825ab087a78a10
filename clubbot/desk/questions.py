"""The set-up, question by question: each can be skipped, taken up days later, and changed.

Asked for by itself a question leads back to the list; otherwise to the next one. An answer that
can't be read is asked again with the reason, and changes nothing.
"""

from __future__ import annotations

import re

from clubbot.desk.acting import Who, deed
from clubbot.desk.club_view import club_view
from clubbot.desk.equipping import Written
from clubbot.desk.setting_up import write_answer
from clubbot.rules import setup
from clubbot.rules.kit_templates import Edit, read_edit
from clubbot.rules.model import PersonId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import ClubView, SetUpAsks, SetUpStep
from clubbot.store import clubs, dialogues, people
from clubbot.store.engine import Tx

STEP = "set-up"
ORDER: tuple[SetUpStep, ...] = (
    "name",
    "zone",
    "kits",
    "type",
    "tablets",
    "chargers",
    "meetings",
    "runners",
    "hours",
    "teams",
    "accounts",
    "feed",
    "quiet",
    "emergency",
    "contact",
    "done",
)
_FRESH = Written()
_SKIPPED = frozenset({"skip", "later", "next", "skip it"})


@deed(Deed.SET_UP)
def set_up(tx: Tx, who: Who, step: SetUpStep | None = None) -> SetUpAsks:
    """Show the whole list, or ask one question by itself."""
    return _ask(tx, who, step or "done", alone=True)


@deed(Deed.SET_UP)
def go_on(tx: Tx, who: Who) -> SetUpAsks:
    """Ask the first question that has no answer yet, and then those after it."""
    return _ask(tx, who, first_gap(club_view(tx, who)) or "done")


@deed(Deed.SET_UP)
def answer(tx: Tx, who: Who, step: SetUpStep, text: str) -> SetUpAsks:
    """Take an answer that a button gives, as though it had been typed."""
    return take_answer(tx, who, step, text)


@deed(Deed.SET_UP)
def skip_set_up(tx: Tx, who: Who, step: SetUpStep) -> SetUpAsks:
    """Leave a question for later and ask the next."""
    return _ask(tx, who, _after(tx, who, step))


@deed(Deed.SET_UP)
def give_meeting(tx: Tx, who: Who, number: int, person: int) -> SetUpAsks | Refused:
    """Let an adult run a weekly meeting."""
    adults = {row.id for row in people.people(tx, who.club) if row.role.adult}
    known = {each.id for each in clubs.calendar(tx, who.club, who.zone).meetings}
    if number not in known or person not in adults:
        return Refused(Reason.OUT_OF_DATE)
    clubs.give_meeting(tx, who.club, number, PersonId(person))
    return _ask(tx, who, "runners", alone=_asked_alone(tx, who))


def first_gap(shown: ClubView) -> SetUpStep | None:
    """Return the first question that nobody has answered; quiet hours always have a value."""
    missing: tuple[tuple[SetUpStep, bool], ...] = (
        ("name", shown.name == setup.NEW_CLUB),
        ("zone", not shown.zone_set),
        ("kits", not shown.kits),
        ("type", not shown.parts),
        ("tablets", not shown.tablets),
        ("chargers", not shown.bays),
        ("meetings", not shown.meetings),
        ("hours", not shown.hours),
        ("teams", not shown.teams),
        ("accounts", not shown.accounts),
        ("feed", not shown.feed),
        ("emergency", not shown.emergency),
        ("contact", not shown.contact),
    )
    return next((step for step, gap in missing if gap), None)


def take_answer(tx: Tx, who: Who, step: SetUpStep, text: str) -> SetUpAsks:
    """Take the answer to the question that was asked last, and ask the next."""
    if text.strip().casefold().rstrip(".!") in _SKIPPED:
        return _ask(tx, who, _after(tx, who, step))
    written = write_answer(tx, who, step, text)
    if written.again:
        alone = _asked_alone(tx, who)
        return _ask(tx, who, step, alone=alone, written=written, text=text)
    return _ask(tx, who, _after(tx, who, step), written=written)


def plainly_answers(step: SetUpStep, text: str) -> bool:
    """Say whether a text is an answer whatever else it sounds like: "motor 3, no gears, run 90".

    Most questions take nearly any text, so there nothing is sure; nor is "no gears" alone. Teams
    that are written as names are teams: "Gear Grinders".
    """
    if step == "teams":
        return all(word[0].isupper() for word in re.findall(r"\w+", text) if word != "and")
    edit = read_edit(text) if step == "type" else None
    if not isinstance(edit, Edit):
        return False
    return bool(edit.name or edit.run_minutes or any(many for _, many in edit.numbers))


def _after(tx: Tx, who: Who, step: SetUpStep) -> SetUpStep:
    return "done" if _asked_alone(tx, who) else _next(tx, who, step)


def _asked_alone(tx: Tx, who: Who) -> bool:
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - setup.OPEN_FOR)
    return bool(stands and stands.step == STEP and stands.facts.get("alone"))


def _next(tx: Tx, who: Who, step: SetUpStep) -> SetUpStep:
    """Return the question after this one; who runs what is asked where that is open."""
    following = ORDER[min(ORDER.index(step) + 1, len(ORDER) - 1)]
    if following == "runners":
        adults = sum(row.role.adult for row in people.people(tx, who.club))
        meetings = clubs.calendar(tx, who.club, who.zone).meetings
        return following if adults > 1 and meetings else _next(tx, who, following)
    if following == "tablets" and not club_view(tx, who).kits:
        return _next(tx, who, following)
    return following


def _ask(
    tx: Tx,
    who: Who,
    step: SetUpStep,
    *,
    alone: bool = False,
    written: Written = _FRESH,
    text: str = "",
) -> SetUpAsks:
    asking = who.asking
    if step == "done":
        dialogues.end(tx, asking.chat_id, asking.telegram_id)
    else:
        facts = {"step": step, "alone": alone, "text": text[:600]}
        dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
    shown = club_view(tx, who)
    adults = [row for row in people.people(tx, who.club) if row.role.adult]
    return SetUpAsks(
        step=step,
        club=shown,
        problem=written.problem,
        near=written.near,
        misread=written.misread,
        instead=written.instead,
        strangers=written.strangers,
        adults=tuple((row.id, row.name, row.id == who.person) for row in adults),
        missing=first_gap(shown) if step == "done" else None,
        confirm=written.confirm,
    )
