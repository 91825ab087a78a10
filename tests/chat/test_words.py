"""The words: whatever the desk answers and whatever people are called, what comes out is sound."""

from __future__ import annotations

import ast
import dataclasses
import inspect
import re
import typing
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from clubbot.chat.letters import letters_of
from clubbot.chat.router import VERBS
from clubbot.chat.words import SAID, said, together
from clubbot.chat.words.phrases import VERSION, Reply, button, esc
from clubbot.desk import booking, charging, club, fault, handover, people, replay, talk, today
from clubbot.desk.acting import View
from clubbot.rules import results
from clubbot.rules.model import Reason, Refused
from demo.standin.markup_html import HtmlReader, utf16_length
from tests.chat.hostile import FACTS, KINDS, NAMES, VIEWS, WORST, built, refusals

DESK: tuple[ModuleType, ...] = (booking, charging, club, fault, handover, people, talk, today)
# Telling why a failing example fails takes minutes with values of this size.
PHASES = [each for each in Phase if each not in (Phase.explain, Phase.shrink)]
TURNING = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u2065\ufeff]")


SILENT = {results.NotAFault, results.DayLists, results.ListKept, results.StockMessageKept}
"""What may have nothing to say to the one who asked."""


def check(reply: Reply, *, may_be_silent: bool = False) -> None:
    """Fail where a platform would refuse a reply, or where somebody's markup got through."""
    if may_be_silent and not reply.text:
        assert not reply.buttons
        return
    for letter in letters_of(reply, 1):
        shown, entities = HtmlReader(letter.text).read()
        assert utf16_length(shown) <= 4096
        assert shown.strip() or letter.document, "nothing to read"
        assert {each["type"] for each in entities} <= {"bold"}, "markup of a person's got through"
        assert not TURNING.search(shown), "a sign that nobody sees turns the line"
        assert shown.count("\u2068") == shown.count("\u2069")
        assert not re.search(r"\bNone\b(?! of)", shown)
    buttons = [each for row in reply.buttons for each in row]
    assert len(buttons) <= 100, "the platform shows no more"
    for each in buttons:
        assert each.text.strip(), "a button without a word on it"
        assert not TURNING.search(each.text)
        assert "\n" not in each.text
        assert (each.data is None) != (each.url is None)
        if each.data is not None:
            assert 0 < len(each.data.encode()) <= 64
            version, verb, *facts = each.data.split(":", 2)
            assert version == VERSION
            assert re.fullmatch(VERBS[verb].facts, "".join(facts)), f"{each.data} leads nowhere"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_every_answer_is_sound_whatever_people_are_called(kind: type) -> None:
    @settings(max_examples=12, phases=PHASES)
    @given(built(kind), VIEWS)
    def answered(result: Any, view: View) -> None:
        check(said(result, view), may_be_silent=kind in SILENT)

    answered()


@pytest.mark.parametrize("reason", list(Reason))
def test_every_no_is_short_and_says_what_to_do_next(reason: Reason) -> None:
    @settings(max_examples=12, phases=PHASES)
    @given(refusals(reason), VIEWS)
    def answered(result: Refused, view: View) -> None:
        reply = said(result, view)
        check(reply)
        assert "\n" not in reply.text, "one line"
        assert utf16_length(HtmlReader(reply.text).read()[0]) <= 500

    answered()


@settings(max_examples=15, phases=PHASES)
@given(st.lists(st.sampled_from(KINDS).flatmap(built), min_size=1, max_size=3), VIEWS)
def test_several_notices_make_one_message(parts: list[object], view: View) -> None:
    check(together(parts, view), may_be_silent=True)


@settings(max_examples=200, phases=PHASES)
@given(NAMES | st.sampled_from(WORST))
def test_what_somebody_typed_is_read_as_they_typed_it_but_for_what_nobody_sees(text: str) -> None:
    shown, entities = HtmlReader(esc(text)).read()
    assert entities == []
    visible = re.sub(
        r"[\s\x00-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e"
        r"\u2060-\u206f\ufeff]",
        "",
        text,
    )
    assert re.sub(r"[\s\u2068\u2069\u2026]", "", shown) == visible


def test_a_button_never_carries_more_than_the_platform_takes() -> None:
    with pytest.raises(ValueError, match="doesn't fit"):
        button("Out", "giveto", 1, ",".join(["1234"] * 20))
    with pytest.raises(ValueError, match="doesn't fit"):
        button("Out", "say", "\u0661 kits")


# -- what a group may read -----------------------------------------------------------------------

IN_A_GROUP = (
    results.FreeKits,
    results.BookingLacks,
    results.BookingTwoWays,
    results.Booked,
    results.BookedWeekly,
    results.LeaderAsked,
    results.OnWaitingList,
    results.WishDropped,
    results.Cancelled,
    results.CancelWhich,
    results.CallOffWhich,
    results.CancelledMany,
    results.FaultReported,
    results.FaultKitNeeded,
    results.TalkToSomebody,
    results.NotAFault,
    results.DangerReported,
    results.PhotoAdded,
    results.PhotoWithoutFault,
    results.KitCard,
    results.SaidBack,
    results.TakenBack,
    results.WhatIsOut,
    results.UseChanged,
    results.Undone,
    results.GroupLinked,
    results.SchoolsYesNeeded,
    results.AnnouncementsSet,
    results.DaysAnnounced,
    results.MoveAnnounced,
    results.Forgot,
)
"""What a group's commands, mentions and the buttons under their answers can lead to."""


@pytest.mark.parametrize("kind", IN_A_GROUP, ids=lambda kind: kind.__name__)
def test_a_group_reads_neither_who_holds_what_nor_who_is_late_nor_who_said_it(kind: type) -> None:
    @settings(max_examples=15, phases=PHASES)
    @given(built(kind), VIEWS)
    def answered(result: Any, view: View) -> None:
        named = _named(result)
        reply = said(named, view._replace(private=False))
        shown = HtmlReader(reply.text).read()[0]
        assert TEAM not in shown
        assert SAID_BY_SOMEBODY not in shown
        assert not re.search(r"\b[Ll]ate\b", shown)

    answered()


TEAM, SAID_BY_SOMEBODY = "Zebrafish", "Quagga broke it"


def _named(value: Any) -> Any:
    """Return a result with every team called TEAM and every sentence SAID_BY_SOMEBODY."""
    if isinstance(value, results.TeamRef):
        return dataclasses.replace(value, name=TEAM)
    if isinstance(value, tuple):
        return tuple(_named(each) for each in value)
    if not dataclasses.is_dataclass(value):
        return value
    fields = {field.name: _named(getattr(value, field.name)) for field in dataclasses.fields(value)}
    for name in ("said", "withdrawn", "held", "note"):
        if fields.get(name):
            fields[name] = SAID_BY_SOMEBODY
    return type(value)(**fields)


# -- every answer has words -----------------------------------------------------------------------


def _answers() -> dict[str, type]:
    """Return every kind of value that a use case says that it answers, by its name."""
    found: dict[str, type] = {}
    for module in DESK:
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ != module.__name__ or name.startswith("_"):
                continue
            if not hasattr(function, "__wrapped__"):
                continue
            hints = typing.get_type_hints(function.__wrapped__, vars(module))
            answer = hints["return"]
            for kind in typing.get_args(answer) or (answer,):
                # A bare yes or no is for the chat itself, which asks before it lets a command run.
                if isinstance(kind, type) and kind not in (object, bool):
                    found[kind.__name__] = kind
    return found


def test_whatever_a_use_case_answers_has_its_words() -> None:
    answers = _answers()
    assert len(answers) > 25
    assert [name for name, kind in answers.items() if kind not in SAID] == []


def test_every_result_has_words_or_is_a_part_of_one_that_has() -> None:
    kinds = {name: getattr(results, name) for name in results.__all__}
    spelled = {
        word
        for kind in kinds.values()
        if dataclasses.is_dataclass(kind)
        for field in dataclasses.fields(kind)
        for word in re.findall(r"\w+", str(field.type))
    }
    orphans = {
        name
        for name, kind in kinds.items()
        if dataclasses.is_dataclass(kind) and kind not in SAID and name not in spelled
    }
    assert orphans == set()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_an_update_that_comes_twice_gets_the_same_words_again(kind: type) -> None:
    @settings(max_examples=3, phases=PHASES)
    @given(built(kind), VIEWS)
    def repeated(result: Any, view: View) -> None:
        kept = replay.kept(result)
        assert said(replay.read(replay.write(result)), view) == said(kept, view)

    repeated()


def _refusals(file: Path) -> Iterator[tuple[str, set[str]]]:
    """Name each reason that a file gives, with the facts that it gives beside it."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        if node.func.id == "Refused" and len(node.args) > 1 and isinstance(node.args[1], ast.Dict):
            reason = node.args[0]
            if isinstance(reason, ast.Attribute):
                keys = {key.value for key in node.args[1].keys if isinstance(key, ast.Constant)}
                yield reason.attr, {str(key) for key in keys}


def test_the_facts_tried_here_are_those_that_the_desk_gives() -> None:
    desk = Path(booking.__file__).parent
    given_ = [each for file in sorted(desk.glob("*.py")) for each in _refusals(file)]
    assert len(given_) > 20
    tried: dict[str, set[str]] = {
        reason.name: set(re.findall(r"'(\w+)':", repr(facts))) for reason, facts in FACTS.items()
    }
    unknown = [(reason, keys) for reason, keys in given_ if not keys <= tried.get(reason, set())]
    assert unknown == []
