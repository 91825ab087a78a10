"""How a club begins: its first leader, and how everybody else comes in."""

from __future__ import annotations

import re

import pytest

from tests.chat.played import GROUP, Club


async def link(club: Club, leader: str, role: str) -> str:
    """Have an adult make a link, and return it."""
    await club.says(leader, f"/invite {role}")
    return re.search(r"https://\S+", club.answers(leader, f"Link for a {role}").text)[0]  # type: ignore[index]


# -- the first leader -----------------------------------------------------------------------


async def test_the_first_leader_claims_the_bot_with_the_code_that_it_printed(new: Club) -> None:
    await new.says("Nora", f"/start {new.code}")
    claimed = new.answers("Nora", "Welcome, Nora", "You lead this club now")
    assert claimed.buttons == ["Set up the club"]
    assert "setup" in [row["command"] for row in new.standin.commands_shown("Nora")]


async def test_the_code_works_once(new: Club) -> None:
    code = new.code
    await new.says("Nora", f"/start {code}")
    await new.says("Zed", f"/start {code}")
    new.answers("Zed", "isn't good here, or no longer")
    await new.restart()
    assert new.code == code, "a club with a leader prints no further code"


async def test_whoever_guesses_codes_is_slowed_down_and_nobody_else_is(new: Club) -> None:
    for guess in range(5):
        await new.says("Zed", f"/start guess{guess}")
        new.answers("Zed", "That code isn't good here")
    await new.says("Zed", f"/start {new.code}")
    new.answers("Zed", "Too many wrong codes", "in an hour")
    await new.at("2026-10-15 11:05")
    await new.says("Zed", "/start anothergue")
    new.answers("Zed", "That code isn't good here")
    await new.says("Nora", f"/start {new.code}")
    new.answers("Nora", "You lead this club now")


async def test_a_code_in_a_group_opens_nothing(new: Club) -> None:
    group = new.standin.add_group(GROUP, ["Zed", "Nora"], announce=False)
    await new.says("Zed", f"/start@club_kit_bot {new.code}", group)
    new.answers(group, "private")
    await new.says("Nora", f"/start {new.code}")
    new.answers("Nora", "You lead this club now")


async def test_a_stranger_is_told_what_this_is_and_how_to_come_in(new: Club) -> None:
    for said in ("/start", "/help", "hello?", "/book 2 kits fri", "/today", "unit D keeps dying"):
        await new.says("Zed", said)
        new.answers("Zed", "link that your club's leader gives you")


# -- coming in -----------------------------------------------------------------------


@pytest.mark.parametrize("role", ["student", "helper", "co-leader", "door phone"])
async def test_people_knock_with_a_link_and_an_adult_lets_them_in(club: Club, role: str) -> None:
    shown = await link(club, "Owen", role)
    await club.opens("Zed", shown)
    club.answers("Zed", "An adult of Robot club lets you in soon", "Kept about you")
    for adult in ("Nora", "Owen"):
        assert {"Let Zed in", "Turn away"} <= set(
            club.answers(adult, f"Zed wants to come in as {role}").buttons
        )
    club.hears_nothing("Hana")
    await club.says("Zed", "/free")
    club.answers("Zed", "aren't in a club here yet")
    await club.presses("Nora", "Let Zed in")
    club.answers("Nora", f"Zed, {role}")
    club.answers("Zed", f"You are in Robot club as {role}")
    assert "free" in [row["command"] for row in club.standin.commands_shown("Zed")]
    await club.presses("Owen", "Let Zed in")
    club.answers("Owen", "Somebody has answered that already")
    await club.says("Zed", "/free")
    club.answers("Zed", "kits free")


async def test_whoever_is_turned_away_is_out_and_may_knock_again(club: Club) -> None:
    shown = await link(club, "Nora", "student")
    await club.opens("Zed", shown)
    await club.presses("Nora", "Turn away")
    club.answers("Nora", "Zed was turned away; nothing is kept")
    await club.says("Zed", "/free")
    club.answers("Zed", "aren't in a club here yet")
    await club.opens("Zed", shown)
    club.answers("Zed", "lets you in soon")


async def test_a_member_who_opens_a_link_again_is_told_so(club: Club) -> None:
    await club.opens("Sam", await link(club, "Nora", "helper"))
    club.answers("Sam", "You are in Robot club already")
    club.hears_nothing("Nora")


async def test_a_link_runs_out_after_a_week(club: Club) -> None:
    shown = await link(club, "Nora", "student")
    await club.at("2026-10-22 10:01")
    await club.opens("Zed", shown)
    club.sees("Zed", "That code isn't good here, or no longer")


async def test_roles_and_teams_are_changed_with_buttons(club: Club) -> None:
    await club.says("Nora", "/role sam")
    club.answers("Nora", "Sam, student, Red")
    await club.presses("Nora", "Blue")
    club.answers("Nora", "Sam is in Blue now")
    await club.says("Nora", "/role Sam")
    await club.presses("Nora", "helper")
    club.answers("Nora", "Sam, helper, Blue")
    await club.says("Sam", "/today")
    club.answers("Sam", "Today")
    await club.says("Nora", "/people")
    club.answers("Nora", "6 in the club", "Sam, helper, Blue", "Nora, leader")


async def test_whoever_is_removed_is_out_at_once(club: Club) -> None:
    await club.says("Nora", "/role Sam")
    await club.presses("Nora", "Remove")
    club.answers("Nora", "Sam is no longer in the club")
    await club.says("Sam", "/mine")
    club.answers("Sam", "aren't in a club here yet")


async def test_a_leader_can_make_another_leader_and_only_then_step_down(club: Club) -> None:
    await club.says("Nora", "/role Nora")
    await club.presses("Nora", "co-leader")
    club.sees("Nora", "needs a leader")
    await club.says("Nora", "/role Owen")
    await club.presses("Nora", "leader")
    club.answers("Nora", "Owen, leader")
    await club.says("Nora", "/role Nora")
    await club.presses("Nora", "co-leader")
    club.answers("Nora", "Nora, co-leader")


async def test_nobody_of_a_name_is_said_as_it_is(club: Club) -> None:
    await club.says("Nora", "/role Quentin")
    club.answers("Nora", "Nobody of that name")


async def test_teams_come_and_go(club: Club) -> None:
    await club.says("Nora", "/teams Lanterns, Red")
    club.answers("Nora", "Teams: Blue, Green, Lanterns and Red")
    await club.says("Nora", "/teams Lanterns off")
    club.answers("Nora", "Teams: Blue, Green and Red")
    await club.says("Nora", "/teams Lanterns off")
    club.answers("Nora", "There is no team Lanterns here")
    await club.says("Nora", "/teams ,")
    club.answers("Nora", "I need at least one name")
    await club.says("Nora", "/teams")
    club.answers("Nora", "Which teams are there?")


# -- several clubs -----------------------------------------------------------------------


async def test_somebody_in_two_clubs_says_which_one_they_mean(club: Club) -> None:
    from clubbot.rules.model import Role
    from clubbot.store import clubs, people

    await club.says("Sam", "/club")
    club.answers("Sam", "You are in one club: Robot club")
    await club.at("2026-10-15 11:00")
    with club.store.write() as tx:
        other = clubs.found(tx, "Tuesday <b>makers</b>", "Europe/Dublin", club.clock.now())
        sam = club.standin.platform.world.person("Sam")
        people.add(tx, other, sam.id, "Sam", Role.HELPER, club.clock.now())
    await club.says("Sam", "/free")
    club.answers("Sam", "Which day, from when to when?")
    await club.says("Sam", "/club")
    club.answers("Sam", "Which club do you mean from now on?")
    await club.presses("Sam", "Robot club")
    club.answers("Sam", "Which club")
    await club.says("Sam", "/free")
    club.answers("Sam", "8 of 8 kits free")
    await club.says("Sam", "/start")
    club.answers("Sam", "Robot club as student")


async def test_people_see_what_is_kept_about_them_and_leave_by_one_tap(club: Club) -> None:
    await club.says("Sam", "/me")
    club.answers("Sam", "Kept about you in Robot club", "your name, Sam", "student, Red", "/leave")
    await club.says("Sam", "/leave")
    await club.presses("Sam", "No")
    await club.says("Sam", "/leave")
    await club.presses("Sam", "Yes, leave")
    club.answers("Sam", "You have left Robot club")
    await club.says("Sam", "/mine")
    club.answers("Sam", "You aren't in a club here yet")
    await club.says("Nora", "/leave")
    club.answers("Nora", "make somebody else one first")


async def test_whoever_comes_into_a_second_club_hears_which_one_is_meant_from_then_on(
    club: Club,
) -> None:
    from clubbot.rules.model import Role
    from clubbot.store import clubs, people

    with club.store.write() as tx:
        other = clubs.found(tx, "Tuesday makers", "Europe/Dublin", club.clock.now())
        zed = club.standin.platform.world.person("Zed")
        people.add(tx, other, zed.id, "Zed", Role.LEADER, club.clock.now())
    await club.opens("Zed", await link(club, "Nora", "co-leader"))
    await club.at("2026-10-15 10:30")
    await club.presses("Nora", "Let Zed in")
    told = club.answers("Zed", "You are in Robot club as co-leader", "another club here", "/club")
    assert "Tuesday makers" not in told.text, "this club's adults can read what was sent"
    await club.says("Zed", "/free")
    club.answers("Zed", "8 of 8 kits free")
    await club.says("Zed", "/club")
    await club.presses("Zed", "Tuesday makers")
    await club.says("Zed", "/free")
    assert "8 of 8" not in club.news("Zed")[-1].text
