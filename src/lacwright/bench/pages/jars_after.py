"""The sentence with which the next page begins, out of what a service answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lacwright.bench.pages.measures import volume, weight
from lacwright.bench.words import amount
from lacwright.shop.verdict import FAILED
from lacwright.shop.writing import Answer


def mixed_words(answer: Answer) -> str:
    """Return what stands in a new jar, and what was not on the shelf."""
    jar = answer.data["jar"]
    return f"Jar {jar['name']} is written down{_stands(jar)}.{_ready(answer)}{_rest(answer)}"


def would_stand(answer: Answer) -> str:
    """Return what a mix would make, before it is written down."""
    jar = answer.data["jar"]
    made = _stands(jar, "has").removeprefix(" has ").removeprefix(": ")
    return made + "." + _rest(answer)


def added_words(answer: Answer) -> str:
    """Return how a jar stands after something was added."""
    jar = answer.data["jar"]
    return f"Written down: jar {jar['name']} now{_stands(jar, 'has')}.{_ready(answer)}" + (
        _rest(answer)
    )  # fmt: skip


def poured_words(answer: Answer) -> str:
    """Return what was poured and what is left."""
    jar, poured = answer.data["jar"], answer.data["poured"]
    how_much = weight(poured["g"]) if poured["lots"] else "an amount that was not said"
    place, _, name = answer.data["to"].partition(":")
    into = {"jar": f"jar {name}", "applicator": name}.get(place, "the waste")
    return f"Poured {how_much} of jar {jar['name']} into {into}.{_rest(answer)}"


def weighed_words(answer: Answer) -> str:
    """Return what a weighing found, and what brings the jar back."""
    told, name = answer.data, answer.data["jar"]["name"]
    text = f"Jar {name} is weighed."
    if told["missing_g"] > 0:
        text += f" {weight(told['missing_g'])} were missing"
        text += {"air": ", taken as evaporated.", "waste": ", taken as spilled."}.get(
            told["gone"], ", unaccounted.")  # fmt: skip
    elif told["unaccounted_g"] < 0:
        text += f" {weight(-told['unaccounted_g'])} more than the book had."
    else:
        text += " The book agrees."
    if told["give_back_ml"] is not None:
        cut = told["cut_before"]
        text += (f" {volume(told['give_back_ml'])} of the same alcohol bring it back to its "
                 f"{amount(cut, 2)}-lb cut.")  # fmt: skip
    return text


def discarded_words(answer: Answer) -> str:
    """Return what was thrown away."""
    thrown = answer.data["thrown_away"]
    how_much = f" with {weight(thrown['g'])} in it" if thrown["g"] > 0 else ""
    return f"Jar {answer.data['jar']['name']} was poured away{how_much} and washed out."


def tested_words(answer: Answer) -> str:
    """Return the verdict of a test, and why."""
    told = answer.data
    test = str(told["test"]).replace("-", " ")
    of = f"{told['of_kind']} {told['of']}"
    # What a failure says stands in the recall that follows.
    shown = told["verdict"] == FAILED and told["of_kind"] != "piece"
    says = "" if shown else f" {' '.join(told['says'])}"
    return f"{test.capitalize()} test of {of}: {told['verdict']}.{says}".strip()


def _stands(jar: Mapping[str, Any], verb: str = "with") -> str:
    if jar["solution_ml"] is None or jar["cut_lb_per_gal"] is None:
        return f": {jar['missing'].get('cut_lb_per_gal', 'its make-up is not known')}"
    lead = f" {verb}" if verb == "has" else f", {verb}"
    return (f"{lead} {volume(jar['solution_ml'])} of a {amount(jar['cut_lb_per_gal'], 3)}-lb "
            "cut")  # fmt: skip


def _ready(answer: Answer) -> str:
    ready = answer.data.get("ready_after_h")
    return f" The flakes are dissolved after about {amount(ready, 2)} h." if ready else ""


def _rest(answer: Answer) -> str:
    """Return what was not on the shelf, and what is odd."""
    short = answer.data.get("short") or {}
    told = [f"The book had {weight(g)} less of {lot} than was taken: count it."
            for lot, g in short.items()]  # fmt: skip
    return "".join(f" {text}" for text in (*told, *(answer.data.get("says") or ())))
