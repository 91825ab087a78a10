"""Free text: an answer to a question that stands, a fault, a request, or nothing we know."""

from __future__ import annotations

import re
from datetime import timedelta

from clubbot.desk import (
    afterwards,
    battery,
    booking,
    calling_off,
    counting,
    danger,
    fault,
    handover,
    leaving,
    longer,
    mending,
    mixing,
    placing,
    questions,
    requests,
    scanning,
    second_thoughts,
    supplier,
    wording,
)
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import find_team
from clubbot.rules.faults import FaultReading, Symptom, read_fault
from clubbot.rules.faults.after_commands import tells_of_danger
from clubbot.rules.faults.asides import gives_up, says_it_recurs, says_what_was_done
from clubbot.rules.model import FaultId, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import Unreadable
from clubbot.rules.results import Forgot, NotAFault
from clubbot.rules.setup import OPEN_FOR
from clubbot.store import clubs, dialogues, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

OVER_AFTER = timedelta(hours=1)
_MY_DATA = frozenset({"export my data", "my data", "give me my data"})
_FORGET_ME = frozenset({"forget me", "delete me", "delete my data"})
_BACK = re.compile(
    r"(\b(is|are|it's|its|they're|we're|brought|came|put)\b[\w\s,']{0,30}\bback\b|\breturned\b)",
    re.IGNORECASE,
)
_LONGER = re.compile(r"\b(need|want|keep)s?\b.{0,40}\b(longer|more time)\b", re.IGNORECASE)
_WANTS = re.compile(
    r"^(?!.*\b(?:was|were|had|used|did|took|yesterday|last|ago)\b).*\b(?:kits?|units?)\b",
    re.I | re.S,
)
SURE = 0.9
"""How sure it must be of a fault to speak in a group without having been spoken to."""
NO_NAME = 0.93
"""How sure it must be that a text without a label is a fault and no answer to the set-up: teams
are called all sorts of things."""


@deed(Deed.REPORT_FAULT)
def hear(tx: Tx, who: Who, text: str, addressed: bool) -> object | Refused:
    """Take a sentence for what it most likely is; danger comes before everything else.

    `addressed` says that the bot was spoken to. Where it wasn't, in a group that it can read, it
    speaks only of danger and of what is surely a fault.
    """
    reading = read_fault(text, [now.kit.label for now in kits(tx, who.club).values()])
    if addressed and (kit := scanning.chosen(tx, who)) is not None:
        return scanning.take_answer(tx, who, text, kit, reading)
    if reading.danger:
        return fault.note_report(tx, who, text, reading)
    if (placed := danger.place(tx, who, text)) is not None:
        return placed
    if not addressed:
        sure = _surely(tx, who, text, reading)
        return fault.note_report(tx, who, text, reading) if sure else NotAFault(text)
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OPEN_FOR)
    set_up = stands and stands.step == questions.STEP and may(who.role, Deed.SET_UP)
    if stands and set_up and not battery.sounds_told(tx, who, text):
        return _in_set_up(tx, who, text, reading, stands)
    if stands and stands.at > who.now - OVER_AFTER:
        answered = _answer(tx, who, text, reading, stands)
        if answered is not None:
            return answered
    return _unasked(tx, who, text, reading)


def _unasked(tx: Tx, who: Who, text: str, reading: FaultReading) -> object | Refused:
    """Take a sentence that answers nothing for what it most likely is."""
    if (thought := second_thoughts.heard(tx, who, text, reading)) is not None:
        return thought
    if told := mixing.heard(tx, who, text) or battery.heard(tx, who, text):
        return told
    if afterwards.sounds_told(tx, who, text):
        return afterwards.show(tx, who, [[text, who.asking.said_at.isoformat()]])
    labels = [now.kit.label for now in kits(tx, who.club).values()]
    if reading.fault or says_it_recurs(text, labels):
        return fault.note_report(tx, who, text, reading)
    if _BACK.search(text):
        return handover.take_word(tx, who, text)
    if _LONGER.search(text) and (kept := longer.heard(tx, who, text)) is not None:
        return kept
    if who.asking.private and (about := _about_oneself(tx, who, text)) is not None:
        return about
    if (called_off := calling_off.heard(tx, who, text)) is not None:
        return called_off
    if _asks_for_kits(tx, who, text):
        return booking.take(tx, who, text, None)
    return NotAFault(text)


def _surely(tx: Tx, who: Who, text: str, reading: FaultReading) -> bool:
    """Say whether a text is surely a fault, and doesn't only tell what a battery shows."""
    sure = reading.fault and reading.kits and reading.p_fault >= SURE
    return bool(sure) and not battery.sounds_told(tx, who, text)


def _in_set_up(
    tx: Tx, who: Who, text: str, reading: FaultReading, stands: dialogues.Standing
) -> object | Refused:
    step = stands.facts["step"]
    unnamed = reading.p_fault >= NO_NAME and not questions.plainly_answers(step, text)
    if reading.fault and (reading.kits or unnamed):
        return fault.note_report(tx, who, text, reading, then=stands)
    return questions.take_answer(tx, who, step, text)


def _answer(
    tx: Tx, who: Who, text: str, reading: FaultReading, stands: dialogues.Standing
) -> object | None:
    """Take a text for an answer to what stands open in this chat; None where it is none.

    A report of another kit is none, and the question stands on: "unit G has a broken wheel".
    """
    step, facts = stands.step, stands.facts
    if step == booking.STEP:
        return _in_booking(tx, who, text, reading, stands)
    if step == counting.STEP:
        return counting.take_answer(tx, who, text)
    if step == afterwards.STEP:
        return afterwards.take_answer(tx, who, text, facts)
    takers = {
        fault.STEP: placing.take_answer,
        mending.STEP: mending.take_answer,
        supplier.STEP: supplier.take_answer,
        wording.STEP: wording.take_answer,
    }
    if step not in takers:
        return None
    if gives_up(text):
        dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
        return Forgot(step)
    if _is_another_report(tx, who, text, reading, stands):
        return fault.note_report(tx, who, text, reading)
    return takers[step](tx, who, text, facts)


def _in_booking(
    tx: Tx, who: Who, text: str, reading: FaultReading, stands: dialogues.Standing
) -> object | Refused:
    """Take a text for an answer to a request's question, unless it tells of something else."""
    team, rest = find_team(text, clubs.teams(tx, who.club))
    is_team = team is not None and not rest
    if reading.fault and not is_team and (reading.kits or reading.p_fault >= NO_NAME):
        return fault.note_report(tx, who, text, reading, then=stands)
    if gives_up(text):
        dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
        return Forgot(stands.step)
    told = calling_off.heard(tx, who, text)
    return booking.take_answer(tx, who, text) if told is None else told


def _is_another_report(
    tx: Tx, who: Who, text: str, reading: FaultReading, stands: dialogues.Standing
) -> bool:
    """Say whether a text is surely a fault of a kit that the question isn't about.

    "Took the wheel from G" is what was done. Where it was asked which kit, "E's motor" is the
    answer: a report is what tells of another symptom.
    """
    if not (reading.fault and reading.kits and reading.p_fault >= SURE):
        return False
    if stands.step == fault.STEP:
        asked = fault.read(tx, who, str(stands.facts["said"])).symptom
        clear = not {reading.symptom, asked} & {None, Symptom.UNCLEAR}
        return clear and reading.symptom != asked
    if stands.step == mending.STEP and says_what_was_done(text):
        return False
    line = faults.by_id(tx, who.club, FaultId(int(stands.facts.get("fault", 0))))
    return any(line is None or line.kit is None or line.kit.label != k for k in reading.kits)


def _about_oneself(tx: Tx, who: Who, text: str) -> object | None:
    """Answer "export my data" and "forget me", which people type who know no command."""
    said = text.strip().casefold().rstrip(".!")
    if said in _MY_DATA:
        return leaving.data_of(tx, who)
    return leaving.asked_to_leave(tx, who) if said in _FORGET_ME else None


def _asks_for_kits(tx: Tx, who: Who, text: str) -> bool:
    """Say whether a text is a request for kits: it can be read as one, or lacks little."""
    found = requests.read(tx, who, text)
    over = isinstance(found, Unreadable) and found.error == "past"
    return requests.is_whole(found) or (over and _WANTS.search(text) is not None)


@look(Deed.REPORT_FAULT)
def is_danger(tx: Tx, who: Who, text: str) -> bool:
    """Say whether the words after a command tell of danger; a team may be called Sparks."""
    teams = clubs.teams(tx, who.club)
    for _ in teams:
        text = find_team(text, teams)[1]
    return tells_of_danger(text, [now.kit.label for now in kits(tx, who.club).values()])


@deed(Deed.REPORT_FAULT)
def stop(tx: Tx, who: Who) -> Forgot:
    """End the dialogue that stands in this chat; nothing of it is kept."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    dialogues.end(tx, asking.chat_id, asking.telegram_id)
    return Forgot(stands.step if stands else "")
