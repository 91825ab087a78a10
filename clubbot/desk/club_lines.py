"""The club's own file: what the set-up and the settings say, line by line, and back."""

from __future__ import annotations

from clubbot.desk.acting import Who
from clubbot.desk.setting_up import write_answer
from clubbot.rules.exchange import ClubLine
from clubbot.rules.exchange.club_lines import NOTHING, chargers_line, weekly
from clubbot.rules.model import ClubId
from clubbot.rules.results import SetUpStep
from clubbot.rules.settings import read_setting, spelled
from clubbot.rules.setup import NEW_CLUB
from clubbot.store import clubs, equipping, feeds, people
from clubbot.store.engine import Tx

_STEPS: dict[str, SetUpStep] = {
    "name": "name",
    "city": "zone",
    "meetings": "meetings",
    "adult there": "hours",
    "student accounts": "accounts",
    "calendar": "feed",
    "chargers": "chargers",
}
_UNSAID = frozenset({"not set", "not said"})


def lines(tx: Tx, club: ClubId) -> tuple[ClubLine, ...]:
    """Return all that is set, spelled as the file has it."""
    row = clubs.club(tx, club)
    calendar = clubs.calendar(tx, club, row.zone)
    names = {person.id: person.name for person in people.people(tx, club)}
    feed = feeds.feed(tx, club)
    found = {
        "name": "" if row.name == NEW_CLUB else row.name,
        "city": row.zone.key if row.settings.zone_set else "",
        "meetings": ", ".join(
            weekly(each, each.name, names.get(each.adult, "") if each.adult else "")
            for each in calendar.meetings
        ),
        "adult there": ", ".join(weekly(each) for each in calendar.hours),
        "student accounts": row.settings.accounts,
        "calendar": feed.url if feed else "",
        "chargers": chargers_line(equipping.chargers(tx, club)),
    }
    settings = [(name, value) for name, value in spelled(row.settings) if value not in _UNSAID]
    return tuple(ClubLine(name, value) for name, value in (*found.items(), *settings) if value)


def write(tx: Tx, who: Who, line: ClubLine) -> None:
    """Write down one line that was read before, so that it fits."""
    step = _STEPS.get(line.setting)
    if step is not None:
        write_answer(tx, who, step, line.value or NOTHING)
        return
    changed = read_setting(clubs.club(tx, who.club).settings, f"{line.setting} {line.value}")
    if not isinstance(changed, str):
        clubs.change(tx, who.club, settings=changed[0].changed())
