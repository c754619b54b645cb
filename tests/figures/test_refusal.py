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


def test_what_was_typed_is_repeated_in_short():
    refusal = Refusal("--x", f"'{'a' * 10_000}' is not a day, nor is \"{'b' * 99}\"", "write 1")
    assert refusal.what == f"'{'a' * 57}...' is not a day, nor is \"{'b' * 57}...\""
    # What lies between two short quotes is told whole, however long, and so is a mend.
    what = f"'a' {'lies ' * 20}beside 'b', and the nail's mark"
    mend = f"write '{'lacwright record ' * 10}'"
    refusal = Refusal("--x", what, mend)
    assert (refusal.what, refusal.mend) == (what, mend)


def test_a_text_without_quotes_is_cut_in_the_middle():
    refusal = Refusal("w" * 9999, "begins " + "x" * 9999 + " ends", "m" * 9999)
    assert len(str(refusal)) < 1300
    assert refusal.what.startswith("begins x")
    assert refusal.what.endswith("x ends")
    assert "\n" not in str(Refusal("a\nb", "c\r\nd", "e\u2028f\x1b[1m"))


def test_a_word_that_has_little_in_common_is_not_what_was_meant():
    woods = ["not said", "unknown", "oak", "walnut", "beech"]
    assert nearest("unobtanium", woods).startswith("use one of: ")
    assert nearest("walnot", woods) == "did you mean 'walnut'"
    assert nearest("beach", woods) == "did you mean 'beech'"
    assert nearest("oka", woods) == "did you mean 'oak'"
