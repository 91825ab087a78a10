"""What people read of one fault: its card, what was done about it, and what waits too long."""

from __future__ import annotations

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.of_faults import checks_line, claim_line, name_of, offered, swap_rows
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    by_others,
    capital,
    esc,
    rows,
    when,
)
from clubbot.rules.faults.knowledge import known
from clubbot.rules.results import (
    CauseNoted,
    CopiesKept,
    FaultCard,
    FaultClosed,
    FaultsStalled,
    FaultStep,
    FixWanted,
    PictureAwaited,
    PicturesLooked,
    StalledFault,
)

STEPS = {
    "again": "said again",
    "back": "it is back",
    "works again": "works again, says who reported it",
    "fixed": "closed",
    "watched": "usable, somebody watches it",
    "out of use": "put out of use",
    "on hold": "put on hold",
    "released": "off hold, an adult looked",
    "blamed": "to blame",
    "sent": "letter sent to the supplier",
    "promised": "answer promised by",
    "repaired": "came back repaired",
    "replaced": "replaced by the supplier",
    "refused": "the supplier refused",
    "undone": "taken back",
}
_STEPS_SHOWN = 8


def card(result: FaultCard, view: View) -> Reply:
    fault = result.fault
    kind = "<b>danger</b>" if fault.danger else SYMPTOMS[fault.symptom]
    serial = f", serial {esc(fault.serial)}" if fault.serial else ""
    lines = [
        f"<b>Fault {fault.number}</b>: {name_of(fault)}{serial}. {capital(kind)}, "
        f"{when(fault.reported_at, view)}."
    ]
    if said := by_others(fault.said[:300], view):
        lines.append(f"\u201c{said}\u201d")
    if checks := checks_line(fault.checked).strip():
        lines.append(checks)
    lines += [_step(each, view) for each in result.steps[-_STEPS_SHOWN:]]
    if pictures := _pictures(result):
        lines.append(pictures)
    lines.append(_stands(result, view))
    if result.offer:
        lines.append(offered(result.offer, view))
    return Reply("\n".join(line for line in lines if line), _buttons(result, view))


def _step(each: FaultStep, view: View) -> str:
    note = by_others(each.note[:120], view)
    words = f": {note}" if note else ""
    return f"\u2022 {capital(when(each.at, view))}: {STEPS.get(each.what, 'noted')}{words}"


def counted(photos: int, videos: int) -> str:
    """Return "2 photos and 1 video", or nothing."""
    parts = [
        f"{count} {name}{'' if count == 1 else 's'}"
        for count, name in ((photos, "photo"), (videos, "video"))
        if count
    ]
    return " and ".join(parts)


def _pictures(result: FaultCard) -> str:
    words = counted(result.photos, result.videos)
    if not words:
        return ""
    copied = f", {result.copied} kept as a copy" if result.copied else ""
    unseen = f", {result.unseen} not looked through yet" if result.unseen else ""
    return f"With it: {words}{copied}{unseen}."


def _stands(result: FaultCard, view: View) -> str:
    fault = result.fault
    if fault.closed_at is not None:
        fix = by_others(fault.fix, view)
        return f"Closed {when(fault.closed_at, view)}{f': {fix}' if fix else ''}."
    if result.claim:
        return claim_line(result.claim, view)
    if fault.watched:
        return "It may be used; somebody watches it."
    if fault.kit and result.use and result.use != "in use":
        return f"{esc(fault.kit.label)} is {esc(result.use)}."
    return ""


def _buttons(result: FaultCard, view: View) -> tuple[tuple[Button, ...], ...]:
    fault = result.fault
    if fault.closed_at is not None:
        return ((button("It's back", "faultback", fault.id),),) if fault.kit else ()
    first = [] if fault.danger or fault.at_supplier else [button("Check it", "check", fault.id)]
    if view.role.adult or not (fault.danger or fault.at_supplier):
        first.append(button("Fixed", "fixed", fault.id))
    uses = []
    if fault.kit and view.role.adult and result.use == "on hold":
        uses.append(button(f"Release {fault.kit.label}", "releasekit", fault.kit.id))
    watchable = not (fault.danger or fault.watched or fault.at_supplier)
    if fault.kit and watchable and result.use != "on hold":
        uses.append(button("Usable, watch it", "faultwatch", fault.id))
    if fault.kit and result.use == "in use":
        uses.append(button("Out of use", "faultuse", fault.id, "out"))
        uses.append(button("On hold", "faultuse", fault.id, "hold"))
    more = []
    if not fault.danger or view.role.adult:
        more.append(button("Add a picture", "faultpicture", fault.id))
    if result.photos + result.videos and view.role.adult:
        more.append(button("Show pictures", "faultshow", fault.id))
    if result.photos + result.videos > result.copied and view.role.adult:
        more.append(button("Keep copies", "faultcopy", fault.id))
    if view.role.adult and result.claimable:
        more.append(button("To the supplier", "claim", fault.id))
    blame = [
        button(f"It's the {thing}", "blame", fault.id, thing)
        for thing in result.things
        if thing != fault.thing
    ]
    if fault.thing:
        blame.append(button("It's none of them", "blame", fault.id, "kit"))
    every = [*rows(first, 2), *rows(uses, 3), *swap_rows(result.offer, view)]
    return (*every, *rows(more, 2), *rows(blame, 2))


def fix_wanted(result: FixWanted, view: View) -> Reply:
    fault = result.fault
    each = [
        button(capital(known().causes[code].did), "fixedby", fault.id, code)
        for code in result.causes
    ]
    if result.again:
        text = f"That's fine: ask whoever mended {name_of(fault)}. Until then fault "
        text += f"{fault.number} stays open. Known after all? Write what was done."
        return Reply(text, (*rows(each, 1), (button("Never mind", "stop"),)))
    tap = "Tap it, or write" if each else "Write"
    text = f"Fault {fault.number}, {name_of(fault)}: what was done? {tap} it in your own words."
    if fault.at_supplier:
        text += " It waits for the supplier: closed, the claim ends with it."
    return Reply(text, (*rows(each, 1), (button("Never mind", "stop"),)))


def closed(result: FaultClosed, view: View) -> Reply:
    name = f" on {esc(result.kit.label)}" if result.kit else ""
    text = f"Fault {result.number}{name} is closed: {esc(result.fix)}."
    if result.claim_ended:
        text += " The claim ends with it."
    if result.still_not_usable and result.kit:
        label = esc(result.kit.label)
        if result.on_hold:
            text += f" {label} is still on hold: an adult releases it with /release {label}."
        else:
            text += f" {label} is still not in use: /restore {label}."
    if result.id is None:
        return Reply(text)
    why = [
        button(capital(known().causes[code].name), "because", result.id, code)
        for code in result.causes
    ]
    if why:
        text += "\nWhat was behind it? One tap helps with the next one."
    return Reply(text, (*rows(why, 1), (button("It's back", "faultback", result.id),)))


def cause_noted(result: CauseNoted, view: View) -> Reply:
    name = known().causes[result.cause].name
    return Reply(f"Noted for fault {result.number}: {name}. That helps with the next one.")


def stalled(result: FaultsStalled, view: View) -> Reply:
    """Return what the leader hears once a week, within the week's message."""
    lines = []
    if result.faults:
        lines.append("<b>Nothing has moved here</b>:")
        lines += [_stalled(each) for each in result.faults]
    if result.claims:
        lines.append("<b>The supplier hasn't answered</b>:")
        lines += [f"\u2022 {claim_line(each, view)}" for each in result.claims]
    numbers = [each.fault.number for each in result.faults] + [c.number for c in result.claims]
    ways = "mend it, send it in, or watch it"
    if any(each.fault.danger for each in result.faults):
        ways = "mend it or send it in. Never just watch a danger"
    lines.append(f"/faults and a number shows it: {ways}.")
    each = [button(f"Fault {number}", "faultcard", number) for number in numbers[:8]]
    return Reply("\n".join(lines), rows(each, 4))


def _stalled(each: StalledFault) -> str:
    fault = each.fault
    watched = ", watched" if fault.watched else ""
    kind = SYMPTOMS[fault.symptom]
    return f"\u2022 {fault.number} {name_of(fault)}: {kind}{watched}, for {each.days} days"


def picture_awaited(result: PictureAwaited, view: View) -> Reply:
    text = f"Send the photo or video now: it goes with fault {result.number}."
    return Reply(f"{text} Look first that no child is seen or heard.")


def looked(result: PicturesLooked, view: View) -> Reply:
    words = counted(result.photos, result.videos) or "no picture"
    return Reply(f"Fault {result.number}: {words} may go to the supplier. /claim {result.number}")


def copies(result: CopiesKept, view: View) -> Reply:
    many = "copy" if result.kept == 1 else "copies"
    text = f"Fault {result.number}: {result.kept} {many} kept. They go when the fault is long over."
    if result.failed:
        text += f" {result.failed} couldn't be fetched: too large, or no longer there."
    return Reply(text)


SAID: dict[type, Wording] = {
    FaultCard: card,
    FixWanted: fix_wanted,
    FaultClosed: closed,
    CauseNoted: cause_noted,
    FaultsStalled: stalled,
    PictureAwaited: picture_awaited,
    PicturesLooked: looked,
    CopiesKept: copies,
}
