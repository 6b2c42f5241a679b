"""`riglint rate`: the calculation sheet of a build."""

from __future__ import annotations

import argparse
from typing import Any

from . import Commands, add_common, cannot, console, print_json, write_whole


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    rate = commands.add_parser("rate", help="the calculation sheet of a build", allow_abbrev=False)
    rate.add_argument("file", metavar="FILE")
    rate.add_argument("--report", choices=["text", "json"], default="text", metavar="KIND")
    rate.add_argument("--hung-from", metavar="ITEM", help="what if it hung from this item")
    rate.add_argument(
        "--angle",
        metavar="ANGLE",
        type=_angle,
        help="what if the legs stood at this angle, as '45 deg from horizontal'",
    )
    add_common(rate)
    rate.set_defaults(run=run)


def _angle(text: str) -> Any:
    from ..model import LegAngle
    from ..quantities import Angle, QuantityError

    number, _, where = text.partition(" from ")
    if where not in ("horizontal", "vertical"):
        raise argparse.ArgumentTypeError(
            f"{text!r} does not say from where; write '60 deg from horizontal'"
        )
    try:
        angle = LegAngle(**{f"from_{where}": Angle.parse(number)})
    except QuantityError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    if not 0 < angle.horizontal <= 90:
        raise argparse.ArgumentTypeError("a leg stands above 0 and up to 90 deg")
    return angle


def run(options: argparse.Namespace) -> int:
    """Print the calculation sheet; returns the exit status."""
    from ..problem import Unreadable
    from ..ratesheet import rate
    from .aside import aside

    try:
        with aside():
            sheet = rate(
                options.file,
                policy=options.policy,
                catalogs=options.catalog,
                hung_from=options.hung_from,
                angle=options.angle,
                root=options.root,
            )
    except Unreadable as error:
        return cannot(error)
    if options.report == "json":
        from ..reports.ratedata import rate_data

        return write_whole("", lambda out: print_json(rate_data(sheet), out))
    from ..reports.rate import print_rate

    return write_whole("", lambda out: print_rate(sheet, console(out)))
