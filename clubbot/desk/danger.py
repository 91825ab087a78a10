"""Danger: the kit on hold and every adult told at once, again until one of them has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from hashlib import sha256

from clubbot.desk import alarms, blaming, in_hand, notices
from clubbot.desk.acting import Answer, Asking, Who, deed, once, stranger_view, view
from clubbot.desk.replanning import plan_anew
from clubbot.rules.faults import Symptom, read_fault
from clubbot.rules.faults.harm import names_only, read_hazard
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import ClubId, FaultId, PersonId, Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import DangerReported, DangerTaken, FaultLine
from clubbot.store import clubs, dialogues, evidence, faults, people
from clubbot.store import notices as rows
from clubbot.store.engine import Store, Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NoticeRow

TERM = timedelta(weeks=14)
"""Common practice, no source: a school's term is 10 to 15 weeks long."""
STRANGERS_HOLD = 2
"""How many kits a message may hold whose writer the club doesn't know."""
LONGEST_NAMING = 60
"""Longer texts say more than which kit it is."""


def raise_alarm(
    tx: Tx,
    who: Who,
    meant: Sequence[KitNow],
    said: str,
    *,
    fire: bool,
    before: FaultLine | None = None,
) -> DangerReported:
    """Open a fault for each kit, put it on hold and owe every adult the alarm at once.

    A danger that somebody has in hand takes the report in, and they hear of it. `before` is a
    closed danger that is back.
    """
    hazard = read_hazard(said, [now.kit.label for now in kits(tx, who.club).values()])
    whole: Sequence[KitNow | None] = meant or [None]
    joined = [in_hand.joins(tx, who, now, said, hazard, fire=fire) for now in whole]
    fresh = [now for now, line in zip(whole, joined, strict=True) if line is None]
    lines = [_opened(tx, who, now, said) for now in fresh]
    if lines:
        facts = {
            "kits": [now.kit.id for now in fresh if now is not None],
            "said": said[:300],
            "by": who.name,
            "fire": fire,
            "numbers": [line.number for line in lines],
            "often": _alarms(tx, who),
            "harm": list(hazard.harm),
            "thing": hazard.thing,
            "before": before.number if before else 0,
        } | ({} if who.person else {"account": _account(who)})
        notices.tell_adults(tx, who, notices.DANGER, f"fault {lines[0].id}", facts, urgent=True)
        _hold(tx, who, [now for now in fresh if now is not None], lines[0].number)
    about = tuple(line.id for line in (*joined, *lines) if line is not None)
    answer = _reported(who, meant, hazard.harm, thing=hazard.thing, fire=fire)
    return replace(answer, faults=about)


def _reported(
    who: Who, named: Sequence[KitNow], harm: Sequence[str], *, thing: bool, fire: bool
) -> DangerReported:
    refs, number = tuple(now.ref for now in named), who.settings.emergency_number
    return DangerReported(refs, fire, number, tuple(harm), thing)


def _opened(tx: Tx, who: Who, now: KitNow | None, said: str) -> FaultLine:
    line = faults.add(
        tx,
        who.club,
        kit=now.kit.id if now else None,
        symptom=str(Symptom.BATTERY_DANGER),
        danger=True,
        said=said,
        reported_by=who.person or None,
        now=who.now,
    )
    return blaming.hang(tx, who.club, line, who.now)


def _hold(tx: Tx, who: Who, named: Sequence[KitNow], number: int) -> None:
    free = [now for now in named if now.position.held is None]
    note = Detail(note=f"danger reported, fault {number}")
    who.append(tx, [Draft(EntryKind.HELD, kit=now.kit.id, detail=note) for now in free])
    if free:
        plan_anew(tx, who, shown=False)


def back_again(tx: Tx, who: Who, line: FaultLine) -> DangerReported:
    """Raise a danger anew that was closed and is back: with an alarm and rounds of its own."""
    known = kits(tx, who.club)
    meant = [known[line.kit.id]] if line.kit else []
    fire = read_fault(line.said, [now.kit.label for now in known.values()]).fire
    evidence.note(tx, who.club, line.id, who.now, "back")
    return raise_alarm(tx, who, meant, line.said, fire=fire, before=line)


# -- which kit it is in ---------------------------------------------------------------------------


def place(tx: Tx, who: Who, text: str) -> DangerReported | None:
    """Put the kit on hold that somebody names just after a danger that they named no kit for.

    None where the text says more than that, or answers what was asked since.
    """
    if len(text) > LONGEST_NAMING or (alarm := _without_kit(tx, who)) is None:
        return None
    asking, facts = who.asking, alarm.facts
    if dialogues.standing(tx, asking.chat_id, asking.telegram_id, alarm.due_at):
        return None
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    named = [known[label] for label in names_only(text, list(known))]
    if not who.person:
        named = named[: max(STRANGERS_HOLD - len(facts["kits"]), 0)]
    if not named:
        return None
    numbers = facts["numbers"]
    if new := [now for now in named if now.kit.id not in facts["kits"]]:
        numbers = _placed(tx, who, alarm, new)
    harm, thing = facts.get("harm", ()), facts.get("thing", True)
    answer = _reported(who, named, harm, thing=thing, fire=facts["fire"])
    about = (faults.by_number(tx, who.club, number) for number in numbers)
    return replace(answer, faults=tuple(line.id for line in about if line is not None))


def _without_kit(tx: Tx, who: Who) -> NoticeRow | None:
    """Return the alarm that this person raised just now without naming a kit, if still open."""
    told = rows.of_kind(tx, who.club, notices.DANGER, who.now - in_hand.AT_ONCE)
    for row in reversed(told):
        line = faults.by_id(tx, who.club, FaultId(int(row.subject.rpartition(" ")[2])))
        if line is None or line.closed_at is not None or not _own(tx, who, row, line):
            continue
        return row if alarms.without_kit(row) else None
    return None


def _own(tx: Tx, who: Who, row: NoticeRow, line: FaultLine) -> bool:
    if not who.person:
        return row.facts.get("account") == _account(who)
    return faults.reporter(tx, who.club, line.id) == who.person


def _placed(tx: Tx, who: Who, alarm: NoticeRow, new: Sequence[KitNow]) -> list[int]:
    """Let an alarm be about these kits too: the first has its fault, the others get one each.

    Return the numbers of all its faults.
    """
    facts, subject = alarm.facts, alarm.subject
    first = faults.by_number(tx, who.club, facts["numbers"][0])
    if first is None:
        return []
    rest = list(new)
    if not facts["kits"]:
        faults.change(tx, who.club, first.id, kit_id=rest.pop(0).kit.id)
        line = faults.by_id(tx, who.club, first.id)
        if line is not None:
            blaming.hang(tx, who.club, line, who.now)
    more = [_opened(tx, who, now, first.said).number for now in rest]
    numbers = [*facts["numbers"], *more]
    placed = {
        "kits": [*facts["kits"], *(now.kit.id for now in new)],
        "numbers": numbers,
        "placed": True,
    }
    for row in rows.about(tx, who.club, alarms.TOLD, subject):
        rows.mark(tx, [row.id], facts={**row.facts, **placed})
    told = {**facts, **placed}
    notices.tell_adults(tx, who, notices.DANGER_PLACED, subject, told, urgent=True)
    _hold(tx, who, new, first.number)
    return numbers


# -- how many, and whose --------------------------------------------------------------------------


def _alarms(tx: Tx, who: Who) -> int:
    """Return how many alarms came from this account within a term, with this one; 0: no matter."""
    since = who.now - TERM
    if who.role.adult:
        return 0
    if who.person:
        return faults.alarms_by(tx, who.club, who.person, since)
    known = rows.of_kind(tx, who.club, notices.DANGER, since)
    mine = {row.subject for row in known if row.facts.get("account") == _account(who)}
    return len(mine) + 1


def _account(who: Who) -> str:
    """Return what tells a stranger's account from others in this club, and says nothing else."""
    return sha256(f"{who.club}:{who.asking.telegram_id}".encode()).hexdigest()[:16]


def hear_unknown(store: Store, asking: Asking, text: str) -> Answer:
    """Take danger seriously whoever says it: in a club's group it holds the kits that are named.

    Anything else that an unknown person says is refused, as everywhere.
    """
    with store.write() as tx:
        if asking.private:
            return Answer(_in_private(text), stranger_view(asking))
        club = clubs.club_of_group(tx, asking.chat_id)
        if club is None:
            return Answer(Refused(Reason.NO_SUCH_CLUB), stranger_view(asking))
        clubs.lock(tx, club)
        who = _unknown(tx, club, asking)
        return once(tx, asking, view(who), lambda: _heard(tx, who, text))


def _in_private(text: str) -> DangerReported | Refused:
    """Return what keeps the writer safe; which club it is about nobody can say."""
    reading = read_fault(text, [])
    if not reading.danger:
        return Refused(Reason.NO_SUCH_CLUB)
    hazard = read_hazard(text, ())
    return DangerReported((), reading.fire, "", hazard.harm, hazard.thing)


def _heard(tx: Tx, who: Who, text: str) -> DangerReported | Refused:
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    reading = read_fault(text, list(known))
    if not reading.danger:
        return place(tx, who, text) or Refused(Reason.NO_SUCH_CLUB)
    named = [known[label] for label in reading.kits if label in known]
    return raise_alarm(tx, who, named[:STRANGERS_HOLD], text, fire=reading.fire)


def _unknown(tx: Tx, club: ClubId, asking: Asking) -> Who:
    row = clubs.club(tx, club)
    return Who(PersonId(0), "", Role.STRANGER, row.id, row.name, row.zone, row.settings, asking)


@deed(Deed.RELEASE)
def take(tx: Tx, who: Who, fault: FaultId) -> DangerTaken | Refused:
    """Note that this adult goes and looks; the first one has it, and the other adults hear so."""
    told = rows.about(tx, who.club, alarms.TOLD, f"fault {fault}")
    mine = [row for row in told if row.person == who.person]
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    alarm = alarms.shown(tx, who, mine[0])
    first = alarms.who_has_it(told)
    if first is not None and first.person != who.person:
        names = {row.id: row.name for row in people.people(tx, who.club)}
        return DangerTaken(alarm, names.get(first.person, ""), mine=False)
    if first is None:
        rows.mark(tx, [mine[0].id], answer=alarms.HAS_IT, answered_at=who.now)
        others = [person for person in notices.adults(tx, who) if person != who.person]
        facts = {**mine[0].facts, "has": who.name}
        subject = f"fault {fault}"
        notices.tell(tx, who, others, notices.DANGER_TAKEN, subject, facts, urgent=True)
    return DangerTaken(alarm, who.name, mine=True)
