"""The same work in several processes: in order, nothing lost, and said plainly when one dies.

Each test starts a process of its own, since a process with threads is not to be copied.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
TINY = ROOT / "tests" / "support" / "tiny"

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")


def python(code: str) -> subprocess.CompletedProcess[str]:
    done = [sys.executable, "-c", "from assistant.dialogue import several\n" + code]
    return subprocess.run(done, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)


def test_what_comes_back_is_in_order_and_from_several_processes() -> None:
    ran = python(
        "import os, time\n"
        "several._processes = lambda: 2\n"
        "def work(n):\n"
        "    time.sleep(0.02 * (n % 3 == 0))\n"
        "    return n, os.getpid()\n"
        "ready = []\n"
        "done = list(several.each_done(work, iter(range(60)), ready.append))\n"
        "print([n for n, _ in done] == list(range(60)), ready, len({p for _, p in done}),\n"
        "      os.getpid() in {p for _, p in done})"
    )
    assert (ran.stdout, ran.stderr) == ("True [0] 2 False\n", "")


@pytest.mark.parametrize(("cores", "things"), [(1, 60), (2, 15)])
def test_few_things_or_one_core_need_no_other_process(cores: int, things: int) -> None:
    ran = python(
        "import os\n"
        f"several._processes = lambda: {cores}\n"
        f"done = list(several.each_done(lambda n: (n, os.getpid()), range({things}), id))\n"
        "print([n for n, _ in done] == list(range(len(done))), {p for _, p in done} =="
        " {os.getpid()}, len(done))"
    )
    assert (ran.stdout, ran.stderr) == (f"True True {things}\n", "")


def test_a_process_that_dies_is_a_fault_in_plain_words() -> None:
    ran = python(
        "import os\n"
        "from assistant.errors import EngineFault\n"
        "several._processes = lambda: 2\n"
        "try:\n"
        "    list(several.each_done(lambda n: n if n < 40 else os._exit(9), range(60), id))\n"
        "except EngineFault as error:\n"
        "    print(error)"
    )
    assert (ran.stdout, ran.stderr) == ("a process that was at work ended without a word\n", "")


def test_many_consultations_are_judged_as_each_alone_is(tmp_path: Path) -> None:
    """Same lines, same complaints, same order, and the gravest exit code."""
    rows = [
        {"today": "2026-03-01", "answers": {"depth": {"left": f"{n / 10} mm"}}}
        if n % 7
        else {"today": "2026-03-01", "answers": {"depth": {"left": "2 mm"}, "no_such": "x"}}
        for n in range(1, 41)
    ]
    lines = [json.dumps(row) for row in rows]
    (tmp_path / "many.jsonl").write_text("\n".join(lines))
    many = judge(tmp_path / "many.jsonl")
    out, err = [], []
    for number in range(0, len(lines), 10):  # blank lines keep each at its own line
        part = ["" if not number <= i < number + 10 else line for i, line in enumerate(lines)]
        (tmp_path / "many.jsonl").write_text("\n".join(part))
        few = judge(tmp_path / "many.jsonl")
        out.append(few.stdout)
        err.append(few.stderr)
    assert many.stdout == "".join(out) and many.stdout.count("\n") == 40
    assert many.stderr == "".join(err) and many.stderr.count("no_such") == 5
    assert many.returncode == 2


def judge(path: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", "--ruleset", str(TINY), "judge", "--json"]
    return subprocess.run(
        [*command, str(path)], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False
    )
