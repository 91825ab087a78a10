"""The shape of the whole: who may import what, and what an import may do."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

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
heavy = {"aiohttp", "alembic", "dateparser", "dateutil", "highspy", "icalendar", "numpy"}
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
