"""What people read before a busy day."""

from __future__ import annotations

from collections.abc import Iterable

from clubbot.chat.words.lots import CAUTION
from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    capital,
    day_name,
    esc,
    labels,
    listed,
    local,
    when,
)
from clubbot.chat.words.things import named
from clubbot.rules.results import BusyDay, BusyShort, ChargeStep


def busy_day(result: BusyDay, view: View) -> Reply:
    first, last = local(result.window.start, view), local(result.window.end, view)
    day = day_name(first.date(), local(view.now, view).date())
    lines = [
        f"<b>{capital(day)} is busy</b>: {result.sessions} sessions, {first:%H:%M} to {last:%H:%M}."
    ]
    if result.lasts:
        lines.append(f"As they are these last all day: {labels(result.lasts)}.")
    if result.before:
        lines.append(f"Charge before: {_each(result.before, view)}.")
    if result.between:
        lines.append(f"Charge in between: {_each(result.between, view)}.")
    lines += [_short(each, view) for each in result.short]
    if result.before or result.between:
        lines.append(CAUTION)
    return Reply("\n".join(lines))


def _each(steps: Iterable[ChargeStep], view: View) -> str:
    return listed(
        [
            f"{named(each)} {when(each.window.start, view)} to {local(each.window.end, view):%H:%M}"
            for each in steps
        ]
    )


def _short(short: BusyShort, view: View) -> str:
    name = f"{'Tablet ' if short.own else ''}{esc(short.kit.label)}"
    text = f"{name}: not sure to last from {local(short.since, view):%H:%M} on."
    if short.own:
        return f"{text} Plug it in while they build."
    if short.instead is None:
        return f"{text} No other kit is known to last then."
    return f"{text} Swap it for {esc(short.instead.label)} then."


SAID: dict[type, Wording] = {BusyDay: busy_day}
