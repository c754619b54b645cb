"""What is asked about a piece: its parts by shape, the wish, the room, the mixes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.datastructures import MultiValueDict

from lacwright.bench import fields
from lacwright.bench.ask import Writing
from lacwright.bench.piece_text import COUNT, KINDS, POINTS, ROWS, YES, keys_of
from lacwright.figures import Refusal
from lacwright.files.parts import shapes
from lacwright.files.words import WEEKDAYS
from lacwright.plan.suitability import side_table
from lacwright.shop.queries import at_hand
from lacwright.shop.queries.shut import FAILED, shut_jars, shut_lots
from lacwright.trade import table

SIZES = {
    "panel": ("Length along the grain x width x thickness", "1200x700x22 mm"),
    "box": ("Length x width x height, outside", "300x200x120 mm"),
    "carcase": ("Height x width x depth", "1800x900x300 mm"),
    "frame-and-panel": ("Height x width x thickness", "700x450x20 mm"),
}
SHAPE_WORDS = {
    "panel": "board or table top", "disc": "round top", "box": "box",
    "carcase": "bookcase or cabinet, open in front", "frame-and-panel": "frame-and-panel door",
    "moulding": "moulding", "turned": "turning", "leg": "square leg, tapered or straight",
    "rod": "round leg or rod", "guitar": "guitar", "violin": "violin", "viola": "viola",
    "ukulele": "ukulele", "rows": "slats or sticks", "area": "an area measured by hand",
}  # fmt: skip
WORDS: dict[str, tuple[str, str, str]] = {
    # label, hint, example
    "name": ("Call it", "", "top"),
    "wood": ("Wood", "", ""), "method": ("Finished how", "", ""),
    "count": ("How many of it", "", "1"),
    "finish": ("Faces that are finished", "empty: all of them", "top, edges"),
    "hidden": ("Faces that are joined or glued", "neither finished nor bare", "bottom"),
    "size": ("Size", "", ""), "diameter": ("Diameter", "", "600 mm"),
    "thickness": ("Thickness of the board", "", "18 mm"), "length": ("Length", "", "1.2 m"),
    "wall": ("Thickness of the walls", "needed when it is open or its inside counts", "8 mm"),
    "lid": ("It has a lid", "", ""), "bottom": ("It has a bottom", "", ""),
    "inside": ("The inside counts", "", ""), "shelves": ("Shelves", "", "3"),
    "shelf": ("Thickness of a shelf", "empty: as the sides", "16 mm"),
    "back": ("It has a back", "", ""), "stile": ("Width of the stiles", "", "60 mm"),
    "top_rail": ("Width of the top rail", "", "60 mm"),
    "bottom_rail": ("Width of the bottom rail", "", "80 mm"),
    "inset": ("Depth to the panel", "empty: flush", "8 mm"),
    "sticking": ("Moulded edge round the panel, laid flat", "", "14 mm"),
    "sticking_width": ("Width it takes in front view", "", "10 mm"),
    "developed": ("Width laid flat", "or its profile", "95 mm"),
    "profile": ("Profile", "a point a line: along and across", "0 0"),
    "stations": ("Diameters along it", "a line each: place and diameter there", "0 30"),
    "unit": ("Unit of these numbers", "", ""),
    "smooth": ("A curve is drawn through them", "", ""),
    "head": ("Width at the top", "", "36 mm"), "foot": ("Width at the bottom", "", "24 mm"),
    "body": ("Length of the body", "instead of a named size", "285 mm"),
    "upper": ("Upper width", "", "160 mm"), "waist": ("Waist", "", "147 mm"),
    "lower": ("Lower width", "", "213 mm"), "ribs": ("Height of the ribs", "", "68 mm"),
    "arch_back": ("Arching of the back", "empty: flat", "15 mm"),
    "arch_belly": ("Arching of the belly", "empty: flat", "15 mm"),
    "openings": ("Area of the sound holes", "", "58 cm2"),
    "neck": ("Area of the neck", "or: usual", "usual"),
    "plan": ("Area of the traced outline", "", "480 cm2"),
    "border": ("Length round the traced outline", "", "900 mm"),
    "top_wood": ("Wood of the top, if another", "", ""),
    "neck_wood": ("Wood of the neck, if another", "", ""),
    "rows": ("Sticks", "a line each: length x width for one face, x thickness all round",
             "2 of 460x70 mm"),
    "area": ("Area", "", "0.8 m2"), "kind": ("What kind of surface", "", ""),
}  # fmt: skip
_FIRST = ("size", "stations", "unit", "rows", "area", "wood", "method")
_PLACE = re.compile(r"part (\d+)(?: \(.*\))?: (\w+)(.*)")
_MIX = re.compile(r"\[\[mix\]\] (\d+)(?:, (\w+))?")
_TABLE = re.compile(r"\[(wish|shop)\] (\w+)")
_ALSO = {"lot": "from", "grade": "from", "jar": "from", "flakes": "from"}


def shape_choices() -> list[tuple[str, str]]:
    """Return the shapes in words."""
    return [(key, SHAPE_WORDS[key]) for key in shapes()]


def woods() -> list[tuple[str, str]]:
    """Return the woods; what is not said is a wood of its own."""
    rows = fields.rows_of("woods")
    return [("unknown", "not said"), *(row for row in rows if row[0] != "unknown")]


class Loose(forms.Form):
    """A form whose fields are read by the piece file; it is only typed into here."""

    use_required_attribute = False

    def __init__(self, *args: Any, kept: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kept"] = forms.CharField(required=False, widget=forms.HiddenInput,
                                              initial=kept)  # fmt: skip

    def settle(self) -> None:
        """Offer what stands in a choice already, by whatever name: nothing typed is lost.

        What may stay empty is not said at every field: the piece file says what is missing.
        """
        for name, field in self.fields.items():
            if not isinstance(field, forms.ChoiceField):
                continue
            now = self[name].value()
            said = now if isinstance(now, list | tuple) else [now]
            listed: list[tuple[str, str]] = list(field.choices)  # type: ignore[arg-type]
            known = {str(key) for key, _ in listed}
            more = [(v, v) for v in said if v and v not in known]
            if more:
                field.choices = [*listed, *more]
        self.is_valid()
        for field in self.fields.values():
            field.required = True

    def put_back(self, name: str, words: str) -> bool:
        """Show what is wrong at a field; False where there is none of the name."""
        if name not in self.fields:
            return False
        self.add_error(name, words)
        return True


class Part(Loose):
    """A part: a shape and its sizes."""

    def __init__(self, shape: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shape = shape
        own = keys_of(shape)
        self.needed = {"name", "wood", *(k for k, must in own.items() if must)}
        self.fields = {
            "name": self._field("name"),
            "shape": fields.Choice(shape_choices, label="Shape", required=False),
            **{k: self._field(k) for k in (*own, "wood", "method", "count", "finish", "hidden")},
            **self.fields,
        }

    @property
    def first(self) -> list[forms.BoundField]:
        """What every part of the shape needs, and what is mostly said."""
        names = ["name", "shape", *(k for k in keys_of(self.shape) if self._is_first(k)), "wood",
                 "method", "count"]  # fmt: skip
        return [self[name] for name in names if name in self.fields]

    @property
    def rest(self) -> list[forms.BoundField]:
        """The others."""
        shown = {field.name for field in self.first}
        return [f for f in self if f.name not in shown and not f.is_hidden]

    @property
    def rest_open(self) -> bool:
        """Whether something stands among the others."""
        return any(f.errors or f.value() not in (None, "", []) for f in self.rest)

    def _is_first(self, key: str) -> bool:
        return key in self.needed or key in _FIRST or (
            self.shape == "carcase" and key == "shelves"
        ) or (self.shape == "moulding" and key == "developed")  # fmt: skip

    def _field(self, key: str) -> forms.Field:
        label, hint, example = WORDS[key]
        kind = KINDS.get(key, "")
        if key == "size" and self.shape in SIZES:
            label, example = SIZES[self.shape]
        elif key == "size":
            return fields.Choice(self._named_sizes, label="Named size", required=False,
                                 empty="own measures")  # fmt: skip
        more: dict[str, Any] = {"label": label, "required": False, "help_text": hint}
        if key == "wood":
            return fields.Choice(woods, **more)
        if key in ("top_wood", "neck_wood"):
            return fields.Choice(woods, empty="the same", **more)
        if key == "method":
            return fields.Choice(lambda: fields.rows_of("methods"), empty="not said", **more)
        if key == "unit":
            return fields.Choice([("mm", "mm"), ("cm", "cm"), ("in", "in")], empty="not said",
                                 **more)  # fmt: skip
        if key == "kind":
            return fields.Choice([("face", "face"), ("edge", "edge"), ("end", "end grain")],
                                 empty="face", **more)  # fmt: skip
        if kind == YES:
            usual = {"inside": "no", "smooth": "no"}.get(key, "yes")
            return fields.Choice([("yes", "yes"), ("no", "no")], empty=f"as usual: {usual}", **more)
        if kind in (POINTS, ROWS):
            return forms.CharField(max_length=20_000, **more, widget=forms.Textarea(
                attrs={"rows": 4, "placeholder": example}))  # fmt: skip
        attrs = {"placeholder": example, "autocomplete": "off", "spellcheck": "false"}
        if kind == COUNT:
            attrs["inputmode"] = "numeric"
        return forms.CharField(max_length=500, widget=forms.TextInput(attrs=attrs), **more)

    def _named_sizes(self) -> list[tuple[str, str]]:
        return [(r.key, r.key.replace("-", " ")) for r in table("instruments")
                if r.key.startswith(self.shape)]  # fmt: skip


class Wish(Loose):
    """What is wanted, and what the piece will have to bear."""

    use = forms.MultipleChoiceField(
        label="What will it meet?", required=False, widget=forms.CheckboxSelectMultiple,
        choices=lambda: [(r.key, r.text("words")) for r in table("uses")],
    )  # fmt: skip
    film_left = forms.CharField(
        label="Film wanted on the flats",
        required=False,
        max_length=80,
        help_text="empty: the usual one; the coats are computed from it",
        widget=forms.TextInput(attrs={"placeholder": "40 um"}),
    )
    sheen = fields.Choice(lambda: [(r.key, r.key) for r in table("sheen") if r.text("kind") in
                                   ("word", "class")], label="Sheen", required=False,
                          empty="as it comes")  # fmt: skip
    grade = fields.Choice(lambda: fields.rows_of("grades"), label="Grade of lac", required=False,
                          empty="as mixed")  # fmt: skip
    wax = fields.Choice([("waxed", "with its wax"), ("dewaxed", "without wax")], label="Wax",
                        required=False, empty="as the grade is")  # fmt: skip
    start = fields.Day(label="First day of work", required=False)
    by = fields.Day(label="Wanted by", required=False)
    under = forms.MultipleChoiceField(
        label="What lies on the wood already?", required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=lambda: [(r.key, r.text("words")) for r in side_table("under")],
    )  # fmt: skip
    over = forms.MultipleChoiceField(
        label="What comes over the shellac?", required=False, widget=forms.CheckboxSelectMultiple,
        choices=lambda: [(r.key, r.text("words")) for r in side_table("over")],
    )  # fmt: skip


class Room(Loose):
    """The room and the week."""

    temp = forms.CharField(
        label="Air temperature",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"placeholder": "21 C"}),
    )
    rh = forms.CharField(
        label="Relative humidity",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"placeholder": "45 %"}),
    )
    ignition = forms.CharField(
        label="Flames, sparks, heaters in the room",
        required=False,
        max_length=500,
        help_text="one after the other, with commas",
        widget=forms.TextInput(attrs={"placeholder": "stove, grinder"}),
    )
    children = fields.Choice([("yes", "yes"), ("no", "no")], label="Children share the air",
                             required=False, empty="not said")  # fmt: skip
    rag_plan = forms.CharField(label="Where rags with drying oil go", required=False,
                               max_length=500)  # fmt: skip
    working_days = forms.MultipleChoiceField(
        label="Working days", required=False, widget=forms.CheckboxSelectMultiple,
        choices=[(d, d.capitalize()) for d in WEEKDAYS], help_text="none ticked: Monday to Friday",
    )  # fmt: skip


class Mix(Loose):
    """A mix."""

    name = forms.CharField(
        label="Call it",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"placeholder": "body"}),
    )
    cut = forms.CharField(label="Cut", required=False, max_length=80, help_text=
                          "pounds per gallon of alcohol; empty: that of the jar",
                          widget=forms.TextInput(attrs={"placeholder": "2-lb cut"}))  # fmt: skip
    from_ = forms.ChoiceField(label="From", required=False)
    alcohol = forms.ChoiceField(label="Alcohol", required=False)
    reserve = forms.CharField(
        label="Reserve",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"placeholder": "10 %"}),
    )
    make = forms.CharField(
        label="Or a fixed batch",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"placeholder": "500 ml"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["from"] = self.fields.pop("from_")
        self.order_fields(["name", "cut", "from", "alcohol", "reserve", "make"])

    def offer(self, sources: list[tuple[str, str]], alcohols: list[tuple[str, str]]) -> None:
        """Offer jars, lots and grades, and alcohols; what stands there already is kept."""
        for name, choices in (("from", sources), ("alcohol", alcohols)):
            choice = self.fields[name]
            assert isinstance(choice, forms.ChoiceField)
            now = self[name].value() or ""
            known = {key for key, _ in choices}
            more = [(now, now.partition(":")[2] or now)] if now and now not in known else []
            choice.choices = [*choices, *more]


class Keeping(Writing):
    """Under which name a piece is kept."""

    piece = forms.CharField(label="Call the piece", required=False, max_length=80,
                            widget=forms.TextInput(attrs={"autocomplete": "off"}))  # fmt: skip
    customer = fields.Choice(lambda: [(k, k) for k in at_hand.customers_at_hand()],
                             label="Customer", required=False, empty="none")  # fmt: skip


class Describe(Writing):
    """What a piece is called in words, whose it is, what else there is to say."""

    title = forms.CharField(label="What it is", required=False, max_length=200)
    customer = fields.Choice(
        lambda: [(k, k) for k in at_hand.customers_at_hand()],
        label="Customer", required=False, empty="none",
    )  # fmt: skip
    note = forms.CharField(
        label="Note", required=False, max_length=20_000, widget=forms.Textarea(attrs={"rows": 3})
    )


class Text(forms.Form):
    """A piece file, typed or sent in."""

    file = forms.FileField(label="A file", required=False)
    text = forms.CharField(label="Or its text", required=False, max_length=1_000_000, strip=False,
                           widget=forms.Textarea(attrs={"rows": 18, "spellcheck": "false",
                                                        "class": "code"}))  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].widget.attrs["accept"] = ".toml,text/plain"


def sources_at_hand() -> list[tuple[str, str]]:
    """Return what a mix can be made from: ready jars, lots of flakes, grades; last what is shut."""
    shut, bad = shut_jars(), shut_lots()
    jars = [(f"jar:{k}", f"ready jar {k}") for k in at_hand.jars_at_hand()]
    lots = [(f"lot:{k}", f"{k}{f' ({g})' if g else ''}") for k, g in at_hand.lots_at_hand("flakes")]
    failed = [(key, f"{words.removeprefix('ready ')}, {FAILED}") for key, words in (*jars, *lots)
              if key.partition(":")[2] in (shut if key.startswith("jar:") else bad)]  # fmt: skip
    named = {key for key, _ in failed}
    usable = [row for row in (*jars, *lots) if row[0] not in named]
    grades = [(f"grade:{k}", f"any {words}") for k, words in fields.rows_of("grades")]
    return [("", "the wished grade"), *usable, *grades, *failed]


def alcohols_at_hand() -> list[tuple[str, str]]:
    """Return the alcohols of the shelf and of the table."""
    lots = [(k, f"{k} on the shelf") for k, _ in at_hand.lots_at_hand("alcohol")]
    return [("", "not said"), *lots, *fields.rows_of("alcohols")]


def typed_of(data: MultiValueDict[str, str], prefix: str, names: Iterable[str]) -> dict[str, Any]:
    """Return what was typed into the fields of one form."""
    many = {"use", "under", "over", "working_days"}
    return {
        name: data.getlist(f"{prefix}-{name}") if name in many else data.get(f"{prefix}-{name}", "")
        for name in (*names, "kept")
    }  # fmt: skip


def place_of(refusal: Refusal) -> tuple[str, str, str]:
    """Return where a refusal of a piece file belongs: form, field, and more of the place."""
    where = refusal.where
    if match := _PLACE.fullmatch(where):
        return f"part{match[1]}", match[2], match[3].strip()
    if match := _MIX.match(where):
        return f"mix{match[1]}", _ALSO.get(match[2] or "", match[2] or "name"), ""
    if match := _TABLE.match(where):
        return {"shop": "room"}.get(match[1], match[1]), match[2], ""
    return "", "", where
