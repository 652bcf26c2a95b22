"""Whatever a file is, `check` is done with it in 5 s of processor time and 1 GB, in few words."""

import json
import os
import resource
import subprocess
import sys

import pytest

GIGABYTE = 2**30
MOST_SECONDS = 5
MOST_OUTPUT = 40_000

HEAD = "starts: 2026-11-30\ndays: 6\ncarry: 0%\nrecipes: [lamb]\n"
RECIPE = "species: goat\nroot: p0\n"


def limited():
    resource.setrlimit(resource.RLIMIT_AS, (GIGABYTE, GIGABYTE))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))


def check(*words):
    """What the program says of a file, and to which exit code, within the limits."""
    code = "from planner.commands.program import main; main()"
    run = subprocess.run(
        [sys.executable, "-c", code, "check", *map(str, words)],
        preexec_fn=limited,  # noqa: PLW1509
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,  # of the clock: the machine may be busy
    )
    assert run.returncode in (0, 2), (run.returncode, run.stderr[-500:])
    assert run.stderr == ""
    assert len(run.stdout) < MOST_OUTPUT
    return run.returncode, run.stdout


def chain(pieces):
    lines = [f"  p{n}: {{keeps: 1, ways: {{w: {{gives: {{p{n + 1}: 1 at 100%}}}}}}}}"
             for n in range(pieces)]  # fmt: skip
    end = f"  p{pieces}: {{keeps: 1, ways: {{w: {{gives: {{c: 100%}}}}}}}}"
    return "\n".join([f"{RECIPE}pieces:", *lines, end, "cuts: {c: {kind: chop, keeps: 1}}\n"])


LARGE = {
    "lots that are nothing": HEAD + f"rail: [{'{},' * 1_100_000}]\n",
    "two megabytes of one text": HEAD + f"title: {'x' * 1_900_000}\n",
    "two megabytes of blanks in a price": HEAD
    + f'disposal: "1{" " * 1_900_000}x"\n',
    "digits": HEAD + f"disposal: {'9' * 1_900_000}\n",
    "a lot of digits and blanks": HEAD + f'rail: [{{lamb: "1 {"a " * 900_000}"}}]\n',
    "deep": HEAD + "rail: " + "[" * 900_000 + "]" * 900_000 + "\n",
    "deep maps": HEAD + "rail: " + "{a: " * 400_000 + "\n",
    "anchors": HEAD + "rail:\n" + "".join(f"  - &a{n} {{lamb: 1}}\n" for n in range(90_000)),
    "aliases": HEAD + "rail: [&a {lamb: 1}, " + "*a, " * 400_000 + "]\n",
    "lines": "a: 1\n" * 390_000,
    "colons": ":" * 1_900_000,
    "quotes": '"' * 1_900_000,
    "binary": b"\x80\x00" * 900_000,
    "not UTF-8": HEAD.encode() + b"title: caf\xe9\n",
    "UTF-16": HEAD.encode("utf-16"),
    # as many names as a file may have
    "lots at the limit": HEAD + f"rail: [{'{},' * 49_900}]\n",
    "texts for lots": HEAD + f"rail: [{'x,' * 49_900}]\n",
    "misspelt cuts": HEAD
    + "demand:\n"
    + "".join(f"  lion chosp {n}: {{want: 1 lb}}\n" for n in range(24_000)),
    "misspelt keys": HEAD
    + "demand: {loin chops: {"
    + ", ".join(f"prise{n}: 1" for n in range(49_900))
    + "}}\n",
    "misspelt keys in many orders": HEAD
    + "demand:\n  loin chops:\n    price: 1\n    orders:\n"
    + "    - {dya: fri, amuont: 1 lb}\n" * 16_000,
    "misspelt days": HEAD
    + "demand: {loin chops: {price: 1, want: {"
    + ", ".join(f"frid{n}: 1" for n in range(49_900))
    + "}}}\n",
    "misspelt rules": HEAD + "rules:\n" + "- all sholder: chosp\n" * 24_000,
    "wrong ways": HEAD + "rules:\n" + "- all shoulder: chosp\n" * 24_000,
    "misspelt lots": HEAD + "rail:\n" + "- {lmab: 3 head at 58 lb}\n" * 24_000,
    "sound lots": HEAD + "rail:\n" + "- {lamb: 3 head at 58 lb}\n" * 24_000,
    "sound rules": HEAD
    + "rail: [{lamb: 9 head at 58 lb}]\nrules:\n"
    + "".join(f"- at most {n}1 leg: whole\n" for n in range(24_000)),
    "sound but early and heavy": HEAD
    + "demand: {loin chops: {price: 1, want: {mon: 1}}}\nrail:\n"
    + "- {lamb: 3 head at 580 lb, arrives: tue}\n" * 16_000,
    "sound orders": HEAD
    + "rail: [{lamb: 3 head at 58 lb}]\ndemand:\n  loin chops:\n    price: 1\n    orders:\n"
    + "    - {day: fri, amount: 1 lb}\n" * 16_000,
    "cuts that nobody makes": RECIPE
    + "pieces: {p0: {keeps: 1, ways: {w: {gives: {c: 100%}}}}}\n"
    + "cuts:\n  c: {kind: chop, keeps: 1}\n"
    + "".join(f"  cut {n}: {{kind: chop, keeps: 1}}\n" for n in range(16_000)),
    "pieces that nobody gives": RECIPE
    + "pieces:\n"
    + "".join(f"  p{n}: {{keeps: 1, ways: {{w: {{gives: {{c: 100%}}}}}}}}\n" for n in range(7_000))
    + "cuts: {c: {kind: chop, keeps: 1}}\n",
    "cuts that are not there": RECIPE
    + "cuts: {c: {kind: chop, keeps: 1}}\npieces:\n  p0: {keeps: 1, ways: {w: {gives: {\n"
    + ", ".join(f"cut {n}: 0.001%" for n in range(49_000))
    + "}}}}\n",
    "a long chain": chain(8_000),
    "a long loop": chain(8_000).replace("{c: 100%}", "{p0: 1 at 100%}"),
    "many ways": RECIPE
    + "pieces:\n  p0: {keeps: 1, ways: {\n"
    + ",\n".join(f"w{n}: {{gives: {{c: 100%}}}}" for n in range(16_000))
    + "}}\ncuts: {c: {kind: chop, keeps: 1}}\n",
    "many blends": RECIPE
    + "pieces: {p0: {keeps: 1, ways: {w: {gives: {t: 100%}}}}}\n"
    + "cuts: {t: {kind: trim, lean: 80%, keeps: 1}}\nblends:\n"
    + "".join(f"  b{n}: {{from: [t], keeps: 1, fat: 30%}}\n" for n in range(9_000)),
}  # fmt: skip


QUICK = ("misspelt cuts", "binary", "a long chain", "sound lots")


@pytest.mark.parametrize(
    "what",
    [each if each in QUICK else pytest.param(each, marks=pytest.mark.thorough) for each in LARGE],
)
def test_any_file(tmp_path, what):
    file = tmp_path / "week.yaml"
    text = LARGE[what]
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    code, out = check(file)
    assert out.startswith((str(file), f"warning: {file}"))
    if what.startswith("sound"):
        assert code == 0
    elif not what.startswith(("a long chain", "many")):
        assert code == 2


def test_what_is_beyond_the_limits_is_refused_in_one_line(tmp_path):
    file = tmp_path / "week.yaml"
    for text, told in (
        (HEAD + f"rail: [{'{},' * 50_000}]\n", "more than 50,000 names and values, the most a"),
        (HEAD + "# " + "x" * 2_000_000, "larger than 2 MB, the most a file may have"),
    ):
        file.write_text(text)
        code, out = check(file)
        assert code == 2
        first, second = out.splitlines()
        assert first.startswith(f"{file}: {told}")
        assert second == f"{file}: 1 fault"


def test_of_many_faults_fifty_are_told_and_the_others_counted(tmp_path):
    file = tmp_path / "week.yaml"
    file.write_text(HEAD + "".join(f"a{n}: 1\n" for n in range(1_234)))
    code, out = check(file)
    lines = out.splitlines()
    assert (code, len(lines)) == (2, 52)
    assert lines[0] == f'{file}:5: unknown key "a0"' + lines[0].split('"a0"')[1]
    assert lines[50:] == ["and 1,184 more", f"{file}: 1234 faults"]
    code, out = check(file, "--json")
    [told] = json.loads(out)["files"]
    assert (code, len(told["problems"]), told["not told"]) == (2, 50, 1_184)


def test_what_is_no_file(tmp_path):
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    for path, told in (
        (pipe, "a device or a pipe, not a file"),
        ("/dev/zero", "a device or a pipe, not a file"),
        (tmp_path, "this is a folder; name a file in it"),
        (tmp_path / "none.yaml", "no such file"),
    ):
        code, out = check(path)
        assert code == 2 and f"{path}: {told}" in out
