"""What a leader reads while setting up the club: the questions, the list, what to do next."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    esc,
    labels,
    listed,
    number_of_kits,
    rows,
)
from clubbot.rules.kit_templates import TEMPLATES
from clubbot.rules.results import ClubView, MeetingView, SetUpAsks, SetUpStep

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
QUESTIONS: dict[SetUpStep, str] = {
    "name": "What is the club called?",
    "zone": "Which city is the club in, or the nearest large one? It sets the clock.",
    "kits": (
        "How many kits are there, or how are they labelled? Such as: 12, or A to L, or R1-R8. "
        "I, O, Q, 1 and 0 are misread on a shelf: leave them out."
    ),
    "type": "What is in a kit? Take the nearest list and change it.",
    "tablets": "Has each kit a tablet of its own, under the same label? Such as: all, or A to F.",
    "chargers": (
        "How many bays have the chargers? A bay is a place for one battery. "
        "Such as: 4, or: shelf 4, desk 6."
    ),
    "meetings": (
        "When does the club meet, and who runs it? "
        "Such as: Fri 15:30-17:00, Robotics A: Mon 16:00-17:30 with Owen."
    ),
    "runners": "Who runs which meeting? Tap a name, or type: Fri Owen, Mon Nora.",
    "hours": (
        "When else is an adult in the room, so that batteries can be charged and kits fetched? "
        "Such as: Mon 13:00-17:00, Fri 13:00-15:30. Skip it where there is nobody."
    ),
    "teams": "Which teams are there? Such as: Red, Blue, Green.",
    "accounts": (
        "Do students write to me themselves, or do adults and a phone at the door do it for the "
        "teams? Both work; without is simpler."
    ),
    "feed": (
        "Has the school a calendar with its holidays? Its address, such as: "
        "https://school.example/calendar.ics"
    ),
    "quiet": "When am I to be silent, but for danger? Such as: 21:00-07:00.",
    "emergency": "Which number is called in an emergency where you are? Such as: 112.",
    "contact": "Which adult do children talk to when something is wrong? Such as: Ms Quinn.",
}
NAMES: dict[SetUpStep, str] = {
    "name": "Name",
    "zone": "City",
    "kits": "Kits",
    "type": "Contents",
    "tablets": "Tablets",
    "chargers": "Chargers",
    "meetings": "Meetings",
    "runners": "Who runs it",
    "hours": "Adult there",
    "teams": "Teams",
    "accounts": "Students",
    "feed": "Calendar",
    "quiet": "Quiet hours",
    "emergency": "Emergency",
    "contact": "Adult to talk to",
}
_ABOUT = {
    "usual": "Usual",
    "small": "Small",
    "competition": "Competition",
    "bare": "Controller only",
}
_CONFIRM = (
    "Before students come in, a leader confirms three things. Each of them is as old as the "
    "platform asks in your country. There is the consent that your school wants. The school "
    "says yes to this chat. This is no legal advice: ask the school. Is all of that so?"
)


def set_up(result: SetUpAsks, view: View) -> Reply:
    if result.step == "done":
        return _list(result, view)
    if result.misread:
        return _misread(result)
    text = QUESTIONS[result.step]
    if result.confirm:
        text = _CONFIRM
    elif result.step == "type" and result.club.parts:
        text = _contents(result.club)
    if result.problem:
        text = f"I need {esc(result.problem)}.\n{text}"
    return Reply(_before(result, view) + text, _buttons(result))


def _before(result: SetUpAsks, view: View) -> str:
    """Say what came of the answer before, where that has to be looked at."""
    club = result.club
    if result.step == "kits" and club.zone_set and not club.kits and not result.problem:
        there = view.now.astimezone(ZoneInfo(club.zone))
        return f"{club.zone}: it is {there:%H:%M} there now, on {there:%A}.\n"
    return _strangers(result)


def _strangers(result: SetUpAsks) -> str:
    if not result.strangers:
        return ""
    names = listed([esc(name) for name in result.strangers])
    verb = "isn't" if len(result.strangers) == 1 else "aren't"
    return f"{names} {verb} an adult here yet: /invite co-leader first. Until then you run it.\n"


def _misread(result: SetUpAsks) -> Reply:
    names = listed([esc(label) for label in result.misread])
    text = f"{names} will be misread on a shelf. Take other labels, or type: keep"
    laid = [(button("Keep them", "answer", "kits", "keep"),)]
    if result.instead:
        first, last = result.instead[0], result.instead[-1]
        safe = button(f"{first} to {last}, without those", "answer", "kits", len(result.instead))
        laid.insert(0, (safe,))
    return Reply(text, (*laid, (button("Skip", "skip", "kits"),)))


def _contents(club: ClubView) -> str:
    parts = ", ".join(f"{number} {esc(name)}" for name, number in club.parts)
    return (
        f"{esc(club.kit_type)}, {club.run_minutes} minutes of driving from a full charge: {parts}. "
        "Is that right? Change it by typing, such as: large motor 3, no touch sensor, run 90"
    )


def _answers(result: SetUpAsks) -> list[Button]:
    club = result.club
    match result.step:
        case "zone":
            return [button(f"{zone}", "answer", "zone", zone) for zone in result.near]
        case "type" if not club.parts:
            return [button(f"{_ABOUT[key]}", "answer", "type", key) for key in TEMPLATES]
        case "type":
            return [button("That's right", "answer", "type", "ok")]
        case "tablets":
            return [
                button("One each", "answer", "tablets", "all"),
                button("None", "answer", "tablets", "none"),
            ]
        case "accounts" if result.confirm:
            return [
                button("All three are so", "answer", "accounts", "confirmed"),
                button("Not yet", "skip", "accounts"),
            ]
        case "accounts":
            return [
                button("With student accounts", "answer", "accounts", "with"),
                button("Without", "answer", "accounts", "without"),
            ]
        case "quiet" if club.quiet:
            start, end = club.quiet
            return [button(f"{start} to {end}", "answer", "quiet", f"{start}-{end}")]
    return []


def _buttons(result: SetUpAsks) -> tuple[tuple[Button, ...], ...]:
    laid = rows(_answers(result), 2)
    if result.step == "runners":
        laid = rows(
            [
                button(f"{DAYS[each.weekday]} {each.starts}: {name}", "runs", each.id, person)
                for each in result.club.meetings[:8]
                for person, name, _ in result.adults[:6]
            ],
            2,
        )
    if result.confirm:
        return laid
    return (*laid, (button("Skip", "skip", result.step),))


def _list(result: SetUpAsks, view: View) -> Reply:
    club = result.club
    lines = [f"<b>{esc(club.name)}</b>, set up so far:"]
    lines += [f"• {NAMES[step]}: {value}" for step, value in _values(club)]
    lines.append(f"People in the chat: {club.people}")
    lines.append(
        f"Group: {esc(club.group) if club.group else 'none; add me to one and send /link there'}"
    )
    if club.misread:
        lines.append(
            f"{listed([esc(label) for label in club.misread])} will be misread on a shelf: "
            "other labels are safer. Such as: /setup kits, then: O is now W"
        )
    lines += _next(result)
    buttons = [button(name, "setup", step) for step, name in NAMES.items()]
    laid = rows(buttons, 3)
    if result.missing:
        laid = ((button(f"Go on: {NAMES[result.missing]}", "setup", "begin"),), *laid)
    return Reply(_strangers(result) + "\n".join(lines), laid)


def _values(club: ClubView) -> list[tuple[SetUpStep, str]]:
    kits = f"{number_of_kits(len(club.kits))}: {labels(club.kits)}" if club.kits else "no kits yet"
    chargers = ", ".join(f"{esc(name)} {bays}" for name, bays in club.chargers)
    bays = f"{club.bays} bays" if club.bays else "not set"
    return [
        ("name", esc(club.name)),
        ("zone", club.zone if club.zone_set else "not set; times are in UTC"),
        ("kits", kits),
        ("type", f"{len(club.parts)} kinds of parts" if club.parts else "not set"),
        ("tablets", f"{club.tablets} paired with kits" if club.tablets else "none paired"),
        ("chargers", f"{bays} ({chargers})" if chargers else bays),
        ("meetings", "; ".join(_meeting(each) for each in club.meetings) or "not set"),
        ("hours", "; ".join(_meeting(each) for each in club.hours) or "meetings only"),
        ("teams", listed([esc(team.name) for team in club.teams]) or "none yet"),
        ("accounts", _students(club)),
        ("feed", esc(club.feed) or "none"),
        ("quiet", f"{club.quiet[0]} to {club.quiet[1]}" if club.quiet else "not set"),
        ("emergency", esc(club.emergency) or "not set"),
        ("contact", esc(club.contact) or "not set"),
    ]


def _students(club: ClubView) -> str:
    if club.accounts == "without":
        return "without accounts"
    if club.accounts != "with":
        return "not said"
    if club.confirmed_on is None:
        return "with accounts, not confirmed yet: nobody can be let in"
    return f"with accounts, confirmed {club.confirmed_on:%d %b %Y}"


def _meeting(meeting: MeetingView) -> str:
    adult = f" ({esc(meeting.adult)})" if meeting.adult else ""
    name = f"{esc(meeting.name)}, " if meeting.name else ""
    return f"{name}{DAYS[meeting.weekday]} {meeting.starts} to {meeting.ends}{adult}"


def _next(result: SetUpAsks) -> list[str]:
    """Say what to do once the club is set up."""
    club = result.club
    lines = ["What next?"]
    if club.kits:
        lines.append("• Print labels: /labels")
    if not club.group:
        lines.append("• Add me to the club's group, and send /link there")
    door = ", /invite door phone" if club.accounts == "without" else ""
    students = ", /invite student" if club.accounts == "with" and club.confirmed_on else ""
    lines.append(f"• Let people in: /invite co-leader, /invite helper{door}{students}")
    lines.append("Change one by typing too: /setup kits. /settings has times and limits.")
    return lines


SAID: dict[type, Wording] = {SetUpAsks: set_up}
