"""An update that comes twice does nothing twice, and is answered the same."""

from __future__ import annotations

import inspect
from dataclasses import is_dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.desk import booking, handover, people, replay
from clubbot.rules import results
from clubbot.rules.model import Refused, Role, Window
from clubbot.rules.results import Booked, HandedOut, Invited, TakenBack
from tests.desk.scene import Club, dump

_instants = st.datetimes(
    min_value=datetime(2000, 1, 1), max_value=datetime(2100, 1, 1), timezones=st.just(UTC)
)
st.register_type_strategy(datetime, _instants)
st.register_type_strategy(date, st.dates(date(2000, 1, 1), date(2100, 1, 1)))
st.register_type_strategy(
    Window,
    st.tuples(_instants, st.integers(1, 10**9)).map(
        lambda pair: Window(pair[0], pair[0] + timedelta(milliseconds=pair[1]))
    ),
)

RESULTS = [
    found
    for name in results.__all__
    if is_dataclass(found := getattr(results, name)) and inspect.isclass(found)
]


@pytest.mark.parametrize("kind", RESULTS, ids=lambda kind: kind.__name__)
@settings(max_examples=5, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_kind_of_answer_comes_back_as_it_was_written(kind: type[Any], data: Any) -> None:
    result = data.draw(st.from_type(kind))
    assert replay.read(replay.write(result)) == result


def test_every_class_of_results_can_be_written(subtests: Any = None) -> None:
    modules = (results.booking, results.charging, results.club, results.fault, results.handover)
    classes = {
        found.__name__
        for module in (*modules, results.feed, results.notices, results.shared)
        for found in vars(module).values()
        if is_dataclass(found) and inspect.isclass(found)
        if found.__module__.startswith("clubbot.rules.results")
    }
    assert classes == {kind.__name__ for kind in RESULTS}
