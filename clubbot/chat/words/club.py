"""What people read about the club: set-up, settings, closures, the group."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    labels,
    listed,
    local,
    number_of_kits,
    rows,
)
from clubbot.rules.results import (
    Closed,
    ClubChoice,
    ClubView,
    ConfirmClosing,
    Forgot,
    GroupLetGo,
    GroupLinked,
    MeetingView,
    SettingChanged,
    SetUpAsks,
)

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_QUESTIONS = {
    "name": "What is the club called?",
    "zone": "Which city is the club in, or the nearest large one? It sets the clock.",
    "kits": "How many kits are there, or how are they labelled? Such as: 12, or A to L, or R1-R8.",
    "meetings": "When does the club meet? Such as: Fri 15:30-17:00, Robotics A: Mon 16:00-17:30.",
    "teams": "Which teams are there? Such as: Red, Blue, Green.",
}


def set_up(result: SetUpAsks, view: View) -> Reply:
    if result.step == "done":
        return _summary(result.club, view)
    text = _QUESTIONS[result.step]
    if result.problem:
        text = f"I need {esc(result.problem)}.\n{text}"
    return Reply(text, ((button("Skip", "skip", result.step),),))


def _summary(club: ClubView, view: View) -> Reply:
    zone = club.zone if club.zone_set else "not set; times are in UTC"
    kits = f"{number_of_kits(len(club.kits))}: {labels(club.kits)}" if club.kits else "no kits yet"
    teams = listed([esc(team.name) for team in club.teams]) or "none yet"
    lines = [
        f"<b>{esc(club.name)}</b>",
        f"Zone: {zone}",
        f"Kits: {kits}",
        f"Meets: {'; '.join(_meeting(each) for each in club.meetings) or 'not set'}",
        f"Teams: {teams}",
        f"People in the chat: {club.people}",
        f"Group: {esc(club.group) if club.group else 'none; add me to one and send /link there'}",
    ]
    if club.misread:
        lines.append(
            f"{listed([esc(label) for label in club.misread])} will be misread on a shelf: "
            "other labels are safer."
        )
    lines.append("Next: /invite lets helpers, adults or students knock. /settings has the rest.")
    steps = [("Name", "name"), ("City", "zone"), ("Kits", "kits"), ("Meetings", "meetings")]
    steps.append(("Teams", "teams"))
    return Reply("\n".join(lines), rows([button(text, "setup", step) for text, step in steps], 3))


def _meeting(meeting: MeetingView) -> str:
    adult = f" ({esc(meeting.adult)})" if meeting.adult else ""
    name = f"{esc(meeting.name)}, " if meeting.name else ""
    return f"{name}{_DAYS[meeting.weekday]} {meeting.starts} to {meeting.ends}{adult}"


def settings(club: ClubView, view: View) -> Reply:
    lines = ["Settings:", *(f"• {name}: {esc(value)}" for name, value in club.settings)]
    along = [f"{number} {esc(name)}" for name, number in club.resources]
    lines.append(f"Booked along with kits: {listed(along) or 'nothing yet'}. Set: /resource mats 4")
    return Reply("\n".join([*lines, "Change one: /settings grace 20"]))


def setting_changed(result: SettingChanged, view: View) -> Reply:
    return Reply(f"Set: {esc(result.name)} is {esc(result.value)} now.")


def closed(result: Closed, view: View) -> Reply:
    today = local(view.now, view).date()
    days = day_name(result.first_day, today)
    if result.last_day != result.first_day:
        days += f" to {day_name(result.last_day, today)}"
    why = f" ({esc(result.why)})" if result.why else ""
    text = f"{capital(days)}: {f'no club{why}' if result.closed else 'open again'}."
    if result.cancelled:
        many = "" if result.cancelled == 1 else "s"
        text += f" {result.cancelled} booking{many} cancelled; those concerned are told."
    return Reply(text)


def confirm_closing(result: ConfirmClosing, view: View) -> Reply:
    day = day_name(result.day, local(view.now, view).date())
    many = "" if result.bookings == 1 else "s"
    gone = f" {result.bookings} booking{many} would be cancelled, and those concerned told."
    return Reply(
        f"No club {day}?{gone if result.bookings else ''}",
        ((button("Yes, no club", "close", result.day), button("No", "stop")),),
    )


def group_linked(result: GroupLinked, view: View) -> Reply:
    text = f"This group now belongs to {esc(result.club)}. Here I answer to commands and replies."
    if result.sees_everything:
        text += (
            " At present I can see every message of this group. I need only commands: switch "
            "my privacy mode on, then take me out and add me again."
        )
    return Reply(text)


def group_let_go(result: GroupLetGo, view: View) -> Reply:
    return Reply(f"This group no longer belongs to {esc(result.club)}. /link links it to a club.")


def clubs(result: ClubChoice, view: View) -> Reply:
    if len(result.clubs) == 1:
        return Reply(f"You are in one club: {esc(result.clubs[0][1])}.")
    buttons = [
        button(f"{name}{' (now)' if chosen else ''}", "club", number)
        for number, name, chosen in result.clubs
    ]
    return Reply("Which club do you mean from now on?", rows(buttons, 1))


def forgot(result: Forgot, view: View) -> Reply:
    return Reply("Fine, forgotten. Nothing was changed.")


SAID: dict[type, Wording] = {
    SetUpAsks: set_up,
    ClubView: settings,
    SettingChanged: setting_changed,
    Closed: closed,
    ConfirmClosing: confirm_closing,
    GroupLinked: group_linked,
    GroupLetGo: group_let_go,
    ClubChoice: clubs,
    Forgot: forgot,
}
