"""What shows a fault: pictures that come with it, shown again, looked through, copied."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from clubbot.desk import fault, scanning
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.triage import works_with
from clubbot.rules.model import FaultId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    CopiesKept,
    DangerReported,
    FaultKitNeeded,
    FaultReported,
    Forgot,
    PhotoAdded,
    PhotoWithoutFault,
    PictureAwaited,
    PicturesLooked,
)
from clubbot.store import dialogues, evidence, faults
from clubbot.store.dialogues import Standing
from clubbot.store.engine import Tx

Result = FaultReported | FaultKitNeeded | DangerReported | Forgot | Refused
STEP = "picture"
OVER_AFTER = timedelta(hours=1)
_NUMBER = re.compile(r"\s*(?:fault\s*)?#?([0-9]{1,9})\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo or video by the platform's file id; `unique_id` is the same for the same file.

    `still_id` is a video's still.
    """

    file_id: str
    unique_id: str
    kind: str
    still_id: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A kept picture as it is sent again: by its file id, or its file where that is kept."""

    id: int
    kind: str
    file_id: str
    content: bytes | None


@deed(Deed.REPORT_FAULT)
def report_with_photo(
    tx: Tx, who: Who, text: str, photo: Photo
) -> Result | PhotoAdded | PhotoWithoutFault:
    """Note a report that came with a photo, and keep the photo with all that comes of it.

    One by itself, or with a fault's number or words that report nothing, goes with the fault that
    it was asked for, that has the number, or that this person reported last; or with what is
    about to be reported, where it was asked which kit that is.
    """
    number = _NUMBER.fullmatch(text)
    if number is None and (stands := _standing(tx, who, fault.STEP)) and not text.strip():
        return _waits(tx, who, stands.facts, photo)
    if number is not None or not text.strip() or _belongs(tx, who, text):
        mine = _meant(tx, who, int(number[1]) if number else None)
        if mine is not None:
            _keep(tx, who, mine[0], photo)
            return PhotoAdded(mine[1])
        if number is not None or not text.strip():
            return PhotoWithoutFault()
    kit = scanning.chosen(tx, who)
    if kit is None:
        result: Result = fault.reported(tx, who, text)
    else:
        result = scanning.take_answer(tx, who, text, kit, fault.read(tx, who, text))
    return _with_photo(tx, who, result, photo)


def _with_photo(tx: Tx, who: Who, result: Result, photo: Photo) -> Result:
    """Keep a photo with the faults of a report, or until it is known which kit is meant."""
    match result:
        case FaultReported():
            for each in (result, *result.more):
                _keep(tx, who, each.fault.id, photo)
            return replace(result, with_photo=True)
        case DangerReported():
            for opened in (*result.faults, *(line.id for line in result.also)):
                _keep(tx, who, opened, photo)
        case FaultKitNeeded():
            if (stands := _standing(tx, who, fault.STEP)) is not None:
                return replace(_waits(tx, who, stands.facts, photo), unknown=result.unknown)
    return result


def _waits(tx: Tx, who: Who, facts: Mapping[str, Any], photo: Photo) -> FaultKitNeeded:
    """Keep a photo with a report whose kit isn't known yet, and ask which it is."""
    file = [photo.file_id, photo.unique_id, photo.kind, photo.still_id]
    return fault.ask_which(tx, who, {**facts, "pictures": [*facts.get("pictures", []), file]})


def _belongs(tx: Tx, who: Who, text: str) -> bool:
    """Say whether words below a photo report nothing new: "here it is"; or it was asked for."""
    reading = fault.read(tx, who, text)
    if reading.danger:
        return False
    stands = _standing(tx, who, STEP)
    if stands is None:
        return not reading.fault and not reading.kits and scanning.chosen(tx, who) is None
    line = faults.by_id(tx, who.club, FaultId(stands.facts["fault"]))
    mine = line.kit.label if line is not None and line.kit else ""
    return not reading.fault or set(reading.kits) <= {mine}


def _standing(tx: Tx, who: Who, step: str) -> Standing | None:
    """Return what stands open in this chat, if it is this."""
    asking, since = who.asking, who.now - OVER_AFTER
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, since)
    return stands if stands is not None and stands.step == step else None


def _meant(tx: Tx, who: Who, number: int | None) -> tuple[FaultId, int] | None:
    if number is not None:
        line = faults.by_number(tx, who.club, number)
        mine = line is not None and line.closed_at is None and works_with(tx, who, line)
        return (line.id, line.number) if line and mine else None
    if (stands := _standing(tx, who, STEP)) is not None:
        return FaultId(stands.facts["fault"]), int(stands.facts["number"])
    return faults.last_of(tx, who.club, who.person, who.now - OVER_AFTER)


def _keep(tx: Tx, who: Who, number: FaultId, photo: Photo) -> None:
    evidence.add_picture(
        tx,
        who.club,
        number,
        photo.file_id,
        photo.unique_id,
        photo.kind,
        who.now,
        photo.still_id,
    )


@deed(Deed.SEE_FAULTS)
def await_picture(tx: Tx, who: Who, number: FaultId) -> PictureAwaited | Refused:
    """Let the next picture of this person go with a fault."""
    line = faults.by_id(tx, who.club, number)
    if line is None or line.closed_at is not None:
        return Refused(Reason.OUT_OF_DATE)
    kinds = [each.kind for each in evidence.pictures(tx, who.club, line.id)]
    asking, facts = who.asking, {"fault": line.id, "number": line.number}
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, facts, who.now)
    return PictureAwaited(line.number, "video" in kinds)


@look(Deed.SEE_PICTURES)
def shown(tx: Tx, who: Who, number: FaultId) -> Sequence[Shown] | Refused:
    """Return a fault's pictures to be sent again: to adults only, a child may be in them."""
    seen = evidence.pictures(tx, who.club, number)
    files = evidence.copies(tx, who.club, [each.id for each in seen])
    found = [Shown(each.id, each.kind, each.file_id, files.get(each.id)) for each in seen]
    return found or Refused(Reason.OUT_OF_DATE)


@deed(Deed.CLAIM)
def looked(tx: Tx, who: Who, number: FaultId) -> PicturesLooked | Refused:
    """Note that this adult has looked through a fault's pictures: no child is seen or heard."""
    line = faults.by_id(tx, who.club, number)
    if line is None:
        return Refused(Reason.OUT_OF_DATE)
    evidence.looked(tx, who.club, line.id, who.now)
    kinds = [each.kind for each in evidence.pictures(tx, who.club, line.id)]
    return PicturesLooked(line.number, kinds.count("photo"), kinds.count("video"))


@deed(Deed.CLAIM)
def keep_copies(
    tx: Tx, who: Who, number: FaultId, files: Mapping[int, bytes], failed: int
) -> CopiesKept | Refused:
    """Keep the files of a fault's pictures, until the fault is long over."""
    line = faults.by_id(tx, who.club, number)
    if line is None:
        return Refused(Reason.OUT_OF_DATE)
    mine = {each.id for each in evidence.pictures(tx, who.club, line.id)}
    for picture, content in files.items():
        if picture in mine:
            evidence.keep_copy(tx, who.club, picture, content, who.now)
    return CopiesKept(line.number, len(mine & set(files)), failed)
