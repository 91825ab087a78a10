"""A club's own words on a check or a cause: added, shown, taken away."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clubbot.desk.acting import Who, deed, look
from clubbot.rules.faults.asides import says_unknown
from clubbot.rules.faults.knowledge import known
from clubbot.rules.model import Reason, Refused
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import OwnWord, OwnWords, OwnWordsAdded, OwnWordsWanted
from clubbot.store import dialogues, own_words
from clubbot.store.engine import Tx

STEP = "own words"
LONGEST = 300
MOST = 40
"""How many notes a club keeps: more than these nobody finds any more."""


@look(Deed.SET_UP)
def every(tx: Tx, who: Who) -> OwnWords:
    """Return all that the club has added in its own words."""
    return _all(tx, who)


def _all(tx: Tx, who: Who) -> OwnWords:
    found = own_words.every(tx, who.club)
    return OwnWords(tuple(OwnWord(each.id, each.code, each.text) for each in found))


@deed(Deed.SET_UP)
def say(tx: Tx, who: Who, text: str) -> OwnWordsAdded | Refused:
    """Add words by the code of a check or a cause: "seat-battery: ours needs two thumbs"."""
    code, _, words = text.partition(":")
    return _add(tx, who, code.strip().lower(), words.strip())


@deed(Deed.SET_UP)
def ask(tx: Tx, who: Who, code: str) -> OwnWordsWanted | Refused:
    """Ask for the club's words on a check; the next text is taken for them."""
    if not _known(code):
        return Refused(Reason.OUT_OF_DATE)
    asking = who.asking
    dialogues.put(tx, asking.chat_id, asking.telegram_id, STEP, {"code": code}, who.now)
    return OwnWordsWanted(code)


def take_answer(
    tx: Tx, who: Who, text: str, facts: Mapping[str, Any]
) -> OwnWordsAdded | OwnWordsWanted | Refused:
    """Take typed words for the check that was asked about."""
    if says_unknown(text):
        return OwnWordsWanted(str(facts["code"]))
    dialogues.end(tx, who.asking.chat_id, who.asking.telegram_id)
    if not may(who.role, Deed.SET_UP):
        return Refused(Reason.OUT_OF_DATE)
    return _add(tx, who, str(facts["code"]), text.strip())


def _add(tx: Tx, who: Who, code: str, words: str) -> OwnWordsAdded | Refused:
    full = len(own_words.every(tx, who.club)) >= MOST
    if not _known(code) or not words or len(words) > LONGEST or full:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "own words"})
    own_words.add(tx, who.club, code, words, who.now)
    return OwnWordsAdded(code, words)


def _known(code: str) -> bool:
    return code in known().checks or code in known().causes


@deed(Deed.SET_UP)
def drop(tx: Tx, who: Who, number: int) -> OwnWords | Refused:
    """Take words of the club away, and return those that are left."""
    if not own_words.drop(tx, who.club, number):
        return Refused(Reason.OUT_OF_DATE)
    return _all(tx, who)
