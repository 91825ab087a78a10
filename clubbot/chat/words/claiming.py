"""A letter to the supplier: plain and polite, with what the club knows, ready to be copied."""

from __future__ import annotations

from datetime import date

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.phrases import Reply, View, Wording, button, esc, local
from clubbot.chat.words.triage import checks_line
from clubbot.rules.results import ClaimedItem, ClaimLetter, ClaimSent

VIDEO_NEEDED = (
    "A short video of the fault helps most. No video is kept yet: send one here after a report. "
    "Look first that no child is seen or heard."
)
VIDEO_CHECK = "Before you add the pictures: is no child seen or heard in them?"


def letter(result: ClaimLetter, view: View) -> Reply:
    fault = result.fault
    day = _day(local(fault.reported_at, view).date())
    kit = f" ({esc(fault.kit.label)})" if fault.kit else ""
    lines = [
        f"<b>Letter about fault {fault.number}, to copy:</b>",
        "Dear Sir or Madam,",
        f"one of our robot kits{kit} has a fault: {SYMPTOMS[fault.symptom]}. "
        f"It was first noticed on {day}.",
    ]
    if fault.said:
        lines.append(f"As reported: \u201c{esc(fault.said)}\u201d")
    lines += [_item(item) for item in result.items]
    if checks := checks_line(fault.checked).strip():
        lines.append(checks)
    if pictures := _pictures(result):
        lines.append(f"We add {pictures}.")
    lines += [
        "Please tell us how to send it in, and whether the warranty covers the repair.",
        f"Kind regards, {esc(result.by)}, {esc(result.club)}",
        "",
        VIDEO_CHECK if result.videos else VIDEO_NEEDED,
    ]
    if not result.items:
        lines.append("Add serial and date of purchase by hand: none are noted for this kit.")
    if result.mended:
        lines.append("A check is noted as having helped. Try the kit again before you write.")
    return Reply("\n".join(lines), ((button("It is sent", "claimsent", fault.id),),))


def _item(item: ClaimedItem) -> str:
    facts = [f"serial {esc(item.serial)}" if item.serial else "serial not noted"]
    if item.bought_on:
        facts.append(f"bought {_day(item.bought_on)}")
    if item.warranty_until:
        facts.append(f"warranty until {_day(item.warranty_until)}")
    return f"{esc(item.kind.capitalize())}: {', '.join(facts)}."


def _day(day: date) -> str:
    """Return a day as a letter has it: with its year, never today or tomorrow."""
    return f"{day.day} {day:%B %Y}"


def _pictures(result: ClaimLetter) -> str:
    parts = []
    for count, name in ((result.photos, "photo"), (result.videos, "video")):
        if count:
            parts.append(f"{count} {name}{'' if count == 1 else 's'}")
    return " and ".join(parts)


def sent(result: ClaimSent, view: View) -> Reply:
    return Reply(
        f"Fault {result.number} waits for the supplier now. "
        f"When it is back: /fixed {result.number} and what they did."
    )


SAID: dict[type, Wording] = {ClaimLetter: letter, ClaimSent: sent}
