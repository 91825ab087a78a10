"""Counts over exposure: exact bounds, one against the others, and whether it gets worse.

Exposure is sessions or driving hours, whichever the caller counts; rates are per unit of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import exp, lgamma, log, log1p

_STEPS = 200
"""Halvings of a span: far beyond what a float can tell apart."""


def at_most(count: int, mean: float) -> float:
    """Return the chance of at most `count` events where `mean` are expected (Poisson)."""
    if count < 0:
        return 0.0
    if mean <= 0:
        return 1.0
    return min(1.0, sum(exp(n * log(mean) - mean - lgamma(n + 1)) for n in range(count + 1)))


def bounds(count: int, exposure: float, confidence: float = 0.9) -> tuple[float, float]:
    """Return the exact two-sided bounds of a rate; raises ValueError without exposure.

    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936). Their inverses
    are the bounds on the mean time between failures of the NIST/SEMATECH e-Handbook of Statistical
    Methods, section 8.4.5.1, for a test that ends at a set time.
    """
    if exposure <= 0 or count < 0 or not 0 < confidence < 1:
        raise ValueError("a rate wants events, some exposure and a confidence below one")
    tail = (1 - confidence) / 2
    low = 0.0 if not count else _root(lambda mean: 1 - at_most(count - 1, mean) - tail, count)
    high = _root(lambda mean: tail - at_most(count, mean), count + 1)
    return low / exposure, high / exposure


def excess(
    count: int, exposure: float, others: int, others_exposure: float, times: float = 1.0
) -> float:
    """Return the chance of `count` or more events if the rate is `times` that of the others.

    What is known of the others' rate is a gamma distribution with shape `others` + 1 over their
    exposure; the count is then a negative binomial one. That tail equals the one of the exact
    conditional test of two Poisson rates (J. Przyborowski and H. Wilenski, "Homogeneity of results
    in testing samples from Poisson series", Biometrika 31, 1940). 1 where nobody else was used.
    """
    if count <= 0 or exposure <= 0 or others_exposure <= 0:
        return 1.0
    mine = times * exposure
    shape = others + 1
    stay, leave = -log1p(mine / others_exposure), -log1p(others_exposure / mine)
    below = sum(
        exp(lgamma(n + shape) - lgamma(shape) - lgamma(n + 1) + shape * stay + n * leave)
        for n in range(count)
    )
    return max(0.0, 1 - below)


def worsening(times: Sequence[float], until: float) -> float:
    """Return the chance of failures coming this late in [0, until] if they came evenly.

    The reliability growth statistic 2 * sum(log(until / t)) is chi-squared with twice as many
    degrees of freedom as there are failures: NIST/SEMATECH e-Handbook, section 8.2.3.4 (military
    handbook test). Small: they come ever faster. Raises ValueError for a time outside (0, until].
    """
    if not times or any(not 0 < each <= until for each in times):
        raise ValueError("failures lie after the start and up to the end")
    statistic = growth_statistic(times, until)
    return 1 - at_most(len(times) - 1, statistic / 2)


def growth_statistic(times: Sequence[float], until: float) -> float:
    """Return 2 * sum(log(until / t)) of failure times (see `worsening`)."""
    return 2 * sum(log(until / each) for each in times)


def accused(chances: Sequence[float], most: float) -> list[int]:
    """Return the places of the chances that stay small when so many are looked at.

    S. Holm, "A simple sequentially rejective multiple test procedure", Scandinavian Journal of
    Statistics 6 (1979): whatever the truth about the others, an innocent one is among them with a
    chance of `most` at the highest.
    """
    found = []
    for step, place in enumerate(sorted(range(len(chances)), key=lambda each: chances[each])):
        if chances[place] * (len(chances) - step) > most:
            break
        found.append(place)
    return sorted(found)


def _root(rising: Callable[[float], float], start: float) -> float:
    """Return where an increasing function of a mean crosses nought."""
    low, high = 0.0, max(1.0, 2 * start)
    while rising(high) < 0:
        high *= 2
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
