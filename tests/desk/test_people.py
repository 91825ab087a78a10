"""Who is in: the first code, links that only knock, roles, teams, and who left."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from threading import Barrier, BrokenBarrierError, Event

import pytest
import sqlalchemy as sa

from clubbot.desk import booking, fault, handover, leaving, people, questions, sending, upkeep
from clubbot.desk.club import first_code
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import (
    Claimed,
    ClubChoice,
    ConfirmLeaving,
    Invited,
    Knocked,
    LeftClub,
    LetIn,
    People,
    Removed,
    SomeoneKnocks,
    TeamSet,
    TurnedAway,
    Welcome,
    YouAreIn,
)
from clubbot.rules.sending import Gone
from clubbot.store import people as rows
from clubbot.store.engine import Store, Tx
from clubbot.store.tables import CLUB, INVITATION, KNOCK
from tests.desk.scene import Club, Somebody, dump, make_club


def _start(club: Club, who: Somebody, code: str = "", name: str = "") -> object:
    return who(people.start, code, name or who.name)


def _link(club: Club, role: Role = Role.STUDENT) -> str:
    made = club.leader(people.invite, role)
    assert isinstance(made, Invited)
    return made.code


def _knock(club: Club, who: Somebody, role: Role = Role.STUDENT) -> int:
    assert isinstance(_start(club, who, _link(club, role)), Knocked)
    return club.leader(people.everyone).knocks[-1].id


def test_the_first_code_makes_its_user_the_leader_of_a_club_and_is_used_up(store: Store) -> None:
    club = make_club(store)
    for leader in (club.leader, club.co_leader):
        with store.write() as tx:
            rows.change(tx, club.id, leader.id, left_at=club.now)
    code = first_code(store, club.now)
    assert code is not None
    founder, late = club.newcomer("Founder"), club.newcomer("Late")
    assert isinstance(_start(club, founder, code.upper()), Claimed)
    assert _start(club, late, code) == Refused(Reason.CODE_WRONG)
    assert _start(club, founder) == Welcome("Our club", Role.LEADER, "")
    assert first_code(store, club.now) is None


def test_of_many_who_use_the_first_code_at_once_one_founds_a_club(store: Store) -> None:
    club = make_club(store)
    with store.write() as tx:
        rows.invite(tx, None, "firstcode", Role.LEADER, club.now + timedelta(hours=1), uses=1)
    crowd = [club.newcomer(f"P{n}") for n in range(8)]
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda who: _start(club, who, "firstcode"), crowd))
    assert sum(isinstance(each, Claimed) for each in answers) == 1
    assert sum(each == Refused(Reason.CODE_WRONG) for each in answers) == 7
    with store.read() as tx:
        assert tx.execute(sa.select(sa.func.count()).select_from(CLUB)).scalar_one() == 2


def test_two_first_codes_used_at_the_same_instant_found_one_club(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each has used its code up, and neither yet those of the others, if that can be."""
    club = make_club(store)
    with store.write() as tx:
        for adult in (club.leader, club.co_leader):
            rows.change(tx, club.id, adult.id, left_at=club.now)
    codes = [str(first_code(store, club.now)) for _ in range(2)]
    both, use = Barrier(2), rows.use_invitation

    def used(tx: Tx, number: int) -> bool:
        done = use(tx, number)
        with suppress(BrokenBarrierError):
            both.wait(0.5)
        return done

    monkeypatch.setattr(rows, "use_invitation", used)
    with ThreadPoolExecutor(2) as pool:
        crowd = [club.newcomer("One"), club.newcomer("Two")]
        answers = list(pool.map(lambda who, code: _start(club, who, code), crowd, codes))
    assert sorted(type(each).__name__ for each in answers) == ["Claimed", "Refused"]


def test_a_first_code_made_while_another_is_being_used_founds_no_second_club(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bot is started once more between the last look at the codes and the commit."""
    club = make_club(store)
    with store.write() as tx:
        for adult in (club.leader, club.co_leader):
            rows.change(tx, club.id, adult.id, left_at=club.now)
    code = str(first_code(store, club.now))
    dropped, drop = Event(), rows.drop_founding_codes

    def drop_and_wait(tx: Tx) -> None:
        drop(tx)
        dropped.set()
        time.sleep(0.3)

    monkeypatch.setattr(rows, "drop_founding_codes", drop_and_wait)
    with ThreadPoolExecutor(1) as pool:
        claimed = pool.submit(_start, club, club.newcomer("One"), code)
        assert dropped.wait(10)
        late = first_code(store, club.now)
        assert isinstance(claimed.result(), Claimed)
    assert late is None


def test_once_a_first_code_is_used_the_codes_of_other_starts_are_worth_nothing(
    store: Store,
) -> None:
    club = make_club(store)
    with store.write() as tx:
        for adult in (club.leader, club.co_leader):
            rows.change(tx, club.id, adult.id, left_at=club.now)
    codes = [str(first_code(store, club.now)) for _ in range(3)]
    assert isinstance(_start(club, club.newcomer("Founder"), codes[1]), Claimed)
    for code in codes:
        assert _start(club, club.newcomer("Late"), code) == Refused(Reason.CODE_WRONG)


def test_after_five_wrong_codes_even_the_right_one_waits_an_hour(club: Club) -> None:
    code, guesser = _link(club), club.newcomer("Guesser")
    for _ in range(5):
        assert _start(club, guesser, "wrong") == Refused(Reason.CODE_WRONG)
    assert _start(club, guesser, code) == Refused(Reason.TOO_MANY_TRIES)
    assert isinstance(_start(club, club.newcomer("Other"), code), Knocked)
    club.later(minutes=61)
    assert isinstance(_start(club, guesser, code), Knocked)


def test_a_link_only_knocks_and_an_adult_lets_in(club: Club) -> None:
    newcomer = club.newcomer("Nia")
    number = _knock(club, newcomer)
    assert newcomer(booking.mine) == Refused(Reason.NO_SUCH_CLUB)
    told = club.mail()
    assert [type(each) for each in told["Leader"]] == [SomeoneKnocks]
    assert set(told) == {"Leader", "Co-leader"}
    let_in = club.co_leader(people.let_in, number)
    assert isinstance(let_in, LetIn)
    assert (let_in.person.name, let_in.person.role) == ("Nia", Role.STUDENT)
    assert club.mail() == {"Nia": [YouAreIn("Club", "student")]}
    assert not isinstance(newcomer(booking.mine), Refused)


def test_a_knock_is_answered_once(club: Club) -> None:
    number = _knock(club, club.newcomer("Nia"))
    assert isinstance(club.leader(people.let_in, number), LetIn)
    assert club.co_leader(people.let_in, number) == Refused(Reason.ANSWERED)
    assert club.co_leader(people.turn_away, number) == Refused(Reason.ANSWERED)


def test_a_knock_that_was_answered_is_no_news_any_more(club: Club) -> None:
    number = _knock(club, club.newcomer("Nia"))
    club.leader(people.turn_away, number)
    assert club.mail() == {}


def test_of_somebody_who_is_turned_away_no_knock_is_kept(club: Club) -> None:
    number = _knock(club, club.newcomer("Nia"))
    assert club.leader(people.turn_away, number) == TurnedAway("Nia")
    with club.store.read() as tx:
        assert tx.execute(sa.select(KNOCK)).all() == []


def test_knocking_again_replaces_the_first_knock_and_uses_the_link_once(club: Club) -> None:
    code, eager = _link(club), club.newcomer("Eager")
    for _ in range(3):
        assert isinstance(_start(club, eager, code), Knocked)
        club.later(minutes=1)
    assert len(club.leader(people.everyone).knocks) == 1
    with club.store.read() as tx:
        assert tx.execute(sa.select(INVITATION.c.uses_left)).scalar_one() == people.LINK_USES - 1


def test_of_more_than_a_link_is_good_for_the_rest_are_told_that_it_is_over(club: Club) -> None:
    code = _link(club)
    with club.store.write() as tx:
        tx.execute(sa.update(INVITATION).values(uses_left=2))
    crowd = [club.newcomer(f"P{n}") for n in range(6)]
    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(lambda who: _start(club, who, code), crowd))
    assert sum(isinstance(each, Knocked) for each in answers) == 2
    assert sum(each == Refused(Reason.CODE_WRONG) for each in answers) == 4


def test_a_link_is_good_for_a_week(club: Club) -> None:
    code = _link(club)
    club.later(days=7, seconds=1)
    assert _start(club, club.newcomer("Late"), code) == Refused(Reason.CODE_WRONG)


def test_whoever_is_in_already_is_told_so_and_uses_up_nothing(club: Club) -> None:
    code = _link(club)
    before = dump(club.store)
    refused = _start(club, club.student, code)
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.ALREADY
    assert dump(club.store) == before


@pytest.mark.parametrize(
    "name", ["", "   ", "x" * 500, "<b>&</b>", "\u202eevil", "\u200b\u200b", "\u0645\u0631\u062d"]
)
def test_any_name_can_knock_and_come_in(club: Club, name: str) -> None:
    who = club.newcomer("Somebody")
    assert isinstance(who(people.start, _link(club), name), Knocked)
    knock = club.leader(people.everyone).knocks[-1]
    assert 0 < len(knock.name) <= 60
    assert isinstance(club.leader(people.let_in, knock.id), LetIn)


def test_no_link_makes_a_leader(club: Club) -> None:
    for role in (Role.LEADER, Role.STRANGER):
        assert isinstance(club.leader(people.invite, role), Refused)


def test_roles_and_teams_change_and_the_last_leader_stays_one(club: Club) -> None:
    assert club.leader(people.change_role, club.leader.id, Role.HELPER) == Refused(
        Reason.LAST_LEADER
    )
    assert club.leader(people.remove, club.leader.id) == Refused(Reason.LAST_LEADER)
    assert isinstance(club.leader(people.change_role, club.co_leader.id, Role.LEADER), LetIn)
    assert isinstance(club.co_leader(people.remove, club.leader.id), Removed)
    moved = club.co_leader(people.put_in_team, club.student.id, club.team("Blue"))
    assert isinstance(moved, TeamSet)
    found = club.co_leader(people.find, "stud")
    assert found.person.teams == ("Blue",)


def test_two_leaders_who_step_down_at_once_leave_one(club: Club) -> None:
    club.leader(people.change_role, club.co_leader.id, Role.LEADER)
    both = [club.leader, club.co_leader]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda who: who(people.change_role, who.id, Role.STUDENT), both))
    assert sorted(type(each).__name__ for each in answers) == ["LetIn", "Refused"]


def test_what_was_settled_while_somebody_waited_for_their_turn_counts(club: Club) -> None:
    """A helper is removed while their own deed waits for the club's lock."""
    import threading

    from clubbot.store import clubs

    with club.store.write() as tx:
        clubs.lock(tx, club.id)
        answers: list[object] = []
        deed = threading.Thread(
            target=lambda: answers.append(club.helper(booking.request, "1 kit Fri 15:30-17:00"))
        )
        deed.start()
        deed.join(0.3)
        rows.change(tx, club.id, club.helper.id, left_at=club.now)
    deed.join()
    assert answers == [Refused(Reason.NO_SUCH_CLUB)]


def test_somebody_removed_is_out_and_may_come_back_as_a_newcomer(club: Club) -> None:
    assert club.leader(people.remove, club.student.id) == Removed("Student")
    assert club.student(booking.mine) == Refused(Reason.NO_SUCH_CLUB)
    number = _knock(club, club.student)
    back = club.leader(people.let_in, number)
    assert back.person.id != club.student.id
    assert back.person.teams == ()


@pytest.mark.parametrize("how", ["removed", "left"])
def test_of_somebody_who_is_gone_neither_name_nor_number_is_left_and_the_ledger_stays(
    club: Club, how: str
) -> None:
    gone = club.newcomer("Zebedee", Role.HELPER, ["Red"])
    gone.telegram_id = 987_654_321_987
    with club.store.write() as tx:
        rows.change(tx, club.id, gone.id, telegram_id=gone.telegram_id)
    club.set("2026-10-02 15:30")
    gone(handover.give_out, "A for Red")
    gone(fault.report, "the battery of B is swollen and hot")
    gone(fault.report, "the motor is stuck")
    club.mail()
    kept = gone(leaving.about_me)
    assert (kept.account, kept.name, kept.teams) == (gone.telegram_id, "Zebedee", ("Red",))
    assert (kept.entries, kept.reports) == (2, 2)
    if how == "removed":
        assert club.leader(people.remove, gone.id) == Removed("Zebedee")
    else:
        assert gone(leaving.ask_to_leave) == ConfirmLeaving("Club")
        assert gone(leaving.leave) == LeftClub("Club")
    assert gone(booking.mine) == Refused(Reason.NO_SUCH_CLUB)
    assert club.out() == ["A"]
    assert club.audit() == []
    assert not isinstance(club.leader(handover.back, "A"), Refused)
    club.later(days=4)
    upkeep.tidy(club.store, club.now)
    rows_left = repr(dump(club.store))
    assert "Zebedee" not in rows_left
    assert str(gone.telegram_id) not in rows_left


def test_in_the_bytes_of_the_file_nothing_is_left_of_who_is_gone(sqlite_store: Store) -> None:
    club = make_club(sqlite_store)
    gone = club.newcomer("Zebedee", Role.HELPER, ["Red"])
    gone(fault.report, "the battery of B is swollen and hot")
    club.mail()
    gone(leaving.leave)
    club.later(days=4)
    upkeep.tidy(club.store, club.now)
    club.store.close()
    assert b"Zebedee" not in Path(str(club.store.url.database)).read_bytes()


def test_the_last_leader_cannot_leave(club: Club) -> None:
    for use_case in (leaving.ask_to_leave, leaving.leave):
        assert club.leader(use_case) == Refused(Reason.LAST_LEADER)
    club.leader(people.change_role, club.co_leader.id, Role.LEADER)
    assert club.leader(leaving.leave) == LeftClub("Club")


def test_what_nobody_answered_or_went_on_with_is_deleted(club: Club) -> None:
    eager = club.newcomer("Eager")
    _knock(club, eager)
    club.leader(questions.set_up, "teams")
    eager(people.start, "wrong", "Eager")
    club.later(days=6, hours=23)
    upkeep.tidy(club.store, club.now)
    assert len(club.leader(people.everyone).knocks) == 1
    club.later(hours=2)
    upkeep.tidy(club.store, club.now)
    left = dump(club.store)
    assert not left["knock"] + left["dialogue"] + left["code_try"]
    assert "Eager" not in repr(left)


def test_whoever_blocked_the_bot_is_written_to_no_more_until_they_come_back(club: Club) -> None:
    club.student(booking.request, "1 kit Fri 15:30-17:00")
    asking = club.student.asking()
    people.blocked(club.store, asking)
    assert not club.leader(people.find, "Student").person.reachable
    club.set("2026-10-01 18:00")
    assert "Student" not in club.mail()
    assert isinstance(_start(club, club.student), Welcome)
    assert club.leader(people.find, "Student").person.reachable


def test_a_send_that_can_never_arrive_is_given_up(club: Club) -> None:
    _knock(club, club.newcomer("Nia"))
    club.mail(Gone("blocked"))
    assert sending.nothing_owed(club.store, club.now + timedelta(days=1))


def test_somebody_in_two_clubs_chooses_which_is_meant_in_private(
    club: Club, other_club: Club
) -> None:
    from clubbot.desk import club as club_desk

    number = _knock(other_club, club.student)
    other_club.leader(people.let_in, number)
    club.later(minutes=1)
    chosen = club.student(club_desk.choose_club, other_club.id)
    assert isinstance(chosen, ClubChoice)
    assert _start(club, club.student) == Welcome("Other", Role.STUDENT, "")
    club.later(minutes=1)
    club.student(club_desk.choose_club, club.id)
    assert _start(club, club.student) == Welcome("Club", Role.STUDENT, "")
    stranger = club.newcomer("Nobody", Role.STUDENT)
    assert stranger(club_desk.choose_club, other_club.id) == Refused(Reason.NO_SUCH_CLUB)


def test_an_unknown_name_or_one_of_two_is_asked_for_again(club: Club) -> None:
    club.newcomer("Sam A", Role.STUDENT)
    club.newcomer("Sam B", Role.STUDENT)
    assert club.leader(people.find, "sam") == Refused(Reason.UNKNOWN_PERSON)
    assert club.leader(people.find, "nobody") == Refused(Reason.UNKNOWN_PERSON)
    assert isinstance(club.leader(people.find, ""), People)
