"""Orders written into a file: byte for byte what a careful hand would have put in, or nothing."""

import os
import re
import stat
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from planner.core.errors import InputError
from planner.core.name_rules import checked_text
from planner.files import write_order
from planner.files.asked_order import WrittenOrder, order_of, split_order, with_orders
from planner.files.find import shipped_folder, shipped_names
from planner.files.scenario_file import read_scenario
from planner.files.write_order import stop_unless_writable, write_orders
from tests.conftest import GOAT
from tests.files.test_scenario_file import HOG
from tests.two_measures import thorough

TOP = "starts: 2026-11-30\ndays: 6\nrecipes: [goat.yaml]\n"
INN = WrittenOrder("shoulder roast", "9 lb", "fri", "the inn")
NEW = "{day: fri, amount: 9 lb, for: the inn}"
OWN = "{day: fri, amount: 9 lb, for: the inn, price: 14.50/lb}"

# what is to be written stands between « and »
LAYOUTS = {
    "flow list": """\
demand:
  shoulder roast:
    price: 9
    orders: [{day: mon, amount: 1 lb}«, NEW»]   # kept
  bones: {price: 1, want: 1}
""",
    "flow list, comma at the end": """\
demand:
  shoulder roast:
    price: 9
    orders: [{day: mon, amount: 1 lb},« NEW»]
""",
    "flow list, comma and blanks at the end": """\
demand:
  shoulder roast: {price: 9, orders: [ {day: mon, amount: 1 lb} ,« NEW»  ] }
""",
    "empty list": "demand:\n  shoulder roast: {price: 9, orders: [«NEW»]}   # none yet\n",
    "empty list, wide": "demand:\n  shoulder roast:\n    price: 9\n    orders: [«NEW»  ]\n",
    "empty list, with a comment in it": """\
demand:
  shoulder roast:
    price: 9
    orders: [«NEW» # none yet
    ]
""",
    "flow list, one on a line": """\
demand:
  shoulder roast:
    price: 9
    orders: [
      {day: mon, amount: 1 lb},   # one
      {day: tue, amount: 1 lb}«,»    # two, and a } and a ]
                                  # and more of two
«      NEW
»    ]
    want: 3
""",
    "flow list, one on a line, commas at the end": """\
demand:
  shoulder roast:
    price: 9
    orders: [
      {day: mon, amount: 1 lb},   # one, two
«      NEW,
»    # the end of the list
    ]
""",
    "flow list, one on a line, bracket on the last": """\
demand:
  shoulder roast:
    price: 9
    orders: [{day: mon, amount: 1 lb},
             {day: tue, amount: 1 lb}«,
             NEW»]   # two
""",
    "flow list, one on a line, comma and bracket on the last": """\
demand:
  shoulder roast:
    price: 9
    orders: [{day: mon, amount: 1 lb},
             {day: tue, amount: 1 lb},«
             NEW,» ]
""",
    "flow list, comma on a line of its own": """\
demand:
  shoulder roast:
    price: 9
    orders: [
      {day: mon, amount: 1 lb}   # a comment, with a comma
      ,
«      NEW,
»    ]
""",
    "flow list, side by side over lines": """\
demand:
  shoulder roast:
    price: 9
    orders: [{day: mon, amount: 1 lb}, {day: tue,
      amount: 1 lb}«, NEW»  # two
    ]
""",
    "commas in front": """\
demand:
  shoulder roast:
    price: 9
    orders: [
        {day: mon, amount: 1 lb}
      , {day: tue, amount: 1 lb}«, NEW»   # two
    ]
""",
    "block list of flow maps": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - {day: mon, amount: 1 lb}   # one
«      - NEW
»    want: 3
""",
    "block list of block maps": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - day: mon
        amount: 1 lb   # not much
«      - day: fri
        amount: 9 lb
        for: the inn
»
  bones: {price: 1}
""",
    "block list of block maps, dashes far in front": """\
demand:
    shoulder roast:
        price: 9
        orders:
        -   for: us
            day: mon
            amount: 1 lb
«        -   day: fri
            amount: 9 lb
            for: the inn
»        # what they take at the full price
        want: 3
""",
    "block list of block maps below their dashes": """\
demand:
  shoulder roast:
    price: 9
    orders:
      -
        day: mon
        amount: 1 lb
«      - day: fri
        amount: 9 lb
        for: the inn
»""",
    "block list without indent": """\
demand:
  shoulder roast:
    orders:
    - {day: mon, amount: 1 lb}
«    - NEW
»    price: 9
""",
    "block list, flow map over lines": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - {day: mon,
         amount: 1 lb
        }   # one
«      - NEW
»""",
    "comments that belong to the list": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - {day: mon, amount: 1 lb}   # told on the phone,
                                   # to be called back
      # - {day: tue, amount: 4 lb}
«      - NEW
»
      # not of the list any more
    # nor this
  bones: {price: 1}
""",
    "comments that belong to what follows": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - {day: mon, amount: 1 lb}
«      - NEW
»  # bones, for stock
  bones: {price: 1}
""",
    "value over lines at the end": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - day: mon
        amount: 1 lb
        for: the table
          by the door
«      - day: fri
        amount: 9 lb
        for: the inn
»  bones: {price: 1}
""",
    "block text at the end": """\
demand:
  shoulder roast:
    price: 9
    orders:
      - day: mon
        amount: 1 lb
        for: >-
          the table
          by the door
«      - day: fri
        amount: 9 lb
        for: the inn
»
  bones: {price: 1}
""",
    "block map without orders": """\
demand:
  shoulder roast:   # the best of it
    price: 9
    want: {fri: 3 lb}   # few
«    orders: [NEW]
»
  # bones
  bones: {price: 1}
""",
    "block map without orders, list at its end": """\
demand:
  shoulder roast:
    price: 9
    want:
      fri: 3 lb
«    orders: [NEW]
»  bones: {price: 1}
""",
    "flow map without orders": """\
demand:
  shoulder roast: {price: 9, want: 3«, orders: [NEW]»}   # few
""",
    "flow map, comma at the end": """\
demand:
  shoulder roast: {price: 9, want: 3,« orders: [NEW]» }
""",
    "flow map over lines": """\
demand:
  shoulder roast: {price: 9,
                   want: {fri: 3,
                          sat: 4}«,»   # few
«                   orders: [NEW]
»  }
""",
    "flow map over lines, bracket on the last": """\
demand:
  shoulder roast: {
    "price": "9",
    "want": {"fri": 3}«,
    orders: [NEW]»}
""",
    "quoted keys": """\
"demand":
  'shoulder roast':
    "price": '9'
    "orders": [{"day": "mon", 'amount': 1 lb}«, NEW»]
""",
    "the species in front": """\
demand:
  goat shoulder roast: {price: 9«, orders: [NEW]»}
  bones: {price: 1}
""",
    "key with a question mark": """\
demand:
  ? shoulder roast
  : price: 9
«    orders: [NEW]
»  ? bones
  : price: 1
""",
    "what is wanted first, whatever stands elsewhere": """\
case: {shoulder roast: 4 lb, bones: 1 lb}
rules: []
demand: {shoulder roast: {price: 9«, orders: [NEW]»}}
traffic: {mon: 1}
""",
    "trailing blanks": (
        "demand:  \n  shoulder roast:  \n    price: 9  \n«    orders: [NEW]\n»   \n\nrules: []  \n"
    ),
    "tabs before comments": """\
demand:<tab># all
  shoulder roast:
    price: 9<tab># dear
«    orders: [NEW]
»
rules: []
""".replace("<tab>", "\t"),
    "the end of the document": """\
demand:
  shoulder roast: {price: 9}
  bones:
    price: 1
...
""".replace("9}", "9«, orders: [NEW]»}"),
}

WITHOUT_THE_CUT = {
    "block demand": """\
demand:
  bones: {price: 1, want: 3}   # for stock
«  shoulder roast:
    orders: [NEW]
»
# the rules
rules: []
""",
    "block demand, deep": """\
demand:
    bones:
        price: 1
        orders:
        - {day: mon, amount: 1 lb}
        # nothing else yet
«    shoulder roast:
      orders: [NEW]
»rules: []
""",
    "flow demand": "demand: {bones: {price: 1}«, shoulder roast: {orders: [NEW]}»}\n",
    "flow demand over lines": """\
demand: {
  bones: {price: 1},   # for stock
«  shoulder roast: {orders: [NEW]},
»}
rules: []
""",
    "empty demand": "demand: {«shoulder roast: {orders: [NEW]}»}   # nobody yet\nrules: []\n",
    "no demand": """\
rules: []   # none
«demand:
  shoulder roast:
    orders: [NEW]
»""",
    "no demand, comment at the end": """\
carry: 40%
# that was the week
«demand:
  shoulder roast:
    orders: [NEW]
»
# invented
""",
    "no demand, text at the end": """\
title: >
  a week
  without title
«demand:
  shoulder roast:
    orders: [NEW]
»

""",
    "no demand, end of the document": """\
carry: 40%
«demand:
  shoulder roast:
    orders: [NEW]
»---
""".replace("---", "..."),
}


def before_and_after(marked, new=NEW):
    marked = marked.replace("NEW", new)
    return re.sub("«[^»]*»", "", marked), re.sub("[«»]", "", marked)


@pytest.fixture
def week(tmp_path):
    (tmp_path / "goat.yaml").write_text(GOAT)
    return tmp_path / "week.yaml"


def written(week, raw, *orders):
    """What the file is after writing the orders into it, and nothing else in its folder."""
    week.write_bytes(raw)
    around = sorted(week.parent.iterdir())
    write_orders(week, "week.yaml", orders)
    assert sorted(week.parent.iterdir()) == around
    return week.read_bytes()


EACH_WAY = ("lf", "crlf, bom, no line end")  # of these forms, on every push
FORMS = {
    "lf": lambda text: text.encode(),
    "crlf": lambda text: text.replace("\n", "\r\n").encode(),
    "cr": lambda text: text.replace("\n", "\r").encode(),
    "bom": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "no line end": lambda text: text.rstrip("\n").encode(),
    "crlf, bom, no line end": lambda text: (
        b"\xef\xbb\xbf" + text.replace("\n", "\r\n").rstrip("\r\n").encode()
    ),
    "after three dashes": lambda text: b"---  # a week\n" + text.encode(),
}


@pytest.mark.parametrize("form", [*EACH_WAY, *thorough(*sorted(FORMS.keys() - {*EACH_WAY}))])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_an_order_of_a_cut_in_the_demand(week, layout, form):
    before, after = (FORMS[form](TOP + each) for each in before_and_after(LAYOUTS[layout]))
    assert before != after
    assert written(week, before, INN) == after


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("layout", WITHOUT_THE_CUT)
def test_an_order_of_a_cut_that_is_not_in_the_demand(week, layout, form):
    marked = WITHOUT_THE_CUT[layout]
    before, after = (FORMS[form](TOP + each) for each in before_and_after(marked, OWN))
    order = WrittenOrder("goat shoulder roast", "9 lb", "fri", "the inn", "14.50/lb")
    assert written(week, before, order) == after


def test_a_week_that_is_one_flow_map(week):
    text = '{"starts": "2026-11-30", "days": 6, "recipes": ["goat.yaml"]«, NEW»}\n'
    before, after = before_and_after(text, f"demand: {{shoulder roast: {{orders: [{OWN}]}}}}")
    order = WrittenOrder("shoulder roast", "9 lb", "fri", "the inn", "14.50/lb")
    assert written(week, before.encode(), order) == after.encode()


def test_what_is_indented_as_a_whole(week):
    text = TOP + "carry: 40%\n«demand:\n  shoulder roast:\n    orders: [NEW]\n»"
    before, after = before_and_after("".join(f"  {line}\n" for line in text.splitlines()), OWN)
    before = before.replace("  »", "»")
    order = WrittenOrder("shoulder roast", "9 lb", "fri", "the inn", "14.50/lb")
    assert written(week, before.rstrip(" \n").encode(), order) == after.rstrip(" \n").encode()


def test_a_name_that_two_recipes_have(week):
    (week.parent / "hog.yaml").write_text(HOG)
    top = TOP.replace("[goat.yaml]", "[goat.yaml, hog.yaml]")
    text = "demand:\n  goat bones: {price: 1}\n  hog bones: {price: 2«, orders: [NEW]»}\n"
    before, after = before_and_after(top + text)
    assert written(week, before.encode(), WrittenOrder("hog bones", "9 lb", "fri", "the inn")) == (
        after.encode()
    )


def test_several_orders_at_once(week):
    text = """\
demand:
  shoulder roast: {price: 9«, orders: [{day: fri, amount: 9 lb, for: a}, {day: sat, amount: 1 kg}]»}
  leg roast:
    price: 60/each
    orders:
    - {day: mon, amount: 1}
«    - {day: tue, amount: 2, for: b, price: 55}
    - {day: tue, amount: 2, for: b, price: 55}
»  bones: {price: 1}
«  trim 85:
    orders: [{day: 2026-12-01, amount: 1 lb, price: 3/lb}, {day: wed, amount: 1 lb, price: 3/lb}]
»
carry: 40%
"""
    before, after = before_and_after(text)
    leg = WrittenOrder("leg roast", "2", "tue", "b", "55")
    orders = (
        WrittenOrder("goat trim 85", "1 lb", "2026-12-01", price="3/lb"),
        WrittenOrder("shoulder roast", "9 lb", "fri", "a"),
        leg,
        WrittenOrder("trim 85", "1 lb", "wed", price="3/lb"),
        leg,
        WrittenOrder("goat shoulder roast", "1 kg", "sat"),
    )
    assert written(week, (TOP + before).encode(), *orders) == (TOP + after).encode()
    assert written(week, (TOP + before).encode()) == (TOP + before).encode()  # none at all


def test_line_breaks_of_the_neighbours_in_a_mixed_file(week):
    text = "demand:\r\n  bones: {price: 1}\r\n  shoulder roast:\n    price: 9«\n    orders: [NEW]»"
    before, after = before_and_after(TOP + text + "\ncarry: 40%\r\n")
    assert written(week, before.encode(), INN) == after.encode()


@pytest.mark.parametrize(
    ("buyer", "text"),
    [
        ("the inn", "the inn"),
        ("Zoë & Söhne", "Zoë & Söhne"),
        ("O'Hara's (at no. 5)", "O'Hara's (at no. 5)"),
        ("羊肉館", "羊肉館"),
        ("yes", '"yes"'),
        ("No", '"No"'),
        ("null", '"null"'),
        ("12", '"12"'),
        ("1e3", '"1e3"'),
        ("2026-12-04", '"2026-12-04"'),
        ("~", '"~"'),
        ("-", '"-"'),
        ("- a", '"- a"'),
        ("a: b", '"a: b"'),
        ("a:", '"a:"'),
        ("a # b", '"a # b"'),
        ("a, b", '"a, b"'),
        ("a]", '"a]"'),
        ("{a", '"{a"'),
        ("*a", '"*a"'),
        ("&a", '"&a"'),
        ("!a", '"!a"'),
        ("%a", '"%a"'),
        ("@a", '"@a"'),
        ("'a'", "\"'a'\""),
        ('a "b" \\n', r'"a \"b\" \\n"'),
        ("a  b", '"a  b"'),
        ("🐑", '"🐑"'),
    ],
)
def test_buyers_are_quoted_where_need_be(week, buyer, text):
    before, after = before_and_after(TOP + "demand:\n  bones: {price: 1«, orders: [NEW]»}\n",
                                     f"{{day: fri, amount: 1 lb, for: {text}}}")  # fmt: skip
    order = WrittenOrder("bones", "1 lb", "fri", buyer)
    assert written(week, before.encode(), order) == after.encode()
    assert read_scenario(week, "week.yaml")[0].orders[0].buyer == buyer


PRINTABLE = st.characters().filter(str.isprintable)


def is_name(text):
    try:
        return bool(checked_text(text, "the buyer"))
    except ValueError:
        return False


@given(
    st.lists(st.text(PRINTABLE, min_size=1, max_size=120), min_size=1, max_size=3),
    st.sampled_from(["{price: 1}", "\n    price: 1", "\n    price: 1\n    orders:\n    - day: mon"
                     "\n      amount: 1 lb"]),
)  # fmt: skip
@settings(deadline=None, max_examples=60)
@example(["\u00ad", "a" * 120, "\\" * 120], "{price: 1}")
@example(['"' * 120, "\U0001f411" * 120, "' #"], "\n    price: 1")
def test_any_printable_buyer_survives(buyers, entry):
    buyers = [each.strip() for each in buyers]
    with a_folder() as folder:
        week = folder / "week.yaml"
        week.write_text(f"{TOP}demand:\n  bones: {entry}\n", encoding="utf-8")
        orders = [WrittenOrder("bones", "1 lb", "fri", each) for each in buyers]
        try:
            write_orders(week, "week.yaml", orders)
        except InputError as error:
            refused = any(not is_name(b) or b in ("walk-in", "markdown") for b in buyers)
            assert refused, error  # noqa: PT017
            return
        found = read_scenario(week, "week.yaml")[0].orders
        assert [each.buyer for each in found][-len(buyers) :] == buyers


def test_names_of_cuts_are_quoted_where_need_be(week):
    recipe = GOAT.replace("bones", '"5: bones # all"')
    (week.parent / "goat.yaml").write_text(recipe)
    text = 'carry: 40%\n«demand:\n  "5: bones # all":\n    orders: [NEW]\n»'
    before, after = before_and_after(TOP + text, "{day: fri, amount: 9 lb, price: 2/lb}")
    order = split_order("5: bones # all: 9 lb fri", price="2/lb")
    assert written(week, before.encode(), order) == after.encode()


# whole files in any layout


@contextmanager
def a_folder():
    with tempfile.TemporaryDirectory() as name:
        (Path(name) / "goat.yaml").write_text(GOAT)
        yield Path(name)


# libyaml takes a tab before a comment, the parser written in Python does not
TABS = ["\t"] if hasattr(yaml, "CSafeLoader") else []


class Layout:
    """Writes maps and lists as YAML, each in a layout that is drawn."""

    def __init__(self, draw):
        self.draw = draw
        self.comments = 0

    def any_of(self, *choices):
        return self.draw(st.sampled_from(choices))

    def comment(self):
        if not self.any_of(True, False, False):
            return ""
        self.comments += 1
        return self.any_of(" ", "   ", *TABS) + f"# c{self.comments}, a: [b]}} {{c 'd\" - e"

    def lines_between(self, indent):
        for _ in range(self.any_of(0, 0, 0, 1, 2)):
            self.comments += 1
            deep = " " * self.any_of(0, indent, indent + 2, indent + 9)
            yield self.any_of("", "   ", f"{deep}# c{self.comments}: [x, - y", f"{deep}#")

    def scalar(self, text):
        return self.any_of(text, text, f'"{text}"', f"'{text}'")

    def flow(self, value, indent):
        """Text in flow style; lines after the first are indented more than `indent`."""
        if isinstance(value, str):
            return self.scalar(value)
        first, last = "{}" if isinstance(value, dict) else "[]"
        apart = self.any_of("side by side", "side by side", "lines", "mixed")
        margin = "\n" + " " * (indent + self.any_of(1, 2, 5))
        parts = [
            f"{self.scalar(key)}: {self.flow(each, indent + 2)}"
            for key, each in (value.items() if isinstance(value, dict) else ())
        ] or [self.flow(each, indent + 2) for each in value]
        text = first
        for number, part in enumerate(parts):
            on_a_line = apart == "lines" or (apart == "mixed" and self.any_of(True, False))
            if on_a_line and (number or self.any_of(True, False)):
                text += (self.comment() if number else "") + margin
            else:
                text += self.any_of("", " ")
            comma = number < len(parts) - 1 or self.any_of(True, False, False)
            text += part + self.any_of("", "", " ") * comma + "," * comma
        if self.any_of(True, False, False):
            text += self.comment() + "\n" + " " * (indent + 1)
        return text + self.any_of("", " ") + last

    def block(self, value, indent):
        """Lines of a map or list in block style at a column."""
        margin = " " * indent
        for each in value.items() if isinstance(value, dict) else value:
            yield from self.lines_between(indent)
            if not isinstance(value, dict):
                yield from self.item(each, indent)
                continue
            key, inner = each
            head = f"{margin}{self.scalar(key)}:"
            if isinstance(inner, str) or not inner or self.any_of(True, False):
                yield f"{head} {self.flow(inner, indent)}{self.comment()}"
                continue
            yield head + self.comment()
            deeper = self.any_of(1, 2, 4) if isinstance(inner, dict) else self.any_of(0, 2, 3)
            yield from self.block(inner, indent + deeper)

    def item(self, each, indent):
        margin = " " * indent
        if isinstance(each, str) or self.any_of(True, False):
            yield f"{margin}-{self.any_of(' ', '   ')}{self.flow(each, indent)}{self.comment()}"
            return
        deeper = self.any_of(2, 4)
        lines = list(self.block(each, indent + deeper))
        if self.any_of(True, False):
            while not lines[0].strip() or lines[0].strip().startswith("#"):
                lines.pop(0)
            lines[0] = margin + "-".ljust(deeper) + lines[0].lstrip(" ")
        else:
            yield margin + "-" + self.comment().replace("\t", " ")
        yield from lines


CUTS = ("shoulder roast", "goat bones", "trim 70", "ground goat", "leg roast")


@st.composite
def weeks(draw):
    """A sound scenario in a mixed layout, as bytes."""
    demand = {}
    for cut in draw(st.lists(st.sampled_from(CUTS), unique=True)):
        entry = {"price": "60/each" if cut == "leg roast" else "9.50/lb"}
        if draw(st.booleans()):
            entry["want"] = draw(st.sampled_from(["3", {"fri": "2"}, {"fri": "2", "sat": "1"}]))
        if draw(st.booleans()):
            order = st.fixed_dictionaries(
                {"day": st.sampled_from(["mon", "2026-12-01"]), "amount": st.sampled_from("123")},
                optional={"for": st.just("an old friend")},
            )
            entry["orders"] = draw(st.lists(order, max_size=3))
        entry = {key: entry[key] for key in draw(st.permutations(list(entry)))}
        demand[cut] = entry
    parts = {
        "starts": "2026-11-30",
        "days": "6",
        "recipes": ["goat.yaml"],
        "rail": [{"goat": "3 head at 40 lb", "arrives": "mon"}],
        "bench": {"mon": "240", "fri": "100"},
        "rules": [{"all shoulder": "boneless roast"}],
    }
    if demand or draw(st.booleans()):
        parts["demand"] = demand
    layout = Layout(draw)
    lines = layout.block({key: parts[key] for key in draw(st.permutations(list(parts)))}, 0)
    text = "\n".join([*lines, *layout.lines_between(0)])
    text += layout.any_of("", "\n", "\n\n", "   \n")
    raw = text.replace("\n", layout.any_of("\n", "\n", "\r\n")).encode()
    return layout.any_of(b"", b"", b"\xef\xbb\xbf") + raw


ORDERS = st.lists(
    st.builds(
        WrittenOrder,
        st.sampled_from([*CUTS, "bones", "goat trim 70"]),
        st.sampled_from(["1", "2"]),
        st.sampled_from(["fri", "2026-12-05"]),
        st.sampled_from(["an order", "the inn", "a: b", "#"]),
        st.just("4.25"),
    ),
    min_size=1,
    max_size=3,
)


def data(raw):
    """The file as texts, by another parser than the one that found the places."""
    return yaml.load(raw.decode("utf-8-sig"), Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))


def data_with(raw, orders):
    found = data(raw)
    demand = found.setdefault("demand", {})
    for order in orders:
        name = order.cut.removeprefix("goat ")
        key = next((key for key in demand if key.removeprefix("goat ") == name), name)
        demand.setdefault(key, {}).setdefault("orders", []).append(order.words())
    return found


def comments(raw):
    return re.findall(rb"# c\d+[^\r\n]*", raw)


@given(weeks(), ORDERS)
@settings(deadline=None, max_examples=100)
def test_orders_go_into_any_layout(raw, orders):
    with a_folder() as folder:
        week = folder / "week.yaml"
        week.write_bytes(raw)
        old = read_scenario(week, "week.yaml")[0]
        write_orders(week, "week.yaml", orders)
        after = week.read_bytes()
        assert data(after) == data_with(raw, orders)
        assert comments(after) == comments(raw)
        signs = iter(after)
        assert all(sign in signs for sign in raw)  # nothing was taken away or moved
        new = read_scenario(week, "week.yaml")[0]
        expected = with_orders(old, [order_of(old, each) for each in orders])
        assert new.demand == expected.demand
        assert len(new.orders) == len(expected.orders)
        if b"\r\n" in raw:
            assert not re.search(rb"(?<!\r)\n", after)
        assert after.startswith(b"\xef\xbb\xbf") == raw.startswith(b"\xef\xbb\xbf")
        assert not re.search(rb"\s\Z", after) or re.search(rb"\s\Z", raw)


@pytest.mark.parametrize("name", ["one-lamb", *thorough("corner-shop", "holiday", "whole-animal")])
def test_shipped_scenarios_take_an_order_of_every_cut(name, tmp_path):
    raw = (shipped_folder("scenarios") / f"{name}.yaml").read_bytes()
    week = tmp_path / f"{name}.yaml"
    week.write_bytes(raw)
    scenario = read_scenario(week, week.name)[0]
    orders = [WrittenOrder(cut, "1", "mon", "the inn", "5") for cut in scenario.cuts][:24]
    write_orders(week, week.name, orders)
    old, new = raw.decode().splitlines(), week.read_text().splitlines()
    assert all(any(each.startswith(line.split("}")[0].rstrip("]")) for each in new) for line in old)
    assert len([line for line in new if "#" in line]) == len([line for line in old if "#" in line])
    found = read_scenario(week, week.name)[0]
    assert sorted(each.cut for each in found.orders if each.buyer == "the inn") == sorted(
        each.cut for each in orders
    )


# files that may not, or cannot, be written


def refusal(week, *orders):
    with pytest.raises(InputError) as caught:
        write_orders(week, "week.yaml", orders or [INN])
    return str(caught.value)


@pytest.fixture
def sound(week):
    week.write_text(TOP + "demand:\n  shoulder roast: {price: 9}\n")
    return week


def test_what_cannot_be_put_in_safely_is_left_to_the_user(week):
    text = TOP + "title: |+\n  a week\n\n\n"  # to write after the text would shorten it
    week.write_text(text)
    order = WrittenOrder("bones", "9 lb", "fri", "the inn", "1/lb")
    assert refusal(week, order).endswith(
        "was left alone; add by hand: under demand, bones, orders: "
        "{day: fri, amount: 9 lb, for: the inn, price: 1/lb}"
    )
    assert week.read_text() == text


def test_a_new_text_that_says_something_else_is_not_written(sound, monkeypatch):
    text = sound.read_text()
    for wrong in ("{day: sat}", "{day: sat, amount: 9 lb, for: the inn}", "]"):
        monkeypatch.setattr(write_order, "_flow", lambda value, wrong=wrong: wrong)
        assert "add by hand" in refusal(sound)
        assert sound.read_text() == text


@pytest.mark.parametrize(
    ("old", "new"),
    [("price: 9", "price: 8"), ("price: 9", "price: 9/each"), ("days: 6", "days: 5")],
)
def test_a_new_file_that_is_read_as_another_week_is_not_written(sound, monkeypatch, old, new):
    text = sound.read_text()
    right = write_order._bytes_with

    def wrong(*given):
        return right(*given).replace(old.encode(), new.encode())

    monkeypatch.setattr(write_order, "_bytes_with", wrong)
    assert "add by hand" in refusal(sound)
    assert sound.read_text() == text


def test_faults_of_the_file_and_of_the_order_are_told(sound):
    assert refusal(sound, WrittenOrder("shin", "9 lb", "fri")).startswith(
        'ORDER: no cut called "sh'
    )
    sound.write_text(TOP + "demand:\n  shoulder roast:\n")
    assert "week.yaml:5: shoulder roast: nothing is written here" in refusal(sound)
    assert "No such file" in refusal(sound.with_name("none.yaml"))
    assert refusal(sound.parent) == "week.yaml: cannot be written: Is a directory"


@pytest.mark.parametrize("name", shipped_names("scenarios"))
def test_shipped_scenarios_are_not_written(name, monkeypatch):
    path = shipped_folder("scenarios") / f"{name}.yaml"
    raw = path.read_bytes()
    for way in (path, Path(os.path.relpath(path))):
        with pytest.raises(InputError) as caught:
            write_orders(way, name, [WrittenOrder("bones", "1 lb", "mon")])
        assert str(caught.value) == (
            f"{name}: {name} is a shipped scenario; copy it first: cp {way} my-{name}.yaml"
        )
    assert path.read_bytes() == raw


def test_a_link_to_a_shipped_scenario_is_one(tmp_path):
    link = tmp_path / "mine.yaml"
    link.symlink_to(shipped_folder("scenarios") / "one-lamb.yaml")
    with pytest.raises(InputError, match="is a shipped scenario"):
        stop_unless_writable(link, "mine.yaml")


@contextmanager
def as_nobody():
    """Without the rights of the superuser, if the tests run with them."""
    if os.geteuid():
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.parametrize("locked", ["file", "folder"])
def test_what_the_system_refuses_is_told_before_and_at_writing(locked):
    with a_folder() as folder:
        week = folder / "week.yaml"
        week.write_text(TOP + "demand:\n  shoulder roast: {price: 9}\n")
        text = week.read_text()
        folder.chmod(0o555 if locked == "folder" else 0o777)
        week.chmod(0o444 if locked == "file" else 0o666)
        try:
            with as_nobody():
                said = refusal(week)
                with pytest.raises(InputError) as caught:
                    stop_unless_writable(week, "week.yaml")
        finally:
            folder.chmod(0o777)
        assert said == str(caught.value) == "week.yaml: cannot be written: Permission denied"
        assert week.read_text() == text
        assert sorted(each.name for each in folder.iterdir()) == ["goat.yaml", "week.yaml"]


def test_a_file_that_may_be_written_is_not_touched_by_asking(sound):
    before = sound.stat()
    assert stop_unless_writable(sound, "week.yaml") is None
    assert sound.stat() == before
    assert len(list(sound.parent.iterdir())) == 2


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_permissions_are_kept(sound, mode):
    sound.chmod(mode)
    write_orders(sound, "week.yaml", [INN])
    assert "the inn" in sound.read_text()
    assert stat.S_IMODE(sound.stat().st_mode) == mode


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser gives files away")
def test_the_owner_is_kept(sound):
    os.chown(sound, 65534, 65534)
    write_orders(sound, "week.yaml", [INN])
    assert (sound.stat().st_uid, sound.stat().st_gid) == (65534, 65534)


def test_a_link_stays_a_link(sound):
    """Recipes lie beside the link, the file elsewhere."""
    folder = sound.parent / "elsewhere"
    folder.mkdir()
    target = sound.rename(folder / "real.yaml")
    sound.symlink_to(Path("elsewhere") / "real.yaml")
    write_orders(sound, "week.yaml", [INN])
    assert sound.is_symlink() and os.readlink(sound) == "elsewhere/real.yaml"
    assert not target.is_symlink() and "the inn" in target.read_text()
    assert list(folder.iterdir()) == [target]


def test_a_file_that_is_half_saved_by_someone_else_is_told_so(sound, monkeypatch):
    text = sound.read_text()
    right = write_order._bytes_with

    def meanwhile(*given):
        sound.write_bytes(b"\xff")
        return right(*given)

    monkeypatch.setattr(write_order, "_bytes_with", meanwhile)
    assert "was changed by someone else in the meantime" in refusal(sound)
    assert sound.read_bytes() == b"\xff" != text.encode()


def test_a_file_that_was_changed_meanwhile_is_left_alone(sound, monkeypatch):
    right = write_order._put

    def meanwhile(*given):
        sound.write_text(sound.read_text() + "# and by the way\n")
        right(*given)

    monkeypatch.setattr(write_order, "_put", meanwhile)
    assert refusal(sound) == (
        "week.yaml: was changed by someone else in the meantime; nothing was written, try again"
    )
    assert sound.read_text().endswith("# and by the way\n")
    assert "the inn" not in sound.read_text()
    assert len(list(sound.parent.iterdir())) == 2


@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_a_step_that_fails_leaves_the_old_file(sound, monkeypatch, step):
    text = sound.read_text()

    def fail(*_given, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, fail)
    assert refusal(sound) == "week.yaml: cannot be written: No space left on device"
    assert sound.read_text() == text
    assert len(list(sound.parent.iterdir())) == 2


DIES = """
import os, sys
from pathlib import Path
from planner.files.asked_order import WrittenOrder
from planner.files.write_order import write_orders
step = sys.argv[2]
right = getattr(os, step)
def die(*given):
    if step == "fsync":
        os.truncate(given[0], 5)
    os._exit(9)
setattr(os, step, die)
write_orders(Path(sys.argv[1]), "week.yaml", [WrittenOrder("shoulder roast", "9 lb", "fri")])
"""


@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_a_crash_leaves_the_old_file(sound, step):
    text = sound.read_text()
    ran = subprocess.run([sys.executable, "-c", DIES, str(sound), step], check=False)
    assert ran.returncode == 9
    assert sound.read_text() == text
