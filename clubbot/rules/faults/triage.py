"""From a symptom to its cause: the next check by expected cost, and when to stop checking.

Each check works or not; a check works with a stated chance where its cause is the one. Causes that
stay possible are weighed by Bayes' rule. The order follows decision-theoretic troubleshooting
(Heckerman, Breese, Rommelse: Decision-theoretic troubleshooting, CACM 38(3), 1995): where each
cause is told by one check, trying them by probability over cost is cheapest; here checks may share
causes and stopping has a price, so the least expected cost is found over all orders, which the
chance of being left with the fault makes a small recursion over sets of checks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from clubbot.rules.faults.knowledge import Check, Hands, Knowledge
from clubbot.rules.faults.symptoms import Symptom

SOMETHING_ELSE = 0.06
"""The share of faults that no listed cause explains; an estimate, no source."""
COUNTS_AS = 20
"""How many closed faults of the club's own weigh as much as the shares of the file."""
ADULT_MINUTES = 25
"""What it costs to hand a fault to an adult outside a session; an estimate, no source."""
SWAP_MINUTES = 5
"""What it costs in a session to go on with another kit; an estimate, no source."""
IN_SESSION = 2
"""At most so many questions while a session runs."""
WEIGHED_TOGETHER = 10
"""How many checks are looked at in all orders; more wait until these are answered."""
SURE = 0.7
"""From this share on a cause that was found ends the checking."""


class Outcome(StrEnum):
    WORKED = "worked"
    SAME = "same"
    CANT = "cant"


class End(StrEnum):
    """How checking ends."""

    FIXED = "fixed"
    SWAP = "swap"
    ADULT = "adult"
    SUPPLIER = "supplier"


Done = Sequence[tuple[str, Outcome]]
"""Checks done so far with what came of them, the first one first."""


@dataclass(frozen=True, slots=True)
class Ended:
    """Checking ends: how, and the causes still likely, best first, with their shares."""

    end: End
    causes: tuple[tuple[str, float], ...]
    for_adult: str = ""
    """The check that is next for somebody with more rights, where there is one."""


def believe(
    knowledge: Knowledge, symptom: str, learned: Mapping[str, int], done: Done = ()
) -> dict[str, float]:
    """Return how likely each cause is; together they are below 1 by the share of something else.

    `learned` are the club's own closed faults of this symptom by cause.
    """
    given = {c.code: c.behind[symptom] for c in knowledge.causes.values() if symptom in c.behind}
    total = sum(given.values()) or 1
    shares = {code: COUNTS_AS * part / total + learned.get(code, 0) for code, part in given.items()}
    other = SOMETHING_ELSE * COUNTS_AS
    for check, outcome in done:
        for code in shares:
            chance = knowledge.causes[code].told_by.get(check, 0.0)
            if outcome is Outcome.WORKED:
                shares[code] *= chance
            elif outcome is Outcome.SAME:
                shares[code] *= 1 - chance
        if outcome is Outcome.WORKED and any(shares.values()):
            other = 0.0
    whole = sum(shares.values()) + other
    return {code: share / whole for code, share in shares.items()} if whole else shares


def next_step(
    knowledge: Knowledge,
    symptom: str,
    done: Done,
    hands: Hands,
    *,
    learned: Mapping[str, int] | None = None,
    in_session: bool = False,
    asked: int = 0,
    spare: bool = True,
) -> Check | Ended:
    """Return the check that is worth doing next by these hands, or how it ends.

    Danger is never checked by anybody: it ends with an adult at once. `asked` is how many checks
    were answered in the session that runs; `spare` says that another kit can be had in it.
    """
    belief = believe(knowledge, symptom, learned or {}, done)
    likely = tuple(sorted(belief.items(), key=lambda pair: (-pair[1], pair[0])))[:3]
    if symptom == Symptom.BATTERY_DANGER:
        return Ended(End.ADULT, likely)
    worked = [code for code, outcome in done if outcome is Outcome.WORKED]
    if any(knowledge.checks[code].mends for code in worked if code in knowledge.checks):
        return Ended(End.FIXED, likely)
    if worked and likely and likely[0][1] >= SURE:
        return Ended(_ends_with(knowledge, likely[:1]), likely)
    stop = SWAP_MINUTES if in_session and spare else ADULT_MINUTES
    left = [each for each in knowledge.checks.values() if each.code not in dict(done)]
    mine = [each for each in left if hands.reach(each.who)]
    chosen = None if in_session and asked >= IN_SESSION else _best(knowledge, belief, mine, stop)
    if chosen is not None:
        return chosen
    if in_session:
        return Ended(End.SWAP if spare else End.ADULT, likely)
    further = _best(knowledge, belief, [each for each in left if each not in mine], stop)
    if further is not None:
        return Ended(End.ADULT, likely, further.code)
    return Ended(_ends_with(knowledge, likely), likely)


def _ends_with(knowledge: Knowledge, likely: Sequence[tuple[str, float]]) -> End:
    supplier = sum(p for code, p in likely if knowledge.causes[code].ends_with == "supplier")
    return End.SUPPLIER if supplier > sum(p for _, p in likely) / 2 else End.ADULT


def _best(
    knowledge: Knowledge, belief: Mapping[str, float], checks: Sequence[Check], stop: float
) -> Check | None:
    causes = list(belief)
    rows = [[knowledge.causes[code].told_by.get(c.code, 0.0) for code in causes] for c in checks]
    shares = [belief[code] for code in causes]
    useful = by_ratio(shares, rows, [each.minutes for each in checks])[:WEIGHED_TOGETHER]
    chosen = [checks[place] for place in useful]
    order, _ = cheapest(
        shares, [rows[place] for place in useful], [each.minutes for each in chosen], stop
    )
    return chosen[order[0]] if order else None


def by_ratio(
    shares: Sequence[float], tells: Sequence[Sequence[float]], minutes: Sequence[float]
) -> list[int]:
    """Return the checks that may work at all, by chance of working over cost, best first."""
    chance = [sum(p * t for p, t in zip(shares, row, strict=True)) for row in tells]
    useful = [place for place, each in enumerate(chance) if each > 0]
    return sorted(useful, key=lambda place: (-chance[place] / minutes[place], place))


def cheapest(
    shares: Sequence[float], tells: Sequence[Sequence[float]], minutes: Sequence[float], stop: float
) -> tuple[tuple[int, ...], float]:
    """Return the order of checks with the least expected cost, and that cost, in minutes.

    `shares` are the chances of the causes; what they lack to 1 is a cause that no check tells.
    `tells[i][c]` is the chance that check i works where cause c is the one. Whoever is left with
    the fault in the end pays `stop`. The order may leave checks out, and is empty where stopping
    at once is cheapest. Exact; its time doubles with each check.
    """
    unlisted = max(1 - sum(shares), 0.0)

    def left(tried: int) -> float:
        """The chance that the fault is still there after a set of checks, whatever their order."""
        found = unlisted
        for cause, share in enumerate(shares):
            for place, row in enumerate(tells):
                if tried >> place & 1:
                    share *= 1 - row[cause]
            found += share
        return found

    @cache
    def best(tried: int) -> tuple[float, int]:
        still = left(tried)
        found = (stop * still, -1)
        for place, cost in enumerate(minutes):
            if not tried >> place & 1:
                found = min(found, (cost * still + best(tried | 1 << place)[0], place))
        return found

    order: list[int] = []
    tried = 0
    while (place := best(tried)[1]) >= 0:
        order.append(place)
        tried |= 1 << place
    return tuple(order), best(0)[0]
