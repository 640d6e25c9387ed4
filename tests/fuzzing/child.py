"""Loads many spoilt rulesets in one process: `python -m tests.fuzzing.child FILE`.

FILE holds a JSON list of texts. Prints how many were read as a ruleset. A crash of the engine ends
the process, which the test sees.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from tests.fuzzing.targets import ruleset_file

if __name__ == "__main__":
    texts = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    print(sum(ruleset_file(text) for text in texts))
