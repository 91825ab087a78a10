"""Every expected "no", in one line: what is the matter and what to do next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from clubbot.chat.words import of_batteries, of_claims, of_parts
from clubbot.chat.words.how import HOW
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    button,
    by_others,
    capital,
    day_name,
    esc,
    listed,
    local,
    number_of_kits,
    span,
    typed,
    when,
)
from clubbot.rules.ledger import Use
from clubbot.rules.model import Instead, Reason, Refused, Role, Window

Facts = Mapping[str, Any]
_HANDS = (Role.LEADER, Role.CO_LEADER, Role.HELPER)
_ASK = "Ask a helper or an adult."


def refused(result: Refused, view: View) -> Reply:
    """Say why not and what would be a yes."""
    text = WORDS[result.reason](result.facts, view)
    laid = [(_offer(each, view),) for each in result.instead[:4]]
    if result.wait is not None and result.wait.window.start > view.now:
        wait = result.wait
        start, end = int(wait.window.start.timestamp()), int(wait.window.end.timestamp())
        laid.append((button("Wait for a place", "wait", start, end, wait.count, wait.team or 0),))
    return Reply(text, tuple(laid))


def _offer(each: Instead, view: View) -> Button:
    start = local(each.window.start, view)
    what = listed(list(each.labels)) or number_of_kits(each.count)
    named = " and ".join(f"kit {label}" for label in each.labels) or f"{each.count} kits"
    day = capital(day_name(start.date(), local(view.now, view).date()))
    text = f"{what}, {day} {start:%H:%M} to {local(each.window.end, view):%H:%M}"
    try:
        return button(text, "new", each.team or 0, f"{named} {typed(each.window, view)}")
    except ValueError:
        return button(text, "new", each.team or 0, f"{each.count} kits {typed(each.window, view)}")


def _names(facts: Facts) -> str:
    return listed([esc(label) for label in facts.get("labels", ())])


def _unknown_kit(facts: Facts, view: View) -> str:
    word = esc(str(facts.get("word", "")), 40)
    if not word:
        return "Which kit? Put its label after the command, such as D."
    return f"There is no kit {word} here. /free shows the labels."


def _unknown_team(facts: Facts, view: View) -> str:
    word = esc(str(facts.get("word", "")), 40)
    return f"There is no team {word} here." if word else "You aren't in that team; ask an adult."


def _unknown_booking(facts: Facts, view: View) -> str:
    if team := facts.get("team"):
        return f"{esc(team)} has no booking now. Add labels to give kits out: /out D {esc(team)}"
    number = facts.get("number", "")
    return f"There is no booking {number} to come. /mine shows yours."


def _unknown_fault(facts: Facts, view: View) -> str:
    if facts.get("mine"):
        return "No fault that you reported is open. One with its number: /check 3"
    which = f"of kit {esc(facts['label'])}" if facts.get("label") else facts.get("number", "")
    return f"There is no open fault {which}. /faults shows them."


def _none_free(facts: Facts, view: View) -> str:
    if not facts.get("of", 1):
        return "The club has no kits yet. A leader adds them with /setup."
    possible = facts["possible"]
    window = facts.get("window")
    at = f" {span(window, view)}" if isinstance(window, Window) else ""
    if "count" not in facts:
        return f"The club has {number_of_kits(possible)} in all. Ask for fewer."
    if not possible:
        return f"No kit is free{at}. You could have:"
    verb = "is" if possible == 1 else "are"
    free = capital(number_of_kits(possible))
    return f"{free} {verb} free{at}, not {facts['count']}. You could have:"


def _kit_taken(facts: Facts, view: View) -> str:
    window = facts.get("window")
    at = f" {span(window, view)}" if isinstance(window, Window) else ""
    what = _names(facts) or "That kit"
    return f"{what} can't be had{at}."


def _already(facts: Facts, view: View) -> str:
    names, what = _names(facts), str(facts.get("what", ""))
    if what == "out":
        team = f" with {esc(facts['team'])}" if facts.get("team") else ""
        next_step = "/back takes it back, /pass passes it on." if view.role in _HANDS else _ASK
        return f"{names} is already out{team}. {next_step}"
    if what == "in the club":
        return f"You are in {esc(facts['club'])} already. /help shows what you can do."
    if what == "another club's":
        return (
            "This group belongs to another club. An adult of that club says /link off here first."
        )
    if what == "lost thing":
        return f"{names} is noted as lost. /lost shows it: say first that it is found."
    if what == "scrapped thing":
        return f"{names} is scrapped. Take another."
    if what == "kept built":
        number = facts["number"]
        return f"Booking {number} keeps kits built. /cancel {number}, then /keep with what is new."
    if what == "fitted":
        return f"{names} is in there already."
    if what == "nothing fitted":
        return f"Nothing of that kind is listed in {names}. /fit {names} shows what is."
    if what == "with team":
        return f"{esc(facts['team'])} has it already."
    typed_labels = " ".join(esc(label) for label in facts.get("labels", ()))
    if what == Use.HELD:
        return f"{names}: on hold. An adult takes it off with /release {typed_labels}."
    if what == Use.WITHDRAWN:
        return f"{names}: out of use, not on hold. /restore {typed_labels} puts it back."
    return f"{names}: nothing to change, that is how it stands already."


def _not_out(facts: Facts, view: View) -> str:
    names = _names(facts)
    return f"{names} isn't out." if names else "Nothing of yours is out."


def _closed(facts: Facts, view: View) -> str:
    day = facts.get("day")
    name = day_name(day, local(view.now, view).date()) if isinstance(day, date) else "then"
    why = f" ({esc(facts['why'])})" if facts.get("why") else ""
    return f"There is no club {name}{why}. Pick another day."


def _too_early(facts: Facts, view: View) -> str:
    start = facts["start"]
    at = when(start, view) if isinstance(start, datetime) else "later"
    return f"That booking starts {at}. Give it out from half an hour before."


def _on_hold(facts: Facts, view: View) -> str:
    return (
        f"{esc(facts['label'])} is on hold: {esc(facts['note'], 120)}. An adult looks at it first."
    )


def _out_of_use(facts: Facts, view: View) -> str:
    said = by_others(facts["note"], view, 120)
    note = f": {said}" if said else ""
    return f"{esc(facts['label'])} is out of use{note}. Take another, or /restore it."


def _not_understood(facts: Facts, view: View) -> str:
    wanted = facts.get("wanted")
    if wanted in HOW:
        return HOW[wanted]
    if wanted in of_batteries.HOW:
        return of_batteries.HOW[wanted](facts)
    if wanted == "change":
        return (
            "Which booking, and what instead? Such as: /change 12 2 kits, or /change 12 16:00-17:00"
        )
    if wanted == "setting":
        return f"I need {esc(facts['problem'], 200)}. /settings shows them all."
    return "I can't read that. /help shows how to say it."


def _later_entries(facts: Facts, view: View) -> str:
    at = facts.get("at")
    if not facts.get("label") or not isinstance(at, datetime):
        return "That doesn't fit with what came after it. Undo the later thing first."
    label = esc(facts["label"])
    return f"{label} was {esc(facts['what'])} {when(at, view)}, after that. Take that back first."


def _yours(deed: str) -> str:
    """Return a deed as somebody is spoken to of it."""
    return deed.replace("oneself", "yourself").replace("one's", "your")


def _fixed(text: str) -> Callable[[Facts, View], str]:
    return lambda facts, view: text


WORDS: dict[Reason, Callable[[Facts, View], str]] = {
    **of_parts.WORDS,
    **of_claims.WORDS,
    Reason.NOT_ALLOWED: lambda facts, view: (
        f"You can't {esc(_yours(facts['deed']))} here. Ask an adult of the club."
    ),
    Reason.NO_SUCH_CLUB: _fixed(
        "You aren't in a club here yet. Open the link that your club's leader gives you."
    ),
    Reason.UNKNOWN_KIT: _unknown_kit,
    Reason.UNKNOWN_TEAM: _unknown_team,
    Reason.UNKNOWN_BOOKING: _unknown_booking,
    Reason.UNKNOWN_FAULT: _unknown_fault,
    Reason.UNKNOWN_PERSON: _fixed("Nobody of that name is here. /people shows who is."),
    Reason.NOT_UNDERSTOOD: _not_understood,
    Reason.ZERO: _fixed("That would be no kits at all. Ask for one or more."),
    Reason.END_BEFORE_START: _fixed("That ends before it starts. Turn the times round?"),
    Reason.TOO_LONG: _fixed(
        "That is longer than a booking may be. Make it shorter, or ask a leader."
    ),
    Reason.PAST: _fixed("That is over already. Pick a time to come."),
    Reason.TOO_FAR: lambda facts, view: (
        f"That is more than {facts['days']} days ahead. Ask again nearer the day."
    ),
    Reason.OUTSIDE_HOURS: _fixed("No adult is in the room then. Pick a time when the club meets."),
    Reason.CLOSED: _closed,
    Reason.SESSION_THERE: lambda facts, view: (
        f"There is a session already: {span(facts['window'], view)}. Pick another time."
    ),
    Reason.OVER_LIMIT: lambda facts, view: (
        f"A team may have {number_of_kits(facts['limit'])} at a time. Ask a leader for more."
    ),
    Reason.NONE_FREE: _none_free,
    Reason.KIT_TAKEN: _kit_taken,
    Reason.RESOURCE_TAKEN: lambda facts, view: (
        f"Kits are free, but not enough {esc(facts['resource'])}: {facts['possible']} left."
    ),
    Reason.BATTERY: lambda facts, view: (
        "The batteries won't last for that before the next charge; "
        f"{number_of_kits(facts['possible'])} would. You could have:"
    ),
    Reason.UNDECIDED: _fixed("I can't work that out in time. Try fewer kits or another time."),
    Reason.ALREADY: _already,
    Reason.NOT_OUT: _not_out,
    Reason.NOTHING_WITH: lambda facts, view: (
        f"{esc(facts['team'])} has nothing now. /today shows who has what."
    ),
    Reason.TOO_EARLY: _too_early,
    Reason.NOTHING_TO_GIVE_OUT: _fixed(
        "No booking waits to be given out now. Kits without one: /out D Red"
    ),
    Reason.OUT_OF_USE: _out_of_use,
    Reason.ON_HOLD: _on_hold,
    Reason.LAST_TOLD: _fixed("No other adult hears of faults just now, so yours stay on."),
    Reason.SAY_WHAT: _fixed("What is wrong? In one sentence, such as: /fault D won't start"),
    Reason.NOTHING_TO_UNDO: _fixed("There is nothing of yours to undo."),
    Reason.LATER_ENTRIES: _later_entries,
    Reason.CODE_WRONG: _fixed("That code isn't good here, or no longer. Ask for a new link."),
    Reason.TOO_MANY_TRIES: _fixed("Too many wrong codes. Try again in an hour."),
    Reason.STUDENTS_UNCONFIRMED: _fixed(
        "Students come in once a leader has confirmed what the school asks: /setup accounts"
    ),
    Reason.LAST_LEADER: _fixed("The club needs a leader: make somebody else one first."),
    Reason.NO_OTHER_ADULT: _fixed(
        "There is no other adult here to act for you. Let one in first: /invite co-leader"
    ),
    Reason.AWAY_TOO: lambda facts, view: (
        f"{esc(facts['name'])} is away then too. Name somebody else."
    ),
    Reason.ANSWERED: _fixed("Somebody has answered that already. /people shows who is in."),
    Reason.OUT_OF_DATE: _fixed("That button is out of date. Please ask again."),
    Reason.OTHERS: _fixed("That isn't yours. Ask a helper or an adult."),
    Reason.OUTAGE: _fixed(
        "I can't write anything down right now, so nothing was changed. Try again in a minute."
    ),
}
