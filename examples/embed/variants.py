"""Two-leg bridles of the fictional Northmere loft, made in code: what a configurator would make.

Prices and parts are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from riglint import Workshop

NORTHMERE = Path(__file__).parents[1] / "northmere"
# Chain size, what gathers its legs, and the invented price of each item.
SIZES = {"3/8 in": "ML-7/8", "1/2 in": "ML-1-1/4"}
PRICES = {
    "ML-7/8": 88.0,
    "ML-1-1/4": 142.0,
    "CL-3/8": 17.5,
    "CL-1/2": 26.0,
    "SH-3/8": 54.0,
    "SH-1/2": 81.0,
    "CH-3/8": 1.15,  # a link
    "CH-1/2": 1.60,
}


def open_workshop() -> Workshop:
    """The loft's policy, stock and rules, read once."""
    return Workshop(policy=NORTHMERE / "riglint.toml", rule_seconds=5)


def bridle(size: str, links: int, angle_deg: int, load: str) -> dict[str, Any]:
    """A two-leg bridle as the values of a build file."""
    name = size.removesuffix(" in")
    leg = [f"CL-{name}", f"CH-{name}", f"CL-{name}", f"SH-{name}"]
    parts = [{"item": item} | ({"links": links} if item[:2] == "CH" else {}) for item in leg]
    return {
        "assembly": {"id": f"pair-{name.replace('/', '-')}-{links}-{angle_deg}", "basis": "US"},
        "duty": {
            "hitch": "bridle",
            "angle": {"from_horizontal": f"{angle_deg} deg"},
            "hung_from": "hook-10",
            "load": load,
        },
        "part": [{"ref": "top", "item": SIZES[size]}],
        "leg": [{"ref": "a", "on": "top", "count": 2, "parts": parts}],
    }
