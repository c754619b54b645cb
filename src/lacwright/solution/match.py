"""Matching a recipe from a shelf: several lots of flakes, several jars, alcohols and dye."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lacwright.figures import Figure, Refusal, central
from lacwright.solution.making import thin
from lacwright.solution.match_lines import (
    SHOWS,
    Line,
    counts,
    differs,
    lines_of,
    strange_part,
    why_strange,
)
from lacwright.solution.mix import Mix, dye_density_g_ml
from lacwright.solution.ready import slowest_ready
from lacwright.solution.recipe import Recipe
from lacwright.solution.simplex import best_amounts

EXACT = 1e-6  # of a line of the recipe: finer than any scale
SAME = 1e-4  # of a cut or a share: finer than any measuring glass


@dataclass(frozen=True, eq=False)
class Source:
    """Something on the shelf.

    Parameters
    ----------
    name : str
        Its name on the shelf.
    kind : str
        "flakes", "jar", "alcohol" or "dye".
    content : Mix
        All there is of it.
    tested : bool
        Of a jar: whether a test has passed that still counts.
    use_all : bool
        Whether all of it goes in (the rest in the pot).
    """

    name: str
    kind: str
    content: Mix
    tested: bool = False
    use_all: bool = False

    @property
    def unit(self) -> str:
        """Return "g" for flakes, else "ml"."""
        return "g" if self.kind == "flakes" else "ml"

    def amount(self, content: Mix | None = None) -> float:
        """Return how much there is of it (or of `content`), in `unit`."""
        content = self.content if content is None else content
        if self.kind == "flakes":
            return central(content.total_resin_g)
        if self.kind == "dye":
            return central(content.dye_ml)
        return central(content.solution_ml)


@dataclass(frozen=True, eq=False)
class Use:
    """What is taken of a source."""

    source: Source
    taken: Mix

    @property
    def use(self) -> float:
        """Amount taken, in the unit of the source."""
        return self.source.amount(self.taken)

    @property
    def have(self) -> float:
        """Amount there was."""
        return self.source.amount()

    @property
    def left(self) -> float:
        """Amount that stays."""
        return max(self.have - self.use, 0.0)


@dataclass(frozen=True)
class Short:
    """What a line of the recipe lacks."""

    line: str
    kind: str
    amount: float
    unit: str


@dataclass(frozen=True, eq=False)
class Match:
    """The answer of `match_recipe`.

    Parameters
    ----------
    recipe : Recipe
        What was wished.
    asked_ml : float
        How much of it was wished [ml].
    made : Mix
        What the uses make together.
    uses : tuple of Use
        Every source, used or not.
    short : tuple of Short
        What the whole wish lacks; empty where nothing does.
    unused : mapping of str to str
        Sources that cannot serve, with the reason.
    exact_ml : float
        How much of exactly the recipe can be had, at most what was asked unless what must go in
        makes more [ml]; 0 where none.
    ready_now : Mix or None
        What tested jars, alcohol and dye make at once, without dissolving anything.
    ready_after_h : Figure
        When `made` is dissolved.
    any_alcohol : bool
        Whether another alcohol counted as the recipe's first.
    """

    recipe: Recipe
    asked_ml: float
    made: Mix
    uses: tuple[Use, ...]
    short: tuple[Short, ...]
    unused: Mapping[str, str]
    exact_ml: float
    ready_now: Mix | None
    ready_after_h: Figure
    any_alcohol: bool = False

    @property
    def exact(self) -> bool:
        """Whether all that was asked is there, and nothing differs."""
        return not self.short and not self.differs()

    def differs(self, mix: Mix | None = None) -> list[str]:
        """Return how the mix that is made (or another) differs from the recipe, in words."""
        return differs(self.made if mix is None else mix, self.recipe,
                       any_alcohol=self.any_alcohol,
                       step=SAME if mix is None else SHOWS)  # fmt: skip

    @property
    def test_first(self) -> tuple[str, ...]:
        """Names of the jars that are poured and have not passed a test."""
        return tuple(
            u.source.name
            for u in self.uses
            if u.source.kind == "jar" and not u.source.tested and u.use > EXACT * u.have
        )

    def reorder(self, use: Use) -> bool:
        """Return whether more of a source would mend what is short."""
        held = use.source.content
        words = {
            *(w for r in held.resin_g for w in (r.lot, r.grade)),
            *(a.lot for a in held.solvent_g),
            *([] if central(held.dye_g) == 0 else ["dye"]),
        }
        kind = use.source.kind
        return any(s.kind == kind and (s.line in words or kind == "alcohol") for s in self.short)

    def added(self, kind: str) -> float:
        """Return how much of all sources of a kind is used, in their unit."""
        return sum(use.use for use in self.uses if use.source.kind == kind)


def match_recipe(
    *, recipe: Recipe, solution_ml: float, sources: Sequence[Source], any_alcohol: bool = False,
    whole: bool = False,
) -> Match:  # fmt: skip
    """Return what to take from the shelf to make a volume of a recipe.

    Exact when the shelf allows it. Otherwise the volume gives before the recipe does: as much as
    can be made exactly; where nothing can, the nearest that holds the cut; where not even that,
    the nearest. Never more of a line than the recipe wishes. Tested jars are used up first,
    untested ones only where nothing else will do; among equals the order of the list counts.

    Parameters
    ----------
    recipe : Recipe
        Cut, flakes, alcohols and dye.
    solution_ml : float
        Volume of mix wished [ml].
    sources : sequence of Source
        The shelf. What has `use_all` goes in wholly; the volume grows where that needs it. Lac
        and alcohol in it that the recipe does not name take the place of what it names.
    any_alcohol : bool
        Whether another alcohol in a jar counts as the recipe's first.
    whole : bool
        Whether the whole volume is wished even where cut or shares must differ.

    Raises
    ------
    Refusal
        If nothing on the shelf serves, or a name stands twice.
    """
    names = [s.name for s in sources]
    for name in names:
        if names.count(name) > 1:
            raise Refusal(name, "two things on the shelf have this name", "give each its own")
    task = _Task(recipe, tuple(sources), any_alcohol)
    full = task.at(solution_ml)
    found = full
    if task.exact(full):
        exact_ml = central(full.made.solution_ml)
    else:
        exact_ml = _exact_volume(task, solution_ml)
        if not whole and full.short:
            found = task.at(exact_ml) if exact_ml > 0 else task.at(solution_ml, hold_cut=True)
            if central(found.made.total_resin_g) <= EXACT * central(full.made.total_resin_g):
                found = full
    bags = [u for u in found.uses if u.source.kind == "flakes" and u.use > 0]
    lac = [resin for use in bags for resin in use.taken.resin_g]
    return Match(
        recipe, solution_ml, found.made, found.uses, full.short, full.unused, exact_ml,
        _ready_now(recipe, solution_ml, full.usable), slowest_ready(lac), any_alcohol,
    )  # fmt: skip


def exact_volume_ml(
    *, recipe: Recipe, solution_ml: float, sources: Sequence[Source], any_alcohol: bool = False
) -> float:
    """Return the largest volume, up to the wished one, for which the recipe is met exactly [ml]."""
    return _exact_volume(_Task(recipe, tuple(sources), any_alcohol), solution_ml)


@dataclass(frozen=True, eq=False)
class _Taken:
    """What is taken for one volume."""

    made: Mix
    uses: tuple[Use, ...]
    short: tuple[Short, ...]
    unused: Mapping[str, str]
    usable: tuple[Source, ...]


@dataclass(frozen=True, eq=False)
class _Task:
    """A recipe and a shelf, for any volume."""

    recipe: Recipe
    sources: tuple[Source, ...]
    any_alcohol: bool

    def exact(self, taken: _Taken) -> bool:
        """Return whether what is taken is the recipe, nothing short and nothing strange."""
        return not taken.short and not differs(
            taken.made, self.recipe, any_alcohol=self.any_alcohol, step=SAME
        )

    def at(self, solution_ml: float, *, hold_cut: bool = False) -> _Taken:
        """Return what to take for a volume: as much of every line as can be had."""
        target, lines = self._lines(solution_ml)
        unused, usable = {}, []
        for source in self.sources:
            reason = why_strange(source.content, lines)
            if reason and not source.use_all:
                unused[source.name] = reason
            else:
                usable.append(source)
        if not usable:
            why = "; ".join(f"{name}: {reason}" for name, reason in unused.items())
            raise Refusal("shelf", "nothing on it serves this recipe", why or "add what you have")
        shares = _shares(lines, usable, _Over(self.recipe, target) if hold_cut else None)
        uses = tuple(Use(s, s.content.scaled(shares.get(s.name, 0.0))) for s in self.sources)
        made = Mix({}, {}, temp_c=self.recipe.temp_c)
        for use in uses:
            if use.use > 0:
                made = made + use.taken
        short = []
        for line in lines:
            lacking = line.wished - sum(counts(line, u.taken, lines) for u in uses)
            if lacking > EXACT * line.full:
                short.append(Short(line.name, line.kind, lacking, line.unit))
        return _Taken(made, uses, tuple(short), unused, tuple(usable))

    def _lines(self, solution_ml: float) -> tuple[Mix, list[Line]]:
        """Return the target and its lines, grown where what must go in already holds more."""
        target = self.recipe.make(solution_ml)
        lines = lines_of(self.recipe, target, self.any_alcohol)
        forced = [s.content for s in self.sources if s.use_all]
        strange = Mix({}, {}, temp_c=self.recipe.temp_c)
        for content in forced:
            strange = strange + strange_part(content, lines)
        totals = {"flakes": central(target.total_resin_g), "alcohol": central(target.alcohol_ml)}
        other = {"flakes": central(strange.total_resin_g), "alcohol": central(strange.alcohol_ml)}
        grown = 1.0
        for line in lines:
            held = sum(counts(line, content, lines) for content in forced)
            taken = other.get(line.kind, 0.0) / totals.get(line.kind, 1.0)
            grown = max(grown, held / line.full + taken)
        target = target.scaled(grown)
        return target, lines_of(self.recipe, target, self.any_alcohol, strange)


def _exact_volume(task: _Task, solution_ml: float) -> float:
    low, high = 0.0, solution_ml
    if task.exact(task.at(high)):
        return high
    for _ in range(30):
        mid = (low + high) / 2
        low, high = (mid, high) if task.exact(task.at(mid)) else (low, mid)
        if high < EXACT * solution_ml:
            return 0.0
    return low


class _Over:
    """What lies above (or below) what the recipe asks of its alcohol, in shares of the target's."""

    def __init__(self, recipe: Recipe, target: Mix) -> None:
        self.per_ml = central(recipe.g_per_ml_alcohol)
        self.scale = central(target.total_resin_g)
        self.dye_share = central(recipe.dye_share)
        self.ml = central(target.alcohol_ml)

    def of(self, content: Mix) -> float:
        """Return the resin above the cut."""
        over = central(content.total_resin_g) - self.per_ml * central(content.alcohol_ml)
        return over / self.scale

    def dye(self, content: Mix) -> float:
        """Return the dye above its share."""
        over = central(content.dye_ml) - self.dye_share * central(content.alcohol_ml)
        return over / self.ml


def _shares(
    lines: Sequence[Line], usable: Sequence[Source], over: _Over | None
) -> dict[str, float]:
    """Return the share of every source to take [1]; with `over`, the cut goes before all."""
    shares = {s.name: 1.0 for s in usable if s.use_all}
    forced = [s.content for s in usable if s.use_all]
    free = [s for s in usable if not s.use_all and s.amount() > 0]
    if not free:
        return shares
    rest = [max(ln.wished - sum(counts(ln, c, lines) for c in forced), 0.0) for ln in lines]
    # Every line counts alike, in shares of what the recipe wishes of it.
    fills = [[counts(ln, s.content, lines) / ln.full for s in free] for ln in lines]
    jars_first = [s.amount() if s.kind == "jar" and s.tested else 0.0 for s in free]
    untested_last = [-s.amount() if s.kind == "jar" and not s.tested else 0.0 for s in free]
    scale = max((s.amount() for s in free), default=1.0)
    in_order = [-(n + 1) * s.amount() / scale for n, s in enumerate(free)]
    wishes = [
        [sum(column) for column in zip(*fills, strict=True)],
        [x / scale for x in jars_first],
        [x / scale for x in untested_last],
        in_order,
    ]
    one_each = [[1.0 if i == j else 0.0 for j in range(len(free))] for i in range(len(free))]
    uses = [*fills, *one_each]
    limits = [r / ln.full for r, ln in zip(rest, lines, strict=True)] + [1.0] * len(free)
    if over is not None:
        uses = [*uses, [over.dye(s.content) for s in free]]
        limits = [*limits, max(-sum(over.dye(c) for c in forced), 0.0)]
        row = [over.of(s.content) for s in free]
        back = [-x for x in row]
        owed = -sum(over.of(c) for c in forced)
        if abs(owed) < EXACT:
            uses, limits = [*uses, row, back], [*limits, 0.0, 0.0]
        else:
            # What must go in is off the cut: bring it back first, as far as the rest can.
            to_it = row if owed > 0 else back
            uses, limits = [*uses, to_it], [*limits, abs(owed)]
            wishes = [to_it, *wishes]
    amounts = best_amounts(wishes=wishes, uses=uses, limits=limits)
    return {**shares, **{s.name: min(x, 1.0) for s, x in zip(free, amounts, strict=True)}}


def _ready_now(recipe: Recipe, solution_ml: float, usable: Sequence[Source]) -> Mix | None:
    """Return tested jars brought to the cut with alcohol, dyed, at most the wished volume."""
    jars = [s.content for s in usable if s.kind == "jar" and s.tested]
    if not jars:
        return None
    mix = jars[0]
    for jar in jars[1:]:
        mix = mix + jar
    main = next(iter(recipe.make(solution_ml).solvent_g))
    spirit = sum(s.amount() for s in usable if s.kind == "alcohol")
    if central(mix.cut_lb_per_gal) > central(recipe.cut_lb_per_gal) and spirit > 0:
        wanted = thin(mix=mix, alcohol=main, to_cut=recipe.cut_lb_per_gal)
        ml = min(central(wanted.add_alcohol_ml), spirit)
        mix = mix.with_alcohol(main, ml=ml)
    dye = sum(s.amount() for s in usable if s.kind == "dye")
    lacking = central(recipe.dye_share * mix.alcohol_ml - mix.dye_ml)
    if lacking > 0 and dye > 0:
        mix = mix + Mix({}, {}, min(lacking, dye) * dye_density_g_ml(), temp_c=mix.temp_c)
    volume = central(mix.solution_ml)
    return mix.scaled(solution_ml / volume) if volume > solution_ml else mix
