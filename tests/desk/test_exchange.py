"""Import and export by the desk: shown first, whole or not at all, and back without a change."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from clubbot.desk import booking, exchange, history, talk
from clubbot.rules.exchange import Contents, write_sheets
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import (
    Booked,
    Exported,
    Imported,
    ImportPreview,
    ImportProblems,
    NothingToImport,
)
from clubbot.store.engine import Store
from tests.desk.scene import Club, dump, make_club
from tests.rules.test_exchange import contents

ITEMS = "kind,serial,kit,price,bought on,warranty until\n"


def _belongings(club: Club) -> object:
    tables = dump(club.store)
    names = ("kit_type", "part", "kit", "place", "item", "team", "entry", "position")
    return {name: tables[name] for name in names}


def _files(club: Club) -> dict[str, str]:
    exported = club.leader(exchange.export)
    assert isinstance(exported, Exported)
    return {file.name: file.content for file in exported.files}


def _take_in(club: Club, text: str) -> Imported:
    preview = club.leader(exchange.take_in, text)
    assert isinstance(preview, ImportPreview), preview
    done = club.leader(exchange.confirm, preview.key)
    assert isinstance(done, Imported), done
    return done


def test_what_a_club_gives_out_changes_nothing_when_it_is_taken_in(club: Club) -> None:
    _take_in(club, ITEMS + "unit,U1,A,219.90,2025-09-01,2027-09-01\nbattery,,A,,,\nbattery,,A,,,\n")
    before = _belongings(club)
    files = _files(club)
    names = ("club", "fleet", "items", "kit_types", "spares", "teams")
    assert sorted(files) == [f"{name}.csv" for name in names]
    for text in files.values():
        assert isinstance(club.leader(exchange.take_in, text), NothingToImport)
    assert _belongings(club) == before
    assert club.audit() == []


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[Phase.explicit, Phase.generate],
)
@given(have=contents())
def test_another_club_that_takes_the_files_in_has_the_same_and_gives_the_same_out(
    sqlite_store: Store, have: Contents
) -> None:
    club = make_club(sqlite_store, labels=[], teams=[])
    texts = list(write_sheets(have).values())
    result, _ = exchange.take_in_files(sqlite_store, club.id, texts, club.now, really=True)
    assert isinstance(result, Imported | NothingToImport)
    first = _files(club)
    before = dump(sqlite_store)["entry"]
    again, _ = exchange.take_in_files(
        sqlite_store, club.id, list(first.values()), club.now, really=True
    )
    assert isinstance(again, NothingToImport)
    assert dump(sqlite_store)["entry"] == before
    assert _files(club) == first
    for name in ("teams.csv", "spares.csv"):
        # A part without spares has a line in what is given out, to be filled in by hand.
        rows = [line for line in first[name].splitlines() if not line.endswith(",0")]
        told = [line for line in write_sheets(have)[name].splitlines() if not line.endswith(",0")]
        assert sorted(rows) == sorted(told)
    assert club.audit() == []


def test_nothing_is_done_before_the_yes_and_all_of_it_after(club: Club) -> None:
    before = _belongings(club)
    text = "label,kit type,place\nA,robot kit,shelf 1\nG,robot kit,shelf 1\n"
    preview = club.leader(exchange.take_in, text)
    assert isinstance(preview, ImportPreview)
    assert (preview.new, preview.changed, preview.same, preview.absent) == (1, 1, 0, 5)
    shown = {change.name: (change.new, change.columns) for change in preview.changes}
    assert shown["A robot kit"] == (False, (("place", "", "shelf 1"),))
    assert _belongings(club) == before
    assert club.leader(exchange.confirm, preview.key) == Imported(1, 1)
    assert club.stands("G").ref.label == "G"
    assert club.leader(exchange.confirm, preview.key) == Refused(Reason.OUT_OF_DATE)


def test_one_wrong_row_and_nothing_of_a_file_is_taken_in(club: Club) -> None:
    before = _belongings(club)
    found = club.leader(exchange.take_in, ITEMS + "unit,U1,A,,,\nunit,U2,Z,,,\n")
    assert isinstance(found, ImportProblems)
    assert [(each.sheet, each.row, each.column) for each in found.problems] == [("items", 3, "kit")]
    assert club.leader(exchange.confirm, "0" * 12) == Refused(Reason.OUT_OF_DATE)
    assert _belongings(club) == before


def test_files_sent_one_after_the_other_are_taken_in_together(club: Club) -> None:
    types = "kit type,run minutes,part,number,big,essential,tray\nsmall kit,90,cable,3,no,yes,\n"
    club.leader(exchange.take_in, types)
    _take_in(club, "label,kit type,place\nS1,small kit,\n")
    assert club.stands("S1").ref.label == "S1"
    assert _take_in(club, "kit type,part,number\nsmall kit,cable,12\n").changed == 1


def test_what_stands_differently_by_the_time_of_the_yes_is_shown_anew(club: Club) -> None:
    text = "team,same kit\nGreen,yes\nRed,yes\n"
    preview = club.leader(exchange.take_in, text)
    from clubbot.desk import club as club_desk

    club.co_leader(club_desk.add_teams, "Green")
    anew = club.leader(exchange.confirm, preview.key)
    assert isinstance(anew, ImportPreview)
    assert anew.anew
    assert (anew.new, anew.changed) == (0, 2)
    assert club.leader(exchange.confirm, anew.key) == Imported(0, 2)


def test_a_no_leaves_everything_as_it_is(club: Club) -> None:
    before = _belongings(club)
    preview = club.leader(exchange.take_in, "team,same kit\nGreen,yes\n")
    club.leader(talk.stop)
    assert club.leader(exchange.confirm, preview.key) == Refused(Reason.OUT_OF_DATE)
    assert _belongings(club) == before


def test_an_item_that_moves_to_another_kit_is_taken_off_and_fitted_in_the_ledger(
    club: Club,
) -> None:
    _take_in(club, ITEMS + "tablet,T1,A,,,\n")
    club.later(minutes=1)
    _take_in(club, ITEMS + "tablet,T1,B,,,\n")
    club.later(minutes=1)
    _take_in(club, ITEMS + "tablet,T1,,,,\n")
    assert "T1,,," in _files(club)["items.csv"]
    assert club.audit() == []


def test_a_things_version_goes_out_and_comes_in_with_it_and_an_older_one_is_a_step_back(
    club: Club,
) -> None:
    with_version = ITEMS.rstrip("\n") + ",version\n"
    _take_in(club, with_version + "unit,U1,A,,,,3.2\n")
    assert "unit,U1,A,,,,3.2" in _files(club)["items.csv"]
    same = club.leader(exchange.take_in, ITEMS + "unit,U1,A,,,\n")
    assert isinstance(same, NothingToImport)
    club.later(minutes=1)
    _take_in(club, with_version + "unit,U1,A,,,,3.1\n")
    assert club.leader(history.history, "A").lines[0].what == "back to old version"
    assert isinstance(
        club.leader(exchange.take_in, with_version + "unit,U1,A,,,,3 <1>\n"), ImportProblems
    )
    assert club.audit() == []


def test_new_kits_serve_bookings_that_were_short(club: Club) -> None:
    assert isinstance(club.leader(booking.request, "6 kits for Red Fri 15:30-17:00"), Booked)
    _take_in(club, "label,kit type,place\nG,robot kit,\n")
    more = club.leader(booking.request, "1 kit for Blue Fri 15:30-17:00")
    assert isinstance(more, Booked)


def test_a_club_never_sees_what_another_sent(club: Club, other_club: Club) -> None:
    preview = club.leader(exchange.take_in, "team,same kit\nGreen,yes\n")
    assert other_club.leader(exchange.confirm, preview.key) == Refused(Reason.OUT_OF_DATE)


@pytest.mark.parametrize("name", ["helper", "student", "door"])
def test_only_adults_take_files_in_and_give_them_out(club: Club, name: str) -> None:
    who = getattr(club, name)
    for use, *rest in ((exchange.take_in, "x"), (exchange.export,), (exchange.confirm, "0" * 12)):
        refused = who(use, *rest)
        assert isinstance(refused, Refused)
        assert refused.reason is Reason.NOT_ALLOWED
