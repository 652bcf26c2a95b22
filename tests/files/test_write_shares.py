"""Shares written into a recipe file: only numbers change, all agrees, and a kill does no harm."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from datetime import date
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from planner.commands.shop_folder import open_shop
from planner.core.errors import InputError
from planner.files.find import shipped_folder, shipped_names
from planner.files.recipe_file import read_recipe
from planner.files.shop_file import read_shop
from planner.files.write_shares import laid_beside, lay_beside, shares_in, take_away
from planner.journal.entries import BreakDone, Weighed, YieldsWritten
from planner.journal.store import Journal
from planner.learn.agreed import History, composition, learned_recipe, learned_ways
from planner.learn.rounded import CannotRoundError, rounded
from planner.learn.shares import WeighIn
from planner.shop.learned import write_yields as writeyields
from planner.shop.learned.weighed import learned_recipes, weigh_ins
from planner.shop.learned.write_yields import settle_yields, write_yields
from tests.shops import LITTLE_LAMB, shop_folder
from tests.two_measures import thorough

TODAY = date(2026, 11, 26)
RECIPES = [each for each in shipped_names("recipes") if each != "blends"]
ROAST = ("shoulder", "roast", "shoulder roast")


def invented(recipe, rng, share=0.5):
    """Weigh-ins of about half of the ways, some of them in part."""
    histories = {}
    for piece, way in recipe.ways():
        usual = composition(way)
        if rng.random() < share:
            row = rng.dirichlet(np.array(list(usual.values())) * 80 + 1e-2)
            names = list(usual) if rng.random() < 0.6 else list(usual)[:2]
            found = dict(zip(usual, map(float, row), strict=True))
            test = WeighIn(TODAY, 1, {name: found[name] for name in names})
            histories[piece.name, way.name] = History((test,) * 3)
    return histories


def without_numbers(text):
    return re.sub(r"[0-9]*\.?[0-9]+(?=\s*%)", "#", text)


@pytest.mark.parametrize("name", ["lamb", *thorough(*sorted({*RECIPES} - {"lamb"}))])
def test_shipped_recipes_are_sound_afterwards_and_only_their_numbers_change(name, tmp_path):
    file = tmp_path / f"{name}.yaml"
    shutil.copyfile(shipped_folder("recipes") / file.name, file)
    rng = np.random.default_rng(len(name))
    for _ in range(2):
        recipe = read_recipe(file, name)[0]
        learned = learned_recipe(recipe, invented(recipe, rng))
        figures = rounded(recipe, learned)
        new = shares_in(file, name, figures)
        assert without_numbers(new.new.decode()) == without_numbers(new.old.decode())
        file.write_bytes(new.new)
        written = read_recipe(file, name)[0]  # with all its checks: sums, and every path
        for piece, way in written.ways():
            total = sum(
                (counted(way, each) * figure for each, figure in way_figures(way).items()),
                Decimal(0),
            )
            assert total == 100, (piece.name, way.name)
            wanted = composition(learned.pieces[piece.name].ways[way.name])
            for each, share in composition(way).items():
                # half of 0.1 for each of a kind, and what its way has over for the largest
                count = counted(way, each)
                assert share == pytest.approx(wanted[each], abs=0.0011 * count + 0.004)


def way_figures(way):
    shares = {each.name: each.share for each in (*way.pieces, *way.cuts)} | {"loss": way.loss}
    return {name: Decimal(repr(round(share * 100, 10))) for name, share in shares.items()}


def counted(way, name):
    return next((each.count for each in (*way.pieces, *way.cuts) if each.name == name), 1)


def test_figures_have_one_digit_or_as_many_as_the_recipe(tmp_path):
    recipe = read_recipe(shipped_folder("recipes") / "lamb.yaml", "lamb")[0]
    figures = rounded(recipe, learned_recipe(recipe, invented(recipe, np.random.default_rng(3))))
    assert figures
    assert all(-int(each.as_tuple().exponent) <= 1 for each in figures.values())


LAID_OUT = """\
# An invented recipe, laid out in every way there is.\r
species: lamb\r
root: carcass     # the whole
pieces:
  carcass:
    keeps: 7 days
    ways:
      break:   {minutes: 3, gives: { 'leg' : "2 at 40%" , bones : 18 %,   # a comment, 5% of it
                                     loss: 2.00% }}    # 2% lost
      in half:
        gives:
          leg: '2  at  40%'   # as above: 40%
          bones: 15.5%

          loss:
            4.5%
  leg: {keeps: 5 days, ways: {whole: {gives: {whole leg: 99%, loss: 1%}}}}
cuts:
  whole leg: {kind: roast, keeps: 5 days}
  bones: {kind: bone, keeps: 3 days}
"""


def test_every_other_byte_stays(tmp_path):
    file = tmp_path / "lamb.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + LAID_OUT.encode())
    figures = {
        ("carcass", "break", "leg"): Decimal("39.5"),
        ("carcass", "break", "bones"): Decimal("19.1"),
        ("carcass", "break", "loss"): Decimal("1.9"),
        ("carcass", "in half", "leg"): Decimal("39.5"),
        ("carcass", "in half", "bones"): Decimal("16.3"),
        ("carcass", "in half", "loss"): Decimal("4.7"),
    }
    new = shares_in(file, "lamb.yaml", figures).new
    expected = LAID_OUT
    for old, other in (
        ('"2 at 40%"', '"2 at 39.5%"'),
        ("18 %", "19.1 %"),
        ("2.00%", "1.9%"),
        ("'2  at  40%'", "'2  at  39.5%'"),
        ("15.5%", "16.3%"),
        ("            4.5%", "            4.7%"),
    ):
        assert expected.count(old) == 1
        expected = expected.replace(old, other)
    assert new == b"\xef\xbb\xbf" + expected.encode()


def test_a_value_written_with_escapes_is_left_alone(tmp_path):
    file = tmp_path / "lamb.yaml"
    file.write_text(LITTLE_LAMB.replace("shoulder roast: 68%", r'shoulder roast: "\x36\x38%"'))
    before = file.read_bytes()
    with pytest.raises(InputError, match="change by hand: shoulder, roast: shoulder roast 67%"):
        shares_in(file, "lamb.yaml", {ROAST: Decimal(67)})
    assert file.read_bytes() == before


def test_figures_that_do_not_add_up_are_never_written(tmp_path):
    file = tmp_path / "lamb.yaml"
    file.write_text(LITTLE_LAMB)
    with pytest.raises(InputError, match="by hand"):
        shares_in(file, "lamb.yaml", {ROAST: Decimal(50)})
    assert list(tmp_path.iterdir()) == [file]


def test_a_shipped_recipe_is_refused():
    path = shipped_folder("recipes") / "lamb.yaml"
    with pytest.raises(InputError, match="shipped recipe.*copy it into the shop folder"):
        shares_in(path, "lamb", {})


@pytest.mark.parametrize(
    ("gives", "found", "sound"),
    [
        ("{half rack: 2 at 30%, end: 2 at 20%}", 0.60117, True),
        ("{half rack: 3 at 20%, end: 3 at 13.333333333333%}", 0.60117, False),
        ("{half rack: 4 at 10%, end: 3 at 20%}", 0.41, True),
        ("{half rack: 3 at 11%, end: 67%}", 0.35, True),
    ],
)
def test_ways_that_give_counted_things_only(tmp_path, gives, found, sound):
    text = LITTLE_LAMB.replace(
        "gives: {frenched rack: 2 at 30%, trim 80: 20%, bones: 18%, loss: 2%}", f"gives: {gives}"
    )
    sold = "kind: chop, keeps: 3 days"
    end = f"end: {{{sold}{'' if '67%' in gives else ', sold by: each'}}}"
    text = text.replace("  frenched rack: {kind: roast, keeps: 4 days, sold by: each}", f"  {end}")
    text = text.replace("cuts:\n", f"cuts:\n  half rack: {{{sold}, sold by: each}}\n")
    file = tmp_path / "lamb.yaml"
    file.write_text(text)
    recipe = read_recipe(file, "lamb.yaml")[0]
    test = WeighIn(TODAY, 1, {"half rack": found, "end": 1 - found})
    learned = learned_recipe(recipe, {("loin", "racks"): History((test,) * 50)})
    if not sound:
        with pytest.raises(CannotRoundError, match="loin, racks"):
            rounded(recipe, learned)
        return
    new = shares_in(file, "lamb.yaml", rounded(recipe, learned))
    file.write_bytes(new.new)
    way = read_recipe(file, "lamb.yaml")[0].pieces["loin"].ways["racks"]
    assert composition(way)["half rack"] == pytest.approx(found, abs=0.01)


# in a shop folder


def weighed(count=6, roast=8.4, day=date(2026, 11, 20)):
    one = Weighed("lamb shoulder roast", None, roast)
    return [BreakDone(day, "lamb shoulder", "roast", 2, 14.0, (one,)) for _ in range(count)]


@pytest.fixture
def folder(tmp_path):
    made = shop_folder(tmp_path)
    with Journal(made / "journal.db", create=True) as journal:
        journal.add(weighed())
    return made


def files(folder):
    return read_shop(folder)[0].recipe_files


def in_use(folder):
    """The shop's recipe with its estimates."""
    shop = open_shop(folder)
    with Journal(shop.journal) as journal:
        recorded = journal.recorded()
    return learned_recipes(shop.week(TODAY).recipes, recorded, date(2026, 11, 27))[0]


def same_shares(one, other, within):
    for (piece, way), (_, again) in zip(one.ways(), other.ways(), strict=True):
        expected = pytest.approx(composition(again), abs=within)
        assert composition(way) == expected, (piece.name, way.name)


def test_nothing_changes_by_the_writing_and_nothing_counts_twice(folder):
    before = in_use(folder)
    with Journal(folder / "journal.db") as journal:
        (written,) = write_yields(files(folder), journal, TODAY)
        assert written.ways == (("shoulder", "roast"),)
        (entry,) = (each.entry for each in journal.recorded() if is_written(each))
        assert (entry.piece, entry.way) == ("lamb shoulder", "roast")
        assert entry.weight > 6 * 4 / 3  # six weigh-ins of two, and what the recipe is worth
        same_shares(in_use(folder), before, 0.0011)
        assert write_yields(files(folder), journal, TODAY) == ()
        journal.add(weighed(3, 9.0))
    more = in_use(folder)
    again = shop_folder(folder.parent / "other")
    with Journal(again / "journal.db", create=True) as journal:
        journal.add([*weighed(), *weighed(3, 9.0)])
    # all nine at once: the same but for rounding, and for what the three say of the recipe's worth
    same_shares(more, in_use(again), 0.006)


def shared_sirloin(folder, legs, roasts, *, day=date(2026, 11, 20)):
    """Legs from which the same sirloin comes by two ways."""
    entries = []
    for way, pounds in (("frenched", legs), ("steaks", roasts)):
        one = Weighed("lamb sirloin", 1, pounds)
        entries += [BreakDone(day, "lamb leg", way, 1, 10.0, (one,))] * 3
    with Journal(folder / "journal.db", create=True) as journal:
        journal.add(entries)


@pytest.mark.parametrize(
    ("next_one", "within"), [(1.9, 0.0015), *thorough((2.2, 0.0008), (1.7, 0.0025))]
)
def test_a_shared_piece_stays_what_it_was_by_writing_and_by_the_next_weigh_in(
    tmp_path, next_one, within
):
    """Sirloins weighed from two ways: written or not, the next one moves the estimate alike."""
    shops = [shop_folder(tmp_path / name, recipe="shipped") for name in ("written", "not")]
    for shop in shops:
        shared_sirloin(shop, 2.3, 2.2)
    before = sirloins(shops[0])
    with Journal(shops[0] / "journal.db") as journal:
        (written,) = write_yields(files(shops[0]), journal, TODAY)
    assert {each.way for each in written.entries} == {"frenched", "steaks"}
    once, other = sirloins(shops[0]), sirloins(shops[1])
    assert other == before
    for way, share in once.items():
        assert share.estimate == pytest.approx(other[way].estimate, abs=0.0006), way  # rounded
        assert share.interval() == pytest.approx(other[way].interval(), abs=0.003), way
        assert share.interval() == pytest.approx(once["frenched"].interval()), way
    for shop in shops:
        with Journal(shop / "journal.db") as journal:
            one = Weighed("lamb sirloin", 1, next_one)
            journal.add([BreakDone(date(2026, 11, 21), "lamb leg", "steaks", 1, 10.0, (one,))])
    more, expected = sirloins(shops[0]), sirloins(shops[1])
    for way, share in more.items():
        # apart by rounding, and by what the weigh-in says of the recipe's worth
        assert share.estimate <= once[way].estimate - (0.21 - next_one / 10) * 0.09
        assert share.estimate == pytest.approx(expected[way].estimate, abs=within), way
        assert share.interval() == pytest.approx(expected[way].interval(), abs=0.004), way


def sirloins(folder):
    """What was learned of the sirloin, by way."""
    shop = open_shop(folder)
    with Journal(shop.journal) as journal:
        recorded = journal.recorded()
    (recipe,) = [each for each in shop.week(TODAY).recipes if each.species == "lamb"]
    histories = weigh_ins(recipe, recorded, date(2026, 11, 27)).histories
    return {
        way: shares["sirloin"]
        for (piece, way), shares in learned_ways(recipe, histories).items()
        if piece == "leg" and "sirloin" in shares
    }


def is_written(recorded):
    return isinstance(recorded.entry, YieldsWritten)


def test_one_piece_only(folder):
    with Journal(folder / "journal.db") as journal:
        rack = Weighed("lamb frenched rack", 2, 7.5)
        journal.add([BreakDone(TODAY, "lamb loin", "racks", 1, 12.0, (rack,))] * 3)
        (written,) = write_yields(files(folder), journal, TODAY, ["lamb loin"])
        assert written.ways == (("loin", "racks"),)
        assert [each.piece for each in written.entries] == ["lamb loin"]
        (written,) = write_yields(files(folder), journal, TODAY)
        assert [each.piece for each in written.entries] == ["lamb shoulder"]


def test_a_weigh_in_of_a_day_to_come_is_not_written(folder):
    with Journal(folder / "journal.db") as journal:
        journal.add(weighed(1, day=date(2026, 12, 24)))
        with pytest.raises(InputError, match="2026-12-24"):
            write_yields(files(folder), journal, TODAY)


def test_something_entered_meanwhile_stops_it(folder):
    before = (folder / "recipes/lamb.yaml").read_bytes()

    class Busy(Journal):
        def add_writings(self, make):
            super().add(weighed(1))
            return super().add_writings(make)

    with Busy(folder / "journal.db") as journal:
        with pytest.raises(InputError, match="in the meantime"):
            write_yields(files(folder), journal, TODAY)
        kinds = {type(each.entry) for each in journal.recorded(undone=True)}
        assert kinds == {BreakDone}  # neither what was to be written nor an undoing of it
        assert len(journal.recorded()) == 7
    assert (folder / "recipes/lamb.yaml").read_bytes() == before
    assert [each.name for each in (folder / "recipes").iterdir()] == ["lamb.yaml"]


KILLED = """
import os, signal, sys
from datetime import date
from pathlib import Path
from planner.files import write_shares
from planner.files.shop_file import read_shop
from planner.journal.store import Journal
from planner.shop.learned import write_yields as writeyields

folder, at = Path(sys.argv[1]), sys.argv[2]

def killed(*_, **__):
    os.kill(os.getpid(), signal.SIGKILL)

with Journal(folder / "journal.db") as journal:
    if at == "before the journal":
        journal.add_writings = killed
    else:
        writeyields.put_in_place = killed
    writeyields.write_yields(read_shop(folder)[0].recipe_files, journal, date(2026, 11, 26))
"""


def kill(folder, at):
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(folder), at], check=False, cwd=Path(__file__).parents[2]
    )
    assert done.returncode == -signal.SIGKILL
    assert len(laid_beside(folder / "recipes/lamb.yaml")) == 1


def test_killed_before_the_journal_has_it_nothing_has_happened(folder):
    before, file = in_use(folder), folder / "recipes/lamb.yaml"
    text = file.read_bytes()
    kill(folder, "before the journal")
    assert in_use(folder) == before
    assert file.read_bytes() == text
    (laid,) = laid_beside(file)  # it might be someone's who is at it
    with Journal(folder / "journal.db") as journal, pytest.raises(InputError, match="someone else"):
        write_yields(files(folder), journal, TODAY)
    os.utime(laid.draft, (0, 0))
    assert in_use(folder) == before
    assert not laid.draft.exists()
    with Journal(folder / "journal.db") as journal:
        assert write_yields(files(folder), journal, TODAY)


def test_an_earlier_writing_does_not_let_a_later_draft_take_its_place(folder):
    """Killed before the journal has it, with a writing of the same piece from before in it."""
    file = folder / "recipes/lamb.yaml"
    with Journal(folder / "journal.db") as journal:
        assert write_yields(files(folder), journal, TODAY)
        journal.add(weighed(3, 9.5))
    text = file.read_bytes()
    kill(folder, "before the journal")
    assert not settle_yields([file], folder / "journal.db")
    assert file.read_bytes() == text
    (laid,) = laid_beside(file)
    os.utime(laid.draft, (0, 0))
    open_shop(folder)
    assert file.read_bytes() == text
    with Journal(folder / "journal.db") as journal:
        assert write_yields(files(folder), journal, TODAY)
    assert file.read_bytes() != text


def test_of_two_files_the_second_is_written_after_the_first(folder):
    """The first writing of two is no entry of someone else's."""
    other = folder / "recipes/hog.yaml"
    other.write_text(LITTLE_LAMB.replace("lamb", "hog"))
    both = [folder / "recipes/lamb.yaml", other]
    hogs = Weighed("hog shoulder roast", None, 8.0)
    with Journal(folder / "journal.db") as journal:
        journal.add([BreakDone(TODAY, "hog shoulder", "roast", 2, 14.0, (hogs,))] * 4)
        done = write_yields(both, journal, TODAY)
        assert [each.file.rsplit("/")[-1] for each in done] == ["lamb.yaml", "hog.yaml"]
        assert len([each for each in journal.recorded() if is_written(each)]) == 2


def test_a_draft_taken_away_under_a_writing_is_told(folder, monkeypatch):
    def gone(laid, name):
        laid.draft.unlink()

    monkeypatch.setattr(writeyields, "put_in_place", gone)
    taken = pytest.raises(InputError, match="taken away before they were in place")
    with Journal(folder / "journal.db") as journal, taken:
        write_yields(files(folder), journal, TODAY)


def test_killed_after_it_the_next_command_finishes(folder):
    before, file = in_use(folder), folder / "recipes/lamb.yaml"
    kill(folder, "after the journal")
    assert "shoulder roast: 68%" in file.read_text()
    same_shares(in_use(folder), before, 0.0011)
    assert "shoulder roast: 68%" not in file.read_text()
    assert [each.name for each in file.parent.iterdir()] == ["lamb.yaml"]
    assert not settle_yields([file], folder / "journal.db")


def test_quarters_of_one_species_are_not_taken_for_each_other(folder):
    """What was written of another file says nothing of the one that lies beside this."""
    file = folder / "recipes/lamb.yaml"
    before = file.read_bytes()
    kill(folder, "before the journal")
    with Journal(folder / "journal.db") as journal:
        journal.add([YieldsWritten(TODAY, "lamb neck", "whole", 4.0)])
    assert not settle_yields([file], folder / "journal.db")
    assert file.read_bytes() == before


def test_a_file_changed_after_a_kill_is_not_written_over(folder):
    file = folder / "recipes/lamb.yaml"
    kill(folder, "after the journal")
    file.write_text(file.read_text() + "# mine\n")
    with pytest.raises(InputError, match="was changed while its yields were being written"):
        open_shop(folder)
    assert file.read_text().endswith("# mine\n")


def test_two_at_once_do_not_both_write(folder):
    new = shares_in(folder / "recipes/lamb.yaml", "lamb.yaml", {})
    laid = lay_beside(new, 6)
    with pytest.raises(InputError, match="someone else"):
        lay_beside(new, 6)
    take_away(laid, "lamb.yaml")
    assert laid.draft.exists()
    take_away(laid, "lamb.yaml", at_once=True)
    assert not laid.draft.exists()


def test_what_the_system_refuses_is_one_line(folder, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    before = (folder / "recipes/lamb.yaml").read_bytes()
    with Journal(folder / "journal.db") as journal:
        with pytest.raises(InputError, match=r"lamb\.yaml: cannot be written: No space left"):
            write_yields(files(folder), journal, TODAY)
        monkeypatch.undo()
        assert not [each for each in journal.recorded() if is_written(each)]
    assert (folder / "recipes/lamb.yaml").read_bytes() == before
    assert [each.name for each in (folder / "recipes").iterdir()] == ["lamb.yaml"]
