"""What people read about what happened to a kit."""

from __future__ import annotations

from datetime import timedelta

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    by_others,
    capital,
    esc,
    listed,
    rows,
    until,
    when,
)
from clubbot.rules.results import History, HistoryCorrected, HistoryEntry, HistoryLine

_AT_ONCE = timedelta(minutes=5)
"""What is said within this of its happening needs no second time beside it."""


def history(result: History, view: View) -> Reply:
    label = esc(result.kit.label)
    if not result.lines:
        return Reply(f"Nothing is noted of {label} yet.")
    first = result.skipped + 1
    last = result.skipped + len(result.lines)
    lines = [f"<b>{label}</b>: {first} to {last} of {result.total}, the newest first"]
    lines += [f"{place}. {_line(each, view)}" for place, each in enumerate(result.lines, first)]
    if any(each.mine for each in result.lines):
        lines.append("Not so? Tap its number.")
    picked = [
        button(str(place), "entry", result.kit.id, each.seq, result.skipped)
        for place, each in enumerate(result.lines, first)
        if each.mine
    ]
    return Reply("\n".join(lines), (*rows(picked, 6), *_turn(result)))


def _turn(result: History) -> tuple[tuple[Button, ...], ...]:
    kit, found = result.kit.id, []
    if result.skipped:
        found.append(button("Newer", "history", kit, max(result.skipped - result.page, 0)))
    if result.skipped + len(result.lines) < result.total:
        found.append(button("Older", "history", kit, result.skipped + result.page))
    return (tuple(found),) if found else ()


def _line(each: HistoryLine, view: View) -> str:
    text = f"{capital(when(each.at, view))} {_what(each, view)}"
    if each.said_at - each.at > _AT_ONCE:
        text += f", said {until(each.said_at, view)}"
    text += f". {esc(each.by)}" if each.by else ""
    if each.not_so_at is not None:
        by = f" {esc(each.not_so_by)}," if each.not_so_by else ""
        text += f" <b>Not so</b>:{by} {until(each.not_so_at, view)}"
    return text


def _what(each: HistoryLine, view: View) -> str:
    """Say what happened, without when and by whom."""
    words = f"its {esc(each.thing)} {esc(each.what)}" if each.thing else esc(each.what)
    if each.team:
        words += f" {'to' if each.what == 'passed on' else 'with'} {esc(each.team.name)}"
    if each.due:
        words += f", until {until(each.due, view)}"
    if each.parts:
        gone = listed([f"{number} {esc(name, 60)}" for name, number in each.parts])
        words += f": missing {gone}" if each.what == "counted" else f": {gone}"
    if each.percent is not None:
        words += f": {each.percent} %"
    note = by_others(each.note, view, 120)
    return words + (f" ({note})" if note else "")


def entry(result: HistoryEntry, view: View) -> Reply:
    kit, line = result.kit.id, result.line
    back = button("Back to the list", "history", kit, result.skipped)
    shown = f"<b>{esc(result.kit.label)}</b>: {_line(line, view)}."
    if not line.mine:
        return Reply(shown, ((back,),))
    if line.not_so_at is not None:
        yes = button("It was so after all", "wasso", kit, line.seq)
        return Reply(f"{shown}\nShall it stand again?", ((yes, back),))
    yes = button("It wasn't so", "notso", kit, line.seq)
    return Reply(f"{shown}\nWasn't it so? Bookings follow.", ((yes, back),))


def corrected(result: HistoryCorrected, view: View) -> Reply:
    line = result.line
    how = "stands again" if result.again else "wasn't so"
    text = (
        f"Put right: {esc(result.kit.label)} {_what(line, view)}, {when(line.at, view)}, {how}. "
        "The line stays in the history."
    )
    return Reply(text, ((button("Back to the list", "history", result.kit.id, 0),),))


SAID: dict[type, Wording] = {
    History: history,
    HistoryEntry: entry,
    HistoryCorrected: corrected,
}
