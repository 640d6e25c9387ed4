"""Fuzzing led by coverage, by hand: `python -m tests.fuzzing.by_hand TARGET [SECONDS]`.

TARGET: condition, ruleset_file, answer or journal. Needs the package atheris, which is not among
the test extras. What breaks a promise is printed with the input that did it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable


def main(arguments: list[str]) -> int:
    import atheris

    with atheris.instrument_imports(include=["assistant"]):
        from tests.fuzzing import targets

    name = arguments[0] if arguments else ""
    seconds = arguments[1] if len(arguments) > 1 else "60"
    found: dict[str, Callable[[str], object]] = {
        "condition": targets.condition,
        "ruleset_file": targets.ruleset_file,
        "answer": targets.answer,
    }
    if name not in (*found, "journal"):
        print("Say what to fuzz: condition, ruleset_file, answer or journal.")
        return 2

    def once(raw: bytes) -> None:
        if name == "journal":
            targets.journal(raw)
        else:
            found[name](raw.decode("utf-8", "replace"))

    atheris.Setup([sys.argv[0], f"-max_total_time={seconds}", "-max_len=4000"], once)
    atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
