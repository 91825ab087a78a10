"""What people read when a session is held at another time."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    booking_line,
    button,
    capital,
    esc,
    for_team,
    kits_named,
    number_of_kits,
    rows,
    span,
)
from clubbot.rules.results import LeftBehind, NotAlong, SessionElsewhen, SessionMoved


def session_moved(result: SessionMoved, view: View) -> Reply:
    lines = [f"{_headline(result, view)}"]
    many = "" if len(result.along) == 1 else "s"
    if result.along:
        told = " Those concerned are told." if result.told else ""
        lines.append(f"{len(result.along)} booking{many} went along.{told}")
    if result.left:
        lines.append("Not these, which stand as they were:")
        lines += [f"• {booking_line(each.booking, view)}: {_why(each)}" for each in result.left]
    offers = [_offer(each) for each in result.left if each.possible]
    laid = rows(offers, 2)
    if result.back:
        laid = (*laid, (button("Move it back", "moveback", result.back),))
    return Reply("\n".join(lines), laid)


def _headline(result: SessionMoved | SessionElsewhen, view: View) -> str:
    name = esc(result.name) if result.name else "The session"
    why = f", because {esc(result.why)}" if result.why else ""
    return f"{name} is {span(result.after, view)} this once, not {span(result.before, view)}{why}."


def _why(left: LeftBehind) -> str:
    fewer = f"{number_of_kits(left.possible)} could go along" if left.possible else ""
    match left.why:
        case "named":
            return f"the kit asked for by name is taken then; {fewer} with others"
        case "battery":
            return f"the batteries won't last; {fewer or 'no kit would'}"
        case "resource":
            return "what is booked along with the kits is taken then"
        case "out":
            return "its kits are out already"
        case "time":
            return "it doesn't fit into the new time"
        case "undecided":
            return "I couldn't work it out in time"
        case "kits":
            return fewer or "no kit is free then"


def _offer(left: LeftBehind) -> Button:
    number = left.booking.number
    text = f"{number} along with {number_of_kits(left.possible)}"
    return button(text, "along", number, left.possible)


def elsewhen(result: SessionElsewhen, view: View) -> Reply:
    text = _headline(result, view)
    booking = result.booking
    if booking is None:
        return Reply(text)
    kits = f", {kits_named(booking.kits)}" if booking.named and booking.kits else ""
    text += (
        f" Booking {booking.number}{for_team(booking.team)} goes along: "
        f"{number_of_kits(booking.count)}{kits}, {span(booking.window, view)}."
    )
    return Reply(text, ((button(f"Cancel {booking.number}", "cancel", booking.number),),))


def not_along(result: NotAlong, view: View) -> Reply:
    booking = result.booking
    why = f", because {esc(result.why)}" if result.why else ""
    possible = "No kit"
    if result.possible:
        possible = f"Up to {number_of_kits(result.possible)}"
    return Reply(
        f"{capital(span(booking.window, view))}: no session then{why}. It is "
        f"{span(result.after, view)} this once. Booking {booking.number}"
        f"{for_team(booking.team)} can't go along as it is. {possible} could be had then. "
        "It stands for now; a leader knows.",
        ((button(f"Cancel {booking.number}", "cancel", booking.number),),),
    )


SAID: dict[type, Wording] = {
    SessionMoved: session_moved,
    SessionElsewhen: elsewhen,
    NotAlong: not_along,
}
