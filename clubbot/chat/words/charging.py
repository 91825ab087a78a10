"""What people read about charging."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    day_name,
    esc,
    labels,
    local,
    when,
)
from clubbot.rules.results import Charged, ChargeLine, ChargeList

CAUTION = (
    "Charge with an adult in the room, on a hard surface, with the maker's own charger. "
    "Never a battery that is hot, swollen, wet or damaged."
)


def charge_list(result: ChargeList, view: View) -> Reply:
    today = local(view.now, view).date()
    if not result.needed:
        return Reply(f"No kit is booked up to {day_name(result.until, today)}: nothing to charge.")
    lines = [f"<b>To charge for the week to {day_name(result.until, today)}</b>, most used first:"]
    lines += [_line(line, view) for line in result.needed]
    rest = [line for line in result.idle if line.why_not is None]
    if rest:
        lines.append(f"Can stay off: {labels(line.kit for line in rest)}.")
    lines += [
        f"{esc(line.kit.label)} is {line.why_not}: don't charge it."
        for line in result.idle
        if line.why_not == "on hold"
    ]
    lines.append(CAUTION)
    return Reply("\n".join(lines), ((button("All of these charged", "charged", result.day),),))


def _line(line: ChargeLine, view: View) -> str:
    sessions = f"{line.sessions} booking{'' if line.sessions == 1 else 's'}"
    last = f"last charged {when(line.charged_at, view)}" if line.charged_at else "no charge noted"
    used = f", used {line.uses_since} times since" if line.uses_since > 1 else ""
    used = ", used once since" if line.uses_since == 1 else used
    return f"• {esc(line.kit.label)}: {sessions}, {last}{used}"


def charged(result: Charged, view: View) -> Reply:
    return Reply(f"Noted as charged: {labels(result.kits)}.", ((button("Undo", "undo"),),))


SAID: dict[type, Wording] = {ChargeList: charge_list, Charged: charged}
