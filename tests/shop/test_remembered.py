"""An answer is kept exactly as long as the record stands as it did."""

import sqlite3
from contextlib import closing
from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop import Home, close_record, find_home, open_record


@pytest.fixture
def asked(bench: Any) -> Any:
    """Return a question that counts how often it is worked out."""
    from lacwright.shop.queries.remembered import remembered

    class Asked:
        times = 0

        def __call__(self, what: str = "lots") -> int:
            def make() -> int:
                from lacwright.shop.models import Lot

                self.times += 1
                return Lot.objects.filter(said=True).count()

            return remembered(("test", what), make)

    return Asked()


def test_it_is_worked_out_once_and_anew_after_every_entry(bench: Any, asked: Any) -> None:
    assert [asked(), asked(), asked.times] == [0, 0, 1]
    bench.flakes("garnet")
    assert [asked(), asked(), asked.times] == [1, 1, 2]
    assert [asked("other"), asked.times] == [1, 3]


def test_an_entry_that_was_given_up_leaves_nothing_behind(bench: Any, asked: Any) -> None:
    """The number of its movement is given again, to another."""
    from lacwright.shop.ledger import grams
    from lacwright.shop.models import Movement
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import write

    assert asked() == 0
    seen = []

    def do(w: Any) -> dict[str, Any]:
        w.movement("note", facts={"text": "given up"})
        seen.append((Movement.objects.latest("id").id, asked()))
        raise Refusal("a", "b", "c")

    with pytest.raises(Refusal):
        write("note", {}, bench.at(2), do)
    add_lot(name="garnet", kind="flakes", amount=grams(1), grade="garnet", entry=bench.at(2))
    assert Movement.objects.latest("id").id == seen[0][0]
    assert asked() == 1


def test_what_another_program_changes_without_an_entry_is_seen(
    bench: Any, asked: Any, home: Home
) -> None:  # fmt: skip
    """Indexes that are made anew leave no movement and no seal."""
    bench.flakes("garnet")
    assert [asked(), asked(), asked.times] == [1, 1, 1]
    with closing(sqlite3.connect(home.database)) as other:
        other.execute("UPDATE shop_lot SET said = 0")
        other.commit()
    assert [asked(), asked.times] == [0, 2]


def test_two_shops_do_not_share_it(bench: Any, asked: Any, home: Home, tmp_path: Any) -> None:
    assert asked() == 0
    open_record(find_home(tmp_path / "another"))
    assert [asked(), asked.times] == [0, 2]
    close_record()


def test_only_so_many_are_kept(bench: Any, asked: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from lacwright.shop.queries import remembered

    monkeypatch.setattr(remembered, "MOST", 2)
    for what in ("a", "b", "c", "b", "a"):
        asked(what)
    assert asked.times == 4
