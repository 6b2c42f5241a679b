"""The standard rule pack, registered through the same hook as any in-house pack."""

from riglint import API_VERSION, Pack, PackContext, hookimpl, rules_in

from . import (
    adjustment,
    angles,
    catalog,
    duty,
    eyes,
    factors,
    fit,
    grade,
    hardware,
    identity,
    inspection,
    lift,
    permits,
    proof,
    rating,
    reach,
    removal,
    webs,
)

VERSION = "0.1.0"


@hookimpl
def riglint_pack(context: PackContext) -> Pack:
    """The standard pack with all its rules."""
    return Pack(
        name="standard",
        version=VERSION,
        api_version=API_VERSION,
        rules=rules_in(
            adjustment,
            angles,
            catalog,
            duty,
            eyes,
            factors,
            fit,
            grade,
            hardware,
            identity,
            inspection,
            lift,
            permits,
            proof,
            rating,
            reach,
            removal,
            webs,
        ),
    )
