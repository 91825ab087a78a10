"""What is undone is as if it had not been: kits, bookings, how many, and which were asked for."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.desk import afterwards, booking, fault, handover, passing
from clubbot.rules.model import Refused, Window
from clubbot.rules.results import EveningWritten, HandedOut, PassedOn
from clubbot.store import bookings
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club

FRIDAY = "Fri 15:30-17:00"
SESSION = "2026-10-02 15:30"


def _standing(club: Club) -> dict[int, tuple[object, ...]]:
    """Return each booking of the session: its team, how many kits, which, which by name, out."""
    window = Window(club.at(SESSION), club.at("2026-10-02 17:00"))
    out = {label: club.stands(label).position.booking for label in club.out()}
    with club.store.read() as tx:
        found = bookings.between(tx, club.id, window)
    return {
        each.number: (
            each.team,
            each.count,
            frozenset(each.chosen),
            frozenset(each.named),
            frozenset(label for label, of in out.items() if of == each.id),
        )
        for each in found
    }


def _undone(club: Club, deed: Any, text: str, kind: type) -> None:
    before = _standing(club)
    club.later(minutes=1)
    done = club.helper(deed, text)
    assert isinstance(done, kind), done
    assert _standing(club) != before
    club.later(minutes=1)
    assert not isinstance(club.helper(handover.undo), Refused)
    assert _standing(club) == before
    assert club.audit() == []


@pytest.fixture
def named(club: Club) -> Club:
    """Red has booked A, B and C by name and has A and B; Blue has booked D by name."""
    club.helper(booking.request, f"A B and C for Red {FRIDAY}")
    club.helper(booking.request, f"D for Blue {FRIDAY}")
    club.set(SESSION)
    return club


def test_a_kit_passed_on_and_back_by_undoing_is_the_one_asked_for_by_name(named: Club) -> None:
    named.helper(handover.give_out, "A B for Red")
    _undone(named, passing.pass_on, "A to Blue", PassedOn)


def test_one_kit_more_than_booked_and_undone_leaves_the_booking_as_it_was(named: Club) -> None:
    named.helper(handover.give_out, "A B for Red")
    _undone(named, handover.give_out, "E F for Red", HandedOut)


def test_another_kit_than_the_one_booked_and_undone_leaves_the_one_booked(named: Club) -> None:
    _undone(named, handover.give_out, "E for Blue", HandedOut)


def test_a_kit_promised_to_somebody_else_meanwhile_stays_theirs(named: Club) -> None:
    named.helper(handover.give_out, "E for Blue")
    named.later(minutes=1)
    taken = named.leader(booking.request, "D for Red Fri 16:00-17:00").booking
    assert not isinstance(named.helper(handover.undo), Refused)
    standing = _standing(named)
    assert standing[taken.number][2] == {named.kit("D")}
    assert standing[2][2] == {named.kit("E")}
    assert named.audit() == []


@pytest.mark.parametrize(
    "line",
    [
        "E for C, all out 15:30, all back 15:40",
        "F instead of D 15:30",
        "E out 15:30, D out 15:30, D back 15:35",
        "A B out 15:30, A back 15:40, B flat, C won't start",
    ],
)
def test_an_evening_undone_leaves_bookings_and_faults_as_they_were(named: Club, line: str) -> None:
    named.set("2026-10-02 15:45")
    before = _standing(named)
    shown = named.helper(afterwards.tell, line)
    assert shown.lines, shown
    assert isinstance(named.helper(afterwards.write_down), EveningWritten)
    assert _standing(named) != before
    named.later(minutes=1)
    undone = named.helper(handover.undo)
    assert not isinstance(undone, Refused)
    assert _standing(named) == before
    assert named.leader(fault.open_faults).faults == ()
    assert len(undone.faults) == ("won't" in line)
    assert named.out() == []
    assert named.audit() == []


def test_a_time_put_right_and_undone_is_the_first_one_again(named: Club) -> None:
    named.helper(handover.give_out, "A B for Red")
    named.set("2026-10-02 16:40")
    named.helper(handover.back, "A B")
    noted = named.stands("A").position.last
    named.set("2026-10-02 17:30")
    named.helper(afterwards.tell, "A back 16:20")
    named.helper(afterwards.write_down)
    assert named.stands("A").position.last != noted
    before = _standing(named)
    named.later(minutes=1)
    named.helper(handover.undo)
    assert named.stands("A").position.last == noted
    assert _standing(named) == before
    assert named.out() == []
    assert named.audit() == []


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_whatever_is_given_out_or_passed_on_undoing_leads_back_to_before(
    store: Store, data: st.DataObject
) -> None:
    club = make_club(store, labels="ABCDEFGH")
    labels = st.lists(st.sampled_from("ABCDEFGH"), min_size=1, max_size=3, unique=True)
    for team in ("Red", "Blue"):
        wanted = data.draw(labels.map(" ".join) | st.sampled_from(["1 kit", "2 kits", "3 kits"]))
        club.leader(booking.request, f"{wanted} for {team} {FRIDAY}")
    club.set(SESSION)
    for _ in range(data.draw(st.integers(0, 2))):
        team = data.draw(st.sampled_from(["Red", "Blue"]))
        club.helper(handover.give_out, f"{' '.join(data.draw(labels))} for {team}")
        club.later(minutes=1)
    before = _standing(club)
    team = data.draw(st.sampled_from(["Red", "Blue"]))
    deed = data.draw(st.sampled_from([handover.give_out, passing.pass_on]))
    if isinstance(club.helper(deed, f"{' '.join(data.draw(labels))} for {team}"), Refused):
        return
    club.later(minutes=1)
    club.helper(handover.undo)
    after = _standing(club)
    assert club.audit() == []
    assert after.keys() == before.keys()
    for number, (of, count, chosen, by_name, out) in before.items():
        assert after[number][:2] == (of, count)
        assert after[number][3:] == (by_name, out)
        # Kits that nobody asked for by name may have made room, and needn't move once more.
        assert len(after[number][2]) == len(chosen)  # type: ignore[arg-type]
