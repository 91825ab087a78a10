"""A letter to the supplier: plain and polite, with what the club knows; and what comes of it."""

from __future__ import annotations

from datetime import date

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.mending import STEPS, counted
from clubbot.chat.words.of_faults import checks_done, checks_line, claim_line
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    esc,
    local,
    rows,
)
from clubbot.rules.claim_paper import ClaimPaper
from clubbot.rules.results import (
    ClaimedItem,
    ClaimEnded,
    ClaimLetter,
    ClaimSent,
    ClaimsOut,
    ClaimStands,
    RunTest,
    SerialWanted,
)

VIDEO_NEEDED = (
    "A short video of the fault helps most. No video is kept yet: tap \u201cAdd a video\u201d and "
    "send one. Look first that no child is seen or heard."
)
OUTSIDE = frozenset({"fixed", "back", "out of use", "on hold"})
"""The steps that a supplier is told of: what the club says among itself stays there."""
GREETING = "Dear Sir or Madam,"
ASKED = "Please tell us how to send it in, and whether the warranty covers the repair."


def letter(result: ClaimLetter, view: View) -> Reply:
    fault = result.fault
    lines = [f"<b>Letter about fault {fault.number}, to copy:</b>", GREETING]
    lines += [esc(each, 700) for each in _opening(result, view)]
    lines += [esc(_item(item)) for item in result.items]
    if checks := checks_line(fault.checked).strip():
        lines.append(checks)
    if runs := _runs(result):
        lines.append(runs)
    if pictures := counted(result.photos, result.videos):
        lines.append(f"We add {pictures}.")
    lines += [ASKED, f"Kind regards, {esc(result.by)}, {esc(result.club)}", ""]
    lines += _to_do(result)
    return Reply("\n".join(lines), _letter_buttons(result))


def _letter_buttons(result: ClaimLetter) -> tuple[tuple[Button, ...], ...]:
    fault = result.fault
    buttons = [button("As a PDF", "claimpdf", fault.id)]
    if result.unseen:
        buttons.append(button("\u2713 No child seen or heard", "looked", fault.id))
    what = "Add a picture" if result.has_video else "Add a video"
    buttons.append(button(what, "faultpicture", fault.id))
    if not fault.at_supplier:
        buttons.append(button("It is sent", "claimsent", fault.id))
    return rows(buttons, 2)


def _opening(result: ClaimLetter, view: View) -> list[str]:
    """Return what is wrong and since when, as plain text."""
    fault = result.fault
    kit = f" ({fault.kit.label})" if fault.kit else ""
    what = f"the {fault.thing} of one of our robot kits" if fault.thing else "one of our robot kits"
    noticed = _day(local(fault.reported_at, view).date())
    found = [
        f"{what}{kit} has a fault: {SYMPTOMS[fault.symptom]}. It was first noticed on {noticed}."
    ]
    if fault.said:
        found.append(f"As reported: \u201c{fault.said}\u201d")
    return found


def _to_do(result: ClaimLetter) -> list[str]:
    lines = []
    if not result.has_video:
        lines.append(VIDEO_NEEDED)
    if result.unseen:
        many = "picture is" if result.unseen == 1 else "pictures are"
        lines.append(
            f"{result.unseen} {many} left out until you have looked: is no child seen or heard?"
        )
    if not result.items:
        lines.append("Add serial and date of purchase by hand: none are noted for this kit.")
    elif any(not item.serial or item.bought_on is None for item in result.items):
        lines.append("Some serials or dates aren't noted: /import takes a list of things.")
    if result.mended:
        lines.append("A check is noted as having helped. Try the kit again before you write.")
    return lines


def _item(item: ClaimedItem) -> str:
    return f"{item.kind.capitalize()}: {', '.join(_facts(item))}."


def _facts(item: ClaimedItem) -> list[str]:
    facts = [f"serial {item.serial}" if item.serial else "serial not noted"]
    if item.bought_on:
        facts.append(f"bought {_day(item.bought_on)}")
    if item.price_cents is not None:
        facts.append(f"price {_price(item.price_cents)}")
    if item.warranty_until:
        facts.append(f"warranty until {_day(item.warranty_until)}")
    return facts


def _price(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02}"


def _day(day: date) -> str:
    """Return a day as a letter has it: with its year, never today or tomorrow."""
    return f"{day.day} {day:%B %Y}"


def _runs(result: ClaimLetter) -> str:
    if not result.runs:
        return ""
    mine = ", ".join(f"{_ran(each)} minutes on {_day(each.day)}" for each in result.runs[-3:])
    text = f"Measured from a full charge, it drove {mine}"
    if not result.others:
        return f"{text}."
    low, high = result.others[0], result.others[-1]
    span = f"{low}" if low == high else f"{low} to {high}"
    kits = (
        "another kit of ours" if len(result.others) == 1 else f"{len(result.others)} of our others"
    )
    return f"{text}; {kits} drove {span} minutes."


def paper(result: ClaimLetter, view: View) -> ClaimPaper:
    """Return the letter as it is set on paper, with its evidence in tables."""
    fault = result.fault
    items = tuple(
        (
            item.kind.capitalize(),
            item.serial or "not noted",
            _day(item.bought_on) if item.bought_on else "not noted",
            _price(item.price_cents) if item.price_cents is not None else "not noted",
            _day(item.warranty_until) if item.warranty_until else "not noted",
        )
        for item in result.items
    )
    tables: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
    if items:
        head = ("Item", "Serial", "Bought", "Price", "Warranty until")
        tables.append(("What it is about", (head, *items)))
    tables.append(("What was noticed and done", (("Date", "What"), *_dated(result, view))))
    if result.runs:
        tables.append(("Measured run time from a full charge", _run_rows(result)))
    pictures = counted(result.photos, result.videos)
    after = [f"We add {pictures}." if pictures else "", ASKED]
    after += [f"Kind regards,\n{result.by}\n{result.club}"]
    return ClaimPaper(
        number=fault.number,
        heading=f"{result.club}: a robot kit with a fault",
        before=(_day(local(view.now, view).date()), GREETING, *_opening(result, view)),
        tables=tuple(tables),
        after=tuple(each for each in after if each),
        stills="Stills of the fault",
    )


def _dated(result: ClaimLetter, view: View) -> list[tuple[str, str]]:
    fault = result.fault
    found = [(fault.reported_at, f"first noticed: {SYMPTOMS[fault.symptom]}")]
    found += [(each.at, text) for each, text in checks_done(fault.checked)]
    found += [
        (each.at, f"{STEPS[each.what]}: {each.note}" if each.what == "fixed" else STEPS[each.what])
        for each in result.steps
        if each.what in OUTSIDE
    ]
    return [(_day(local(at, view).date()), capital(text)) for at, text in sorted(found)]


def _ran(each: RunTest) -> str:
    return str(each.minutes) if each.ended else f"more than {each.minutes}"


def _run_rows(result: ClaimLetter) -> tuple[tuple[str, ...], ...]:
    def row(each: RunTest) -> tuple[str, str, str]:
        return "this one", _day(each.day), f"{_ran(each)} min"

    rows_ = [("Battery", "Date", "Driving time"), *(row(each) for each in result.runs)]
    if result.others:
        low, high = result.others[0], result.others[-1]
        span = f"{low} min" if low == high else f"{low} to {high} min"
        rows_.append((f"our others ({len(result.others)})", "last test of each", span))
    return tuple(rows_)


def to_send(result: ClaimLetter, content: bytes, stills: int, view: View) -> Reply:
    """Return the letter as a file, and what to look at before it goes out."""
    shown = f" {stills} still{'' if stills == 1 else 's'} in it." if stills else " No still in it."
    lines = [f"The letter about fault {result.fault.number}, with the evidence.{shown}"]
    lines += _to_do(result)
    name = f"fault-{result.fault.number}.pdf"
    return Reply("\n".join(lines), _letter_buttons(result)[:2], document=(name, content))


# -- once it is sent ------------------------------------------------------------------------------


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
    ]
    more = (
        button("In 1 more week", "claimdue", claim.fault, 7),
        button("The letter again", "claim", claim.fault),
    )
    text = (
        f"{claim_line(claim, view)} What came back? Or a new day: /claim {claim.number} by 12 Dec."
    )
    return Reply(text, (tuple(ends), more))


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
        again = (button("Letter again", "claim", result.id), button("Fixed", "fixed", result.id))
        return Reply(text, (again,))
    if result.outcome == "replaced":
        name = f", serial {esc(result.serial)}" if result.serial else ""
        where = f" It is {label}'s now." if label else ""
        text = f"New {thing}{name}.{where} Fault {result.number} stays with the old one, closed."
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
    return Reply("\n".join(lines), ((button("It's back", "faultback", result.id),),))


SAID: dict[type, Wording] = {
    ClaimLetter: letter,
    ClaimSent: sent,
    ClaimStands: stands,
    ClaimsOut: out,
    SerialWanted: serial_wanted,
    ClaimEnded: ended,
}
