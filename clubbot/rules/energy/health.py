"""How good a battery still is: against what the club asks of one, and against the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

from clubbot.rules.energy.belief import Belief, Range, chance_worn
from clubbot.rules.energy.needs import used
from clubbot.rules.energy.survival import RunTime
from clubbot.rules.model import Window

ALMOST_CERTAIN = 0.95
LIKELY = 0.3
_SHARE = 0.75
"""A club that asks for more than this share of what its type usually gives charges in between;
common practice, no source."""
_SURE = 0.9

Verdict = Literal["good", "unsure", "short uses", "weak"]


@dataclass(frozen=True, slots=True)
class Need:
    """Minutes of driving that a full charge is to give: for a week's sessions, and for one."""

    week: int
    session: int


def need(sessions: Sequence[Window], driving_percent: int, usual: int) -> Need:
    """Return what a week's sessions ask of a battery that is charged once for them.

    It is never more than three quarters of what the type usually gives, nor less than a session.
    """
    driving = [used(window, driving_percent).minutes for window in sessions]
    one = round(max(driving, default=usual / 4))
    return Need(max(one, min(round(sum(driving)), round(_SHARE * usual))), one)


@dataclass(frozen=True, slots=True)
class Health:
    """A battery's run time, the chance that it is below the week's need, and what to make of it.

    weak: almost certainly below what a week needs, and not sure to last one session.
    short uses: almost certainly below what a week needs, but good for one session a charge.
    unsure: it may be below, which a run-time test would settle, and does once it was made.
    """

    run: Range
    below: float
    verdict: Verdict


def health(belief: Belief, asked: Need, last: RunTime | None = None) -> Health:
    """Return what is to be made of a battery, of which `last` is the last run-time test."""
    below = chance_worn(belief, asked.week)
    if below >= ALMOST_CERTAIN:
        lasts_one = 1 - chance_worn(belief, asked.session) >= _SURE
        return Health(belief.run_time, below, "short uses" if lasts_one else "weak")
    if below < LIKELY:
        return Health(belief.run_time, below, "good")
    said = tested(last, asked) if last is not None else "unsure"
    return Health(belief.run_time, below, said if said != "good" else "unsure")


def tested(run: RunTime, asked: Need) -> Verdict:
    """Return what is to be made of a battery that ran for so long from full."""
    if run.minutes >= asked.week:
        return "good"
    if not run.ended:
        return "unsure"
    return "short uses" if run.minutes >= asked.session else "weak"


def others(ranges: Sequence[Range]) -> Range | None:
    """Return the usual range of several batteries: the middle of their bounds."""
    if not ranges:
        return None
    return Range(
        median(each.low for each in ranges),
        median(each.middle for each in ranges),
        median(each.high for each in ranges),
    )
