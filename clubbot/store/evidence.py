"""What shows a fault: photos and videos, copies of them, and what became of it step by step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa

from clubbot.rules.model import ClubId, FaultId
from clubbot.rules.results import FaultStep
from clubbot.store.engine import Tx
from clubbot.store.tables import FAULT, FAULT_CHECK, FAULT_COPY, FAULT_PHOTO, FAULT_STEP


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo or video by the platform's file id; `still_id` is a video's still.

    `looked`: an adult has looked that no child is seen or heard. `copied`: its file is kept here.
    """

    id: int
    file_id: str
    kind: str
    still_id: str
    looked: bool
    copied: bool
    at: datetime


def pictures(tx: Tx, club: ClubId, fault: FaultId) -> list[Picture]:
    """Return the pictures of a fault, the first one first."""
    found = (
        sa.select(FAULT_PHOTO, FAULT_COPY.c.id.label("copy"))
        .select_from(
            FAULT_PHOTO.outerjoin(
                FAULT_COPY,
                sa.and_(
                    FAULT_COPY.c.club_id == FAULT_PHOTO.c.club_id,
                    FAULT_COPY.c.photo_id == FAULT_PHOTO.c.id,
                ),
            )
        )
        .where(FAULT_PHOTO.c.club_id == club, FAULT_PHOTO.c.fault_id == fault)
        .order_by(FAULT_PHOTO.c.id)
    )
    return [
        Picture(
            row.id,
            row.file_id,
            row.kind,
            row.still_id,
            row.looked_at is not None,
            row.copy is not None,
            row.at,
        )
        for row in tx.execute(found)
    ]


def add_picture(
    tx: Tx,
    club: ClubId,
    fault: FaultId,
    file_id: str,
    unique_id: str,
    kind: str,
    now: datetime,
    still_id: str = "",
) -> None:
    """Keep a picture's file id with a fault; the same picture twice is kept once."""
    known = tx.execute(
        sa.select(FAULT_PHOTO.c.id).where(
            FAULT_PHOTO.c.club_id == club,
            FAULT_PHOTO.c.fault_id == fault,
            FAULT_PHOTO.c.file_unique_id == unique_id,
        )
    ).first()
    if known is None:
        tx.execute(
            sa.insert(FAULT_PHOTO).values(
                club_id=club,
                fault_id=fault,
                file_id=file_id,
                file_unique_id=unique_id,
                kind=kind,
                at=now,
                still_id=still_id,
            )
        )


def move_pictures(tx: Tx, club: ClubId, fault: FaultId, to: FaultId) -> None:
    """Let the pictures of a fault go with another, which it was reported as by mistake."""
    mine = sa.and_(FAULT_PHOTO.c.club_id == club, FAULT_PHOTO.c.fault_id == fault)
    tx.execute(sa.update(FAULT_PHOTO).where(mine).values(fault_id=to))


def looked(tx: Tx, club: ClubId, fault: FaultId, now: datetime) -> None:
    """Note of a fault's pictures that an adult has looked: no child is seen or heard."""
    mine = sa.and_(FAULT_PHOTO.c.club_id == club, FAULT_PHOTO.c.fault_id == fault)
    fresh = FAULT_PHOTO.c.looked_at.is_(None)
    tx.execute(sa.update(FAULT_PHOTO).where(mine, fresh).values(looked_at=now))


def keep_copy(tx: Tx, club: ClubId, picture: int, content: bytes, now: datetime) -> None:
    """Keep the file of a picture; what is kept already stays."""
    mine = sa.and_(FAULT_COPY.c.club_id == club, FAULT_COPY.c.photo_id == picture)
    if tx.execute(sa.select(FAULT_COPY.c.id).where(mine)).first() is None:
        values = {"club_id": club, "photo_id": picture, "content": content, "at": now}
        tx.execute(sa.insert(FAULT_COPY).values(values))


def copies(tx: Tx, club: ClubId, pictures: Iterable[int]) -> dict[int, bytes]:
    """Return the files that are kept of these pictures."""
    found = sa.select(FAULT_COPY.c.photo_id, FAULT_COPY.c.content).where(
        FAULT_COPY.c.club_id == club, FAULT_COPY.c.photo_id.in_(list(pictures))
    )
    return {row.photo_id: row.content for row in tx.execute(found)}


def delete_old_pictures(tx: Tx, club: ClubId, before: datetime) -> None:
    """Delete what shows a club's faults that were closed before that."""
    over = (
        FAULT_PHOTO.c.club_id == club,
        sa.exists().where(
            FAULT.c.club_id == FAULT_PHOTO.c.club_id,
            FAULT.c.id == FAULT_PHOTO.c.fault_id,
            FAULT.c.state == "closed",
            FAULT.c.closed_at < before,
        ),
    )
    of_those = sa.exists().where(
        FAULT_PHOTO.c.club_id == FAULT_COPY.c.club_id,
        FAULT_PHOTO.c.id == FAULT_COPY.c.photo_id,
        *over,
    )
    tx.execute(sa.delete(FAULT_COPY).where(of_those))
    tx.execute(sa.delete(FAULT_PHOTO).where(*over))


def note(tx: Tx, club: ClubId, fault: FaultId, now: datetime, what: str, words: str = "") -> None:
    """Note a step in what becomes of a fault."""
    tx.execute(
        sa.insert(FAULT_STEP).values(
            club_id=club, fault_id=fault, at=now, what=what, note=words[:300]
        )
    )


def steps(tx: Tx, club: ClubId, fault: FaultId) -> list[FaultStep]:
    """Return what became of a fault so far, beside its checks, the first one first."""
    found = (
        sa.select(FAULT_STEP)
        .where(FAULT_STEP.c.club_id == club, FAULT_STEP.c.fault_id == fault)
        .order_by(FAULT_STEP.c.id)
    )
    return [FaultStep(row.at, row.what, row.note) for row in tx.execute(found)]


def noted_at(tx: Tx, club: ClubId, what: str, at: datetime) -> list[FaultId]:
    """Return the faults of which this step was noted at this moment."""
    found = sa.select(FAULT_STEP.c.fault_id).where(
        FAULT_STEP.c.club_id == club, FAULT_STEP.c.what == what, FAULT_STEP.c.at == at
    )
    return list(tx.execute(found.order_by(FAULT_STEP.c.id)).scalars())


def moved_at(
    tx: Tx, club: ClubId, opened: Iterable[tuple[FaultId, datetime]]
) -> dict[FaultId, datetime]:
    """Return when something last became of faults that were reported at these moments."""
    latest = dict(opened)
    for table in (FAULT_STEP, FAULT_CHECK, FAULT_PHOTO):
        found = sa.select(table.c.fault_id, table.c.at).where(
            table.c.club_id == club, table.c.fault_id.in_(list(latest))
        )
        for row in tx.execute(found):
            latest[row.fault_id] = max(latest[row.fault_id], row.at)
    return latest
