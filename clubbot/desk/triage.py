"""Checking a fault: one check at a time, and what came of each is kept with the fault."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from clubbot.desk import blaming, swapping
from clubbot.desk.acting import Who, deed, look
from clubbot.rules.faults.asides import only_label
from clubbot.rules.faults.hands_off import HandsOff, hands_off
from clubbot.rules.faults.knowledge import Hands, known
from clubbot.rules.faults.triage import End, Ended, Outcome, next_step
from clubbot.rules.ledger import Use
from clubbot.rules.model import FaultId, Reason, Refused, Role, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import CheckAsked, CheckingEnded, FaultLine
from clubbot.store import causes, clubs, evidence, faults, own_words, people
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

OWN_FOR = timedelta(days=14)
"""How long "/check" alone means somebody's own last report."""
_HANDS = {Role.LEADER: Hands.ADULT, Role.CO_LEADER: Hands.ADULT, Role.HELPER: Hands.HELPER}


@look(Deed.REPORT_FAULT)
def check_number(
    tx: Tx, who: Who, number: int | None, said: str = ""
) -> CheckAsked | CheckingEnded | Refused:
    """Return the next check of a fault by its number; without one, of the last they reported.

    What is said in place of a number is a kit's label: its last open fault.
    """
    lines = faults.still_open(tx, who.club)
    label = only_label(said, [now.kit.label for now in kits(tx, who.club).values()])
    if number is None and said and label is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "check"})
    if number is None and label is None:
        mine = faults.last_of(tx, who.club, who.person, who.now - OWN_FOR)
        if mine is None:
            return Refused(Reason.UNKNOWN_FAULT, {"mine": True})
        number = mine[1]
    found = [each for each in lines if each.number == number]
    if number is None:
        found = [each for each in lines if each.kit and each.kit.label == label]
    found = [each for each in found if works_with(tx, who, each)]
    if not found:
        return Refused(Reason.UNKNOWN_FAULT, {"number": number} if number else {"label": label})
    return _step(tx, who, found[-1])


@look(Deed.REPORT_FAULT)
def check(tx: Tx, who: Who, fault: FaultId) -> CheckAsked | CheckingEnded | Refused:
    """Return the next check of a fault, by its button."""
    line = _line(tx, who, fault)
    return Refused(Reason.OUT_OF_DATE) if line is None else _step(tx, who, line)


@look(Deed.SEE_FAULTS)
def check_on(tx: Tx, who: Who, fault: FaultId) -> CheckAsked | CheckingEnded | Refused:
    """Return the next check although a session runs: whoever goes on has the time."""
    line = _line(tx, who, fault)
    return Refused(Reason.OUT_OF_DATE) if line is None else _step(tx, who, line, go_on=True)


@deed(Deed.REPORT_FAULT)
def checked(
    tx: Tx, who: Who, fault: FaultId, code: str, outcome: str
) -> CheckAsked | CheckingEnded | Refused:
    """Note what came of a check; return the next one or how it ends.

    A check that mended it closes the fault where this person may close faults.
    """
    line, done = _line(tx, who, fault), known().checks.get(code)
    if line is None or done is None or line.at_supplier or _adults_only(tx, who, line):
        return Refused(Reason.OUT_OF_DATE)
    if not _HANDS.get(who.role, Hands.ANYONE).reach(done.who):
        return Refused(Reason.OUT_OF_DATE)
    came = Outcome(outcome)
    faults.checked(tx, who.club, line.id, code, came, who.now)
    line = blaming.hang(tx, who.club, _line(tx, who, fault) or line, who.now)
    result = _step(tx, who, line, mended=done.mends and came is Outcome.WORKED)
    if isinstance(result, CheckingEnded):
        if result.causes and any(each.outcome == Outcome.WORKED for each in line.checked):
            faults.change(tx, who.club, line.id, cause=result.causes[0][0])
        if result.closed:
            faults.close(tx, who.club, line.id, done.done, who.now)
            evidence.note(tx, who.club, line.id, who.now, "fixed", done.done)
    blaming.follow_battery(tx, who, line)
    return result


def fails_still(tx: Tx, who: Who, line: FaultLine) -> None:
    """Let what was said to have mended a fault count as no change: somebody reports it again."""
    mends = [each.code for each in known().checks.values() if each.mends]
    faults.helped_not(tx, who.club, line.id, mends)


def _line(tx: Tx, who: Who, fault: FaultId) -> FaultLine | None:
    line = next((each for each in faults.still_open(tx, who.club) if each.id == fault), None)
    return line if line is not None and works_with(tx, who, line) else None


def works_with(tx: Tx, who: Who, line: FaultLine) -> bool:
    """Say whether this person works with what the fault is about: theirs, or all for helpers."""
    if may(who.role, Deed.SEE_FAULTS) or who.role is Role.DOOR:
        return True
    if faults.reporter(tx, who.club, line.id) == who.person:
        return True
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    own = people.teams_of(tx, who.club, who.person)
    return now is not None and now.position.out and now.position.team in own


def _adults_only(tx: Tx, who: Who, line: FaultLine) -> bool:
    """Say whether only an adult touches it: danger, glass, an update, or on hold until a look."""
    if who.role.adult and not line.danger:
        return False
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    held = now is not None and now.position.use is Use.HELD
    return line.danger or held or hands_off(line.symptom, line.said) is not HandsOff.NOTHING


def _step(
    tx: Tx, who: Who, line: FaultLine, *, go_on: bool = False, mended: bool = False
) -> CheckAsked | CheckingEnded:
    """Return the next check or how it ends; `mended`: this person has just seen it run."""
    step = _next(tx, who, line, go_on=go_on, mended=mended)
    if isinstance(step, CheckAsked) or not who.role.adult:
        return step
    now = kits(tx, who.club).get(line.kit.id) if line.kit else None
    in_use = now is not None and now.position.use is Use.IN_USE
    claimable = not line.at_supplier and not blaming.person_only(tx, who.club, line)
    return replace(step, in_use=in_use, claimable=claimable)


def _next(
    tx: Tx, who: Who, line: FaultLine, *, go_on: bool, mended: bool
) -> CheckAsked | CheckingEnded:
    if line.at_supplier:
        return CheckingEnded(line, End.SUPPLIER, (), closed=False)
    if _adults_only(tx, who, line):
        return CheckingEnded(line, End.ADULT, (), closed=False)
    moment = Window(who.now, who.now + timedelta(minutes=1))
    session = clubs.calendar(tx, who.club, who.zone).session_with(moment)
    in_session = session is not None and not go_on
    kit = line.kit.id if line.kit else None
    offer = swapping.offer(tx, who, kit) if in_session and kit else None
    spare = offer is not None or kit is None or swapping.booked(tx, who, kit) is None
    asked = [each for each in line.checked if session and each.at >= session.window.start]
    step = next_step(
        known(),
        line.symptom,
        [(each.code, Outcome(each.outcome)) for each in line.checked],
        _HANDS.get(who.role, Hands.ANYONE),
        learned=causes.causes_seen(tx, who.club, line.symptom),
        in_session=in_session,
        asked=len(asked),
        spare=spare,
    )
    if not isinstance(step, Ended):
        return CheckAsked(line, step.code, own_words.on(tx, who.club, [step.code]))
    closed = mended and step.end is End.FIXED and may(who.role, Deed.CLOSE_FAULT)
    codes = [*[code for code, _ in step.causes[:1]], step.for_adult]
    return CheckingEnded(
        line,
        step.end,
        step.causes,
        closed,
        step.for_adult,
        own_words.on(tx, who.club, codes) if who.role.staff else (),
        offer if step.end is End.SWAP else None,
        go_on=in_session and who.role.staff and step.end in (End.SWAP, End.ADULT),
        helped=_helped(line) if step.end is End.FIXED and not closed else "",
    )


def _helped(line: FaultLine) -> str:
    """Return the check that is said to have mended a fault."""
    worked = [each.code for each in line.checked if each.outcome == Outcome.WORKED]
    checks = known().checks
    return next((code for code in reversed(worked) if code in checks and checks[code].mends), "")
