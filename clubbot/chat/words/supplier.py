"""What follows a letter to the supplier: that it is sent, until when, and what came back."""

from __future__ import annotations

from clubbot.chat.words.of_claims import CARE
from clubbot.chat.words.of_faults import claim_line
from clubbot.chat.words.phrases import Reply, View, Wording, button, esc, rows
from clubbot.rules.results import ClaimEnded, ClaimSent, ClaimsOut, ClaimStands, SerialWanted


def sent(result: ClaimSent, view: View) -> Reply:
    name = f", {esc(result.kit.label)}" if result.kit else ""
    lines = [f"Fault {result.number}{name} waits for the supplier now. When do they answer?"]
    if result.kit:
        label = esc(result.kit.label)
        what = f"{label}'s {esc(result.thing)}" if result.thing else label
        lines.append(
            f"Leave {label}'s other parts where they are: tray, leads and the rest stay {label}'s."
        )
        if result.in_use:
            lines.append(f"Does {what} go in? Then put {label} out of use while it is away.")
    if result.danger:
        lines.append(CARE)
    days = [
        button(f"In {weeks} week{'' if weeks == 1 else 's'}", "claimdue", result.id, 7 * weeks)
        for weeks in (1, 2, 4)
    ]
    away = [button("It is away: out of use", "faultuse", result.id, "out")] if result.in_use else []
    lines.append(f"Another day: /claim {result.number} by 12 Dec.")
    return Reply("\n".join(lines), (tuple(days), *rows(away, 1)))


def stands(result: ClaimStands, view: View) -> Reply:
    claim = result.claim
    ends = [
        button(name, "claimend", claim.fault, outcome)
        for name, outcome in (
            ("Repaired", "repaired"),
            ("Replaced", "replaced"),
            ("Refused", "refused"),
        )
        if result.mendable or outcome != "repaired"
    ]
    more = (
        button("In 1 more week", "claimdue", claim.fault, 7),
        button("The letter again", "claim", claim.fault),
    )
    text = (
        f"{claim_line(claim, view)} What came back? Or a new day: /claim {claim.number} by 12 Dec."
    )
    return Reply(f"{text}\n{CARE}" if result.danger else text, (tuple(ends), more))


def out(result: ClaimsOut, view: View) -> Reply:
    if not result.claims:
        return Reply("No letter is out. /faults shows what could go to the supplier: /claim 3.")
    lines = [claim_line(each, view) for each in result.claims]
    each = [button(f"Fault {c.number}", "faultcard", c.number) for c in result.claims[:20]]
    return Reply("\n".join(["Letters that are out:", *lines]), rows(each, 4))


def serial_wanted(result: SerialWanted, view: View) -> Reply:
    text = f"Fault {result.number}: what serial is on the new {esc(result.thing)}? Write it now."
    return Reply(text, ((button("None to be read", "claimend", result.id, "noserial"),),))


def ended(result: ClaimEnded, view: View) -> Reply:
    label = esc(result.kit.label) if result.kit else ""
    thing = esc(result.thing) or "it"
    if result.outcome == "refused":
        text = f"Noted: refused. Fault {result.number} is open again; what now?"
        text += f"\n{CARE}" if result.danger else ""
        again = (button("Letter again", "claim", result.id), button("Fixed", "fixed", result.id))
        return Reply(text, (again,))
    if result.outcome == "replaced":
        name = f", serial {esc(result.serial)}" if result.serial else ""
        where = f" It is {label}'s now." if label else ""
        text = f"New {thing}{name}.{where} Fault {result.number} stays with the old one, closed."
        if result.danger:
            text += " The old one: to a collection point, or as the supplier says."
    else:
        text = f"Repaired. Fault {result.number} is closed."
    if label:
        stands_ = "is in use" if result.usable else f"isn't in use yet: /kit {label}"
        text += f" {label} {stands_}. Try it before a session."
    lines = [text]
    lines += [
        f"Booking {s.number} gets {esc(s.after)} instead of {esc(s.before)}." for s in result.swaps
    ]
    lines += [f"Booking {b.number} can't have all its kits; they are told." for b in result.short]
    # What went to the supplier for good doesn't come back: a fault of the new one is a new fault.
    replaced = result.outcome == "replaced"
    again_ = () if replaced else ((button("It's back", "faultback", result.id),),)
    return Reply("\n".join(lines), again_)


SAID: dict[type, Wording] = {
    ClaimSent: sent,
    ClaimStands: stands,
    ClaimsOut: out,
    SerialWanted: serial_wanted,
    ClaimEnded: ended,
}
