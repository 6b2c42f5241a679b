"""Sources as documents and clauses, from the way in which rules name them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from attrs import frozen

# "ASME B30.9-2010, 9-1.5.7": a clause begins with a number, a small letter or such a word
_CLAUSE = re.compile(r", (?=\d|[a-z]|Tables? |Annex )")
_REMARK = re.compile(r"\s\(([^()]{3,}(?:\([^()]*\)[^()]*)*)\)$")
_CODE_OF_REGULATIONS = re.compile(r"(\d+ CFR [\d.]*\d|WAC [\d-]*\d|Cal\. T8 s\.\d+)(?:, )?(.*)")
_BETWEEN = re.compile(r";\s+(?![^(]*\))")
SECOND_HAND = ("second-hand", "from memory")


@frozen(order=True)
class Citation:
    """A document and its clause; `clause` is empty where the whole document is meant.

    `obtained` says how the figure was come by, where it was not read in the document itself.
    """

    document: str
    clause: str = ""
    obtained: str = ""

    @property
    def place(self) -> str:
        """The clause, or the document's name where the whole of it is meant."""
        return self.clause or self.document


def citations(sources: Iterable[str]) -> Iterator[Citation]:
    """The documents that sources name; common practice and house defaults are none.

    A document is told by its first character, a capital or a figure.
    """
    for source in sources:
        for one in _BETWEEN.split(source):
            if one[:1].isupper() or one[:1].isdigit():
                yield _citation(one)


def _citation(source: str) -> Citation:
    obtained = next((how for how in SECOND_HAND if how in source), "")
    named = _REMARK.sub("", source)
    named = named.partition(": ")[0]
    if code := _CODE_OF_REGULATIONS.fullmatch(named):
        return Citation(code[1], code[2], obtained)
    document, clause = [*_CLAUSE.split(named, maxsplit=1), ""][:2]
    return Citation(document, clause, obtained)
