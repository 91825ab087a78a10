"""What people read about the club: settings, closures, the group."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    listed,
    local,
    rows,
)
from clubbot.rules.results import (
    Closed,
    ClubChoice,
    ClubView,
    ConfirmClosing,
    Forgot,
    SettingChanged,
)


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
    ClubView: settings,
    SettingChanged: setting_changed,
    Closed: closed,
    ConfirmClosing: confirm_closing,
    ClubChoice: clubs,
    Forgot: forgot,
}
