"""Kits that change after people were told: heard calmly, the evening before, and only if so."""

from __future__ import annotations

from clubbot.desk import booking, usability
from clubbot.rules.results import BookedTomorrow, BookingShort, KitsSwapped
from tests.desk.scene import Club

NEXT_WEEK = "for Red Fri 9 Oct 15:30-17:00"


def _tomorrow(told: dict[str, list[object]], name: str = "Student") -> BookedTomorrow:
    (part,) = told[name]
    assert isinstance(part, BookedTomorrow), part
    return part


def test_a_change_days_ahead_is_heard_with_the_reminder_of_the_evening_before(club: Club) -> None:
    club.student(booking.request, f"kit C {NEXT_WEEK}")
    (swap,) = club.helper(usability.withdraw, "C: bent axle").swaps
    assert "Student" not in club.mail()
    club.set("2026-10-08 17:59")
    assert "Student" not in club.mail()
    club.set("2026-10-08 18:00")
    told = _tomorrow(club.mail())
    assert told.swaps == (("C", swap.after, "out of use"),)
    assert [kit.label for kit in told.booking.kits] == [swap.after]
    club.set("2026-10-09 09:00")
    assert "Student" not in club.mail()


def test_a_change_that_is_undone_before_the_evening_is_never_heard_of(club: Club) -> None:
    club.student(booking.request, f"kit C {NEXT_WEEK}")
    club.helper(usability.withdraw, "C: bent axle")
    club.set("2026-10-05 12:00")
    club.helper(usability.restore, "C")
    (mine,) = club.student(booking.mine).bookings
    assert ([kit.label for kit in mine.kits], mine.named) == (["C"], True)
    club.set("2026-10-08 18:00")
    told = _tomorrow(club.mail())
    assert told.swaps == ()
    assert [kit.label for kit in told.booking.kits] == ["C"]


def test_of_several_changes_only_what_came_of_them_is_heard(club: Club) -> None:
    club.student(booking.request, f"kit C {NEXT_WEEK}")
    (first,) = club.helper(usability.withdraw, "C: bent axle").swaps
    club.set("2026-10-06 12:00")
    assert club.helper(usability.withdraw, f"{first.after}: no sound").swaps == ()
    club.set("2026-10-08 18:00")
    told = _tomorrow(club.mail())
    ((before, after, why),) = told.swaps
    assert (before, why) == ("C", "out of use")
    assert after not in ("C", first.after)
    assert [kit.label for kit in told.booking.kits] == [after]


def test_after_the_evening_a_change_is_told_at_once(club: Club) -> None:
    club.student(booking.request, f"kit C {NEXT_WEEK}")
    club.set("2026-10-08 18:00")
    assert _tomorrow(club.mail()).swaps == ()
    club.set("2026-10-08 18:30")
    club.helper(usability.withdraw, "C: bent axle")
    (part,) = club.mail()["Student"]
    assert isinstance(part, KitsSwapped)
    assert part.swaps[0][0] == "C"


def test_all_of_a_team_hear_of_a_change_not_only_the_first_of_them(club: Club) -> None:
    club.helper(booking.request, f"kit C {NEXT_WEEK}")
    club.leader(usability.withdraw, "C: bent axle")
    club.set("2026-10-08 18:00")
    told = club.mail()
    assert _tomorrow(told, "Helper").swaps
    assert _tomorrow(told, "Student").swaps


def test_a_team_that_lacks_a_kit_and_the_leader_are_told_at_once_also_days_ahead(
    club: Club,
) -> None:
    club.student(booking.request, f"6 kits {NEXT_WEEK}")
    club.helper(usability.withdraw, "C: bent axle")
    told = club.mail()
    for name in ("Student", "Leader"):
        assert any(isinstance(part, BookingShort) for part in told[name]), name
