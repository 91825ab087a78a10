"""Makes `.venv` from the lock file where need be, and goes on inside it.

Standard library only, and in words that an old Python can still read, so that it answers with
what to do instead of a syntax error.
"""

import contextlib
import hashlib
import os
import shutil
import subprocess
import sys
import sysconfig
import time
from typing import Iterator, NoReturn  # noqa: UP035

OLDEST = (3, 11)
NEWEST_TRIED = (3, 14)
WINDOWS = os.name == "nt"
ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
LOCK = os.path.join(ROOT, "requirements.lock")
PROJECT = os.path.join(ROOT, "pyproject.toml")
VENV = os.path.join(ROOT, ".venv")
PYTHON = (
    os.path.join(VENV, "Scripts", "python.exe") if WINDOWS else os.path.join(VENV, "bin/python")
)
STAMP = os.path.join(VENV, "clubbot.stamp")
LOG = os.path.join(VENV, "clubbot.log")
TURN = os.path.join(ROOT, ".venv.turn")
HALF_MADE = "half-made"
FULL = "No space left on device"
ROOM_NEEDED = 500_000_000

# What may stand somewhere in the output of pip or venv, and what it means for a person. The first
# that fits counts: a network that is down leads pip to "no matching distribution" as well.
EXPLANATIONS = (
    (
        (FULL, "Errno 28", "not enough space on the disk", "quota exceeded"),
        "The disk is full. Free 500 MB and run the same command again.",
    ),
    (
        ("CERTIFICATE_VERIFY_FAILED", "SSLError"),
        "The network shows a certificate that this computer doesn't trust; a school's filter may\n"
        "do that. Ask whoever runs the network for its certificate file, set PIP_CERT to where\n"
        "that file is, and run the same command again. Or use another network.",
    ),
    (
        (
            *("ConnectionError", "Max retries exceeded", "Failed to establish a new connection"),
            *("name resolution", "getaddrinfo failed", "Network is unreachable", "ProxyError"),
            *("timed out", "TimeoutError", "ConnectionResetError", "IncompleteRead"),
            *("Connection broken", "RemoteDisconnected", "NewConnectionError"),
        ),
        "The package index could not be reached. Check the internet connection and run the same\n"
        "command again; what was fetched already is kept. Behind a proxy set HTTPS_PROXY first,\n"
        "for a package index of your own PIP_INDEX_URL.",
    ),
    (
        ("DO NOT MATCH THE HASHES",),
        "A package arrived that is not the one named in requirements.lock, so it was left out.\n"
        "Run the same command again. If it stays so, something between here and the package\n"
        "index changes files: use another network.",
    ),
    (
        ("Permission denied", "Errno 13", "Read-only file system", "Access is denied"),
        "A file could not be written. Copy the project to a folder of your own, or end whatever\n"
        "still runs from its folder .venv, and run the same command again.",
    ),
    (
        ("ensurepip is not available", "No module named ensurepip", "No module named venv"),
        "This Python can't make virtual environments. On Debian or Ubuntu run\n"
        "    sudo apt install python{version}-venv\n"
        "and the same command again; elsewhere take Python from https://www.python.org/downloads/",
    ),
    (
        ("No matching distribution", "Failed building wheel", "is not a supported wheel"),
        "Some package has no ready-made build for this computer with Python {version}. Take a\n"
        "64-bit Python, {oldest} to {newest}, from https://www.python.org/downloads/ and run the\n"
        "same command with that.",
    ),
)
OTHERWISE = "Run the same command again. If it stays so, delete the folder .venv and try once more."


class Unready(Exception):
    """There is no complete environment; the text says what failed and what to do."""


def rerun(*arguments: str) -> NoReturn:
    """Go on as `python ARGUMENTS` inside a complete `.venv`, in the project's own folder.

    Never returns: the program ends with the exit code of that run, or with 1 and a plain message.
    """
    try:
        check_python()
        if not is_ready():
            prepare()
    except Unready as failure:
        print(failure, file=sys.stderr)
        sys.exit(1)
    except KeyboardInterrupt:
        print("\nStopped half-way. The same command takes it up again.", file=sys.stderr)
        sys.exit(130)
    os.chdir(ROOT)
    sys.stdout.flush()
    if not WINDOWS:
        os.execv(PYTHON, [PYTHON, *arguments])  # noqa: S606
    # Windows has no exec: the shell would take its prompt back while the new process still runs.
    running = subprocess.Popen([PYTHON, *arguments])
    while True:
        with contextlib.suppress(KeyboardInterrupt):
            sys.exit(running.wait())


def check_python() -> None:
    """Raise Unready where this Python is too old, naming a newer one if there is one here."""
    if sys.version_info[:2] >= OLDEST:
        return
    text = f"clubbot needs Python {dotted(OLDEST)} or newer, and this is Python {dotted()}.\n"
    for minor in range(NEWEST_TRIED[1], OLDEST[1] - 1, -1):
        name = f"python3.{minor}"
        # A name on the path may be a switch that leads nowhere, so it is tried.
        if shutil.which(name) and subprocess.call([name, "-c", ""], stderr=subprocess.DEVNULL) == 0:
            raise Unready(f"{text}A newer one is here too. Run: {name} {sys.argv[0]}")
    raise Unready(
        f"{text}Get one from https://www.python.org/downloads/ or from your system's packages\n"
        f"and run the same command with it (on Windows: py -3 {sys.argv[0]})."
    )


def is_ready() -> bool:
    """Say whether `.venv` was completed for just this lock file and this Python."""
    try:
        with open(STAMP, encoding="ascii") as stamp:
            return stamp.read() == digest() and os.path.exists(PYTHON)
    except OSError:
        return False


def digest() -> str:
    """Sum up all that decides what belongs into `.venv`."""
    found = hashlib.sha256(dotted().encode())
    for path in (LOCK, PROJECT):
        with open(path, "rb") as file:
            found.update(file.read())
    return found.hexdigest()


def prepare() -> None:
    """Leave a complete `.venv` behind, or raise Unready; a half-made one is made anew next time."""
    try:
        with the_turn() as turn:
            if is_ready():
                return
            if usable():
                print("Bringing .venv up to date with requirements.lock ...", flush=True)
            else:
                make(turn)
            fill(turn)
    except OSError as error:
        raise Unready(explained("clubbot could not be set up.", str(error))) from error


def make(turn: "tuple[int, ...]") -> None:
    """Leave a `.venv` with nothing but pip in it, whatever was there before."""
    print(f"Setting up .venv with Python {dotted()}: once, a minute or two, 350 MB ...", flush=True)
    if shutil.disk_usage(ROOT).free < ROOM_NEEDED:
        raise Unready(explained("clubbot could not be set up.", FULL))
    # From inside the environment itself, only the Python that it was made with can do this.
    base = getattr(sys, "_base_executable", None) or sys.executable
    perform(turn, "The folder .venv could not be made.", base, "-m", "venv", "--clear", VENV)


def fill(turn: "tuple[int, ...]") -> None:
    """Install what the lock file names, make the checkout importable, and say that it's done."""
    write(STAMP, HALF_MADE)
    perform(
        turn,
        "The packages that clubbot needs could not be installed.",
        *(PYTHON, "-I", "-m", "pip", "install", "--require-hashes", "--only-binary=:all:"),
        *("--no-input", "--disable-pip-version-check", "--retries=2", "--requirement", LOCK),
    )
    site = sysconfig.get_path("purelib", "venv", {"base": VENV, "platbase": VENV})
    write(os.path.join(site, "clubbot-checkout.pth"), os.path.relpath(ROOT, site) + "\n")
    write(STAMP, digest())


def usable() -> bool:
    """Say whether there is a `.venv` that packages can be added to as it is."""
    with contextlib.suppress(OSError), open(STAMP, encoding="ascii") as stamp:
        if stamp.read() == HALF_MADE:
            return False
    program = "import pip, sys; print('%d.%d' % sys.version_info[:2])"
    try:
        said = subprocess.run(
            [PYTHON, "-I", "-c", program], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        ).stdout
    except OSError:
        return False
    return said.decode().strip() == dotted()


@contextlib.contextmanager
def the_turn() -> "Iterator[tuple[int, ...]]":
    """Be the only run that changes `.venv`; one that dies gives its turn back by itself."""
    with open(TURN, "w") as file:
        waiting = False
        while not taken(file.fileno()):
            if not waiting:
                print("Another run is setting up .venv. Waiting for it ...", flush=True)
            waiting = True
            time.sleep(0.2)
        yield () if WINDOWS else (file.fileno(),)


def taken(number: int) -> bool:
    """Take the turn, held until the file is closed; say whether nobody else had it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(number, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if isinstance(error, (BlockingIOError, PermissionError)):
            return False
        raise
    return True


def perform(turn: "tuple[int, ...]", failure: str, *command: str) -> None:
    """Run a command to its end; raise Unready with the failure explained where it fails.

    The command holds the turn too, so that nobody else begins while it outlives a killed run. On
    a terminal the packages are counted as they come in.
    """
    # These would send the packages somewhere else than into .venv.
    elsewhere = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_DRY_RUN")
    process = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        pass_fds=turn,
        env={key: value for key, value in os.environ.items() if key not in elsewhere},
        encoding="utf-8",
        errors="replace",
    )
    lines = []
    count = 0
    for line in process.stdout or ():
        lines.append(line)
        if line.startswith("Collecting ") and sys.stdout.isatty():
            count += 1
            print(f"\r  {count}: {line.split()[1][:50]:<50}", end="", flush=True)
    if count:
        print("\r" + " " * 60, end="\r")
    output = "".join(lines)
    if process.wait():
        text = explained(failure, output)
        with contextlib.suppress(OSError):
            write(LOG, output)
            text += f"\nThe whole output: {LOG}"
        raise Unready(text)


def explained(failure: str, output: str) -> str:
    """Say what failed, what a person can do, and what the tool itself said last."""
    advice = OTHERWISE
    flowing = " ".join(output.split())
    for signs, meaning in EXPLANATIONS:
        if any(sign in flowing for sign in signs):
            advice = meaning.format(
                version=dotted(), oldest=dotted(OLDEST), newest=dotted(NEWEST_TRIED)
            )
            break
    said = [line.strip() for line in output.splitlines() if line.strip()]
    told = [line for line in said if "ERROR" in line or "Error" in line] or said
    return f"{failure}\n{advice}" + (f"\n({told[-1][:300]})" if told else "")


def write(path: str, text: str) -> None:
    """Replace a file in one step, so that nobody ever reads half of it."""
    with open(path + ".new", "w", encoding="utf-8") as file:
        file.write(text)
    os.replace(path + ".new", path)


def dotted(version: tuple = sys.version_info) -> str:  # type: ignore[type-arg]
    """Write a Python version the way people do: 3.11."""
    return f"{version[0]}.{version[1]}"
