"""What stands on pages many times, written without a template for each: fields and figures.

A template for every input, hint and figure takes longer than all the rest of a page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.html import conditional_escape as told
from django.utils.safestring import SafeString

from lacwright.figures import Figure

INPUTS = frozenset(
    f"django/forms/widgets/{kind}.html"
    for kind in ("text", "hidden", "number", "date", "datetime", "time", "checkbox", "file",
                 "search", "email")
)  # fmt: skip
BOXES = "django/forms/widgets/checkbox_select.html"
AREA = "django/forms/widgets/textarea.html"


def input_of(widget: Mapping[str, Any]) -> SafeString:
    """Return an input, as Django's own template writes it."""
    value = widget["value"]
    said = "" if value is None else f' value="{told(str(value))}"'
    return SafeString(
        f'<input type="{told(widget["type"])}" name="{told(widget["name"])}"{said}'
        f"{_attributes(widget['attrs'])}>"
    )


def area_of(widget: Mapping[str, Any]) -> SafeString:
    """Return a field of several lines, as Django's own template writes it."""
    return SafeString(
        f'<textarea name="{told(widget["name"])}"{_attributes(widget["attrs"])}>\n'
        f"{told(widget['value'] or '')}</textarea>"
    )


def boxes_of(widget: Mapping[str, Any]) -> SafeString:
    """Return boxes to tick, as Django's own template writes them."""
    mine = {name: widget["attrs"].get(name) or False for name in ("id", "class")}
    out = [f"<div{_attributes(mine)}>"]
    for group, options, _ in widget["optgroups"]:
        if group:
            out.append(f"\n  <div><label>{told(group)}</label>")
        for option in options:
            of = _attributes({"for": option["attrs"].get("id") or False})
            out.append(f"<div>\n    <label{of}>{input_of(option)} {told(option['label'])}</label>"
                       "</div>")  # fmt: skip
        if group:
            out.append("\n  </div>")
    return SafeString("".join([*out, "\n</div>"]))


def field_of(field: Any) -> SafeString:
    """Return a field with its label, hint and errors."""
    tick, several = field.widget_type == "checkbox", field.use_fieldset
    label, number, errors = told(field.label), told(field.id_for_label), field.errors
    classes = f"field{' wrong' if errors else ''}{' tick' if tick else ''}"
    out = [f'<div class="{classes}">\n']
    if tick:
        out.append(f'<label for="{number}">{field}<span>{label}</span></label>\n')
    else:
        may = "" if field.field.required else ' <span class="may">may stay empty</span>'
        out.append(f"<fieldset><legend>{label}</legend>" if several else
                   f'<label for="{number}">{label}{may}</label>')  # fmt: skip
        out.append(f"\n{field}\n")
    if field.help_text:
        out.append(f'<p class="hint" id="{told(field.auto_id)}_helptext">'
                   f"{told(field.help_text)}</p>\n")  # fmt: skip
    if errors:
        each = "".join(f"{told(error)} " for error in errors)
        out.append(f'<p class="error" id="{told(field.auto_id)}_error">{each}</p>\n')
    return SafeString("".join([*out, "</fieldset>\n" if several else "", "</div>\n"]))


def figure_of(
    figure: Figure, digits: int, *, amount: Callable[..., str], band: Callable[[Figure], str],
    unit: Callable[[str], str],
) -> SafeString:  # fmt: skip
    """Return a figure that shows range, basis, mark, source and working when it is opened.

    Parameters
    ----------
    figure : Figure
        The figure.
    digits : int
        Significant figures of its value.
    amount, band, unit : callable
        How the pages write a number, a range and a unit.
    """
    if figure.value is None:
        return SafeString(f'<span class="unknown">{told(figure.missing or "")}</span>')
    range_ = band(figure)
    lines = [f"<dt>Basis</dt><dd>{told(str(figure.basis))}, {told(str(figure.mark))}</dd>"]
    if figure.source:
        lines.append(f"<dt>Source</dt><dd>{told(figure.source)}</dd>")
    if figure.working:
        each = "".join(
            f"<li><code>{told(name)}</code> = {_input(one, amount, band, unit)}</li>"
            for name, one in figure.working.inputs
        )
        note = f"<p>{told(figure.working.note)}</p>" if figure.working.note else ""
        lines.append(f"<dt>Working</dt><dd><code>{told(figure.working.formula)}</code>"
                     f"<ul>{each}</ul>{note}</dd>")  # fmt: skip
    return SafeString(
        f'<details class="figure"><summary><span class="n">{amount(figure.value, digits)}</span>'
        f" {'' if figure.unit == '1' else told(unit(figure.unit))}"
        + (f' <span class="band">({range_})</span>' if range_ else "")
        + f"</summary><dl>{''.join(lines)}</dl></details>"
    )


def _input(
    one: Figure, amount: Callable[..., str], band: Callable[[Figure], str],
    unit: Callable[[str], str],
) -> str:  # fmt: skip
    if one.value is None:
        return str(told(one.missing or ""))
    range_, of = band(one), "" if one.unit == "1" else f" {told(unit(one.unit))}"
    return (f"{amount(one.value, 4)}{of}{f' ({range_})' if range_ else ''}; "
            f"{told(str(one.basis))}, {told(str(one.mark))}")  # fmt: skip


def _attributes(attrs: Mapping[str, Any]) -> str:
    return "".join(
        f" {told(name)}" if value is True else f' {told(name)}="{told(str(value))}"'
        for name, value in attrs.items()
        if value is not False
    )
