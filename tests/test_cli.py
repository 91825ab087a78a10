"""The commands as somebody at a console meets them: one line for each thing that is wrong."""

from __future__ import annotations

import asyncio
import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from clubbot import files, logs
from clubbot.cli import cli
from clubbot.rules.ledger import EntryKind
from clubbot.settings import Settings
from clubbot.store import clubs, kits, schema
from clubbot.store.engine import Store
from clubbot.store.ledger import Draft, append
from clubbot.store.tables import CLUB, POSITION
from demo.standin import StandIn

ROOT = Path(__file__).parents[1]
REAL_LOOKING = "123456789:" + "AAbbCCddEEffGGhhIIjjKKllMMnnOOppQQr"
UNREACHABLE = "http://127.0.0.1:9"


@pytest.fixture(autouse=True)
def nothing_set(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No test sees the settings of whoever runs it."""
    for name in list(os.environ):
        if name.startswith("CLUBBOT_"):
            monkeypatch.delenv(name)
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def database(sqlite_url: str, tmp_path: Path) -> Path:
    """A database with one club in it."""
    store = Store(sqlite_url)
    schema.upgrade(store)
    with store.write() as tx:
        clubs.found(tx, "Robot club", "Europe/London", datetime.now(UTC))
    store.close()
    return tmp_path / "club.sqlite"


def clubbot(*words: str, stdin: str = "", **env: str) -> Result:
    return CliRunner().invoke(
        cli, list(words), input=stdin, env={f"CLUBBOT_{k.upper()}": v for k, v in env.items()}
    )


def refused(result: Result, *fragments: str) -> None:
    """Exit code 1, and one line that says all of this."""
    assert result.exit_code == 1, result.output
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1, result.stderr
    assert result.stderr.startswith("clubbot: ")
    for fragment in fragments:
        assert fragment in result.stderr


def club_names(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as database:
        return [row[0] for row in database.execute("SELECT name FROM club")]


# -- settings -----------------------------------------------------------------------------------

LOCAL = {"token": "1:made-up", "api_url": UNREACHABLE}


@pytest.mark.parametrize(
    ("env", "fragments"),
    [
        ({}, ["CLUBBOT_TOKEN is missing"]),
        ({"token": ""}, ["CLUBBOT_TOKEN is missing"]),
        ({"token": "hunter2"}, ["CLUBBOT_TOKEN doesn't look like a bot token"]),
        ({"token": REAL_LOOKING, "clock": "2026-10-02T13:00+01:00"}, ["CLUBBOT_CLOCK", "demos"]),
        ({"token": REAL_LOOKING, "clock_listen": "127.0.0.1:80"}, ["CLUBBOT_CLOCK", "demos"]),
        ({**LOCAL, "clock": "tomorrow"}, ["CLUBBOT_CLOCK must be a moment with its offset"]),
        ({**LOCAL, "clock": "2026-10-02T13:00"}, ["CLUBBOT_CLOCK must be", "offset"]),
        ({**LOCAL, "clock_listen": "127.0.0.1:80"}, ["CLUBBOT_CLOCK_LISTEN needs CLUBBOT_CLOCK"]),
        (
            {**LOCAL, "clock": "2026-10-02T13:00Z", "clock_listen": "0.0.0.0:80"},
            ["CLUBBOT_CLOCK_LISTEN", "loopback"],
        ),
        ({**LOCAL, "api_url": "ftp://example.org"}, ["CLUBBOT_API_URL", "https://host"]),
        ({**LOCAL, "api_url": "127.0.0.1:80"}, ["CLUBBOT_API_URL"]),
        ({**LOCAL, "api_url": "http://[::1"}, ["CLUBBOT_API_URL"]),
        ({**LOCAL, "database_url": "mysql://x/y"}, ["CLUBBOT_DATABASE_URL", "sqlite:///"]),
        ({**LOCAL, "webhook_url": "https://x.example"}, ["CLUBBOT_WEBHOOK_SECRET"]),
        (
            {**LOCAL, "webhook_url": "https://x.example", "webhook_secret": "not safe!"},
            ["CLUBBOT_WEBHOOK_SECRET"],
        ),
        (
            {"token": REAL_LOOKING, "webhook_url": "http://x.example", "webhook_secret": "s"},
            ["CLUBBOT_WEBHOOK_URL must start with https://"],
        ),
        ({**LOCAL, "webhook_listen": "8443"}, ["CLUBBOT_WEBHOOK_LISTEN", "host:port"]),
        ({**LOCAL, "sends_per_second": "0"}, ["CLUBBOT_SENDS_PER_SECOND"]),
        ({**LOCAL, "sends_per_second": "many"}, ["CLUBBOT_SENDS_PER_SECOND"]),
    ],
)
def test_a_wrong_setting_is_named_in_one_line(env: dict[str, str], fragments: list[str]) -> None:
    result = clubbot("check", **env)
    refused(result, *fragments)
    for secret in ("hunter2", REAL_LOOKING, "not safe!"):
        assert secret not in result.output


def test_settings_may_stand_in_a_file_and_the_environment_goes_first(tmp_path: Path) -> None:
    (tmp_path / ".env").write_text(
        f"CLUBBOT_TOKEN={REAL_LOOKING}\nCLUBBOT_API_URL=https://elsewhere.example/\nOTHER=1\n"
    )
    found = Settings()
    assert found.api_url == "https://elsewhere.example"
    assert found.files == "https://elsewhere.example/file"
    assert not found.real
    assert Settings(api_url="https://api.telegram.org").real
    assert REAL_LOOKING not in repr(found)


# -- looking ------------------------------------------------------------------------------------


def test_help_and_version_need_no_settings_and_load_nothing_big() -> None:
    assert "restore" in clubbot("--help").output
    assert re.fullmatch(r"\d+\.\d+\.\d+\n", clubbot("--version").output)
    big = "{'telegram', 'sqlalchemy', 'pydantic', 'httpx', 'apscheduler'} & set(sys.modules)"
    program = f"import clubbot.cli, sys; print(sorted({big}))"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, cwd=ROOT, text=True)
    assert run.stdout == "[]\n"


def test_sentences_are_read_from_lines_and_answered_in_lines() -> None:
    asked = {
        "text": "3 kits friday 15:30-17:00",
        "now": "2026-10-05T12:00",
        "tz": "Europe/London",
        "labels": ["A", "B", "C"],
    }
    result = clubbot("understand", "--bookings", stdin=f"{json.dumps(asked)}\n\nnot json\n")
    understood, unreadable = (json.loads(line) for line in result.stdout.splitlines())
    assert "error" not in understood
    assert unreadable == {"error": "unreadable-line"}


def test_reports_are_read_as_bare_lines_and_as_json_with_the_clubs_labels() -> None:
    lines = ["unit D keeps dying", json.dumps({"text": "7 wont turn on", "labels": ["7", "8"]})]
    result = clubbot("understand", stdin="\n".join([*lines, "what time is it?", ""]))
    dying, off, chat = (json.loads(line) for line in result.stdout.splitlines())
    assert (dying["fault"], dying["kits"], dying["symptom"]) == (True, ["D"], "loses-power")
    assert (off["fault"], off["kits"], off["symptom"]) == (True, ["7"], "will-not-start")
    assert (chat["fault"], chat["kits"], chat["symptom"]) == (False, [], None)
    assert sum(each["p"] for each in dying["alternatives"]) <= 1


async def test_check_says_of_each_thing_that_it_is_in_order(sqlite_url: str) -> None:
    async with StandIn() as standin:
        env = {"token": standin.token, "api_url": standin.base_url, "database_url": sqlite_url}
        result = await asyncio.to_thread(clubbot, "check", **env)
        assert result.exit_code == 0
        settings, database, token, groups = result.output.splitlines()
        assert settings == "settings: in order"
        assert database.startswith("database: will be made at ")
        assert token.endswith("@club_kit_bot")
        assert "privacy mode is on" in groups
        wrong = await asyncio.to_thread(clubbot, "check", **{**env, "token": "1:other"})
        assert wrong.exit_code == 1
        assert "Telegram doesn't accept CLUBBOT_TOKEN" in wrong.output


def test_check_says_what_is_wrong_with_each_thing(tmp_path: Path) -> None:
    (tmp_path / "club.sqlite").write_text("this is a letter, not a database; " * 100)
    result = clubbot("check", **LOCAL, database_url=f"sqlite:///{tmp_path}/club.sqlite")
    assert result.exit_code == 1
    _, database, token = result.output.splitlines()
    assert database == "database: the database file is not a database; check the path"
    assert token.startswith("token: http://127.0.0.1:9 can't be reached")


def test_audit_prints_what_differs_from_the_ledger(database: Path, sqlite_url: str) -> None:
    store = Store(sqlite_url)
    now = datetime.now(UTC)
    with store.write() as tx:
        club = clubs.everyone(tx)[0].id
        kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), ["D"])
        kit = next(iter(kits.kits(tx, club)))
        draft = Draft(EntryKind.WITHDRAWN, kit=kit)
        append(tx, club, [draft], happened_at=now, said_at=now, said_by=None, deed="1:1")
    env = {**LOCAL, "database_url": sqlite_url}
    assert clubbot("audit", **env).output == "The store and the ledger agree.\n"
    with store.write() as tx:
        tx.execute(POSITION.update().values(withdrawn=None))
    store.close()
    result = clubbot("audit", **env)
    assert result.exit_code == 1
    assert f"Robot club: kit {kit}" in result.output
    refused(clubbot("audit", **LOCAL, database_url=f"{sqlite_url}x"), "there is no database")


# -- backups ------------------------------------------------------------------------------------


def renamed(sqlite_url: str, name: str) -> None:
    store = Store(sqlite_url)
    with store.write() as tx:
        tx.execute(CLUB.update().values(name=name))
    store.close()


def test_a_backup_can_be_restored_and_what_was_there_is_kept(
    database: Path, sqlite_url: str, tmp_path: Path
) -> None:
    env = {**LOCAL, "database_url": sqlite_url}
    copy = tmp_path / "copy.sqlite"
    assert clubbot("backup", str(copy), **env).exit_code == 0
    assert copy.stat().st_mode & 0o077 == 0 or os.name == "nt"
    refused(clubbot("backup", str(copy), **env), "is there already")
    renamed(sqlite_url, "Later club")
    assert clubbot("restore", str(copy), **env).exit_code == 0
    assert club_names(database) == ["Robot club"]
    kept = list(tmp_path.glob("club.sqlite.before-restore-*"))
    assert [club_names(each) for each in kept] == [["Later club"]]
    assert sorted(each.name for each in tmp_path.iterdir() if each.suffix != ".lock") == sorted(
        ["club.sqlite", "copy.sqlite", *(each.name for each in kept)]
    )


def test_a_backup_can_be_restored_where_nothing_was(
    database: Path, sqlite_url: str, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite"
    clubbot("backup", str(copy), **LOCAL, database_url=sqlite_url)
    elsewhere = tmp_path / "new.sqlite"
    result = clubbot("restore", str(copy), **LOCAL, database_url=f"sqlite:///{elsewhere}")
    assert result.exit_code == 0
    assert club_names(elsewhere) == ["Robot club"]


@pytest.mark.parametrize("content", [b"", b"no database", b"SQLite format 3\x00" + b"x" * 5000])
def test_what_is_no_backup_is_not_restored(
    database: Path, sqlite_url: str, tmp_path: Path, content: bytes
) -> None:
    file = tmp_path / "other"
    file.write_bytes(content)
    env = {**LOCAL, "database_url": sqlite_url}
    refused(clubbot("restore", str(file), **env), "is not a backup")
    refused(clubbot("restore", str(tmp_path / "nowhere"), **env), "there is no file")
    assert club_names(database) == ["Robot club"]


def made_newer(file: Path) -> None:
    with closing(sqlite3.connect(file)) as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
        database.commit()


def test_a_backup_of_a_newer_version_is_not_restored(
    database: Path, sqlite_url: str, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite"
    env = {**LOCAL, "database_url": sqlite_url}
    clubbot("backup", str(copy), **env)
    made_newer(copy)
    refused(clubbot("restore", str(copy), **env), "newer than this clubbot")
    assert club_names(database) == ["Robot club"]
    assert not list(tmp_path.glob("*.part*"))


def test_a_running_bot_keeps_its_database(
    database: Path, sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = tmp_path / "copy.sqlite"
    env = {**LOCAL, "database_url": sqlite_url}
    with files.alone(Settings(**env)):
        assert clubbot("backup", str(copy), **env).exit_code == 0
        refused(clubbot("restore", str(copy), **env), "another clubbot runs")
        refused(clubbot("run", **env), "another clubbot runs")


def test_a_server_has_its_own_backups() -> None:
    env = {**LOCAL, "database_url": "postgresql://nobody@127.0.0.1:9/none"}
    refused(clubbot("backup", "x", **env), "pg_dump")
    refused(clubbot("restore", "x", **env), "pg_restore")


# -- running ------------------------------------------------------------------------------------


def test_a_newer_database_is_refused_in_one_line(database: Path, sqlite_url: str) -> None:
    made_newer(database)
    refused(clubbot("run", **LOCAL, database_url=sqlite_url), "schema 9999", "newer")


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/nowhere/club.sqlite"
    refused(clubbot("run", **LOCAL, database_url=url), "nowhere", "isn't there")


Say = Callable[[str], None]


@asynccontextmanager
async def running(api_url: str, url: str, token: str, **env: str) -> AsyncIterator[Process]:
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    own = {"token": token, "api_url": api_url, "database_url": url, **env}
    process = await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        "clubbot",
        "run",
        env=kept
        | {"PYTHONPATH": str(ROOT)}
        | {f"CLUBBOT_{name.upper()}": value for name, value in own.items()},
        stdout=PIPE,
        stderr=PIPE,
    )
    try:
        yield process
    finally:
        if process.returncode is None:
            process.kill()
        await process.communicate()


async def stopped(process: Process, how: int = signal.SIGTERM) -> tuple[str, str]:
    """Ask the process to stop; return what it has printed and logged."""
    process.send_signal(how)
    out, err = await asyncio.wait_for(process.communicate(), 30)
    if os.name != "nt":
        assert process.returncode == 0, err.decode()
    return out.decode(), err.decode()


async def first_line(stream: asyncio.StreamReader | None) -> str:
    assert stream is not None
    return (await asyncio.wait_for(stream.readline(), 60)).decode()


async def test_the_first_run_prints_how_to_become_the_leader_and_trouble_leaks_no_token(
    sqlite_url: str,
) -> None:
    standin = StandIn(token=REAL_LOOKING)
    await standin.start()
    ada = standin.add_person("Ada")
    async with running(standin.base_url, sqlite_url, REAL_LOOKING) as process:
        line = await first_line(process.stdout)
        link, code = re.search(r"(https://t\.me/club_kit_bot\?start=(\w+))", line).groups()
        standin.faults.add("drop_before", "getUpdates")
        standin.faults.add("error", "sendMessage", status=502, html=True)
        standin.poison()
        standin.follow(ada, link)
        await standin.wait_for(lambda: standin.messages(ada)[-1].from_bot, 60)
        await standin.idle(0.3, 60)
        out, err = await stopped(process, signal.SIGINT)
    await standin.stop()
    assert len(standin.updates.waiting) == 0
    assert code not in err
    assert "set aside" in err
    assert "Traceback" not in err
    for text in (out, err):
        assert REAL_LOOKING not in text
        assert "AAbbCCdd" not in text


async def test_with_the_network_down_at_the_start_it_says_so_once_and_waits(
    sqlite_url: str, unused_tcp_port: int
) -> None:
    url = f"http://127.0.0.1:{unused_tcp_port}"
    standin = StandIn()
    async with running(url, sqlite_url, standin.token) as process:
        said = await first_line(process.stderr)
        assert "can't be reached" in said
        await standin.start(unused_tcp_port)
        await standin.wait_for(lambda: standin.updates.polls, 60)
        _, err = await stopped(process)
    await standin.stop()
    assert "can't be reached" not in err
    assert "Traceback" not in err


async def test_it_can_be_stopped_while_it_waits_for_the_network(sqlite_url: str) -> None:
    async with running(UNREACHABLE, sqlite_url, "1:made-up") as process:
        await first_line(process.stderr)
        out, err = await stopped(process)
    assert out == ""
    assert "Traceback" not in err


async def test_a_wrong_token_ends_it_in_one_line(sqlite_url: str) -> None:
    async with StandIn() as standin, running(standin.base_url, sqlite_url, "1:other") as process:
        out, err = await asyncio.wait_for(process.communicate(), 60)
        assert process.returncode == 1
    assert out == b""
    assert err.decode().count("\n") == 1
    assert err.startswith(b"clubbot: Telegram doesn't accept CLUBBOT_TOKEN")


def test_no_token_gets_through_the_log_whoever_writes_it() -> None:
    import logging

    record = logging.LogRecord(
        "httpx", logging.INFO, "", 0, "POST %s/bot%s/getMe", ("http://x", REAL_LOOKING), None
    )
    assert logs.Discreet("").format(record).endswith("POST http://x/bot<token>/getMe")
    try:
        raise ValueError("/bot1:short/getMe")
    except ValueError:
        record.exc_info = sys.exc_info()
    written = logs.Discreet("1:short").format(record)
    assert "Traceback" in written
    assert "1:short" not in written
