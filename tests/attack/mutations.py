"""Files spoilt at random: as a tired person, a broken program or an enemy would spoil them."""

from __future__ import annotations

import csv
import io
import re
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from random import Random

import yaml

from tests.files.test_fuzz import ODD_VALUES, mutated

# What steers a terminal, turns a line around or cannot be seen, put into names and cells.
SIGNS = [
    "\x1b[2J", "\x1b]0;owned\x07", "\x9b31m", "\r", "\x08\x08", "\x00", "\x7f", "\u202e", "\u2066",
    "\u200b", "\u200d", "\u2060", "\ufeff", "\U000e0041\U000e0042",
    "\u2028", "\x85", "\ud800", "\n",
]  # fmt: skip
CELLS = [
    "9" * 400, "0." + "0" * 300 + "1", "35.98 days", "20.29 EUR", "25:99", "-0", "1e400",
    "nan", "inf",
    "0.0000009 lb", "99999999999 lb", "1,000,000.00", "1.000.000,00", "1/2/3", "31.2.2026",
    "2026-02-30", "0000-00-00", "9999-12-31", "=1+1", "@SUM(A1)", "\t", '"', "''", "½ lb", "٣ lb",
    "3 lb 4 oz 5", "yes", "TRUE", "#REF!", "1 at", "at 1", "each", "lb", "kg", " ", "",
]  # fmt: skip
MANY = 100_000

Mutation = Callable[[str, Random], "str | bytes"]


def spoil(path: Path, pick: Random) -> str:
    """Spoil a file once or more; return what was done, in a few words."""
    if path.suffix == ".db":
        return _spoil_journal(path, pick)
    mutations = CSV_MUTATIONS if path.suffix == ".csv" else YAML_MUTATIONS
    done = []
    for _ in range(pick.choice([1, 1, 1, 2, 3])):
        mutation = pick.choices([each for each, _ in mutations], [often for _, often in mutations])[
            0
        ]
        text = path.read_bytes().decode("utf-8", "replace")
        made = mutation(text, pick) if len(text.strip()) > 3 else text
        if isinstance(made, str):
            made = made.encode("utf-8", "surrogatepass")
        path.write_bytes(made)
        done.append(mutation.__name__.strip("_"))
        if b"\xff" in made[:3] or len(made) > 10**6:
            break
    return ", ".join(done)


# ---- YAML ----


def _slip(text: str, pick: Random) -> str | bytes:
    with suppress(IndexError):  # there is nothing of the kind left in it
        return mutated(text, pick)
    return text


def _renamed(text: str, pick: Random) -> str:
    """Call something by a name with a sign that should not be there, wherever it stands."""
    name = pick.choice(re.findall(r"[a-z][a-z ]+[a-z0-9]", text) or ["x"])
    at = pick.randrange(len(name) + 1)
    new = name[:at] + pick.choice(SIGNS) + name[at:]
    escaped = "".join(sign if 31 < ord(sign) < 127 else f"\\U{ord(sign):08x}" for sign in new)
    return re.sub(rf"(?<![\w\"]){re.escape(name)}(?![\w\"])", lambda _: f'"{escaped}"', text)


def _another_value(text: str, pick: Random) -> str:
    value = pick.choice([*CELLS, *ODD_VALUES])
    return _in_tree(text, pick, lambda parent, key: parent.__setitem__(key, value))


def _another_key(text: str, pick: Random) -> str:
    def rename(parent: dict | list, key: object) -> None:
        if isinstance(parent, dict):
            parent[pick.choice([*CELLS, *SIGNS, "keeps", "wants", "lion chops"])] = parent.pop(key)

    return _in_tree(text, pick, rename)


def _left_out(text: str, pick: Random) -> str:
    return _in_tree(text, pick, lambda parent, key: parent.pop(key))


def _part_put_elsewhere(text: str, pick: Random) -> str:
    places = _places(_tree(text))
    if not places:
        return text
    other = pick.choice(places)
    return _in_tree(text, pick, lambda parent, key: parent.__setitem__(key, other[0][other[1]]))


def _very_many(text: str, pick: Random) -> str:
    """Fill a list or a map with 100,000 things more."""
    small = pick.choice([{}, [], "", "x", {"lamb": "3 head at 58 lb"}, {"goat": "1 head at 40 lb"}])

    def fill(parent: dict | list, key: object) -> None:
        if isinstance(parent[key], dict):
            parent[key] = {**parent[key], **{f"lion chops {n}": small for n in range(MANY)}}
        else:
            parent[key] = [small] * MANY

    return _in_tree(text, pick, fill, flow=True)


def _halved_again_and_again(text: str, pick: Random) -> str:
    """Have a piece cut into two halves, those into two, and so forth: 2^40 pieces in the end."""
    steps = pick.choice([20, 40, 200])

    def halve(parent: dict, key: object) -> None:
        pieces, cut = parent["pieces"], next(iter(parent["cuts"]))
        pieces[parent["root"]]["ways"]["halve"] = {"gives": {"half 0": "2 at 50%"}}
        for n in range(steps):
            gives = {f"half {n + 1}": "2 at 50%"} if n + 1 < steps else {cut: "100%"}
            pieces[f"half {n}"] = {"keeps": "5 days", "ways": {"halve": {"gives": gives}}}

    tree = _tree(text)
    if isinstance(tree, dict) and {"pieces", "cuts", "root"} <= tree.keys():
        with suppress(TypeError, KeyError, StopIteration):
            halve(tree, None)
    return _dump(tree)


def _tiny_in_thousands(text: str, pick: Random) -> str:
    """Wants of next to nothing at prices of a fortune, or the other way round."""
    low, high = pick.choice(["0.0000009", "0.01", "1e-9"]), pick.choice(["100000", "9999999"])
    one, other = pick.choice([(low, high), (high, low), (low, low), (high, high)])
    text = re.sub(r"price: [\d.]+/", f"price: {one}/", text, count=pick.choice([1, 0]))
    return re.sub(r"(want: |(?:mon|fri|sat): )[\d.]+ lb", rf"\g<1>{other} lb", text)


def _in_tree(
    text: str, pick: Random, change: Callable[[dict | list, object], object], flow: bool = False
) -> str:
    tree = _tree(text.encode("utf-8", "replace").decode())
    places = _places(tree)
    if flow:
        places = [(part, key) for part, key in places if isinstance(part[key], (dict, list))]
    if places:
        change(*pick.choice(places))
    return _dump(tree, flow)


def _tree(text: str) -> object:
    try:
        return yaml.load(text, yaml.CBaseLoader)
    except (yaml.YAMLError, UnicodeError, ValueError):
        return {}


def _dump(tree: object, flow: bool = False) -> str:
    form = {"sort_keys": False, "default_flow_style": flow, "width": 10**9}
    try:
        return yaml.dump(tree, Dumper=_Dumper, **form)
    except UnicodeEncodeError:  # half a surrogate, which libyaml does not write
        return yaml.dump(tree, **form)


class _Dumper(yaml.CSafeDumper):
    """Writes parts that stand in two places twice."""

    def ignore_aliases(self, data: object) -> bool:
        return True


def _places(tree: object) -> list[tuple[dict | list, object]]:
    """Every part of a tree, as what it stands in and its key there."""
    found: list[tuple[dict | list, object]] = []
    parts = [tree]
    while parts:
        part = parts.pop()
        keys = (
            part if isinstance(part, dict) else range(len(part)) if isinstance(part, list) else ()
        )
        for key in list(keys):
            found.append((part, key))
            parts.append(part[key])
    return found


YAML_MUTATIONS: list[tuple[Mutation, float]] = [
    (_slip, 30),
    (_renamed, 20),
    (_another_value, 20),
    (_another_key, 10),
    (_left_out, 6),
    (_part_put_elsewhere, 6),
    (_tiny_in_thousands, 4),
    (_halved_again_and_again, 3),
    (_very_many, 1),
]


# ---- CSV ----


def _table(text: str) -> list[list[str]]:
    with suppress(csv.Error):
        return [row for row in csv.reader(io.StringIO(text.replace("\x00", ""))) if row]
    return []


def _written(rows: list[list[str]], delimiter: str = ",") -> str:
    made = io.StringIO()
    csv.writer(made, delimiter=delimiter).writerows(rows)
    return made.getvalue()


def _cell(text: str, pick: Random) -> str:
    rows = _table(text)
    if rows:
        row = pick.choice(rows)
        row[pick.randrange(len(row))] = pick.choice(CELLS)
    return _written(rows)


def _signs(text: str, pick: Random) -> str:
    """Put a sign that should not be there into a head or a cell."""
    rows = _table(text)
    if rows:
        row = pick.choice([rows[0], pick.choice(rows)])
        cell = pick.randrange(len(row))
        at = pick.randrange(len(row[cell]) + 1)
        row[cell] = row[cell][:at] + pick.choice(SIGNS) + row[cell][at:]
    return _written(rows)


def _rows_moved(text: str, pick: Random) -> str:
    rows = _table(text)
    for row in pick.sample(rows, min(2, len(rows))):
        match pick.randrange(4):
            case 0:
                rows.remove(row)
            case 1:
                rows.append(row)
            case 2:
                row.append(pick.choice(CELLS))
            case _:
                row.pop()
    return _written([row for row in rows if row])


def _columns_moved(text: str, pick: Random) -> str:
    rows = _table(text)
    wide = min((len(row) for row in rows), default=0)
    if wide > 1:
        one, other = pick.sample(range(wide), 2)
        for row in rows[pick.choice([0, 1]) :]:
            row[one], row[other] = row[other], row[one]
    return _written(rows)


def _another_form(text: str, pick: Random) -> bytes:
    """Other separators, encodings and marks at the start of the file."""
    text = _written(_table(text), pick.choice(",;\t|"))
    if pick.random() < 0.3:
        text = text.replace(".", ",")
    encoding = pick.choice(
        ["utf-8", "utf-16", "utf-16-le", "utf-32", "cp1252", "cp037", "shift-jis"]
    )
    marks = pick.choice([b"", b"\xef\xbb\xbf", b"\xef\xbb\xbf" * 2, b"\xff\xfe", b"\xfe\xff"])
    return marks + text.encode(encoding, "replace")


def _very_many_rows(text: str, pick: Random) -> str:
    rows = _table(text)
    if len(rows) < 2:
        return text
    return _written(rows[:1] + [pick.choice(rows[1:])] * pick.choice([3_000, MANY]))


CSV_MUTATIONS: list[tuple[Mutation, float]] = [
    (_slip, 20),
    (_cell, 35),
    (_signs, 20),
    (_rows_moved, 8),
    (_columns_moved, 6),
    (_another_form, 10),
    (_very_many_rows, 1),
]


# ---- the journal ----


def _spoil_journal(path: Path, pick: Random) -> str:
    match pick.randrange(5):
        case 0:
            raw = bytearray(path.read_bytes())
            for _ in range(pick.choice([1, 1, 20, 500])):
                raw[pick.randrange(len(raw))] = pick.randrange(256)
            path.write_bytes(raw)
            return "bytes spoilt"
        case 1:
            raw = path.read_bytes()
            path.write_bytes(raw[: pick.choice([0, 1, 16, 100, 4096, pick.randrange(len(raw))])])
            return "cut off"
        case 2:
            raw = bytearray(path.read_bytes())
            at = pick.randrange(0, len(raw), 512)
            raw[at : at + 512] = pick.choice([bytes(512), pick.randbytes(512)])
            path.write_bytes(raw)
            return "a sector spoilt"
        case _:
            with closing(sqlite3.connect(path, isolation_level=None)) as journal:
                return _written_to(journal, pick)


def _written_to(journal: sqlite3.Connection, pick: Random) -> str:
    """Somebody else's program has written to the journal."""
    for (name,) in journal.execute(
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    ).fetchall():
        journal.execute(f'DROP TRIGGER "{name}"')
    tables = [
        name for (name,) in journal.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    ]
    tables = [name for name in tables if not name.startswith("sqlite_")]
    table = pick.choice(tables)
    columns = [row[1] for row in journal.execute(f'PRAGMA table_info("{table}")')]
    word = pick.choice(columns)
    value = pick.choice([None, -1, 0, 1e300, 2**62, "", b"\x00", *SIGNS[:9], *CELLS, "lamb bones"])
    if isinstance(value, str):
        value = value.encode("utf-8", "replace").decode()
    doing = {
        "a value": (f'UPDATE "{table}" SET "{word}" = ?', (value,)),
        "rows gone": (f'DELETE FROM "{table}" WHERE rowid % 2 = ?', (pick.randrange(2),)),
        "a table gone": (f'DROP TABLE "{table}"', ()),
        "another version": (f"PRAGMA user_version = {pick.choice([0, 1, 2, 99, 2**31 - 1])}", ()),
        "a column more": (f'ALTER TABLE "{table}" ADD COLUMN odd', ()),
    }
    what = pick.choices(list(doing), [12, 2, 1, 1, 1])[0]
    with suppress(sqlite3.Error):  # a rule of the table says no
        journal.execute("PRAGMA foreign_keys = OFF")
        journal.execute("PRAGMA ignore_check_constraints = ON")
        journal.execute(*doing[what])
    return f"{what} in {table}.{word}: {value!r:.60}"
