"""The trade's sling letters: how many legs, what gathers them, what ends them.

Letters from memory (ASTM A906/A906M, 5.1.4 refers to its Table 7, which was not seen).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from attrs import frozen

LETTERS: dict[str, dict[str | None, str]] = {
    "legs": {
        "S": "one leg",
        "C": "one leg with links at both ends",
        "D": "two legs",
        "T": "three legs",
        "Q": "four legs",
    },
    "top": {"O": "an oblong link on top", "P": "a pear link on top"},
    "bottom": {
        "S": "sling hooks",
        "G": "grab hooks",
        "F": "foundry hooks",
        "L": "latched or self-locking hooks",
    },
    "adjustable": {"A": "adjustable legs", None: "legs of fixed length"},
}
_PATTERN = re.compile(r"(A?)([SCDTQ])([OP])([SGFL]?)(A?)")


@frozen
class Designation:
    """The letters place by place; None where a place has no letter."""

    legs: str | None
    top: str | None
    bottom: str | None
    adjustable: bool

    @property
    def text(self) -> str | None:
        """The letters as they are written; None where a place has no known letter."""
        if self.legs is None or self.top is None or (self.bottom is None and self.legs != "C"):
            return None
        return ("A" if self.adjustable else "") + self.legs + self.top + (self.bottom or "")

    def differences(self, other: Designation) -> Iterator[tuple[str, str | None, str | None]]:
        """Each place in which another says otherwise: the place, this letter, the other's.

        A place that the other has no letter for is not compared.
        """
        for place in ("legs", "top", "bottom"):
            mine, others = getattr(self, place), getattr(other, place)
            if others is not None and mine != others:
                yield place, mine, others
        if self.adjustable != other.adjustable:
            yield (
                "adjustable",
                "A" if self.adjustable else None,
                "A" if other.adjustable else None,
            )


def decode(letters: str) -> Designation | None:
    """What the letters say; None where they are none of the kinds that are known here.

    From memory, as the trade uses them: A adjustable (first or last), S C D T Q legs, O P top,
    S G F L bottom.
    """
    match = _PATTERN.fullmatch(letters.strip().upper())
    if match is None:
        return None
    first, legs, top, bottom, last = match.groups()
    return Designation(legs, top, bottom or None, bool(first or last))
