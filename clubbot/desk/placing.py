"""Which kit a report is about, where it didn't say so: asked, answered by a tap or in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from clubbot.desk import notices
from clubbot.desk.acting import Who, deed
from clubbot.desk.fault import OVER_AFTER, STEP, held_by, note, read, together
from clubbot.desk.finding import named
from clubbot.rules.faults import Symptom
from clubbot.rules.faults.asides import says_both, says_unknown
from clubbot.rules.faults.hands_off import hands_off
from clubbot.rules.model import KitId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.reading.needing_help import needs_a_person
from clubbot.rules.results import FaultReported, TalkToSomebody
from clubbot.store import dialogues, evidence, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits


@deed(Deed.REPORT_FAULT)
def report_kit(tx: Tx, who: Who, kit: KitId) -> FaultReported | Refused:
    """Say which kit the fault is about that was described just before."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    known = kits(tx, who.club)
    if stands is None or stands.step != STEP or kit not in known:
        return Refused(Reason.OUT_OF_DATE)
    return _placed(tx, who, [known[kit]], stands.facts)


def take_answer(
    tx: Tx, who: Who, text: str, facts: Mapping[str, Any]
) -> FaultReported | TalkToSomebody | Refused:
    """Take a typed answer to which kit the fault is about; "I don't know" is one, too."""
    known, unclear = kits(tx, who.club), (None, Symptom.UNCLEAR)
    said = str(facts["said"])
    if read(tx, who, said).symptom in unclear and read(tx, who, text).symptom not in unclear:
        facts = {**facts, "said": f"{said}. {text}"}
    if says_unknown(text):
        return _placed(tx, who, [], facts)
    wanted = named(text, known, {})
    chosen = () if isinstance(wanted, Refused) else wanted.kits
    if not chosen and says_both(text):
        chosen = tuple(held_by(tx, who, known))
    if chosen:
        return _placed(tx, who, chosen, facts)
    if needs_a_person(text):
        return TalkToSomebody()
    return wanted if isinstance(wanted, Refused) else Refused(Reason.UNKNOWN_KIT, {"word": ""})


def _placed(tx: Tx, who: Who, chosen: Sequence[KitNow], facts: Mapping[str, Any]) -> FaultReported:
    """Note what was said before of the kits that are now known, and go back to what stood open.

    Pictures that came with it are kept with it.
    """
    asking, said = who.asking, str(facts["said"])
    dialogues.end(tx, asking.chat_id, asking.telegram_id)
    if facts.get("then"):
        step, kept = facts["then"]
        dialogues.put(tx, asking.chat_id, asking.telegram_id, step, kept, who.now)
    reading = read(tx, who, said)
    results = [note(tx, who, now, reading, said) for now in chosen] or [_of_no_kit(tx, who, said)]
    pictures = facts.get("pictures", [])
    for each in results:
        for file_id, unique_id, kind, still_id in pictures:
            evidence.add_picture(
                tx, who.club, each.fault.id, file_id, unique_id, kind, who.now, still_id
            )
    return replace(together(results), with_photo=bool(pictures))


def _of_no_kit(tx: Tx, who: Who, said: str) -> FaultReported:
    """Note a fault of a kit that nobody can name: an adult is told all the same."""
    line = faults.add(
        tx,
        who.club,
        kit=None,
        symptom=read(tx, who, said).symptom or Symptom.UNCLEAR,
        danger=False,
        said=said,
        reported_by=who.person,
        now=who.now,
        deed=who.deed,
    )
    notices.tell_adults(tx, who, notices.FAULT, f"fault {line.id}")
    care = str(hands_off(line.symptom, line.said))
    return FaultReported(line, joined=False, on_hold=False, care=care)
