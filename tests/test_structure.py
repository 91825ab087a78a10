"""The shape of the whole: who may import what, and what an import may do."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from clubbot.chat.router import COMMANDS, VERBS

ROOT = Path(__file__).parent.parent

# Imports every module while the interpreter reports what is opened, connected or started.
_IMPORTER = """
import importlib, os, pkgutil, sys

WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
REFUSED = {
    "os.mkdir", "os.remove", "os.rename", "os.system", "shutil.move", "socket.connect",
    "socket.bind", "socket.getaddrinfo", "sqlite3.connect", "subprocess.Popen",
}
current = ""

def watch(event, details):
    writes = event == "open" and isinstance(details[2], int) and details[2] & WRITING
    if current and (event in REFUSED or (writes and details[0] != os.devnull)):
        print(f"{current}: {event} {details[:1]}", flush=True)

sys.addaudithook(watch)
import clubbot
names = [module.name for module in pkgutil.walk_packages(clubbot.__path__, "clubbot.")]
for name in sorted(names, reverse=sys.argv[1] == "backwards"):
    if not name.endswith("__main__"):
        current = name
        importlib.import_module(name)
current = ""
print("imported", len(names))
heavy = {"alembic", "dateparser", "dateutil", "highspy", "icalendar", "numpy"}
print("heavy", *sorted(heavy & set(sys.modules)))
"""


@pytest.fixture(scope="module", params=["forwards", "backwards"])
def imported(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Import all of clubbot in a process that knows no setting, in an empty folder."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    run = subprocess.run(
        [sys.executable, "-B", "-c", _IMPORTER, request.param],
        cwd=tmp_path_factory.mktemp("empty"),
        env=kept | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return run.stdout.splitlines()


def test_importing_any_module_needs_no_token_and_touches_no_file_or_network(
    imported: list[str],
) -> None:
    assert [line for line in imported if not line.startswith(("imported", "heavy"))] == []
    assert int(imported[-2].split()[1]) > 20


def test_nothing_heavy_is_loaded_before_somebody_asks_for_it(imported: list[str]) -> None:
    assert imported[-1].split() == ["heavy"]


def _imports(file: Path) -> Iterator[str]:
    """Name every module that a file imports, wherever in the file it does so."""
    package = file.relative_to(ROOT).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else ()
            yield ".".join((*above, *filter(None, [node.module])))


def test_words_are_made_from_what_the_rules_say_and_from_nothing_else() -> None:
    words = sorted((ROOT / "clubbot" / "chat" / "words").rglob("*.py"))
    assert words
    elsewhere = {
        f"{file.name}: {name}"
        for file in words
        for name in _imports(file)
        if name.split(".")[0] == "clubbot"
        and not f"{name}.".startswith(("clubbot.rules.", "clubbot.chat.words."))
    }
    assert elsewhere == set()


def test_the_product_never_imports_what_only_the_checkout_has() -> None:
    travelling = sorted((ROOT / "clubbot").rglob("*.py"))
    strangers = {
        f"{file.relative_to(ROOT)}: {name}"
        for file in travelling
        for name in _imports(file)
        if name.split(".")[0] in ("demo", "deploy", "migrations", "tests")
    }
    assert strangers == set()


# -- size -----------------------------------------------------------------------------------------

LONGEST_MODULE, LONGEST_FUNCTION = 300, 40
LONGER = {
    "clubbot/rules/results/__init__.py": "the names of all that the desk answers",
    "clubbot/store/bookings.py": "every query of bookings and their kits, which share their joins",
    "clubbot/store/ledger.py": "appending, and the positions that only appending may write",
    "clubbot/store/ledger.py: append": "the steps of one transaction, in their order",
}


def _code(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


@pytest.mark.parametrize("room", ["clubbot", "demo", "deploy"])
def test_no_module_is_longer_than_a_few_screens_and_no_function_than_one(room: str) -> None:
    files = _code(room)
    assert files
    long = set()
    for file in files:
        text = file.read_text(encoding="utf-8")
        name = file.relative_to(ROOT).as_posix()
        if len(text.splitlines()) > LONGEST_MODULE:
            long.add(name)
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or 0) - node.lineno + 1
                if lines > LONGEST_FUNCTION:
                    long.add(f"{name}: {node.name}")
    assert long - set(LONGER) == set()


# -- commands, buttons and use cases --------------------------------------------------------------


def test_every_button_that_is_routed_is_shown_somewhere() -> None:
    words = "".join(file.read_text(encoding="utf-8") for file in _code("clubbot/chat/words"))
    assert [verb for verb in VERBS if f'"{verb}"' not in words] == []


def test_every_command_has_a_line_of_help_that_says_how_to_type_it_or_is_typed_alone() -> None:
    for row in COMMANDS:
        assert row.help, row.name
        assert row.help[0].islower() or not row.help[0].isalpha(), row.name
        typed = re.findall(r"/(\w+)", row.help)
        assert typed in ([], [row.name], [row.name, row.name]), row.name


def test_every_use_case_of_the_desk_is_reached_from_the_chat() -> None:
    chat = "".join(file.read_text(encoding="utf-8") for file in _code("clubbot/chat"))
    cases = {
        f"{file.stem}.{node.name}"
        for file in _code("clubbot/desk")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
        and any(
            isinstance(each, ast.Call) and _name(each.func) in ("deed", "look")
            for each in node.decorator_list
        )
    }
    assert len(cases) > 40
    assert {case for case in cases if not re.search(rf"\b{case.split('.')[1]}\b", chat)} == set()


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else ""


# -- where the words stand ------------------------------------------------------------------------

SENTENCE = re.compile(r"[A-Z][\w'/]*(?: [\w'/,]+){2,}|(?:\w[\w']*[ ,]+){4,}\w+[.?!]?")
ELSEWHERE = {
    "chat/errors.py": "part of what the platform's library says",
    "chat/polling.py": "for the log",
    "chat/post.py": "for the log",
    "chat/router.py": "a command's row is all there is to say of it, its line of help too",
    "desk/equipping.py": "what an answer lacks, put into a sentence by the words",
    "desk/setting_up.py": "what an answer lacks, put into a sentence by the words",
    "desk/today.py": "why a kit isn't ready, put into a line by the words",
    "pictures/charging.py": "what stands in the picture itself",
    "pictures/run_times.py": "what stands in the picture itself",
    "pictures/timeline.py": "what stands in the picture itself",
    "pictures/today.py": "what stands on the page itself",
    "rules/permissions.py": "the deeds' names, which the guide shows too",
    "rules/setup_answers.py": "what an answer lacks, put into a sentence by the words",
    "rules/settings.py": "what a setting needs, put into a sentence by the words",
    "store/engine.py": "for the log and the console",
}
"""Where else there are phrases, and why; what people type is not what they read."""


def _texts(tree: ast.AST) -> Iterator[str]:
    """Yield the text constants of a module, without docstrings, log lines and errors."""
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))
        logged = isinstance(node, ast.Call) and ast.unparse(node.func).startswith("log.")
        if logged or isinstance(node, ast.Raise | ast.Assert):
            skipped |= {id(each) for each in ast.walk(node)}
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in skipped
        ):
            yield node.value


def test_what_people_read_stands_in_the_words_and_nowhere_else() -> None:
    found: dict[str, list[str]] = {}
    for room in ("chat", "desk", "pictures", "reminders", "rules", "store"):
        for file in _code(f"clubbot/{room}"):
            if {"words", "reading", "faults", "feeds", "tables"} & set(file.parts):
                continue
            texts = _texts(ast.parse(file.read_text(encoding="utf-8")))
            if said := [text for text in texts if SENTENCE.search(text)]:
                found[file.relative_to(ROOT / "clubbot").as_posix()] = said
    assert {name: said for name, said in found.items() if name not in ELSEWHERE} == {}
    assert set(ELSEWHERE) - set(found) == set(), "no longer there"
