"""Entry point of the command `sidelight` and of `python -m assistant`."""

from __future__ import annotations

import gc
import os
import sys

OBJECTS_MADE = 500_000
"""So many new objects before Python looks for circles. Loading a ruleset makes 90,000 that stay,
and looking through them again and again was measured at 100 ms; an answer makes hardly a circle."""


def main() -> int:
    """Runs the command line and turns what goes wrong into one plain sentence."""
    gc.set_threshold(OBJECTS_MADE)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them takes 30 ms
    from assistant.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
