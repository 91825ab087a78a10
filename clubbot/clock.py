"""What time it is: for the club, and for leases and back-off, which real machines need."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Tells the club's time as aware UTC instants."""

    def now(self) -> datetime: ...


class RealClock:
    """The club lives in the present."""

    def now(self) -> datetime:
        return datetime.now(UTC)


class SteppedClock:
    """The club's time stands still until it is set forward; for demos and tests."""

    def __init__(self, start: datetime) -> None:
        self._now = start.astimezone(UTC)

    def now(self) -> datetime:
        return self._now

    def set(self, to: datetime) -> None:
        """Move to a later moment; ValueError for an earlier one, since time never goes back."""
        if to < self._now:
            raise ValueError(f"the clock stands at {self._now.isoformat()} and never goes back")
        self._now = to.astimezone(UTC)


def real_now() -> datetime:
    """Return the present on this machine, aware UTC, whatever the club's clock shows."""
    return datetime.now(UTC)
