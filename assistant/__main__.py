"""Entry point of the command `sidelight` and of `python -m assistant`."""

from __future__ import annotations

import sys


def main() -> int:
    """Runs the command line and turns what goes wrong into one plain sentence."""
    import gc
    import os

    gc.disable()  # until the ruleset is loaded: that makes many objects and drops few
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them takes 30 ms
    from assistant.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
