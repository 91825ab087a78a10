"""A letter to the supplier: plain and polite, with what the club knows."""

from __future__ import annotations

from datetime import date

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.mending import STEPS, counted
from clubbot.chat.words.of_claims import CARE
from clubbot.chat.words.of_faults import checks_done, checks_line
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
    ClaimLetter,
    RunTest,
)

VIDEO_NEEDED = (
    "A short video of the fault helps most. No video is kept yet: tap \u201cAdd a video\u201d and "
    "send one. Look first that no child is seen or heard."
)
OUTSIDE = frozenset({"fixed", "back", "out of use", "on hold"})
"""The steps that a supplier is told of: what the club says among itself stays there."""
GREETING = "Dear Sir or Madam,"
ASKED = "Please tell us how to send it in, and whether the warranty covers the repair."
SAFELY = (
    "We don't post it. Please tell us how it is handed over safely, and whether the warranty "
    "covers it."
)
"""What is asked instead where it may hurt somebody: a damaged battery is no parcel."""


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
    lines += [_asks(result), f"Kind regards, {esc(result.by)}, {esc(result.club)}", ""]
    lines += _to_do(result)
    return Reply("\n".join(lines), _letter_buttons(result))


def _letter_buttons(result: ClaimLetter) -> tuple[tuple[Button, ...], ...]:
    fault = result.fault
    buttons = [button("As a PDF", "claimpdf", fault.id)]
    if result.unseen:
        buttons.append(button("\u2713 No child seen or heard", "looked", fault.id))
    if not fault.danger:
        what = "Add a picture" if result.has_video else "Add a video"
        buttons.append(button(what, "faultpicture", fault.id))
    if not fault.at_supplier:
        buttons.append(button("It is sent", "claimsent", fault.id))
    return rows(buttons, 2)


def _asks(result: ClaimLetter) -> str:
    return SAFELY if result.fault.danger else ASKED


def _kind(result: ClaimLetter) -> str:
    """Return ": motor fault", or nothing where only the words that follow say what was seen."""
    fault = result.fault
    return "" if fault.symptom == "unclear" else f": {SYMPTOMS[fault.symptom]}"


def _opening(result: ClaimLetter, view: View) -> list[str]:
    """Return what is wrong and since when, as plain text."""
    fault = result.fault
    kit = f" ({fault.kit.label})" if fault.kit else ""
    what = f"the {fault.thing} of one of our robot kits" if fault.thing else "one of our robot kits"
    noticed = _day(local(fault.reported_at, view).date())
    has = "may be dangerous" if fault.danger else f"has a fault{_kind(result)}"
    found = [f"{what}{kit} {has}. It was first noticed on {noticed}."]
    if fault.said:
        found.append(f"As reported: \u201c{fault.said}\u201d")
    return found


def _to_do(result: ClaimLetter) -> list[str]:
    lines = []
    if result.fault.danger:
        lines.append(CARE)
    elif not result.has_video:
        lines.append(VIDEO_NEEDED)
    if result.fault.said:
        lines.append("Look through what was reported: take names out before you send it.")
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
    after = [f"We add {pictures}." if pictures else "", _asks(result)]
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
    kind = ", as dangerous" if fault.danger else _kind(result)
    found = [(fault.reported_at, f"first noticed{kind}")]
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


SAID: dict[type, Wording] = {ClaimLetter: letter}
