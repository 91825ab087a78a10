"""What people read about counting a tray."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    day_name,
    esc,
    listed,
    local,
    rows,
)
from clubbot.rules.results import Counted, CountLine, CountsDue, CountSheet


def counts_due(result: CountsDue, view: View) -> Reply:
    if not result.lines:
        return Reply("No full count today: all were counted lately. One anyway: /count D")
    lines = [f"\u2022 {esc(line.kit.label)}: {why(line, view)}" for line in result.lines]
    buttons = [button(f"Count {line.kit.label}", "countkit", line.kit.id) for line in result.lines]
    return Reply("\n".join(["Full count today, please:", *lines]), rows(buttons[:24], 3))


def why(line: CountLine, view: View) -> str:
    """Say why a kit is to be counted."""
    if line.why == "missing":
        return "something is missing"
    if line.why == "away":
        return "it was away"
    if line.counted_at is None:
        return "never counted"
    day = day_name(local(line.counted_at, view).date(), local(view.now, view).date())
    return f"not counted since {day}"


def sheet(result: CountSheet, view: View) -> Reply:
    """Show the list with a button for each part: one tap, one missing."""
    label = esc(result.kit.label)
    done = button("Done" if _gone(result) else "All there", "counted", result.kit.id)
    if not result.parts:
        return Reply(
            f"{label}: its kit type has no contents list yet. Count it as you know it. "
            f"Something missing? Type it, such as: /log {label} short 2 cables",
            ((done,),),
        )
    buttons = [
        button(_part(name, number, missing), "countless", result.kit.id, place)
        for place, (name, number, missing) in enumerate(result.parts[:84])
    ]
    text = f"<b>{label}</b>: tap only what is missing, once for each."
    gone = _gone(result)
    if gone:
        text += f" Missing: {listed(gone)}."
    return Reply(text, (*rows(buttons, 2), (done,)))


def _gone(result: CountSheet) -> list[str]:
    return [f"{missing} {esc(name, 40)}" for name, _, missing in result.parts if missing]


def _part(name: str, number: int, missing: int) -> str:
    return f"{name}: {number - missing} of {number}" if missing else f"{number} {name}"


def counted(result: Counted, view: View) -> Reply:
    label = esc(result.kit.label)
    if not result.missing:
        text = f"{label} counted: all there."
    else:
        text = f"{label} counted. Missing: {_parts(result.missing)}."
    if result.new and result.since:
        day = day_name(local(result.since, view).date(), local(view.now, view).date())
        text += f" New since {day}: {_parts(result.new)}."
    if result.back:
        text += f" Found again: {_parts(result.back)}."
    return Reply(text, ((button("Undo", "undo"),),))


def _parts(parts: tuple[tuple[str, int], ...]) -> str:
    return listed([f"{number} {esc(name, 60)}" for name, number in parts])


SAID: dict[type, Wording] = {CountsDue: counts_due, CountSheet: sheet, Counted: counted}
