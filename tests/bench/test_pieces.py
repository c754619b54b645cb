"""A piece by form: shapes, areas, drawing, the piece file as the one truth."""

import html
import io
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
TOP = {"parts": "1", "part1-name": "top", "part1-shape": "panel", "part1-size": "600x400x20 mm",
       "part1-wood": "cherry", "part1-method": "brush"}  # fmt: skip


def words(answer: Any) -> str:
    told = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(told))


def build(client: Any, do: str, **more: Any) -> Any:
    return client.post("/pieces/build", {**TOP, "title": "A board", "do": do, **more})


def sha_of(answer: Any) -> str:
    found = re.search(r"/pieces/drawing/([0-9a-f]{64})", answer.content.decode())
    assert found is not None, words(answer)
    return found[1]


def test_sizes_become_areas_in_both_units_and_a_drawing(client: Any) -> None:
    answer = build(client, "draw")
    # 2 x 0.6 x 0.4 + 2 x 0.02 x (0.6 + 0.4) m2
    assert "In all 0.52 m² (5.6 sq ft) to finish" in words(answer)
    assert "faces 0.48 m²" in words(answer)
    drawing = client.get(f"/pieces/drawing/{sha_of(answer)}")
    assert drawing.headers["Content-Type"].startswith("image/svg+xml")
    assert b"600x400x20 mm" in drawing.content


def test_the_form_writes_a_piece_file(client: Any) -> None:
    answer = build(client, "draw", **{"wish-use": ["furniture", "drinks"], "wish-by": "2027-04-15",
                                      "room-temp": "21 C", "room-children": "no"})  # fmt: skip
    file = client.get(f"/pieces/file/{sha_of(answer)}")
    assert 'filename="piece.toml"' in file.headers["Content-Disposition"]
    told = tomllib.loads(file.content.decode())
    assert told["part"] == [{"name": "top", "shape": "panel", "wood": "cherry",
                             "size": "600x400x20 mm", "method": "brush"}]  # fmt: skip
    assert told["wish"]["use"] == ["furniture", "drinks"]
    assert f"{told['wish']['by']}" == "2027-04-15"
    assert told["shop"] == {"temp": "21 C", "children": False}


@pytest.mark.parametrize(
    ("more", "form", "field", "told"),
    [
        ({"part1-size": "600x400x20"}, "part", "size", "has no unit"),
        ({"part1-size": "600x400 mm"}, "part", "size", "it has 2 lengths"),
        ({"part1-size": ""}, "part", "size", "it is missing"),
        ({"part1-count": "two"}, "part", "count", "not a whole number"),
        ({"part1-finish": "lid"}, "part", "finish", "has no face 'lid'"),
        ({"wish-film_left": "much"}, "wish", "film_left", "much"),
        ({"wish-start": "2027-04-01", "wish-by": "2027-03-01"}, "wish", "by", "before the start"),
        ({"room-rh": "45"}, "room", "rh", "45"),
        ({"mixes": "1", "mix1-name": "body", "mix1-cut": "40"}, "mix", "cut", "40"),
        ({"mixes": "1", "mix1-name": "body"}, "mix", "cut", "the cut is missing"),
    ],
)
def test_the_model_speaks_at_its_field_and_what_was_typed_stays(
    client: Any, more: dict[str, str], form: str, field: str, told: str
) -> None:
    answer = build(client, "plan", **more)
    assert answer.status_code == 422
    page = answer.context["page"]
    held = {"part": page.parts[0], "wish": page.wish, "room": page.room,
            "mix": (page.mixes or [None])[0]}[form]  # fmt: skip
    assert told.lower() in " ".join(held.errors[field]).lower()
    for name, value in more.items():
        if "-" in name and value:
            assert f'value="{value}"' in answer.content.decode()


def test_parts_come_and_go_without_complaint(client: Any) -> None:
    more = build(client, "add-part")
    assert more.status_code == 200
    assert len(more.context["page"].parts) == 2
    assert more.context["page"].parts[1]["wood"].value() == "cherry"
    legs = {"parts": ["1", "2"], "part2-name": "legs", "part2-shape": "leg"}
    shaped = build(client, "shape", **legs)
    assert "Width at the top" in words(shaped)
    assert not shaped.context["page"].parts[1].errors
    fewer = build(client, "drop-part-1", **legs)
    assert [p["name"].value() for p in fewer.context["page"].parts] == ["legs"]


def test_every_shape_is_read_drawn_and_shown(client: Any) -> None:
    shapes: dict[str, dict[str, str]] = {
        "panel": {"size": "600x400x20 mm"}, "disc": {"diameter": "60 cm", "thickness": "18 mm"},
        "box": {"size": "300x200x120 mm", "wall": "8 mm", "lid": "no"},
        "carcase": {"size": "1800x900x300 mm", "thickness": "18 mm", "shelves": "3"},
        "frame-and-panel": {"size": "700x450x20 mm", "stile": "60 mm", "top_rail": "60 mm",
                            "bottom_rail": "80 mm"},
        "moulding": {"length": "2 m", "profile": "0 0\n10 4\n20 20", "unit": "mm"},
        "turned": {"stations": "0 30; 200 45; 420 25", "unit": "mm", "smooth": "yes"},
        "leg": {"length": "520 mm", "head": "36 mm", "foot": "24 mm"},
        "rod": {"diameter": "30 mm", "length": "400 mm"},
        "guitar": {"size": "guitar-classical"}, "violin": {"size": "violin-4/4"},
        "viola": {"size": "viola-medium"},
        "ukulele": {"body": "285 mm", "upper": "160 mm", "waist": "147 mm", "lower": "213 mm",
                    "ribs": "68 mm", "neck": "200 cm2"},
        "rows": {"rows": "2 of 460x70 mm\n320x70x18 mm"}, "area": {"area": "0.5 m2"},
    }  # fmt: skip
    from lacwright.files.parts import shapes as known

    assert set(shapes) == set(known())
    sent: dict[str, Any] = {"do": "draw", "parts": [str(n) for n in range(1, len(shapes) + 1)]}
    for n, (shape, sizes) in enumerate(shapes.items(), 1):
        told = {"name": shape, "shape": shape, "wood": "maple", **sizes}
        sent |= {f"part{n}-{k}": v for k, v in told.items()}
    answer = client.post("/pieces/build", sent)
    assert answer.status_code == 200, answer.context["page"].wrong
    sha = sha_of(answer)
    for width in ("", "?narrow"):
        drawing = client.get(f"/pieces/drawing/{sha}{width}").content.decode()
        assert drawing.count("<polygon") >= len(shapes)
        assert "nan" not in drawing


@pytest.mark.parametrize("name", ["table", "ukulele", "class"])
def test_a_piece_file_goes_through_the_form_unharmed(client: Any, name: str) -> None:
    from lacwright.files.piece import piece_of

    text = (EXAMPLES / f"{name}.toml").read_text("utf-8")
    answer = client.post("/pieces/text", {"text": text, "do": "form"})
    page = client.get(answer.headers["Location"])
    sent: dict[str, Any] = {"do": "draw"}
    form = page.content.decode().partition('id="piece"')[2].partition("</form>")[0]
    for tag in re.findall(r"<input[^>]*>", form):
        told = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        off = told.get("type") in ("checkbox", "radio") and not re.search(r"\bchecked\b", tag)
        if "name" in told and not off:
            sent.setdefault(told["name"], []).append(_plain(told.get("value", "")))
    for field, options in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        sent[field] = _plain(chosen[1]) if chosen else ""
    for field, value in re.findall(
        r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S
    ):
        sent[field] = _plain(value)
    again = client.post("/pieces/build", sent)
    found = re.search(r"/pieces/file/([0-9a-f]{64})", again.content.decode())
    assert found is not None, words(again)
    kept = client.get(f"/pieces/file/{found[1]}").content.decode()
    assert piece_of(tomllib.loads(kept), "x") == piece_of(tomllib.loads(text), "x")


def _plain(text: str) -> str:
    return html.unescape(text)


def test_a_piece_is_kept_with_its_file_and_changed(client: Any) -> None:
    from lacwright.shop.models import Event, Piece

    answer = build(client, "keep", piece="board / 1", token="a1")
    assert answer.status_code == 303
    page = client.get(answer.headers["Location"])
    assert "board / 1 is kept with its piece file" in words(page)
    row = Piece.objects.get(key="board / 1")
    assert (row.wood, round(row.areas_m2["top"], 3)) == ("cherry", 0.52)
    assert build(client, "keep", piece="board / 1", token="a1").status_code == 303
    assert Event.objects.filter(kind="attach").count() == 1
    taken = build(client, "keep", piece="board / 1", token="a2")
    assert "already" in " ".join(taken.context["keeping"].errors["piece"])
    changed = build(client, "keep", of="board / 1", token="a3", **{"part1-size": "700x400x20 mm"})
    assert changed.status_code == 303
    assert "700x400x20 mm" in client.get("/pieces/build?of=board+%2F+1").content.decode()
    row.refresh_from_db()
    assert round(row.areas_m2["top"], 3) == 0.604


def test_the_list_finds_by_name_wood_and_customer(filled: Any) -> None:
    assert "Hall table in walnut" in words(filled.get("/pieces?q=maren"))
    page = words(filled.get("/pieces?q=cherry"))
    assert "Box for tea" in page
    assert "Hall table" not in page


def test_a_piece_tells_what_is_on_it(filled: Any) -> None:
    page = words(filled.get("/pieces/one/hall%20table"))
    assert "What is on Hall table in walnut?" in page
    assert "STOP Jar J2 failed its drying test" in page
    assert "of dry film" in page
    assert filled.get("/pieces/one/nowhere").status_code == 404


def test_title_customer_and_note_can_be_changed(filled: Any) -> None:
    from lacwright.shop.models import Piece

    url = "/pieces/change/hall%20table"
    assert "selected>Maren Holt" in filled.get(url).content.decode()
    sent = {"token": "c", "title": "Table for the hall", "customer": "", "note": "oak? no"}
    assert filled.post(url, sent).status_code == 303
    row = Piece.objects.get(key="hall table")
    assert (row.title, row.customer, row.note) == ("Table for the hall", None, "oak? no")
    same = filled.post(url, {**sent, "token": "d"})
    assert same.status_code == 422


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"text": "[[part]\n"}, "not TOML"),
        ({"text": ""}, "there is nothing to finish"),
        ({"text": "[[part]]\nname = 'x'\n"}, "shape"),
        ({"file": b"\xff\xfe\x00"}, "not UTF-8"),
        ({"file": b"x = 1\n" * 200_000}, "larger than 1 MB"),
    ],
)
def test_a_bad_piece_file_is_told_off_in_full(client: Any, sent: dict[str, Any], told: str) -> None:
    if "file" in sent:
        file = io.BytesIO(sent["file"])
        file.name = "x.toml"
        sent = {"file": file}
    answer = client.post("/pieces/text", {"do": "plan", **sent})
    assert answer.status_code == 422
    assert told.lower() in words(answer).lower()


def test_drafts_are_found_by_hash_alone(client: Any) -> None:
    for sha in ("0" * 64, "..", "x" * 64, "0" * 63):
        assert client.get(f"/pieces/file/{sha}").status_code == 404


def test_what_is_written_as_toml_reads_back_the_same() -> None:
    import datetime as dt

    from lacwright.bench.toml_text import written

    data = {
        "a b": 'quote " and \\ and \n and \x7f and \u00e9',
        "n": -3,
        "x": 1e-7,
        "yes": True,
        "day": dt.date(2027, 3, 1),
        "empty": [],
        "t": {"in": {"deep": {"e": 1}}, "rows": [{"a": [1, 2.5], "b": {"c": "d"}}]},
        "list": [{"name": "x", "rows": [{"size": "1x1 mm"}]}, {}],
    }
    assert tomllib.loads(written(data)) == data
