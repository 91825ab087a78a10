"""What people read while a fault is checked: one thing to do, its caution, three answers."""

from __future__ import annotations

from clubbot.chat.words.phrases import Reply, View, Wording, button, esc
from clubbot.rules.faults.knowledge import Hands, known
from clubbot.rules.faults.triage import End, Outcome
from clubbot.rules.results import CheckAsked, CheckDone, CheckingEnded, FaultLine

LIKELY = 0.4
"""From this share on a cause is named as probable."""
_CAME = {Outcome.WORKED: "it helped", Outcome.SAME: "no change", Outcome.CANT: "not possible"}


def asked(result: CheckAsked, view: View) -> Reply:
    check = known().checks[result.code]
    lines = [f"{_head(result.fault)}. {check.ask}"]
    if check.tools:
        lines.append(f"You need: {check.tools}.")
    if check.caution:
        lines.append(f"<b>Careful:</b> {check.caution}")
    if check.who is Hands.ADULT:
        lines.append("The maker's guide and the school's rules come first.")
    lines.append("Did it help?")
    yes = "It helped" if check.mends else "Better"
    answers = ((yes, Outcome.WORKED), ("No change", Outcome.SAME), ("Can't do it", Outcome.CANT))
    row = tuple(
        button(text, "checked", result.fault.id, result.code, outcome) for text, outcome in answers
    )
    return Reply("\n".join(lines), (row, (button("Stop here", "stop"),)))


def ended(result: CheckingEnded, view: View) -> Reply:
    number, name = result.fault.number, _kit(result.fault)
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
    return Reply("\n".join([text, *_reasons(result, view)]))


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


def checks_line(checked: tuple[CheckDone, ...]) -> str:
    """Return " Checked: pressed the plugs home (no change)." or nothing."""
    said = [f"{known().checks[each.code].done} ({_came(each)})" for each in checked if _is(each)]
    return f" Checked: {', '.join(said)}." if said else ""


def _is(each: CheckDone) -> bool:
    """Say whether the knowledge base still has a check that was done once."""
    return each.code in known().checks


def _came(each: CheckDone) -> str:
    if each.outcome == Outcome.WORKED and not known().checks[each.code].mends:
        return "found"
    return _CAME[Outcome(each.outcome)]


def _head(fault: FaultLine) -> str:
    return f"Fault {fault.number}, {_kit(fault)}"


def _kit(fault: FaultLine) -> str:
    return f"kit {esc(fault.kit.label)}" if fault.kit else "no kit named"


SAID: dict[type, Wording] = {CheckAsked: asked, CheckingEnded: ended}
