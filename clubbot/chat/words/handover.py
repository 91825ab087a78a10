"""What people read about giving out, taking back, passing on, today's list and one kit."""

from __future__ import annotations

from clubbot.chat.words.fault import fault_line
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
    kits_named,
    labels,
    listed,
    local,
    number_of_kits,
    rows,
    span,
    until,
    when,
)
from clubbot.rules.results import (
    HandedOut,
    KitCard,
    OutLine,
    PassedOn,
    SaidBack,
    SessionHandedOut,
    Swap,
    TakenBack,
    TeamNeeded,
    Today,
    TodayBooking,
    Undone,
    WhatIsOut,
)

_UNDO = ((button("Undo", "undo"),),)


def handed_out(result: HandedOut, view: View) -> Reply:
    lines = [f"Out: {_given(result)}, until {until(result.due, view)}.", *swap_lines(result.swaps)]
    return Reply("\n".join(lines), _UNDO)


def _given(result: HandedOut) -> str:
    whose = f" with {esc(result.team.name)}" if result.team else ""
    return f"{labels(result.kits)}{whose}"


def session_handed_out(result: SessionHandedOut, view: View) -> Reply:
    lines = []
    if result.given:
        kits = sum(len(each.kits) for each in result.given)
        due = until(max(each.due for each in result.given), view)
        lines.append(f"{number_of_kits(kits)} out until {due}:")
        lines += [f"• {_given(each)}" for each in result.given]
        for each in result.given:
            lines += swap_lines(each.swaps)
    lines += [
        f"Not given out: booking {each.number}{for_team(each.team)}. Its kits can't all be had; "
        f"/free shows what is left."
        for each in result.short
    ]
    return Reply("\n".join(lines), _UNDO if result.given else ())


def swap_lines(swaps: tuple[Swap, ...]) -> list[str]:
    """Return one line for each booking that gets another kit than it was told."""
    return [
        f"Booking {swap.number}{for_team(swap.team)} gets {esc(swap.after)} instead of "
        f"{esc(swap.before)}; they are told."
        for swap in swaps
    ]


def team_needed(result: TeamNeeded, view: View) -> Reply:
    verb = "passto" if result.passing else "giveto"
    chosen = ",".join(str(kit.id) for kit in result.kits)
    what = capital(kits_named(result.kits))
    try:
        buttons = [button(team.name, verb, team.id, chosen) for team in result.teams]
    except ValueError:
        return Reply(f"{what}: for which team? Type its name after the labels.")
    if not buttons:
        return Reply(f"{what}: there are no teams yet. A leader adds them with /setup.")
    return Reply(f"{what}: for which team?", rows(buttons, 2))


def said_back(result: SaidBack, view: View) -> Reply:
    return Reply(
        f"Thanks. {capital(kits_named(result.kits))}: noted as back. "
        "A helper or an adult still looks at it."
    )


def taken_back(result: TakenBack, view: View) -> Reply:
    text = f"Back: {labels(result.kits)}."
    if result.still_out:
        text += f" Still out: {labels(result.still_out)}."
    else:
        text += " Everything that is due is back."
    buttons = [button(f"{kit.label} back", "backkit", kit.id) for kit in result.still_out[:12]]
    return Reply(text, (*rows(buttons, 4), *_UNDO))


def what_is_out(result: WhatIsOut, view: View) -> Reply:
    if not result.lines:
        return Reply("Nothing is out.")
    lines = [_out_line(line, view) for line in result.lines]
    buttons = [button(line.kit.label, "backkit", line.kit.id) for line in result.lines[:24]]
    return Reply(
        "\n".join(["Out now. Tap what is back:", *lines]),
        (*rows(buttons, 4), (button("All back", "backall"),)),
    )


def _out_line(line: OutLine, view: View) -> str:
    whose = f" with {esc(line.team.name)}" if line.team and view.private else ""
    due = f", due {until(line.due, view)}" if line.due else ""
    state = ", <b>late</b>" if line.late and view.private else ""
    if line.said_back:
        state = ", said to be back: please look"
    return f"• {esc(line.kit.label)}{whose}{due}{state}"


def passed_on(result: PassedOn, view: View) -> Reply:
    return Reply(
        f"Passed on: {labels(result.kits)} to {esc(result.team.name)}, "
        f"until {until(result.due, view)}.",
        _UNDO,
    )


def undone(result: Undone, view: View) -> Reply:
    kinds = list(dict.fromkeys(kind for kind, _ in result.what))
    parts = [
        f"{listed([esc(label) for kind, label in result.what if kind == each])} {each}"
        for each in kinds
    ]
    return Reply(f"Undone: {listed(parts)} ({when(result.said_at, view)}). Nothing else changed.")


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
            lines += _booking(each, f", {span(each.booking.window, view)}")
    if not lines:
        lines.append(f"{day}: no session and no bookings.")
    return Reply("\n".join([*lines, *_standing(result, view)]), _today_buttons(result, view))


def _standing(result: Today, view: View) -> list[str]:
    """Say what holds whatever is planned: what is out, can't be used, stays built, is wrong."""
    lines: list[str] = []
    if result.out:
        lines.append(f"Out now: {_labels_of(result.out)}.")
        late = [line for line in result.out if line.late]
        if late:
            lines.append(f"<b>Late</b>: {_labels_of(late)}.")
    lines += [f"{esc(label)}: {esc(why)}." for label, why in result.not_usable]
    lines += [
        f"Kept built: {labels(each.kits)}{for_team(each.team)}, "
        f"until {until(each.window.end, view)}."
        for each in result.kept
    ]
    if result.faults:
        lines.append(f"{result.faults} fault{'' if result.faults == 1 else 's'} open: /faults")
    return lines


def _labels_of(lines: tuple[OutLine, ...] | list[OutLine]) -> str:
    return labels(line.kit for line in lines)


def _bookings(bookings: tuple[TodayBooking, ...], view: View) -> list[str]:
    """What differs from last time comes first, then what isn't ready, then the rest."""
    order = sorted(bookings, key=lambda each: (each.changed is None, not each.problems))
    return [line for each in order for line in _booking(each)]


def _booking(each: TodayBooking, at: str = "") -> list[str]:
    """Return a booking's line, and one for each of its kits that isn't ready."""
    booking = each.booking
    name = esc(booking.team.name) if booking.team else f"Booking {booking.number}"
    line = f"• {name}: {labels(booking.kits)}"
    if booking.out:
        line += f" ({'out' if len(booking.out) == booking.count else 'partly out'})"
    if each.changed:
        line += f" (last time {esc(each.changed[0])})"
    return [line + at, *(f"   ! {esc(label)}: {esc(why)}" for label, why in each.problems)]


def _today_buttons(result: Today, view: View) -> tuple[tuple[Button, ...], ...]:
    every = [each.booking for session in result.sessions for each in session.bookings]
    buttons = []
    if any(not booking.out for booking in every):
        buttons.append(button("All out", "outall"))
    if result.out:
        buttons.append(button("All back", "backall"))
        buttons.append(button("Some back", "someback"))
    laid = (tuple(buttons),) if buttons else ()
    if view.role.adult and any(each.session.window.end > view.now for each in result.sessions):
        return (*laid, (button("No club today", "noclub", result.day),))
    return laid


def kit_card(result: KitCard, view: View) -> Reply:
    lines = [f"<b>Kit {esc(result.kit.label)}</b> ({esc(result.kit_type)})"]
    lines += _where(result, view)
    if result.held is not None:
        why = f": {esc(result.held)}" if view.private else ""
        lines.append(f"On hold{why}. Don't use it; an adult looks first.")
    if result.withdrawn is not None:
        why = f": {esc(result.withdrawn)}" if result.withdrawn and view.private else ""
        lines.append(f"Out of use{why}.")
    if view.private:
        lines += [fault_line(fault, view, kit=False) for fault in result.faults]
    if result.charged_at and view.role.staff:
        lines.append(f"Last charged {when(result.charged_at, view)}.")
    if result.next_booking:
        lines.append(f"Next booking {when(result.next_booking, view)}.")
    buttons = []
    if result.out and (result.mine or view.role.staff):
        buttons.append(button("It's back", "backkit", result.kit.id))
    if result.withdrawn is not None and view.role.staff:
        buttons.append(button("Back in use", "restore", result.kit.id))
    return Reply("\n".join(lines), (tuple(buttons),) if buttons else ())


def _where(result: KitCard, view: View) -> list[str]:
    """Say where a kit is: in a group neither with whom nor whether it is late."""
    if result.lost:
        return ["Not to be had. If you see it, give it to an adult."]
    if not result.out:
        return ["On its shelf."]
    whose = f" with {esc(result.team.name)}" if result.team and view.private else ""
    lines = [f"Out{whose}" + (f" until {until(result.due, view)}" if result.due else "")]
    if result.late and view.private:
        lines.append("Late.")
    if result.said_back:
        lines.append("Said to be back; nobody has looked yet.")
    return lines


SAID: dict[type, Wording] = {
    HandedOut: handed_out,
    SessionHandedOut: session_handed_out,
    TeamNeeded: team_needed,
    SaidBack: said_back,
    TakenBack: taken_back,
    WhatIsOut: what_is_out,
    PassedOn: passed_on,
    Undone: undone,
    Today: today,
    KitCard: kit_card,
}
