"""What a battery's ledger tells of it, entry by entry, and what is believed of it in the end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from clubbot.rules.energy.assumed import USUAL, Assumed
from clubbot.rules.energy.belief import Belief, after, prior
from clubbot.rules.energy.curve import Curve
from clubbot.rules.energy.events import (
    Charged,
    Cycled,
    Event,
    FoundFlat,
    OnCharger,
    RanFlat,
    Rested,
    RunTimeTest,
    Showed,
    StillRunning,
)
from clubbot.rules.energy.needs import used
from clubbot.rules.energy.said_again import standing
from clubbot.rules.fitting import ALWAYS, Stay
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import KitId, Window

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
MOVES = KINDS[:3]
"""Those of them by which a kit is used."""
TELLING = KINDS[4:]
"""Those of them that may tell how long a full charge lasts."""
TESTS = (EntryKind.RUN_TIME_TESTED, EntryKind.STILL_RUNNING)
"""What tells in minutes how long a battery ran from full: until it stopped, or still ran."""
_SHORT_REST = timedelta(hours=12)
_TOLD_AFTER = timedelta(hours=6)
"""How long after a kit's return "ran flat after 20 minutes" is still about that use."""


@dataclass(frozen=True, slots=True)
class Known:
    """A belief with what it rests on.

    `charged_at` is the last charge noted, `driven` the expected driving minutes since it (or in
    all), `told` how many things were said of the battery beside charges and uses, `heard_at` when
    anything was last said of it, a charge included; `charged_full` whether the last charge was.
    """

    belief: Belief
    charged_at: datetime | None = None
    driven: float = 0.0
    told: int = 0
    flat_starts: int = 0
    heard_at: datetime | None = None
    charged_full: bool = True

    @property
    def full(self) -> Belief:
        """What would be believed once it is fully charged."""
        return after(self.belief, [Charged()])


@dataclass(frozen=True, slots=True)
class Past:
    """What is known as of the last entry: `out_since` while in use, `last` the entry's moment.

    `start` is what was known, and driven, before the latest use.
    """

    known: Known
    driving_percent: int
    curve: Curve
    out_since: datetime | None = None
    last: datetime | None = None
    start: Known | None = None


def begun(usual: float, driving_percent: int, curve: Curve, assumed: Assumed = USUAL) -> Past:
    """Return what is known of a battery of a type that usually drives so many minutes.

    `curve` is how such a one is charged.
    """
    return Past(Known(prior(usual, assumed)), driving_percent, curve)


def lived(
    fresh: Past, stays: Iterable[Stay], entries: Mapping[KitId, Sequence[Entry]], now: datetime
) -> Known:
    """Return what is believed now of a battery that was in these kits, one after the other.

    `entries` are the kits' own of `KINDS`, in order of happening. What is known goes along from
    kit to kit; a kit that is out when the battery comes into it is in use from then on.
    """
    past = fresh
    for stay in stays:
        if stay.start > now:
            break
        told = standing(each for each in entries.get(stay.kit, ()) if each.happened_at <= now)
        if stay.start > ALWAYS:
            before = [each for each in told if each.happened_at < stay.start]
            past = _put(past, stay.start, out=_is_out(before))
        for entry, left_out in _worth(told):
            if stay.start <= entry.happened_at and (not stay.end or entry.happened_at < stay.end):
                past = heard(_cycled(past, left_out, entry.happened_at), entry)
        if stay.end is not None and stay.end <= now:
            past = _put(past, stay.end, out=False)
    return at(past, now)


def _worth(entries: Sequence[Entry]) -> list[tuple[Entry, list[Window]]]:
    """Leave out the uses of which nobody said anything before the battery was full again.

    They say nothing of how long it lasts, and its level is known anew; so of those only the spans
    are told, with the charge after them.
    """
    kept: list[tuple[Entry, list[Window]]] = []
    round_: list[Entry] = []
    for entry in entries:
        round_.append(entry)
        if entry.kind is EntryKind.CHARGED and entry.detail.percent is None:
            silent = all(each.kind in MOVES for each in round_[:-1])
            if silent and not _is_out(round_):
                kept.append((entry, _uses(round_)))
            else:
                kept += [(each, []) for each in round_]
            round_ = []
    return kept + [(each, []) for each in round_]


def _uses(entries: Sequence[Entry]) -> list[Window]:
    """Return the spans in which a kit was out."""
    found: list[Window] = []
    since: datetime | None = None
    for each in entries:
        if each.kind not in MOVES:
            continue
        if since is not None and each.happened_at > since:
            found.append(Window(since, each.happened_at))
        since = None if each.kind is EntryKind.TAKEN_BACK else each.happened_at
    return found


def _cycled(past: Past, uses: Sequence[Window], charged_at: datetime) -> Past:
    """Return what is known once these uses, charged for again by then, have worn the battery.

    What it lost at rest between them, the charge makes good.
    """
    if not uses:
        return past
    drives = [used(window, past.driving_percent) for window in uses]
    cycled = Cycled(sum(each.minutes for each in drives), sum(each.idle for each in drives))
    known = replace(past.known, belief=after(past.known.belief, [cycled]))
    return replace(past, known=known, last=charged_at)


def _is_out(entries: Sequence[Entry]) -> bool:
    moves = [each.kind for each in entries if each.kind in MOVES]
    return bool(moves) and moves[-1] is not EntryKind.TAKEN_BACK


def _put(past: Past, moment: datetime, *, out: bool) -> Past:
    """Return what is known once it was put into a kit, or taken off."""
    now = _until(past, moment)
    return replace(
        past, known=now, out_since=moment if out else None, last=moment, start=now if out else None
    )


def at(past: Past, now: datetime) -> Known:
    """Return what is known now: a kit that is out is in use, as much as usual."""
    return _until(past, now)


def heard(past: Past, entry: Entry) -> Past:
    """Return what is known after one more entry, not before the last one.

    What is driven is counted up to each thing that is said. "Ran flat after 20 minutes" is 20
    minutes of the usual share of driving, and stands in place of the whole use.
    """
    moment = entry.happened_at
    if entry.kind in MOVES:
        now = _until(past, moment)
        gone = entry.kind is not EntryKind.TAKEN_BACK
        return replace(
            past,
            known=now,
            out_since=moment if gone else None,
            last=moment,
            start=now if gone else past.start,
        )
    if entry.kind is EntryKind.RAN_FLAT and entry.detail.minutes:
        now = _flat_after(past, moment, entry.detail.minutes, _flat(entry))
    else:
        now = _until(past, moment, _said(entry, past))
    now = replace(
        now,
        told=now.told + (entry.kind is not EntryKind.CHARGED),
        flat_starts=now.flat_starts + (entry.kind is EntryKind.FOUND_FLAT),
        heard_at=moment,
    )
    if entry.kind is EntryKind.CHARGED:
        full = entry.detail.percent is None
        now = replace(now, charged_at=moment, driven=0.0, charged_full=full)
    elif entry.kind in TESTS and entry.detail.minutes:
        now = _from_full(now, moment, entry.detail.minutes)
    return replace(
        past,
        known=now,
        out_since=moment if past.out_since is not None else None,
        last=moment,
        start=None,
    )


def _from_full(known: Known, moment: datetime, minutes: int) -> Known:
    """Return what is known after a test, which began with a full charge, if nobody noted one."""
    began = moment - timedelta(minutes=minutes)
    noted = known.charged_at is not None and known.charged_full
    charged_at = known.charged_at if noted else began
    return replace(known, charged_at=charged_at, driven=float(minutes), charged_full=True)


def _until(past: Past, moment: datetime, *said: Event) -> Known:
    """Return what is known once the time up to a moment has passed, and then something is said."""
    gone: list[Event] = []
    minutes = 0.0
    if past.out_since is not None and moment > past.out_since:
        drove = used(Window(past.out_since, moment), past.driving_percent)
        gone, minutes = [drove], drove.minutes
    elif past.out_since is None and past.last is not None and moment - past.last > _SHORT_REST:
        gone = [Rested((moment - past.last) / timedelta(days=1))]
    if not gone and not said:
        return past.known
    belief = after(past.known.belief, [*gone, *said])
    return replace(past.known, belief=belief, driven=past.known.driven + minutes)


def _flat_after(past: Past, moment: datetime, minutes: int, flat: RanFlat) -> Known:
    """Return what is known after a use of so many minutes that ended flat."""
    drove = used(Window(moment - timedelta(minutes=minutes), moment), past.driving_percent)
    before = past.known
    back = past.last if past.out_since is None else None
    if back is not None and past.start is not None and moment - back <= _TOLD_AFTER:
        before = past.start
    belief = after(before.belief, [drove, flat])
    return replace(before, belief=belief, driven=before.driven + drove.minutes)


def _flat(entry: Entry) -> RanFlat:
    """Return what a battery said to have run flat tells, by how sure it was the cause."""
    percent = entry.detail.percent
    return RanFlat(1.0 if percent is None else percent / 100, else_ran=not entry.detail.rough)


def _said(entry: Entry, past: Past) -> Event:
    detail, known = entry.detail, past.known
    match entry.kind:
        case EntryKind.RAN_FLAT:
            unused = past.out_since is None and known.charged_at is not None and not known.driven
            if unused and detail.percent is None:
                # That tells how full it is, and nothing of how long it lasts.
                return Showed(0.0)
            return _flat(entry)
        case EntryKind.STILL_RUNNING:
            # With minutes it is what a test says that was ended while the unit still ran.
            minutes = detail.minutes
            return RunTimeTest(minutes, stopped=False) if minutes else StillRunning()
        case EntryKind.FOUND_FLAT:
            return FoundFlat()
        case EntryKind.LEVEL_SEEN:
            return Showed((detail.percent or 0) / 100, bars=detail.rough)
        case EntryKind.RUN_TIME_TESTED:
            return RunTimeTest(max(1, detail.minutes or 0))
        case _ if detail.percent is not None and detail.minutes:
            return OnCharger(detail.minutes, past.curve)
        case _:
            return Charged(1.0 if detail.percent is None else detail.percent / 100)
