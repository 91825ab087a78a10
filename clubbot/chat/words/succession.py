"""What an adult reads who hands the club over: pages in the chat, and a text to keep."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    day_name,
    esc,
    for_team,
    labels,
    listed,
    local,
    number_of_kits,
    when,
)
from clubbot.rules.results import (
    CodesGuessed,
    HandoverPaper,
    MeetingView,
    OnlyLeader,
    OpenClaim,
    Quirks,
)

_SCHOOLS = "It should be the school's, not a person's."


def paper(result: HandoverPaper, view: View) -> Reply:
    lines = [
        f"<b>Handing over {esc(result.club.name)}</b>, {_day(result, view)}, by {esc(result.by)}",
        *_people(result, view),
        *_places(result),
        *_week(result, view),
        *_kits(result, view),
        *_claims(result, view),
        *_odd(result, view),
        "Read it through together, and hand the keys over. Make the other a leader: /role and "
        "their name.",
    ]
    text = "\n".join(lines)
    name = f"handover-{result.day.isoformat()}.txt"
    return Reply(text, document=(name, _plain(text).encode("utf-8")))


def _plain(text: str) -> str:
    return html.unescape(re.sub(r"</?b>", "", text)).replace("\n", "\r\n") + "\r\n"


def _day(result: HandoverPaper, view: View) -> str:
    return f"{result.day.day} {result.day:%b %Y}"


def _people(result: HandoverPaper, view: View) -> Iterator[str]:
    yield "\n<b>People</b>"
    named = (("Leads", result.leaders), ("Co-leaders", result.co_leaders))
    for what, names in (*named, ("Helpers", result.helpers)):
        yield f"{what}: {listed([esc(name) for name in names]) or 'nobody'}"
    teams = listed([esc(team.name) for team in result.club.teams]) or "none"
    yield f"Students with an account: {result.students}. Door phones: {result.door_phones}."
    yield f"Teams: {teams}"
    today = local(view.now, view).date()
    for each in result.away:
        span = f"{day_name(each.first, today)} to {day_name(each.last, today)}"
        yield f"Away {span}: {esc(each.name)}; {esc(each.acting)} acts"
    yield f"Whom children talk to: {esc(result.club.contact) or 'not said; /settings contact'}"


def _places(result: HandoverPaper) -> Iterator[str]:
    yield "\n<b>Keys and accounts</b>"
    yield f"Keys: {esc(result.keys) or 'not said; /settings keys and where they are'}"
    runs = esc(result.runs_on) or "not said; /settings bot runs and on which computer"
    yield f"The bot runs on: {runs}"
    owner = esc(result.account_of) or "not said; /settings bot account and whose it is"
    yield f"The bot's account belongs to: {owner}. {_SCHOOLS}"
    yield f"Group chats: {listed([esc(each) for each in result.groups]) or 'none'}"
    yield f"Found things are handed in at: {esc(result.hand_in) or 'not said; /settings hand in'}"
    yield f"Emergency number: {esc(result.club.emergency) or 'not said; /settings emergency'}"


def _week(result: HandoverPaper, view: View) -> Iterator[str]:
    yield "\n<b>The week</b>"
    yield f"Meets: {'; '.join(_meeting(each) for each in result.club.meetings) or 'not set'}"
    today = local(view.now, view).date()
    for first, last, why in result.club.closures:
        span = day_name(first, today)
        span += f" to {day_name(last, today)}" if last != first else ""
        yield f"No club: {span}{f' ({esc(why)})' if why else ''}"
    if result.club.feed:
        yield f"The school's calendar is read from {esc(result.club.feed)}"


_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def _meeting(each: MeetingView) -> str:
    adult = f", {esc(each.adult)} runs it" if each.adult else ""
    name = f"{esc(each.name)}, " if each.name else ""
    return f"{name}{_DAYS[each.weekday]} {each.starts} to {each.ends}{adult}"


def _kits(result: HandoverPaper, view: View) -> Iterator[str]:
    yield "\n<b>Kits</b>"
    kits = result.club.kits
    yield f"{number_of_kits(len(kits))}: {labels(kits)}" if kits else "No kits yet."
    chargers = [f"{esc(name)} ({bays} bays)" for name, bays in result.club.chargers]
    if chargers:
        yield f"Chargers: {listed(chargers)}"
    for line in result.out:
        back = f", due {when(line.due, view)}" if line.due else ""
        yield f"Out: {esc(line.kit.label)}{for_team(line.team)}{back}"
    for each in result.kept:
        end = when(each.window.end, view)
        yield f"Kept built: {labels(each.kits)}{for_team(each.team)}, until {end}"


def _claims(result: HandoverPaper, view: View) -> Iterator[str]:
    yield "\n<b>Claims and orders</b>"
    if not result.claims:
        yield "No claim is open."
    for each in result.claims:
        yield _claim(each, view)
    if result.orders:
        parts = listed([f"{number} {esc(part)}" for part, number in result.orders])
        since = f", ordered {when(result.ordered_at, view)}" if result.ordered_at else ""
        yield f"Still to come: {parts}{since}"


def _claim(each: OpenClaim, view: View) -> str:
    fault = each.fault
    kit = f"{esc(fault.kit.label)}, " if fault.kit else ""
    today = local(view.now, view).date()
    promised = f"answer promised by {day_name(each.promised, today)}" if each.promised else ""
    sent = day_name(local(each.sent_at, view).date(), today)
    return f"Fault {fault.number}: {kit}letter sent {sent}, {promised or 'no day promised'}"


def _odd(result: HandoverPaper, view: View) -> Iterator[str]:
    yield "\n<b>What is odd about which kit</b>"
    if not result.quirks:
        yield "Nothing that anybody noted."
    for each in result.quirks:
        yield f"{esc(each.kit.label)}: {'; '.join(_quirk(each))}"


def _quirk(each: Quirks) -> Iterator[str]:
    if each.lost:
        yield "lost"
    if each.held is not None:
        yield f"on hold ({esc(each.held, 120)})"
    if each.withdrawn is not None:
        yield f"out of use ({esc(each.withdrawn, 120)})"
    for fault in each.faults:
        watched = ", may be used, watch it" if fault.watched else ""
        yield f"fault {fault.number}, {SYMPTOMS[fault.symptom]}{watched}"
    for symptom, times in each.again:
        yield f"{SYMPTOMS[symptom]} {times} times in a year"
    for part, number in each.missing:
        yield f"{number} {esc(part)} missing"
    if each.worn:
        yield "battery probably worn"
    if each.flat_starts:
        yield f"found flat at the start {each.flat_starts} times"


def only_leader(result: OnlyLeader, view: View) -> Reply:
    others = (
        "Make one of the other adults a leader too: /role and their name."
        if result.adults
        else "Let a second adult in: /invite co-leader"
    )
    return Reply(
        f"You are the only leader of {esc(view.club)}. If you fall ill, nobody can step in. "
        f"{others} /handover writes down what they need."
    )


def codes_guessed(result: CodesGuessed, view: View) -> Reply:
    return Reply(
        f"Somebody tried {result.tries} wrong invitation codes. They have to wait now. Codes are "
        "too long to guess, and nobody comes in unless you let them."
    )


SAID: dict[type, Wording] = {
    HandoverPaper: paper,
    OnlyLeader: only_leader,
    CodesGuessed: codes_guessed,
}
