"""What people read about faults, holds and kits out of use; danger in the fewest words."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.of_faults import checks_line, name_of, offered, swap_rows
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    by_others,
    capital,
    esc,
    kits_named,
    listed,
    rows,
    span,
    team_here,
    when,
)
from clubbot.rules.results import (
    FaultKitNeeded,
    FaultLine,
    FaultReported,
    NotAFault,
    OpenFaults,
    PhotoAdded,
    PhotoWithoutFault,
    TalkToSomebody,
    UseChanged,
    WorksAgain,
)

SYMPTOMS = {
    "loses-power": "loses power",
    "short-run": "battery doesn't last",
    "will-not-start": "won't start",
    "will-not-charge": "won't charge",
    "battery-danger": "battery danger",
    "will-not-connect": "won't connect",
    "old-program": "runs an old program",
    "motor-fault": "motor fault",
    "sensor-fault": "sensor fault",
    "port-or-cable": "socket or cable",
    "update-trouble": "trouble with an update",
    "frozen": "frozen",
    "broken-part": "broken part",
    "missing-part": "missing part",
    "tablet-fault": "tablet fault",
    "unclear": "not clear yet",
}
_CARE = {
    "glass": "Don't touch the glass.",
    "sharp": "Don't touch the sharp edge.",
    "update": "Don't switch it off, don't unplug it.",
}


def reported(result: FaultReported, view: View) -> Reply:
    every = (result, *result.more)
    unknown = _no_such_kit(result.unknown)
    care = _care(every, view)
    if not view.private:
        names = [f"{name_of(each.fault)}, fault {each.fault.number}" for each in every]
        return Reply(f"{care}Thanks, noted: {'; '.join(names)}.{unknown}")
    text = " ".join(_noted(each, view) for each in every)
    thanks = "" if result.tried else "Thanks. "
    moved = f" {_closed_instead(result.instead)}" if result.instead else ""
    told = " An adult is told." if not (result.joined or view.role.adult) else ""
    free = {each.offer.instead: each.offer for each in reversed(every) if each.offer}
    offers = "".join(f" {offered(each, view)}" for each in free.values())
    alone = not (result.joined or result.more)
    # Whoever takes a photo of glass or of an update goes near it, and so do a child's checks.
    photo = alone and not result.with_photo and not care
    helps = " A photo helps: just send it here." if photo else ""
    swaps = [row for each in free.values() for row in swap_rows(each, view)]
    check = [_check(each, alone) for each in every if view.role.adult or not each.care]
    buttons = (*swaps, tuple(check)) if check and not result.joined else tuple(swaps)
    return Reply(f"{care}{thanks}{text}{moved}{told}{offers}{unknown}{helps}", buttons)


def _care(results: Sequence[FaultReported], view: View) -> str:
    """Return what keeps the writer's hands off, with a space behind it, or nothing."""
    said = [_CARE[each] for each in dict.fromkeys(one.care for one in results) if each in _CARE]
    if not said:
        return ""
    get = "" if view.role.adult else " Get an adult."
    return f"<b>{' '.join(said)}{get}</b> "


def _noted(result: FaultReported, view: View) -> str:
    """Return what became of a report for one kit."""
    fault = result.fault
    name, kind = name_of(fault), SYMPTOMS[fault.symptom]
    if result.joined:
        return f"That goes with fault {fault.number}: {name}, {kind}."
    if result.tried:
        tried = by_others(result.tried, view)
        last = f" Last time: {tried}." if tried else ""
        return f"It's back: fault {fault.number}, {name}, {kind}.{last}"
    kind = "noted" if fault.symptom == "unclear" else kind
    return f"Fault {fault.number}: {name}, {kind}."


def _closed_instead(fault: FaultLine) -> str:
    where = f" on {esc(fault.kit.label)}" if fault.kit else ""
    return f"Fault {fault.number}{where} is closed."


def _check(result: FaultReported, alone: bool) -> Button:
    kit = result.fault.kit
    return button(
        "Check it now" if alone or not kit else f"Check {kit.label}", "check", result.fault.id
    )


def _no_such_kit(labels: tuple[str, ...]) -> str:
    return (
        f" There is no kit {listed([esc(label, 40) for label in labels], 'or')}." if labels else ""
    )


def works_again(result: WorksAgain, view: View) -> Reply:
    number, name = result.fault.number, name_of(result.fault)
    if view.role.staff:
        return Reply(f"Noted with fault {number}, {name}. /fixed {number} closes it.")
    return Reply(f"Good. Noted with fault {number}, {name}: it works again. An adult looks.")


def kit_needed(result: FaultKitNeeded, view: View) -> Reply:
    buttons = [button(kit.label, "faultkit", kit.id) for kit in result.kits[:32]]
    kept = "Photo kept." if result.with_photo else ""
    text = f"{kept}{_no_such_kit(result.unknown)} Which kit is it?"
    return Reply(text.strip(), (*rows(buttons, 4), (button("Never mind", "stop"),)))


def not_a_fault(result: NotAFault, view: View) -> Reply:
    if not view.private:
        return Reply("")
    whom = f"talk to {esc(view.contact)}" if view.contact else "talk to an adult of the club"
    return Reply(f"I'm a program, nobody reads this. If something is wrong, {whom}. /help")


def talk_to_somebody(result: TalkToSomebody, view: View) -> Reply:
    whom = esc(view.contact) if view.contact else "an adult of the club"
    return Reply(
        f"Leave the kit where it is and go to {whom}: they help you. "
        "You can say later which kit it is; if nobody knows, say \u201cno idea\u201d.",
        ((button("Never mind", "stop"),),),
    )


def photo_added(result: PhotoAdded, view: View) -> Reply:
    return Reply(f"Photo kept with fault {result.number}.")


def fault_line(fault: FaultLine, view: View, *, kit: bool = True) -> str:
    """Return an open fault on one line, with the words it was reported in."""
    where = f"{name_of(fault) if fault.thing or not fault.kit else esc(fault.kit.label)}: "
    where = where if kit else ""
    words = by_others(fault.said[:120], view)
    said = f" \u201c{words}\u201d" if words else ""
    kind = "<b>danger</b>" if fault.danger else SYMPTOMS[fault.symptom]
    number = f"<b>{fault.number}</b> " if kit else f"Fault {fault.number}: "
    checks = checks_line(fault.checked)
    end = "." if checks else ""
    waits = ", waits for the supplier" if fault.at_supplier else ""
    waits += ", may be used, watch it" if fault.watched else ""
    return f"{number}{where}{kind}{said}, {when(fault.reported_at, view)}{waits}{end}{checks}"


def photo_without_fault(result: PhotoWithoutFault, view: View) -> Reply:
    return Reply("What is wrong, and which kit? Write it first, then send the photo.")


def open_faults(result: OpenFaults, view: View) -> Reply:
    if not result.faults:
        return Reply("No fault is open.")
    lines = [fault_line(fault, view) for fault in result.faults]
    last = (
        "One with all that became of it: tap its number. "
        "Mended one? /fixed with its number and what was done."
    )
    each = [button(str(fault.number), "faultcard", fault.number) for fault in result.faults[:40]]
    return Reply("\n".join(["Open faults:", *lines, last]), rows(each, 5))


def use_changed(result: UseChanged, view: View) -> Reply:
    note = f": {esc(result.note)}" if result.note and view.private else ""
    verb = "is" if len(result.kits) == 1 else "are"
    lines = [f"{capital(kits_named(result.kits))} {verb} {result.use}{note}."]
    lines += [
        f"Booking {swap.number}{team_here(swap.team, view)} gets {esc(swap.after)} instead of "
        f"{esc(swap.before)}; they are told."
        for swap in result.swaps
    ]
    lines += [
        f"Booking {booking.number}{team_here(booking.team, view)}, {span(booking.window, view)}, "
        "can't have all its kits any more; they are told."
        for booking in result.short
    ]
    if result.closed:
        lines += _closed(result)
    return Reply("\n".join(lines), ((button("Undo", "undo"),),))


def _closed(result: UseChanged) -> list[str]:
    """Return what a release closed, and how to say what was found, where that wasn't said."""
    many, are = ("Danger", "is") if len(result.closed) == 1 else ("Dangers", "are")
    numbers = listed([str(number) for number in result.closed])
    if result.found:
        return [f"{many} {numbers} {are} closed: {esc(result.found)}."]
    names = " ".join(esc(kit.label) for kit in result.kits)
    return [
        f"{many} {numbers} {are} closed: you have looked.",
        f"Next time say what you found: /release {names}: new battery",
    ]


SAID: dict[type, Wording] = {
    FaultReported: reported,
    FaultKitNeeded: kit_needed,
    WorksAgain: works_again,
    NotAFault: not_a_fault,
    TalkToSomebody: talk_to_somebody,
    PhotoAdded: photo_added,
    PhotoWithoutFault: photo_without_fault,
    OpenFaults: open_faults,
    UseChanged: use_changed,
}
