"""Trouble on demand: what goes wrong with the next requests or the next updates.

faults.add("retry_after", method="sendMessage", seconds=3)
faults.add("error", method="*", status=502, times=2)
faults.add("drop_after", method="sendMessage")
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Kind(StrEnum):
    """What can go wrong."""

    RETRY_AFTER = "retry_after"
    """429 with `seconds` in parameters.retry_after; nothing is done."""
    ERROR = "error"
    """HTTP `status` (500, 502, ...) with `text`; nothing is done. `html`: as a proxy's page."""
    DROP_BEFORE = "drop_before"
    """The connection breaks before anything is done."""
    DROP_AFTER = "drop_after"
    """All is done, then the connection breaks before the answer."""
    DELAY = "delay"
    """The answer comes `seconds` (real time) later than the effect."""
    DUPLICATE_UPDATE = "duplicate_update"
    """The next update is served twice, the second time although it was confirmed."""
    SWAP_UPDATES = "swap_updates"
    """The next update is served after the one that follows it."""


OF_UPDATES = (Kind.DUPLICATE_UPDATE, Kind.SWAP_UPDATES)
REASONS = {500: "Internal Server Error", 502: "Bad Gateway", 503: "Service Unavailable"}


@dataclass(slots=True)
class Fault:
    """One thing that goes wrong, `times` times, after `skip` matching requests went well."""

    kind: Kind
    method: str = "*"
    times: int = 1
    skip: int = 0
    chat_id: int | None = None
    seconds: float = 1.0
    status: int = 502
    text: str = ""
    html: bool = False
    hits: int = 0

    def fits(self, method: str, chat_id: str) -> bool:
        """True when this request is one that it is meant for."""
        named = self.method == "*" or self.method.lower() == method.lower()
        return named and self.chat_id in (None, _number(chat_id))

    @property
    def spent(self) -> bool:
        """True when it has happened as often as it should."""
        return self.hits >= self.times

    @property
    def reason(self) -> str:
        """The description that goes with an ERROR."""
        return self.text or REASONS.get(self.status, "Internal Server Error")


def _number(chat_id: str) -> int | None:
    try:
        return int(chat_id)
    except ValueError:
        return None


@dataclass(slots=True)
class Faults:
    """The faults that wait, in the order in which they were asked for."""

    waiting: list[Fault] = field(default_factory=list)

    def add(
        self,
        kind: str,
        method: str = "*",
        *,
        times: int = 1,
        skip: int = 0,
        chat_id: int | None = None,
        seconds: float = 1.0,
        status: int = 502,
        text: str = "",
        html: bool = False,
    ) -> Fault:
        """From now on this goes wrong.

        `method`: a method's name, "download" for files, "*" for any but getUpdates and downloads.
        """
        fault = Fault(Kind(kind), method, times, skip, chat_id, seconds, status, text, html)
        self.waiting.append(fault)
        return fault

    def clear(self) -> None:
        """Nothing goes wrong any more."""
        self.waiting.clear()

    def take(self, method: str, chat_id: str) -> Fault | None:
        """The fault that strikes this request, if any."""
        for fault in self.waiting:
            if fault.kind in OF_UPDATES or not fault.fits(method, chat_id):
                continue
            if fault.method == "*" and method in ("getUpdates", "download"):
                continue
            if fault.skip:
                fault.skip -= 1
                continue
            return self._strike(fault)
        return None

    def take_update(self, kind: Kind) -> bool:
        """True when the update that is being queued is struck by this kind."""
        for fault in self.waiting:
            if fault.kind is kind:
                if fault.skip:
                    fault.skip -= 1
                    return False
                self._strike(fault)
                return True
        return False

    def _strike(self, fault: Fault) -> Fault:
        fault.hits += 1
        if fault.spent:
            self.waiting.remove(fault)
        return fault
