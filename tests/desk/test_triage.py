"""Checking a fault: who may, one check at a time, what came of it, and how it ends."""

from __future__ import annotations

from clubbot.desk import booking, fault, handover, mending, triage
from clubbot.rules.faults.knowledge import known
from clubbot.rules.model import FaultId, Reason, Refused, Role
from clubbot.rules.results import CheckAsked, CheckingEnded, FaultReported
from clubbot.store import causes
from tests.desk.scene import Club, Somebody, dump

OLD = "kit D still runs the old program"


def reported(club: Club, said: str = OLD) -> FaultId:
    """Let the student report a fault, and return it."""
    result = club.student(fault.report, said)
    assert isinstance(result, FaultReported)
    return result.fault.id


def answer_all(who: Somebody, which: FaultId, outcome: str = "same") -> CheckingEnded:
    """Answer every check alike, and return how it ends."""
    step = who(triage.check, which)
    for _ in range(30):
        if isinstance(step, CheckingEnded):
            return step
        assert isinstance(step, CheckAsked)
        step = who(triage.checked, which, step.code, outcome)
    raise AssertionError("it asks on and on")


def test_one_check_after_the_other_is_asked_and_kept_with_the_fault(club: Club) -> None:
    which = reported(club)
    first = club.student(triage.check, which)
    assert first.code == "send-again"
    second = club.student(triage.checked, which, first.code, "same")
    assert second.code != first.code
    third = club.student(triage.checked, which, second.code, "cant")
    assert third.code not in (first.code, second.code)
    (line,) = club.helper(fault.open_faults).faults
    assert [(each.code, each.outcome) for each in line.checked] == [
        (first.code, "same"),
        (second.code, "cant"),
    ]
    again = club.student(triage.check_number, None)
    assert again.code == third.code, "it goes on where it stood"


def test_what_mended_it_closes_the_fault_where_a_helper_says_so_and_teaches_the_club(
    club: Club,
) -> None:
    which = reported(club)
    ended = club.helper(triage.checked, which, "send-again", "worked")
    assert (ended.end, ended.closed) == ("fixed", True)
    assert club.helper(fault.open_faults).faults == ()
    with club.store.read() as tx:
        assert causes.causes_seen(tx, club.id, "old-program") == {"program-not-sent": 1}


def test_a_students_word_that_it_runs_leaves_it_on_the_list_until_somebody_has_seen_it(
    club: Club,
) -> None:
    which = reported(club)
    ended = club.student(triage.checked, which, "send-again", "worked")
    assert (ended.end, ended.closed) == ("fixed", False)
    assert len(club.helper(fault.open_faults).faults) == 1


def test_a_student_is_never_asked_what_is_for_others_and_it_ends_with_an_adult(
    club: Club,
) -> None:
    which = reported(club, "kit D keeps losing power when bumped")
    ended = answer_all(club.student, which)
    assert ended.end == "adult"
    assert str(known().checks[ended.next_check].who) == "adult"
    before = dump(club.store)
    refused = club.student(triage.checked, which, "seat-battery", "worked")
    assert refused == Refused(Reason.OUT_OF_DATE)
    assert dump(club.store) == before
    assert isinstance(club.leader(triage.check, which), CheckAsked)


def test_others_students_faults_are_not_theirs_to_check_but_for_a_kit_that_their_team_has(
    club: Club,
) -> None:
    which = reported(club)
    other = club.newcomer("Other", Role.STUDENT, ["Blue"])
    assert other(triage.check, which) == Refused(Reason.OUT_OF_DATE)
    assert other(triage.check_number, 1).reason is Reason.UNKNOWN_FAULT
    assert isinstance(club.helper(triage.check_number, 1), CheckAsked)
    assert club.helper(triage.check_number, 99).reason is Reason.UNKNOWN_FAULT
    assert club.stranger(triage.check, which).reason is Reason.NO_SUCH_CLUB


def test_danger_and_a_kit_on_hold_are_checked_by_no_student_and_no_helper(club: Club) -> None:
    which = reported(club)
    club.student(fault.report, "the battery of D is swollen and hot")
    assert club.student(triage.check, which).end == "adult"
    assert club.helper(triage.check, which).end == "adult"
    assert club.helper(triage.checked, which, "send-again", "same").reason is Reason.OUT_OF_DATE
    assert isinstance(club.leader(triage.check, which), CheckAsked)
    assert club.leader(triage.check_number, 2) == club.leader(triage.check_number, 2)
    assert club.leader(triage.check_number, 2).end == "adult"


def test_while_a_session_runs_two_checks_at_most_are_asked_then_another_kit(club: Club) -> None:
    club.set("2026-10-02 15:40")
    which = reported(club)
    asked = 0
    step = club.student(triage.check, which)
    while isinstance(step, CheckAsked):
        asked += 1
        step = club.student(triage.checked, which, step.code, "same")
    assert 1 <= asked <= 2
    assert step.end == "swap"
    club.set("2026-10-02 17:30")
    assert isinstance(club.student(triage.check, which), CheckAsked), "later it goes on"


def test_the_same_answer_twice_is_one_check_and_a_closed_fault_is_out_of_date(
    club: Club,
) -> None:
    which = reported(club)
    first = club.student(triage.checked, which, "send-again", "same")
    assert club.student.again() == first
    club.student(triage.checked, which, "send-again", "cant")
    (line,) = club.helper(fault.open_faults).faults
    assert [(each.code, each.outcome) for each in line.checked] == [("send-again", "cant")]
    club.helper(mending.close, 1, "sent again")
    assert club.student(triage.check, which) == Refused(Reason.OUT_OF_DATE)
    assert club.student(triage.checked, which, "no-such-check", "same").reason is Reason.OUT_OF_DATE


def test_another_clubs_fault_cannot_be_checked(club: Club, other_club: Club) -> None:
    which = reported(club)
    assert other_club.leader(triage.check, which) == Refused(Reason.OUT_OF_DATE)


# -- back again ----------------------------------------------------------------------------


def test_within_two_weeks_the_same_fault_is_the_old_one_with_its_history(club: Club) -> None:
    which = reported(club)
    club.helper(triage.checked, which, "send-again", "worked")
    club.mail()
    club.later(days=13)
    back = club.student(fault.report, OLD)
    assert (back.fault.id, back.joined, back.tried) == (which, False, "sent the program again")
    club.later(days=2)
    assert set(club.mail()) >= {"Leader", "Co-leader"}
    assert [each.outcome for each in back.fault.checked] == ["same"], "it didn't last"
    asked = club.student(triage.check, which)
    assert isinstance(asked, CheckAsked)
    assert asked.code != "send-again"
    with club.store.read() as tx:
        assert causes.causes_seen(tx, club.id, "old-program") == {}


def test_later_or_on_another_kit_or_of_another_kind_it_is_a_new_fault(club: Club) -> None:
    which = reported(club)
    club.helper(mending.close, 1, "sent again")
    for said in ("kit E still runs the old program", "kit D won't start"):
        assert club.student(fault.report, said).fault.id != which
    club.later(days=15)
    assert reported(club) != which


# -- while a session runs ----------------------------------------------------------------------


def test_in_a_session_it_stops_soon_for_everybody_with_a_kit_to_take_and_an_adult_may_go_on(
    club: Club,
) -> None:
    club.leader(booking.request, "D for Red Fri 15:30-17:00")
    club.set("2026-10-02 15:35")
    club.helper(handover.give_out, "")
    which = reported(club, "kit D loses power and cuts out all the time")
    for who in (club.student, club.helper, club.leader):
        ended = who(triage.check, which)
        assert isinstance(ended, CheckingEnded)
        assert ended.end == "swap"
        assert ended.offer is not None
    assert club.leader(triage.check, which).go_on
    assert not club.student(triage.check, which).go_on
    assert isinstance(club.leader(triage.check_on, which), CheckAsked)
    assert club.student(triage.check_on, which).reason is Reason.NOT_ALLOWED


def test_where_every_kit_is_out_there_is_nothing_to_swap_and_two_checks_are_asked_at_most(
    club: Club,
) -> None:
    club.leader(booking.request, "6 kits for Red Fri 15:30-17:00")
    club.set("2026-10-02 15:35")
    club.helper(handover.give_out, "")
    which = reported(club, OLD)
    step = club.student(triage.check, which)
    asked = 0
    while isinstance(step, CheckAsked):
        asked += 1
        step = club.student(triage.checked, which, step.code, "same")
    assert asked == 2
    assert (step.end, step.offer) == ("adult", None)
