# %% [markdown]
# What a two-leg bridle may carry, by chain size and leg angle. Open this file as a notebook (the
# `# %%` marks are cells) or run it as a script.

# %%
from __future__ import annotations

from variants import SIZES, bridle, open_workshop

from riglint import RateSheet

shop = open_workshop()
ANGLES_DEG = (60, 45, 30)

# %%
sheets: dict[tuple[str, int], RateSheet] = {
    (size, angle): shop.rate(bridle(size, 80, angle, "1,000 lb"))
    for size in SIZES
    for angle in ANGLES_DEG
}


# %%
def rated(size: str, angle: int) -> str:
    """The rated load of a variant, or that it is not known."""
    sheet = sheets[size, angle]
    load = sheet.rating.load if sheet.rating else None
    return sheet.sling.units.show(load) if load is not None else "not known"


rows = [(size, *(rated(size, angle) for angle in ANGLES_DEG)) for size in SIZES]
for row in (("size", *(f"{angle} deg" for angle in ANGLES_DEG)), *rows):
    print("".join(f"{cell:>14}" for cell in row))

# %% [markdown]
# A sheet or a report as the last line of a cell shows itself as a table.

# %%
sheets["3/8 in", 60]
