"""A quotation: the variants that pass every check for a load, cheapest first, with their weight.

Run `python examples/embed/quote.py "14,000 lb"`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

from attrs import frozen
from variants import PRICES, SIZES, bridle, open_workshop

from riglint import Load, Unreadable, Workshop

LINKS = (60, 80)
ANGLES_DEG = (60, 45)
LABOR = 65.0  # a sling; invented


@frozen
class Offer:
    """A variant that may be offered; `weight` in the units of the build, as text."""

    variant: str
    price: float
    weight: str
    rated: str


def offers(shop: Workshop, load: str) -> list[Offer]:
    """The variants that carry the load and pass, cheapest first."""
    found = (_offers_of(shop, size, load) for size in SIZES)
    return sorted((one for some in found for one in some), key=lambda one: (one.price, one.variant))


def _offers_of(shop: Workshop, size: str, load: str) -> Iterator[Offer]:
    for links in LINKS:
        for angle in ANGLES_DEG:
            build = bridle(size, links, angle, load)
            if not shop.check(build).passes():
                continue
            sheet = shop.rate(build)
            rated = sheet.rating.load if sheet.rating else None
            if rated is None or sheet.mass is None:
                continue
            show = sheet.sling.units.show
            counts = (
                (part.item.id, part.links or 1, 1 + len(part.also)) for part in sheet.sling.parts
            )
            price = LABOR + sum(PRICES[item] * links * legs for item, links, legs in counts)
            yield Offer(sheet.sling.id, round(price, 2), show(Load(sheet.mass)), show(rated))


def main(arguments: list[str]) -> int:
    """Print the offers; exit status 1 where there is none, 2 where the load is not understood."""
    try:
        found = offers(open_workshop(), arguments[0] if arguments else "12,000 lb")
    except Unreadable as error:
        print(*(problem.message for problem in error.problems), sep="\n", file=sys.stderr)
        return 2
    for one in found:
        print(f"{one.variant:20} {one.price:9.2f} {one.weight:>10} {one.rated:>12}")
    return 0 if found else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
