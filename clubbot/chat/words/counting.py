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

_MOST_PARTS = 84
_MANY = 10


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
    if result.box is not None and result.box < len(result.boxes):
        return _one_box(result, result.box)
    buttons = [
        button(_part(name, number, missing), "countless", result.kit.id, place)
        for place, (name, number, missing) in enumerate(result.parts[:_MOST_PARTS])
        if not result.boxes or _lies(result, place) < 0
    ]
    buttons += [
        button(_box(result, box), "countbox", result.kit.id, box)
        for box in range(min(len(result.boxes), _MOST_PARTS - len(buttons)))
    ]
    text = f"<b>{label}</b>: tap only what is missing, once for each."
    if result.boxes:
        text = f"<b>{label}</b>: look into each compartment. Tap one where something is missing."
    return Reply(text + _typed(result) + _so_far(result), (*rows(buttons, 2), (done,)))


def _typed(result: CountSheet) -> str:
    """Say how a number is typed, until somebody has: many small parts are quicker so."""
    many = next((each for each in result.parts if each[1] >= _MANY), None)
    if many is None or result.told is not None:
        return ""
    name = esc(many[0], 40)
    return f" Or type how many there are, or their weight: {name} {many[1] - 1}, {name} 143 g."


def _one_box(result: CountSheet, box: int) -> Reply:
    """Show one compartment's parts."""
    buttons = [
        button(_part(name, number, missing), "countless", result.kit.id, place)
        for place, (name, number, missing) in enumerate(result.parts[:_MOST_PARTS])
        if _lies(result, place) == box
    ]
    back = button("The whole tray", "countbox", result.kit.id, len(result.boxes))
    text = (
        f"<b>{esc(result.kit.label)}</b>, {esc(result.boxes[box], 40)}: tap what is missing, once "
        "for each."
    )
    return Reply(text + _so_far(result), (*rows(buttons, 2), (back,)))


def _lies(result: CountSheet, place: int) -> int:
    return result.lies[place] if place < len(result.lies) else -1


def _box(result: CountSheet, box: int) -> str:
    """Name a compartment with how many pieces it lacks."""
    gone = sum(
        missing for place, (_, _, missing) in enumerate(result.parts) if _lies(result, place) == box
    )
    return f"{result.boxes[box]}: {gone} missing" if gone else result.boxes[box]


def _so_far(result: CountSheet) -> str:
    """Say what was just typed or weighed, and what is missing so far."""
    text = ""
    if result.told is not None:
        name, number, same = result.told
        as_known = ", as known" if same else ""
        text += f" That makes {number} {esc(name, 60)}{as_known}."
    gone = _gone(result)
    return f"{text} Missing: {listed(gone)}." if gone else text


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
    if result.new and result.since and view.role.adult:
        day = day_name(local(result.since, view).date(), local(view.now, view).date())
        text += f" New since {day}: {_parts(result.new)}."
    if result.back:
        text += f" Found again: {_parts(result.back)}."
    return Reply(text, ((button("Undo", "undo"),),))


def _parts(parts: tuple[tuple[str, int], ...]) -> str:
    return listed([f"{number} {esc(name, 60)}" for name, number in parts])


SAID: dict[type, Wording] = {CountsDue: counts_due, CountSheet: sheet, Counted: counted}
