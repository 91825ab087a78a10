"""What people read while a fault is checked: one thing to do, its caution, three answers."""

from __future__ import annotations

from clubbot.chat.words.of_faults import name_of, offered, swap_rows
from clubbot.chat.words.phrases import Reply, View, Wording, button, esc
from clubbot.rules.faults.knowledge import Hands, known
from clubbot.rules.faults.triage import End, Outcome
from clubbot.rules.results import CheckAsked, CheckingEnded, FaultLine

LIKELY = 0.4
"""From this share on a cause is named as probable."""


def asked(result: CheckAsked, view: View) -> Reply:
    check = known().checks[result.code]
    lines = [f"{_head(result.fault)}. {check.ask}"]
    if check.tools:
        lines.append(f"You need: {check.tools}.")
    if check.caution:
        lines.append(f"<b>Careful:</b> {check.caution}")
    lines += [f"Our club: {esc(each)}" for each in result.own]
    if check.who is Hands.ADULT:
        lines.append("The maker's guide and the school's rules come first.")
    lines.append("Did it help?")
    yes = "It helped" if check.mends else "Better"
    answers = ((yes, Outcome.WORKED), ("No change", Outcome.SAME), ("Can't do it", Outcome.CANT))
    row = tuple(
        button(text, "checked", result.fault.id, result.code, outcome) for text, outcome in answers
    )
    last = [button("Stop here", "stop")]
    if view.role.adult and view.private:
        last.append(button("Add our own words", "ownword", result.code))
    return Reply("\n".join(lines), (row, tuple(last)))


def ended(result: CheckingEnded, view: View) -> Reply:
    number, name = result.fault.number, name_of(result.fault)
    match End(result.end):
        case End.FIXED if result.closed:
            text = f"Good. Fault {number} is closed, {name} runs."
        case End.FIXED:
            text = f"Good. It stays on the list until a helper has seen it run: fault {number}."
        case End.SWAP:
            text = f"Take another kit for now; {name} is looked at later. Fault {number}."
        case End.SUPPLIER:
            text = f"This one is for the supplier: fault {number}, {name}. Don't open it."
        case End.ADULT:
            text = f"Leave it now; this needs an adult. Fault {number}, {name}."
    if result.offer:
        text += f" {offered(result.offer, view)}"
    more = [*_reasons(result, view), *(f"Our club: {esc(each)}" for each in result.own)]
    last = [button("Go on checking", "checkon", result.fault.id)] if result.go_on else []
    if view.role.adult and view.private and result.causes and result.end != End.FIXED:
        last.append(button("Add our own words", "ownword", result.causes[0][0]))
    more_rows = (tuple(last),) if last else ()
    return Reply("\n".join([text, *more]), (*swap_rows(result.offer, view), *more_rows))


def _reasons(result: CheckingEnded, view: View) -> list[str]:
    """Return what whoever goes on with it needs: the likely cause, its fix, the next check."""
    if not view.role.staff or result.end == End.FIXED:
        return []
    lines = []
    if result.causes and result.causes[0][1] >= LIKELY:
        cause = known().causes[result.causes[0][0]]
        lines.append(f"Probably {cause.name}. To do: {cause.fix}.")
        if cause.parts:
            lines.append(f"Needed: {cause.parts}.")
    elif result.causes:
        names = " or ".join(known().causes[code].name for code, _ in result.causes[:2])
        lines.append(f"Perhaps {names}.")
    if result.next_check:
        check = known().checks[result.next_check]
        who = "an adult" if check.who is Hands.ADULT else "a helper"
        lines.append(f"Next, by {who}: {check.ask} {check.caution}".strip())
    return lines


def _head(fault: FaultLine) -> str:
    return f"Fault {fault.number}, {name_of(fault)}"


SAID: dict[type, Wording] = {CheckAsked: asked, CheckingEnded: ended}
