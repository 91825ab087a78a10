"""What people are told without asking: each at its time, once, and nobody who can't hear it."""

from __future__ import annotations

from tests.chat.played import Club


async def booked(club: Club) -> None:
    """Book 2 kits for Red on Friday, and give them out then."""
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")


async def out_on_friday(club: Club) -> None:
    await booked(club)
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out")


async def test_the_evening_before_whoever_booked_hears_which_kits_are_theirs(club: Club) -> None:
    await booked(club)
    await club.at("2026-10-15 17:59")
    club.hears_nothing("Sam")
    await club.at("2026-10-15 18:00")
    told = club.answers("Sam", "Tomorrow, 15:30 to 17:00: booking 1 for Red", "A and B are yours")
    assert told.buttons == ["Cancel 1"]
    club.hears_nothing("Bea")
    await club.at("2026-10-15 23:00")
    club.hears_nothing("Sam")
    await club.presses("Sam", "Cancel 1")
    club.answers("Sam", "Cancelled: booking 1")


async def test_on_the_morning_of_a_session_the_adults_get_its_list(club: Club) -> None:
    await booked(club)
    await club.at("2026-10-16 08:00")
    for adult in ("Nora", "Owen"):
        club.answers(adult, "Today 15:30 to 17:00, 1 booking", "Red: A and B")
    club.hears_nothing("Hana")


async def test_shortly_before_the_end_those_with_kits_hear_that_they_are_due(club: Club) -> None:
    await out_on_friday(club)
    await club.at("2026-10-16 16:49")
    club.hears_nothing("Sam")
    await club.at("2026-10-16 16:50")
    club.answers("Sam", "Kits A and B: due back at 17:00")


async def test_the_adult_is_asked_first_and_one_tap_settles_all(club: Club) -> None:
    await out_on_friday(club)
    await club.at("2026-10-16 17:14")
    club.hears_nothing("Nora")
    await club.at("2026-10-16 17:15")
    asked = club.sees("Nora", "2 kits are still shown as out: A and B.")
    assert asked.buttons == ["All back", "Some missing"]
    club.hears_nothing("Owen")
    assert all("still shown" not in each.text for each in club.news("Sam"))
    await club.presses("Nora", "All back")
    club.answers("Nora", "Back: A and B. Everything that is due is back.")
    await club.at("2026-10-19 23:00")
    assert all("was due" not in each.text for each in club.news("Sam"))
    assert "were due" not in club.all_said("Sam")


async def test_what_is_missing_is_chased_step_by_step(club: Club) -> None:
    await out_on_friday(club)
    await club.at("2026-10-16 17:16")
    await club.presses("Nora", "Some missing")
    club.answers("Nora", "Tap what is back", "A with Red", "late")
    await club.presses("Nora", "B")
    club.answers("Nora", "Back: B. Still out: A.")
    await club.at("2026-10-16 17:30")
    chased = club.sees("Sam", "Kit A for Red was due today 17:00", "Please bring it back")
    assert chased.buttons == ["A is back"]
    await club.at("2026-10-19 08:00")
    club.sees("Sam", "Kit A for Red was due")
    await club.at("2026-10-20 08:00")
    club.sees("Nora", "Kit A for Red was due", "didn't come back after two reminders")
    club.hears_nothing("Sam")
    await club.at("2026-10-23 08:00")
    assert "didn't come back" not in "".join(each.text for each in club.news("Nora"))


async def test_a_team_that_says_it_is_back_is_not_chased(club: Club) -> None:
    await out_on_friday(club)
    await club.at("2026-10-16 17:16")
    await club.presses("Nora", "Some missing")
    await club.says("Sam", "/back")
    await club.at("2026-10-20 09:00")
    assert "were due" not in club.all_said("Sam")
    assert "after two reminders" not in club.all_said("Nora")


async def test_nobody_answers_so_after_a_while_the_holder_is_asked(club: Club) -> None:
    await out_on_friday(club)
    await club.at("2026-10-16 17:59")
    assert "were due" not in club.all_said("Sam")
    await club.at("2026-10-16 18:02")
    club.sees("Sam", "Kits A and B for Red were due today 17:00")
    await club.presses("Sam", "A is back")
    club.answers("Sam", "Kit A: noted as back")


async def test_the_charge_list_comes_when_fridays_session_is_over_also_across_the_clock_change(
    club: Club,
) -> None:
    await club.says("Sam", "/book 2 kits every monday 16:00 to 17:30 until 9 nov")
    times = []
    for friday in ("2026-10-16", "2026-10-23", "2026-10-30"):
        await club.at(f"{friday} 16:59")
        await club.at(f"{friday} 17:00")
        list_ = club.sees("Nora", "To charge for the week", "A and B: 1 booking")
        assert list_.message is not None
        times.append(list_.message.date.isoformat()[11:16])
        club.sees("Owen", "To charge for the week")
        club.hears_nothing("Hana")
    assert times == ["16:00", "16:00", "17:00"], "always 17:00 on the club's own clocks"
    await club.at("2026-11-13 16:59")
    await club.at("2026-11-13 17:00")
    assert all("To charge" not in each.text for each in club.news("Nora")), "nothing to charge"


async def test_whoever_has_blocked_the_bot_gets_nothing_until_they_come_back(club: Club) -> None:
    await booked(club)
    club.standin.block("Sam")
    await club.settle()
    await club.says("Nora", "/people")
    club.answers("Nora", "Sam, student, Red (can't be written to)")
    tries = len(club.standin.calls_of("sendMessage"))
    await club.at("2026-10-15 18:30")
    assert len(club.standin.calls_of("sendMessage")) == tries
    club.standin.unblock("Sam")
    await club.settle()
    await club.says("Nora", "/people")
    assert "can't be written to" not in club.answers("Nora", "Sam, student, Red").text
    await club.says("Sam", "/mine")
    club.answers("Sam", "1: tomorrow, 15:30")


async def test_a_block_that_nobody_was_told_of_is_learned_from_the_first_refusal(
    club: Club,
) -> None:
    await booked(club)
    club.standin.platform.world.person("Sam").blocked = True
    await club.at("2026-10-15 18:00")
    await club.says("Nora", "/people")
    club.answers("Nora", "Sam, student, Red (can't be written to)")


async def test_students_are_left_alone_at_night_and_told_in_the_morning(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.at("2026-10-15 22:00")
    await club.says("Nora", "/cancel 1")
    club.hears_nothing("Sam")
    await club.at("2026-10-16 07:29")
    club.hears_nothing("Sam")
    await club.at("2026-10-16 07:30")
    club.answers("Sam", "Booking 1", "is off")


async def test_what_became_due_while_the_bot_was_down_is_said_when_it_is_back(club: Club) -> None:
    await booked(club)
    await club.stop()
    club.clock.set(club.clock.now().replace(hour=17))
    await club.start()
    club.sees("Sam", "booking 1 for Red")
    await club.restart()
    club.hears_nothing("Sam")


async def test_a_week_goes_by_and_a_student_is_written_to_a_few_times_only(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    before = len(club.standin.messages("Sam"))
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out")
    await club.at("2026-10-16 17:00")
    await club.says("Hana", "/back all")
    await club.at("2026-10-22 15:00")
    assert len(club.standin.messages("Sam")) - before <= 3
