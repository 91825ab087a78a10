"""Import and export at the console: the same files, preview and errors as in chat."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from clubbot.chat.words import exchange as wording
from clubbot.desk.acting import View, by_the_clock, view
from clubbot.desk.exchange import exported, take_in_files
from clubbot.rules.exchange import decode
from clubbot.rules.results import ImportProblems
from clubbot.rules.setup import NEW_CLUB
from clubbot.settings import CannotRun
from clubbot.store import clubs
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Store

Say = Callable[[str], None]


def club_to_fill(store: Store, name: str, now: datetime) -> ClubRow:
    """Return the club of this name, or the only one; where there is none yet, a new one.

    The new one waits for its first leader, who comes by the link that the bot prints.
    """
    with store.write() as tx:
        clubs.found_alone(tx)
        if not name and not clubs.everyone(tx):
            clubs.found(tx, NEW_CLUB, "UTC", now)
    return club_named(store, name)


def club_named(store: Store, name: str) -> ClubRow:
    """Return the club of this name, or the only one; raises CannotRun where it isn't clear."""
    with store.read() as tx:
        every = clubs.everyone(tx)
    found = [club for club in every if name in ("", club.name)]
    if len(found) == 1:
        return found[0]
    if not every:
        raise CannotRun("there is no club yet; start the bot and follow the link that it prints")
    names = ", ".join(club.name for club in every)
    raise CannotRun(f"which club? Say --club and one of these names: {names}")


def take_in(
    store: Store,
    club: ClubRow,
    files: Sequence[Path],
    now: datetime,
    say: Say,
    sure: Callable[[], bool],
) -> bool:
    """Show what files would change and, once `sure`, do all of it; True where nothing is wrong.

    Raises CannotRun where a file can't be read.
    """
    texts = [_read(file) for file in files]
    result, place = take_in_files(store, club.id, texts, now, really=False)
    shown = view(by_the_clock(club, now))
    if place is not None:
        say(f"{files[place]}:")
    say(_plain(result, shown))
    if isinstance(result, ImportProblems):
        return False
    if type(result) in wording.WAITING and sure():
        result, _ = take_in_files(store, club.id, texts, now, really=True)
        say(_plain(result, shown))
    return True


def give_out(store: Store, club: ClubRow, folder: Path, say: Say) -> None:
    """Write the files into a folder; raises CannotRun where one is there already."""
    with store.read() as tx:
        files = exported(tx, club.id).files
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for file in files:
            with (folder / file.name).open("x", encoding="utf-8-sig", newline="") as made:
                made.write(file.content)
            say(str(folder / file.name))
    except OSError as error:
        raise CannotRun(f"{error.filename}: {error.strerror}") from None


def _read(file: Path) -> str:
    try:
        text = decode(file.read_bytes())
    except OSError as error:
        raise CannotRun(f"{file}: {error.strerror}") from None
    if text is None:
        raise CannotRun(f"{file} is no text in UTF-8; save it as CSV in UTF-8")
    return text


def _plain(result: object, shown: View) -> str:
    """Return what the chat would say, without its markup."""
    text = wording.SAID[type(result)](result, shown).text
    return html.unescape(re.sub(r"</?b>", "", text))
