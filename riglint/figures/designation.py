"""The trade's sling letters: how many legs, what they hang in, what ends them.

All letters are from memory (ASTM A906/A906M, 5.1.4 refers to its Table 7, which was not seen):
S C D T Q for the legs, O P for the top link, S G F L for the hooks, A for adjustable legs; a single
leg may have a hook on top (SSG, SGG); SB and DB baskets; ES and ED endless; SAL and DAL loops.
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
    "top": {
        "O": "an oblong link on top",
        "P": "a pear link on top",
        "S": "a sling hook on top",
        "G": "a grab hook on top",
        "F": "a foundry hook on top",
        "L": "a self-locking hook on top",
    },
    "bottom": {
        "S": "sling hooks",
        "G": "grab hooks",
        "F": "foundry hooks",
        "L": "latched or self-locking hooks",
    },
    "family": {None: "legs with a free end", "B": "legs hung by both ends", "E": "endless legs"},
    "adjustable": {"A": "adjustable legs", None: "legs of fixed length"},
}
_BRIDLE = re.compile(r"(A?)([SCDTQ])([OPSGFL])([SGFL]?)(A?)")
_LOOPS = {
    "SB": ("S", "B", False),
    "DB": ("D", "B", False),
    "ES": ("S", "E", False),
    "ED": ("D", "E", False),
    "SAL": ("S", "E", True),
    "DAL": ("D", "E", True),
}


@frozen
class Designation:
    """The letters place by place; None where a place has no letter."""

    legs: str | None
    top: str | None
    bottom: str | None
    adjustable: bool
    family: str | None = None

    @property
    def text(self) -> str | None:
        """The letters as they are written; None where a place has no known letter."""
        if self.family is not None:
            key = (self.legs, self.family, self.adjustable)
            return next((text for text, places in _LOOPS.items() if places == key), None)
        if self.legs is None or self.top is None or (self.bottom is None and self.legs != "C"):
            return None
        return ("A" if self.adjustable else "") + self.legs + self.top + (self.bottom or "")

    def differences(self, other: Designation) -> Iterator[tuple[str, str | None, str | None]]:
        """Each place in which another says otherwise: the place, this letter, the other's.

        A place that the other has no letter for is not compared; nor are the ends of baskets
        and endless legs, whose letters do not speak of them. Letters without an A do not deny
        that the legs can be shortened.
        """
        if self.family != other.family:
            yield "family", self.family, other.family
        places = ("legs",) if self.family or other.family else ("legs", "top", "bottom")
        for place in places:
            mine, others = getattr(self, place), getattr(other, place)
            if others is not None and mine != others:
                yield place, mine, others
        if self.adjustable and not other.adjustable:
            yield "adjustable", "A", None


def decode(letters: str) -> Designation | None:
    """What the letters say; None where they are none of the kinds that are known here.

    From memory, as the trade uses them; A stands first or last.
    """
    text = letters.strip().upper()
    if text in _LOOPS:
        legs, family, adjustable = _LOOPS[text]
        return Designation(legs, None, None, adjustable, family)
    match = _BRIDLE.fullmatch(text)
    if match is None:
        return None
    first, legs, top, bottom, last = match.groups()
    if top not in "OP" and legs != "S":
        return None
    return Designation(legs, top, bottom or None, bool(first or last))
