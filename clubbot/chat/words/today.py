"""What people read of a day's list: what differs first, what isn't ready, and what to do."""

from __future__ import annotations

from datetime import date

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    for_team,
    labels,
    local,
    rows,
    span,
    until,
)
from clubbot.rules.results import DayLists, ListKept, OutLine, Today, TodayBooking


def _why(why: str, view: View) -> str:
    """Return why a kit isn't ready, without what somebody typed where a child reads it."""
    return esc(why if view.role.adult else why.partition(":")[0])


def today(result: Today, view: View) -> Reply:
    day = capital(day_name(result.day, local(view.now, view).date()))
    lines: list[str] = []
    if result.closed is not None:
        lines.append(f"{day}: no club{f': {esc(result.closed)}' if result.closed else ''}.")
    for session in result.sessions:
        start, end = (
            local(session.session.window.start, view),
            local(session.session.window.end, view),
        )
        adult = f", {esc(session.adult)} runs it" if session.adult else ""
        count = len(session.bookings)
        teams = f"{count} booking{'' if count == 1 else 's'}" if count else "no bookings"
        lines.append(f"<b>{day} {start:%H:%M} to {end:%H:%M}</b>, {teams}{adult}")
        lines += _bookings(session.bookings, view)
    if result.others:
        lines.append(f"<b>{day}, at other times</b>" if result.sessions else f"<b>{day}</b>")
        for each in result.others:
            lines += _booking(each, view, f", {span(each.booking.window, view)}")
    if not lines:
        lines.append(f"{day}: no session and no bookings.")
    lines += _to_do(result, view)
    return Reply("\n".join([*lines, *_standing(result, view)]), _today_buttons(result, view))


_DO = {
    "charge": "charge it now, an adult there, or swap it",
    "fetch": "fetch it",
    "look": "look at it, then take it back",
    "swap": "swap it",
    "fill": "put the parts in",
    "plug": "plug the tablet in while they build",
}


def _to_do(result: Today, view: View) -> list[str]:
    if not result.todo:
        return []
    lines = [
        f"{place}. {esc(each.kit.label)}{for_team(each.team)}: {_DO[each.what]} "
        f"({_why(each.why, view)})"
        for place, each in enumerate(result.todo, 1)
    ]
    return ["<b>To do, in this order</b>", *lines]


def _standing(result: Today, view: View) -> list[str]:
    """Say what holds whatever is planned: what is out, can't be used, stays built, is wrong."""
    lines: list[str] = []
    if result.out:
        lines.append(f"Out now: {_labels_of(result.out)}.")
        late = [line for line in result.out if line.late and view.role.adult]
        if late:
            lines.append(f"<b>Late</b>: {_labels_of(late)}.")
    lines += [f"{esc(label)}: {_why(why, view)}." for label, why in result.not_usable]
    lines += [
        f"Kept built: {labels(each.kits)}{for_team(each.team)}, "
        f"until {until(each.window.end, view)}."
        for each in result.kept
    ]
    lines += [f"{esc(kit)} has the tablet of {esc(tablet)}." for kit, tablet in result.tablets]
    if result.faults:
        lines.append(f"{result.faults} fault{'' if result.faults == 1 else 's'} open: /faults")
    return lines


def _labels_of(lines: tuple[OutLine, ...] | list[OutLine]) -> str:
    return labels(line.kit for line in lines)


def _bookings(bookings: tuple[TodayBooking, ...], view: View) -> list[str]:
    return [line for each in bookings for line in _booking(each, view)]


def _booking(each: TodayBooking, view: View, at: str = "") -> list[str]:
    """Return a booking's line, and one for each of its kits that isn't ready."""
    booking = each.booking
    name = esc(booking.team.name) if booking.team else f"Booking {booking.number}"
    count = f"{booking.count} kit{'' if booking.count == 1 else 's'}, which isn't settled"
    line = f"• {name}: {labels(booking.kits) or count}"
    if each.over:
        line += " (over)"
    elif booking.out:
        line += f" ({'out' if len(booking.out) == booking.count else 'partly out'})"
    if each.changed:
        line += f" (last time {esc(each.changed[0])})"
    return [line + at, *(f"   ! {esc(label)}: {_why(why, view)}" for label, why in each.problems)]


def _today_buttons(result: Today, view: View) -> tuple[tuple[Button, ...], ...]:
    every = [each for session in result.sessions for each in session.bookings]
    buttons = []
    if any(_waits(each, view) for each in every):
        buttons.append(button("All out", "outall"))
    if result.out:
        buttons.append(button("All back", "backall"))
        buttons.append(button("Some back", "someback"))
    swaps = [
        button(f"Swap {each.kit.label}", "swap", each.number, each.kit.id)
        for each in result.todo
        if each.what in ("charge", "swap", "fetch", "fill")
    ]
    laid = (*((tuple(buttons),) if buttons else ()), *rows(swaps[:12], 4))
    if view.role.adult and any(each.session.window.end > view.now for each in result.sessions):
        return (*laid, (button("No club today", "noclub", result.day),))
    return laid


def _waits(each: TodayBooking, view: View) -> bool:
    """Say whether a booking is still to be given out."""
    return not each.over and not each.booking.out and each.booking.window.end > view.now


def lists(result: DayLists, view: View) -> Reply:
    """Say today's list; nothing where nobody has it."""
    return today(result.today, view) if result.today else Reply("")


def to_print(day: date, page: bytes) -> Reply:
    """Say what the page is for, with the page."""
    text = "To print: tick what goes out and what comes back."
    return Reply(text, document=(f"today-{day.isoformat()}.pdf", page))


def kept(result: ListKept, view: View) -> Reply:
    return Reply("")


SAID: dict[type, Wording] = {Today: today, DayLists: lists, ListKept: kept}
