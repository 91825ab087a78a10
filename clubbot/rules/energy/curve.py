"""How long a charge takes: steady up to a knee, then slower and slower.

The current is held until the cell's voltage reaches its limit, then it falls off exponentially
until it is a twentieth of an hour's full charge. The faster the charge, the earlier the knee: the
voltage that the current itself adds is in proportion to the current (Ohm). So three figures say
all: they are fitted to one published charge, and then hold at other speeds and from other levels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log

CUT_OFF = 0.05
"""The current at which a charge ends, in full charges an hour (C/20)."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One charger and battery.

    - `rate`: the steady current, in nominal charges an hour.
    - `knee_loss`: how far below full the knee lies, in level, for each unit of rate.
    - `taper`: the time constant of the slow end, in minutes.
    - `capacity`: what the battery takes, in nominal charges.
    """

    rate: float
    knee_loss: float
    taper: float
    capacity: float = 1.0

    @property
    def knee(self) -> float:
        """The level at which the slow end begins."""
        return 1 - self.knee_loss * self.rate

    @property
    def taper_minutes(self) -> float:
        """How long the slow end lasts; it does not depend on where the charge began."""
        return self.taper * log(self.rate / CUT_OFF)

    def at(self, rate: float) -> Curve:
        """Return the same battery on a charger with another current."""
        return replace(self, rate=rate)

    def minutes(self, start: float, end: float = 1.0) -> float:
        """Return how long it takes from one level to another, in minutes."""
        return max(0.0, self._moment(min(end, 1.0)) - self._moment(max(start, 0.0)))

    def level_after(self, start: float, minutes: float) -> float:
        """Return the level after so many minutes on the charger."""
        at = self._moment(max(start, 0.0)) + minutes
        steady = self._steady()
        if at <= steady:
            return at / steady * self.knee
        if at >= steady + self.taper_minutes:
            return 1.0
        done = (1 - exp(-(at - steady) / self.taper)) / self._whole()
        return self.knee + (1 - self.knee) * done

    def _moment(self, level: float) -> float:
        """Return when, in minutes from empty, a charge passes a level."""
        if level <= self.knee:
            return level / self.knee * self._steady()
        done = (level - self.knee) / (1 - self.knee)
        return self._steady() - self.taper * log(1 - done * self._whole())

    def _steady(self) -> float:
        return self.knee * self.capacity / self.rate * 60

    def _whole(self) -> float:
        return 1 - CUT_OFF / self.rate


def fitted(rate: float, start: float, total: float, steady: float, capacity: float = 1.0) -> Curve:
    """Return the curve of which a charge from `start` to full is known.

    It took `total` minutes, `steady` of them at the full current.
    """
    knee = start + steady * rate / 60 / capacity
    return Curve(rate, (1 - knee) / rate, (total - steady) / log(rate / CUT_OFF), capacity)


_MODELLED = fitted(0.5, 0.2, 118.5, 86.2, 1.0234)


def of_full_charge(minutes: float) -> Curve:
    """Return the curve of a charger that takes so long from empty to full.

    Its shape is that of a common cell at half a charge an hour (PyBaMM 26.10, Chen2020, single
    particle model: 118.5 minutes from 20 %, 86.2 of them steady); only the clock is scaled.
    """
    scale = minutes / _MODELLED.minutes(0.0)
    return Curve(
        _MODELLED.rate,
        _MODELLED.knee_loss,
        _MODELLED.taper * scale,
        _MODELLED.capacity * scale,
    )
