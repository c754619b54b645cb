"""The working of a figure: a formula over named inputs that anybody can evaluate again."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lacwright.figures.figure import Figure


@dataclass(frozen=True)
class Working:
    """How a value was got.

    Parameters
    ----------
    formula : str
        An arithmetic expression in the names of `inputs`; see `evaluate_formula`.
    inputs : tuple of (str, Figure)
        Every name that the formula uses.
    note : str
        A sentence that the formula cannot say (a choice taken, a reference).
    """

    formula: str
    inputs: tuple[tuple[str, Figure], ...] = ()
    note: str = ""

    def evaluate(self) -> float:
        """Return the value of the formula at the central values of its inputs."""
        values: dict[str, float] = {}
        for name, figure in self.inputs:
            if figure.value is None:
                raise ValueError(f"input {name} of '{self.formula}' has no value")
            values[name] = figure.value
        return evaluate_formula(self.formula, values)

    def band(self) -> tuple[float, float, float]:
        """Return (value, low, high) from the inputs' own bands.

        Each input goes to its low and its high end on its own; the shifts add as the root of
        the sum of squares, as if the inputs had nothing in common. What they have in common
        (a sum of lines of one job, the hand in all coats) is for the caller to say, by draws
        or by `Figure.with_band`. An end that cannot be evaluated is left out.
        """
        middle = {name: figure.number() for name, figure in self.inputs}
        value = evaluate_formula(self.formula, middle)
        down = up = 0.0
        for name, figure in self.inputs:
            if figure.low is None or figure.high is None or figure.low == figure.high:
                continue
            shifts = [0.0]
            for end in (figure.low, figure.high):
                try:
                    shifts.append(evaluate_formula(self.formula, {**middle, name: end}) - value)
                except ValueError:
                    continue
            down, up = math.hypot(down, min(shifts)), math.hypot(up, max(shifts))
        return value, value - down, value + up


def evaluate_formula(formula: str, values: Mapping[str, float]) -> float:
    """Evaluate an arithmetic expression.

    Parameters
    ----------
    formula : str
        Python arithmetic (`+ - * / ** ( )`), comparisons with `if else`, and the functions
        exp, log, sqrt, min, max, ceil, floor, abs, round and phi (normal distribution).
    values : mapping of str to float
        The names used.

    Raises
    ------
    ValueError
        For anything that is not arithmetic in the given names, or has no finite real value.

    Examples
    --------
    >>> evaluate_formula("a * (1 - exp(-b))", {"a": 2.0, "b": 0.0})
    0.0
    """
    try:
        result = float(_value(_parsed(formula), values))
    except (SyntaxError, ArithmeticError, TypeError, RecursionError, MemoryError) as fault:
        raise ValueError(f"'{formula[:200]}' cannot be evaluated: {fault}") from fault
    if not math.isfinite(result):
        raise ValueError(f"'{formula[:200]}' is not finite")
    return result


@cache
def _parsed(formula: str) -> ast.expr:
    return ast.parse(formula.strip(), mode="eval").body


def _phi(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def _round(x: float, digits: float = 0) -> float:
    return round(x, int(digits))


_CALLS: dict[str, Callable[..., float]] = {
    "exp": math.exp, "log": math.log, "sqrt": math.sqrt, "min": min, "max": max,
    "ceil": math.ceil, "floor": math.floor, "abs": abs, "round": _round, "phi": _phi,
}  # fmt: skip
_BINARY: dict[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul,
    ast.Div: operator.truediv, ast.Pow: operator.pow,
}  # fmt: skip
_COMPARE: dict[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Lt: operator.lt, ast.LtE: operator.le, ast.Gt: operator.gt, ast.GtE: operator.ge,
    ast.Eq: operator.eq,
}  # fmt: skip


def _value(node: ast.expr, values: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            return float(number)  # whole numbers too: 9**9**9 is to overflow, not to run for ever
        case ast.Name(id=name) if name in values:
            return values[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, values)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _BINARY:
            return float(_BINARY[type(op)](_value(left, values), _value(right, values)))
        case ast.IfExp(test=ast.Compare(left=left, ops=[op], comparators=[right])) if (
            type(op) in _COMPARE
        ):
            yes = _COMPARE[type(op)](_value(left, values), _value(right, values))
            return _value(node.body if yes else node.orelse, values)
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in _CALLS:
            return float(_CALLS[name](*(_value(a, values) for a in args)))
    raise ValueError(f"not arithmetic in the given names: {ast.unparse(node)}")
