"""What panels in the record tell of the colour of grades and woods, and which looks came true.

What each panel says by itself was worked out when it was written down and stands beside it, so no
fit is made to read it: evidence adds up. The room of colour is imported only where there is some.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lacwright.figures import Figure, unknown
from lacwright.shop import clock
from lacwright.shop.models import Event
from lacwright.shop.queries.movement_words import panel_words
from lacwright.shop.queries.own_seen import Told
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.reading import snapshot

if TYPE_CHECKING:
    from lacwright.colour import Evidence

PANEL, LOOK = "colour-panel", "colour-look"
FAMILY = "colour."
LATEST = 200
"""So many panels are read, the last ones."""
STALE = "a coat it tells of was corrected since: correct this one as well, it is reckoned anew"
GONE = "a coat it tells of was taken back"
TWICE = "the panel was read again later"
GLOSS = "it was read with the gloss included, and a skin is told without"
NONE = "no usual figure"


@dataclass(frozen=True)
class ColourTold(Told):
    """What one panel tells of a constant by itself."""

    source: str = ""


@dataclass(frozen=True)
class ColourLine:
    """What is known of one constant: the usual figure, what panels say together, and each alone."""

    usual: Figure
    figure: Figure | None
    seen: tuple[ColourTold, ...]
    left_out: tuple[ColourTold, ...]


def is_colour(name: str) -> bool:
    """Return whether an own figure is one of colour."""
    return name.startswith(FAMILY)


def colour_lines(only: Sequence[str] | None = None) -> dict[str, ColourLine]:
    """Return own figures of colour by name: those that panels tell of, or those asked for.

    Parameters
    ----------
    only : sequence of str, optional
        Names; they come back even where nothing was seen.
    """
    events = _panels()
    if not events:
        return {} if only is None else {
            name: ColourLine(usual(name), None, (), ()) for name in only if is_colour(name)
        }  # fmt: skip
    from lacwright.colour import alone, is_skin, learned_figures

    there, coats = shop_zone(), _coats(events)
    counting: list[tuple[Event, Evidence]] = []
    left: list[tuple[Event, Evidence, str]] = []
    for event in events:
        evidence = _evidence(event, there)
        why = _why_not(event, coats)
        # The newest reading of a strip holds: an older one is of the same board and films.
        if (
            not why
            and evidence is not None
            and any(
                e.piece_id == event.piece_id and other.names == evidence.names
                for e, other in counting
            )
        ):
            why = TWICE
        if evidence is not None and not why:
            counting.append((event, evidence))
        elif evidence is not None:
            left.append((event, evidence, why))
    counting.reverse()
    kept = [evidence for _, evidence in counting]
    figures = learned_figures(kept)
    seen: dict[str, list[ColourTold]] = {}
    out_: dict[str, list[ColourTold]] = {}
    for event, evidence in counting:
        for name, figure in alone(evidence).items():
            odd = evidence.gloss_counted and is_skin(name)
            told = ColourTold(name, event.root_id, event.at_us, None if odd else figure.value,
                              GLOSS if odd else "", evidence.source)  # fmt: skip
            (out_ if odd else seen).setdefault(name, []).append(told)
    for event, evidence, why in reversed(left):
        for name in evidence.names:
            told = ColourTold(name, event.root_id, event.at_us, None, why, evidence.source)
            out_.setdefault(name, []).append(told)
    names = dict.fromkeys((*figures, *seen, *out_)) if only is None else only
    return {
        name: ColourLine(usual(name), figures.get(name), tuple(seen.get(name, ())),
                         tuple(out_.get(name, ())))
        for name in names if is_colour(name)
    }  # fmt: skip


def usual(name: str) -> Figure:
    """Return a constant of colour as the tables have it, missing where they have none."""
    from lacwright.colour import usual_figure

    found = usual_figure(name)
    return unknown("1", NONE) if found is None else found


@dataclass(frozen=True)
class Foretold:
    """A colour that was foretold, and how it was read.

    Parameters
    ----------
    movement, at_us : int
        Where it stands.
    piece : str
        On which piece or panel.
    what : str
        Which film: "14 g/m2 amber", or the band of a panel.
    lab, read : tuple of float or None
        L*, a*, b*; None for one that was not read yet.
    de00, reach : float or None
        How far off it was, and within what nineteen of twenty should be [CIEDE2000].
    """

    movement: int
    at_us: int
    piece: str
    what: str
    lab: tuple[float, ...]
    read: tuple[float, ...] | None
    de00: float | None
    reach: float

    @property
    def inside(self) -> bool | None:
        """Whether it came true; None while nobody read it."""
        return None if self.de00 is None else self.de00 <= self.reach

    def as_json(self, when: Any) -> dict[str, Any]:
        """Return it as plain data with the reason for every null; `when` tells a moment."""
        keys: dict[str, Any] = {
            "movement": self.movement, "at": when(self.at_us), "piece": self.piece,
            "what": self.what, "foretold": list(self.lab), "de00_band": self.reach,
            "read": None if self.read is None else list(self.read), "de00": self.de00,
            "inside": self.inside,
        }  # fmt: skip
        nulls = [key for key, value in keys.items() if value is None]
        return {**keys, "missing": dict.fromkeys(nulls, "not read yet")} if nulls else keys


def foretold(piece: str | None = None) -> tuple[Foretold, ...]:
    """Return all looks that were foretold, hits and misses, in the order of time.

    Parameters
    ----------
    piece : str, optional
        On one piece or panel alone.
    """
    with snapshot():
        found = Event.objects.filter(void=False, kind="test", piece__isnull=False,
                                     movement__body__test__in=[PANEL, LOOK])  # fmt: skip
        if piece is not None:
            found = found.filter(piece__key=piece)
        events = list(
            found.select_related("movement", "piece").order_by("-at_us", "-root")[:LATEST]
        )
    return tuple(one for event in reversed(events) for one in _foretold(event))


def tally(all_: Sequence[Foretold]) -> tuple[int, int]:
    """Return how many of those that were read came true, and how many were read."""
    read = [one for one in all_ if one.inside is not None]
    return sum(bool(one.inside) for one in read), len(read)


def _foretold(event: Event) -> list[Foretold]:
    body = event.movement.body
    assert event.piece is not None
    at, root, key = event.at_us, event.root_id, event.piece.key
    if body["test"] == PANEL:
        return [Foretold(root, at, key, row["band"], tuple(row["foretold"]), tuple(row["lab"]),
                         row["de00"], row["de00_band"])
                for row in body.get("foretold") or ()]  # fmt: skip
    told, hit = body["result"]["foretold"], body.get("hit")
    return [Foretold(root, at, key, told["what"], tuple(told["lab"]),
                     None if hit is None else tuple(hit["lab"]),
                     None if hit is None else hit["de00"], told["de00_band"])]  # fmt: skip


def _panels() -> list[Event]:
    """Return the panels that were read, the newest first."""
    return list(
        Event.objects.filter(void=False, kind="test", piece__isnull=False,
                             movement__body__test=PANEL)
        .select_related("movement", "piece").order_by("-at_us", "-root")[:LATEST]
    )  # fmt: skip


def _evidence(event: Event, there: dt.tzinfo) -> Evidence | None:
    from lacwright.colour import read_evidence

    learned = event.movement.body.get("learned")
    return None if learned is None else read_evidence(learned["says"], source_of(event, there))


def source_of(event: Event, there: dt.tzinfo) -> str:
    """Return panel and day, as "from your panels" names them."""
    piece = event.piece
    assert piece is not None
    key = panel_words(piece.key) if piece.kind == "panel" else piece.key
    return f"{key}, {clock.day_of(event.at_us, there).isoformat()}"


def _why_not(event: Event, coats: Mapping[int, tuple[int, bool]]) -> str:
    body = event.movement.body
    for row in body["result"].get("coats_of", ()):
        version, void = coats.get(row["coat"], (0, True))
        if void:
            return GONE
        if version != row["version"]:
            return STALE
    return str(body.get("why_not") or "")


def _coats(events: Sequence[Event]) -> dict[int, tuple[int, bool]]:
    """Return the coats that are told of: the version that counts, and whether it was taken back."""
    roots = {row["coat"] for e in events for row in e.movement.body["result"].get("coats_of", ())}
    if not roots:
        return {}
    rows = Event.objects.filter(root__in=roots).values_list("root_id", "movement_id", "void")
    return {root: (movement, void) for root, movement, void in rows}
