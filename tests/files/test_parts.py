"""The `[[part]]` tables: every shape, every way of going wrong."""

import re
import tomllib

import pytest

from lacwright.figures import Mark, Refusal, Refusals
from lacwright.files.parts import read_parts, shapes
from lacwright.files.toml import load_toml
from lacwright.trade import table


def parts(text, **more):
    return read_parts(tomllib.loads(text)["part"], **more)


def one(fields, wood='wood = "cherry"'):
    return parts(f'[[part]]\nname = "p"\n{wood}\n{fields}')[0]


def complaint(text, **more):
    with pytest.raises(Refusal) as caught:
        parts(text, **more)
    return str(caught.value)


# One part of every shape and its finished area in m2, worked by hand.
EVERY_SHAPE = {
    "panel": ('size = "1200x700x22 mm"', 2 * (0.84 + 1.9 * 0.022)),
    "disc": ('diameter = "1 m"\nthickness = "20 mm"', 1.570796 + 0.0628319),
    "box": ('size = "300x200x120 mm"', 0.24),
    "carcase": ('size = "1800x900x300 mm"\nthickness = "18 mm"\nshelves = 4', 8.4672),
    "frame-and-panel": (
        'size = "700x450x20 mm"\nstile = "60 mm"\ntop_rail = "60 mm"\nbottom_rail = "80 mm"\n'
        'inset = "6 mm"',
        0.69736,
    ),
    "moulding": ('length = "2 m"\nprofile = [[0, 0], [20, 0], [20, 12]]\nunit = "mm"', 0.064),
    "turned": ('stations = [[0, 30], [500, 30]]\nunit = "mm"', 0.0471239 + 0.00141372),
    "leg": ('head = "45 mm"\nfoot = "25 mm"\nlength = "400 mm"', 0.0560175 + 0.000625),
    "rod": ('diameter = "30 mm"\nlength = "0.5 m"', 0.0471239 + 0.00141372),
    "guitar": ('size = "classical guitar"', 0.4155),
    "violin": ('size = "violin 4/4"', 0.1430),
    "viola": ('size = "viola-medium"', 0.1924),
    "ukulele": ('size = "concert ukulele"', 0.1498),
    "rows": ('rows = [{size = "600x40 mm", count = 8}, {size = "1000x20x20 mm"}]',
             8 * 0.024 + 0.0808),
    "area": ('area = "0.5 m2"', 0.5),
}  # fmt: skip


def test_no_shape_is_left_out():
    assert EVERY_SHAPE.keys() == shapes().keys()


@pytest.mark.parametrize("shape", EVERY_SHAPE)
def test_every_shape(shape):
    fields, hand = EVERY_SHAPE[shape]
    part = one(f'shape = "{shape}"\n{fields}')
    # Hand-worked to the digits given; drawn instruments to four.
    assert part.area_m2 == pytest.approx(hand, rel=5e-4)
    assert part.shape == shape
    assert {z.wood for z in part.zones} == {"cherry"}
    three = one(f'shape = "{shape}"\n{fields}\ncount = 3')
    assert three.area_m2 == pytest.approx(3 * part.area_m2)


def test_inches_and_millimetres_are_one_thing():
    inch = one('shape = "panel"\nsize = "48 in x 24 in x 3/4 in"')
    metric = one('shape = "panel"\nsize = "1219.2x609.6x19.05 mm"')
    assert inch.area_m2 == pytest.approx(metric.area_m2)
    inch = one('shape = "turned"\nstations = [[0, 2], [10, 1]]\nunit = "in"')
    metric = one('shape = "turned"\nstations = [[0, 50.8], [254, 25.4]]\nunit = "mm"')
    assert inch.area_m2 == pytest.approx(metric.area_m2)


def test_fields_of_the_part_are_passed_on():
    part = one('shape = "panel"\nsize = "1200x700x22 mm"\nfinish = "top"\nmethod = "brush"\n'
               'hidden = ["bottom"]')  # fmt: skip
    assert part.method == "brush"
    assert [z.face for z in part.zones] == ["top"]
    assert {z.face for z in part.bare} == {"side edges", "end edges"}
    assert one('shape = "area"\narea = "1 m2"').method is None


def test_the_head_of_a_leg_is_taken_as_joined_unless_said():
    fields = 'shape = "leg"\nhead = "45 mm"\nfoot = "25 mm"\nlength = "400 mm"'
    assert "head" not in {z.face for z in one(fields).zones}
    assert not one(fields).bare
    assert "head" in {z.face for z in one(fields + "\nhidden = []").zones}


def test_shape_and_wood_are_read_as_people_write_them():
    fields = ('size = "700x450x20 mm"\nstile = "60 mm"\ntop_rail = "60 mm"\n'
              'bottom_rail = "80 mm"')  # fmt: skip
    part = one(f'shape = "Frame and panel"\n{fields}', wood='wood = "Black cherry"')
    assert part.zones[0].wood == "cherry"
    assert one('shape = "area"\narea = "1 m2"', wood='wood = "unknown"').zones[0].wood == "unknown"


def test_a_wood_for_all_parts_holds_where_a_part_says_none():
    text = '[[part]]\nname = "a"\nshape = "area"\narea = "1 m2"\n'
    more = '[[part]]\nname = "b"\nshape = "area"\narea = "1 m2"\nwood = "oak"'
    assert [p.zones[0].wood for p in parts(text + more, wood="ash")] == ["ash", "oak"]
    assert "part 1 (a): wood: it is missing" in complaint(text)


def test_an_instrument_from_own_sizes_tracing_and_table():
    drawn = one('shape = "violin"\nbody = "355 mm"\nupper = "168 mm"\nwaist = "112 mm"\n'
                'lower = "206 mm"\nribs = "30 mm"\narch_back = "14.5 mm"\n'
                'arch_belly = "15.5 mm"\nopenings = "14 cm2"')  # fmt: skip
    named = one('shape = "violin"\nsize = "violin"')
    assert drawn.area_m2 == pytest.approx(named.area_m2)
    assert named.mark is Mark.GUESS
    assert any("corners" in w for w in named.warnings)
    assert any("neck" in w for w in named.warnings)
    usual = one('shape = "violin"\nsize = "violin"\nneck = "usual"\ntop_wood = "spruce"')
    assert usual.area_m2 == pytest.approx(named.area_m2 + 0.016)
    assert {z.face: z.wood for z in usual.zones}["top"] == "spruce"
    own_neck = one('shape = "violin"\nsize = "violin"\nneck = "150 cm2"')
    assert own_neck.area_m2 == pytest.approx(named.area_m2 + 0.015)
    traced = one('shape = "violin"\nsize = "violin"\nplan = "510 cm2"\nborder = "1120 mm"')
    assert traced.area_high - traced.area_low < named.area_high - named.area_low
    assert not any("corners" in w for w in traced.warnings)
    # The neck of a smaller violin goes with the square of its length.
    half = one('shape = "violin"\nsize = "violin 1/2"\nneck = "usual"')
    neck = {z.face: z.area_m2 for z in half.zones}["neck"]
    assert neck == pytest.approx(0.016 * (320 / 355) ** 2)


def test_everything_wrong_is_told_at_once_with_its_place():
    text = """
[[part]]
name = "top"
shape = "panel"
size = "1200x700"
wood = "chery"
finsh = "all"

[[part]]
name = "leg"
shape = "leg"
head = 45
foot = "25 mm"
wood = "ash"
"""
    told = complaint(text).splitlines()
    assert len(told) == 5
    assert any(t.startswith("part 1 (top): size: '1200x700' has no unit") for t in told)
    assert any("part 1 (top): wood" in t and "did you mean 'cherry'" in t for t in told)
    assert any("part 1 (top): finsh" in t and "did you mean 'finish'" in t for t in told)
    assert any(t.startswith("part 2 (leg): length: it is missing") for t in told)
    assert any(t.startswith("part 2 (leg): head: 45 has no unit") for t in told)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ('shape = "panle"\nsize = "1x1x1 m"', "did you mean 'panel'"),
        ("", "shape: it is missing"),
        ("shape = 3", "shape: 3 is not a shape"),
        ('shape = "panel"\nsize = "100x20 mm"', "length x width x thickness"),
        ('shape = "panel"\nsize = [100, 20, 2]', "size: it is not a size"),
        ('shape = "panel"\nsize = "100x0x2 mm"', "size"),
        ('shape = "rod"\ndiameter = true\nlength = "1 m"', "diameter: true or false"),
        ('shape = "rod"\ndiameter = ["1 mm"]\nlength = "1 m"', "diameter: it is not a length"),
        ('shape = "rod"\ndiameter = "0 mm"\nlength = "1 m"', "diameter: it must be above zero"),
        ('shape = "rod"\ndiameter = "2 kg"\nlength = "1 m"', "'kg' is not a unit of length"),
        ('shape = "area"\narea = "1 m2"\ncount = 0', "count"),
        ('shape = "area"\narea = "1 m2"\ncount = "4"', "count"),
        ('shape = "area"\narea = "1 m2"\ncount = 1.5', "count"),
        ('shape = "area"\narea = "1 m2"\nkind = "rim"', "kind: 'rim'"),
        ('shape = "area"\narea = "1 m2"\nfinish = ["top"]', "no face 'top'"),
        ('shape = "area"\narea = "1 m2"\nfinish = 3', "finish: it is not a list"),
        ('shape = "area"\narea = "1 m2"\nmethod = 3', "method"),
        ('shape = "box"\nsize = "3x2x1 m"\nlid = "no"', "lid"),
        ('shape = "box"\nsize = "3x2x1 m"\ninside = true', "wall: the thickness"),
        ('shape = "moulding"\nlength = "1 m"', "developed"),
        ('shape = "moulding"\nlength = "1 m"\nprofile = [[0, 0], [1, 1]]', "unit: the points"),
        ('shape = "moulding"\nlength = "1 m"\nprofile = [[0, 0], [1]]\nunit = "mm"', "profile"),
        ('shape = "turned"\nstations = [[0, 1], [5, inf]]\nunit = "mm"', "stations"),
        ('shape = "turned"\nstations = [[5, 1], [0, 1]]\nunit = "mm"', "not in order"),
        ('shape = "rows"\nrows = []', "rows"),
        ('shape = "rows"\nrows = [{size = "1x1 m", cuont = 2}]', "did you mean 'count'"),
        ('shape = "rows"\nrows = [{size = "1 m"}]', "rows 1: size: it has 1 lengths"),
        ('shape = "guitar"\nsize = "violin"', "not a size of a guitar"),
        ('shape = "violin"\nsize = "violn 4/4"', "did you mean 'violin-4/4'"),
        ('shape = "violin"\nbody = "355 mm"', "upper: it is missing"),
        ('shape = "violin"\nsize = "violin"\nribs = "30 mm"', "not both"),
        ('shape = "violin"\nsize = "violin"\nplan = "500 cm2"', "border"),
        ('shape = "ukulele"\nsize = "ukulele"\nneck = []', "neck"),
    ],
)
def test_each_way_of_going_wrong(fields, said):
    with pytest.raises(Refusal) as caught:
        one(fields)
    assert said in str(caught.value)
    assert str(caught.value).startswith("part 1 (p): ")


def test_parts_need_names_of_their_own():
    area = 'shape = "area"\narea = "1 m2"\nwood = "oak"\n'
    text = f'[[part]]\nname = "a"\n{area}[[part]]\nname = "a"\n{area}[[part]]\n{area}'
    told = complaint(text)
    assert "part 2 (a): name: part 1 has the same name" in told
    assert "part 3: name: it is missing" in told


@pytest.mark.parametrize("tables", [{}, {"name": "a"}, "top", [1], None, []])
def test_what_is_no_list_of_parts(tables):
    with pytest.raises(Refusal, match=r"\[\[part\]\]"):
        read_parts(tables)


def test_several_refusals_stay_several():
    with pytest.raises(Refusals) as caught:
        parts('[[part]]\nname = "a"\n[[part]]\nname = "b"')
    assert [r.where for r in caught.value.each] == ["part 1 (a): shape", "part 2 (b): shape"]


def test_every_wood_has_pores_and_an_absorption_that_is_there():
    for row in table("woods"):
        assert row.text("pores") in {"open", "closed", "softwood", "unknown"}
        assert row.text("absorption") in table("absorption")
        assert row.text("oily") in {"yes", "no"}


def test_every_wood_name_means_one_wood():
    names = [n.replace("-", " ") for row in table("woods") for n in (row.key, *row.words("also"))]
    assert len(names) == len(set(names))


def test_a_toml_file_and_what_can_be_wrong_with_it(tmp_path):
    good = tmp_path / "good.toml"
    good.write_bytes(b"\xef\xbb\xbf[[part]]\nname = 'a'\n")
    assert load_toml(good) == {"part": [{"name": "a"}]}

    bad = tmp_path / "bad.toml"
    bad.write_text("name = 'a'\nsize = 3 mm\n")
    with pytest.raises(Refusal, match="line 2"):
        load_toml(bad)
    bad.write_bytes(b"a = 1\nb = '\xff'\n")
    with pytest.raises(Refusal, match="line 2: it is not UTF-8"):
        load_toml(bad)
    bad.write_bytes(b"#" * 1_000_001)
    with pytest.raises(Refusal, match="larger than 1 MB"):
        load_toml(bad)
    bad.write_text("a = " + "[" * 5000)
    with pytest.raises(Refusal):
        load_toml(bad)
    with pytest.raises(Refusal, match="no such file"):
        load_toml(tmp_path / "none.toml")
    with pytest.raises(Refusal, match="folder"):
        load_toml(tmp_path)
    with pytest.raises(Refusal):
        load_toml("a\0b")


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('count = "2"', "count: '2' is not a whole number; write e.g. 2, without quotes."),
        ("count = 0", "count: 0 is below 1; write more."),
        ("name = 3", "name: 3 is not text; write it in quotes."),
        ("colour = 1", "colour: nothing is called 'colour' here;"),
    ],
)
def test_faults_are_told_in_the_words_of_who_writes_the_file(line, says):
    lines = {"name": 'name = "p"', "count": "count = 1", **{line.split()[0]: line}}
    text = '[[part]]\nshape = "panel"\nwood = "beech"\nsize = "400x300x20 mm"\n'
    with pytest.raises(Refusal) as refused:
        read_parts(tomllib.loads(text + "\n".join(lines.values()))["part"])
    assert says in str(refused.value)
    assert not re.search(r"input|valid|integer|string|None|\bkey\b", str(refused.value))
