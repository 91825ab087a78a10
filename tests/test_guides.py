"""The guides say of commands and permissions what the code does, and all of it has words."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import pytest
from telegram.constants import BotCommandLimit

from clubbot.chat import words
from clubbot.chat.router import COMMANDS, VERBS, Row
from clubbot.rules import results
from clubbot.rules.model import Reason, Role
from clubbot.rules.permissions import ALLOWED, may

ROOT = Path(__file__).parent.parent
ROLES = [role for role in Role if role is not Role.STRANGER]


def _between(guide: str, mark: str) -> str:
    text = (ROOT / guide).read_text(encoding="utf-8")
    found = re.search(rf"<!-- {mark}[^\n]*-->\n(.*?)\n<!-- end of {mark} -->", text, re.DOTALL)
    assert found, f"{guide} has no table of {mark}"
    return found[1]


def _who(row: Row) -> str:
    allowed = [role for role in ROLES if row.deed is None or may(role, row.deed)]
    if allowed == ROLES:
        return "everybody"
    adults = [role for role in ROLES if role.adult]
    if allowed == adults:
        return "adults"
    names = ["adults", *(role.value for role in allowed if not role.adult)]
    return ", ".join(names)


def command_table() -> str:
    """The commands as README.md shows them."""
    lines = ["| command | who | what for |", "| --- | --- | --- |"]
    lines += [f"| `/{row.name}` | {_who(row)} | {row.help} |" for row in COMMANDS]
    return "\n".join(lines)


def permission_table() -> str:
    """Who may do what, as DEVELOPERS.md shows it."""
    lines = ["| | " + " | ".join(role.value for role in ROLES) + " |"]
    lines.append("| --- |" + " --- |" * len(ROLES))
    for deed in ALLOWED:
        marks = " | ".join("yes" if may(role, deed) else "" for role in ROLES)
        lines.append(f"| {deed} | {marks} |")
    return "\n".join(lines)


def test_the_readme_lists_every_command_and_who_may_use_it() -> None:
    assert _between("README.md", "commands") == command_table()


def test_the_developers_guide_shows_the_permissions_that_the_desk_enforces() -> None:
    assert _between("DEVELOPERS.md", "permissions") == permission_table()


def test_every_command_is_one_that_the_platform_takes_and_has_its_own_name() -> None:
    names = [row.name for row in COMMANDS]
    assert len(set(names)) == len(names)
    for row in COMMANDS:
        assert re.fullmatch(r"[a-z][a-z0-9_]{0,31}", row.name)
        assert BotCommandLimit.MIN_DESCRIPTION <= len(row.help) <= BotCommandLimit.MAX_DESCRIPTION


def test_every_answer_of_the_desk_has_words() -> None:
    answers = {
        getattr(results, name)
        for name in results.__all__
        if dataclasses.is_dataclass(getattr(results, name))
    }
    within = {
        kind.__name__
        for kind in answers
        for other in answers
        for field in dataclasses.fields(other)
        if re.search(rf"\b{kind.__name__}\b", str(field.type))
    }
    unsaid = {kind.__name__ for kind in answers - set(words.SAID)} - within
    assert unsaid == set()


def test_every_no_has_words_and_every_word_for_a_no_is_one() -> None:
    from clubbot.chat.words.refusals import WORDS

    assert set(WORDS) == set(Reason)


@pytest.mark.parametrize("file", sorted((ROOT / "clubbot/chat/words").glob("*.py")), ids=str)
def test_every_button_leads_somewhere(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    used = set(re.findall(r'\bbutton\(\s*[^"]*(?:"[^"]*"[^"]*?)??,\s*"([a-z]+)"', text))
    assert used <= set(VERBS), used - set(VERBS)
