"""Entry point of the command `sidelight` and of `python -m assistant`."""

from __future__ import annotations

import sys


def main() -> int:
    """Runs the command line and turns what goes wrong into one plain sentence."""
    import gc

    gc.disable()  # until the ruleset is loaded: that makes many objects and drops few
    from assistant.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
