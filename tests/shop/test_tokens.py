"""The same request twice is carried out once; a token is never used for two things."""

from __future__ import annotations

from typing import Any

import pytest

from lacwright.figures import Refusal
from lacwright.shop.ledger import grams


def add(name: str, g: float = 100.0, **entry: Any) -> Any:
    from lacwright.shop.services.lots import add_lot
    from lacwright.shop.writing import Entry

    return add_lot(name=name, kind="flakes", amount=grams(g), entry=Entry(**entry))


def movements() -> int:
    from lacwright.shop.models import Movement

    return Movement.objects.count()


def test_the_same_token_gets_the_first_answer_again(shop: Any) -> None:
    first = add("garnet", token="t1")
    again = add("garnet", token="t1")
    assert (again.data, again.movement) == (first.data, first.movement)
    assert (first.repeated, again.repeated) == (False, True)
    assert movements() == 1


def test_the_same_token_with_another_body_is_refused_in_a_sentence(shop: Any) -> None:
    first = add("garnet", token="t1")
    with pytest.raises(Refusal, match="used before for another request") as refused:
        add("garnet", 101.0, token="t1")
    assert "add_lot" in str(refused.value)
    assert len(str(refused.value)) < 200  # one sentence, not the whole first answer
    assert str(refused.value).count("movement 1") == 1
    assert movements() == 1
    assert first.movement == 1


@pytest.mark.parametrize("other", [{"author": "B"}, {"reason": "slip"}, {"at_us": 1}])
def test_who_why_and_when_are_part_of_the_request(shop: Any, other: dict[str, Any]) -> None:
    add("garnet", token="t1")
    with pytest.raises(Refusal, match="--token"):
        add("garnet", token="t1", **other)


def test_a_device_that_says_seconds_ago_may_send_again_later(shop: Any) -> None:
    first = add("garnet", token="t1", seconds_ago=60.0, now_us=10**15)
    again = add("garnet", token="t1", seconds_ago=95.0, now_us=10**15 + 35_000_000)
    assert again.movement == first.movement
    from lacwright.shop.models import Movement

    assert Movement.objects.get().at_us == 10**15 - 60_000_000


def test_a_dry_run_uses_up_no_token(shop: Any) -> None:
    told = add("garnet", token="t1", dry_run=True)
    assert (told.movement, told.dry_run, movements()) == (None, True, 0)
    assert add("garnet", token="t1").movement == 1


def test_a_refused_request_uses_up_no_token(shop: Any) -> None:
    with pytest.raises(Refusal):
        add("a:b", token="t1")
    assert movements() == 0
    assert not add("ab", token="t1").repeated


@pytest.mark.parametrize("token", ["x" * 71, ""])
def test_a_token_has_its_bounds(shop: Any, token: str) -> None:
    if not token:
        assert add("garnet", token=token).movement == 1  # an empty one is none
        return
    with pytest.raises(Refusal, match="it has 71 characters"):
        add("garnet", token=token)


def test_bytes_that_are_no_characters_are_refused(shop: Any) -> None:
    with pytest.raises(Refusal, match="bytes that are no characters"):
        add("garnet", reason="caf\udce9")
    assert movements() == 0


# --- a COMMIT that reports a fault --------------------------------------------------------------


def fail_commit(monkeypatch: pytest.MonkeyPatch, *, written: bool, again: bool = True) -> None:
    """Let the next COMMIT report a fault, whether or not it was carried out."""
    from django.db import OperationalError, connection
    from django.db.backends.base.base import BaseDatabaseWrapper

    real = BaseDatabaseWrapper._commit
    state = {"left": 1}

    def commit(self: Any) -> None:
        if not state["left"]:
            return real(self)
        state["left"] = 0
        if written:
            real(self)
        if not again:
            monkeypatch.setitem(connection.settings_dict, "NAME", "/nowhere/shop.sqlite3")
        raise OperationalError("disk I/O error")

    monkeypatch.setattr(BaseDatabaseWrapper, "_commit", commit)


def test_a_commit_that_failed_but_was_written_is_acknowledged(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_commit(monkeypatch, written=True)
    answer = add("garnet", token="t1")
    assert (answer.movement, answer.repeated) == (1, True)
    assert movements() == 1


def test_a_commit_that_failed_and_was_not_written_is_refused(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_commit(monkeypatch, written=False)
    with pytest.raises(Refusal, match=r"disk reports a fault.*nothing was written"):
        add("garnet", token="t1")
    assert movements() == 0
    assert add("garnet", token="t1").movement == 1


def test_where_nobody_can_tell_the_token_is_named(
    shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    fail_commit(monkeypatch, written=True, again=False)
    with pytest.raises(Refusal, match="shows when it is sent again with --token t1"):
        add("garnet", token="t1")
    monkeypatch.undo()
    from django.db import connection

    connection.close()
    answer = add("garnet", token="t1")
    assert (answer.movement, answer.repeated) == (1, True)


def test_a_fault_of_the_program_is_not_blamed_on_the_disk(shop: Any) -> None:
    from django.db import IntegrityError

    from lacwright.shop.models import Place
    from lacwright.shop.writing import Entry, write

    def do(w: Any) -> dict[str, Any]:
        Place.objects.create(key="air", kind="air")
        return {}

    with pytest.raises(IntegrityError):
        write("twice", {}, Entry(), do)


@pytest.mark.parametrize("dry_run", [False, True])
def test_an_author_of_more_letters_than_a_name_has_is_refused_before_anything_is_written(
    shop: Any, dry_run: bool
) -> None:
    from lacwright.shop.models import Lot

    add("garnet", author="ä" * 80)  # letters are counted, not bytes
    with pytest.raises(Refusal, match="--author: the name has 81 characters, 80 are the most"):
        add("blonde", author="ä" * 81, dry_run=dry_run)
    assert movements() == 1
    assert not Lot.objects.filter(key="blonde").exists()
