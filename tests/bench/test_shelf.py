"""The shelf: lots written down, counted, changed, tested; where they went; a list read in."""

import io
import re
from html import unescape
from typing import Any
from urllib.parse import quote
from uuid import uuid4

import pytest

LIST = """name;kind;amount;grade;wax;alcohol;bought;price
lemon-1;flakes;1 kg;lemon;waxed;;2026-03-01;48,50
blonde-9;flakes;500 g;blonde;dewaxed;;;
can 12;alcohol;5 l;;;ethanol-190;;
P400 sheets;abrasive;50 pc;P400;;;;
"""


@pytest.fixture
def told(helper: Any) -> Any:
    """Return what tells the record about something so many days ago."""
    return helper("filling").past


@pytest.fixture
def names(helper: Any) -> Any:
    """Return the names of the filled shop."""
    return helper("filling")


def at(verb: str, name: str) -> str:
    """Return the address of a lot."""
    return f"/shelf/{verb}/{quote(name)}"


def send(client: Any, url: str, **told: Any) -> Any:
    """Send a form with a token of its own."""
    return client.post(url, {"token": uuid4().hex, **told})


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def said(client: Any, response: Any) -> str:
    """Return the page that a form leads to."""
    assert response.status_code == 303, text(response)
    return text(client.get(response["Location"]))


def lot(name: str) -> Any:
    """Return the row of a lot."""
    from lacwright.shop.models import Lot

    return Lot.objects.get(key=name)


def movements() -> int:
    """Return how many movements there are."""
    from lacwright.shop.models import Movement

    return Movement.objects.count()


# --- the list -----------------------------------------------------------------------------------


def test_an_empty_shelf_says_what_to_do_first(client: Any) -> None:
    page = client.get("/shelf")
    assert "The shelf is empty" in text(page)
    assert 'href="/shelf/add"' in page.content.decode()
    assert 'href="/shelf/list"' in page.content.decode()


def test_the_list_says_what_is_left_and_what_is_the_matter(filled: Any, names: Any) -> None:
    html = filled.get("/shelf").content.decode()
    assert re.search(rf">{names.LOW}</a> <b class=\"mark\">reorder<", html)
    assert "31 pieces" in html
    assert "fl oz" in html


def test_the_list_is_filtered_by_words_kind_and_what_is_there(
    filled: Any, names: Any, told: Any
) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import count_lot

    only = text(filled.get("/shelf?kind=abrasive"))
    assert "P320 sheets" in only
    assert names.LOT not in only
    assert names.LOT in text(filled.get("/shelf?q=B-12+invented"))
    count_lot(name=names.LOW, amount=grams(0), gone="waste", entry=told(1))
    assert names.LOW not in text(filled.get("/shelf"))
    assert names.LOW in text(filled.get("/shelf?show=all"))
    assert "No lot like that" in text(filled.get("/shelf?q=nowhere"))


def test_the_list_pages_with_as_many_queries_for_many_rows(
    client: Any, told: Any, queries: Any
) -> None:
    from lacwright.shop.ledger import grams
    from lacwright.shop.services.lots import add_lot

    counts = []
    for start, end in ((0, 4), (4, 34)):
        for n in range(start, end):
            add_lot(
                name=f"lot {n}", kind="flakes", amount=grams(100), grade="lemon", entry=told(50)
            )
        client.get("/shelf")
        with queries() as asked:
            page = client.get("/shelf")
        counts.append(len(asked))
    assert counts[0] == counts[1]
    assert "1 to 30 of 34" in text(page)
    assert "lot 0" in text(client.get("/shelf?page=2"))


# --- writing ------------------------------------------------------------------------------------


def test_flakes_are_written_down_as_people_write_them(client: Any) -> None:
    answer = send(client, "/shelf/add?kind=flakes", name="garnet-1", amount="2 lb 4 oz",
                  grade="garnet", waxed="yes", bleached="", price="48.50", price_for="",
                  order_below="250 g", opening="on")  # fmt: skip
    page = said(client, answer)
    assert "Lot garnet-1 is written down" in page
    assert "1021 g (36.0 oz)" in page
    row = lot("garnet-1")
    assert row.waxed is True
    assert row.order_below_u == 250_000_000
    assert row.price_for_u == row.opened.body["amount"]["n"]


def test_a_volume_of_flakes_is_refused_and_what_was_typed_is_kept(client: Any) -> None:
    answer = send(client, "/shelf/add?kind=flakes", name="garnet-1", amount="1 cup",
                  grade="garnet", supplier="invented supplier")  # fmt: skip
    assert answer.status_code == 422
    html = answer.content.decode()
    assert 'value="1 cup"' in html
    assert 'value="invented supplier"' in html
    assert re.search(r'id="id_amount_error">[^<]+', html)
    assert movements() == 0


def test_a_composition_as_the_data_sheet_has_it(client: Any) -> None:
    answer = send(client, "/shelf/add?kind=alcohol", name="can", amount="5 l", alcohol="",
                  composition="ethanol 85, methanol 10, water 5")  # fmt: skip
    page = said(client, answer)
    assert "methanol 10" in page
    assert "holds methanol" in page  # the caution
    assert lot("can").parts["methanol"] == pytest.approx(0.10)


def test_an_alcohol_that_does_not_suit_is_said_at_once(client: Any) -> None:
    page = said(client, send(client, "/shelf/add?kind=alcohol", name="can", amount="1 l",
                             alcohol="rubbing-alcohol", composition=""))  # fmt: skip
    assert page.count("It does not suit shellac") == 2  # in the sentence, and on its page


def test_paper_is_counted(client: Any) -> None:
    page = said(client, send(client, "/shelf/add?kind=abrasive", name="sheets", amount="50",
                             paper="P320"))  # fmt: skip
    assert "50 pieces" in page
    html = client.get("/shelf/add?kind=abrasive").content.decode()
    assert 'name="waxed"' not in html
    refused = send(client, "/shelf/add?kind=abrasive", name="more", amount="50", paper="P321")
    assert refused.status_code == 422
    assert re.search(r'id="id_paper_error"|class="error', refused.content.decode())


def test_a_count_goes_before_the_book(filled: Any, names: Any) -> None:
    page = said(filled, send(filled, at("count", names.LOW), amount="100 g", gone="waste"))
    assert f"Counted {names.LOW}: 100 g (3.53 oz), 20.0 g (0.705 oz) less" in page
    from lacwright.shop.queries.shelf import lot_line

    assert lot_line(lot(names.LOW)).left == pytest.approx(100)
    assert send(filled, at("count", names.LOW), amount="much", gone="waste").status_code == 422


def test_what_is_known_is_changed_and_nothing_else(filled: Any, names: Any) -> None:
    page = filled.get(at("change", names.SPIRIT))
    form = page.context["form"]
    shown = {f.name: f.value() or "" for f in form if f.name != "token"}
    answer = send(filled, at("change", names.SPIRIT), **{**shown, "supplier": "the chandler"})
    assert "the chandler" in said(filled, answer)
    from lacwright.shop.models import Movement

    assert Movement.objects.order_by("-id")[0].body["now"] == {"supplier": "the chandler"}
    same = send(filled, at("change", names.SPIRIT), **{**shown, "supplier": "the chandler"})
    assert same.status_code == 422
    assert "Nothing changes" in text(same)


def test_every_kind_of_lot_can_be_opened_for_a_change(filled: Any, names: Any) -> None:
    for name in (names.LOT, names.SPIRIT, "wax cake", "P320 sheets"):
        form = filled.get(at("change", name)).context["form"]
        shown = {f.name: f.value() or "" for f in form if f.name != "token"}
        answer = send(filled, at("change", name), **{**shown, "note": "looked at"})
        assert "looked at" in said(filled, answer)


# --- one lot ------------------------------------------------------------------------------------


def test_one_says_what_is_left_and_offers_a_mix(filled: Any, names: Any) -> None:
    page = filled.get(at("one", names.LOT))
    assert f"How much of {names.LOT} is left?" in text(page)
    assert "68.00 for 1000 g" in text(page).replace("  ", " ")
    assert "/jars/mix?flakes=garnet%20b%2F12" in page.content.decode()
    mix = filled.get("/jars/mix?flakes=" + quote(names.LOT)).content.decode()
    assert re.search(rf'<option value="{names.LOT}" selected>', mix)


def test_flakes_that_failed_are_shut_and_their_recall_is_shown(filled: Any, names: Any) -> None:
    running = send(filled, at("test", names.LOT), hours="25 h", dissolved="no")
    assert running["Location"] == at("one", names.LOT).replace("/", "/")
    page = said(filled, running)
    assert "look at the flakes again" in page
    answer = send(filled, at("test", names.LOT), hours="50 h", dissolved="no")
    assert answer["Location"] == at("recall", names.LOT)
    page = said(filled, answer)
    assert "Dissolve test of lot garnet b/12: failed" in page
    assert names.GOOD in page
    assert names.PIECE in page
    one = filled.get(at("one", names.LOT)).content.decode()
    assert "STOP" in one
    assert "/jars/mix?" not in one


def test_where_it_went_adds_up(filled: Any, names: Any) -> None:
    from lacwright.shop.queries.went import where_went

    page = text(filled.get(at("went", names.LOT)))
    for place in (names.GOOD, names.BLEND, names.PIECE, names.PANEL, names.BRUSH):
        assert place in page
    went = where_went(lot(names.LOT))
    holders = (*went.jars, *went.applicators, *went.pieces)
    total = went.in_store + went.air + went.waste + went.unaccounted
    assert total + sum(h.amount for h in holders) == pytest.approx(1500)
    html = filled.get(at("went", names.LOT)).content.decode()
    assert f'href="/panels/one/{quote(names.PANEL)}"' in html


def test_resin_of_a_bought_mix_points_to_its_jar(filled: Any, names: Any) -> None:
    page = filled.get(at("one", f"{names.BOUGHT} resin"))
    assert f'href="/jars/one/{names.BOUGHT}"' in page.content.decode()
    assert "/shelf/count/" not in page.content.decode()


def test_an_unknown_lot_is_a_page_with_the_nearest(filled: Any) -> None:
    answer = filled.get("/shelf/one/garnet%20b%2F13")
    assert answer.status_code == 404
    assert "garnet b/12" in text(answer)


# --- a list -------------------------------------------------------------------------------------


def test_a_list_is_looked_at_before_it_is_written_down(client: Any) -> None:
    looked = client.post("/shelf/list", {"file": io.BytesIO(LIST.encode()), "text": ""})
    assert looked.status_code == 200
    page = text(looked)
    assert "4 lots. Nothing is written down yet" in page
    assert "1000 g (35.3 oz)" in page
    assert "price 48.50" in page
    assert movements() == 0
    form = looked.context["form"]
    kept = {f.name: f.value() for f in form if f.value() not in (None, False)}
    answer = client.post("/shelf/list", {**kept, "keep": "yes"})
    assert "4 lots are written down" in said(client, answer)
    again = client.post("/shelf/list", {**kept, "keep": "yes"})
    assert again.status_code == 303  # the same token: the same answer
    assert movements() == 4
    assert lot("blonde-9").waxed is False


def test_a_pasted_list_is_told_what_is_wrong_line_by_line(client: Any) -> None:
    told = LIST.replace("1 kg", "1 cup").replace("ethanol-190", "ethanol-199")
    answer = client.post("/shelf/list", {"text": told})
    assert answer.status_code == 422
    page = text(answer)
    assert "line 2, amount" in page
    assert "line 4, alcohol" in page
    assert "nothing was written" in page
    assert "lemon-1;flakes" in unescape(answer.content.decode())  # what was pasted is kept
    assert movements() == 0


def test_a_name_that_is_there_already_is_told_with_its_line(filled: Any, names: Any) -> None:
    answer = filled.post("/shelf/list", {"text": f"name,kind,amount\n{names.LOT},flakes,1 kg\n"})
    assert answer.status_code == 422
    assert "line 2, name" in text(answer)


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"text": ""}, "choose a file, or paste the list"),
        ({"file": io.BytesIO(b"name;kind\n\xff\xfe\xfa"), "text": ""}, "not UTF-8"),
        ({"file": io.BytesIO(b"x" * 1_000_002), "text": ""}, "larger than 1 MB"),
        ({"text": "colour;size\nred;5\n"}, "no column is called"),
    ],
)
def test_what_is_no_list_is_refused(client: Any, sent: dict[str, Any], says: str) -> None:
    answer = client.post("/shelf/list", sent)
    assert answer.status_code == 422
    assert says in text(answer)
