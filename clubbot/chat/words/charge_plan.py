"""What people read of a charge plan: who goes on when, who needn't, and what can't be made."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from clubbot.chat.words.lots import named
from clubbot.chat.words.phrases import (
    View,
    capital,
    esc,
    labels,
    listed,
    local,
    number_of_kits,
    span,
    until,
    when,
)
from clubbot.rules.results import ChargeStep, ChargeSteps

_MOST_LINES = 40


def plan_lines(plan: ChargeSteps, view: View) -> list[str]:
    lines = []
    if plan.on:
        each = [f"{named(one)} until {until(one.until, view)}" for one in plan.on]
        lines.append(f"On now: {listed(each)}.")
    if plan.steps:
        lines.append("<b>In this order</b>, only while an adult is there:")
        lines += _walks(plan, view)
        lines.append(_least(plan, view))
    if plan.enough:
        lines.append(f"Full enough as they are, as far as I know: {labels(plan.enough)}.")
    if plan.beyond:
        many = f" Use {labels(plan.instead[:4])}" if plan.instead else " Use another kit"
        lines.append(
            f"Charging won't be enough for {labels(plan.beyond)}: even full, not sure to last."
            f"{many}, or charge in between."
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
    """Say when all is done and how often somebody walks, beside what no plan can be better than."""
    done = max(step.window.end for step in plan.steps)
    walks = len({step.window.start for step in plan.steps})
    text = f"{walks} walk{'' if walks == 1 else 's'}, done {when(done, view)}"
    if plan.short or plan.not_before is None:
        return f"{text}."
    if walks == plan.moments and done <= plan.not_before:
        return f"{text}: no plan does better."
    least = f"{plan.moments} walk{'' if plan.moments == 1 else 's'}"
    return f"{text}. At best it could be {least}, done {when(plan.not_before, view)}."


def _short(plan: ChargeSteps, view: View) -> list[str]:
    lines = [
        "<b>Too little time to charge</b> "
        + "; ".join(
            f"{'tablet ' if each.own else ''}{esc(each.kit.label)}, {each.minutes} min by "
            f"{when(each.deadline, view)}"
            for each in plan.short
        )
        + "."
    ]
    ways = []
    if plan.lunch is not None:
        ways.append(f"an adult in the lunch break {span(plan.lunch, view)}")
    if plan.more_bays is not None and plan.bays is not None:
        ways.append(f"{plan.more_bays} more bay{'' if plan.more_bays == 1 else 's'}")
    if plan.adult_from is not None:
        ways.append(f"an adult in the room {span(plan.adult_from, view)}")
    if plan.fewer:
        ways.append(f"{number_of_kits(plan.fewer)} fewer")
    lines.append(f"What would help: {listed(ways, 'or')}.")
    if not plan.hours:
        lines.append("I know of no hours with an adult until then: /hours adds them.")
    return lines
