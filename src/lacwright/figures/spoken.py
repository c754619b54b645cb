"""Numbers as people read them: to the step of a scale, to so many figures."""

from __future__ import annotations

import math
import re


def to_step(value: float, step: float) -> str:
    """Return an amount rounded to the step of his scale: to_step(59.93, 0.1) is "59.9"."""
    shown = f"{step:.6f}".rstrip("0").rstrip(".")
    digits = len(shown.partition(".")[2])
    return f"{round(value / step) * step:.{digits}f}"


def brief(value: float, digits: int = 3) -> str:
    """Return a number with so many significant figures and no exponent."""
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{places}f}"


def trimmed(value: float, digits: int = 3) -> str:
    """Return a number as `brief` does, without zeros at its end: "50", "12.5", "4546".

    Unlike a format such as ".3g" it never comes to "4.55e+03".
    """
    if not math.isfinite(value):
        return f"{value:g}"
    text = brief(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(n: int, one: str, many: str = "") -> str:
    """Return "1 coat", "2 coats"; `many` where an s is not enough.

    Examples
    --------
    >>> counted(1, "pad or brush", "pads and brushes")
    '1 pad or brush'
    """
    return f"{n} {one if n == 1 else many or one + 's'}"


def an(words: str) -> str:
    """Return words with the article before them, as they are spoken: "an area", "an 8-lb cut".

    Examples
    --------
    >>> an("cut"), an("area"), an("8-lb cut"), an("1.1-lb cut"), an("11-lb cut"), an("use")
    ('a cut', 'an area', 'an 8-lb cut', 'a 1.1-lb cut', 'an 11-lb cut', 'a use')
    """
    return f"{'an' if _AS_VOWEL.match(words.strip()) else 'a'} {words}"


_AS_VOWEL = re.compile(r"(?!us|uni|one\b|once\b|eu)[aeiou]|hour|8|1[18](?!\d)", re.IGNORECASE)


def a_cut(cut: float, digits: int = 3) -> str:
    """Return "a 2-lb cut", "an 8-lb cut"."""
    return an(f"{cut:.{digits}g}-lb cut")


def of_plural(n: int, many: str) -> str:
    """Return the count of what goes by its plural: "1 jar", "1 pad or brush", "2 entries".

    Examples
    --------
    >>> of_plural(1, "pads and brushes")
    '1 pad or brush'
    """
    if n != 1:
        return f"{n} {many}"
    return f"1 {' or '.join(map(_singular, many.split(' and ')))}"


def _singular(word: str) -> str:
    if word.endswith("ies"):
        return f"{word[:-3]}y"
    return word[:-2] if word.endswith(("shes", "ches", "xes")) else word.removesuffix("s")


def there_are(n: int, one: str, many: str = "") -> str:
    """Return "1 jar is", "2 jars are"."""
    return f"{counted(n, one, many)} {'is' if n == 1 else 'are'}"


def founded(mark: object, source: str) -> str:
    """Return what a number rests on: its mark and its source, the mark told once.

    Examples
    --------
    >>> founded("common practice", "common practice, no source")
    'common practice, no source'
    >>> founded("published", "27 CFR 21.80")
    'published: 27 CFR 21.80'
    """
    return source if source.startswith(str(mark)) else f"{mark}: {source}"
