"""What people read while a fault is checked: one thing to do, its caution, three answers."""

from __future__ import annotations

from clubbot.chat.words.danger import CARE
from clubbot.chat.words.of_faults import name_of, offered, swap_rows
from clubbot.chat.words.phrases import Button, Reply, View, Wording, button, esc, rows
from clubbot.rules.faults.knowledge import Hands, known
from clubbot.rules.faults.triage import End, Outcome
from clubbot.rules.permissions import Deed, may
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
        case End.FIXED if may(view.role, Deed.CLOSE_FAULT):
            text = f"Fault {number}, {name}: it is said to run again. Look: does it?"
        case End.FIXED:
            text = f"Good. It stays on the list until a helper has seen it run: fault {number}."
        case End.SWAP:
            text = f"Take another kit for now; {name} is looked at later. Fault {number}."
        case End.SUPPLIER if result.fault.at_supplier:
            came = f" /claim {number} notes what came back." if view.role.adult else ""
            text = f"Fault {number}, {name} waits for the supplier: nothing to check.{came}"
        case End.ADULT | End.SUPPLIER if view.role.adult:
            text = _for_adult(result)
        case End.SUPPLIER:
            text = f"This one is for the supplier: fault {number}, {name}. Don't open it."
        case End.ADULT:
            text = f"Leave it now; this needs an adult. Fault {number}, {name}."
    if result.offer:
        text += f" {offered(result.offer, view)}"
    more = [*_reasons(result, view), *(f"Our club: {esc(each)}" for each in result.own)]
    last = _next_steps(result, view)
    if result.go_on:
        last.append(button("Go on checking", "checkon", result.fault.id))
    if view.role.adult and view.private and result.causes and result.end != End.FIXED:
        last.append(button("Add our own words", "ownword", result.causes[0][0]))
    return Reply("\n".join([text, *more]), (*swap_rows(result.offer, view), *rows(last, 2)))


def _for_adult(result: CheckingEnded) -> str:
    """Return what comes next where nobody but this adult goes on with it."""
    number, name = result.fault.number, name_of(result.fault)
    if result.fault.danger:
        return f"Fault {number}, {name}: danger isn't checked step by step. {CARE}"
    text = f"No check is left for now: fault {number}, {name}."
    if result.end == End.SUPPLIER:
        text = f"This one is for the supplier: fault {number}, {name}. Don't open it."
    use = "put this one out of use, or " if result.in_use else ""
    return f"{text} Take another kit meanwhile; {use}write to the supplier."


def _next_steps(result: CheckingEnded, view: View) -> list[Button]:
    """Return what may be done about a fault that no check has ended."""
    fault = result.fault
    if result.end == End.FIXED and result.helped:
        runs = [button("It runs: close it", "fixed", fault.id)]
        fails = button("It still fails", "checked", fault.id, result.helped, Outcome.SAME)
        return [*(runs if may(view.role, Deed.CLOSE_FAULT) else []), fails]
    if not view.role.adult or result.end not in (End.ADULT, End.SUPPLIER):
        return []
    found = [button("Out of use", "faultuse", fault.id, "out")] if result.in_use else []
    claim = [button("To the supplier", "claim", fault.id)] if result.claimable else []
    return [*found, *claim, *([] if fault.at_supplier else [button("Fixed", "fixed", fault.id)])]


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
