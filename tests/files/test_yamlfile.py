"""YAML with line numbers: what is read, and what is said of files that are not YAML."""

import os
import random

import pytest
import yaml

from planner.core.errors import InputError
from planner.core.spelling import nearest
from planner.files import yamlfile
from planner.files.yamlfile import load

GOOD = """\
# a comment before all
title: "A shop: ours"   # and one behind
rail:
  - {lamb: 3 head,
     cost: 7/lb}
  - leg
when: 2026-11-30
no: 010
empty:
quoted: ''
"""


@pytest.fixture(params=["fast", "slow"], autouse=True)
def parser(request, monkeypatch):
    """Both parsers of PyYAML: builds without the C library have the slow one alone."""
    loader = yaml.CSafeLoader if request.param == "fast" else yaml.SafeLoader
    monkeypatch.setattr(yamlfile, "_LOADER", loader)


@pytest.fixture
def read(tmp_path):
    def read(content):
        path = tmp_path / "it.yaml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return load(path, "it.yaml")

    return read


def only_problem(read, content):
    with pytest.raises(InputError) as told:
        read(content)
    assert len(told.value.problems) == 1
    return told.value.problems[0]


def test_values_stay_the_texts_that_were_written(read):
    assert read(GOOD).data == {
        "title": "A shop: ours",
        "rail": [{"lamb": "3 head", "cost": "7/lb"}, "leg"],
        "when": "2026-11-30",
        "no": "010",
        "empty": None,
        "quoted": "",
    }


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines(read, ending):
    document = read(GOOD.replace("\n", ending))
    assert document.line(("title",)) == 2
    assert document.line(("rail", 0)) == 4
    assert document.line(("rail", 0, "cost")) == 5
    assert document.line(("rail", 0, "arrives")) == 4, "missing: the place around it"
    assert document.line(("rail", 1)) == 6
    assert document.line(("when",)) == 7
    assert document.line(()) == 2


def test_a_byte_order_mark_is_no_part_of_the_first_key(read):
    assert read(b"\xef\xbb\xbftitle: x\n").data == {"title": "x"}


def test_every_repeated_key_is_told_with_both_lines(read):
    document = read("a: 1\nb: {c: 1, c: 2}\na:\n  d: 1\n  d: 2\nb: 3\n")
    assert [(each.line, each.message) for each in sorted(document.problems)] == [
        (2, '"c" is listed twice (first on line 2)'),
        (3, '"a" is listed twice (first on line 1)'),
        (5, '"d" is listed twice (first on line 4)'),
        (6, '"b" is listed twice (first on line 2)'),
    ]
    assert document.data == {"a": "1", "b": {"c": "1"}}
    assert (
        document.has_repeats(())
        and document.has_repeats(("b",))
        and not document.has_repeats(("a",))
    )


def test_what_was_found_before_a_syntax_error_is_told_with_it(read):
    with pytest.raises(InputError) as told:
        read("a: 1\na: 2\nb: [\n\n")
    assert [each.line for each in told.value.problems] == [2, 3]


@pytest.mark.parametrize(
    ("content", "line", "words"),
    [
        # tabs
        ("a:\n\tb: 1\n", 2, "a tab at the start of the line: indent with spaces"),
        ("a:\n  b: 1\n\tc: 1\n", 3, "a tab at the start of the line"),
        ("a:\n  - b\n  \t- c\n", 3, "a tab at the start of the line"),
        # a colon that is missing, or has no space behind it
        ("a: 1\ndays 6\nb: 3\n", 2, "a colon is missing"),
        ("a: 1\nb: 3\ndays 6\n", 3, "a colon is missing"),
        ("days 6\nb: 3\n", 1, "a colon is missing"),
        ("a:\n  price 6\n  # a remark: with a colon\n\n  want: 3\n", 2, "a colon is missing"),
        ("b: 2\na:1\nc: 3\n", 2, "a colon is missing"),
        ("demand\n  leg: 3\n", 1, "a colon is missing"),
        # a colon too many
        ("a: 1\ntitle: A week: the first\n", 2, "text that has a colon in it in quotes"),
        # indentation
        ("a:\n  b: 1\n   c: 2\n", 3, "how far this line and the one before are indented"),
        ("a:\n    b:\n      c: 1\n   d: 2\n", 4, "how far it is indented"),
        ("a:\n  - b: 1\n - c: 2\n", 3, "how far it is indented"),
        ("a:\n  - b: 1\n  -c: 2\n", 3, "a space is missing after the dash"),
        # quotes left open
        ('a: 1\nb: "x\nc: 2\n', 2, "a quote is opened here"),
        ("a: 1\nb: 'x\nc: 2\n", 2, "a quote is opened here"),
        ('a: "x\nb: 2\nc: "y"\nd: "z"\n', 1, "a quote is opened here"),
        ('a: {i: "207, k: 2}\nb: {i: "208", k: 2}\n', 1, "a quote is opened here"),
        # brackets
        ("a: 1\nb: {x: 1\nc: 2\nd: 3\n", 2, "a bracket is opened here and not closed"),
        ("a: 1\nb: [x, y\n", 2, "a closing bracket is missing"),
        ("a: 1\nb: {x: 1}}\nc: 2\n", 2, "one closing bracket too many"),
        ("a: 1\nb: {x: 1 y: 2}\n", 2, "a comma, a colon or a closing bracket is missing"),
        # signs with a meaning of their own
        ("a: 1\nb: @home\n", 2, "put the value in quotes"),
        ("a: 1\nb: %5\n", 2, "put the value in quotes"),
        ('a: 1\nb: "C:\\x"\n', 2, "backslash"),
    ],
)
def test_syntax_errors_are_told_in_words_on_the_line_to_look_at(read, content, line, words):
    problem = only_problem(read, content)
    assert (problem.file, problem.line) == ("it.yaml", line)
    assert problem.message.startswith("not YAML here: ")
    assert words in problem.message


@pytest.mark.parametrize(
    ("content", "line", "words"),
    [
        ("", 0, "the file is empty"),
        ("# nothing but a remark\n", 0, "the file is empty"),
        ("---\n", 0, "the file is empty"),
        ("- a\n- b\n", 1, "`title: My shop` are needed at the top"),
        ("only words\n", 1, "are needed at the top"),
        ("a: 1\n---\nb: 2\n", 2, "a second document"),
        ("a: &x 1\n", 1, "anchors (`&name`) are not used"),
        ("a: 1\nb: *x\n", 2, "aliases (`*name`) are not used"),
        ("a: 1\nb: !!python/object:os.system 1\n", 2, "tags"),
        ("a: 1\n? [b, c]\n: 2\n", 2, "a name is expected before the colon"),
        ("a: " + "[" * 40 + "]" * 40, 1, "nested too deep"),
        (b"a: 1\nb: caf\xe9\n", 2, "not text (UTF-8)"),
        ("a: 1\n".encode("utf-16"), 1, "not text (UTF-8)"),
        (bytes(random.Random(1).randbytes(2000)), 1, "not text (UTF-8)"),
        ("é: ééé\nb: x\x00y\n", 2, "(U+0000)"),
        ("a: 1\nb: x\x1b[31my\n", 2, "(U+001B)"),
        ("a: 1\n\nb: x\u2028y\n", 3, "(U+2028)"),
        ('a: 1\nb: "x\\e[2J"\n', 2, "(U+001B)"),
        ('a: 1\n"b\\0": 1\n', 2, "(U+0000)"),
    ],
)
def test_files_that_will_not_do(read, content, line, words):
    problem = only_problem(read, content)
    assert (problem.file, problem.line) == ("it.yaml", line)
    assert words in problem.message


@pytest.mark.parametrize("escape", ["\\ud800", "\\UFFFFFFFF"])
def test_escapes_of_characters_that_do_not_exist(read, escape):
    assert only_problem(read, f'a: 1\nb: "{escape}"\n').message


def test_what_cannot_be_opened(tmp_path):
    for path, words in [
        (tmp_path, "a folder"),
        (tmp_path / "missing.yaml", "no such file"),
        (tmp_path / ("x" * 5000), "File name too long"),
        (tmp_path / "nul\0byte", "no such file"),
    ]:
        with pytest.raises(InputError) as told:
            load(path, "it.yaml")
        assert words in str(told.value)


def test_a_file_without_permission(tmp_path, monkeypatch):
    def refuse(path, mode):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "it.yaml").write_text("a: 1")
    monkeypatch.setattr("pathlib.Path.open", refuse)
    with pytest.raises(InputError, match=r"it\.yaml: cannot be read: Permission denied"):
        load(tmp_path / "it.yaml", "it.yaml")


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="a pipe, not a file"):
        load(tmp_path / "pipe", "pipe")


def test_two_megabytes_are_the_most(read):
    remark = "#" * (yamlfile.MOST_BYTES - len("a: 1\n"))
    assert read("a: 1\n" + remark).data == {"a": "1"}
    assert "larger than 2 MB" in only_problem(read, "a: 1\n#" + remark).message


def test_a_message_is_one_printable_line_however_strange_what_it_quotes(read):
    document = read("a: 1\n")
    document.fault(("a",), 'cannot read "x\n\x1b[2J' + "y" * 5000 + '"; write 6 lb')
    message = document.problems[0].message
    assert message.isprintable()
    assert len(message) < 320
    assert message.startswith('cannot read "x \\u001b[2J') and message.endswith("; write 6 lb")


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("lion chops", '; did you mean "loin chops"?'),
        ("LOIN CHOPS", '; did you mean "loin chops"?'),
        ("trim 58", '; did you mean "Trim 85"?'),
        ("xylophone", ""),
        ("", ""),
    ],
)
def test_nearest_word(word, told):
    assert nearest(word, ["loin chops", "Trim 85", "rack"]) == told


def test_faults_and_doubts(read):
    document = read("a:\n  b: 1\n  c: 2\n")
    document.fault(("a", "b"), "wrong")
    document.doubt(("a", "c"))
    assert (
        document.unsure_within(())
        and document.unsure_within(("a",))
        and document.unsure_within(("a", "c"))
    )
    assert document.unsure_at(("a", "c")) and not document.unsure_at(("a",))
    assert document.blamed_around(("a", "b", "deeper")) and not document.blamed_around(("a", "c"))
    assert [str(each) for each in document.problems] == ["it.yaml:2: wrong"]
