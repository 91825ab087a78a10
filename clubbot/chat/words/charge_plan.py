"""What people read of a charge plan: who goes on when, who needn't, and what can't be made."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from clubbot.chat.words.phrases import (
    View,
    capital,
    esc,
    labels,
    listed,
    local,
    number_of_kits,
    span,
    when,
)
from clubbot.chat.words.things import named
from clubbot.rules.results import ChargeStep, ChargeSteps

_MOST_LINES = 40
_NO_WAY = "I know of no way to do it in time: drive less, or charge in between."


def plan_lines(plan: ChargeSteps, view: View) -> list[str]:
    lines = []
    if plan.steps:
        lines.append("<b>In this order</b>, only while an adult is there:")
        lines += _walks(plan, view)
        lines.append(_least(plan, view))
    lines += [
        f"Bay {bay} stays empty: {esc(kit.label)} was on it and is on hold."
        for kit, bay in plan.empty
    ]
    if plan.enough:
        lines.append(f"Full enough as they are, as far as I know: {labels(plan.enough)}.")
    if plan.beyond:
        many = f" Use {labels(plan.instead[:4])}" if plan.instead else " Use another kit"
        isnt = "isn't" if len(plan.beyond) == 1 else "aren't"
        lines.append(
            f"Even full, {labels(plan.beyond)} {isnt} sure to last.{many}, or charge in between."
        )
    if plan.tablets_beyond:
        tablets = labels(plan.tablets_beyond)
        lines.append(f"Tablet {tablets}: even full, not sure to last. Plug it in while they build.")
    if plan.short:
        lines += _short(plan, view)
    return lines


def _walks(plan: ChargeSteps, view: View) -> list[str]:
    """Return one line for each moment at which somebody goes to the chargers."""
    by_start: dict[datetime, list[ChargeStep]] = {}
    for step in plan.steps:
        by_start.setdefault(step.window.start, []).append(step)
    lines = [
        f"{number}. {capital(when(start, view))}: put on {_lot(group, plan, view)}."
        for number, (start, group) in enumerate(by_start.items(), 1)
    ]
    if len(lines) > _MOST_LINES:
        more = len(lines) - _MOST_LINES
        lines = [*lines[:_MOST_LINES], f"… and {more} more; /charge shows them nearer the day."]
    return lines


def _lot(steps: Sequence[ChargeStep], plan: ChargeSteps, view: View) -> str:
    """Return what goes on at one moment, those together that come off together."""
    alike: dict[tuple[datetime, bool], list[ChargeStep]] = {}
    for step in steps:
        alike.setdefault((step.window.end, step.last), []).append(step)
    return "; ".join(_until(group, plan, view) for group in alike.values())


def _until(steps: Sequence[ChargeStep], plan: ChargeSteps, view: View) -> str:
    bays = plan.bays is not None
    rest = "" if steps[0].last else ", the rest of the charge later"
    end = f"until {local(steps[0].window.end, view):%H:%M}{rest}"
    if len(steps) == 1:
        bay = f" on bay {steps[0].bay}" if bays and not steps[0].own else ""
        return f"{named(steps[0])}{bay} {end}"
    each = [
        f"{named(step)} (bay {step.bay})" if bays and not step.own else named(step)
        for step in steps
    ]
    return f"{listed(each)} {end}"


def _least(plan: ChargeSteps, view: View) -> str:
    """Say when all is enough and how often somebody walks, beside what no plan can better."""
    walks = len({step.window.start for step in plan.steps})
    if plan.enough_at is None:
        return f"{_times(walks)}."
    text = f"{_times(walks)}, enough by {when(plan.enough_at, view)}"
    if plan.short or plan.not_before is None:
        return f"{text}."
    if walks == plan.moments and plan.enough_at <= plan.not_before:
        return f"{text}: no plan does better."
    least = f"{_times(plan.moments)}, by {when(plan.not_before, view)}"
    return f"{text}. At best it could be {least}."


def _times(walks: int) -> str:
    return f"{walks} walk{'' if walks == 1 else 's'}"


def _short(plan: ChargeSteps, view: View) -> list[str]:
    lines = [
        f"Tablet {esc(each.kit.label)}: too little time to charge it by "
        f"{when(each.deadline, view)}. Plug it in while they build."
        for each in plan.short
        if each.own
    ]
    if units := [each for each in plan.short if not each.own]:
        each = [
            f"{esc(one.kit.label)}, {one.minutes} min by {when(one.deadline, view)}"
            for one in units
        ]
        lines.append(f"<b>Too little time to charge</b> {'; '.join(each)}.")
        ways = _ways(plan, len(units), view)
        found = f"What would help: {listed(ways, 'or')}." if ways else _NO_WAY
        lines.append(found)
        if not plan.hours:
            lines.append("/hours adds times with an adult.")
    return lines


def _ways(plan: ChargeSteps, kits: int, view: View) -> list[str]:
    """Return what would help, each by itself."""
    ways = []
    if plan.instead:
        ways.append(f"{labels(plan.instead[:kits])} instead")
    if plan.lunch is not None:
        ways.append(f"an adult in the lunch break {span(plan.lunch, view)}")
    if plan.more_bays is not None and plan.bays is not None:
        ways.append(f"{plan.more_bays} more bay{'' if plan.more_bays == 1 else 's'}")
    if plan.adult_from is not None:
        ways.append(f"an adult in the room {span(plan.adult_from, view)}")
    if plan.fewer:
        ways.append(f"{number_of_kits(plan.fewer)} fewer")
    return ways
