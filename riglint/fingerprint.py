"""What makes a finding the same one in the next run: no line numbers and no wording."""

from __future__ import annotations

from hashlib import sha256

from attrs import astuple, frozen

from .finding import Finding, Key, show


@frozen(order=True)
class Fingerprint:
    """A finding's rule, the kind and id of its subject, part, datum, figure and limit.

    Figure and limit are as a person reads them, so that rounding noise changes nothing; a figure
    that changed visibly is another finding. A finding with neither has its other facts as figure.
    """

    about: str
    id: str
    rule: str
    part: str
    at: str = ""
    found: str = ""
    limit: str = ""

    @property
    def digest(self) -> str:
        """The same as 32 hexadecimal digits."""
        return digest(*astuple(self))


def digest(*texts: str) -> str:
    """Texts as 32 hexadecimal digits; each is led by its length, so that none runs into another."""
    joined = "".join(f"{len(text)}:{text}" for text in texts)
    return sha256(joined.encode(errors="surrogatepass")).hexdigest()[:32]


def fingerprint(finding: Finding, about: str, id_: str) -> Fingerprint:
    """The fingerprint of a finding about a subject of this kind and id."""
    figures = (finding.found, finding.limit)
    if figures == (None, None):
        figures = (tuple(finding.facts.values()), None)
    found, limit = ("" if value is None else show(value, finding.units) for value in figures)
    return Fingerprint(about, id_, finding.rule, finding.part, datum(finding.key), found, limit)


def datum(key: Key) -> str:
    """A path without its places in lists, which change when an entry is added before it."""
    return ".".join(step for step in key if isinstance(step, str))
