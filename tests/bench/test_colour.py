"""Colour on the pages: a look, a wished colour, the maker's own board, panels that were read."""

import io
import re
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

import numpy as np
import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
BOARD = EXAMPLES / "board.jpg"
MAPLE = {"wood": "hard-maple", "grade": "amber", "coats": "4", "load": "3.5 g/m2"}
BANDS = {"band_bare": "83.2, 3.5, 17.1", "band_sealed": "79.6, 4.6, 22.0",
         "band_2": "78.0, 4.9, 26.4", "band_4": "76.6, 5.4, 29.9",
         "band_9": "73.2, 7.0, 37.3"}  # fmt: skip
PANEL = {**BANDS, "grade": "amber", "load": "3.5 g/m2", "sealed_with": "blonde",
         "seal_load": "3 g/m2", "reader": "instrument", "geometry": "45/0", "light": "D65",
         "observer": "2"}  # fmt: skip


def text(response: Any) -> str:
    """Return the page as a person reads it, in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def sent(client: Any, data: bytes, name: str = "board.jpg", query: str = "") -> Any:
    """Send a photo."""
    from django.core.files.uploadedfile import SimpleUploadedFile

    return client.post(f"/colour/boards{query}", {"file": SimpleUploadedFile(name, data)})


def numbers(lab: str) -> list[float]:
    """Return a colour as it is written as numbers."""
    return [float(part) for part in lab.split(",")]


def encoded(image: Any, kind: str, **more: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def picture(data: bytes) -> Any:
    from PIL import Image

    return Image.open(io.BytesIO(data)).convert("RGB")


@pytest.fixture
def board(client: Any) -> str:
    """Return the address of a board that was sent."""
    answer = sent(client, BOARD.read_bytes())
    assert answer.status_code == 303, text(answer)
    return str(answer["Location"])


# --- what it will look like -----------------------------------------------------------------------


def test_the_words_of_the_model_stand_first_and_the_steps_follow(client: Any) -> None:
    from lacwright.colour import find_bare, find_grade_colour, look

    want = look(bare=find_bare("maple"), grades=[find_grade_colour("amber")], loads_g_m2=[14.0])
    answer = client.get(f"/colour?{urlencode(MAPLE)}")
    page = text(answer)
    assert page.index(want.words[1:]) < page.index("L*")
    assert "4 coats of amber on hard maple" in page.lower()
    shown = answer.context["look"]
    assert [s.called for s in shown.strips[0].steps] == ["bare wood", "1 coat", "2 coats",
                                                         "3 coats", "4 coats"]  # fmt: skip
    assert shown.basis == "grade name only; species default"
    assert "Direction and rank only." in page
    assert "No ageing is computed" in page
    assert not re.search(r"\b(safe|OK)\b", page)


def test_the_strip_is_a_picture_of_its_own_with_the_colours_of_the_model(client: Any) -> None:
    from lacwright.colour import find_bare, find_grade_colour, steps

    answer = client.get(f"/colour/drawn?{urlencode({**MAPLE, 'beside': 'garnet'})}")
    drawn = answer.content.decode()
    assert answer["Content-Type"].startswith("image/svg+xml")
    for name in ("amber", "garnet"):
        for step in steps(bare=find_bare("maple"), grades=[find_grade_colour(name)],
                          coat_g_m2=[3.5], coats=4):  # fmt: skip
            assert f'fill="{step.hex}"' in drawn
            assert step.words in drawn
    again = client.get(answer.request["PATH_INFO"] + "?" + answer.request["QUERY_STRING"],
                       headers={"if-none-match": answer["ETag"]})  # fmt: skip
    assert again.status_code == 304


def test_a_load_that_is_not_said_is_the_usual_coat_and_is_named_so(client: Any) -> None:
    told = {k: v for k, v in MAPLE.items() if k != "load"}
    answer = client.get(f"/colour?{urlencode(told)}")
    shown = answer.context["look"]
    assert shown.usual
    assert shown.coat.low < shown.coat.number() < shown.coat.high
    thin = client.get(f"/colour?{urlencode({**told, 'method': 'pad'})}").context["look"]
    assert thin.coat.number() < shown.coat.number()


def test_a_measured_board_and_a_blend_are_asked_with_all_they_need(client: Any) -> None:
    told = {"lab": "72 6.5 19", "geometry": "8/d", "light": "D50", "observer": "10",
            "grade": "blonde", "second": "garnet", "second_share": "30 %",
            "coats": "3", "load": "3.5 g/m2"}  # fmt: skip
    answer = client.get(f"/colour?{urlencode(told)}")
    shown = answer.context["look"]
    assert shown.viewing == "D50, 10 deg, 8/d, gloss included"
    assert shown.of == "3 coats of 70 % blonde with 30 % garnet on your board"
    assert "measured board" in shown.basis
    answer = client.get(f"/colour?{urlencode({**told, 'second_share': ''})}")
    assert answer.status_code == 422
    assert "second_share" in answer.context["form"].errors
    answer = client.get("/colour?grade=amber&coats=4")
    assert "wood" in answer.context["form"].errors
    answer = client.get("/colour?grade=amber&coats=4&lab=72")
    assert "lab" in answer.context["form"].errors


def test_an_address_without_a_number_of_coats_only_fills_in(client: Any) -> None:
    answer = client.get("/colour?wood=cherry&grade=garnet")
    assert answer.status_code == 200
    assert answer.context["look"] is None
    assert 'value="cherry" selected' in answer.content.decode()


def test_a_plan_leads_there_with_its_wood_grade_coats_and_the_film_that_is_left(
    filled: Any,
) -> None:
    from django.urls import reverse

    from lacwright.bench import drafts

    sha = drafts.keep((EXAMPLES / "table.toml").read_text("utf-8"))
    plan = filled.get(reverse("pieces-plan-draft", args=[sha]))
    made = plan.context["plan"]
    query = parse_qs(plan.context["look"])
    assert {"wood", "grade", "coats", "load"} == set(query)
    part = made.coats[0].part
    mine = [c for c in made.coats if c.part == part]
    assert query["coats"] == [str(len(mine))]
    left = made.figures[f"film.{part}.flat_left"].number()
    density = mine[0].laying.liquid.resin_density.number()
    load = float(query["load"][0].split()[0]) * len(mine)
    assert load == pytest.approx(left * density, rel=0.01)  # told with three digits
    assert filled.get(f"/colour?{plan.context['look']}").context["look"] is not None


# --- a wished colour ------------------------------------------------------------------------------


def test_a_wish_that_can_be_had_comes_with_its_recipes(client: Any) -> None:
    from lacwright.colour import find_bare, find_grade_colour, lab_under

    lab = lab_under(bare=find_bare("maple"), grades=[find_grade_colour("amber")],
                    loads_g_m2=[18.0])  # fmt: skip
    told = {"wood": "hard-maple", "target": ", ".join(f"{v:.2f}" for v in lab), "coats": "6",
            "load": "6 g/m2", "grades": ["amber", "garnet"]}  # fmt: skip
    answer = client.get(f"/colour/wish?{urlencode(told, doseq=True)}")
    shown = answer.context["wish"]
    assert shown.reachable
    first = shown.recipes[0]
    assert first.called == "3 coats of amber"
    assert "counts as met, 0.0 off" in first.off
    assert all(r.sensitive for r in shown.recipes)
    swatch = client.get(f"/colour/swatch?{first.swatch}")
    assert all(f">{word}<" in swatch.content.decode() for word in ("bare", "so", "wished"))
    assert client.get("/colour/swatch?wished=red").status_code == 404
    steps = client.get(f"/colour?{first.see}")
    assert steps.context["look"] is not None
    assert shown.recipes[0].lab == steps.context["look"].strips[0].steps[-1].lab


def test_a_wish_that_cannot_be_had_says_so_with_the_nearest(client: Any) -> None:
    page = text(client.get("/colour/wish?wood=cherry&target=70,6,20&coats=8&grades=blonde"))
    assert "Not reachable" in page
    assert "hellac only darkens and warms" in page
    assert "The nearest is" in page


def test_what_lies_on_the_shelf_may_be_laid_and_what_lies_on_the_piece_counts(filled: Any) -> None:
    answer = filled.get("/colour/wish?wood=cherry&word=warm&coats=4")
    shelf = answer.context["shelf"]
    assert shelf
    assert answer.context["wish"] is not None
    on = {"wood": "cherry", "word": "dark", "coats": "4", "grades": "amber", "on": "garnet"}
    assert filled.get(f"/colour/wish?{urlencode(on)}").status_code == 422
    told = filled.get(f"/colour/wish?{urlencode({**on, 'on_load': '20 g/m2'})}").context["wish"]
    assert "with what lies on it" in told.present
    assert filled.get("/colour/wish?wood=cherry&coats=4").status_code == 422


# --- the maker's own board ------------------------------------------------------------------------


def test_a_photo_is_kept_without_its_place(client: Any, shop: Any) -> None:
    from PIL import Image

    def opened(path: Path) -> Any:
        return Image.open(io.BytesIO(path.read_bytes()))

    exif = Image.Exif()
    exif[0x0112] = 6  # held upright: turned when it is shown
    exif[0x010F] = "a camera"
    exif.get_ifd(0x8825)[2] = (48.0, 12.0, 0.0)
    data = encoded(opened(BOARD), "JPEG", exif=exif)
    sha = sent(client, data)["Location"].rpartition("/")[2]
    files = list((shop.folder / "boards").glob(f"{sha}*.jpg"))
    assert len(files) == 2
    for path in files:
        assert not opened(path).getexif()
    wide, high = opened(BOARD).size
    assert opened(shop.folder / "boards" / f"{sha}.jpg").size == (high, wide)
    assert b"a camera" not in b"".join(path.read_bytes() for path in files)


def test_heic_is_taken_and_what_is_no_photo_is_refused_with_the_reason(client: Any) -> None:

    heif = pytest.importorskip("pillow_heif")
    photo = picture(BOARD.read_bytes())
    out = io.BytesIO()
    heif.from_pillow(photo).save(out, quality=90)
    assert sent(client, out.getvalue(), "board.heic").status_code == 303
    for data, why in ((b"GIF89a" + bytes(200), "it is no JPEG, PNG or HEIC photo"),
                      (encoded(photo.convert("L"), "JPEG"), "grey picture"),
                      (encoded(photo.resize((200, 120)), "JPEG"), "300 or more each way"),
                      (BOARD.read_bytes()[:4000], "broken or cut off")):  # fmt: skip
        answer = sent(client, data)
        assert answer.status_code == 422
        assert why.lower() in text(answer).lower()


def test_a_board_is_shown_at_once_in_steps_and_tapped_through(client: Any, board: str) -> None:
    answer = client.get(board)
    shown = answer.context["board"]
    assert [name for name, _ in shown.rows] == ["blonde", "amber", "garnet"]
    carried = client.get("/colour/boards?wood=cherry&load=5+g/m2").content.decode()
    assert f"{board}?wood=cherry&amp;load=5" in carried
    assert client.get(f"{board}?wood=cherry").context["form"]["wood"].value() == "cherry"
    assert shown.seen.called == "5 coats of blonde"
    query = urlencode({"coats": 3, "grades": ["amber", "garnet"], "load": "6 g/m2"}, doseq=True)
    panel = client.get(f"{board.replace('board/', 'board/panel/')}?{query}")
    assert panel["Content-Type"] == "image/jpeg"
    image = picture(panel.content)
    shown = client.get(f"{board}?{query}").context["board"]
    wide, narrow = shown.tapped
    assert wide.width / wide.height == pytest.approx(image.width / image.height, rel=0.01)
    # The middle of the last band of the second row, on either width.
    for tap in (wide, narrow):
        at = {f"{tap.name}.x": int(tap.width * 0.9), f"{tap.name}.y": int(tap.height * 0.9),
              f"{tap.name}_high": tap.height}  # fmt: skip
        gone = client.get(f"{board}?{query}&{urlencode(at)}")
        assert gone.status_code == 302
        assert parse_qs(urlsplit(gone["Location"]).query)["see"] == ["garnet:3"]
    seen = client.get(gone["Location"]).context["board"].seen
    assert seen.called == "3 coats of garnet"
    head = client.get(f"{board}?{query}&wide.x=5&wide.y=1&wide_high={wide.height}&see=amber:1")
    assert parse_qs(urlsplit(head["Location"]).query)["see"] == ["amber:1"]


def test_the_bands_of_the_panel_get_darker_and_a_guess_says_so(client: Any, board: str) -> None:
    query = "coats=4&grades=garnet&load=8+g/m2&top=10+%25&bottom=90+%25"
    image = np.asarray(picture(client.get(
        f"{board.replace('board/', 'board/panel/')}?{query}").content), dtype=float)  # fmt: skip
    band = image.shape[1] // 5
    rows = slice(int(image.shape[0] * 0.3), int(image.shape[0] * 0.45))  # above the words
    light = [image[rows, n * band + 5 : (n + 1) * band - 5].mean() for n in range(5)]
    assert light == sorted(light, reverse=True)
    one = f"{board.replace('board/', 'board/picture/')}?{query}"
    under, bare = (np.asarray(picture(client.get(f"{one}&see={see}").content), dtype=float)
                   for see in ("garnet:4", "bare:0"))  # fmt: skip
    low = slice(int(under.shape[0] * 0.74), int(under.shape[0] * 0.78))
    board_rows = slice(int(under.shape[0] * 0.3), int(under.shape[0] * 0.5))
    assert under[low].std() > bare[low].std()  # letters stand across it
    assert under[board_rows].mean() < bare[board_rows].mean() - 30
    top = slice(0, int(under.shape[0] * 0.05))
    assert np.abs(under[top] - bare[top]).mean() < 2  # outside the board nothing changes
    assert "the grade is known by its name alone" in text(client.get(f"{board}?{query}"))
    assert client.get(f"{one}&see=garnet:5").status_code == 404
    assert client.get(f"{one}&see=amber:2").status_code == 404


def test_a_reading_brings_the_photo_to_it(client: Any, board: str) -> None:
    told = "coats=3&grades=amber&top=10+%25&bottom=90+%25"
    plain = client.get(f"{board}?{told}").context["board"]
    read = client.get(f"{board}?{told}&lab=70,8,24").context["board"]
    assert plain.light == "photo as it is"
    assert read.light == "measured colour"
    assert any("factors of red, green and blue" in note for note in read.notes)
    assert client.get(f"{board}?{told}&lab=70,8,24&geometry=8/d").status_code == 422


def test_full_size_is_made_by_a_process_of_its_own(client: Any, shop: Any, board: str) -> None:
    from lacwright.bench import jobs

    sha = board.rpartition("/")[2]
    told = {"sha": sha, "query": "coats=3&grades=amber&grades=garnet&load=6+g%2Fm2"}
    out = jobs.full_picture(shop, tell=lambda *_: None, see="amber:3", **told)
    image = picture(Path(out.file).read_bytes())
    assert image.size == picture(BOARD.read_bytes()).size
    panel = jobs.full_picture(shop, tell=lambda *_: None, see="", **told)
    assert picture(Path(panel.file).read_bytes()).height > 2 * image.height
    refused = client.get(f"/colour/board/full/{sha}?{told['query']}")
    assert refused.status_code == 405


def test_a_board_that_is_gone_is_not_there(client: Any, board: str) -> None:
    for kind in ("", "photo/", "panel/", "picture/"):
        assert client.get(f"/colour/board/{kind}{'0' * 64}?coats=2&grades=amber").status_code == 404
    assert client.get("/colour/board/..%2Fsecret").status_code == 404
    assert client.get(f"/colour/patch/{'0' * 64}").status_code == 404
    panel = board.replace("board/", "board/panel/")
    assert client.get(f"{panel}?coats=2").status_code == 404


def test_a_colour_is_read_off_a_photo_where_it_is_tapped(client: Any) -> None:
    from PIL import Image, ImageDraw

    from lacwright.colour import Viewing, de00, lab_of_srgb

    photo = Image.new("RGB", (1600, 1200), (214, 190, 160))
    ImageDraw.Draw(photo).rectangle((800, 600, 1600, 1200), fill=(138, 90, 52))
    ImageDraw.Draw(photo).rectangle((0, 600, 400, 1200), fill=(255, 255, 255))
    sent_to = sent(client, encoded(photo, "PNG"), "p.png", "?for=patch")["Location"]
    assert "/patch/" in sent_to
    want = lab_of_srgb(np.array([138, 90, 52]) / 255, Viewing())
    for name, width in (("wide", 720), ("narrow", 320)):
        at = {f"{name}.x": int(width * 0.75), f"{name}.y": int(width * 0.75 * 0.75)}
        patch = client.get(f"{sent_to}?{urlencode(at)}").context["patch"]
        assert de00(numbers(patch.lab), want) < 1.0  # rounding to 8 bits, and a JPEG of nothing
    said = client.get(f"{sent_to}?x=75+%25&y=75+%25")
    assert de00(numbers(said.context["patch"].lab), want) < 1.0
    wish = re.search(r'href="(/colour/wish\?[^"]+)"', said.content.decode())
    assert wish is not None
    assert client.get(unescape(wish[1])).context["form"]["target"].value()
    over = client.get(f"{sent_to}?x=10+%25&y=75+%25")
    assert over.status_code == 422
    assert "overexposed" in text(over)


def test_a_card_is_marked_by_its_corners_and_a_panel_read_band_by_band(client: Any) -> None:
    from PIL import Image, ImageDraw

    from lacwright.colour import Viewing, de00, lab_of_srgb, srgb_of_lab
    from lacwright.colour.card import reference_card

    # A card beside a board, all of it seen in warm light: blue is taken down.
    card, photo = reference_card(), Image.new("RGB", (1200, 900), (128, 128, 128))
    draw = ImageDraw.Draw(photo)
    for n, lab in enumerate(card.lab):
        x, y = 600 + 80 * (n % 6), 100 + 80 * (n // 6)
        colour = tuple(np.rint(220 * srgb_of_lab(lab, card.viewing)).astype(int).tolist())
        draw.rectangle((x, y, x + 79, y + 79), fill=colour)
    wood = np.array([214, 190, 160])
    draw.rectangle((100, 500, 1100, 850), fill=tuple(np.rint(wood * 220 / 255).astype(int)))
    warm = np.asarray(photo).copy()
    warm[..., 2] = warm[..., 2] * 0.8
    out = encoded(Image.fromarray(warm), "PNG")
    start = sent(client, out, "p.png", "?for=patch&panel=panel+7")["Location"]
    assert "panel=panel+7" in start
    url = start.partition("?")[0]
    went = f"{url}?panel=panel+7&mark="
    for x, y in ((600, 100), (1080, 100), (1080, 420), (600, 420)):
        at = {"wide.x": x * 720 // 1200, "wide.y": y * 720 // 1200}
        answer = client.get(f"{went}&{urlencode(at)}")
        assert answer.status_code == 302
        went = answer["Location"]
    assert len(parse_qs(urlsplit(went).query)["card"][0].split()) == 4
    want = lab_of_srgb(wood / 255, Viewing())
    plain = client.get(f"{url}?panel=panel+7&x=50+%25&y=75+%25").context["patch"]
    page = client.get(f"{went}&x=50+%25&y=75+%25")
    right = page.context["patch"]
    off = [de00(numbers(p.lab), want) for p in (plain, right)]
    assert off[0] > 6
    assert off[1] < 1.5  # what a matrix leaves of a change of light made in screen values
    assert right.off < plain.off
    # It is the bare band; the next is tapped, and all go to the panel.
    following = client.get(f"{url}?{page.context['along'].take}")
    assert "Tap the band: sealed." in text(following)
    assert parse_qs(urlsplit(following.context["along"].done).query) == {
        "band_bare": [right.lab], "reader": ["camera"]}  # fmt: skip


# --- panels that were read ------------------------------------------------------------------------


@pytest.fixture
def panel(shop: Any) -> str:
    """Return the name of a panel of maple."""
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.writing import Entry

    add_piece(name="panel 7", kind="panel", wood="maple", areas_m2={"whole": 0.05}, entry=Entry())
    return "panel 7"


def test_a_panel_shows_before_itself_and_both_and_teaches_once_it_is_kept(
    client: Any, panel: str
) -> None:
    from lacwright.shop.models import Movement

    before = client.get(f"/colour?{urlencode(MAPLE)}").context["look"]
    count = Movement.objects.count()
    answer = client.post(f"/panels/colour/{panel}", {**PANEL, "token": "t1"})
    assert answer.status_code == 200, text(answer)
    told = answer.context["says"]
    assert Movement.objects.count() == count  # only looked at
    assert {c.words.partition(" ")[0] for c in told.constants} >= {"depth", "fall", "wetting"}
    deep = next(c for c in told.constants if c.words.startswith("depth of amber"))
    widths = [f.high / f.low for f in (deep.before, deep.after)]
    assert widths[1] < widths[0] / 2
    assert len(told.hits) == len(BANDS) - 1
    kept = client.post(f"/panels/colour/{panel}", {**PANEL, "token": "t2", "keep": "yes"})
    assert kept.status_code == 303, text(kept)
    page = client.get("/colour/panels")
    assert len(page.context["list"].rows) == len(told.hits)
    assert f"{page.context['came']} of {len(told.hits)}" in text(page)
    after = client.get(f"/colour?{urlencode(MAPLE)}").context["look"]
    assert "own panels" in after.basis
    assert float(after.far) < float(before.far)
    assert not client.get(f"/colour?{urlencode({**MAPLE, 'grade': 'garnet'})}").context[
        "look"].basis.startswith("own panels")  # fmt: skip


def test_a_panel_that_cannot_be_says_where(client: Any, panel: str) -> None:
    for change, where in (({"band_bare": ""}, "no band is bare"),
                          ({"band_9": "90, 3, 20"}, "lighter"),
                          ({"load": ""}, "what amber lies on it is not said"),
                          ({"band_2": "78"}, "is no colour")):  # fmt: skip
        answer = client.post(f"/panels/colour/{panel}", {**PANEL, **change, "token": "t"})
        assert answer.status_code == 422, change
        assert where in text(answer).lower(), change
        assert answer.context["form"]["band_4"].value() == BANDS["band_4"]


def test_a_colour_that_was_foretold_and_read_is_a_hit_or_a_miss(client: Any, panel: str) -> None:
    off_photo = client.get(f"/panels/colour/{panel}?band_bare=83,3,17&reader=camera&token=x")
    form = off_photo.context["form"]
    assert (form["band_bare"].value(), form["reader"].value()) == ("83,3,17", "camera")
    assert form["token"].value() != "x"
    asked = client.get(f"/panels/foretell/{panel}")
    assert "What is panel 7 to become?" in text(asked)
    answer = client.post(f"/panels/foretell/{panel}",
                         {"grade": "amber", "load": "14 g/m2", "token": "t1"})  # fmt: skip
    assert answer.status_code == 303, text(answer)
    row = client.get("/colour/panels").context["list"].rows[0]
    assert row.inside is None
    assert "What did panel 7 become?" in text(client.get(f"/panels/foretell/{panel}"))
    read = client.post(f"/panels/foretell/{panel}", {"read": row.foretold, "token": "t2"})
    assert read.status_code == 303, text(read)
    row = client.get("/colour/panels").context["list"].rows[0]
    assert row.inside
    assert row.off == "0.0"


def test_what_a_list_of_panels_asks_does_not_grow(client: Any, shop: Any, queries: Any) -> None:
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.services.proving import record_test
    from lacwright.shop.writing import Entry

    counts = []
    for n in range(6):
        add_piece(name=f"P{n}", kind="panel", wood="maple", entry=Entry())
        record_test(of_kind="piece", of=f"P{n}", test="colour-look",
                    result={"film": {"amber": 10.0 + n}}, entry=Entry())  # fmt: skip
        if n in (0, 5):
            client.get("/colour/panels?page=2")
            with queries() as asked:
                assert client.get("/colour/panels").status_code == 200
            counts.append(len(asked))
    assert counts[1] <= counts[0] + 1, counts


# --- in a browser ---------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(390, 844), (1280, 800)])
def test_a_board_is_sent_and_tapped_in_a_browser(
    window: Any, serving: Any, filled_folder: Path, size: tuple[int, int]
) -> None:
    from playwright.sync_api import expect

    url = serving(filled_folder).url
    page = window(size).page
    page.goto(f"{url}/colour/boards")
    page.get_by_label("Photo of the bare board").set_input_files(BOARD)
    page.get_by_role("button", name="Send it").click()
    page.wait_for_url("**/colour/board/*")
    tap = page.locator("input.tap:visible")
    assert tap.count() == 1
    box = tap.bounding_box()
    tap.click(position={"x": box["width"] * 0.95, "y": box["height"] * 0.95})
    page.wait_for_url("**see=*")
    big = page.locator("#seen .big").inner_text()
    assert re.fullmatch(r"5 coats of [\w -]+", big)
    # Chosen by its link, the picture alone is exchanged.
    page.evaluate("window.stays = true")
    page.locator("#seen ul.taps a").nth(1).click()
    expect(page.locator("#seen .big")).to_have_text(re.compile("^1 coat of"))
    assert page.evaluate("window.stays")
    shown = page.locator("#seen img")
    expect(shown).to_have_js_property("complete", True)
    assert shown.evaluate("i => i.naturalWidth") == 720
    page.get_by_role("button", name="This picture in full size").click()
    page.wait_for_url("**/settings/care/run/*")
    with page.expect_download() as got:
        page.get_by_role("link", name="Save a copy").click(timeout=60_000)
    assert picture(Path(got.value.path()).read_bytes()).size == (720, 420)
