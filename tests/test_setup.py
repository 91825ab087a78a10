"""What a person meets who begins with nothing but Python, and one who installs the wheel."""

from __future__ import annotations

import ast
import hashlib
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

from deploy import bootstrap

ROOT = Path(__file__).parent.parent
WINDOWS = os.name == "nt"

Start = Callable[..., "subprocess.Popen[str]"]


def _wheel(folder: Path) -> Path:
    """Make a package by hand that is installed in no time; PEP 427 says what belongs into it."""
    path = folder / "small_part-1.0-py3-none-any.whl"
    info = "small_part-1.0.dist-info"
    with zipfile.ZipFile(path, "w") as wheel:
        wheel.writestr("small_part.py", "TEXT = 'the part is here'\n")
        wheel.writestr(
            f"{info}/METADATA", "Metadata-Version: 2.1\nName: small-part\nVersion: 1.0\n"
        )
        wheel.writestr(f"{info}/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
        wheel.writestr(f"{info}/RECORD", "")
    return path


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """Make a small project that sets itself up in the very way in which this one does."""
    folder = tmp_path / "a project"
    (folder / "demo").mkdir(parents=True)
    for name in ("deploy/__init__.py", "deploy/bootstrap.py", "demo/__main__.py"):
        (folder / name).parent.mkdir(exist_ok=True)
        shutil.copy(ROOT / name, folder / name)
    (folder / "demo/__init__.py").touch()
    (folder / "demo/week.py").write_text(
        "import small_part\n\n\ndef main(argv):\n    print(small_part.TEXT, *argv)\n    return 7\n"
    )
    (folder / "pyproject.toml").touch()
    digest = hashlib.sha256(_wheel(tmp_path).read_bytes()).hexdigest()
    (folder / "requirements.lock").write_text(f"small-part==1.0 --hash=sha256:{digest}\n")
    return folder


@pytest.fixture
def start(project: Path, tmp_path: Path) -> Iterator[Start]:
    """Start `python3 demo` in that project, with a package index that never answers."""
    started = []
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PIP_")}
    # Nobody listens on port 9 of this machine.
    offline = {"PIP_CONFIG_FILE": os.devnull, "PIP_INDEX_URL": "http://127.0.0.1:9/simple"}

    def begin(*words: str, packages: bool = True) -> subprocess.Popen[str]:
        shelf = {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": tmp_path.as_uri()} if packages else {}
        process = subprocess.Popen(
            [sys.executable, str(project / "demo"), *words],
            cwd=tmp_path,
            env=clean | offline | shelf,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        started.append(process)
        return process

    yield begin
    for process in started:
        process.kill()
        process.communicate()


def test_two_runs_at_once_set_up_once_and_later_runs_just_run(start: Start, project: Path) -> None:
    first, second = start("one"), start("two")
    said = [first.communicate()[0], second.communicate()[0]]
    assert (first.returncode, second.returncode) == (7, 7)
    assert ["the part is here one" in said[0], "the part is here two" in said[1]] == [True, True]
    assert "".join(said).count("Setting up .venv") == 1

    third = start("three", "--more")
    assert third.communicate() == ("the part is here three --more\n", "")

    (project / "requirements.lock").write_text("small-part==1.0 --hash=sha256:" + 64 * "0")
    shutil.rmtree(next(project.glob(".venv/[Ll]ib/**/small_part-1.0.dist-info")))
    other = start().communicate()[1]
    assert "not the one named in requirements.lock" in other


def test_without_network_it_says_so_and_the_next_run_repairs_what_was_begun(start: Start) -> None:
    alone = start(packages=False)
    said = alone.communicate()[1]
    assert alone.returncode == 1
    assert said.startswith("The packages that clubbot needs could not be installed.\nThe package")
    assert "Check the internet connection" in said
    assert "Traceback" not in said

    again = start("now")
    assert again.communicate()[0].splitlines()[-1] == "the part is here now"


# What the tools said when the failures were brought about with pip 23.0 on Debian 12; those of
# macOS and Windows and the one about certificates are from memory.
@pytest.mark.parametrize(
    ("output", "advice"),
    [
        (
            "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on "
            "device\n",
            "Free 500 MB",
        ),
        ("[Errno 30] Read-only file system: '/mnt/.venv.turn'", "folder of your own"),
        ("[WinError 5] Access is denied: 'C:\\\\clubbot\\\\.venv.turn'", "folder of your own"),
        (
            "The virtual environment was not created successfully because ensurepip is not\n"
            "available.  On Debian/Ubuntu systems, you need to install the python3-venv\n"
            "package using the following command.\n\n    apt install python3.11-venv\n",
            "sudo apt install python3.",
        ),
        (
            "WARNING: Retrying (Retry(total=0, connect=None, read=None, redirect=None, "
            "status=None)) after connection broken by 'NewConnectionError('<pip._vendor.urllib3"
            ".connection.HTTPConnection object at 0x7f>: Failed to establish a new connection: "
            "[Errno 111] Connection refused')': /simple/aiohttp/\n"
            "ERROR: Could not find a version that satisfies the requirement aiohttp==3.14.5 "
            "(from versions: none)\nERROR: No matching distribution found for aiohttp==3.14.5\n",
            "internet connection",
        ),
        (
            "WARNING: Retrying after connection broken by 'SSLError(SSLCertVerificationError(1, "
            "'[SSL: CERTIFICATE_VERIFY_FAILED] certificate verify failed'))': /simple/aiohttp/\n"
            "ERROR: No matching distribution found for aiohttp==3.14.5\n",
            "PIP_CERT",
        ),
        (
            "ERROR: Could not find a version that satisfies the requirement highspy==1.16.0 (from "
            "versions: 1.5.3, 1.7.0)\nERROR: No matching distribution found for highspy==1.16.0",
            "64-bit Python, 3.11 to",
        ),
        ("Something nobody thought of", "delete the folder .venv"),
    ],
)
def test_a_failed_set_up_says_in_plain_words_what_to_do(output: str, advice: str) -> None:
    said = bootstrap.explained("It could not be set up.", output)
    assert said.startswith("It could not be set up.\n")
    assert advice in said
    assert output.splitlines()[-1].strip() in said


def test_a_python_that_is_too_old_is_named_with_where_to_get_a_newer_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(bootstrap, "OLDEST", (3, 99))
    monkeypatch.setattr(sys, "argv", ["demo"])
    with pytest.raises(bootstrap.Unready) as told:
        bootstrap.check_python()
    assert f"Python 3.99 or newer, and this is Python {bootstrap.dotted()}." in str(told.value)
    assert "https://www.python.org/downloads/" in str(told.value)


@pytest.mark.parametrize("name", ["demo/__main__.py", "tests/__main__.py", "deploy/bootstrap.py"])
def test_an_old_python_can_read_the_part_that_tells_it_so(name: str) -> None:
    source = (ROOT / name).read_text(encoding="utf-8")
    tree = ast.parse(source, feature_version=(3, 7))
    standard = {
        alias.name.split(".")[0]
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for alias in node.names
    }
    assert standard <= sys.stdlib_module_names


def _locked() -> dict[str, set[Version]]:
    """Read which versions the lock file names, by the names as PEP 503 compares them."""
    found: dict[str, set[Version]] = {}
    for line in (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines():
        if pinned := re.match(r"([a-z0-9.-]+)==([^ ;]+)", line):
            found.setdefault(pinned[1], set()).add(Version(pinned[2]))
    return found


def test_the_lock_file_holds_all_that_the_project_asks_for() -> None:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = [
        *told["project"]["dependencies"],
        *(line for extra in told["project"]["optional-dependencies"].values() for line in extra),
        *(line for name in ("test", "lint") for line in told["dependency-groups"][name]),
        *told["build-system"]["requires"],
    ]
    locked = _locked()
    for requirement in map(Requirement, wanted):
        name = re.sub(r"[-_.]+", "-", requirement.name).lower()
        assert name in locked, f"{name} is missing: make requirements.lock anew"
        assert all(version in requirement.specifier for version in locked[name]), name


def test_the_lock_file_names_no_place_to_fetch_from() -> None:
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert "://" not in text
    assert "--index" not in text
    assert text.count("--hash=sha256:") > len(_locked())


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel where there is no checkout, and return that environment's Python.

    Other packages are borrowed by path alone, so that nothing of the checkout comes along.
    """
    folder = tmp_path_factory.mktemp("elsewhere")
    pip: list[str | Path] = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    building = [*pip, "wheel", "--no-build-isolation", "--no-deps", "--wheel-dir", folder, ROOT]
    subprocess.run(building, check=True)
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", folder / "env"], check=True)
    python = folder / "env" / ("Scripts/python.exe" if WINDOWS else "bin/python")
    (wheel,) = folder.glob("clubbot-*.whl")
    subprocess.run(
        [*pip, "--python", python, "install", "--no-deps", "--no-index", wheel], check=True
    )
    site = sysconfig.get_path(
        "purelib", "venv", {"base": folder / "env", "platbase": folder / "env"}
    )
    (Path(site) / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return python


def test_an_installed_wheel_runs_and_makes_a_database_from_the_migrations_it_brings(
    elsewhere: Path, tmp_path: Path
) -> None:
    def said(*command: str | Path) -> str:
        run = subprocess.run(
            command,
            cwd=tmp_path,
            env={name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
            | {"CLUBBOT_TOKEN": "1:anything", "CLUBBOT_DATABASE_URL": "sqlite:///club.sqlite"}
            | {"CLUBBOT_API_URL": "http://127.0.0.1:9"},
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.returncode == 0, run.stdout + run.stderr
        return run.stdout

    upgrade = """
from clubbot.store import engine, schema
store = engine.Store("sqlite:///club.sqlite")
print(*schema.upgrade(store), schema.migrations(), sep="\\n")
store.close()
"""
    before, after, migrations = said(elsewhere, "-I", "-c", upgrade).splitlines()
    assert (before, after) == ("None", sorted(_revisions())[-1])
    assert Path(migrations).is_relative_to(elsewhere.parent.parent)

    clubbot = elsewhere.with_name("clubbot.exe" if WINDOWS else "clubbot")
    assert said(clubbot, "audit") == "The store and the ledger agree.\n"


def _revisions() -> list[str]:
    files = (ROOT / "migrations" / "versions").glob("*.py")
    texts = [file.read_text(encoding="utf-8") for file in files]
    return [found[1] for text in texts if (found := re.search(r'^revision.*"(.+)"', text, re.M))]


def test_the_wheel_holds_nothing_but_the_product(elsewhere: Path) -> None:
    (wheel,) = elsewhere.parents[2].glob("clubbot-*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.split("/")[0].split("-")[0] for name in names} == {"clubbot"}
    assert [name for name in names if name.endswith((".pyc", ".sqlite", ".env"))] == []
    assert "clubbot/migrations/env.py" in names
