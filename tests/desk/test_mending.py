"""A fault's life: what it hangs on, how its kit is used meanwhile, what was done, it is back."""

from __future__ import annotations

from clubbot.desk import (
    booking,
    fault,
    fitting,
    handover,
    mending,
    swapping,
    talk,
    today,
    triage,
    usability,
)
from clubbot.rules.faults.knowledge import known
from clubbot.rules.ledger import Use
from clubbot.rules.model import FaultId, Reason, Refused, Role
from clubbot.rules.results import (
    CauseNoted,
    ChargeList,
    FaultCard,
    FaultClosed,
    FaultReported,
    FaultsStalled,
    FixWanted,
    UseChanged,
)
from clubbot.store import causes
from tests.desk.scene import Club

TABLET = "the tablet of D is frozen and does nothing"
MOTOR = "kit D: the left motor does not turn"
SESSION = "Fri 15:30-17:00"


def report(club: Club, said: str = MOTOR) -> FaultId:
    result = club.student(fault.report, said)
    assert isinstance(result, FaultReported)
    return result.fault.id


def card(club: Club, number: int = 1) -> FaultCard:
    found = club.helper(mending.card, number)
    assert isinstance(found, FaultCard)
    return found


# -- what it hangs on -------------------------------------------------------------------


def test_a_fault_of_the_tablet_goes_with_the_tablet_and_the_new_one_has_a_clean_name(
    club: Club,
) -> None:
    club.leader(fitting.fit, "tablet T4 to D")
    report(club, TABLET)
    assert (card(club).fault.thing, card(club).fault.serial) == ("tablet", "T4")
    club.leader(fitting.fit, "tablet T9 to D")
    assert club.helper(today.kit_card, "D").faults == ()
    assert card(club).fault.kit is None, "it is in no kit now"
    club.leader(fitting.fit, "tablet T4 to F")
    assert [each.number for each in club.helper(today.kit_card, "F").faults] == [1]
    again = club.student(fault.report, TABLET)
    assert not again.joined, "it is another tablet's, and so another fault"
    assert again.fault.number == 2


def test_a_thing_that_nobody_has_listed_takes_its_faults_along_all_the_same(club: Club) -> None:
    report(club, TABLET)
    assert card(club).fault.thing == "tablet"
    club.leader(fitting.fit, "tablet T9 to D")
    assert club.helper(today.kit_card, "D").faults == ()
    assert club.audit() == []


def test_where_nothing_is_to_blame_the_fault_is_the_kits_until_checks_or_somebody_say_what(
    club: Club,
) -> None:
    which = report(club, "kit D: the battery does not last, flat after twenty minutes")
    assert card(club).fault.thing == ""
    club.leader(triage.checked, which, "run-time-test", "worked")
    assert card(club).fault.thing == "battery"
    shown = club.helper(mending.blame, which, "unit")
    assert isinstance(shown, FaultCard)
    assert shown.fault.thing == "unit"
    club.leader(triage.checked, which, "other-battery", "worked")
    assert card(club).fault.thing == "unit", "what somebody said isn't changed by a check"


def test_danger_goes_with_the_battery_and_the_hold_stays_with_the_kit(club: Club) -> None:
    club.student(fault.report, "the battery of E is swollen and hot")
    shown = card(club)
    assert (shown.fault.danger, shown.fault.thing, shown.use) == (True, "battery", "on hold")


def test_a_report_in_other_words_joins_what_it_may_well_mean(club: Club) -> None:
    report(club)
    unsure = club.student(fault.report, "D is broken again")
    assert (unsure.joined, unsure.fault.number) == (True, 1)
    other = club.student(fault.report, "kit D will not connect to its tablet")
    assert not other.joined
    assert club.student(fault.report, "D is broken again").fault.number == 3, "which of the two?"
    assert [each.what for each in card(club).steps] == ["again"]


# -- how its kit is used meanwhile ------------------------------------------------------


def test_another_kit_is_offered_at_once_and_one_tap_gives_it_to_the_booking(club: Club) -> None:
    club.student(booking.request, f"D for Red {SESSION}")
    club.set("2026-10-02 15:35")
    club.helper(handover.give_out, "")
    reported = club.student(fault.report, MOTOR)
    assert reported.offer is not None
    assert reported.offer.kit.label == "D"
    swapped = club.helper(swapping.swap_in, reported.offer.number, reported.offer.kit.id)
    assert swapped.after == reported.offer.instead
    assert reported.offer.instead.label in club.out()


def test_where_no_kit_is_free_none_is_offered(club: Club) -> None:
    club.leader(booking.request, f"6 kits for Red {SESSION}")
    club.set("2026-10-02 15:35")
    club.helper(handover.give_out, "")
    assert club.student(fault.report, MOTOR).offer is None


def test_usable_watch_it_leaves_the_kit_in_use_and_says_so(club: Club) -> None:
    which = report(club)
    club.student(booking.request, f"D for Red {SESSION}")
    club.set("2026-10-02 08:00")
    assert [each.what for each in club.helper(today.today).todo] == ["swap"]
    shown = club.helper(mending.watch, which)
    assert isinstance(shown, FaultCard)
    assert shown.fault.watched
    assert club.helper(today.today).todo == ()


def test_out_of_use_for_a_fault_and_watched_again_puts_it_back_in_use(club: Club) -> None:
    which = report(club)
    changed = club.helper(mending.put, which, "out")
    assert isinstance(changed, UseChanged)
    assert (changed.use, changed.note) == ("out of use", "fault 1")
    assert club.helper(mending.put, which, "out").reason is Reason.ALREADY
    club.helper(mending.watch, which)
    assert club.stands("D").position.use is Use.IN_USE
    assert club.helper(mending.put, which, "hold").use == "on hold"
    assert club.helper(usability.release, "D").reason is Reason.NOT_ALLOWED, "an adult looks first"
    assert club.student(mending.put, which, "out").reason is Reason.NOT_ALLOWED


def test_danger_is_never_just_watched(club: Club) -> None:
    club.student(fault.report, "the battery of E is swollen and hot")
    assert club.leader(mending.watch, card(club).fault.id) == Refused(Reason.OUT_OF_DATE)


# -- what was done ----------------------------------------------------------------------


def test_closing_asks_what_was_done_and_a_tap_on_a_usual_fix_says_what_was_behind_it(
    club: Club,
) -> None:
    which = report(club)
    asked = club.helper(mending.close, 1, "")
    assert isinstance(asked, FixWanted)
    assert asked.causes[0] == "motor-plug-loose"
    closed = club.helper(mending.fixed_by, which, "motor-plug-loose")
    assert isinstance(closed, FaultClosed)
    assert (closed.fix, closed.causes) == (known().causes["motor-plug-loose"].did, ())
    with club.store.read() as tx:
        assert causes.causes_seen(tx, club.id, "motor-fault") == {"motor-plug-loose": 1}
    assert club.helper(mending.fixed_by, which, "motor-plug-loose").reason is Reason.OUT_OF_DATE


def test_own_words_do_as_well_and_then_it_is_asked_what_was_behind_it(club: Club) -> None:
    which = report(club)
    club.helper(mending.close_it, which)
    closed = club.helper(talk.hear, "took the thread off the axle", True)
    assert isinstance(closed, FaultClosed)
    assert closed.fix == "took the thread off the axle"
    assert "wheel-blocked" in closed.causes
    noted = club.helper(mending.because, which, "wheel-blocked")
    assert noted == CauseNoted(1, "wheel-blocked")
    with club.store.read() as tx:
        assert causes.causes_seen(tx, club.id, "motor-fault") == {"wheel-blocked": 1}


def test_what_the_club_found_before_comes_first_the_next_time(club: Club) -> None:
    for _ in range(12):
        which = report(club)
        club.helper(mending.fixed_by, which, "wheel-blocked")
        club.later(days=15)
    report(club)
    assert club.helper(mending.close, 13, "").causes[0] == "wheel-blocked"


def test_nobody_but_an_adult_closes_danger_not_by_a_tap_either(club: Club) -> None:
    club.student(fault.report, "the battery of E is swollen and hot")
    which = card(club).fault.id
    no = Refused(Reason.NOT_ALLOWED, {"deed": "take a kit off hold"})
    assert club.helper(mending.close_it, which) == no
    assert club.helper(mending.fixed_by, which, "battery-swollen") == no
    asked = club.leader(mending.close_it, which)
    assert asked.causes == (), "danger has no usual fix"


# -- it is back -------------------------------------------------------------------------


def test_it_is_back_reopens_with_all_that_was_done_for_two_weeks(club: Club) -> None:
    which = report(club)
    club.helper(mending.close, 1, "new lead")
    club.later(days=13)
    back = club.student(mending.is_back, which)
    assert isinstance(back, FaultReported)
    assert (back.fault.number, back.tried) == (1, "new lead")
    club.helper(mending.close, 1, "new motor")
    assert [(each.what, each.note) for each in card(club).steps] == [
        ("fixed", "new lead"),
        ("back", ""),
        ("fixed", "new motor"),
    ]
    club.later(days=15)
    assert club.helper(mending.is_back, which) == Refused(Reason.OUT_OF_DATE)


def test_only_who_has_to_do_with_it_says_that_it_is_back(club: Club) -> None:
    which = report(club)
    club.helper(mending.close, 1, "new lead")
    other = club.newcomer("Mate", Role.STUDENT, ["Blue"])
    assert other(mending.is_back, which) == Refused(Reason.OUT_OF_DATE)


# -- nothing moves ----------------------------------------------------------------------


def test_what_has_not_moved_for_a_week_is_told_to_leaders_within_the_weeks_message(
    club: Club,
) -> None:
    report(club)
    club.student(booking.request, "2 kits Mon 16:00-17:30")
    club.set("2026-10-02 12:00")
    club.mail()
    club.set("2026-10-02 17:30")
    assert [type(each) for each in club.mail()["Leader"]] == [ChargeList], "a day old only"
    club.student(booking.request, "2 kits Mon 12 Oct 16:00-17:30")
    club.set("2026-10-09 17:30")
    told = club.mail()
    assert [type(each) for each in told["Leader"]] == [ChargeList, FaultsStalled]
    assert [type(each) for each in told["Co-leader"]] == [ChargeList]
    assert [(each.fault.number, each.days) for each in told["Leader"][1].faults] == [(1, 8)]


def test_one_that_is_watched_is_left_in_peace_for_four_weeks(club: Club) -> None:
    club.helper(mending.watch, report(club))
    for day, told in (("2026-10-09", False), ("2026-10-23", False), ("2026-10-30", True)):
        club.set(f"{day} 17:30")
        mail = club.mail().get("Leader", [])
        assert any(isinstance(each, FaultsStalled) for each in mail) is told, day


def test_a_check_or_a_picture_counts_as_a_move(club: Club) -> None:
    which = report(club)
    club.mail()
    club.set("2026-10-06 16:00")
    club.leader(triage.checked, which, "plugs-home", "same")
    club.set("2026-10-09 17:30")
    assert club.mail() == {}


def test_what_was_mended_before_the_message_goes_out_is_not_in_it(club: Club) -> None:
    report(club)
    club.mail()
    club.set("2026-10-09 17:30")
    assert club.sweep() == 1
    club.helper(mending.close, 1, "new lead")
    assert club.mail() == {}
