"""What people read about wear."""

from __future__ import annotations

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    day_name,
    esc,
    labels,
    listed,
    local,
    rows,
)
from clubbot.rules.results import WarrantyEnding, WearLine, WearReport

_SAYS = {
    "worse than the others": "fails more often than the others, almost certainly",
    "getting worse": "fails ever more often, almost certainly",
}
_DO = {
    "look properly": "Look it over properly before it goes out again.",
    "repair": "Have it repaired: an adult, as the maker's guide describes, or the supplier.",
    "claim": "It is under warranty: write to the supplier.",
    "scrap": "Three repairs didn't end it: keep it for spare parts. "
    "An adult takes its battery to a collection point.",
}

_UNCOUNTED = "Faults before the first noted use, or of nothing that wears, not counted"


def report(result: WearReport, view: View) -> Reply:
    today = local(view.now, view).date()
    calls = [line for line in result.lines if line.advice != "keep"]
    rest = [line for line in result.lines if line.advice == "keep"]
    lines = [f"<b>Wear</b> since {day_name(result.since, today)}:"]
    lines += [_call(line) for line in calls[:10]]
    lines += [_ending(each, view) for each in result.ending[:10]]
    if result.asked:
        lines += [_call(line) for line in rest]
    elif not calls:
        lines[0] = f"<b>Wear</b>: no kit stands out since {day_name(result.since, today)}."
    failing = [line for line in rest if line.faults]
    if failing and not result.asked:
        told = [f"{esc(line.kit.label)} {line.faults} in {line.sessions}" for line in failing[:20]]
        lines.append(f"Keep, faults in sessions: {listed(told)}.")
    uncounted = [line for line in result.lines if line.uncounted]
    if uncounted:
        told = [f"{esc(line.kit.label)} {line.uncounted}" for line in uncounted[:20]]
        lines.append(f"{_UNCOUNTED}: {listed(told)}.")
    whole = [line.kit for line in rest if not line.faults and not line.uncounted]
    if whole and not result.asked:
        lines.append(f"No fault: {labels(whole)}.")
    lines.append(
        f"Compared with each other as of {day_name(result.compared, today)}."
        if result.compared is not None
        else "Kits are compared with each other at the end of a term; it is too early for that."
    )
    return Reply("\n".join(lines), rows(_buttons(calls, result), 2))


def _call(line: WearLine) -> str:
    label = esc(line.kit.label)
    said = _SAYS.get(line.said)
    what = f"{label}: " + (f"{said}. " if said else "")
    if line.again:
        seen = esc(SYMPTOMS.get(line.again, line.again))
        what += f"The same fault three times this term: {seen}. "
    if not line.sessions:
        return f"{what}No use is noted yet. {_DO.get(line.advice, '')}".strip()
    many = "fault" if line.faults == 1 else "faults"
    what += f"{line.faults} {many} in {line.sessions} sessions, {line.hours} h of driving"
    if line.times is not None and said and line.times >= 1:
        what += f", {line.times:.1f} times the others' rate"
    what += f"; so {line.low} to {line.high} in 100 sessions. "
    if line.done:
        what += f"Done so far: {listed([esc(each, 60) for each in line.done])}. "
    return (what + _DO.get(line.advice, "")).strip()


def _ending(each: WarrantyEnding, view: View) -> str:
    until = day_name(each.until, local(view.now, view).date())
    return (
        f"{esc(each.kit.label)}: the warranty of its {esc(each.kind)} ends {until}, and fault "
        f"{each.fault} is open. /claim {each.fault} writes to the supplier."
    )


def _buttons(calls: list[WearLine], result: WearReport) -> list[Button]:
    claims = [button(f"Fault {each.fault}", "faultcard", each.fault) for each in result.ending]
    history = [button(f"History of {line.kit.label}", "history", line.kit.id, 0) for line in calls]
    return (history + claims)[:8]


SAID: dict[type, Wording] = {WearReport: report}
