"""What a kit's ledger tells of its battery, and what is believed of it in the end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from clubbot.rules.energy.belief import Belief, after, prior
from clubbot.rules.energy.events import (
    Charged,
    Drove,
    Event,
    FoundFlat,
    RanFlat,
    Rested,
    RunTimeTest,
    Showed,
    StillRunning,
)
from clubbot.rules.energy.needs import used
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import Window

KINDS = (
    EntryKind.GIVEN_OUT,
    EntryKind.PASSED_ON,
    EntryKind.TAKEN_BACK,
    EntryKind.CHARGED,
    EntryKind.LEVEL_SEEN,
    EntryKind.RAN_FLAT,
    EntryKind.STILL_RUNNING,
    EntryKind.FOUND_FLAT,
    EntryKind.RUN_TIME_TESTED,
)
"""The entries that say something of a battery."""
_MOVES = (EntryKind.GIVEN_OUT, EntryKind.PASSED_ON, EntryKind.TAKEN_BACK)
_SHORT_REST = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Known:
    """A belief with what it rests on.

    `charged_at` is the last charge noted, `driven` the expected driving minutes since it (or in
    all), `told` how many things were said of the battery beside charges and uses.
    """

    belief: Belief
    charged_at: datetime | None
    driven: float
    told: int
    flat_starts: int


def known(usual: float, entries: Sequence[Entry], now: datetime, driving_percent: int) -> Known:
    """Return what is believed now of a battery of a type that usually drives so many minutes.

    `entries` are the kit's own of `KINDS`, in order of happening.
    """
    happened = list(events(entries, now, driving_percent))
    charges = [at for at, event in happened if isinstance(event, Charged)]
    since = charges[-1] if charges else None
    driven = sum(
        event.minutes
        for at, event in happened
        if isinstance(event, Drove) and (since is None or at > since)
    )
    kinds = [entry.kind for entry in entries]
    return Known(
        belief=after(prior(usual), [event for _, event in happened]),
        charged_at=since,
        driven=driven,
        told=sum(kind not in (*_MOVES, EntryKind.CHARGED) for kind in kinds),
        flat_starts=kinds.count(EntryKind.FOUND_FLAT),
    )


def events(
    entries: Sequence[Entry], now: datetime, driving_percent: int
) -> Iterator[tuple[datetime, Event]]:
    """Yield what happened to a battery, each with its moment, up to now.

    A kit that is out is in use, as much as usual; what is driven is counted up to each thing that
    is said. "Ran flat after 20 minutes" is 20 minutes of the usual share of driving.
    """
    out_since: datetime | None = None
    last: datetime | None = None
    for entry in entries:
        at = entry.happened_at
        if at > now:
            break
        if out_since is not None and at > out_since:
            yield at, _drove(entry, Window(out_since, at), driving_percent)
        elif out_since is None and last is not None and at - last > _SHORT_REST:
            yield at, Rested((at - last) / timedelta(days=1))
        if entry.kind in _MOVES:
            out_since = None if entry.kind is EntryKind.TAKEN_BACK else at
        else:
            out_since = at if out_since is not None else None
            yield at, _said(entry)
        last = at
    if out_since is not None and now > out_since:
        yield now, used(Window(out_since, now), driving_percent)
    elif last is not None and now - last > _SHORT_REST:
        yield now, Rested((now - last) / timedelta(days=1))


def _drove(entry: Entry, window: Window, driving_percent: int) -> Drove:
    minutes = entry.detail.minutes
    if entry.kind is EntryKind.RAN_FLAT and minutes:
        return used(Window(window.end - timedelta(minutes=minutes), window.end), driving_percent)
    return used(window, driving_percent)


def _said(entry: Entry) -> Event:
    detail = entry.detail
    match entry.kind:
        case EntryKind.RAN_FLAT:
            return RanFlat()
        case EntryKind.STILL_RUNNING:
            return StillRunning()
        case EntryKind.FOUND_FLAT:
            return FoundFlat()
        case EntryKind.LEVEL_SEEN:
            return Showed((detail.percent or 0) / 100, bars=detail.rough)
        case EntryKind.RUN_TIME_TESTED:
            return RunTimeTest(max(1, detail.minutes or 0))
        case _:
            return Charged(1.0 if detail.percent is None else detail.percent / 100)
