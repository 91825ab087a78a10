"""What a report of a fault tells of a battery: as much as the battery is likely to blame."""

from __future__ import annotations

from clubbot.desk import battery, booking, charging, energy, fault, handover, mending, triage
from clubbot.desk.acting import by_the_clock
from clubbot.rules.energy.belief import chance_worn
from clubbot.rules.faults.blame import driven_empty, ran_for
from clubbot.rules.faults.knowledge import known
from clubbot.rules.faults.triage import believe
from clubbot.rules.model import FaultId
from clubbot.store import clubs, faults
from tests.desk.scene import Club

DIES = "kit D: the battery does not last, it is dead before the end"


def driven(club: Club, label: str = "D") -> None:
    """Charge a kit full and take it out, as for any session."""
    club.set("2026-10-01 17:00")
    club.leader(charging.charged, label)
    club.leader(booking.request, f"{label} for Red Fri 13:30-17:00")
    club.set("2026-10-02 13:30")
    club.helper(handover.give_out, "")
    club.set("2026-10-02 16:30")


def short(club: Club, label: str = "D") -> float:
    """Return the chance that a full charge of a kit gives less than the 59 minutes just driven."""
    with club.store.read() as tx:
        who = by_the_clock(clubs.club(tx, club.id), club.now)
        kit = club.kit(label)
        return chance_worn(energy.beliefs(tx, who, [kit], club.now)[kit].belief, 59)


def reported(club: Club) -> FaultId:
    return FaultId(club.student(fault.report, DIES).fault.id)


def test_a_report_that_it_died_speaks_against_the_battery_and_less_than_a_word_on_it(
    club: Club,
) -> None:
    driven(club)
    before = short(club)
    reported(club)
    after_report = short(club)
    club.student(battery.say_of_battery, "D ran flat")
    assert short(club) > after_report > before
    said = club.leader(battery.battery, "D")
    assert said.told == 1, "said of the battery itself, the report tells nothing more"


def test_once_it_was_the_battery_the_report_counts_in_full(club: Club) -> None:
    driven(club)
    which = reported(club)
    unsure = short(club)
    club.helper(mending.fixed_by, which, "battery-worn")
    assert short(club) > unsure


def test_a_loose_battery_or_one_left_on_lowers_nothing(club: Club) -> None:
    driven(club)
    before = short(club)
    which = reported(club)
    club.helper(mending.fixed_by, which, "left-on")
    assert short(club) == before


def test_a_check_that_speaks_for_another_cause_takes_weight_from_the_battery(club: Club) -> None:
    driven(club)
    which = reported(club)
    unsure = short(club)
    club.leader(triage.checked, which, "run-time-test", "same")
    club.leader(triage.checked, which, "other-battery", "same")
    assert short(club) < unsure


def test_a_report_undone_says_nothing(club: Club) -> None:
    driven(club)
    before = short(club)
    reported(club)
    with club.store.write() as tx:
        line = faults.still_open(tx, club.id)[0]
        faults.change(tx, club.id, line.id, mistaken=True, state="closed")
    assert short(club) == before


def test_bookings_are_planned_with_what_the_report_tells(club: Club) -> None:
    driven(club)
    which = reported(club)
    assert club.stands("D").kit.gives is not None
    unsure = club.stands("D").kit.gives
    club.helper(mending.fixed_by, which, "battery-worn")
    assert club.stands("D").kit.gives < unsure


def test_what_counts_is_the_share_of_the_causes_that_drive_a_battery_empty() -> None:
    belief = believe(known(), "short-run", {})
    share = sum(p for code, p in belief.items() if known().causes[code].flat)
    assert driven_empty(known(), "short-run", belief) == share > 0.3
    assert driven_empty(known(), "short-run", belief, "battery-worn") == 1
    assert driven_empty(known(), "loses-power", belief, "battery-loose") == 0
    assert driven_empty(known(), "frozen", belief) == 0
    assert ran_for("D died after 20 minutes") == 20
    assert ran_for("D lasts about 25 min") == 25
    assert ran_for("D stops when bumped") is None
