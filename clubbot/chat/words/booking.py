"""What people read about bookings."""

from __future__ import annotations

from dataclasses import replace

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
    listed,
    local,
    number_of_kits,
    rows,
    span,
    team_here,
    typed,
    when,
)
from clubbot.rules.results import (
    Booked,
    BookedWeekly,
    BookingLacks,
    BookingTwoWays,
    CallOffWhich,
    Cancelled,
    CancelledMany,
    CancelWhich,
    Changed,
    FreeKits,
    KeptBuilt,
    LeaderAsked,
    MyBookings,
    OnWaitingList,
    SameKit,
    Timeline,
    WishDropped,
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
        button(f"Book {count}", "new", 0, f"{count} kits {typed(result.window, view)}")
        for count in offers
    ]
    return Reply(text, rows(buttons, 3))


def lacks(result: BookingLacks, view: View) -> Reply:
    text = _QUESTIONS[result.ask]
    today = local(view.now, view).date()
    if result.again:
        text = f"I can't read that as an answer. {text}"
    if result.no_session_on:
        text = f"The club doesn't meet {day_name(result.no_session_on, today)}. {text}"
    if result.unknown_team:
        text = f"There is no team {esc(result.unknown_team)}. {text}"
    buttons: list[Button] = []
    match result.ask:
        case "day" | "start" | "end" if result.ask == "day" or result.no_session_on:
            for session in result.sessions:
                day = capital(day_name(session.day, today))
                start = local(session.window.start, view)
                buttons.append(button(f"{day} {start:%H:%M}", "say", typed(session.window, view)))
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
    if not view.private:
        return Reply(
            f"Booked: {number_of_kits(booking.count)}, {span(booking.window, view)}. "
            f"Booking <b>{booking.number}</b>."
        )
    named = f" ({labels(booking.kits)})" if booking.named else ""
    along = "".join(f" and {number} {esc(name)}" for name, number in result.resources)
    text = (
        f"Booked: {number_of_kits(booking.count)}{named}{along}{for_team(booking.team)}, "
        f"{span(booking.window, view)}. Booking <b>{booking.number}</b>."
    )
    if not booking.named:
        days = (local(booking.window.start, view).date() - local(view.now, view).date()).days
        when_told = "you hear the day before" if days > 1 else "you hear at the door"
        text += f" Which kits: {when_told}."
    return Reply(text, ((button("Cancel it", "cancel", booking.number),),))


def booked_weekly(result: BookedWeekly, view: View) -> Reply:
    today = local(view.now, view).date()
    first, last = result.bookings[0], result.bookings[-1]
    days = [day_name(local(each.window.start, view).date(), today) for each in result.bookings]
    start, end = local(first.window.start, view), local(first.window.end, view)
    lines = [
        f"Booked {len(days)} times: {number_of_kits(first.count)}{team_here(first.team, view)}, "
        f"{start:%A}s {start:%H:%M} to {end:%H:%M}, from {days[0]} to {days[-1]}. "
        f"Bookings <b>{first.number}</b> to <b>{last.number}</b>."
    ]
    if result.closed:
        shut = [
            f"{day_name(day, today)}{f' ({esc(why)})' if why else ''}" for day, why in result.closed
        ]
        lines.append(f"No club, so left out: {listed(shut)}.")
    if result.refused:
        lines.append(f"No kits left: {listed([day_name(day, today) for day in result.refused])}.")
    if result.until_guessed:
        lines.append("You named no last day, so I took ten weeks.")
    return Reply("\n".join(lines), ((button("Cancel all", "cancel", first.number, "all"),),))


def leader_asked(result: LeaderAsked, view: View) -> Reply:
    why = "That is more than a team may have at a time"
    if result.why == "undecided":
        why = "I can't work out in time whether that fits"
    what = f"{number_of_kits(result.count)}, {span(result.window, view)}"
    return Reply(f"{why}. A leader is asked: {what}. You hear from me.")


def on_waiting_list(result: OnWaitingList, view: View) -> Reply:
    return Reply(
        f"You are number {result.place} on the waiting list: {number_of_kits(result.count)}, "
        f"{span(result.window, view)}. You hear from me when there is a place."
    )


def wish_dropped(result: WishDropped, view: View) -> Reply:
    return Reply(f"Off the list: {number_of_kits(result.count)}, {span(result.window, view)}.")


def cancel_which(result: CancelWhich, view: View) -> Reply:
    number = result.booking.number
    buttons = [button("Only this one", "cancel", number, "one")]
    if result.later > 1:
        buttons.append(
            button(f"This and the later ones ({result.later})", "cancel", number, "rest")
        )
    if result.every > result.later:
        buttons.append(button(f"All to come ({result.every})", "cancel", number, "all"))
    return Reply(
        f"Booking {number}, {span(result.booking.window, view)}, repeats. What is to go?",
        (*rows(buttons, 1), (button("Nothing", "stop"),)),
    )


def call_off_which(result: CallOffWhich, view: View) -> Reply:
    shown = result.bookings[:6]
    if not shown:
        return Reply(
            f"I find no such booking to {result.what}. /mine shows yours, with their numbers."
        )
    plain = [each if view.private else replace(each, team=None, out=()) for each in shown]
    lines = [booking_line(each, view) for each in plain]
    first = shown[0].number
    if result.what == "change":
        said = f"Say what instead: /change {first} 2 kits, or /change {first} mon 16:00-17:30."
        return Reply("\n".join([*lines, said]))
    can_go = [each.number for each in shown if not each.out]
    said = f"Cancel booking {first}? Tap below, or send /cancel {first}."
    if len(shown) > 1:
        said = "Which one is to go? Tap below, or send /cancel and its number."
    if not can_go:
        said = "Its kits are out already: bring them back first."
    elif result.left:
        said += " To keep {0}: /change {1} {0}".format(number_of_kits(result.left), first)
    buttons = [button(f"Cancel {number}", "cancel", number) for number in can_go]
    return Reply("\n".join([*lines, said]), rows(buttons, 3))


def cancelled_many(result: CancelledMany, view: View) -> Reply:
    if not result.bookings:
        return Reply("Nothing is left to cancel.")
    numbers = [str(booking.number) for booking in result.bookings]
    return Reply(f"Cancelled: bookings {listed(numbers)}.")


def changed(result: Changed, view: View) -> Reply:
    lines = [f"Changed: {booking_line(each, view)}" for each in result.bookings]
    lines += [f"Stays as it was: {booking_line(each, view)}" for each in result.unchanged]
    return Reply("\n".join(lines))


def kept_built(result: KeptBuilt, view: View) -> Reply:
    return Reply(
        f"Kit {esc(result.kit.label)} stays built for {esc(result.team.name)} until "
        f"{when(result.until, view)}. Only the unit comes off to charge. On the last day it is "
        f"taken apart and counted. To end it sooner: /cancel {result.number}"
    )


def same_kit(result: SameKit, view: View) -> Reply:
    if result.same:
        return Reply(f"{esc(result.team.name)} gets the same kit each time, wherever that can be.")
    return Reply(f"{esc(result.team.name)} may get any kit from now on.")


def timeline(result: Timeline, view: View) -> Reply:
    if not result.kits:
        return Reply("The club has no kits yet. A leader adds them with /setup.")
    lines = ["What is free. Hatched in the picture: promised."]
    lines += [
        f"• {capital(span(window, view))}: {number_of_kits(count)}"
        for window, count in result.free[:10]
    ]
    if not result.free:
        lines.append("No session in that time.")
    return Reply("\n".join(lines))


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
        f"{team_here(booking.team, view)}, {span(booking.window, view)}."
    )


SAID: dict[type, Wording] = {
    FreeKits: free,
    BookingLacks: lacks,
    BookingTwoWays: two_ways,
    Booked: booked,
    MyBookings: mine,
    Cancelled: cancelled,
    BookedWeekly: booked_weekly,
    LeaderAsked: leader_asked,
    OnWaitingList: on_waiting_list,
    WishDropped: wish_dropped,
    CallOffWhich: call_off_which,
    CancelWhich: cancel_which,
    CancelledMany: cancelled_many,
    Changed: changed,
    KeptBuilt: kept_built,
    SameKit: same_kit,
    Timeline: timeline,
}
