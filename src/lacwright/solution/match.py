"""Matching a recipe from a shelf: several lots of flakes, several jars, alcohols and dye."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lacwright.figures import Figure, Refusal
from lacwright.solution.alcohol import Alcohol
from lacwright.solution.making import thin
from lacwright.solution.mix import Mix, dye_density_g_ml
from lacwright.solution.num import central
from lacwright.solution.ready import slowest_ready
from lacwright.solution.recipe import Recipe
from lacwright.solution.resin import Resin
from lacwright.solution.simplex import best_amounts

EXACT = 1e-6  # of a line of the recipe: finer than any scale


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
    target, made : Mix
        The wish, and what the uses make together.
    uses : tuple of Use
        Every source, used or not.
    short : tuple of Short
        What is lacking; empty when exact.
    unused : mapping of str to str
        Sources that cannot serve, with the reason.
    ready_now : Mix or None
        What tested jars, alcohol and dye make at once, without dissolving anything.
    ready_after_h : Figure
        When `made` is dissolved.
    """

    recipe: Recipe
    target: Mix
    made: Mix
    uses: tuple[Use, ...]
    short: tuple[Short, ...]
    unused: Mapping[str, str]
    ready_now: Mix | None
    ready_after_h: Figure

    @property
    def exact(self) -> bool:
        """Whether the recipe is met."""
        return not self.short

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


@dataclass(frozen=True)
class _Line:
    """A line of the recipe: what counts for it and how much is wished."""

    name: str
    kind: str
    unit: str
    wished: float
    resin: Resin | None = None
    alcohol: Alcohol | None = None
    # True where any alcohol counts for this line.
    open: bool = field(default=False)


def match_recipe(
    *, recipe: Recipe, solution_ml: float, sources: Sequence[Source], any_alcohol: bool = False
) -> Match:
    """Return what to take from the shelf to make a volume of a recipe.

    Exact when the shelf allows it; otherwise as near as it allows, never more of a line than
    the recipe wishes, with what is short. Tested jars are used up first, untested ones only
    where nothing else will do; among equals the order of the list counts.

    Parameters
    ----------
    recipe : Recipe
        Cut, flakes, alcohols and dye.
    solution_ml : float
        Volume of mix wished [ml].
    sources : sequence of Source
        The shelf. What has `use_all` goes in wholly; the volume grows where that needs it.
    any_alcohol : bool
        Whether another alcohol in a jar counts as the recipe's first.

    Raises
    ------
    Refusal
        If nothing on the shelf serves, or a name stands twice.
    """
    names = [s.name for s in sources]
    for name in names:
        if names.count(name) > 1:
            raise Refusal(name, "two things on the shelf have this name", "give each its own")
    target = _grown_target(recipe, solution_ml, sources, any_alcohol)
    lines = _lines(recipe, target, any_alcohol)
    unused = {}
    usable: list[Source] = []
    for source in sources:
        reason = _foreign(source.content, lines)
        if reason and not source.use_all:
            unused[source.name] = reason
        else:
            usable.append(source)
    if not usable:
        why = "; ".join(f"{name}: {reason}" for name, reason in unused.items())
        raise Refusal("shelf", "nothing on it serves this recipe", why or "add what you have")
    shares = _shares(lines, usable)
    uses = tuple(Use(s, s.content.scaled(shares.get(s.name, 0.0))) for s in sources)
    made = Mix({}, {}, temp_c=recipe.temp_c)
    for use in uses:
        if use.use > 0:
            made = made + use.taken
    short = []
    for line in lines:
        lacking = line.wished - sum(_counts(line, u.taken, lines) for u in uses)
        if lacking > EXACT * max(line.wished, 1e-12):
            short.append(Short(line.name, line.kind, lacking, line.unit))
    flakes = [r for u in uses if u.source.kind == "flakes" and u.use > 0 for r in u.taken.resin_g]
    return Match(recipe, target, made, uses, tuple(short), unused,
                 _ready_now(recipe, target, usable), slowest_ready(flakes))  # fmt: skip


def exact_volume_ml(
    *, recipe: Recipe, solution_ml: float, sources: Sequence[Source], any_alcohol: bool = False
) -> float:
    """Return the largest volume, up to the wished one, for which the recipe is met exactly [ml]."""

    def meets(volume: float) -> bool:
        found = match_recipe(recipe=recipe, solution_ml=volume, sources=sources,
                             any_alcohol=any_alcohol)  # fmt: skip
        return found.exact

    low, high = 0.0, solution_ml
    if meets(high):
        return high
    for _ in range(20):
        mid = (low + high) / 2
        low, high = (mid, high) if meets(mid) else (low, mid)
    return low


def resin_shares(mix: Mix) -> dict[str, float]:
    """Return the share of each grade (or lot, where no grade is known) in the resin [1]."""
    total = central(mix.total_resin_g)
    out: dict[str, float] = {}
    for resin, grams in mix.resin_g.items():
        name = resin.grade or resin.lot or "flakes"
        out[name] = out.get(name, 0.0) + central(grams) / total if total > 0 else 0.0
    return out


def _lines(recipe: Recipe, target: Mix, any_alcohol: bool) -> list[_Line]:
    lines = []
    for resin, grams in target.resin_g.items():
        name = resin.lot or resin.grade or "flakes"
        lines.append(_Line(name, "flakes", "g", central(grams), resin=resin))
    for n, (alcohol, grams) in enumerate(target.solvent_g.items()):
        ml = central(grams / alcohol.density_g_ml(recipe.temp_c))
        lines.append(_Line(alcohol.lot, "alcohol", "ml", ml, alcohol=alcohol,
                           open=any_alcohol and n == 0))  # fmt: skip
    if central(target.dye_g) > 0:
        lines.append(_Line("dye", "dye", "ml", central(target.dye_ml)))
    return lines


def _line_of_resin(resin: Resin, lines: Sequence[_Line]) -> _Line | None:
    for line in lines:
        wished = line.resin
        if wished is None:
            continue
        if wished.lot:
            if wished.lot == resin.lot:
                return line
        elif wished.grade in ("", resin.grade) and (
            not wished.wax_stated or wished.waxed == resin.waxed
        ):
            return line
    return None


def _line_of_alcohol(alcohol: Alcohol, lines: Sequence[_Line]) -> _Line | None:
    for line in lines:
        wished = line.alcohol
        if wished is None:
            continue
        if wished.lot == alcohol.lot or (wished.parts and wished.parts == alcohol.parts):
            return line
    return next((line for line in lines if line.open), None)


def _counts(line: _Line, content: Mix, lines: Sequence[_Line]) -> float:
    """Return how much of a content counts for a line, in its unit."""
    if line.kind == "flakes":
        return sum(
            central(g) for r, g in content.resin_g.items() if _line_of_resin(r, lines) is line
        )
    if line.kind == "alcohol":
        return sum(
            central(g / a.density_g_ml(content.temp_c))
            for a, g in content.solvent_g.items()
            if _line_of_alcohol(a, lines) is line
        )
    return central(content.dye_ml)


def _foreign(content: Mix, lines: Sequence[_Line]) -> str | None:
    for resin in content.resin_g:
        if _line_of_resin(resin, lines) is None:
            return f"{resin.grade or resin.lot or 'its flakes'} is not in the recipe"
    for alcohol in content.solvent_g:
        if _line_of_alcohol(alcohol, lines) is None:
            return f"its alcohol ({alcohol.lot}) is not in the recipe"
    if central(content.dye_g) > 0 and not any(line.kind == "dye" for line in lines):
        return "there is no dye in the recipe"
    return None


def _grown_target(
    recipe: Recipe, solution_ml: float, sources: Sequence[Source], any_alcohol: bool
) -> Mix:
    """Return the target, grown where what must go in already holds more of a line."""
    target = recipe.make(solution_ml)
    grown = 1.0
    lines = _lines(recipe, target, any_alcohol)
    for line in lines:
        forced = sum(_counts(line, s.content, lines) for s in sources if s.use_all)
        grown = max(grown, forced / line.wished)
    return target.scaled(grown)


def _shares(lines: Sequence[_Line], usable: Sequence[Source]) -> dict[str, float]:
    """Return the share of every source to take [1]."""
    shares = {s.name: 1.0 for s in usable if s.use_all}
    free = [s for s in usable if not s.use_all and s.amount() > 0]
    if not free:
        return shares
    rest = [
        max(ln.wished - sum(_counts(ln, s.content, lines) for s in usable if s.use_all), 0.0)
        for ln in lines
    ]
    # Every line counts alike, in shares of what the recipe wishes of it.
    fills = [[_counts(ln, s.content, lines) / ln.wished for s in free] for ln in lines]
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
    limits = [r / ln.wished for r, ln in zip(rest, lines, strict=True)] + [1.0] * len(free)
    amounts = best_amounts(wishes=wishes, uses=[*fills, *one_each], limits=limits)
    return {**shares, **{s.name: min(x, 1.0) for s, x in zip(free, amounts, strict=True)}}


def _ready_now(recipe: Recipe, target: Mix, usable: Sequence[Source]) -> Mix | None:
    """Return tested jars brought to the cut with alcohol, dyed, at most the wished volume."""
    jars = [s.content for s in usable if s.kind == "jar" and s.tested]
    if not jars:
        return None
    mix = jars[0]
    for jar in jars[1:]:
        mix = mix + jar
    main = next(iter(target.solvent_g))
    spirit = sum(s.amount() for s in usable if s.kind == "alcohol")
    if central(mix.cut_lb_per_gal) > central(recipe.cut_lb_per_gal) and spirit > 0:
        wanted = thin(mix=mix, alcohol=main, to_cut=recipe.cut_lb_per_gal)
        ml = min(central(wanted.add_alcohol_ml), spirit)
        mix = mix.with_alcohol(main, ml=ml)
    dye = sum(s.amount() for s in usable if s.kind == "dye")
    lacking = central(recipe.dye_share * mix.alcohol_ml - mix.dye_ml)
    if lacking > 0 and dye > 0:
        mix = mix + Mix({}, {}, min(lacking, dye) * dye_density_g_ml(), temp_c=mix.temp_c)
    volume, wished = central(mix.solution_ml), central(target.solution_ml)
    return mix.scaled(wished / volume) if volume > wished else mix


def differs(mix: Mix, recipe: Recipe) -> list[str]:
    """Return in words how a mix differs from a recipe; empty where it does not."""
    words = []
    cut, wished = central(mix.cut_lb_per_gal), central(recipe.cut_lb_per_gal)
    if abs(cut / wished - 1) > 0.005:
        words.append(f"{cut:.3g}-lb instead of {wished:.3g}-lb")
    target = recipe.make(alcohol_ml=1000.0)
    lines = _lines(recipe, target, True)
    total = central(mix.total_resin_g)
    for line in lines:
        if line.kind == "flakes" and total > 0:
            want = line.wished / central(target.total_resin_g)
            have = _counts(line, mix, lines) / total
            if abs(have - want) > 0.005:
                words.append(f"{line.name} {have:.0%} of the resin instead of {want:.0%}")
    dye, dye_wished = central(mix.dye_ml / mix.alcohol_ml), central(recipe.dye_share)
    if abs(dye - dye_wished) > 0.005 * max(dye_wished, 0.01):
        words.append(f"dye {dye:.2%} of the alcohol instead of {dye_wished:.2%}")
    return words
