"""Who may do what: the one table, enforced in the desk before anything is read for the answer."""

from __future__ import annotations

from enum import StrEnum

from clubbot.rules.model import Role


class Deed(StrEnum):
    """What can be asked of the desk; the words are what the documentation shows."""

    SEE_FREE = "see what is free"
    SEE_KIT = "look at one kit"
    BOOK = "book"
    SEE_OWN = "see one's own bookings"
    CANCEL_OWN = "cancel one's own bookings"
    SEE_SELF = "see what is kept about oneself"
    LEAVE = "leave the club"
    REPORT_FAULT = "report a fault"
    SAY_BACK = "say that a kit is back"
    NEED_LONGER = "ask for longer with a kit"
    SAY_BATTERY = "say what a battery shows"
    ACT_FOR_TEAM = "act for any team"
    GIVE_OUT = "give out"
    TAKE_BACK = "take back"
    PASS_ON = "pass on"  # noqa: S105 - a deed, not a password
    UNDO = "undo one's last action"
    SEE_HISTORY = "see what happened to a kit"
    TAKE_STOCK = "take stock of the store room"
    SEE_TODAY = "see today's list"
    SEE_FAULTS = "see the open faults"
    CLOSE_FAULT = "close a fault"
    WITHDRAW = "put a kit out of use and back"
    PARTS = "see where parts are and move them"
    CANCEL_ANY = "cancel anybody's booking"
    RELEASE = "take a kit off hold"
    SEE_PICTURES = "open a fault's pictures"
    CLAIM = "write to the supplier"
    SEE_CHARGE_LIST = "see the charge list"
    SIGN_CHARGE = "sign off charging"
    TEST_DAY = "run a run-time test"
    KEEP = "keep a kit built for a team"
    DECIDE = "decide on requests beyond the limits"
    ANSWER_LATE = "answer for late kits"
    LET_IN = "let people in, invite and remove them"
    FIT = "fit batteries, tablets and units to kits"
    VERSIONS = "note software versions and agree on one"
    ORDER_PARTS = "see what went missing and what to order"
    SEE_SENT = "see what was written to children"
    SEE_WEAR = "see which kits wear out"
    LOSE = "see and note what is lost or stolen"
    GO_AWAY = "let another adult act while away"
    HAND_OVER = "print the handover"
    SET_UP = "set up the club"
    LINK_GROUP = "link a group"


_EVERYONE_IN = frozenset({Role.LEADER, Role.CO_LEADER, Role.HELPER, Role.STUDENT, Role.DOOR})
_AT_THE_DOOR = frozenset({Role.LEADER, Role.CO_LEADER, Role.HELPER, Role.DOOR})
_PEOPLE_WITH_BOOKINGS = frozenset({Role.LEADER, Role.CO_LEADER, Role.HELPER, Role.STUDENT})
_HELPERS = frozenset({Role.LEADER, Role.CO_LEADER, Role.HELPER})
_ADULTS = frozenset({Role.LEADER, Role.CO_LEADER})

ALLOWED: dict[Deed, frozenset[Role]] = {
    Deed.SEE_FREE: _EVERYONE_IN,
    Deed.SEE_KIT: _EVERYONE_IN,
    Deed.BOOK: _EVERYONE_IN,
    Deed.SEE_OWN: _PEOPLE_WITH_BOOKINGS,
    Deed.CANCEL_OWN: _PEOPLE_WITH_BOOKINGS,
    Deed.SEE_SELF: _EVERYONE_IN,
    Deed.LEAVE: _EVERYONE_IN,
    Deed.REPORT_FAULT: _EVERYONE_IN,
    Deed.SAY_BACK: _EVERYONE_IN,
    Deed.NEED_LONGER: _EVERYONE_IN,
    Deed.SAY_BATTERY: _EVERYONE_IN,
    Deed.ACT_FOR_TEAM: _AT_THE_DOOR,
    Deed.GIVE_OUT: _AT_THE_DOOR,
    Deed.TAKE_BACK: _HELPERS,
    Deed.PASS_ON: _HELPERS,
    Deed.UNDO: _HELPERS,
    Deed.SEE_HISTORY: _HELPERS,
    Deed.TAKE_STOCK: _HELPERS,
    Deed.SEE_TODAY: _HELPERS,
    Deed.SEE_FAULTS: _HELPERS,
    Deed.CLOSE_FAULT: _HELPERS,
    Deed.WITHDRAW: _HELPERS,
    Deed.PARTS: _HELPERS,
    Deed.CANCEL_ANY: _HELPERS,
    Deed.RELEASE: _ADULTS,
    Deed.SEE_PICTURES: _ADULTS,
    Deed.CLAIM: _ADULTS,
    Deed.SEE_CHARGE_LIST: _HELPERS,
    Deed.SIGN_CHARGE: _ADULTS,
    Deed.TEST_DAY: _ADULTS,
    Deed.KEEP: _ADULTS,
    Deed.DECIDE: _ADULTS,
    Deed.ANSWER_LATE: _ADULTS,
    Deed.LET_IN: _ADULTS,
    Deed.FIT: _ADULTS,
    Deed.VERSIONS: _ADULTS,
    Deed.ORDER_PARTS: _ADULTS,
    Deed.SEE_SENT: _ADULTS,
    Deed.SEE_WEAR: _ADULTS,
    Deed.LOSE: _ADULTS,
    Deed.GO_AWAY: _ADULTS,
    Deed.HAND_OVER: _ADULTS,
    Deed.SET_UP: _ADULTS,
    Deed.LINK_GROUP: _ADULTS,
}


def may(role: Role, deed: Deed) -> bool:
    """Say whether a person with this role may do this."""
    return role in ALLOWED[deed]
