"""Handing the club over: what the paper says, and when an only leader is reminded."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import sqlalchemy as sa

from clubbot.chat.words import said
from clubbot.chat.words.phrases import Reply
from clubbot.desk import absence, battery, booking, fault, handover, parts, people, succession
from clubbot.desk import club as club_desk
from clubbot.desk.acting import Answer
from clubbot.rules.model import Role
from clubbot.rules.results import CodesGuessed, HandoverPaper, OnlyLeader
from clubbot.store.tables import CLAIM
from tests.desk.scene import Club, Somebody


def worded(club: Club, who: Somebody) -> Reply:
    answer: Answer = succession.paper(club.store, who.asking())
    assert isinstance(answer.value, HandoverPaper)
    return said(answer.value, answer.view)


def test_the_paper_has_people_keys_claims_quirks_and_whose_account_the_bot_is(club: Club) -> None:
    club.leader(club_desk.change_setting, "keys Cupboard: office, hook 4")
    club.leader(club_desk.change_setting, "bot runs the small computer in room 12")
    club.leader(club_desk.change_setting, "bot account the school's IT office")
    club.leader(club_desk.close_days, "26 Oct to 30 Oct: mid-term")
    club.student(booking.request, "A Fri 15:30-17:00")
    club.helper(handover.give_out, "B Blue")
    club.student(fault.report, "D: the left motor grinds")
    club.student(battery.say_of_battery, "F was found flat at the start")
    club.student(battery.say_of_battery, "F was found flat at the start")
    club.student(fault.report, "the battery of E is swollen")
    club.leader(absence.go_away, "5 Oct to 9 Oct Co-leader")
    text = worded(club, club.leader).text
    for part in (
        "Leads: Leader",
        "Co-leaders: Co-leader",
        "Helpers: Helper",
        "Keys: Cupboard: office, hook 4",
        "The bot runs on: the small computer in room 12",
        "account belongs to: the school's IT office. It should be the school's",
        "Group chats: Club group",
        "No club: Mon 26 Oct to Fri 30 Oct (mid-term)",
        "Out: B for Blue",
        "D: fault 1, motor fault",
        "E: on hold (danger reported",
        "F: found flat at the start 2 times",
        "No claim is open",
        "Away Mon 5 Oct to Fri 9 Oct: Leader; Co-leader acts",
    ):
        assert part in text, part
    assert "Student\n" not in text, "children are counted, not named"


def test_a_claim_stands_there_with_the_day_that_the_supplier_promised(club: Club) -> None:
    club.student(fault.report, "D: the left motor grinds")
    with club.store.read() as tx:
        number = tx.execute(sa.text("SELECT id FROM fault")).scalar_one()
    with club.store.write() as tx:
        values = {"club_id": club.id, "fault_id": number, "sent_at": club.now}
        tx.execute(sa.insert(CLAIM).values(promised_on=date(2026, 10, 20), **values))
    assert (
        "Fault 1: D, letter sent today, answer promised by Tue 20 Oct"
        in worded(club, club.co_leader).text
    )


def test_what_nobody_said_is_asked_for_in_the_paper(club: Club) -> None:
    text = worded(club, club.leader).text
    assert "Keys: not said; /settings keys" in text
    assert "The bot's account belongs to: not said; /settings bot account" in text


def test_the_same_comes_as_a_text_to_keep_without_any_markup(club: Club) -> None:
    club.leader(club_desk.change_setting, "keys <b>Zoe</b> & co \u05d3\u05e0\u05d4")
    reply = worded(club, club.leader)
    assert reply.document is not None
    name, content = reply.document
    assert Path(name).suffix == ".txt"
    assert "<b>Zoe</b> & co \u05d3\u05e0\u05d4" in content.decode("utf-8").replace(
        "\u2068", ""
    ).replace("\u2069", "")
    assert "Handing over Club" in content.decode("utf-8")


# -- the only leader ------------------------------------------------------------------------------


def reminders(club: Club, days: int) -> list[date]:
    """Return the days, of so many to come, on which the only leader is reminded."""
    found = []
    for _ in range(days):
        club.later(days=1)
        club.now = club.now.replace(hour=18)
        told = club.mail()
        for name, heard in told.items():
            if any(isinstance(each, OnlyLeader) for each in heard):
                assert name == "Leader"
                found.append(club.now.date())
    return found


def test_an_only_leader_is_reminded_with_a_quarters_first_charge_list_and_not_at_once(
    club: Club,
) -> None:
    assert reminders(club, 120) == [date(2027, 1, 1)]
    club.leader(people.change_role, club.co_leader.id, Role.LEADER)
    assert reminders(club, 100) == []


# -- guessing codes -------------------------------------------------------------------------------


def guess(club: Club, who: Somebody, code: str) -> object:
    return people.start(club.store, who.asking(), code, "Guest").value


def guessed(club: Club) -> dict[str, list[CodesGuessed]]:
    return {
        name: [each for each in parts if isinstance(each, CodesGuessed)]
        for name, parts in club.mail().items()
    }


def test_whoever_guesses_codes_is_reported_to_the_leaders_once_a_day(club: Club) -> None:
    for number in range(4):
        guess(club, club.stranger, f"guess{number}")
    assert guessed(club) == {}
    guess(club, club.stranger, "guess4")
    assert guessed(club) == {"Leader": [CodesGuessed(5)]}
    club.later(hours=2)
    for number in range(5):
        guess(club, club.stranger, f"more{number}")
    assert guessed(club) == {}
    club.later(days=1)
    for number in range(5):
        guess(club, club.stranger, f"again{number}")
    assert guessed(club) == {"Leader": [CodesGuessed(5)]}


def test_many_accounts_that_guess_a_little_each_are_reported_too(club: Club) -> None:
    for number in range(people.TRIES_OF_ALL):
        assert guessed(club) == {}
        guess(club, club.newcomer(f"Guest {number}"), f"guess{number}")
        club.later(minutes=1)
    assert guessed(club) == {"Leader": [CodesGuessed(people.TRIES_OF_ALL)]}
    assert timedelta(minutes=people.TRIES_OF_ALL) < people.TRIES_WITHIN


def test_parts_that_were_ordered_and_have_not_come_stand_there(club: Club) -> None:
    club.leader(parts.note, "ordered 3 cables")
    assert "Still to come: 3 cables, ordered today 12:00" in worded(club, club.leader).text
