"""Whatever comes in: no crash, no hang, no trap of the engine.

The same targets can be run under atheris, which is led by coverage: see by_hand.py.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.fuzzing import targets

PARTS = (targets.TINY / "parts.yaml").read_text(encoding="utf-8")
RECORD = (
    '{"kind":"context","format":1,"turn":0,"today":"2026-01-15","ruleset":"tiny"}\n'
    '{"kind":"said","turn":1,"question":"level","answer":{"word":"low"},"words":"low"}\n'
    '{"kind":"worry","turn":2,"words":"odd noise","dangers":[],"offered":["fluid_went"]}\n'
    '{"kind":"picked","turn":3,"of":2,"symptom":"fluid_went"}\n'
    '{"kind":"took_back","turn":4,"of":3}\n'
)
NAMES = ["level", "wet", "depth", "made", "today", "least", "newer", "shaky", "leaking", "marks"]
WORDS = [
    *NAMES, "'low'", "'full'", "'no such'", "1.6", "-1", "1e999", "0", "(", ")", "[", "]", ",",
    "and", "or", "not", "in", "not in", "==", "!=", "<", "<=", ">", ">=", "somewhere(", "known(",
    "fitted(", "+", "-", "lambda", "__import__", "'", "\\", "\x00", "é", "None", "True", "if", ";",
]  # fmt: skip
TYPED = [
    "worry", "1.6", "about", "no", "brakes", "left", "2015", "%", "don't", "know", "low", "all",
    "fine", "not", "fitted", "1", "and", "3", "mm", "\x1b[2J", "🚗",
]  # fmt: skip
sentences = st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join)


@settings(max_examples=400, deadline=1000, derandomize=True)
@given(text=sentences | st.text(max_size=80))
def test_any_condition_is_read_or_refused_plainly(text: str) -> None:
    targets.condition(text)


def test_deep_and_long_conditions_are_refused_plainly() -> None:
    for text in (
        "not " * 3000 + "leaking", "(" * 500 + "leaking" + ")" * 500,
        " and ".join(["wet == 'yes'"] * 3000), "level == '" + "x" * 5000 + "'",
        "level in [" + ",".join(["'low'"] * 3000) + "]", "depth < " + "9" * 400,
    ):  # fmt: skip
        targets.condition(text)


@settings(max_examples=150, deadline=4000, derandomize=True)
@given(text=st.text(max_size=60) | st.lists(st.sampled_from(TYPED), max_size=8).map(" ".join))
def test_any_answer_is_understood_as_what_fits_or_not_at_all(text: str) -> None:
    targets.answer(text)


@settings(max_examples=200, deadline=2000, derandomize=True)
@given(data=st.data())
def test_any_record_is_read_or_refused_plainly(data: st.DataObject) -> None:
    raw = bytearray(RECORD.encode())
    for _ in range(data.draw(st.integers(0, 4))):
        spot = data.draw(st.integers(0, len(raw)))
        length = data.draw(st.integers(0, 30))
        raw[spot : spot + length] = data.draw(
            st.binary(max_size=12)
            | st.sampled_from([b"null", b"-1", b"1e400", b'"', b"{", b"}\n", b"[[[[", b"\xff"])
        )
    targets.journal(bytes(raw))


def spoilt(text: str, random: Random) -> str:
    """The tiny ruleset's rules with a few things changed, as a person or an accident might."""
    lines = text.split("\n")
    pieces = re.findall(r"[\w.]+", text)
    odd = ["1e308", "-5", "99999999999", "null", "[]", "{}", "''", "x" * 300, "é", "2000-02-30",
           "somewhere(wet)", "not known(level)", "&a", "*a", "!!python/name:os.system",
           "\t"]  # fmt: skip
    for _ in range(random.randint(1, 3)):
        at = random.randrange(len(lines))
        what = random.randrange(5)
        if what == 0:
            del lines[at]
        elif what == 1:
            lines.insert(at, lines[random.randrange(len(lines))])
        elif what == 2:
            lines[at] = lines[at][2:] if lines[at].startswith("  ") else "  " + lines[at]
        else:
            words = re.split(r"([\w.]+)", lines[at])
            if len(words) > 1:
                words[random.randrange(1, len(words), 2)] = random.choice([*pieces, *odd])
            lines[at] = "".join(words)
        if not lines:
            lines = [""]
    return "\n".join(lines)


def test_no_spoilt_ruleset_crashes_or_hangs(tmp_path: Path) -> None:
    """In a process of its own, since a trap of the engine would end the process."""
    random = Random(20261125)
    file = tmp_path / "texts.json"
    file.write_text(json.dumps([spoilt(PARTS, random) for _ in range(150)]), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzzing.child", str(file)],
        cwd=targets.ROOT, capture_output=True, text=True, timeout=240, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-3000:]
    assert 5 <= int(done.stdout) <= 145, "some are still rulesets, and most are not"
