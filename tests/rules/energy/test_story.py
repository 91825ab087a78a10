"""What a kit's ledger tells of its battery: uses that are left out wear it all the same."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from clubbot.rules.energy.belief import chance_worn
from clubbot.rules.energy.curve import of_full_charge
from clubbot.rules.energy.story import Known, begun, lived
from clubbot.rules.entries import Detail, Entry, EntryKind
from clubbot.rules.fitting import ALWAYS, Stay
from clubbot.rules.model import KitId, Seq

START = datetime(2026, 1, 5, 15, 30, tzinfo=UTC)
DAY = timedelta(days=1)
FRESH = begun(120, 33, of_full_charge(150))
KIT, OTHER = KitId(1), KitId(2)


def _entry(kind: EntryKind, at: datetime, minutes: int | None = None) -> Entry:
    return Entry(Seq(0), kind, at, at, None, kit=KIT, detail=Detail(minutes=minutes))


def _year(uses: int, *, said: bool) -> list[Entry]:
    """A test, then uses of 90 minutes with a charge after each; is something said in each?"""
    told = [_entry(EntryKind.CHARGED, START), _entry(EntryKind.RUN_TIME_TESTED, START, 110)]
    for number in range(uses):
        out = START + (number + 1) * DAY
        told.append(_entry(EntryKind.GIVEN_OUT, out))
        if said:
            told.append(_entry(EntryKind.FOUND_FLAT, out))
        told.append(_entry(EntryKind.TAKEN_BACK, out + timedelta(minutes=90)))
        told.append(_entry(EntryKind.CHARGED, out + timedelta(minutes=300)))
    return told


def _known(entries: list[Entry], *stays: Stay) -> Known:
    stays = stays or (Stay(None, KIT, ALWAYS, None),)
    return lived(FRESH, stays, {KIT: entries}, START + 400 * DAY)


def test_uses_of_which_nobody_spoke_wear_a_battery_as_others_do() -> None:
    silent, told = (_known(_year(300, said=said)).belief for said in (False, True))
    assert silent.cycles == pytest.approx(300 * (29.7 + 60.3 * 0.03) / 120)
    assert silent.cycles == pytest.approx(told.cycles)
    assert silent.run_time.middle == pytest.approx(told.run_time.middle, rel=0.02)
    fresh = _known(_year(0, said=False)).belief
    assert silent.run_time.middle < 0.97 * fresh.run_time.middle


def test_only_the_uses_of_its_own_time_in_a_kit_wear_a_battery() -> None:
    entries = _year(300, said=False)
    fitted = Stay(None, KIT, START + 200 * DAY, None)
    assert _known(entries, fitted).belief.cycles == pytest.approx(
        100 / 300 * _known(entries).belief.cycles, rel=0.03
    )


def test_a_test_that_was_ended_while_it_ran_says_how_much_is_left() -> None:
    ran_on = _known([_entry(EntryKind.STILL_RUNNING, START, 90)])
    assert (ran_on.driven, ran_on.charged_at) == (90, START - timedelta(minutes=90))
    assert chance_worn(ran_on.belief, 80) < 0.01 < chance_worn(FRESH.known.belief, 80)
    plain = _known([_entry(EntryKind.STILL_RUNNING, START)])
    assert plain.charged_at is None
