"""A real PostgreSQL server of the tests' own: started when asked for, gone when the run ends."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest
from psycopg import sql

WINDOWS = os.name == "nt"
START_SECONDS = 60
ROOM_NEEDED = 2**30
"""Bytes: a database takes 8 million and a server 60 million, and there is some to spare."""
MISSING = pytest.StashKey[str]()

# Holds the server, and throws it away as soon as its own standard input closes. That happens
# however the tests end, so that not even a killed run leaves a server or its files behind.
_HOLDER = """
import json, os, shutil, signal, subprocess, sys
folder, identity, command = (json.loads(text) for text in sys.argv[1:])
with open(os.path.join(folder, "log"), "wb") as log:
    server = subprocess.Popen(
        command, cwd=folder, stdin=subprocess.DEVNULL, stdout=log, stderr=log, **identity
    )
    sys.stdin.read()
    server.send_signal(getattr(signal, "SIGQUIT", signal.SIGTERM))
    server.wait()
shutil.rmtree(folder, ignore_errors=True)
"""


@dataclass(frozen=True, slots=True)
class Server:
    """A running server. Whoever reaches it may do anything in it: it holds test data only."""

    host: str
    port: int

    def url(self, database: str) -> str:
        """Say where the named database is, in SQLAlchemy's way of writing it."""
        if self.host.startswith("/"):
            return f"postgresql+psycopg://clubbot@/{database}?host={self.host}&port={self.port}"
        return f"postgresql+psycopg://clubbot@{self.host}:{self.port}/{database}"

    def create(self, database: str, template: str = "template1") -> str:
        """Make a database that is a copy of the template, and say where it is."""
        with self.connect() as connection:
            # Copying the files is quicker for so small a database than the usual way through
            # the log; servers before 15 know no other way and no word for it.
            quick = " STRATEGY file_copy" if connection.info.server_version >= 150000 else ""
            connection.execute(
                sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(
                    sql.Identifier(database), sql.Identifier(template)
                )
                + sql.SQL(quick)
            )
        return self.url(database)

    def drop(self, database: str) -> None:
        """Remove a database, even while someone is connected to it."""
        with self.connect() as connection:
            connection.execute(
                sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(database))
            )

    def connect(self) -> psycopg.Connection[Any]:
        """Open a connection that makes and removes databases; raise where there is no server."""
        return psycopg.connect(
            host=self.host, port=self.port, user="clubbot", dbname="postgres", autocommit=True
        )


def binaries() -> Path | None:
    """Find the folder of a server's programs, or None where there is no server."""
    folders = [Path(found).resolve().parent for found in [shutil.which("initdb")] if found]
    if pg_config := shutil.which("pg_config"):
        told = subprocess.run([pg_config, "--bindir"], capture_output=True, text=True, check=False)
        folders.append(Path(told.stdout.strip()))
    patterns = {
        "/usr/lib/postgresql": "*/bin",
        "/opt/homebrew/opt": "postgresql*/bin",
        "/usr/local/opt": "postgresql*/bin",
        "/Applications/Postgres.app/Contents/Versions": "*/bin",
        "C:/Program Files/PostgreSQL": "*/bin",
    }
    for root, pattern in patterns.items():
        folders += sorted(Path(root).glob(pattern), reverse=True)
    programs = ("initdb.exe", "postgres.exe") if WINDOWS else ("initdb", "postgres")
    return next((f for f in folders if all((f / name).is_file() for name in programs)), None)


def unprivileged() -> dict[str, Any]:
    """Say as whom the server runs, as arguments of subprocess: PostgreSQL refuses to be root."""
    if WINDOWS or os.geteuid() != 0:
        return {}
    import pwd

    known = {entry.pw_name: entry for entry in pwd.getpwall()}
    for name in ("postgres", "nobody"):
        if name in known:
            person = known[name]
            return {"user": person.pw_uid, "group": person.pw_gid, "extra_groups": []}
    return {"user": 65534, "group": 65534, "extra_groups": []}


def launch(programs: Path, folder: Path) -> tuple[Server, subprocess.Popen[bytes]]:
    """Start a new, empty server in the folder, and its holder, which stops it and clears up."""
    identity = unprivileged()
    if identity:
        os.chown(folder, identity["user"], identity["group"])
    data = folder / "data"
    made = subprocess.run(
        [
            *(programs / "initdb", "--pgdata", data, "--username=clubbot", "--auth=trust"),
            *("--encoding=UTF8", "--locale=C", "--no-sync"),
        ],
        **(identity | {"cwd": folder, "capture_output": True, "text": True, "check": False}),
    )
    if made.returncode:
        raise RuntimeError(f"initdb failed: {made.stdout}{made.stderr}")
    server = Server("127.0.0.1", _free_port()) if WINDOWS else Server(str(folder), 5432)
    command = [str(programs / "postgres"), "-D", str(data)]
    command += [w for name, value in _settings(server).items() for w in ("-c", f"{name}={value}")]
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLDER, *map(json.dumps, (str(folder), identity, command))],
        stdin=subprocess.PIPE,
        start_new_session=not WINDOWS,
    )
    return server, holder


def _settings(server: Server) -> dict[str, Any]:
    """Give up durability, which no test looks at, and be found by nobody else."""
    place = (
        {"listen_addresses": server.host}
        if WINDOWS
        else {"listen_addresses": "", "unix_socket_directories": server.host}
    )
    return place | {
        "port": server.port,
        "fsync": "off",
        "synchronous_commit": "off",
        "full_page_writes": "off",
        "shared_buffers": "32MB",
        # Not UTC, and with its clock changes at times of its own: what leans on the server's
        # zone shows at once.
        "timezone": "Pacific/Chatham",
    }


def wait_until_ready(server: Server, log: Path) -> None:
    """Return once the server answers; raise with its own last words where it doesn't."""
    end = time.monotonic() + START_SECONDS
    while True:
        try:
            server.connect().close()
        except psycopg.OperationalError as error:
            if time.monotonic() > end:
                said = log.read_text(errors="replace") if log.exists() else ""
                raise RuntimeError(f"PostgreSQL did not start: {error}\n{said}") from error
            time.sleep(0.05)
        else:
            return


def _short_lived_folder() -> str | None:
    """Say where the files go; None stands for the system's own choice.

    A socket's path may have 103 bytes at most on some systems, and a server that isn't root must
    get there: so not where TMPDIR may point. Making a database writes 300 files, which takes ten
    times longer on a disk than in memory.
    """
    if WINDOWS:
        return None
    memory = "/dev/shm"  # noqa: S108
    if os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > ROOM_NEEDED:
        return memory
    return "/tmp"  # noqa: S108


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="session")
def postgresql_server(request: pytest.FixtureRequest) -> Iterator[Server]:
    """Run one private PostgreSQL for the whole run; skip where none is installed, fail in CI."""
    programs = binaries()
    if programs is None:
        reason = "no PostgreSQL server is installed here (on Debian: apt-get install postgresql)"
        if os.environ.get("CI", "").lower() not in ("", "0", "false"):
            pytest.fail(f"{reason}, and CI must run every test", pytrace=False)
        request.config.stash[MISSING] = reason
        pytest.skip(reason)
    folder = Path(tempfile.mkdtemp(prefix="clubbot-", dir=_short_lived_folder()))
    server, holder = launch(programs, folder)
    try:
        wait_until_ready(server, folder / "log")
        yield server
    finally:
        holder.communicate()
