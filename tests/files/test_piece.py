"""The piece file: what is read, what is refused and where, and a reference that says it all."""

import datetime as dt
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError, create_model
from pydantic.fields import FieldInfo

from lacwright.figures import Learned, Refusal, Refusals
from lacwright.files import reference
from lacwright.files.checks import FileTable, keys
from lacwright.files.own import own_keys
from lacwright.files.parts import shapes
from lacwright.files.piece import TABLES, piece_of, read_piece
from lacwright.plan.piece import Piece, Step

ROOT = Path(__file__).parents[2]
DOC = ROOT / "docs/reference/piece-file.md"
EXAMPLES = ("table", "ukulele", "class")
TOP = '[[part]]\nname = "top"\nshape = "panel"\nwood = "cherry"\nsize = "500x400x20 mm"\n'
BODY = '[[mix]]\nname = "body"\ncut = 2\n'


def piece(text: str) -> Piece:
    return piece_of(tomllib.loads(text), "test")


def step(text: str) -> Step:
    return piece(f"{TOP}{BODY}[[step]]\n{text}").steps[0]


def refused(text: str) -> list[str]:
    """Return every refusal of a file as its line."""
    with pytest.raises(Refusal) as caught:
        piece(text)
    several = caught.value
    return [str(r) for r in several.each] if isinstance(several, Refusals) else [str(several)]


def the_refusal(text: str) -> str:
    (only,) = refused(text)
    return only


# The examples ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_is_read(name: str) -> None:
    found = read_piece(ROOT / f"examples/{name}.toml")
    assert found.mixes
    assert all(lot.have for lot in found.shelf)


def test_the_table_leaves_the_course_open_and_brings_own_figures() -> None:
    table = read_piece(ROOT / "examples/table.toml")
    assert table.steps == ()
    assert table.wish.film_left_um == 40
    assert [p.method for p in table.parts] == ["brush"] * 4
    hand = table.own["hand.brush"]
    assert isinstance(hand, Learned)
    assert len(hand.seen) == 3
    assert dt.date(2027, 3, 29) in table.shop.closed
    assert table.quote is not None
    assert table.quote.rate_per_h == 48
    assert table.quote.contingency_on == "labour"
    assert table.quote.hours[0].per_m2_h == pytest.approx(0.75)


def test_the_ukulele_has_its_course_and_a_plan_for_oily_rags() -> None:
    ukulele = read_piece(ROOT / "examples/ukulele.toml")
    session = next(s for s in ukulele.steps if s.what == "session")
    assert (session.times, session.uses_ml, session.oil) == (7, 9, "walnut")
    assert ukulele.shop.rag_plan
    assert next(s for s in ukulele.steps if s.what == "pumice").faces == ("back", "ribs", "neck")
    assert next(s for s in ukulele.steps if s.what == "harden").rest_days == 14
    assert len(ukulele.shop.closed) == 5  # a time away counts both its ends


def test_the_class_counts_people_and_both_faces_of_a_lid() -> None:
    course = read_piece(ROOT / "examples/class.toml").course
    assert course is not None
    assert (course.students, course.demonstrators) == (6, 1)
    assert [e.area_m2 for e in course.exercises] == pytest.approx([0.045, 0.048])
    assert course.lost_per_person_ml == (("brushing", 15), ("padding", 10))


# What is read ------------------------------------------------------------------------------------


def test_a_file_of_one_part_is_enough_and_is_called_like_the_file(tmp_path: Path) -> None:
    file = tmp_path / "lid.toml"
    file.write_text(TOP)
    found = read_piece(file)
    assert found.title == "lid"
    assert found.shop.temp_c is None
    assert found.quote is None


@pytest.mark.parametrize(
    ("written", "days", "working", "hours"),
    [
        ("7 days", 7, None, None),
        ("1 week", 7, None, None),
        ("5 working days", None, 5, None),
        ("36 h", None, None, 36),
    ],
)
def test_a_rest_is_calendar_days_working_days_or_hours(
    written: str, days: float | None, working: int | None, hours: float | None
) -> None:
    found = step(f'what = "rest"\nrest = "{written}"')
    assert (found.rest_days, found.rest_working_days, found.wait_h) == (days, working, hours)


@pytest.mark.parametrize(
    ("written", "field", "value"),
    [
        ('spread = "400 sqft/gal"', "spread_ml_m2", (pytest.approx(101.86, abs=0.01),)),
        ('spread = ["95 ml/m2", "0.085 l/m2"]', "spread_ml_m2", (95, 85)),
        ('deposit = "4 um"', "deposit_um", 4),
        ('deposit = "4.5 g/m2"', "deposit_g_m2", 4.5),
        ('wet = "3 mil"', "wet_um", pytest.approx(76.2)),
        ('lost = "5 %"', "lost_share", 0.05),
        ('wait = "90 min"', "wait_h", 1.5),
        ('wait = "1:30"', "wait_h", 1.5),
        ('faces = "edges"', "faces", ("side edges", "end edges")),
        ('method = "French polishing"', "method", "french-polish"),
        ("soaks_in = true", "soaks_in", True),
    ],
)
def test_a_step_is_read_into_bench_units(written: str, field: str, value: Any) -> None:
    # 400 sqft/gal: one US gallon, 3785.41 ml, over 400 x 0.09290304 m2 is 101.86 ml/m2.
    assert getattr(step(f'what = "coat"\n{written}'), field) == value


def test_names_are_read_as_the_tables_call_them() -> None:
    assert step('what = "spit coat"').what == "seal"
    assert step('what = "level"\nabrasive = "P400"').abrasive == "FEPA P400"
    assert piece(f'{TOP}[wish]\ngrade = "orange"').wish.grade == "amber"


@pytest.mark.parametrize(
    ("written", "share", "ml"), [('"10 %"', 0.1, None), ('"50 ml"', None, 50), ("0", 0, None)]
)
def test_a_reserve_is_a_share_an_amount_or_none(
    written: str, share: float | None, ml: float | None
) -> None:
    (mix,) = piece(f"{TOP}{BODY}reserve = {written}").mixes
    assert (mix.reserve_share, mix.reserve_ml) == (share, ml)


def test_a_mix_takes_lots_alcohol_and_jar_from_the_shelf() -> None:
    shelf = (
        '[[lot]]\nname = "A"\nkind = "flakes"\ngrade = "blonde"\n'
        '[[lot]]\nname = "can"\nkind = "alcohol"\n'
        '[[lot]]\nname = "J"\nkind = "jar"\ncut = 1.5\ngrade = "amber"\nalcohol = "ethanol-190"\n'
    )
    mixed = '[[mix]]\nname = "a"\ncut = 1\nlot = "A"\nalcohol = "can"\n'
    ready = '[[mix]]\nname = "b"\njar = "J"\n'
    thirds = (
        '[[mix]]\nname = "c"\ncut = 1\nflakes = [{ lot = "A", share = "33.3 %" },'
        ' { lot = "garnet", share = "33.3 %" }, { lot = "ruby", share = "33.3 %" }]\n'
    )
    a, b, c = piece(TOP + mixed + ready + thirds + shelf).mixes
    assert (a.grade, a.flakes) == ("blonde", (("A", 1.0),))
    assert a.alcohol is not None
    assert (a.alcohol.lot, a.alcohol.parts) == ("can", None)  # unknown stays unknown
    assert (b.cut_lb_per_gal, b.grade, b.jar) == (1.5, "amber", "J")
    assert b.alcohol is not None
    assert b.alcohol.share("ethanol") == pytest.approx(0.924, abs=0.001)
    assert sum(share for _, share in c.flakes) == pytest.approx(1)


def test_a_mix_without_alcohol_says_nothing_about_it() -> None:
    assert piece(TOP + BODY).mixes[0].alcohol is None


def test_stock_is_weighed_poured_or_counted() -> None:
    lots = piece(
        f'{TOP}[[lot]]\nname = "a"\nkind = "flakes"\nhave = "1/2 lb"\nprice = 30\nfor = "1 kg"\n'
        '[[lot]]\nname = "b"\nkind = "alcohol"\nhave = "1 gal"\n'
        '[[lot]]\nname = "c"\nkind = "other"\nhave = 12\n'
    ).shelf
    assert [(lot.have, lot.unit) for lot in lots] == [
        (pytest.approx(226.796), "g"), (pytest.approx(3785.41), "ml"), (12, "pieces")
    ]  # fmt: skip
    assert lots[0].price_for == 1000


# What is refused ---------------------------------------------------------------------------------


def test_everything_wrong_is_told_at_once_with_its_place() -> None:
    lines = refused(
        f"{TOP}titel = 3\n{BODY}"
        '[wish]\nby = "31/03/2027"\n'
        '[[step]]\nwhat = "coat"\nwiat = "2 h"\n'
        '[[step]]\nwhat = "coat"\nwait = 2\nmix = "bdy"\n'
        "[hand.wait]\nbrush = 90\n"
        '[[quote.hours]]\nwhat = "brushing"\nfixd = "2 h"\n'
    )
    assert {line.split(": ")[0] for line in lines} == {
        "part 1 (top)", "[wish] by", "[[step]] 1, wiat", "[[step]] 2, wait", "[[step]] 2, mix",
        "[hand.wait] brush", "[[quote.hours]] 1, fixd",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("written", "where", "mend"),
    [
        ('what = "cote"', "[[step]] 1, what", "did you mean 'coat'"),
        ('what = "coat"\nwiat = "2 h"', "[[step]] 1, wiat", "did you mean 'wait'"),
        ('what = "coat"\nparts = ["tpo"]', "[[step]] 1, parts", "did you mean 'top'"),
        ('what = "coat"\nfaces = ["botom"]', "[[step]] 1, faces", "did you mean 'bottom'"),
        ('what = "coat"\nmix = "bdy"', "[[step]] 1, mix", "did you mean 'body'"),
        ('what = "coat"\nmethod = "brsh"', "[[step]] 1, method", "did you mean 'brush'"),
        ('what = "coat"\nspread = 85', "[[step]] 1, spread 1", "75 ml/m2"),
        ('what = "coat"\nspread = ["85 ml/m2", "x"]', "[[step]] 1, spread 2", "75 ml/m2"),
        ('what = "coat"\nwait = "2 m"', "[[step]] 1, wait", "2 h"),
        ('what = "coat"\nwait = true', "[[step]] 1, wait", "2 h"),
        ('what = "coat"\ntimes = 2.5', "[[step]] 1, times", "times = 3"),
        ('what = "coat"\ntimes = 100000', "[[step]] 1, times", "times = 3"),
        ('what = "coat"\nlost = "100 %"', "[[step]] 1, lost", "below 100 %"),
        ('what = "coat"\nlost = 5', "[[step]] 1, lost", "5 %"),
        ('what = "coat"\nsoaks_in = "yes"', "[[step]] 1, soaks_in", "soaks_in = true"),
        ('what = "level"\nabrasive = "400"', "[[step]] 1, abrasive", "P400"),
        ('what = "rest"', "[[step]] 1, rest", '"7 days"'),
        ('what = ""', "[[step]] 1, what", 'what = "coat"'),
    ],
)
def test_a_step_is_refused_with_place_and_mend(written: str, where: str, mend: str) -> None:
    line = the_refusal(f"{TOP}{BODY}[[step]]\n{written}")
    assert line.startswith(where + ": ")
    assert mend in line


@pytest.mark.parametrize(
    ("written", "together"),
    [
        ('spread = "85 ml/m2"\nuses = "20 ml"', "spread, uses"),
        ('uses = "20 ml"\nwet = "75 um"', "uses, wet"),
        ('wet = "75 um"\ndeposit = "4 um"', "wet, deposit"),
        ('times = 1\nwait = "2 h"\nrest = "7 days"', "wait, rest"),
    ],
)
def test_what_says_the_same_twice_is_refused(written: str, together: str) -> None:
    line = the_refusal(f'{TOP}{BODY}[[step]]\nwhat = "coat"\n{written}')
    assert line.startswith(f"[[step]] 1, {together}: ")


def test_a_net_deposit_may_stand_beside_what_leaves_the_jar() -> None:
    found = step('what = "session"\nuses = "20 ml"\ndeposit = "4 um"')
    assert (found.uses_ml, found.deposit_um) == (20, 4)


@pytest.mark.parametrize(
    "written",
    [
        'what = "scuff"\nspread = "85 ml/m2"', 'what = "rest"\nrest = "2 days"\nmix = "body"',
        'what = "coat"\nremoves = "3 um"', 'what = "coat"\nedges = true',
    ],
)  # fmt: skip
def test_what_a_kind_of_step_has_no_use_for_is_refused(written: str) -> None:
    assert "leave it out" in the_refusal(f"{TOP}{BODY}[[step]]\n{written}")


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("titel = 1\n" + TOP, "titel"),
        (TOP + "[wsh]\nuse = []", "[wsh]"),
        (TOP + "[[wish]]\nuse = []", "[wish]"),
        (TOP + "[step]\nwhat = 'coat'", "[step]"),
        (TOP + TOP, "part 2 (top)"),
        (TOP + "method = 'brsh'", "part 1 (top)"),
        (TOP + BODY + BODY, "[[mix]]"),
        ("title = 'nothing'", "[[part]]"),
        (TOP + "[wish]\nstart = 2027-03-02\nby = 2027-03-01", "[wish] by"),
        (TOP + "[wish]\nby = 2027-03-01T10:00:00", "[wish] by"),
        (TOP + "[wish]\nby = '2027-02-30'", "[wish] by"),
        (TOP + "[wish]\nuse = ['indoors', 'drnks']", "[wish] use 2"),
        (TOP + "[wish]\nover = 'bare wood'", "[wish] over 1"),
        (TOP + "[wish]\nsheen = 'shny'", "[wish] sheen"),
        (TOP + "[wish]\nfilm_left = '0 um'", "[wish] film_left"),
        (TOP + "[shop]\nrh = 45", "[shop] rh"),
        (TOP + "[shop]\nworking_days = ['mon', 'monday']", "[shop] working_days"),
        (TOP + "[shop]\nclosed = ['2027-08-06 to 2027-07-26']", "[shop] closed 1"),
        (TOP + "[[mix]]\nname = 'a'", "[[mix]] 1, cut"),
        (TOP + BODY + "lot = 'nowhere'", "[[mix]] 1, lot"),
        (TOP + BODY + "jar = 'nowhere'", "[[mix]] 1, jar"),
        (TOP + BODY + "alcohol = 'ethanl-190'", "[[mix]] 1, alcohol"),
        (TOP + BODY + "reserve = 0.1", "[[mix]] 1, reserve"),
        (TOP + BODY + "flakes = [{ lot = 'amber' }, { lot = 'ruby' }]", "[[mix]] 1, flakes"),
        (TOP + BODY + "flakes = [{ lot = 'amber', share = '60 %' }]", "[[mix]] 1, flakes"),
        (TOP + BODY + "flakes = [{ lto = 'amber' }]", "[[mix]] 1, flakes 1, lto"),
        (TOP + "[[lot]]\nname = 'a'\nkind = 'flakes'\nhave = '1 l'", "[[lot]] 1, have"),
        (TOP + "[[lot]]\nname = 'a'\nkind = 'flakes'\nprice = 3", "[[lot]] 1, price"),
        (TOP + "[[lot]]\nname = 'a'\nkind = 'flakes'\npassed = true", "[[lot]] 1, passed"),
        (TOP + "[[lot]]\nname = 'a'\nkind = 'flakes'\ncut = 2", "[[lot]] 1, cut"),
        (TOP + "[quote]\nrate = -1", "[quote] rate"),
        (TOP + "[quote]\nrate = nan", "[quote] rate"),
        (TOP + "[[quote.hours]]\nwhat = 'x'", "[[quote.hours]] 1, fixed"),
        (TOP + "[[quote.hours]]\nwhat = 'x'\nfixed = '1 h'\nparts = ['y']",
         "[[quote.hours]] 1, parts"),
        ("[class]\nstudents = 6\n[class.lost]\nbody = '15 ml'", "[class.lost]"),
        ("[class]\nstudents = '6'", "[class] students"),
        (BODY + "[class]\nstudents = 6\n[[class.exercise]]\nname = 'a'\ncoats = 1\nmix = 'body'",
         "[[class.exercise]] 1, area, size"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_at_its_place(text: str, where: str) -> None:
    assert where in [line.split(": ")[0] for line in refused(text)]


def test_a_slip_in_a_lot_does_not_make_its_mix_wrong_too() -> None:
    lot = '[[lot]]\nname = "A"\nkind = "flakes"\nhave = "1 cup"\n'
    assert the_refusal(f'{TOP}{BODY}lot = "A"\n{lot}').startswith("[[lot]] 1, have: ")


ODD: list[Any] = [
    True, 0, -1, 2.5, float("inf"), float("nan"), 10**400, "", "x", "20 ml", "1e999 ml", "0/0 h",
    "\x00", "٣ h", [], [[1]], {}, [{}], dt.date(9999, 12, 31), dt.time(8), "2027-01-01 to 2027",
]  # fmt: skip


def places(data: Any, above: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside: Any = data.items() if isinstance(data, dict) else ()
    if isinstance(data, list):
        inside = enumerate(data)
    return [
        place for key, value in inside for place in ((*above, key), *places(value, (*above, key)))
    ]


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_whatever_stands_somewhere_is_read_or_refused(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(EXAMPLES))
    text = tomllib.loads((ROOT / f"examples/{name}.toml").read_text(encoding="utf-8"))
    *above, key = data.draw(st.sampled_from(places(text)))
    spot: Any = text
    for part in above:
        spot = spot[part]
    spot[key] = data.draw(st.sampled_from(ODD))
    wrong: tuple[Refusal, ...] = ()
    try:
        piece_of(text, name)
    except Refusals as several:
        wrong = several.each
    assert all(r.where and r.what and r.mend for r in wrong)


# The reference -----------------------------------------------------------------------------------


def test_the_tables_of_the_reference_are_those_of_the_models() -> None:
    text = DOC.read_text(encoding="utf-8")
    assert reference.filled(text) == text, "run python -m lacwright.files.reference on it"
    marked = set(re.findall(r"<!-- table: ([\w.]+) -->", text))
    assert marked >= set(reference.MODELS)


def test_every_key_stands_in_the_reference() -> None:
    text = DOC.read_text(encoding="utf-8")
    for heading in TABLES:
        assert re.search(rf"^## \[+{heading}\]+$", text, re.MULTILINE), heading
    for model in reference.MODELS.values():
        for key in keys(model):
            assert f"| `{key}` |" in text, key
    for key in {key for shape in shapes().values() for key in shape.model_fields}:
        assert re.search(rf"^\|.*`{key}`.* \|", text, re.MULTILINE), key
    for own in own_keys():
        assert f"| `{own.name}` |" in text, own.name


def described() -> list[tuple[str, str, FieldInfo]]:
    return [
        (name, key, field)
        for name, model in reference.MODELS.items()
        for key, field in keys(model).items()
    ]


@pytest.mark.parametrize(("table", "key", "field"), described())
def test_the_example_of_every_key_is_read(table: str, key: str, field: FieldInfo) -> None:
    value = tomllib.loads(f"{key} = {(field.examples or [''])[0]}")[key]
    alone = create_model("Alone", __base__=FileTable, **{key: (field.annotation, field)})  # type: ignore[call-overload]
    try:
        alone.model_validate({key: value})
    except ValidationError as error:
        pytest.fail(f"[{table}] {key}: {error}")
