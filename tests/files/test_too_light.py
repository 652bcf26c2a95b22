"""What no scale can weigh is a fault of the file, on its line, however it is written."""

import pytest

LESS = "is less than a scale can weigh (0.0005 lb)"


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("want: {mon: 2 lb, fri", "want: {mon: 0.0000009 lb, fri", f"0.0000009 lb {LESS}"),
        ("want: {mon: 2 lb, fri", "want: {mon: 0.2 g, fri", f"0.2 g {LESS}"),
        ("want: {mon: 2 lb, fri", "want: {mon: 0.007 oz, fri", f"0.007 oz {LESS}"),
        ("want: {mon: 2 lb, fri", "want: {mon: 0.0002 kg, fri", f"0.0002 kg {LESS}"),
        ("price: 10.99/lb, want: 5 lb", "price: 10.99/lb, want: 0.0004", f"0.0004 lb {LESS}"),
        ("{amount: 6 lb, keeps", "{amount: 0.00049 lb, keeps", f"0.00049 lb {LESS}"),
        ("bones: 4 lb", "bones: 0.0001 lb", f"0.0001 lb {LESS}"),
        ("amount: 9 lb, for", "amount: 0.0001 lb, for", f"0.0001 lb {LESS}"),
        ("{leg: 2 at 6.1 lb", "{leg: 2 at 0.1 g", f"0.1 g {LESS}"),
        ("at least 1 leg: whole", "at least 0.0001 lb trim 85: ground goat", f"0.0001 lb {LESS}"),
    ],
)
def test_amounts_below_half_a_thousandth_of_a_pound(shop, old, new, told):
    shop.spoil("scenario", (old, new))
    [problem] = shop.problems("scenario")
    assert problem.message.endswith(told)
    assert problem.line == shop.line("scenario", new)


def test_the_least_that_a_scale_shows_and_nothing_at_all_are_fine(shop):
    shop.spoil("scenario", ("bones: 4 lb", "bones: 0.0005 lb"), ("{mon: 2 lb,", "{mon: 0 lb,"))
    assert shop.problems("scenario") == []


def test_a_day_that_traffic_leaves_next_to_nothing(shop):
    shop.spoil("scenario", ("traffic: {mon: 8,", "traffic: {mon: 0.0001,"))
    problems = shop.problems("scenario")
    assert {problem.message.split(": ")[1] for problem in problems} == {
        "spread by traffic, a day gets less than a scale can weigh"
    }
    assert shop.line("scenario", "ground goat: ") in {problem.line for problem in problems}


def halved(times, start=1):
    """A recipe that cuts a piece in two, again and again."""
    lines = [
        f"  half {n}: {{keeps: 3 days, ways: {{on: {{gives: {{half {n + 1}: 2 at 50%}}}}}}}}"
        for n in range(start, times)
    ]
    last = f"  half {times}: {{keeps: 3 days, ways: {{end: {{gives: {{chops: 100%}}}}}}}}"
    return "\n".join(
        ["species: goat", "root: half 1", "pieces:", *lines, last]
        + ["cuts:", "  chops: {kind: chop, keeps: 3 days}", ""]
    )


def test_a_recipe_that_halves_a_piece_until_nobody_can_see_it(shop):
    shop.recipe.write_text(halved(40))
    [problem] = shop.problems("recipe")
    assert problem.line == shop.line("recipe", "half 25: 2 at 50%")
    assert problem.message == ("a half 25 is so small a share of the half 1 that no scale shows it")


def test_a_piece_of_a_lot_that_no_scale_shows(shop):
    shop.recipe.write_text(halved(20))
    assert shop.problems("recipe") == []
    shop.week.write_text(
        "starts: 2026-11-30\ndays: 6\nrecipes: [goat.yaml]\n"
        "rail:\n  - {goat: 1 head at 300 lb}\n  - {goat: 1 head at 40 lb}\n"
    )
    [problem] = shop.problems("scenario")
    assert (problem.line, problem.message) == (
        6, "the half 20 of one half 1 here weighs less than a scale can weigh (0.0000763 lb)"
    )  # fmt: skip
