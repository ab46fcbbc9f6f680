"""What can be wrong with a chemical formula."""

from potash.errors import PotashError

_WINDOW = 60  # characters of a long text that are shown around the mistake


class BadFormula(PotashError):
    """A text is not one chemical formula.

    reason: what is wrong and what would be right.
    text: what was typed, the whole equation where the formula stands in one.
    position: index in ``text`` of the first character that is wrong.
    length: how many characters are wrong, at least 1.
    """

    def __init__(self, reason: str, text: str, position: int, length: int = 1) -> None:
        self.reason = reason
        self.text = text
        self.position = position
        self.length = max(length, 1)
        super().__init__(f"{reason}\n{self.pointer()}")

    def pointer(self) -> str:
        """Two lines: the text around the mistake, and a mark under what is wrong."""
        start = max(0, self.position - _WINDOW // 2)
        shown = self.text[start : start + _WINDOW]
        before, after = "…" * (start > 0), "…" * (start + _WINDOW < len(self.text))
        line = before + "".join(" " if sign.isspace() else sign for sign in shown) + after
        mark = " " * (len(before) + self.position - start) + "^" * min(self.length, _WINDOW // 2)
        return f"  {line}\n  {mark}"

    def inside(self, text: str, offset: int) -> "BadFormula":
        """The same mistake, shown in a longer text in which the formula begins at ``offset``."""
        return BadFormula(self.reason, text, offset + self.position, self.length)


class NoAtomicWeight(PotashError):
    """An element without stable isotopes has no standard atomic weight."""
