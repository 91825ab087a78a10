"""Words that answer for no use case, and words that stand where none belong.

What `SAID` names is tried in test_words.py; here is every other function of the words, found in
their modules, so that a new one is tried as well.
"""

from __future__ import annotations

import ast
import collections.abc
import importlib
import inspect
import pkgutil
import types
import typing
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.chat import words
from clubbot.chat.router import COMMANDS
from clubbot.chat.words import SAID
from clubbot.chat.words.phrases import Reply
from demo.standin.markup_html import HtmlReader
from tests.chat.hostile import NAMES, VIEWS
from tests.chat.test_words import PHASES, TURNING, check

CHAT = Path(words.__file__).parent.parent
TEXTS = ("Reply", "str", "list[str]")
BUILDING = {"phrases", "things"}
"""What the words are made of: tried by whatever uses it."""
NAMED: dict[str, st.SearchStrategy[Any]] = {
    "bot": st.just("club_kit_bot"),
    "page": st.integers(0, 9),
    "lines": st.lists(st.sampled_from([(row.name, row.help) for row in COMMANDS]), max_size=40),
    "reference": st.just("0a1b2c"),
}
"""What nobody typed, by the name of the argument."""
PLAIN: dict[Any, st.SearchStrategy[Any]] = {
    str: NAMES,
    int: st.integers(0, 999),
    bool: st.booleans(),
    bytes: st.just(b"x"),
}


def others() -> Iterator[Callable[..., Any]]:
    for found in pkgutil.iter_modules(words.__path__):
        module = importlib.import_module(f"{words.__name__}.{found.name}")
        for name, function in vars(module).items():
            if not inspect.isfunction(function) or function.__module__ != module.__name__:
                continue
            if name.startswith("_") or found.name in BUILDING or function in SAID.values():
                continue
            if inspect.signature(function).return_annotation in TEXTS:
                yield function


def made(kind: Any) -> st.SearchStrategy[Any]:
    """Return values of a type, every text in them as bad as it can be."""
    if kind in PLAIN:
        return PLAIN[kind]
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return st.one_of([made(each) for each in inner])
    if kind is type(None):
        return st.none()
    if origin is tuple and inner[-1] is not Ellipsis:
        return st.tuples(*map(made, inner))
    if origin in (tuple, list, collections.abc.Sequence, collections.abc.Iterable):
        return st.lists(made(inner[0]), min_size=1, max_size=3).map(tuple)
    return st.from_type(kind)


def arguments(function: Callable[..., Any]) -> st.SearchStrategy[dict[str, Any]]:
    module = inspect.getmodule(function)
    hints = typing.get_type_hints(function, vars(module))
    found: dict[str, st.SearchStrategy[Any]] = {}
    for name in inspect.signature(function).parameters:
        kind = hints[name]
        if getattr(kind, "__name__", "") == "View":
            found[name] = VIEWS
        else:
            found[name] = NAMED[name] if name in NAMED else made(kind)
    return st.fixed_dictionaries(found)


def _named(function: Callable[..., Any]) -> str:
    return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"


@pytest.mark.parametrize("function", list(others()), ids=_named)
def test_what_is_said_beside_the_answers_is_sound_whatever_people_are_called(
    function: Callable[..., Any],
) -> None:
    @settings(max_examples=8, phases=PHASES)
    @given(arguments(function))
    def said(given_: dict[str, Any]) -> None:
        found = function(**given_)
        if isinstance(found, Reply):
            check(found)
            return
        shown, entities = HtmlReader(found if isinstance(found, str) else "\n".join(found)).read()
        assert {each["type"] for each in entities} <= {"bold"}, "somebody's markup got through"
        assert not TURNING.search(shown), "a sign that nobody sees turns the line"

    said()


SPEAKING = {"Reply", "Button", "button", "InlineKeyboardButton"}
ASKING = {"reply_text", "send_message", "edit_text", "answer_callback_query", "send_photo"}


def test_outside_the_words_nobody_makes_a_message_of_a_text_of_their_own() -> None:
    """No literal text is put into a message, a button or a passing note anywhere else."""
    found: list[str] = []
    for file in sorted(CHAT.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and _called(node) in SPEAKING | ASKING:
                texts = [
                    each.value
                    for argument in (*node.args[:2], *(word.value for word in node.keywords))
                    for each in ast.walk(argument)
                    if isinstance(each, ast.Constant) and isinstance(each.value, str)
                ]
                said = [text for text in texts if any(sign.isalpha() for sign in text)]
                found += [f"{file.name}: {text!r}" for text in said]
    assert found == []


def _called(node: ast.Call) -> str:
    function = node.func
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
