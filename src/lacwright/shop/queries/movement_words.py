"""One plain sentence for every kind of movement, out of its body."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lacwright.shop.amounts import amount_words, plain_number

Body = Mapping[str, Any]


def words_of(kind: str, body: Body) -> str:
    """Return what a movement says, in a sentence.

    Parameters
    ----------
    kind : str
        Its kind; of an undo "void".
    body : mapping
        What was written down.
    """
    says = _WORDS.get(kind)
    told = says(body) if says is not None else f"{kind}: {_about(body)}"
    return f"{told[0].upper()}{told[1:]}."


def panel_words(name: str) -> str:
    """Return a panel as it is said: "panel 3", also where it is called "panel 3"."""
    return name if not name or name.lower().startswith("panel") else f"panel {name}"


def _receive(body: Body) -> str:
    came = "was there when the record began" if body.get("opening") else "came"
    return f"{amount_words(body['amount'])} of lot {_ref(body, 'lot')} {came}"


def _describe(body: Body) -> str:
    if body["table"] == "setting":
        return _setting(body["name"], body["now"].get("value"), body["was"].get("value"))
    changed = ", ".join(f"{name} from {_value(body['was'][name])} to {_value(now)}"
                        for name, now in body["now"].items())  # fmt: skip
    return f"changed the description of {body['table']} {body['name']}: {changed}"


def _setting(name: str, now: Any, was: Any) -> str:
    """Return how a setting changed: of an own figure what was typed, else the value itself."""
    before = "" if was is None or was == "" else f" (before: {_set_to(was)})"
    if now is None or now == "":
        return f"took the setting {name} away{before}"
    return f"set {name} to {_set_to(now)}{before}"


def _set_to(value: Any) -> str:
    if not isinstance(value, Mapping):
        return str(value)
    unit = "" if value.get("unit") in (None, "", "1") else f" {value['unit']}"
    return str(value.get("said") or f"{plain_number(value['value'])}{unit}")


def _count(body: Body) -> str:
    return f"counted {amount_words(body['amount'])} of lot {_ref(body, 'lot')}{_gone(body)}"


def _fill(body: Body) -> str:
    cut = body["claimed_cut"]
    what = "a liquid of unknown make-up" if cut is None else f"a bought {cut:g}-lb cut, as claimed"
    return f"filled jar {_ref(body, 'jar')} with {amount_words(body['amount'])} of {what}"


def _mix(body: Body) -> str:
    return f"mixed jar {_ref(body, 'jar')} from {_takes(body)}"


def _add(body: Body) -> str:
    why = {"": "", "thin": "to thin it", "strengthen": "to strengthen it", "top-up": "to top it up",
           "give-back": "to give back what evaporated", "correct": "to correct it"}  # fmt: skip
    to = body.get("to_cut")
    goal = f"{why.get(body['why'], '')}{f' to a {to:g}-lb cut' if to else ''}"
    return f"added {_takes(body)} to jar {_ref(body, 'jar')} {goal}".rstrip()


def _pour(body: Body) -> str:
    to = body["to"].partition(":")[2]
    where = {"jar": f"jar {to}", "applicator": to}.get(body["to_kind"], "the waste")
    return f"poured {amount_words(body['amount'])} of jar {_ref(body, 'jar')} into {where}"


def _weigh(body: Body) -> str:
    net = body["net_g"]
    how = (f"{plain_number(net)} g of mix" if net is not None
           else f"{plain_number(body['gross_g'])} g with the jar")  # fmt: skip
    return f"weighed jar {_ref(body, 'jar')}: {how}{_gone(body)}"


def _test(body: Body) -> str:
    if body["test"] in ("timed-coat", "whitened"):
        what = {"timed-coat": "timed a coat on", "whitened": "a coat whitened on"}[body["test"]]
        if body["result"].get("whitened") is False:
            what = "a coat stayed clear on"
        return f"{what} {_ref(body, 'piece')}: {' '.join(body['says']).rstrip('.')}"
    if body["test"] in ("colour-panel", "colour-look"):
        done = "read the colour of" if body["test"] == "colour-panel" else "foretold the look of"
        done = "read what was foretold of" if "hit" in body else done
        return f"{done} {_ref(body, 'piece')}: {' '.join(body['says']).rstrip('.')}"
    verdict = f"{body['test']} test of {_about(body)}: {body['verdict']}"
    return f"{verdict} ({' '.join(body['says']).rstrip('.')})" if body["says"] else verdict


def _coat(body: Body) -> str:
    number = f" {body['number']}" if body.get("number") else ""
    parts = f" on {', '.join(body['parts'])}" if body.get("parts") else ""
    through = f" with {_ref(body, 'applicator')}" if "applicator" in body["refs"] else ""
    how = f"jar before {body['before_g']:g} g, after {body['after_g']:g} g" if (
        body.get("before_g") is not None and body.get("after_g") is not None
    ) else f"{plain_number(body['used_ml'])} ml" if body.get("used_ml") is not None else (
        f"amount {body.get('amount_basis') or 'not said'}"
    )  # fmt: skip
    return (f"laid {body.get('what') or 'coat'}{number} from jar {_ref(body, 'jar')}{through} on "
            f"{_ref(body, 'piece') or 'job ' + _ref(body, 'job')}{parts}, {how}")  # fmt: skip


def _on_parts(done: str) -> Callable[[Body], str]:
    def says(body: Body) -> str:
        parts = f", {', '.join(body['parts'])}" if body.get("parts") else ""
        text = body.get("text") or body.get("note") or body.get("how") or ""
        return f"{done.format(**_plain(body))} {_work(body)}{parts}{f': {text}' if text else ''}"

    return says


def _abrade(body: Body) -> str:
    done = {"scuff": "scuffed", "level": "levelled", "rub": "rubbed out"}
    with_ = f" with {body['abrasive']}" if body.get("abrasive") else ""
    return _on_parts(done.get(body["what"], str(body["what"])))(body) + with_


def _reading(body: Body) -> str:
    told = [
        f"{body['temp_c']:g} C" if body.get("temp_c") is not None else "",
        f"{body['rh']:.0%} relative humidity" if body.get("rh") is not None else "",
        f"board at {body['board_mc']:.1%} moisture" if body.get("board_mc") is not None else "",
        f"board at {body['board_temp_c']:g} C" if body.get("board_temp_c") is not None else "",
    ]  # fmt: skip
    where = f" ({body['where']})" if body.get("where") else ""
    return f"read {', '.join(t for t in told if t) or 'nothing'}{where}"


def _agree(body: Body) -> str:
    price = f", {body['price']} {body.get('currency') or ''}".rstrip() if body.get("price") else ""
    panel = panel_words(body.get("panel") or "")
    on = f"a {body['what']}" if not panel else panel if body["what"] == "panel" else (
        f"a {body['what']} with {panel}"
    )  # fmt: skip
    text = f": {body['text']}" if body.get("text") else ""
    return f"agreed on {on} for {_work(body)}{price}{text}"


def _open(body: Body) -> str:
    """Return what is new in the record, then whose it is."""
    table, whose = body.get("table", ""), _ref(body, "customer")
    if table == "piece" and _ref(body, "piece"):
        name = _ref(body, "piece")
        what = panel_words(name) if body.get("kind") == "panel" else f"piece {name}"
        return f"wrote down {what}{f' for {whose}' if whose else ''}"
    return f"wrote down {_about(body)}"


def _void(body: Body) -> str:
    return f"took back: {body.get('was') or 'an entry'} of {_about(body) or 'the shop'}"


def _start(body: Body) -> str:
    planned = "with a plan" if body.get("planned") else "without a plan"
    return f"began job {_ref(body, 'job')} on {_ref(body, 'piece')} {planned}"


def _close(body: Body) -> str:
    given = "delivered" if body.get("delivered") else "not delivered"
    text = f": {body['text']}" if body.get("text") else ""
    return f"closed job {_ref(body, 'job')}, {given}{text}"


def _attach(body: Body) -> str:
    return f"attached {body.get('name') or body['sha256'][:12]} to {_work(body)}"


_WORDS: dict[str, Callable[[Body], str]] = {
    "receive": _receive, "describe": _describe, "count": _count, "fill": _fill, "mix": _mix,
    "add": _add, "pour": _pour, "weigh": _weigh, "test": _test, "coat": _coat,
    "reading": _reading, "agree": _agree, "open": _open, "void": _void, "start": _start,
    "close": _close, "attach": _attach,
    "discard": lambda body: f"washed out jar {_ref(body, 'jar')}",
    "wash": lambda body: f"washed out {_ref(body, 'applicator')}",
    "abrade": _abrade, "strip": _on_parts("stripped"),
    "rest": _on_parts("rest on"), "clean": _on_parts("cleaned"), "wax": _on_parts("waxed"),
    "note": _on_parts("note on"), "fault": _on_parts("fault ({what}) on"),
    "spot": _on_parts("spot to come back to ({where}) on"),
    "spot-done": _on_parts("came back to a spot on"),
}  # fmt: skip


def _takes(body: Body) -> str:
    return " and ".join(
        f"{amount_words(t['amount'])} of "
        + (f"jar {t['name']}" if t["kind"] == "jar" else t.get("lot") or t["name"] or t["kind"])
        for t in body["takes"]
    )


def _gone(body: Body) -> str:
    gone = {"air": "what is missing evaporated", "waste": "what is missing was spilled"}
    return f" ({gone[body['gone']]})" if body.get("gone") in gone else ""


def _about(body: Body) -> str:
    # Whose it is comes last, whatever the order in which it is kept.
    named = sorted(body["refs"].items(), key=lambda ref: ref[0] == "customer")
    return ", ".join(f"{word} {name}" for word, name in named)


def _work(body: Body) -> str:
    """Return the piece with its job, then what else is named."""
    refs = dict(body["refs"])
    piece, job = refs.pop("piece", ""), refs.pop("job", "")
    on = f"{piece} (job {job})" if piece and job else piece or (f"job {job}" if job else "")
    return ", ".join(text for text in (on, *(f"{k} {v}" for k, v in refs.items())) if text)


def _ref(body: Body, word: str) -> str:
    return str(body["refs"].get(word, ""))


def _value(value: Any) -> str:
    if value is None or value == "":
        return "not said"
    return ", ".join(f"{k} {v:g}" for k, v in value.items()) if _numbers(value) else str(value)


def _numbers(value: Any) -> bool:
    return isinstance(value, Mapping) and all(isinstance(v, int | float) for v in value.values())


def _plain(body: Body) -> dict[str, Any]:
    return {name: value for name, value in body.items() if isinstance(value, str)}
