"""What people read about what they tell afterwards."""

from __future__ import annotations

from collections.abc import Callable

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    labels,
    listed,
    local,
)
from clubbot.rules.results import EveningRead, EveningWritten, ToldAsk, ToldLine


def read(result: EveningRead, view: View) -> Reply:
    asks = [_ask(each) for each in result.asks]
    if not result.lines:
        hint = "Such as: /log all out 15:30, K for F, all back 17:00, G flat"
        return Reply("\n".join(["Nothing to write down yet.", *asks, hint]))
    day = capital(day_name(result.day, local(view.now, view).date()))
    lines = [f"<b>{day}</b>, as I read it:", *(_line(line, view) for line in result.lines), *asks]
    if any(line.assumed for line in result.lines):
        lines.append("* no time was said")
    lines.append("Right? Or type what is different.")
    yes = "Yes, write the rest" if asks else "Yes, write it down"
    return Reply("\n".join(lines), ((button(yes, "logyes"), button("Forget it", "stop")),))


def written(result: EveningWritten, view: View) -> Reply:
    day = day_name(result.day, local(view.now, view).date())
    lines = [f"Written down for {day}:", *(_line(line, view) for line in result.lines)]
    if result.faults:
        numbers = listed([str(number) for number in result.faults])
        lines.append(f"Fault{'' if len(result.faults) == 1 else 's'} {numbers}: /faults")
    lines += [f"Not written: {_ask(each)[2:]}" for each in result.asks]
    lines.append("Something different? Type it, such as: /log A back 17:10")
    # A fault alone is no entry of a kit's: what "Undo" would find is something before it.
    undo = any(line.what != "fault" for line in result.lines)
    return Reply("\n".join(lines), ((button("Undo", "undo"),),) if undo else ())


def _line(line: ToldLine, view: View) -> str:
    at = f"{local(line.at, view):%H:%M}{'*' if line.assumed else ''}"
    kits, whose = labels(line.kits), f" with {esc(line.team.name)}" if line.team else ""
    match line.what:
        case "instead":
            instead = esc(line.instead.label) if line.instead else ""
            text = f"{kits} out instead of {instead}{whose}"
        case "short":
            text = f"{kits} short of {_parts(line.parts)}"
        case "fault":
            text = f"{kits}: fault, \u201c{esc(line.said, 80)}\u201d"
        case "not so":
            text = f"{kits}: what was noted wasn't so"
        case "passed on":
            text = f"{kits} passed on{whose.replace(' with ', ' to ')}"
        case _:
            text = f"{kits} {esc(line.what)}{whose}"
    return f"\u2022 {at} {text}{' (put right)' if line.corrects else ''}"


def _parts(parts: tuple[tuple[str, int], ...]) -> str:
    return listed([f"{number} {esc(name, 60)}" for name, number in parts])


def _ask(each: ToldAsk) -> str:
    return "? " + _ASKS[each.why](each)


_ASKS: dict[str, Callable[[ToldAsk], str]] = {
    "unread": lambda each: f"\u201c{esc(each.said, 120)}\u201d: I can't read that.",
    "when": lambda each: f"{esc(each.label)}: when did it come back? Type the time.",
    "planned": lambda each: (
        f"{esc(each.label)} for {esc(each.other)}: {esc(each.other)} wasn't to go out then. "
        f"Who had {esc(each.label)}? Such as: {esc(each.label)} for Red"
    ),
    "whose": lambda each: (
        f"{esc(each.label)} for {esc(each.other)}: {esc(each.label)} was to go to another team. "
        "What did they have?"
    ),
    "no kits": lambda each: f"\u201c{esc(each.said, 80)}\u201d: which kits?",
    "to come": lambda each: f"\u201c{esc(each.said, 80)}\u201d: that is still to come.",
    "out": lambda each: (
        f"\u201c{esc(each.said, 80)}\u201d: {esc(each.label)} was out then already."
    ),
    "not out": lambda each: (
        f"\u201c{esc(each.said, 80)}\u201d: {esc(each.label)} wasn't out then."
        if each.label
        else f"\u201c{esc(each.said, 80)}\u201d: nothing was out then."
    ),
    "not in use": lambda each: (
        f"\u201c{esc(each.said, 80)}\u201d: {esc(each.label)} is out of use. /kit shows why."
    ),
}

SAID: dict[type, Wording] = {EveningRead: read, EveningWritten: written}
