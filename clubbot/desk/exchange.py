"""Import and export: a file is read and compared, shown, and carried out whole or not at all."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from datetime import date, datetime, timedelta

from clubbot.desk import club_lines, waiting
from clubbot.desk.acting import Who, by_the_clock, deed, look
from clubbot.desk.replanning import plan_anew
from clubbot.rules.exchange import (
    Change,
    ClubLine,
    Plan,
    Problem,
    Row,
    Sheet,
    compare,
    grams,
    read_sheet,
    write_sheets,
)
from clubbot.rules.model import ClubId, Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Exported,
    ExportedFile,
    ImportChange,
    Imported,
    ImportPreview,
    ImportProblem,
    ImportProblems,
    NothingToImport,
)
from clubbot.store import clubs, dialogues
from clubbot.store.engine import Store, Tx
from clubbot.store.exchange import Loaded, carry_out, load

STEP = "import"
OVER_AFTER = timedelta(hours=1)
_SHOWN = 12
_SHEETS = {"kits": "fleet", "parts": "kit_types"}
Outcome = ImportPreview | ImportProblems | NothingToImport | Imported


@look(Deed.SET_UP)
def welcome(tx: Tx, who: Who) -> bool:
    """Say that this person's files are taken in: asked before one is fetched."""
    return True


@deed(Deed.SET_UP)
def take_in(tx: Tx, who: Who, text: str) -> ImportPreview | ImportProblems | NothingToImport:
    """Read a file and show what it would change, with those sent just before; nothing is done."""
    sheet = read_sheet(text)
    if not isinstance(sheet, Sheet):
        return _problems(sheet)
    files = {**_standing(tx, who), sheet.kind: text}
    result = _preview(tx, who.club, files)[0]
    if isinstance(result, ImportPreview):
        asking = who.asking
        dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, {"files": files}, who.now)
    return result


@deed(Deed.SET_UP)
def confirm(tx: Tx, who: Who, key: str) -> Outcome | Refused:
    """Carry out what was shown; where it would be something else by now, show that instead."""
    files = _standing(tx, who)
    if not files:
        return Refused(Reason.OUT_OF_DATE)
    shown, loaded, plan = _preview(tx, who.club, files)
    result: Outcome = shown
    if isinstance(shown, ImportPreview):
        if shown.key != key:
            return replace(shown, anew=True)
        result = _carry_out(tx, who, loaded, plan)
    dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    return result


@look(Deed.SET_UP)
def export(tx: Tx, who: Who) -> Exported:
    """Return all that the club has, as files that can be taken in again."""
    return exported(tx, who.club)


def exported(tx: Tx, club: ClubId) -> Exported:
    """Return a club's files."""
    written = write_sheets(_loaded(tx, club).contents)
    return Exported(tuple(ExportedFile(name, content) for name, content in written.items()))


def _loaded(tx: Tx, club: ClubId) -> Loaded:
    found = load(tx, club)
    own = club_lines.lines(tx, club)
    contents = replace(found.contents, club=own)
    return Loaded(contents, {**found.ids, "club": [0] * len(own)})


def take_in_files(
    store: Store, club: ClubId, texts: Sequence[str], now: datetime, *, really: bool
) -> tuple[Outcome, int | None]:
    """Compare files with what stands and, if `really`, carry all out in one transaction.

    Returns with it which of the texts is meant, where one can't be read.
    """
    files: dict[str, str] = {}
    for place, text in enumerate(texts):
        sheet = read_sheet(text)
        if not isinstance(sheet, Sheet):
            return _problems(sheet), place
        if sheet.kind in files:
            return _problems([Problem(sheet.kind, 1, "", "second")]), place
        files[sheet.kind] = text
    with store.write() as tx:
        clubs.lock(tx, club)
        result, loaded, plan = _preview(tx, club, files)
        if really and isinstance(result, ImportPreview):
            return _carry_out(tx, by_the_clock(clubs.club(tx, club), now), loaded, plan), None
        return result, None


def _standing(tx: Tx, who: Who) -> dict[str, str]:
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    return dict(stands.facts["files"]) if stands and stands.step == STEP else {}


def _preview(
    tx: Tx, club: ClubId, files: Mapping[str, str]
) -> tuple[ImportPreview | ImportProblems | NothingToImport, Loaded, Plan]:
    sheets = [sheet for text in files.values() if isinstance(sheet := read_sheet(text), Sheet)]
    loaded = _loaded(tx, club)
    plan = compare(loaded.contents, sheets)
    if plan.problems:
        return _problems(plan.problems), loaded, plan
    if not plan.changes:
        return NothingToImport(plan.same), loaded, plan
    new = sum(change.before is None for change in plan.changes)
    preview = ImportPreview(
        key=hashlib.sha256(f"{club} {plan.changes!r}".encode()).hexdigest()[:12],
        files=tuple(sheet.kind for sheet in sheets),
        changes=tuple(_shown(change) for change in plan.changes[:_SHOWN]),
        new=new,
        changed=len(plan.changes) - new,
        same=plan.same,
        absent=plan.absent,
    )
    return preview, loaded, plan


def _problems(problems: Sequence[Problem]) -> ImportProblems:
    return ImportProblems(
        tuple(ImportProblem(p.sheet, p.row, p.column, p.what, p.value) for p in problems)
    )


def _shown(change: Change) -> ImportChange:
    after, before = _cells(change.after), _cells(change.before) if change.before else {}
    name = " ".join(str(word) for word in list(after.values())[:2] if word)
    columns = tuple(
        (column, before.get(column, ""), value)
        for column, value in after.items()
        if not before or before[column] != value
    )
    return ImportChange(_SHEETS.get(change.kind, change.kind), not before, name, columns)


def _cells(row: Row) -> dict[str, str]:
    """Return a row's values by column, as people write them."""
    found: dict[str, str] = {}
    for field in fields(row):
        value = getattr(row, field.name)
        column = field.name.removesuffix("_cents").removesuffix("_mg").replace("_", " ")
        if field.name == "price_cents" and value is not None:
            found[column] = f"{value // 100}.{value % 100:02}"
        elif field.name.endswith("_mg"):
            found[column] = grams(value)
        elif isinstance(value, bool):
            found[column] = "yes" if value else "no"
        elif isinstance(value, date):
            found[column] = value.isoformat()
        else:
            found[column] = "" if value is None else str(value)
    return found


def _carry_out(tx: Tx, who: Who, loaded: Loaded, plan: Plan) -> Imported:
    drafts = carry_out(tx, who.club, loaded, plan.changes)
    who.append(tx, drafts)
    for change in plan.changes:
        if isinstance(change.after, ClubLine):
            club_lines.write(tx, who, change.after)
    short: Sequence[object] = ()
    if any(change.kind in ("kits", "kit_types") for change in plan.changes):
        _, short = plan_anew(tx, who)
        waiting.serve(tx, who)
    new = sum(change.before is None for change in plan.changes)
    return Imported(new, len(plan.changes) - new, len(short))
