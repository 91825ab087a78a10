"""Import and export at the console: shown first, in one piece, each error with its row."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from clubbot.cli import cli
from clubbot.store import clubs, kits, schema
from clubbot.store.engine import Store

TOKEN = "123456789:" + "AAbbCCddEEffGGhhIIjjKKllMMnnOOppQQr"


@pytest.fixture
def database(sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A database with one club that has two kits, in a folder of its own."""
    for name in list(os.environ):
        if name.startswith("CLUBBOT_"):
            monkeypatch.delenv(name)
    monkeypatch.chdir(tmp_path)
    store = Store(sqlite_url)
    schema.upgrade(store)
    with store.write() as tx:
        club = clubs.found(tx, "Robot club", "Europe/London", datetime.now(UTC))
        kits.add(tx, club, next(iter(clubs.kit_types(tx, club))), ["A", "B"])
    store.close()
    return sqlite_url


def clubbot(database: str, *words: str, stdin: str = "") -> Result:
    env = {"CLUBBOT_TOKEN": TOKEN, "CLUBBOT_DATABASE_URL": database}
    return CliRunner().invoke(cli, list(words), input=stdin, env=env)


def _labels(database: str) -> list[str]:
    store = Store(database)
    with store.read() as tx:
        club = clubs.everyone(tx)[0].id
        found = [now.kit.label for now in kits.kits(tx, club).values()]
    store.close()
    return found


def test_what_is_exported_is_imported_without_a_change(database: str, tmp_path: Path) -> None:
    out = clubbot(database, "export", "files")
    assert out.exit_code == 0, out.output
    files = sorted((tmp_path / "files").iterdir())
    assert [file.name for file in files] == [
        "club.csv", "fleet.csv", "items.csv", "kit_types.csv", "spares.csv", "teams.csv",
    ]  # fmt: skip
    back = clubbot(database, "import", *map(str, files))
    assert back.exit_code == 0
    assert "Nothing to change" in back.output
    again = clubbot(database, "export", "files")
    assert again.exit_code == 1
    assert "File exists" in again.output, "no file is written over"


def test_nothing_is_imported_without_a_yes(database: str, tmp_path: Path) -> None:
    (tmp_path / "f.csv").write_text("label,kit type,place\nC,robot kit,\n")
    no = clubbot(database, "import", "f.csv", stdin="n\n")
    assert (no.exit_code, _labels(database)) == (0, ["A", "B"])
    assert "1 new" in no.output
    yes = clubbot(database, "import", "f.csv", stdin="y\n")
    assert "Taken in: 1 new" in yes.output
    assert _labels(database) == ["A", "B", "C"]
    (tmp_path / "f.csv").write_text("label,kit type,place\nD & E,robot kit,\n")
    assert "D & E" in clubbot(database, "import", "f.csv", "--yes").output
    assert _labels(database) == ["A", "B", "C", "D & E"]


def test_one_wrong_row_in_one_of_several_files_and_none_is_imported(
    database: str, tmp_path: Path
) -> None:
    (tmp_path / "f.csv").write_text("label,kit type,place\nC,robot kit,\n")
    (tmp_path / "t.csv").write_text("team,same kit\nRed,yes\nBlue,perhaps\n")
    found = clubbot(database, "import", "f.csv", "t.csv", "--yes")
    assert found.exit_code == 1
    assert "t.csv:" in found.output
    assert "teams.csv, row 3: same kit must be yes or no" in found.output
    assert _labels(database) == ["A", "B"]


def test_two_files_of_one_kind_are_not_taken_one_for_the_other(
    database: str, tmp_path: Path
) -> None:
    for label in "CD":
        (tmp_path / f"{label}.csv").write_text(f"label,kit type,place\n{label},robot kit,\n")
    found = clubbot(database, "import", "C.csv", "D.csv", "--yes")
    assert found.exit_code == 1
    assert "D.csv:" in found.output
    assert "put their rows into one file" in found.output
    assert _labels(database) == ["A", "B"]


def test_what_can_not_be_read_is_one_line(database: str, tmp_path: Path) -> None:
    (tmp_path / "l.csv").write_bytes("team,same kit\nFüchse,yes\n".encode("latin-1"))
    for words, fragment in (
        (("import", "none.csv"), "No such file"),
        (("import", "l.csv"), "UTF-8"),
        (("export", "--club", "Other"), "Robot club"),
    ):
        found = clubbot(database, *words)
        assert found.exit_code == 1
        assert found.output.startswith("clubbot: ")
        assert fragment in found.output
        assert found.output.count("\n") == 1


def test_a_club_made_of_files_waits_for_its_first_leader(
    sqlite_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from clubbot.desk import people
    from clubbot.desk.acting import Asking
    from clubbot.desk.club import first_code
    from clubbot.rules.results import Claimed

    monkeypatch.chdir(tmp_path)
    store = Store(sqlite_url)
    schema.upgrade(store)
    (tmp_path / "club.csv").write_text("setting,value\nname,Friday robots\ncity,Dublin\n")
    (tmp_path / "fleet.csv").write_text("label,kit type,place\nA,robot kit,\nB,robot kit,\n")
    done = clubbot(sqlite_url, "import", "club.csv", "fleet.csv", "--yes")
    assert "Taken in: 4 new" in done.output
    now = datetime.now(UTC)
    code = first_code(store, now)
    assert code is not None
    asking = Asking(1, 1, 77, 77, private=True, said_at=now, now=now)
    answer = people.start(store, asking, code, "Nora")
    assert answer.value == Claimed("Friday robots", "Nora")
    assert _labels(sqlite_url) == ["A", "B"]
    store.close()
