"""What is typed at the shell: exit codes, bad input, closed pipes; never a traceback."""

from __future__ import annotations

import errno
import io
import json
import os
import random
import re
import shutil
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from assistant import cli
from assistant.batch import answers_file
from assistant.batch import judge as judging
from assistant.errors import EngineFault
from assistant.ruleset import load as load_module
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset
from tests.support.screen import environment

ROOT = Path(__file__).resolve().parent.parent
DEMOS = ROOT / "transcripts_demo"
WET = DEMOS / "falling-brake-fluid.jsonl"
TINY = str(ROOT / "tests" / "support" / "tiny")
CLEAN = "car:\n  fuel: petrol\n"
BAD = "answers:\n  wheel_wet:\n    rear nearside: yes\n"


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def rows(self) -> list[dict[str, object]]:
        return [json.loads(line) for line in self.out.splitlines()]


Sidelight = Callable[..., Ran]
_LOADED: dict[Path, Ruleset] = {}


def _load_once(
    folder: Path, cache: Path | None = None, compiler: Callable[[Ruleset], Any] | None = None
) -> Ruleset:
    """Loading is tested elsewhere; here the shipped ruleset is loaded once for all tests."""
    if not folder.is_relative_to(ROOT / "rulesets"):
        return load_ruleset(folder, cache, compiler)
    if folder not in _LOADED:
        _LOADED[folder] = load_ruleset(folder, cache, compiler)
    return _LOADED[folder]


@pytest.fixture
def sidelight(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Sidelight:
    """Runs a command in this process, in an empty folder with records of its own."""
    monkeypatch.setenv("SIDELIGHT_RECORDS", str(tmp_path / "records"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(ROOT / ".pytest_cache" / "sidelight"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(load_module, "load_ruleset", _load_once)

    def ran(*arguments: object, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        capsys.readouterr()
        try:
            code = cli.run([str(a) for a in arguments])
        except SystemExit as stopped:
            code = int(stopped.code or 0)
        shown = capsys.readouterr()
        assert "Traceback" not in shown.out + shown.err
        return Ran(code, shown.out, shown.err)

    return ran


def shell(
    tmp_path: Path, *arguments: str, stdin: bytes | int | None = b"", **env: str
) -> subprocess.CompletedProcess[bytes]:
    """Runs a command as a process of its own."""
    how: dict[str, object] = {"input": stdin} if isinstance(stdin, bytes) else {"stdin": stdin}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        capture_output=True,
        env=environment(tmp_path, **env),
        cwd=tmp_path,
        timeout=60,
        check=False,
        **how,  # type: ignore[call-overload]
    )


def piped(tmp_path: Path, script: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    """Runs a line of shell in which $S is the program."""
    return subprocess.run(
        ["/bin/sh", "-c", script],
        capture_output=True,
        env=environment(tmp_path, S=f"{sys.executable} -m assistant", **env),
        cwd=tmp_path,
        timeout=60,
        check=False,
    )


# exit codes -----------------------------------------------------------------------------


def test_judge_says_what_it_found_by_its_exit_code(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)
    (tmp_path / "bad.yaml").write_text(BAD)
    assert sidelight("judge", "clean.yaml").code == 0
    found = sidelight("judge", "bad.yaml")
    assert (found.code, found.err) == (1, "")
    assert "DO NOT DRIVE" in found.out
    assert sidelight("judge", "--exit-zero", "bad.yaml").code == 0
    assert sidelight("judge", "missing.yaml").code == 2
    assert sidelight("judge", "--exit-zero", "missing.yaml").code == 2


def test_one_bad_file_does_not_stop_the_others(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)
    (tmp_path / "bad.yaml").write_text(BAD)
    ran = sidelight("judge", "--json", "bad.yaml", "missing.yaml", ".", "clean.yaml", WET)
    assert ran.code == 2
    assert [row["file"] for row in ran.rows] == [
        "bad.yaml", "missing.yaml", ".", "clean.yaml", str(WET),
    ]  # fmt: skip
    assert ["error" in row for row in ran.rows] == [False, True, True, False, False]
    assert "missing.yaml cannot be read: No such file or directory." in ran.err
    assert ". cannot be read: Is a directory." in ran.err
    assert sidelight("judge", "bad.yaml", "clean.yaml").code == 1


def test_judge_reads_standard_input(sidelight: Sidelight) -> None:
    ran = sidelight("judge", "--json", "-", stdin=BAD.encode())
    assert ran.code == 1 and ran.rows[0]["file"] == "standard input"


def test_judge_reads_json_and_json_lines(sidelight: Sidelight, tmp_path: Path) -> None:
    one = {"name": "Juniper \U0001f697", "answers": {"wheel_wet": {"rear nearside": True}}}
    for ascii_only in (True, False):
        for indent in (None, 2, "\t"):
            text = json.dumps(one, indent=indent, ensure_ascii=ascii_only)
            (tmp_path / "one.json").write_text(text)
            ran = sidelight("judge", "--json", "one.json")
            assert (ran.code, ran.err) == (1, "")
            assert ran.rows[0]["car"] == "Juniper \U0001f697"
    two = {"answers": {"wheel_wet": {"all": False}}}
    (tmp_path / "many.jsonl").write_text(f"{json.dumps(one)}\n\n{json.dumps(two)}\nnot json\n")
    ran = sidelight("judge", "--json", "many.jsonl")
    assert ran.code == 2
    assert [row["file"] for row in ran.rows] == ["many.jsonl:1", "many.jsonl:3", "many.jsonl:4"]
    assert [row.get("would_fail") for row in ran.rows] == [True, False, None]
    assert "line 4: this line is not a JSON object." in ran.err


def test_a_bad_line_of_json_lines_loses_no_other(sidelight: Sidelight, tmp_path: Path) -> None:
    lines = [
        {"car": {"fuel": "petrol"}},
        {"ruleset": "nowhere", "car": {"fuel": "petrol"}},
        {"schema": 1, "journal": 7},
        {"schema": 1, "journal": [{"kind": "context", "today": "2026-01-01", "ruleset": "gone"}]},
        {"answers": {"nonsense": 1}},
        {"car": {"fuel": "diesel"}},
    ]
    (tmp_path / "a.jsonl").write_text("\n".join(map(json.dumps, lines)))
    ran = sidelight("judge", "--json", "a.jsonl")
    assert ran.code == 2 and len(ran.rows) == 6
    assert ["drive" in row for row in ran.rows] == [True, False, False, False, True, True]
    for line in (2, 3, 5):
        assert f"a.jsonl:{line}, line {line}: " in ran.err
    assert "There is no ruleset 'gone'." in ran.err


def test_judge_reads_a_record(sidelight: Sidelight) -> None:
    ran = sidelight("judge", "--json", WET)
    wanted = json.loads((DEMOS / "falling-brake-fluid.expected.json").read_text())
    assert (ran.code, ran.err) == (1, "")
    assert ran.rows[0]["drive"] == wanted["drive"]


def test_two_records_in_one_file_are_two_cars(sidelight: Sidelight, tmp_path: Path) -> None:
    text = WET.read_text() + (DEMOS / "clean-car.jsonl").read_text()
    (tmp_path / "two.jsonl").write_text(text)
    ran = sidelight("judge", "--json", "two.jsonl")
    assert [row["car"] for row in ran.rows] == ["Juniper", "Marigold"]
    assert [row["would_fail"] for row in ran.rows] == [True, False]


def tampered(sheet: dict[str, object]) -> list[tuple[str, dict[str, object]]]:
    """The same sheet with one thing changed in it, each time another."""

    def but(key: str, value: object) -> tuple[str, dict[str, object]]:
        return key, {**sheet, key: value}

    journal = json.loads(json.dumps(sheet["journal"]))
    wet = next(
        e for e in journal if e.get("question") == "wheel_wet" and e["answer"]["word"] == "yes"
    )
    wet["answer"]["word"] = "no"
    findings = json.loads(json.dumps(sheet["findings"]))
    findings[0]["urgency"] = "keep_an_eye"
    clear = [*sheet["looked_at_nothing_found"], "1.1.16(b)(i)"]  # type: ignore[misc]
    return [
        but("journal", journal),
        but("journal", journal[:-1]),
        but("findings", findings),
        but("findings", []),
        but("would_fail", False),
        but("drive", {**sheet["drive"], "urgency": "nothing"}),  # type: ignore[dict-item]
        but("not_known", [{"question": "horn_sound"}]),
        but("looked_at_nothing_found", clear),
        but("only_the_station", []),
        but("answers_by_place", {}),
        but("car", "Another"),
        but("today", "2026-09-13"),
        but("about_the_car", []),
        ("findings left out", {k: v for k, v in sheet.items() if k != "findings"}),
    ]


def test_a_json_sheet_is_judged_again(sidelight: Sidelight, tmp_path: Path) -> None:
    for demo in DEMOS.glob("*.jsonl"):
        made = sidelight("sheet", demo, "--format", "json", "-o", "sheet.json")
        assert (made.code, made.out) == (0, "Written: sheet.json\n")
        ran = sidelight("judge", "--json", "sheet.json")
        assert ran.rows[0]["same_as_sheet"] is True, demo
        assert "The sheet: the same." in sidelight("judge", "sheet.json").out
        assert sidelight("sheet", "--verify", "sheet.json").out.startswith("sheet.json: the same.")
    sidelight("sheet", WET, "--format", "json", "-o", "sheet.json")
    sheet = json.loads((tmp_path / "sheet.json").read_text())
    for what, changed in tampered(sheet):
        for text in (json.dumps(changed), json.dumps(changed, indent=2)):
            (tmp_path / "sheet.json").write_text(text)
            ran = sidelight("judge", "--json", "sheet.json")
            assert ran.rows[0]["same_as_sheet"] is False, what
            assert (ran.code, bool(ran.rows[0]["differs_from_sheet"])) != (0, True), what
            checked = sidelight("sheet", "--verify", "sheet.json")
            assert checked.code == 1 and "NOT the same" in checked.out.split("\n")[0], what
    assert "NOT the same" in sidelight("judge", "sheet.json").out


NAMED = [
    ({"certificate": "PASS"}, "unknown part 'certificate'"),
    ({"notices": []}, "notice 'This is an owner's own check."),
    ({"findings": []}, "finding 'brake_leak_wheel at rear_nearside'"),
    ({"today": "2026-09-13"}, "date: the sheet has '2026-09-13'"),
    ({"ruleset_digest": "0" * 64}, "It was made by another version of the rules."),
    ({"for_the_garage": {"wanted": "mend"}}, "for the garage, wanted"),
]


@pytest.mark.parametrize(("change", "named"), NAMED)
def test_a_checked_sheet_names_what_differs(
    sidelight: Sidelight, tmp_path: Path, change: dict[str, object], named: str
) -> None:
    sidelight("sheet", WET, "--format", "json", "-o", "sheet.json")
    sheet = json.loads((tmp_path / "sheet.json").read_text())
    (tmp_path / "sheet.json").write_text(json.dumps(sheet | change))
    ran = sidelight("sheet", "--verify", "sheet.json")
    assert ran.code == 1 and named in ran.out
    assert ran.out.endswith("It does not show that the answers are true.\n")


def test_a_checked_sheet_has_to_be_a_sheet(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)
    ran = sidelight("sheet", "--verify", "clean.yaml")
    assert (ran.code, ran.out) == (2, "") and "is no JSON sheet" in ran.err


def test_a_sheet_of_an_answers_file(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)
    ran = sidelight("sheet", "clean.yaml", "--format", "md", "-o", "-", "--wanted", "price")
    assert ran.code == 0 and "Look, and tell me the price first." in ran.out


def test_what_is_added_for_the_garage_is_kept_and_left_out(
    sidelight: Sidelight, tmp_path: Path
) -> None:
    (tmp_path / "walk.jsonl").write_bytes(Path(WET).read_bytes())
    added = ("--name", "R. Ashdown", "--phone", "07700 900123", "--miles", "81,240")
    written = ("--format", "md", "-o", "-")
    for extra in (added, ()):  # the second time from the record
        out = sidelight("sheet", "walk.jsonl", *written, *extra).out
        assert "Owner: R. Ashdown; 07700 900123" in out and "Miles: 81,240" in out
    for form in ("md", "json", "html"):
        without = ("--without", "plate,name,phone", "--format", form, "-o", "-")
        out = sidelight("sheet", "walk.jsonl", *without).out
        assert not re.search("Ashdown|07700|Juniper", out) and "81,240" in out
    assert sidelight("sheet", "walk.jsonl", "--without", "tyres").code == 2
    ran = sidelight("sheet", "walk.jsonl", "--name", "x" * 5000)
    assert ran.code == 2 and "has 5000 letters, and can have 200" in ran.err


def test_many_are_counted(sidelight: Sidelight, tmp_path: Path) -> None:
    worn = {"car": {"body": "car"}, "answers": {"tread_depth": {"front_nearside": "1 mm"}}}
    rows = [json.dumps(worn)] * 3 + ["{broken"]
    (tmp_path / "many.jsonl").write_text("\n".join(rows) + "\n")
    ran = sidelight("judge", "--summary", "--json", "many.jsonl")
    assert re.search(r"^all +4  consultations$", ran.out, re.M)
    assert re.search(r"^all +1  with problems in the file$", ran.out, re.M)
    assert re.search(r"^headline +1  Could not be judged$", ran.out, re.M)
    assert re.search(r"^found +3  The tread is below the limit", ran.out, re.M)
    ran = sidelight("judge", "--summary", "csv", "many.jsonl")
    assert ran.out.startswith("kind,name,count\n") and "all,consultations,4\n" in ran.out


def test_a_filter_keeps_its_lines(sidelight: Sidelight) -> None:
    """Line in, line out, in order, so that whatever splits lines over machines can run it."""
    rows = [{"name": f"Car {n}", "answers": {}} for n in range(5)]
    text = "\n".join(json.dumps(row) for row in rows).encode()
    whole = sidelight("judge", "--json", "-", stdin=text).rows
    assert [row["car"] for row in whole] == [row["name"] for row in rows]
    one = sidelight("judge", "--json", "-", stdin=text.split(b"\n")[3]).rows[0]
    assert {**one, "file": ""} == {**whole[3], "file": ""}


def test_lines_are_read_one_by_one_whatever_the_size_of_the_file(
    sidelight: Sidelight, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(answers_file, "_MAX_BYTES", 30)
    (tmp_path / "many.jsonl").write_bytes(
        b'\n{"answers": {}}\n\n{"name": "\xff"}\n{"answers": {}}\n'
    )
    ran = sidelight("judge", "--json", "many.jsonl")
    assert [row["file"] for row in ran.rows] == [f"many.jsonl:{n}" for n in (2, 4, 5)]
    assert ran.err == "sidelight: many.jsonl:4, line 4: this is not UTF-8 text.\n"
    (tmp_path / "one.yaml").write_text("answers:\n  nonsense: a thing that nobody asks\n")
    assert "is larger than" in sidelight("judge", "one.yaml").err


def test_the_problems_of_a_consultation_stand_together(
    sidelight: Sidelight, tmp_path: Path
) -> None:
    (tmp_path / "bad.yaml").write_text("answers:\n  nonsense: 1\n  more_nonsense: 2\n")
    err = sidelight("judge", "bad.yaml").err.split("\n")
    assert err[0] == "sidelight: bad.yaml: 2 problems"
    assert err[1].startswith("  line 2: ") and err[2].startswith("  line 3: ")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("command", ["judge", "sheet -o -", "card -o -"])
def test_a_full_disk_is_one_plain_sentence(tmp_path: Path, command: str) -> None:
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "assistant", *command.split(), WET],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert ran.returncode == 2
    assert ran.stderr == "sidelight: This could not be written: No space left on device.\n"


def test_stopping_says_how_far_it_came(
    sidelight: Sidelight, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "two.jsonl").write_text('{"answers": {}}\n{"answers": {}}\n')
    real, calls = judging.consult, []

    def second_stops(*given: object) -> object:
        calls.append(given)
        if len(calls) == 2:
            raise KeyboardInterrupt
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(judging, "consult", second_stops)
    ran = sidelight("judge", "--json", "two.jsonl")
    assert (ran.code, len(ran.rows)) == (2, 1)
    assert ran.err == "sidelight: Stopped after 1 of them. What was written before that is whole.\n"


def test_our_own_faults_have_their_own_exit_code(
    sidelight: Sidelight, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)

    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret")

    monkeypatch.setattr(judging, "consult", broken)
    ran = sidelight("judge", "clean.yaml")
    assert ran.code == 3
    assert "A fault of this program, not of yours (ZeroDivisionError)." in ran.err
    assert "Answers that were given are kept." in ran.err
    assert "secret" in (tmp_path / "records" / "last-fault.txt").read_text()

    def no_engine(*_: object) -> None:
        raise EngineFault("durable-rules could not be loaded")

    monkeypatch.setattr(judging, "consult", no_engine)
    ran = sidelight("judge", "clean.yaml")
    assert ran.code == 3 and "durable-rules could not be loaded" in ran.err


# help, and what is mistyped -------------------------------------------------------------

COMMANDS = [[], ["judge"], ["sheet"], ["card"], ["rules"], ["rules", "check"],
            ["rules", "questions"], ["rules", "explain"], ["rules", "schema"], ["rules", "new"],
            ["rules", "diff"], ["rules", "doubts"]]  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_command_has_help_with_an_example(sidelight: Sidelight, command: list[str]) -> None:
    ran = sidelight(*command, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert "Example: sidelight" in ran.out
    assert all(len(row) <= 80 for row in ran.out.splitlines())


def test_version(sidelight: Sidelight) -> None:
    assert sidelight("--version").out.startswith("sidelight ")


NEEDED = {"judge": ["x.yaml"], "explain": ["x"], "new": ["x", "--system", "x"], "diff": ["x", "y"]}


@pytest.mark.parametrize("command", [c for c in COMMANDS if c != ["rules"]], ids=" ".join)
def test_an_unknown_option_is_one_plain_line(sidelight: Sidelight, command: list[str]) -> None:
    given = [*command, *NEEDED.get(command[-1] if command else "", [])]
    ran = sidelight(*given, "--nonsense")
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "--nonsense" in ran.err and "--help" in ran.err


@pytest.mark.parametrize(
    "arguments",
    [["frobnicate"], ["judge"], ["rules"], ["rules", "nonsense"], ["sheet", "--format", "pdf"],
     ["card", "--format", "pdf"], ["--car"]],
    ids=" ".join,
)  # fmt: skip
def test_misuse_is_one_plain_line(sidelight: Sidelight, arguments: list[str]) -> None:
    ran = sidelight(*arguments)
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert ran.err.startswith("sidelight: ") and "--help" in ran.err


# rulesets -------------------------------------------------------------------------------


def test_rules_check(sidelight: Sidelight) -> None:
    ran = sidelight("rules", "check", TINY)
    assert ran.code == 0 and ran.out.endswith(" 0 problems.\n")
    assert ran.out.startswith("tiny: ") and "--cases runs them" in ran.out
    assert re.search(r"checked in [0-9.]+ seconds", ran.out)
    ran = sidelight("rules", "check", "--cases", TINY)
    assert ran.code == 0 and "--cases" not in ran.out


def test_rules_check_says_where(sidelight: Sidelight, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    for path in Path(TINY).glob("*.yaml"):
        (folder / path.name).write_text(path.read_text())
    parts = (folder / "parts.yaml").read_text()
    (folder / "parts.yaml").write_text(
        parts.replace("near: [{depth: 1.6}]", "near: [{depth: 1.5}]")
    )
    ran = sidelight("rules", "check", "--cases", folder)
    assert ran.code == 2 and "fires the rule all the same" in ran.out
    assert "parts.yaml:" in ran.out
    (folder / "parts.yaml").write_text(parts.replace("when: depth < least", "when: dept < least"))
    ran = sidelight("rules", "check", folder)
    assert ran.code == 2 and "parts.yaml:" in ran.err and "depth" in ran.err


@pytest.mark.parametrize("name", ["nowhere", "/nowhere/at/all", "../x"])
def test_a_ruleset_that_is_not_there(sidelight: Sidelight, tmp_path: Path, name: str) -> None:
    (tmp_path / "clean.yaml").write_text(CLEAN)
    commands = [
        ["rules", "check", name],
        ["rules", "questions", name],
        ["judge", "--ruleset", name, "clean.yaml"],
    ]
    for arguments in commands:
        ran = sidelight(*arguments)
        assert ran.code == 2
        assert f"There is no ruleset {name!r}. Known here: eu-directive, gb-cars." in ran.err


def test_rules_questions(sidelight: Sidelight) -> None:
    text, data = sidelight("rules", "questions"), sidelight("rules", "questions", "--json")
    assert text.code == data.code == 0
    rows = json.loads(data.out)
    assert {"question", "ask", "kind", "parts", "also"} <= set(rows[0])
    assert all(f"\n{row['question']}  (" in "\n" + text.out for row in rows)
    assert json.loads(sidelight("rules", "questions", "--json", TINY).out)[0]["question"] == "made"


def test_rules_explain(sidelight: Sidelight) -> None:
    ran = sidelight("rules", "explain", "shallow", "--ruleset", TINY)
    assert ran.code == 0 and "[depth] is less than" in ran.out
    ran = sidelight("rules", "explain", "shalow", "--ruleset", TINY)
    assert ran.code == 2 and ran.out == "" and "Did you mean 'shallow'?" in ran.err


def test_rules_schema_is_json(sidelight: Sidelight) -> None:
    assert "SystemFile" in json.loads(sidelight("rules", "schema").out)["$defs"]


def test_rules_new_prints_or_writes(sidelight: Sidelight, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    shutil.copytree(TINY, folder)
    new = ["rules", "new", "flap", "--system", "parts.yaml", "--ruleset", folder]
    shown = sidelight(*new)
    assert shown.code == 0 and "  - rule: flap\n" in shown.out
    ran = sidelight(*new, "-o", folder / "parts.yaml")
    assert ran.code == 0 and "Written: " in ran.out
    ran = sidelight("rules", "check", "--cases", folder)
    assert ran.code == 0 and "9 rules" in ran.out
    assert sidelight(*new).code == 2  # the name is taken now
    wrong = sidelight("rules", "new", "x", "--system", "part", "--ruleset", folder)
    assert wrong.code == 2 and "Did you mean 'parts'?" in wrong.err


def test_rules_diff_and_doubts(sidelight: Sidelight, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    shutil.copytree(TINY, folder)
    parts = folder / "parts.yaml"
    parts.write_text(parts.read_text().replace("value: 1.6", "value: 1.7"))
    ran = sidelight("rules", "diff", TINY, folder)
    assert ran.code == 0 and "    gained: shallow at left" in ran.out
    ran = sidelight("rules", "doubts", folder)
    assert ran.code == 0 and "parts.yaml:5:3: limit newer, from memory" in ran.out
    assert "common practice: 1 (1 rule)" in ran.out
    rows = json.loads(sidelight("rules", "doubts", "--json", folder).out)
    assert {"file", "line", "column", "kind", "basis", "settle"} <= set(rows[0])


# sheet and card -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "ending"),
    [(["sheet"], "html"), (["sheet", "--format", "md"], "md"),
     (["sheet", "--format", "json"], "json"),
     (["card"], "txt"), (["card", "--format", "html"], "html")],
)  # fmt: skip
def test_sheet_and_card_are_written(
    sidelight: Sidelight, tmp_path: Path, arguments: list[str], ending: str
) -> None:
    ran = sidelight(*arguments, WET)
    assert ran.code == 0 and ran.err == ""
    name = ran.out.removeprefix("Written: ").strip()
    assert name.endswith(f".{ending}")
    shown = sidelight(*arguments, WET, "-o", "-")
    assert shown.out == (tmp_path / name).read_text()


def test_sheet_and_card_of_the_newest_record(sidelight: Sidelight) -> None:
    assert sidelight("sheet").code == 2
    assert "There is no record in" in sidelight("card").err
    for car in ("Juniper", "Marigold"):
        sidelight("--plain", "--car", car, "--new", stdin=b"2013\n")
    assert "Marigold" in sidelight("sheet", "--format", "md", "-o", "-").out
    assert "Juniper" in sidelight("sheet", "--format", "md", "-o", "-", "--car", "Juniper").out
    assert sidelight("sheet", "--car", "Unheard-of").code == 2
    assert "Walk-round card for Juniper" in sidelight("card", "-o", "-", "--car", "Juniper").out


def test_a_record_that_is_none(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "empty.jsonl").write_text("")
    (tmp_path / "torn.jsonl").write_bytes(WET.read_bytes()[:50])
    (tmp_path / "corrupt.jsonl").write_bytes(WET.read_bytes().replace(b'"said"', b'"sad"', 1))
    for name in ("missing.jsonl", "empty.jsonl", "torn.jsonl", "corrupt.jsonl", "."):
        for command in ("sheet", "card"):
            ran = sidelight(command, name)
            assert (ran.code, ran.out) == (2, "") and name in ran.err
    assert "corrupt.jsonl, line 2: this is not an entry" in ran.err or "Is a directory" in ran.err


def test_output_that_cannot_be_written(sidelight: Sidelight, tmp_path: Path) -> None:
    for command in ("sheet", "card"):
        for target in ("no/such/folder/x", str(tmp_path)):
            ran = sidelight(command, WET, "-o", target)
            assert ran.code == 2 and f"{target} cannot be written: " in ran.err


WRITING = [
    ["sheet", WET],
    ["card", WET],
    ["teach", "grinding-brakes", "--sheet"],
    ["rules", "new", "flap", "--system", "parts.yaml", "--ruleset", TINY],
]


@pytest.mark.parametrize("command", WRITING, ids=lambda c: c[0])
def test_a_file_of_another_sort_is_replaced_only_by_force(
    sidelight: Sidelight, tmp_path: Path, command: list[str]
) -> None:
    notes = tmp_path / "notes"
    notes.write_text("mine")
    ran = sidelight(*command, "-o", "notes")
    assert (ran.code, ran.out, notes.read_text()) == (2, "", "mine")
    assert ran.err == (
        "sidelight: notes is there already, and this program did not write it. "
        "--force replaces it.\n"
    )
    assert sidelight(*command, "-o", "notes", "--force").code == 0
    assert notes.read_text() != "mine"
    assert stat.S_IMODE(notes.stat().st_mode) == 0o600
    if command[0] != "rules":
        assert sidelight(*command, "-o", "notes").code == 0  # now it is ours


@pytest.mark.parametrize("command", WRITING, ids=lambda c: c[0])
@pytest.mark.parametrize("force", [(), ("--force",)])
def test_a_link_is_refused(
    sidelight: Sidelight, tmp_path: Path, command: list[str], force: tuple[str, ...]
) -> None:
    (tmp_path / "mine").write_text("mine")
    (tmp_path / "link").symlink_to("mine")
    ran = sidelight(*command, "-o", "link", *force)
    assert (ran.code, ran.out, (tmp_path / "mine").read_text()) == (2, "", "mine")
    assert ran.err == (
        "sidelight: link cannot be written: it is a link, and nothing is written through a link.\n"
    )


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EACCES])
def test_a_sheet_that_cannot_be_written_leaves_the_old_one(
    sidelight: Sidelight, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    assert sidelight("sheet", WET, "-o", "it.html").code == 0
    old = (tmp_path / "it.html").read_bytes()

    def fails(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    owner, step = (os, "fsync") if code == errno.ENOSPC else (tempfile, "mkstemp")
    monkeypatch.setattr(owner, step, fails)
    ran = sidelight("card", WET, "-o", "it.html")
    assert (ran.code, ran.out, (tmp_path / "it.html").read_bytes()) == (2, "", old)
    assert ran.err == f"sidelight: it.html cannot be written: {os.strerror(code)}.\n"


def test_records_where_none_can_be_made(sidelight: Sidelight, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    ran = sidelight("--plain", "--records", "file/inside", stdin=b"Juniper\n2013\n")
    assert ran.code == 2 and "cannot be made: Not a directory." in ran.err
    assert sidelight("sheet", "--records", "file/inside").code == 2


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is read-only for root")
def test_read_only_folders(sidelight: Sidelight, tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o500)
    ran = sidelight("--plain", "--records", folder, stdin=b"Juniper\n2013\n")
    assert ran.code == 2 and "cannot be made: Permission denied." in ran.err
    for command in ("sheet", "card"):
        assert sidelight(command, WET, "-o", folder / "x").code == 2


@pytest.mark.parametrize(
    "car",
    ["x" * 300, "\x1b[31mRed\x07", "\U0001f697", "../../../etc", "<script>", "  ", "\u202egnp"],
)
def test_any_name_of_a_car_will_do(sidelight: Sidelight, tmp_path: Path, car: str) -> None:
    for ran in (
        sidelight("--plain", "--new", "--car", car, stdin=b"2013\n"),
        sidelight("--plain", "--new", stdin=f"{car}\n2013\n".encode()),
    ):
        assert ran.code == 0
        assert "\x1b" not in ran.out + ran.err and "\u202e" not in ran.out
    for path in tmp_path.rglob("*.jsonl"):
        assert path.is_relative_to(tmp_path / "records")
        context = json.loads(path.read_text().splitlines()[0])
        assert len(context["car"]) <= 60 and context["car"].isprintable()


# pipes and closed streams ---------------------------------------------------------------

needs_shell = pytest.mark.skipif(sys.platform == "win32", reason="needs a shell")


def test_an_engine_that_cannot_be_loaded_is_named_with_its_cause(tmp_path: Path) -> None:
    (tmp_path / "durable_rules_engine.py").write_text("raise ImportError('no symbol abc')")
    done = shell(tmp_path, "judge", str(WET), PYTHONPATH=f"{tmp_path}{os.pathsep}{ROOT}")
    said = done.stderr.decode()
    assert done.returncode == 3 and "cannot be loaded: no symbol abc. It is compiled" in said
    assert "CPPFLAGS=-DPyEval_CallObject=PyObject_CallObject pip install" in said


@pytest.mark.skipif(not hasattr(sys, "getdlopenflags"), reason="there are no such flags here")
def test_other_libraries_are_loaded_as_before_the_engine() -> None:
    code = (
        "import sys; before = sys.getdlopenflags(); import assistant.reasoning.engine; "
        "assert sys.getdlopenflags() == before"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


@needs_shell
@pytest.mark.parametrize(
    "script", ["$S rules questions | head -1", "$S rules questions --json | head -c 10",
               "(sleep 1; exec $S --help) | true", f"$S sheet {WET} -o - | head -1"]
)  # fmt: skip
def test_a_closed_pipe_is_no_fault(tmp_path: Path, script: str) -> None:
    done = piped(tmp_path, script)
    assert done.returncode == 0
    assert done.stderr == b""


@needs_shell
@pytest.mark.parametrize("script", ["$S <&-", "$S --plain <&-", "$S --car Juniper <&-"])
def test_the_talk_without_standard_input(tmp_path: Path, script: str) -> None:
    done = piped(tmp_path, script)
    assert done.returncode == 0
    assert b"Sidelight" in done.stdout and done.stderr == b""


@needs_shell
def test_judge_without_standard_input(tmp_path: Path) -> None:
    done = piped(tmp_path, "$S judge - <&-")
    assert done.returncode == 2
    assert b"is empty" in done.stderr and b"Traceback" not in done.stderr


@needs_shell
@pytest.mark.parametrize("command", ["judge %s", "rules questions", "card %s -o -"])
def test_without_standard_output(tmp_path: Path, command: str) -> None:
    script = f"$S {command % WET if '%s' in command else command} >&-"
    done = piped(tmp_path, script)
    assert done.returncode in (0, 1)
    assert done.stderr == b""


def test_output_that_knows_only_ascii(tmp_path: Path) -> None:
    (tmp_path / "emoji.yaml").write_text('name: "\U0001f697"\ncar: {fuel: petrol}\n')
    for how in ([], ["--json"]):
        done = shell(tmp_path, "judge", *how, "emoji.yaml", PYTHONIOENCODING="ascii")
        assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout)["car"] == "\U0001f697"
    journal = tmp_path / "walk.jsonl"
    journal.write_text(WET.read_text().replace("Juniper", "\\ud83d\\ude97"))
    for command in ("sheet", "card"):
        done = shell(tmp_path, command, str(journal), "-o", "-", PYTHONIOENCODING="ascii")
        assert (done.returncode, done.stderr) == (0, b""), command


def test_a_file_name_that_is_no_text(tmp_path: Path) -> None:
    name = os.fsdecode(b"caf\xe9\x1b[31m.yaml")
    (tmp_path / name).write_text(BAD)
    for how in ([], ["--json"]):
        done = shell(tmp_path, "judge", *how, name)
        assert (done.returncode, done.stderr) == (1, b"")
        assert b"\x1b" not in done.stdout
    assert json.loads(done.stdout)["would_fail"] is True


# bad input ------------------------------------------------------------------------------

TREAD = "answers:\n  tread_depth:\n    all: {}\n"
CONTEXT = '{"kind":"context","today":"2026-01-01","ruleset":"gb-cars"}\n'


def said(question: str, answer: str, at: str = "") -> str:
    return f'{{"kind":"said","turn":1,"question":"{question}","at":"{at}","answer":{answer}}}\n'


GOOD = '{"kind":"said","turn":1,"question":"fuel","answer":{"word":"petrol"}}\n'
BAD_FILES: dict[str, tuple[str | bytes, str]] = {
    "empty": (b"", "is empty."),
    "blank": ("\n \n\t\n", "is empty."),
    "garbage": (random.Random(7).randbytes(1_000_000), "line 1: this is not UTF-8 text."),
    "letters": ("%{]@`&!" * 150_000, "line 1: this is not correct YAML: "),
    "brackets": ("[" * 1_000_000, "line 1: this is not correct YAML: "),
    "not utf-8": (b"car:\n  fuel: petrol\nname: caf\xe9\n", "line 3: this is not UTF-8 text."),
    "a list": ("- a\n- b\n", "line 1: an answers file starts with names such as"),
    "a word": ("hello\n", "an answers file starts with names such as"),
    "not yaml": ("car:\n  fuel: petrol: diesel\n", "line 2: this is not correct YAML: "),
    "two documents": ("car: {}\n---\ncar: {}\n", "line 2: this is not correct YAML: "),
    "half a json": ('{"car": {"fuel": "petrol"\n', "line 2: this is not correct YAML: "),
    "half a record": (CONTEXT[:30], "line 1: "),
    "no context": (GOOD + GOOD, "line 1: there is no part 'kind' in an answers file."),
}
"""Files in which nothing can be used, and what is said of them."""

FAULTY: dict[str, tuple[str, str]] = {
    "nan": (TREAD.format("NaN"), 'line 3: tread_depth: "nan" is not a number I can take'),
    ".nan": (TREAD.format(".nan"), "line 3: tread_depth: "),
    "inf": (TREAD.format(".inf"), "line 3: tread_depth: "),
    "1e999": (TREAD.format("1e999"), 'line 3: tread_depth: "1e999" is not a number I can take'),
    "many digits": (TREAD.format("9" * 5000), "line 3: tread_depth: "),
    "negative": (TREAD.format("-3 mm"), "line 3: tread_depth: Tread depth: -3 mm is less than"),
    "160 mm": (TREAD.format("160 mm"), "Did you mean 1.6 mm?"),
    "no unit": (TREAD.format("3 parsecs"), 'line 3: tread_depth: "parsecs" is no unit I know'),
    "question": ("answers:\n  brake_fluid_levle: low\n", "line 2: there is no question "
                 "'brake_fluid_levle'. Did you mean 'brake_fluid_level'?"),
    "part": ("answers:\n  tread_depth:\n    front middle: 3\n", "line 3: there is no part "),
    "part after @": ("answers:\n  tread_depth@spare: 3\n", "line 2: there is no part 'spare'"),
    "section": ("anwsers:\n  fuel: petrol\n", "line 1: there is no part 'anwsers' in an answers "
                "file. Did you mean 'answers'?"),
    "list for one": ("car:\n  fuel: [petrol, diesel]\n", "line 2: fuel takes one answer, not a"),
    "list of nothing": ("car:\n  kit: [null]\n", "line 2: kit: each item of the list needs"),
    "list of lists": ("car:\n  kit: [[torch]]\n", "line 2: kit: each item of the list needs"),
    "no parts": ("answers:\n  tread_depth: 3\n", "line 2: tread_depth needs one answer a part"),
    "parts": ("car:\n  fuel:\n    all: petrol\n", "line 2: fuel has one answer for the whole car"),
    "too deep": (TREAD.format("{x: {y: 3}}"), "line 3: tread_depth: the answer has more parts"),
    "far too deep": ("answers:\n" + "".join(" " * i + "a:\n" for i in range(1, 60)), "too deeply"),
    "twice": ("car:\n  fuel: diesel\n  fuel: petrol\n", "line 3: 'fuel' stands here twice"),
    "twice in json": ('{"car": {"fuel": "diesel", "fuel": "petrol"}}', "line 1: 'fuel' stands "),
    "twice in two ways": ("answers:\n  tread_depth@rear nearside: 3\n  tread_depth:\n    all: 4\n",
                          "line 4: tread_depth: rear_nearside is answered twice"),
    "under car and answers": ("car:\n  fuel: diesel\nanswers:\n  fuel: petrol\n",
                              "line 4: fuel is answered twice"),
    "alias": ("x: &a [1]\ny: *a\n", "is used again by an alias"),
    "bomb": ("a: &a [1,1]\n" + "".join(
        f"{b}: &{b} [{','.join(['*' + a] * 9)}]\n" for a, b in zip("abcdefghij", "bcdefghijk",
        strict=True)), "is used again by an alias"),
    "itself": ("car: &a\n  fuel: *a\n", "is used again by an alias"),
    "a list as name": ("? [a, b]\n: c\n", "line 1: a name is one line of plain words"),
    "car is a list": ("car: [a, b]\n", "line 1: car: needs question names with answers under it."),
    "answers is a word": ("answers: hello\n", "line 1: answers: needs question names"),
    "name is a list": ("name: [a]\n", "line 1: name: needs one line of plain words."),
    "ruleset is a list": ("ruleset: [a]\n", "line 1: ruleset: needs one line of plain words."),
    "control": ("car:\n  fuel: petrol\nname: a\x1b[31m\n", "line 3: a control character stands"),
    "day": ("today: 9999-99-99\n", "line 1: today: '9999-99-99' is not a date such as"),
    "day is a list": ("today: [1]\n", "line 1: today: this is not a date such as"),
    "in the future": ("today: 2026-01-01\ncar:\n  first_used: 2090\n", "line 3: first_used: "),
    "before cars": ("car:\n  first_used: 12 March 0003\n", "line 2: first_used: "),
    "earlier": ("earlier: [a]\n", "line 1: earlier: needs a date: and answers: under it."),
    "earlier undated": ("earlier:\n  answers:\n    fuel: petrol\n", "line 1: earlier: needs a"),
    "earlier is later": ("today: 2026-01-01\nearlier:\n  date: 2027-01-01\n  answers: {}\n",
                         "line 2: earlier: needs a date such as 2025-03-31, not later"),
    "not this car": ("car:\n  fuel: electric only\nanswers:\n  servo_dip: it hardly moves\n",
                     "line 4: servo_dip does not concern this car"),
    "unsure": ("car:\n  fuel: maybe petrol\n", "line 2: fuel: 'maybe petrol' may mean 'petrol'"),
    "torn record": (CONTEXT + GOOD + GOOD[:20], "line 3: this line is not an entry of a record."),
    "corrupt record": (CONTEXT + "x\x00y\n" + GOOD, "line 2: this line is not an entry"),
    "record out of order": (CONTEXT + GOOD.replace("1", "5") + GOOD, "line 3: this entry is out"),
    "record, no question": (CONTEXT + said("gone\\u001b", '{"word":"yes"}'), "line 2: there is "),
    "record, no part": (CONTEXT + said("horn_sound", '{"state":"dont_know"}', "left"),
                        "line 2: horn_sound has no part 'left'"),
    "record, no such choice": (CONTEXT + said("brake_fluid_level", '{"word":"purple"}'),
                               "line 2: brake_fluid_level: this cannot be an answer"),
    "record, another kind": (CONTEXT + said("brake_fluid_level", '{"lo":3,"hi":3}'),
                             "line 2: brake_fluid_level: this cannot be an answer"),
    "record, no pick": (CONTEXT + said("kit", '{"words":["torch","axe"]}'), "line 2: kit: this "),
    "record, no date": (CONTEXT + said("first_used", '{"lo":-5,"hi":-5}'), "line 2: first_used: "),
    "record, negative": (CONTEXT + said("tread_depth", '{"lo":-5,"hi":-5}', "rear_nearside"),
                         "line 2: tread_depth: this cannot be an answer"),
    "record, nan": (CONTEXT + said("tread_depth", '{"lo":NaN,"hi":NaN}', "rear_nearside"),
                    "line 2: this line is not an entry"),
    "record, not fitted": (CONTEXT + said("fuel", '{"state":"not_fitted"}'), "line 2: fuel: this "),
}  # fmt: skip
"""Files with one mistake, and what is said of it; the rest of the file still counts."""


def test_what_cannot_be_an_answer_puts_no_danger_away(sidelight: Sidelight, tmp_path: Path) -> None:
    """A record with a torn word in a later line: the answer before it still counts."""
    low = said("brake_fluid_level", '{"word":"empty"}')
    torn = said("brake_fluid_level", '{"word":"purple"}').replace('"turn":1', '"turn":2')
    (tmp_path / "torn.jsonl").write_text(CONTEXT + low + torn)
    (tmp_path / "whole.jsonl").write_text(CONTEXT + low)
    ran = sidelight("judge", "--json", "torn.jsonl", "whole.jsonl")
    assert "line 3: brake_fluid_level: this cannot be an answer" in ran.err
    first, second = ran.rows
    assert first["findings"] == second["findings"] and first["drive"] == second["drive"]
    assert any(f["urgency"] == "do_not_drive" for f in first["findings"])


@pytest.mark.parametrize("name", BAD_FILES)
def test_a_file_of_no_use(sidelight: Sidelight, tmp_path: Path, name: str) -> None:
    given, words = BAD_FILES[name]
    raw = given if isinstance(given, bytes) else given.encode()
    (tmp_path / "bad.yaml").write_bytes(raw)
    (tmp_path / "good.yaml").write_text(BAD)
    ran = sidelight("judge", "--json", "bad.yaml", "good.yaml")
    assert ran.code == 2
    assert words in ran.err and len(ran.err) < 2000
    assert "bad.yaml" in ran.err and "\x1b" not in ran.err
    assert ran.rows[-1]["would_fail"] is True


@pytest.mark.parametrize("name", FAULTY)
def test_a_faulty_file(sidelight: Sidelight, tmp_path: Path, name: str) -> None:
    text, words = FAULTY[name]
    (tmp_path / "bad.yaml").write_text(text)
    ran = sidelight("judge", "--json", "bad.yaml")
    assert ran.code == 2
    assert words in ran.err
    assert "\x1b" not in ran.err + ran.out
    (row,) = ran.rows
    assert "drive" in row or "ruleset" not in row
    faults = row["input_faults"]
    assert isinstance(faults, list) and faults
    assert any(fault["line"] for fault in faults)
    assert len({(f["line"], f["text"]) for f in faults}) == len(faults), "said twice"
    assert sidelight("judge", "bad.yaml").code == 2


NO_ROOM = ("answers is a word", "far too deep")
YAML = [n for n in FAULTY if FAULTY[n][0][0] not in "{?" and n not in NO_ROOM]


@pytest.mark.parametrize("name", YAML)
def test_a_fault_loses_nothing_else(sidelight: Sidelight, tmp_path: Path, name: str) -> None:
    text, wet = FAULTY[name][0], "answers:\n  wheel_wet@rear nearside: yes\n"
    start = re.compile("^answers:\\n", re.M)
    text = start.sub(wet, text) if start.search(text) else text + wet
    (tmp_path / "bad.yaml").write_text(text)
    ran = sidelight("judge", "--json", "bad.yaml")
    assert ran.code == 2
    assert ran.rows[0]["drive"]["urgency"] == "do_not_drive"  # type: ignore[index]


def test_a_good_file_says_nothing(sidelight: Sidelight, tmp_path: Path) -> None:
    """Bare yes and no, true and false, nothing at all, byte order mark, emoji, CRLF."""
    text = (
        "\ufeffname: Juniper \U0001f697\n"
        "car:\n  fuel: ~\n  kit: []\n  body: null\n  first_used:\n"
        "answers:\n  wheel_wet:\n    rear nearside: no\n    front nearside: yes\n"
        "    rear offside: false\n    front offside: True\n  horn_sound: Null\n"
    )
    (tmp_path / "good.yaml").write_bytes(text.replace("\n", "\r\n").encode())
    ran = sidelight("judge", "--json", "good.yaml")
    assert (ran.code, ran.err) == (1, "")
    (row,) = ran.rows
    assert row["car"] == "Juniper \U0001f697"
    wet = {f["at"] for f in row["findings"] if f["urgency"] == "do_not_drive"}  # type: ignore[attr-defined]
    assert wet == {"front_nearside", "front_offside"}
    assert {a["question"] for a in row["about_the_car"]} == {"kit"}  # type: ignore[attr-defined]


ESCAPES = "\x1b[31m\x07\x9b2J\u202e"


def test_no_escape_reaches_a_terminal_or_a_sheet(sidelight: Sidelight, tmp_path: Path) -> None:
    """In the name, in words that are kept, and in a record made by hand."""
    yaml = (
        'name: "\\e[31mRed\\a\\x9b2J\\u202e"\n'
        'answers:\n  "wheel_wet@rear nearside": "\\e[31myes\\a"\n  "no\\e[31mpe": yes\n'
    )
    (tmp_path / "a.yaml").write_text(yaml)
    quoted = json.dumps(ESCAPES)[1:-1]
    record = CONTEXT.replace("{", f'{{"car":"Red{quoted}",', 1) + said(
        "wheel_wet", '{"word":"yes"}', "rear_nearside"
    ).replace("{", f'{{"words":"yes{quoted}","when":"now{quoted}",', 1)
    (tmp_path / "r.jsonl").write_text(record)
    for name in ("a.yaml", "r.jsonl"):
        for how in ([], ["--json"]):
            ran = sidelight("judge", *how, name)
            assert ran.code == (2 if name == "a.yaml" else 1)
            assert not set("\x1b\x07\x9b") & set(ran.out + ran.err)
    for command in (["sheet"], ["sheet", "--format", "md"], ["sheet", "--format", "json"],
                    ["card"], ["card", "--format", "html"]):  # fmt: skip
        out = sidelight(*command, "r.jsonl", "-o", "-").out
        assert "Red" in out
        assert not set("\x1b\x07\x9b") & set(out), command


def test_the_talk_shows_no_escapes_of_a_record(sidelight: Sidelight, tmp_path: Path) -> None:
    quoted = json.dumps(ESCAPES)[1:-1]
    folder = tmp_path / "records" / "red"
    folder.mkdir(parents=True)
    (folder / "1.jsonl").write_text(
        CONTEXT.replace("{", f'{{"car":"Red{quoted}",', 1)
        + said("wheel_wet", '{"word":"yes"}', "rear_nearside").replace(
            "{", f'{{"words":"yes{quoted}",', 1
        )
    )
    (folder / "2.jsonl").write_text(f"{quoted}\x1b[31m\n")
    ran = sidelight("--plain", stdin=b"yes\nfound\n1\nnone\nwrong\nnone\nstop\n")
    assert ran.code == 0 and "Red" in ran.out
    assert not set("\x1b\x07\x9b\u202e") & set(ran.out + ran.err)


def test_a_record_that_does_not_fit_its_questions_does_not_end_the_talk(
    sidelight: Sidelight, tmp_path: Path
) -> None:
    folder = tmp_path / "records" / "red"
    folder.mkdir(parents=True)
    for number, answer in enumerate(
        ['"fuel","answer":{"word":"steam"}', '"first_used","answer":{"lo":-5,"hi":-5}',
         '"brake_fluid_level","answer":{"lo":3,"hi":3}', '"gone","answer":{"word":"yes"}'],
    ):  # fmt: skip
        (folder / "1.jsonl").write_text(
            CONTEXT + f'{{"kind":"said","turn":{number + 1},"question":{answer}}}\n'
        )
        ran = sidelight("--plain", stdin=b"yes\nfound\nwrong\nnone\nwhat if it was 2\nstop\n")
        assert ran.code == 0, (answer, ran.err)
        assert sidelight("sheet", folder / "1.jsonl", "-o", "-").code in (0, 2)
        assert sidelight("card", folder / "1.jsonl", "-o", "-").code in (0, 2)


# records of other rules -----------------------------------------------------------------


def of_other_rules(path: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    """A copy of a demo with each of its lines changed."""
    rows = [json.loads(line) for line in WET.read_text().splitlines()]
    for row in rows:
        change(row)
    path.write_text("".join(json.dumps(row) + "\n" for row in rows))
    return path


@pytest.mark.parametrize("how", [(), ("--sheet", "--answers", "-o", "-")])
@pytest.mark.parametrize(
    ("change", "rules", "said"),
    [
        ({"digest": "0" * 64}, "gb-cars", "The rules have changed since it was made."),
        ({"at": "no_such_part"}, "gb-cars", "Left out, as it does not fit these rules:"),
        ({"answer": {"word": "nonsense"}}, "gb-cars", "Left out, as it does not fit these rules:"),
        ({"question": "no_such_question"}, "gb-cars", "Left out, as it does not fit these rules:"),
        ({}, "eu-directive", "It was made with the ruleset gb-cars"),
    ],
)
def test_a_record_of_other_rules_can_be_taught(
    sidelight: Sidelight,
    tmp_path: Path,
    how: tuple[str, ...],
    change: dict[str, Any],
    rules: str,
    said: str,
) -> None:
    def changed(row: dict[str, Any]) -> None:
        row.update({key: value for key, value in change.items() if key in row})

    path = of_other_rules(tmp_path / "own.jsonl", changed)
    steps = b"on\njump 4\nknown\nlist\ntry yes\nlast\nplan\n"
    ran = sidelight("--plain", "teach", path, "--ruleset", rules, *how, stdin=steps)
    assert ran.code == 0 and "fault" not in ran.err
    assert how or said in " ".join(ran.out.split())


def test_a_ruleset_with_one_notice_can_be_walked(sidelight: Sidelight, tmp_path: Path) -> None:
    folder = tmp_path / "one"
    shutil.copytree(ROOT / "rulesets" / "eu-directive", folder)
    path = folder / "ruleset.yaml"
    text = path.read_text()
    first = re.search(r"^notices:\n(  - .*\n)(  - .*\n)+", text, re.M)
    assert first is not None
    path.write_text(text.replace(first[0], f"notices:\n{first[1]}"))
    for car in ([], ["--car", "Bus"]):
        ran = sidelight("--plain", *car, "--ruleset", folder, stdin=b"Bus\n2016\nstop\n")
        assert ran.code == 0, ran.err
        assert first[1].strip()[2:].strip("\"'")[:40] in " ".join(ran.out.split())


def test_rules_saved_while_they_are_checked_are_not_called_right(
    sidelight: Sidelight, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from assistant.authoring.check import run as checking

    folder = tmp_path / "tiny"
    shutil.copytree(TINY, folder)
    assert ", 0 problems." in sidelight("rules", "check", folder).out
    whole = checking.problems_of

    def saved(*given: Any) -> Any:
        (folder / "parts.yaml").write_text("questions: [\n")
        return whole(*given)

    monkeypatch.setattr(checking, "problems_of", saved)
    ran = sidelight("rules", "check", folder)
    assert ran.code == 2 and "problems." not in ran.out
    assert "A file of these rules was saved while they were checked." in ran.out
