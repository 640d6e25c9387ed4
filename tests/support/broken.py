"""Copies of the tiny ruleset with something in them changed."""

from __future__ import annotations

import shutil
from pathlib import Path

TINY = Path(__file__).resolve().parent / "tiny"


def changed(folder: Path, *pairs: tuple[str, str], file: str = "parts.yaml") -> Path:
    """A copy in which each text is replaced by another, once. Gives its folder."""
    shutil.copytree(TINY, folder / "tiny")
    path = folder / "tiny" / file
    text = path.read_text()
    for old, new in pairs:
        assert old in text, f"{old!r} is not in {file}"
        text = text.replace(old, new, 1)
    path.write_text(text)
    return folder / "tiny"


def with_rules(folder: Path, *rules: str, before: str = "symptoms:\n", **sections: str) -> Path:
    """A copy with more rules, and with more in other sections, such as questions or limits."""
    pairs = [(before, "".join(rules) + before)] if rules else []
    for section, piece in sections.items():
        pairs.append((f"{section}:\n", f"{section}:\n{piece}"))
    return changed(folder, *pairs)


def rule(name: str, when: str, case: str, near: str, *more: str, finds: str = "") -> str:
    """A rule as it stands in a file. finds: "item, category", or nothing. more: further lines."""
    rows = [f"  - rule: {name}", f'    when: "{when}"']
    if finds:
        item, category = finds.split(", ")
        rows.append(f'    finds: {{item: "{item}", category: {category}}}')
        rows += ["    urgency: before_inspection", "    do: Mend it.", "    who: garage"]
    rows += ["    say: It is so.", "    why: It was so.", "    source: book", "    basis: read"]
    rows += [f"    {row}" for row in more]
    rows.append(f"    cases: [{{fires: {{{case}}}, near: [{{{near}}}]}}]")
    return "\n".join(rows) + "\n"
