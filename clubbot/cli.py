"""The commands. What they need is imported inside them, so that `--help` is there at once."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from clubbot import __version__

if TYPE_CHECKING:
    from clubbot.settings import Settings
    from clubbot.store.engine import Store

cli = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Keeps a club's shared robot kits complete, charged, working and in the right hands.",
)


def main() -> None:
    """Run the command that the process was started with."""
    cli(prog_name="clubbot")


def _version(asked: bool) -> None:
    if asked:
        typer.echo(__version__)
        raise typer.Exit


@cli.callback()
def clubbot(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print it.")
    ] = False,
) -> None:
    """Settings come from the environment or a .env file: see README.md."""


@cli.command()
def run() -> None:
    """Run the bot until it is stopped (Ctrl+C)."""
    with _one_line():
        from clubbot import files, logs, serving
        from clubbot.settings import load
        from clubbot.store import schema

        settings = load()
        logs.set_up(settings.token.get_secret_value())
        with files.alone(settings), _store(settings) as store:
            schema.upgrade(store)
            with asyncio.Runner(loop_factory=_quick_loop()) as runner:
                runner.run(serving.serve(settings, store, typer.echo))


def _quick_loop() -> Callable[[], asyncio.AbstractEventLoop] | None:
    """Return what makes the quickest loop that this system has; None for Python's own."""
    try:
        import uvloop
    except ImportError:
        return None
    return uvloop.new_event_loop


@cli.command()
def check() -> None:
    """Look whether settings, database and token are in order."""
    with _one_line():
        from clubbot import checking
        from clubbot.settings import load

        settings = load()
        typer.echo("settings: in order")
        fine = checking.database(settings, typer.echo)
        fine = asyncio.run(checking.platform(settings, typer.echo)) and fine
    raise typer.Exit(0 if fine else 1)


@cli.command()
def understand(
    bookings: Annotated[
        bool, typer.Option("--bookings", help="Read booking requests, one JSON object a line.")
    ] = False,
) -> None:
    """Say how sentences are understood: lines from standard input, JSON lines to standard output.

    Reports of faults, one a line or as JSON with the club's labels; or booking requests.
    """
    if bookings:
        from clubbot.rules.reading.booking_lines import understand_bookings as understood
    else:
        from clubbot.rules.faults import understand_faults as understood

    lines = sys.stdin.buffer
    for answer in understood(line.decode("utf-8", "replace") for line in lines):
        sys.stdout.buffer.write(answer.encode() + b"\n")
        sys.stdout.buffer.flush()


@cli.command()
def audit() -> None:
    """Rebuild every position and the books of parts from the ledger; print what differs."""
    with _one_line():
        from clubbot import files
        from clubbot.settings import load
        from clubbot.store import clubs, ledger, schema, stock

        settings = load()
        files.there(settings)
        with _store(settings) as store:
            schema.upgrade(store)
            with store.read() as tx:
                found = [
                    f"{club.name}: {line}"
                    for club in clubs.everyone(tx)
                    for line in (*ledger.audit(tx, club.id), *stock.audit(tx, club.id))
                ]
    for line in found:
        typer.echo(line)
    typer.echo("The store and the ledger agree." if not found else f"{len(found)} differences.")
    raise typer.Exit(1 if found else 0)


@cli.command()
def backup(file: Annotated[Path, typer.Argument(help="Where to; must not be there yet.")]) -> None:
    """Copy the database to a file; the bot may go on running."""
    with _one_line():
        from clubbot import files
        from clubbot.settings import load

        files.back_up(load(), file)
    typer.echo(f"The database is in {file}.")


@cli.command()
def restore(file: Annotated[Path, typer.Argument(help="Made by `clubbot backup`.")]) -> None:
    """Put a backup in the database's place, and keep what was there beside it."""
    with _one_line():
        from clubbot import files
        from clubbot.settings import load

        kept = files.restore(load(), file)
    typer.echo(f"Restored from {file}." + (f" What was there is in {kept}." if kept else ""))


@cli.command("import")
def take_in(
    files: Annotated[list[Path], typer.Argument(help="CSV files, as `clubbot export` makes them.")],
    club: Annotated[str, typer.Option(help="The club's name, where there are several.")] = "",
    yes: Annotated[bool, typer.Option("--yes", help="Don't ask.")] = False,
) -> None:
    """Show what CSV files would change and, after a yes, do all of it."""
    with _one_line():
        from clubbot import exchanging
        from clubbot import files as database
        from clubbot.clock import real_now
        from clubbot.settings import load
        from clubbot.store import schema

        settings = load()
        database.there(settings)
        with _store(settings) as store:
            schema.upgrade(store)
            now = settings.clock or real_now()
            chosen = exchanging.club_to_fill(store, club, now)
            fine = exchanging.take_in(
                store, chosen, files, now, typer.echo, lambda: yes or typer.confirm("Yes?")
            )
    raise typer.Exit(0 if fine else 1)


@cli.command()
def export(
    folder: Annotated[Path, typer.Argument(help="Where to; made if it isn't there.")] = Path(),
    club: Annotated[str, typer.Option(help="The club's name, where there are several.")] = "",
) -> None:
    """Write fleet, items, kit types, teams and spares as CSV files."""
    with _one_line():
        from clubbot import exchanging, files
        from clubbot.settings import load
        from clubbot.store import schema

        settings = load()
        files.there(settings)
        with _store(settings) as store:
            schema.upgrade(store)
            chosen = exchanging.club_named(store, club)
            exchanging.give_out(store, chosen, folder, typer.echo)


@contextmanager
def _store(settings: Settings) -> Iterator[Store]:
    from clubbot.store.engine import Store

    store = Store(settings.database_url)
    try:
        yield store
    finally:
        store.close()


@contextmanager
def _one_line() -> Iterator[None]:
    """Turn what can be expected to go wrong into one line and an exit code."""
    from clubbot.logs import without_token
    from clubbot.settings import CannotRun
    from clubbot.store.engine import StoreUnavailable

    try:
        yield
    except (CannotRun, StoreUnavailable) as error:
        typer.echo(f"clubbot: {without_token(str(error))}", err=True)
        raise typer.Exit(1) from None
