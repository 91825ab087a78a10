"""What people read about bookings."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    booking_line,
    button,
    capital,
    day_name,
    esc,
    for_team,
    labels,
    local,
    number_of_kits,
    rows,
    span,
)
from clubbot.rules.model import Window
from clubbot.rules.results import (
    Booked,
    BookingLacks,
    BookingTwoWays,
    Cancelled,
    FreeKits,
    MyBookings,
)

_QUESTIONS = {
    "day": "Which day?",
    "start": "From when?",
    "end": "Until when?",
    "count": "How many kits?",
    "team": "For which team?",
}


def free(result: FreeKits, view: View) -> Reply:
    if result.closed is not None:
        why = f": {esc(result.closed)}" if result.closed else ""
        return Reply(f"{capital(span(result.window, view))}: no club that day{why}.")
    if not result.of:
        return Reply("The club has no kits yet. A leader adds them with /setup.")
    if not result.count:
        return Reply(f"No kit is free {span(result.window, view)}.")
    text = f"{result.count} of {number_of_kits(result.of)} free {span(result.window, view)}"
    text += f": {labels(result.kits)}." if result.kits else "."
    offers = [count for count in (1, 2, 3) if count <= result.count]
    buttons = [
        button(f"Book {count}", "new", f"{count} kits {_typed(result.window, view)}")
        for count in offers
    ]
    return Reply(text, rows(buttons, 3))


def _typed(window: Window, view: View) -> str:
    """Return a window as the reader of bookings takes it."""
    start, end = local(window.start, view), local(window.end, view)
    if start.date() == end.date():
        return f"{start:%Y-%m-%d} {start:%H:%M} to {end:%H:%M}"
    return f"{start:%Y-%m-%d} {start:%H:%M} to {end:%Y-%m-%d} {end:%H:%M}"


def lacks(result: BookingLacks, view: View) -> Reply:
    text = _QUESTIONS[result.ask]
    if result.unknown_team:
        text = f"There is no team {esc(result.unknown_team)}. {text}"
    buttons: list[Button] = []
    match result.ask:
        case "day":
            today = local(view.now, view).date()
            for session in result.sessions:
                day = capital(day_name(session.day, today))
                start = local(session.window.start, view)
                buttons.append(button(f"{day} {start:%H:%M}", "say", _typed(session.window, view)))
        case "start":
            for session in result.sessions:
                start, end = local(session.window.start, view), local(session.window.end, view)
                spelled = f"{start:%H:%M} to {end:%H:%M}"
                buttons.append(button(spelled, "say", spelled))
        case "end":
            for session in result.sessions:
                end = local(session.window.end, view)
                buttons.append(button(f"Until {end:%H:%M}", "say", f"until {end:%H:%M}"))
            buttons.append(button("1 hour", "say", "for 1 hour"))
        case "count":
            most = min(result.most, 6)
            buttons = [button(str(n), "say", f"{n} kits") for n in range(1, most + 1)]
        case "team":
            buttons = [button(team.name, "team", team.id) for team in result.teams]
    width = 6 if result.ask == "count" else 2
    return Reply(text, (*rows(buttons, width), (button("Never mind", "stop"),)))


def two_ways(result: BookingTwoWays, view: View) -> Reply:
    buttons = []
    for place, reading in enumerate(result.readings):
        what = ", ".join(reading.labels) or number_of_kits(reading.count)
        buttons.append(button(f"{capital(span(reading.window, view))}: {what}", "read", place))
    return Reply("Which one do you mean?", (*rows(buttons, 1), (button("Neither", "stop"),)))


def booked(result: Booked, view: View) -> Reply:
    booking = result.booking
    named = f" ({labels(booking.kits)})" if booking.named else ""
    text = (
        f"Booked: {number_of_kits(booking.count)}{named}{for_team(booking.team)}, "
        f"{span(booking.window, view)}. Booking <b>{booking.number}</b>."
    )
    if not booking.named:
        days = (local(booking.window.start, view).date() - local(view.now, view).date()).days
        when_told = "you hear the day before" if days > 1 else "you hear at the door"
        text += f" Which kits: {when_told}."
    return Reply(text, ((button("Cancel it", "cancel", booking.number),),))


def mine(result: MyBookings, view: View) -> Reply:
    if not result.bookings:
        return Reply("You have no bookings to come. /free shows what is free.")
    lines = [booking_line(booking, view) for booking in result.bookings[:20]]
    if len(result.bookings) > 20:
        lines.append(f"and {len(result.bookings) - 20} more later")
    buttons = [
        button(f"Cancel {booking.number}", "cancel", booking.number)
        for booking in result.bookings[:6]
        if not booking.out
    ]
    return Reply("\n".join(["Your bookings:", *lines]), rows(buttons, 3))


def cancelled(result: Cancelled, view: View) -> Reply:
    booking = result.booking
    return Reply(
        f"Cancelled: booking {booking.number}, {number_of_kits(booking.count)}"
        f"{for_team(booking.team)}, {span(booking.window, view)}."
    )


SAID: dict[type, Wording] = {
    FreeKits: free,
    BookingLacks: lacks,
    BookingTwoWays: two_ways,
    Booked: booked,
    MyBookings: mine,
    Cancelled: cancelled,
}
