"""What people read about how good batteries still are."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Button,
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
from clubbot.rules.energy.survival import FleetRuns
from clubbot.rules.model import Role
from clubbot.rules.results import BatteryClaim, BatteryHealth, RunTimeLine, RunTimes, ShortUses

_COLLECT = (
    "A battery that is done goes to a collection point, its contacts taped, never in the bin. "
    "Swollen, hot or damaged: leave it where it can do no harm and call an adult."
)
_ALMOST_CERTAIN = 95
_ADULTS = (Role.LEADER, Role.CO_LEADER)


def run_times(result: RunTimes, view: View) -> Reply:
    lines = [
        f"<b>Batteries</b>: a week's sessions ask for {result.need} min of driving from full. "
        "What each gives, in minutes:"
    ]
    groups = (
        (("weak", False), "Almost certainly too weak"),
        (("short uses", False), "For short uses only"),
        (("weak", True), "Too weak in the last test; test again when surely full"),
        (("short uses", True), "Short in the last test; test again when surely full"),
        (("unsure", False), "May be weak, a run-time test would tell"),
        (("good", False), "Good"),
    )
    if held := [esc(line.kit.label) for line in result.lines if line.held]:
        lines.append(f"On hold, don't charge or use: {listed(held)}.")
    for which, said in groups:
        alike = (line for line in result.lines if (line.verdict, line.doubted) == which)
        each = [_given(line) for line in alike if not line.held]
        if each:
            lines.append(f"{said}: {listed(each)}.")
    if said := half_of_them(result.fleet, past=True):
        lines.append(f"In their last tests {said}.")
    looks = [
        button(f"Look at {line.kit.label}", "health", line.kit.id)
        for line in result.lines
        if line.verdict != "good"
    ]
    return Reply("\n".join(lines), rows(looks[:12], 3))


def _given(line: RunTimeLine) -> str:
    return f"{esc(line.kit.label)} {line.run[0]} to {line.run[2]}"


def half_of_them(fleet: FleetRuns, *, past: bool = False) -> str:
    """Say what half of a fleet and nine in ten of it run; nothing where that isn't known."""
    half, most, run = fleet.half, fleet.nine_in_ten, "ran" if past else "run"
    if half is None:
        return f"nine in ten {run} {most} min or more" if most is not None else ""
    more = f", nine in ten at least {most}" if most is not None else ""
    return f"half of them {run} {half} min or more{more}"


def evidence(result: BatteryHealth) -> str:
    """Return in one line what shows how good a battery is, plain."""
    beside = f", the others {result.others[0]} to {result.others[2]}" if result.others else ""
    text = f"This battery gives {result.run[0]} to {result.run[2]} minutes{beside}"
    if result.tested is not None:
        ran = "ran" if result.tested.ended else "still ran after"
        text += f"; it {ran} {result.tested.minutes} in its last run-time test"
    if result.ran_flat:
        times = "once" if result.ran_flat == 1 else f"{result.ran_flat} times"
        text += f"; it ran flat {times}"
    return f"{text}."


def battery_health(result: BatteryHealth, view: View) -> Reply:
    lines = [f"<b>Battery of {esc(result.kit.label)}</b>. {esc(evidence(result))}"]
    lines.append(_verdict(result))
    if result.short_minutes is not None:
        lines.append(f"It is for uses up to {result.short_minutes} min only.")
    if result.out_of_use:
        lines.append("The kit is out of use.")
    if result.warranty is not None and result.verdict in ("weak", "short uses"):
        today = local(view.now, view).date()
        lines.append(f"Under warranty until {day_name(result.warranty, today)}.")
    if result.verdict == "weak":
        lines.append(_COLLECT)
    return Reply("\n".join(lines), _buttons(result, view))


def _verdict(result: BatteryHealth) -> str:
    if result.held is not None:
        note = f" ({esc(result.held)})" if result.held else ""
        return f"On hold{note}: don't charge or use it, whatever it gives."
    if result.verdict in ("weak", "short uses") and result.below < _ALMOST_CERTAIN:
        label = esc(result.kit.label)
        return (
            f"By its test it is below the {result.need} you need. Wasn't it full at the start? "
            f"Then charge it and test it again: /testday {label}."
        )
    match result.verdict:
        case "weak":
            return f"Almost certainly below the {result.need} you need. Charging won't fix it."
        case "short uses":
            return (
                f"Almost certainly below the {result.need} you need for a week, but good for one "
                f"session ({result.session} min) a charge."
            )
        case "unsure":
            return (
                f"It may be below the {result.need} you need. A run-time test would tell: /testday "
                f"{esc(result.kit.label)}."
            )
        case _:
            return f"Good for the {result.need} you need."


def _buttons(result: BatteryHealth, view: View) -> tuple[tuple[Button, ...], ...]:
    if view.role not in _ADULTS:
        return ()
    kit, found = result.kit.id, []
    if result.verdict != "good":
        if not result.out_of_use:
            found.append(button("Out of use", "batout", kit))
        if result.warranty is not None and result.fault is None:
            found.append(button("Claim", "batclaim", kit))
        if result.short_minutes is None:
            found.append(button("Short uses only", "batshort", kit, "only"))
    if result.short_minutes is not None:
        found.append(button("All uses again", "batshort", kit, "all"))
    return rows(found, 2)


def short_uses(result: ShortUses, view: View) -> Reply:
    label = esc(result.kit.label)
    if result.minutes is None:
        text = f"{label} is for all uses again."
    else:
        text = f"{label} is for uses up to {result.minutes} min only: longer ones get another kit."
    if result.moved:
        each = [
            f"booking {number}: {esc(new)} instead of {esc(old)}"
            for number, old, new in result.moved
        ]
        text += f" {listed(each).capitalize()}."
    if result.short:
        numbers = listed([str(number) for number in result.short])
        text += f" Short of a kit now: booking {numbers}."
    return Reply(text, ((button("Undo", "undo"),),))


def battery_claim(result: BatteryClaim, view: View) -> Reply:
    return Reply(
        f"Noted as a fault of {esc(result.kit.label)}: {esc(result.evidence)}",
        ((button("Undo", "undo"),),),
    )


SAID: dict[type, Wording] = {
    BatteryClaim: battery_claim,
    BatteryHealth: battery_health,
    RunTimes: run_times,
    ShortUses: short_uses,
}
