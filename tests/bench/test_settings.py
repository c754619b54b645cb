"""Settings, own figures, readings, customers: what they show and write."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_the_zone_tells_hours_anew_and_changes_nothing_else(filled: Any) -> None:
    from lacwright.shop.models import Movement
    from lacwright.shop.queries.preferences import zone

    before = list(Movement.objects.values_list("id", "at_us"))
    answer = filled.post("/settings/zone", {"name": "Asia/Kathmandu", "token": "z"}, follow=True)
    assert "Hours are now told in Asia/Kathmandu" in text_of(answer)
    assert str(zone()) == "Asia/Kathmandu"
    assert list(Movement.objects.values_list("id", "at_us"))[:-1] == before
    number = Movement.objects.latest("id").id
    filled.post(f"/log/undo/{number}", {"token": "u"})
    assert str(zone()) == "UTC"


def test_a_zone_that_is_none_is_refused_with_the_nearest(client: Any) -> None:
    answer = client.post("/settings/zone", {"name": "Europe/Viena", "token": "z"})
    assert answer.status_code == 422
    assert "Did you mean &#x27;Europe/Vienna&#x27;" in text_of(answer)
    assert 'value="Europe/Viena"' in text_of(answer)


def test_a_currency_is_a_word(client: Any) -> None:
    assert client.post("/settings/currency", {"text": "12", "token": "a"}).status_code == 422
    answer = client.post("/settings/currency", {"text": "EUR", "token": "b"}, follow=True)
    assert "Prices are now written in EUR" in text_of(answer)
    assert client.post("/settings/currency", {"text": "EUR", "token": "c"}).status_code == 422


def test_an_own_figure_stands_beside_the_usual_one_with_what_counts(filled: Any) -> None:
    text = text_of(filled.get("/settings/figures/of/spread.brush"))
    assert "From your log: 4 coats" in text
    assert "2 times: the first coat: bare wood drinks" in text
    assert "1 time: it is no coat that builds the film" in text
    assert "Usual" in text
    from lacwright.shop.queries.own_figures import own_figures

    for told in own_figures(only=["spread.brush"])["spread.brush"].seen:
        assert f"/log/one/{told.movement}" in text


def test_a_figure_is_set_goes_before_the_log_and_is_taken_away_again(filled: Any) -> None:
    from lacwright.shop.queries.own_figures import own_figure

    learned = own_figure("spread.brush").value
    url = "/settings/figures/of/spread.brush"
    answer = filled.post(url, {"value": "77 ml/m2", "token": "a"}, follow=True)
    assert "Set by you" in text_of(answer)
    assert own_figure("spread.brush").value == 77
    assert "77 ml/m2" in text_of(filled.get("/settings"))
    filled.post("/settings/figures/reset/spread.brush", {"token": "b"})
    assert own_figure("spread.brush").value == learned
    again = filled.post("/settings/figures/reset/spread.brush", {"token": "c"})
    assert again.status_code == 422


def test_a_figure_that_is_no_such_quantity_is_refused_where_it_was_typed(client: Any) -> None:
    answer = client.post("/settings/figures/of/wait.pad", {"value": "soon", "token": "a"})
    assert answer.status_code == 422
    assert 'value="soon"' in text_of(answer)
    assert 'id="id_value_error"' in text_of(answer)
    assert client.get("/settings/figures/of/wait.padd").status_code == 422


def test_every_limit_of_the_tests_can_be_found_and_set(client: Any) -> None:
    text = text_of(client.get("/settings/figures", {"show": "all", "q": "drying test"}))
    for name in ("test.tack_free", "test.nail", "test.powder"):
        assert f"/settings/figures/of/{name}" in text
        answer = client.post(f"/settings/figures/of/{name}", {"value": "25 min", "token": name})
        assert answer.status_code == 303
    from lacwright.shop.services.proving import limits_now

    assert limits_now()["nail_min"] == 25


def test_an_empty_shop_says_what_to_do_first(client: Any) -> None:
    assert "Weigh the jar before and after a coat" in text_of(client.get("/settings/figures"))
    assert "write down what the dial says" in text_of(client.get("/settings/air"))
    assert "A piece can do without a customer" in text_of(client.get("/settings/customers"))
    assert "No backup was made yet" in text_of(client.get("/settings/care"))
    assert "Nothing was written down yet" in text_of(client.get("/log"))


# --- readings -------------------------------------------------------------------------------------


def test_a_reading_as_people_type_it(client: Any) -> None:
    told = {"temp_c": "70 F", "rh": "48 %", "board_mc": "9 %", "where": "rack", "token": "r",
            "ago": "20 min"}  # fmt: skip
    assert client.post("/settings/air/add", told).status_code == 303
    text = text_of(client.get("/settings/air"))
    assert "21.1 °C (70 °F), 48 %; board 9.0 %" in text
    assert "rack" in text
    wrong = client.post("/settings/air/add", {"temp_c": "170 C", "rh": "4800", "token": "s"})
    assert wrong.status_code == 422
    assert wrong.context["form"].errors.keys() == {"rh"}
    nothing = client.post("/settings/air/add", {"where": "rack", "token": "t"})
    assert "Nothing was read" in text_of(nothing)
    hot = client.post("/settings/air/add", {"temp_c": "170 C", "token": "u"})
    assert "170 C is no temperature of a shop" in text_of(hot)


TABLE = "time,temp,rh %,place\n2026-03-01 09:00,68 F,45,bench\n2026-03-01 10:00,20 C,46,bench\n"


def looked_at(client: Any, table: str | bytes) -> Any:
    data = table.encode() if isinstance(table, str) else table
    return client.post("/settings/air/import", {"file": SimpleUploadedFile("log.csv", data)})


def test_a_table_is_looked_at_before_it_is_written_down(client: Any) -> None:
    from lacwright.shop.models import Movement

    answer = looked_at(client, TABLE)
    assert answer.status_code == 303
    url = answer.headers["location"]
    text = text_of(client.get(url))
    assert "2 readings" in text
    assert "20.0 °C (68 °F), 45 %" in text
    assert not Movement.objects.exists()
    for _ in range(2):  # a second press counts once
        done = client.post(url, {"token": "keep"})
        assert done.status_code == 303
    assert Movement.objects.count() == 2
    assert "2 readings written down" in text_of(client.get("/settings/air"))
    text = text_of(client.get(looked_at(client, TABLE).headers["location"]))
    assert "2 stand in the record already" in text
    assert "Write 0 down" not in text


def test_a_doubled_hour_is_told_before_it_is_written_down(client: Any) -> None:
    client.post("/settings/zone", {"name": "Europe/Berlin", "token": "z"})
    table = "time,temp,rh %\n2026-10-25 02:30,20 C,45\n2026-10-25 04:00,20 C,45\n"
    text = text_of(client.get(looked_at(client, table).headers["location"]))
    assert "1 reading of table may be of either of two hours" in text
    assert "2026-10-25T02:30:00+01:00" in text
    plain = text_of(client.get(looked_at(client, TABLE).headers["location"]))
    assert "either of two hours" not in plain


def test_a_table_may_be_pasted(client: Any) -> None:
    answer = client.post("/settings/air/import", {"text": TABLE})
    assert "2 readings" in text_of(client.get(answer.headers["location"]))


def test_what_is_wrong_with_a_table_is_told_line_by_line(client: Any) -> None:
    from lacwright.shop.models import Movement

    table = TABLE + "2026-03-01 11:00,hot,46,bench\nyesterday,20,46,bench\n"
    answer = client.get(looked_at(client, table).headers["location"])
    assert answer.status_code == 422
    assert answer.context["form"]["text"].value() == table  # to be mended where it stands
    assert "line 4" in text_of(answer)
    assert "line 5" in text_of(answer)
    assert not Movement.objects.exists()
    for data in (b"", b"\xff\xfe\x00", b"a,b\n1,2\n"):
        answer = looked_at(client, data)
        if answer.status_code == 303:
            answer = client.get(answer.headers["location"])
        assert answer.status_code == 422, data
    assert client.post("/settings/air/import", {}).status_code == 422


def test_readings_are_filtered_by_place(filled: Any) -> None:
    assert "Nothing was read there" in text_of(filled.get("/settings/air", {"q": "attic"}))
    assert text_of(filled.get("/settings/air", {"q": "bench"})).count("<time") == 12


# --- customers ------------------------------------------------------------------------------------


def test_a_customer_is_written_down_changed_and_taken_back(client: Any) -> None:
    told = {"name": "Ada Linde", "contact": "by the mill", "note": "", "token": "c"}
    page = client.post("/settings/customers/add", told, follow=True)
    assert page.request["PATH_INFO"] == "/settings/customers/of/Ada%20Linde" or (
        "by the mill" in text_of(page)
    )
    changed = {"contact": "by the old mill", "note": "matt", "token": "d"}
    client.post("/settings/customers/change/Ada Linde", changed)
    assert "by the old mill" in text_of(client.get("/settings/customers/of/Ada Linde"))
    same = client.post("/settings/customers/change/Ada Linde", {**changed, "token": "e"})
    assert same.status_code == 422
    assert "Nobody of that name" in text_of(client.get("/settings/customers", {"q": "zz"}))
    gone = client.post("/log/undo/1", {"token": "f", "back": "/settings/customers/of/Ada%20Linde"})
    assert gone.headers["location"] == "/settings/customers"
    assert client.get("/settings/customers/of/Ada Linde").status_code in (404, 422)


def test_a_customer_shows_pieces_and_jobs(filled: Any, helper: Any) -> None:
    shop = helper("filling")
    text = text_of(filled.get(f"/settings/customers/of/{shop.CUSTOMER}"))
    assert "/pieces/one/hall%20table" in text
    assert "/jobs/one/T-13%20/%20rim" in text
