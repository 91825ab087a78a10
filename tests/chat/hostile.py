"""Values of every kind that the desk answers, made of the worst that people can type."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from hypothesis import strategies as st

from clubbot.chat.words import SAID
from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.mending import STEPS
from clubbot.chat.words.minding import KINDS as KINDS_OFF
from clubbot.desk.acting import View
from clubbot.rules import results
from clubbot.rules.faults.hands_off import HandsOff
from clubbot.rules.faults.knowledge import known
from clubbot.rules.faults.triage import End, Outcome
from clubbot.rules.feeds.model import FeedDay
from clubbot.rules.ledger import EntryKind
from clubbot.rules.model import (
    BookingId,
    FaultId,
    Instead,
    ItemKind,
    KitId,
    NoticeId,
    PersonId,
    Reason,
    Refused,
    Role,
    TeamId,
    Window,
)
from clubbot.rules.permissions import Deed
from clubbot.rules.settings import ClubSettings, spelled
from clubbot.rules.setup import LONGEST_LABEL, LONGEST_NAME

WORST = (
    "<i>x</i>",
    '<a href="https://example.org">tap</a>',
    "</b>",
    "<script>",
    "&lt;i&gt;",
    "&amp",
    "&#60;i>",
    "\u202e\u2067backwards",
    "\u200b\u200d\ufeff",
    "\u05d3\u05e0\u05d4",
    "\u0644\u064a\u0644\u0649",
    "\U0001f916",
    "a\nb\tc\r",
    "\x00\x07",
    "e\u0301" * 3,
    "%s {0} {name}",
    "D",
)


def typed(longest: int, *, shortest: int = 0) -> st.SearchStrategy[str]:
    """Return texts of at most so many characters, as people may have typed them."""
    other = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="N"), max_size=8)
    pieces = st.lists(st.sampled_from(WORST) | other, max_size=4).map("".join)
    long = st.sampled_from(WORST).map(lambda piece: piece * longest)
    return (pieces | long).map(lambda text: text[:longest]).filter(lambda t: len(t) >= shortest)


NAMES = typed(LONGEST_NAME)
LABELS = typed(LONGEST_LABEL)
WORDS = typed(4096)
NOTES = typed(300)
MOMENTS = st.integers(0, 730 * 24 * 3600).map(
    lambda seconds: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
)
NUMBERS = st.integers(1, 999_999_999)
WINDOWS = st.builds(
    lambda start, minutes: Window(start, start + timedelta(minutes=minutes)),
    MOMENTS,
    st.integers(1, 60 * 24 * 20),
)
CAUSES = st.lists(st.sampled_from(sorted(known().causes)), max_size=4).map(tuple)
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))

for number in (BookingId, FaultId, KitId, NoticeId, PersonId, TeamId):
    st.register_type_strategy(number, NUMBERS)
st.register_type_strategy(Window, WINDOWS)

_OWN: dict[type, dict[str, st.SearchStrategy[Any]]] = {
    results.TeamRef: {"name": NAMES},
    results.KitRef: {"label": LABELS},
    results.Swap: {"before": LABELS, "after": LABELS},
    results.FaultLine: {
        "symptom": st.sampled_from(sorted(SYMPTOMS)),
        "said": WORDS,
        "thing": st.sampled_from(["", *ItemKind]).map(str),
        "fix": WORDS,
    },
    results.TestDayRuns: {
        "running": st.lists(
            st.deferred(lambda: st.from_type(results.KitRef)), min_size=1, max_size=9
        ).map(tuple)
    },
    results.FaultStep: {"what": st.sampled_from([*STEPS, "no longer there"])},
    results.FixWanted: {"causes": CAUSES},
    results.SetUpAsks: {
        "near": st.lists(st.sampled_from(sorted(available_timezones())), max_size=4).map(tuple)
    },
    results.History: {
        "skipped": st.integers(0, 99_999),
        "page": st.integers(1, 99),
        "total": st.integers(0, 99_999),
    },
    results.CauseNoted: {"cause": st.sampled_from(sorted(known().causes))},
    results.FaultCard: {
        "use": st.sampled_from(["", "in use", "out of use", "on hold"]),
        "things": st.just(tuple(map(str, ItemKind))),
    },
    results.FaultReported: {"care": st.sampled_from([str(each) for each in HandsOff])},
    results.OwnWord: {"code": st.sampled_from([*known().checks, "no-longer-there"])},
    results.OwnWordsWanted: {"code": st.sampled_from(sorted(known().checks))},
    results.OwnWordsAdded: {"code": st.sampled_from(sorted(known().causes))},
    results.SerialWanted: {"thing": st.sampled_from(list(ItemKind)).map(str)},
    results.ClaimEnded: {
        "outcome": st.sampled_from(["repaired", "replaced", "refused"]),
        "thing": st.sampled_from(["", *ItemKind]).map(str),
    },
    results.CheckDone: {
        "code": st.sampled_from([*known().checks, "no-longer-there"]),
        "outcome": st.sampled_from([str(outcome) for outcome in Outcome]),
    },
    results.CheckAsked: {"code": st.sampled_from(sorted(known().checks))},
    results.CheckingEnded: {
        "end": st.sampled_from([str(end) for end in End]),
        "causes": st.lists(
            st.tuples(st.sampled_from(sorted(known().causes)), st.floats(0, 1)), max_size=3
        ).map(tuple),
        "next_check": st.sampled_from(["", *known().checks]),
        "helped": st.sampled_from(["", *known().checks]),
    },
    results.MeetingView: {
        "weekday": st.integers(0, 6),
        "starts": st.just("15:30"),
        "ends": st.just("17:00"),
    },
    results.Changed: {
        "bookings": st.lists(
            st.deferred(lambda: st.from_type(results.BookingView)), min_size=1, max_size=3
        ).map(tuple)
    },
    results.SessionHandedOut: {
        "given": st.lists(
            st.deferred(lambda: st.from_type(results.HandedOut)), min_size=1, max_size=3
        ).map(tuple)
    },
    results.Undone: {
        "what": st.lists(
            st.tuples(st.sampled_from([kind.value for kind in EntryKind]), LABELS), min_size=1
        ).map(tuple)
    },
    results.TeamNeeded: {
        "kits": st.lists(
            st.deferred(lambda: st.from_type(results.KitRef)), min_size=1, max_size=9
        ).map(tuple)
    },
    results.KitsSwapped: {
        "swaps": st.lists(
            st.tuples(LABELS, LABELS, st.sampled_from(["", "on hold", "out of use"])), min_size=1
        ).map(tuple)
    },
    results.Quirks: {
        "again": st.lists(
            st.tuples(st.sampled_from(sorted(SYMPTOMS)), st.integers(2, 30)), max_size=3
        ).map(tuple)
    },
    results.SessionMoved: {"back": st.sampled_from(["", "2026-10-02:1530"])},
    results.BookedTomorrow: {
        "swaps": st.lists(
            st.tuples(LABELS, LABELS, st.sampled_from(["", "on hold", "out of use"])), max_size=3
        ).map(tuple)
    },
    results.ClubView: {
        "quiet": st.sampled_from([None, ("21:00", "07:00")]),
        "zone": st.sampled_from(["UTC", "Europe/Dublin"]),
        "settings": st.just(spelled(ClubSettings(contact=WORST[0], emergency_number=WORST[1]))),
        "misread": st.lists(LABELS, max_size=5).map(tuple),
    },
    results.BookingTwoWays: {
        "readings": st.lists(
            st.builds(
                results.ReadAs,
                WINDOWS,
                st.integers(1, 200),
                st.lists(LABELS, max_size=9).map(tuple),
            ),
            min_size=2,
            max_size=4,
        ).map(tuple)
    },
    results.BookedWeekly: {
        "bookings": st.lists(
            st.deferred(lambda: st.from_type(results.BookingView)), min_size=1
        ).map(tuple),
        "closed": st.lists(st.tuples(DAYS, NAMES), max_size=5).map(tuple),
    },
    results.Timeline: {
        "busy": st.just({}),
        "unusable": st.just({}),
        "free": st.lists(st.tuples(WINDOWS, st.integers(0, 200)), max_size=20).map(tuple),
    },
    results.PartsNoted: {
        "what": st.sampled_from(["found", "bought", "put in", "lent", "broken", "given back"])
    },
    results.PartsOrder: {"key": st.just("0123456789ab")},
    results.SentPage: {
        "person": st.integers(0, 99_999),
        "page": st.integers(1, 9),
        "pages": st.integers(1, 9),
    },
    results.SentLine: {"text": WORDS},
    results.Mutes: {
        "kinds": st.lists(st.tuples(st.sampled_from(sorted(KINDS_OFF)), st.booleans())).map(tuple)
    },
    results.MyData: {"name": st.just("my-data.json"), "content": WORDS},
    results.ImportPreview: {"key": st.just("0123456789ab")},
    FeedDay: {"key": st.just("0123456789ab"), "why": typed(80)},
    results.CalendarFile: {"name": st.just("bookings.ics"), "bookings": st.integers(0, 200)},
    results.Invited: {"code": st.just("abcdefghjk")},
    results.UseChanged: {
        "use": st.sampled_from(["in use", "out of use", "on hold"]),
        "note": WORDS,
    },
    results.FaultClosed: {"fix": WORDS, "causes": CAUSES},
    results.FaultKitNeeded: {"said": WORDS},
    results.FaultReported: {
        "more": st.lists(
            st.builds(
                results.FaultReported,
                st.deferred(lambda: st.from_type(results.FaultLine)),
                st.booleans(),
                st.booleans(),
            ),
            max_size=3,
        ).map(tuple)
    },
    results.NotAFault: {"said": WORDS},
    results.KitCard: {"held": st.none() | NOTES, "withdrawn": st.none() | WORDS},
    results.YouAreIn: {"role": st.sampled_from([role.value for role in Role])},
    results.DangerReported: {"emergency_number": NAMES},
    results.Welcome: {"contact": NAMES},
    results.ChargeLine: {"why_not": st.sampled_from([None, "on hold", "out of use"])},
}
_BY_TYPE: dict[str, st.SearchStrategy[Any]] = {
    "str": NAMES,
    "str | None": st.none() | NAMES,
    "int": st.integers(0, 999_999_999),
    "datetime": MOMENTS,
    "datetime | None": st.none() | MOMENTS,
    "date": DAYS,
    "date | None": st.none() | DAYS,
    "tuple[str, ...]": st.lists(NAMES, max_size=9).map(tuple),
    "tuple[date, ...]": st.lists(DAYS, max_size=9).map(tuple),
    "tuple[tuple[str, int], ...]": st.lists(st.tuples(NAMES, st.integers(1, 200)), max_size=9).map(
        tuple
    ),
    "tuple[FaultId, ...]": st.lists(NUMBERS, max_size=3).map(tuple),
    "tuple[KitId, ...]": st.lists(NUMBERS, max_size=9).map(tuple),
    "tuple[datetime, ...]": st.lists(MOMENTS, max_size=5).map(tuple),
    "tuple[int, ...]": st.lists(NUMBERS, max_size=9).map(tuple),
    "tuple[tuple[str, str], ...]": st.lists(st.tuples(LABELS, NOTES), max_size=9).map(tuple),
    "tuple[tuple[str, str, str], ...]": st.lists(st.tuples(NAMES, NOTES, NOTES), max_size=20).map(
        tuple
    ),
    "tuple[tuple[date, date, str], ...]": st.lists(st.tuples(DAYS, DAYS, NAMES)).map(tuple),
    "tuple[tuple[int, str, bool], ...]": st.lists(
        st.tuples(NUMBERS, NAMES, st.booleans()), min_size=1, max_size=120
    ).map(tuple),
    "tuple[str, str] | None": st.none() | st.tuples(LABELS, LABELS),
}


def built(kind: type) -> st.SearchStrategy[Any]:
    """Return values of one kind of result, every text in them as bad as it can be."""
    fields = kind.__dataclass_fields__  # type: ignore[attr-defined]
    made = {name: _field(field.type) for name, field in fields.items()} | _OWN.get(kind, {})
    return st.builds(kind, **{name: how for name, how in made.items() if how is not None})


def _field(spelled_type: str) -> st.SearchStrategy[Any] | None:
    if spelled_type in _BY_TYPE:
        return _BY_TYPE[spelled_type]
    if found := re.fullmatch(r"tuple\[(\w+), \.\.\.\]", spelled_type):
        inner = getattr(results, found[1], FeedDay)
        return st.lists(st.deferred(lambda: st.from_type(inner)), max_size=3).map(tuple)
    return None


for kind in (*(getattr(results, name) for name in results.__all__), FeedDay):
    if isinstance(kind, type):
        st.register_type_strategy(kind, built)

_KITS = st.lists(LABELS, max_size=9).map(tuple)
FACTS: dict[Reason, st.SearchStrategy[dict[str, Any]]] = {
    Reason.NOT_ALLOWED: st.fixed_dictionaries({"deed": st.sampled_from([str(d) for d in Deed])}),
    Reason.UNKNOWN_KIT: st.fixed_dictionaries({"word": WORDS}),
    Reason.UNKNOWN_TEAM: st.fixed_dictionaries({}, optional={"word": WORDS}),
    Reason.UNKNOWN_BOOKING: st.fixed_dictionaries({"team": NAMES})
    | st.fixed_dictionaries({"number": st.integers()}),
    Reason.UNKNOWN_FAULT: st.fixed_dictionaries({"number": st.integers()})
    | st.fixed_dictionaries({"label": LABELS})
    | st.fixed_dictionaries({"mine": st.just(True)}),
    Reason.AT_SUPPLIER: st.fixed_dictionaries({"number": st.integers()}),
    Reason.NOTHING_BROKEN: st.fixed_dictionaries({"number": st.integers()}),
    Reason.DAMAGED_BATTERY: st.fixed_dictionaries({"number": st.integers()}),
    Reason.NOT_UNDERSTOOD: st.fixed_dictionaries(
        {},
        optional={
            "labels": st.lists(LABELS, min_size=1),
            "wanted": st.sampled_from(
                [
                    "days",
                    "closed days",
                    "move",
                    "role",
                    "keep",
                    "calendar",
                    "resource",
                    "check",
                    "fixed",
                    "fixed one",
                    "claim",
                    "own words",
                    "change",
                    "day",
                    "team",
                    "adult",
                ]
            ),
            "word": WORDS,
        },
    )
    | st.fixed_dictionaries({"wanted": st.just("setting"), "problem": NOTES}),
    Reason.ZERO: st.fixed_dictionaries({"word": WORDS}),
    Reason.END_BEFORE_START: st.fixed_dictionaries({"word": WORDS}),
    Reason.TOO_LONG: st.fixed_dictionaries({"word": WORDS}),
    Reason.PAST: st.fixed_dictionaries({}, optional={"word": WORDS}),
    Reason.TOO_FAR: st.fixed_dictionaries({"days": st.integers(1, 730)}),
    Reason.CLOSED: st.fixed_dictionaries({"why": typed(80), "day": DAYS}),
    Reason.SESSION_THERE: st.fixed_dictionaries({"window": WINDOWS}),
    Reason.OVER_LIMIT: st.fixed_dictionaries({"limit": st.integers(1, 200)}),
    Reason.NONE_FREE: st.fixed_dictionaries(
        {"possible": st.integers(0, 200), "count": st.integers(1, 200), "window": WINDOWS}
    )
    | st.fixed_dictionaries({"possible": st.integers(0, 200), "of": st.integers(0, 200)}),
    Reason.KIT_TAKEN: st.fixed_dictionaries(
        {"labels": _KITS, "window": WINDOWS}, optional={"count": st.integers(1, 200)}
    ),
    Reason.RESOURCE_TAKEN: st.fixed_dictionaries(
        {
            "window": WINDOWS,
            "count": st.integers(1, 200),
            "possible": st.integers(0, 200),
            "resource": NAMES,
        }
    ),
    Reason.BATTERY: st.fixed_dictionaries(
        {"window": WINDOWS, "count": st.integers(1, 200), "possible": st.integers(0, 200)}
    ),
    Reason.ALREADY: st.fixed_dictionaries(
        {"what": st.just("out"), "labels": _KITS}, optional={"team": NAMES}
    )
    | st.fixed_dictionaries({"what": st.just("with team"), "team": NAMES})
    | st.fixed_dictionaries({"what": st.just("kept built"), "number": st.integers(1, 99)})
    | st.fixed_dictionaries({"what": st.just("in the club"), "club": typed(80)})
    | st.fixed_dictionaries({"what": NAMES, "labels": _KITS, "word": st.just("")}),
    Reason.NOTHING_WITH: st.fixed_dictionaries({"team": NAMES}),
    Reason.NOT_OUT: st.fixed_dictionaries({"labels": _KITS}),
    Reason.TOO_EARLY: st.fixed_dictionaries({"start": MOMENTS}),
    Reason.OUT_OF_USE: st.fixed_dictionaries({"label": LABELS, "note": WORDS}),
    Reason.ON_HOLD: st.fixed_dictionaries({"label": LABELS, "note": WORDS}),
    Reason.AWAY_TOO: st.fixed_dictionaries({"name": NAMES}),
    Reason.LATER_ENTRIES: st.fixed_dictionaries(
        {"label": LABELS, "what": st.sampled_from([str(k) for k in EntryKind]), "at": MOMENTS}
    )
    | st.just({}),
    Reason.UNKNOWN_PART: st.fixed_dictionaries(
        {"word": NAMES}, optional={"parts": _KITS, "types": _KITS}
    ),
    Reason.NOT_THAT_MANY: st.fixed_dictionaries(
        {
            "part": NAMES,
            "number": st.integers(0, 99),
            "where": st.sampled_from(["shelf", "found", "broken", "supplier", "tray", "gap"]),
        },
        optional={"label": LABELS},
    ),
    Reason.NO_LENDER: st.fixed_dictionaries(
        {"label": LABELS, "why": st.sampled_from(["claim", "hold", "nothing", "in use"])}
    ),
    Reason.CANNOT_WEIGH: st.fixed_dictionaries(
        {
            "part": NAMES,
            "why": st.sampled_from(
                ["shared", "no place", "no weight", "too light", "too many", "too much", "between"]
            ),
        },
        optional={
            "step": st.just("0.1 g"),
            "most": st.integers(0, 99),
            "near": st.tuples(st.integers(0, 99), st.integers(0, 99)),
            "others": _KITS,
        },
    ),
    Reason.OTHERS: st.fixed_dictionaries({"number": NUMBERS})
    | st.fixed_dictionaries({"labels": _KITS}),
}
"""What the desk says beside each reason; the reasons that aren't here stand by themselves."""


def refusals(reason: Reason) -> st.SearchStrategy[Refused]:
    """Return refusals with this reason."""
    facts = FACTS.get(reason, st.just({}))
    instead = st.builds(
        Instead,
        WINDOWS,
        st.integers(1, 200),
        st.just(()) | st.tuples(LABELS) | st.tuples(LABELS, LABELS, LABELS),
        st.none() | NUMBERS,
    )
    return st.builds(
        Refused,
        st.just(reason),
        facts,
        st.just(()) | st.tuples(instead, instead),
        st.none() | instead,
    )


VIEWS = st.builds(
    View,
    zone=st.sampled_from([ZoneInfo("Europe/Dublin"), ZoneInfo("Asia/Kathmandu"), ZoneInfo("UTC")]),
    now=MOMENTS,
    role=st.sampled_from(list(Role)),
    private=st.booleans(),
    club=typed(80),
    contact=NAMES,
    bot=st.just("club_kit_bot"),
)

KINDS = sorted((kind for kind in SAID if kind is not Refused), key=lambda kind: kind.__name__)
