"""What people read about faults, holds and kits out of use; danger in the fewest words."""

from __future__ import annotations

from clubbot.chat.words.of_faults import checks_line, name_of, offered, swap_rows
from clubbot.chat.words.phrases import (
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
    UseChanged,
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
    fault = result.fault
    name = name_of(fault)
    care = _care(result, view)
    if not view.private:
        return Reply(f"{care}Thanks, noted: {name}, fault {fault.number}.")
    kind = SYMPTOMS[fault.symptom]
    swap = f" {offered(result.offer, view)}" if result.offer else ""
    if result.joined:
        text = f"{care}Thanks. That goes with fault {fault.number}: {name}, {kind}.{swap}"
        return Reply(text, swap_rows(result.offer, view))
    kind = "noted" if fault.symptom == "unclear" else kind
    text = f"Thanks. Fault {fault.number}: {name}, {kind}. An adult is told.{swap}"
    if result.tried:
        last = f" Last time: {esc(result.tried)}." if view.role.staff else ""
        text = f"It's back: fault {fault.number}, {name}, {kind}.{last} An adult is told.{swap}"
    # Whoever takes a photo of glass or of an update goes near it, and so do a child's checks.
    helps = "" if result.with_photo or care else " A photo helps: just send it here."
    check = () if care and not view.role.adult else ((button("Check it now", "check", fault.id),),)
    return Reply(care + text + helps, (*swap_rows(result.offer, view), *check))


def _care(result: FaultReported, view: View) -> str:
    """Return what keeps the writer's hands off, with a space behind it, or nothing."""
    if result.care not in _CARE:
        return ""
    get = "" if view.role.adult else " Get an adult."
    return f"<b>{_CARE[result.care]}{get}</b> "


def kit_needed(result: FaultKitNeeded, view: View) -> Reply:
    buttons = [button(kit.label, "faultkit", kit.id) for kit in result.kits[:32]]
    return Reply("Which kit is it?", (*rows(buttons, 4), (button("Never mind", "stop"),)))


def not_a_fault(result: NotAFault, view: View) -> Reply:
    if not view.private:
        return Reply("")
    whom = f"talk to {esc(view.contact)}" if view.contact else "talk to an adult of the club"
    return Reply(f"I'm a program, nobody reads this. If something is wrong, {whom}. /help")


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
    NotAFault: not_a_fault,
    PhotoAdded: photo_added,
    PhotoWithoutFault: photo_without_fault,
    OpenFaults: open_faults,
    UseChanged: use_changed,
}
