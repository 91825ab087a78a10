"""How well, how fast and in how much memory messages about faults are understood.

    python -m tests.bench.fault_reading            on the half that was tuned on, and on our own
                                                   phrases that were kept apart from training
    python -m tests.bench.fault_reading --unseen   and on the half that was never looked at

Prints shares with Wilson 95 % intervals, milliseconds per message, and the resident memory of a
fresh `understand_faults` process. Look at the unseen half seldom: each look wears it out.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from statistics import mean, quantiles
from time import perf_counter

from clubbot.rules.faults import read_fault
from tests.rules.shares import PHRASES, Reading, readings, share

_FRESH = """
import sys
from clubbot.rules.faults import understand_faults
for line in understand_faults(sys.stdin):
    pass
with open("/proc/self/status", encoding="ascii") as status:
    print(next(line for line in status if line.startswith("VmHWM")).split()[1])
"""


def main() -> None:
    _shares("tuned half", readings("faults_tuned"), readings("danger_tuned"))
    _shares("phrases kept apart", readings("faults_apart"), readings("danger_apart"))
    _shares("another writer, apart", *_parted("varied_apart"))
    if "--unseen" in sys.argv[1:]:
        _shares("unseen half", readings("faults_unseen"), readings("danger_unseen"))
        _shares("yet another writer, unseen", *_parted("varied_unseen"))
        _shares("two who write as in any season, unseen", *_parted("season_unseen"))
        _shares("two who write as in any year, half of it danger", *_parted("year_unseen"))
        _shares("short and plain, as children type, unseen", *_parted("plain_unseen"))
    _speed()
    _memory()


def _parted(name: str) -> tuple[list[Reading], list[Reading]]:
    """Return a writer's messages about faults or not, and those of danger."""
    every = readings(name)
    return [each for each in every if not each.danger], [each for each in every if each.danger]


def _shares(name: str, faults: Sequence[Reading], dangers: Sequence[Reading]) -> None:
    real = [each for each in faults if each.fault]
    calm = [each for each in faults if not each.fault]
    print(f"== {name}: {len(faults)} messages about faults or not, {len(dangers)} of danger")
    rows = {
        "first symptom right": share(each.among(1) for each in real),
        "among the first two": share(each.among(2) for each in real),
        "among them, told in doubt too": share(each.told(2) for each in real),
        "kits right": share(each.kits == frozenset(each.found.kits) for each in faults),
        "false alarms on non-faults": share(each.found.fault for each in calm),
        "faults missed": share(not each.found.fault for each in real),
        "dangers missed": share(not each.found.danger for each in dangers if each.danger),
        "danger in vain, harmless sayings": share(
            each.found.danger for each in dangers if not each.danger
        ),
        "danger in vain, usual messages": share(
            each.found.danger for each in faults if not each.danger
        ),
    }
    for about, found in rows.items():
        if found.tries:
            print(f"{about:34} {found}")


def _messages() -> list[dict[str, object]]:
    lines = (PHRASES / "faults_tuned.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines]


def _speed() -> None:
    rows = _messages()
    read_fault("warm up", ["A"])
    times = []
    for row in rows:
        labels = row["labels"]
        assert isinstance(labels, list)
        start = perf_counter()
        read_fault(str(row["text"]), labels)
        times.append(1000 * (perf_counter() - start))
    print(f"== milliseconds: mean {mean(times):.2f}, 99 % under {quantiles(times, n=100)[98]:.2f}")


def _memory() -> None:
    text = "\n".join(json.dumps(row) for row in _messages())
    done = subprocess.run(
        [sys.executable, "-c", _FRESH], input=text, capture_output=True, text=True, check=True
    )
    print(f"== memory at its highest: {int(done.stdout) / 1024:.0f} MB")


if __name__ == "__main__":
    main()
