"""Refusal: where, what, mend, on one printable line."""

from lacwright.figures import Refusal, nearest
from lacwright.figures.refusal import Refusals


def test_is_one_sentence_on_one_line():
    refusal = Refusal("--cut", "'two\nlb\x1b[31m' is not a cut", "write e.g. 2")
    assert str(refusal) == "--cut: 'two lb [31m' is not a cut; write e.g. 2."
    assert str(refusal.at("piece.toml, line 3")).startswith("piece.toml, line 3: ")


def test_several_are_told_at_once():
    both = Refusals([Refusal("a", "b", "c"), Refusal("d", "e", "f")])
    assert str(both) == "a: b; c.\nd: e; f."
    assert isinstance(both, Refusal)


def test_nearest():
    assert nearest("garnett", ["garnet", "button"]) == "did you mean 'garnet'"
    assert nearest("zzz", ["garnet", "button"]) == "use one of: button, garnet"
    assert nearest("zzz", [f"word{n:02}" for n in range(30)]).endswith("word23, ...")
    assert nearest("x" * 100_000, ["garnet"]) == "use one of: garnet"
