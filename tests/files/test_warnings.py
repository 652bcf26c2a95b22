"""What `check` warns of: slips of the hand that still can be read, each on its line."""

import pytest

from planner.files.check import check
from planner.files.find import shipped_folder, shipped_names
from planner.shop.new_shop import SPECIES
from tests.conftest import WEEK

LAMB = """\
starts: 2026-11-30
days: 6
recipes: [lamb]
carry: 40%
rail:
  - {lamb: 3 head at 58 lb, arrives: mon}
traffic: {mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 30%}
demand:
  loin chops: {price: 22.99/lb, want: 4 lb}
  rib chops: {price: 24.99/lb, want: 4 lb}
  leg steaks: {price: 16.99/lb, want: 4 lb}
rules: []
"""
LOT = "{lamb: 3 head at 58 lb, arrives: mon}"


def warnings(tmp_path, *changes):
    """Line and message of every warning of the week with some texts replaced."""
    text = LAMB
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file = tmp_path / "week.yaml"
    file.write_text(text)
    found = check(str(file))
    assert found.problems == ()
    return [(each.line, each.message) for each in found.warnings]


def rules(*written):
    return ("rules: []", "rules:\n" + "".join(f"  - {each}\n" for each in written))


def test_a_sound_week_draws_none(tmp_path):
    assert warnings(tmp_path) == []


@pytest.mark.parametrize(
    ("lot", "told"),
    [
        ("lamb: 3 head at 560 lb", "one carcass of 560.0 lb: 25.0 lb to 115.0 lb is usual (lamb)"),
        ("lamb: 3 head at 5.8 lb", "one carcass of 5.8 lb: 25.0 lb to 115.0 lb is usual (lamb)"),
        ("leg: 2 at 91 lb", "one leg of 91.0 lb: 2.7 lb to 27.9 lb is usual (lamb)"),
        ("rack: 2 at 0.3 lb", "one rack of 0.3 lb: 0.9 lb to 8.9 lb is usual (lamb)"),
    ],
)
def test_an_unusual_weight(tmp_path, lot, told):
    lots = f"{LOT}\n  - {{{lot}, keeps: 5 days}}"
    found = warnings(tmp_path, (LOT, lots))
    assert [each for each in found if "is usual" in each[1]] == [(7, told)]


@pytest.mark.parametrize("lot", ["lamb: 3 head at 26.3 kg", "leg: 2 at 9.1 lb", "rack: 4 at 3 lb"])
def test_a_usual_weight(tmp_path, lot):
    assert warnings(tmp_path, (LOT, f"{LOT}\n  - {{{lot}, keeps: 5 days}}")) == []


@pytest.mark.parametrize(
    "price",
    [
        "price: 2299/lb, want: 4 lb",
        "price: 22.99/lb, want: 4 lb, markdown: {price: 1899/lb, want: 1 lb}",
        "price: 22.99/lb, want: 4 lb, orders: [{day: fri, amount: 1 lb, price: 2099/lb}]",
    ],
)
def test_a_price_a_hundred_times_its_neighbours(tmp_path, price):
    told = warnings(tmp_path, ("price: 22.99/lb, want: 4 lb", price))
    assert (9, "loin chops: a price more than 10 times the median price of this file") in [
        (line, message.split(" (")[0]) for line, message in told
    ]


@pytest.mark.parametrize("price", ["0.21/lb", "2.10/lb", "140/lb"])
def test_an_order_whose_price_is_far_from_that_of_its_cut(tmp_path, price):
    order = f"want: 4 lb, orders: [{{day: fri, amount: 1 lb, price: {price}}}]"
    assert warnings(tmp_path, ("22.99/lb, want: 4 lb", f"22.99/lb, {order}")) == [
        (9, "loin chops: this price and the full price are more than 5 times apart")
    ]


@pytest.mark.parametrize(
    ("sat", "total"), [("25%", "95%"), ("40%", "110%"), ("30%", None), ("31%", None)]
)
def test_traffic_in_percent(tmp_path, sat, total):
    told = f"the days of traffic add up to {total}, not 100%: each is taken as its share of that"
    assert warnings(tmp_path, ("sat: 30%", f"sat: {sat}")) == ([(7, told)] if total else [])


def test_relative_weights_may_add_up_to_anything(tmp_path):
    assert warnings(tmp_path, ("{mon: 8%, tue: 10%, wed: 12%, thu: 15%, fri: 25%, sat: 30%}",
                               "{mon: 1, tue: 1, sat: 3}")) == []  # fmt: skip


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("all leg: whole", "at least 1 leg: seam out"),
        ("at least 1 leg: seam out", "all leg: whole"),
        ("at least 3 leg: whole", "at most 2 leg: whole"),
        ("never leg: whole", "at least 1 leg: whole"),
        ("all trim 85: ground lamb", "all trim 85: lamb sausage"),
        ("all trim 85: ground lamb", "never trim 85: ground lamb"),
        ("all trim 85: ground lamb", "at least 2 lb trim 85: lamb sausage"),
        ("at least 4 lb trim 85: lamb sausage", "at most 2 lb trim 85: lamb sausage"),
        ("at least 4 lb trim 85: lamb sausage", "never trim 85: lamb sausage"),
    ],
)
def test_rules_that_cannot_both_be_kept(tmp_path, one, other):
    assert warnings(tmp_path, rules(one, other)) == [
        (14, f'"{other}" and "{one}" (line 13) cannot both be kept')
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [("all shoulder: chops", "never shoulder: chops"), ("all leg: whole", "all leg: seam out")],
)
def test_rules_that_leave_no_way(tmp_path, one, other):
    [(line, message)] = warnings(tmp_path, rules(one, other))
    assert line == 14
    assert message.startswith("with the rules no way is left to cut a ")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("all leg: whole", "at least 1 leg: whole"),
        ("at least 2 leg: whole", "at most 2 leg: whole"),
        ("at least 2 leg: whole", "at least 4 leg: seam out"),
        ("never leg: steaks", "at least 1 leg: whole"),
        ("all leg: whole", "all shoulder: chops"),
        ("all trim 85: ground lamb", "at least 2 lb trim 70: lamb sausage"),
    ],
)
def test_rules_that_can_be_kept(tmp_path, one, other):
    assert warnings(tmp_path, rules(one, other)) == []


@pytest.mark.parametrize(
    "written",
    [["at least 7 leg: whole"], ["at least 4 leg: whole", "at least 3 leg: seam out"]],
)
def test_rules_for_more_than_there_are(tmp_path, written):
    assert warnings(tmp_path, rules(*written)) == [
        (12 + len(written), "the rules want 7 legs cut, and there can be 6 at most")
    ]


# of a carcass at most, by the shares of the shipped recipe: legs to steaks and their sirloins to
# kebab, saddle and racks boned, shoulders and foreshanks to trim
MOST_TRIM_85 = (
    2 * 0.162 * (0.13 + 0.19 * 0.12)
    + 0.125 * 2 * 0.497 * 0.05
    + 0.104 * 2 * 0.497 * 0.08
    + 2 * 0.11 * 0.36
    + 2 * 0.028 * 0.42
)


@pytest.mark.parametrize("case", [0, 2])
def test_rules_for_more_trim_than_there_can_be(tmp_path, case):
    most = 3 * 58 * MOST_TRIM_85 + case
    there = ("demand:\n", f"case: {{trim 85: {case} lb}}\ndemand:\n" if case else "demand:\n")
    first = f"at least {most - 2:.2f} lb trim 85: ground lamb"
    both = rules(first, "at least 1.9 lb trim 85: lamb sausage")
    assert warnings(tmp_path, there, both) == []
    both = rules(first, "at least 2.1 lb trim 85: lamb sausage")
    want, have = f"{most + 0.1:.1f} lb", f"{most:.1f} lb"
    message = f"the rules want {want} of trim 85 ground, and there can be {have} at most"
    assert warnings(tmp_path, there, both) == [(14 + bool(case), message)]


def test_wants_that_traffic_spreads_over_days_before_it_can_be_there(tmp_path):
    changes = [
        ("recipes: [lamb]", "recipes: [lamb, hog]"),
        (LOT, f"{LOT}\n  - {{hog: 1 side at 90 lb, arrives: wed}}"),
        ("demand:\n", "demand:\n  pork tenderloin: {price: 12/lb, want: 3 lb}\n"),
        ("rules: []", "  whole spareribs: {price: 9/lb, want: 5 lb}\nrules: []"),
    ]
    told = (
        "traffic spreads the wants of pork tenderloin, whole spareribs over days before wed; "
        "nothing that gives them is there earlier"
    )
    assert warnings(tmp_path, *changes) == [(10, told)]
    from_wed = ("mon: 8%, tue: 10%, wed: 12%, thu: 15%,", "mon: 0%, tue: 0%, wed: 20%, thu: 25%,")
    assert warnings(tmp_path, *changes, from_wed) == []


def test_what_is_wanted_before_it_can_be_there(tmp_path):
    told = warnings(
        tmp_path,
        ("arrives: mon", "arrives: wed"),
        ("traffic: {mon: 8%, tue: 10%, wed: 12%, ", "traffic: {mon: 0%, tue: 0%, wed: 30%, "),
        ("price: 22.99/lb, want: 4 lb", "price: 22.99/lb, want: {mon: 1 lb, tue: 0 lb, wed: 2 lb}, "
         "orders: [{day: tue, amount: 1 lb}, {day: wed, amount: 1 lb}]"),
    )  # fmt: skip
    said = "nothing that gives it is there before wed"
    assert told == [
        (5, "nothing can be cut or sold before wed; what is wanted earlier is lost"),
        (9, f"loin chops is wanted on mon; {said}"),
        (9, f"this order for loin chops cannot be filled: {said}"),
    ]


def test_the_case_and_other_lots_count_as_there(tmp_path):
    want = ("price: 22.99/lb, want: 4 lb", "price: 22.99/lb, want: {mon: 1 lb}")
    others = "rib chops: 1 lb, leg steaks: 1 lb"
    case = ("demand:\n", f"case: {{loin chops: 2 lb, {others}}}\ndemand:\n")
    assert warnings(tmp_path, ("arrives: mon", "arrives: tue"), want, case) == []
    boxed = (LOT, "{loin: 2 at 4 lb, keeps: 3 days}\n  - {lamb: 3 head at 58 lb, arrives: tue}")
    case = ("demand:\n", f"case: {{{others}}}\ndemand:\n")
    assert warnings(tmp_path, boxed, want, case) == []


def test_a_week_that_does_not_say_what_is_left_is_worth(tmp_path):
    [(line, message)] = warnings(tmp_path, ("carry: 40%\n", ""))
    assert (line, message.split(" counts")[0]) == (5, "with no `carry` what is left of the carcass")
    assert warnings(tmp_path, ("carry: 40%", "carry: 0%")) == []


@pytest.mark.parametrize("name", shipped_names("scenarios"))
def test_shipped_scenarios_draw_none(name):
    found = check(name)
    assert (found.problems, found.warnings) == ((), ())


def test_shipped_recipes_say_what_is_usual():
    for path in shipped_folder("recipes").glob("*.yaml"):
        if path.stem != "blends":
            assert path.read_text().count("    weighs: ") == 1, path
    assert SPECIES


def test_the_goat_week_of_the_tests_draws_none(shop):
    assert shop.warnings("scenario") == []
    assert "carry" in WEEK
