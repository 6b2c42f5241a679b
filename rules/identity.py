"""Identity: the tag, the trade's letters, and what they say of the build."""

from collections.abc import Iterator

from riglint import Context, Finding, Sling, Unstated, rule
from riglint.figures.designation import LETTERS, Designation, decode

HOOK_LETTERS = {
    "sling-hook": "S",
    "grab-hook": "G",
    "foundry-hook": "F",
    "self-locking-hook": "L",
}
TOP_LETTERS = {"oblong": "O", "pear": "P"}
LEG_LETTERS = {1: "S", 2: "D", 3: "T", 4: "Q"}


def encode(sling: Sling) -> Designation:
    """The letters that the parts stand for; a place that no letter is known for is None."""
    top = next((g.part.get("shape") for g in sling.tops if g.part.is_link), None)
    bottoms = {leg.parts[-1].kind for leg in sling.legs}
    bottom = bottoms.pop() if len(bottoms) == 1 else None
    legs = LEG_LETTERS.get(sling.loaded_legs)
    if legs == "S" and bottom in ("end-link", "master-link"):
        legs = "C"
    return Designation(
        legs=legs,
        top=TOP_LETTERS.get(top or ""),
        bottom=HOOK_LETTERS.get(bottom or ""),
        adjustable=any(leg.adjust is not None for leg in sling.legs),
    )


@rule(
    "designation-contradicts-build",
    about=Sling,
    level="warning",
    title="The sling letters say another sling than the parts make",
    because="The letters are what is ordered, stocked and read over the telephone.",
    sources=[
        "ASTM A906/A906M, 5.1.4 and Table 7 (the letters are from memory, as the trade uses them)"
    ],
    when=lambda sling: sling.build.assembly.designation is not None,
    fails="""
        base = "pair"
        [assembly]
        designation = "QOS"
    """,
    repaired="""
        base = "pair"
        [assembly]
        designation = "DOS"
    """,
)
def designation_contradicts_build(sling: Sling, ctx: Context) -> Iterator[Finding]:
    written = sling.build.assembly.designation
    assert written is not None
    said = decode(written)
    if said is None:
        raise Unstated("designation", why=f"the letters {written[:20]} are none that riglint knows")
    built = encode(sling)
    latched = all(leg.parts[-1].get("latch") for leg in sling.legs)
    for place, meant, is_so in said.differences(built):
        if place == "bottom" and {meant, is_so} == {"L", "S"} and latched:
            continue  # a sling hook with a latch goes by either letter
        yield sling.finding(
            "The letters {written} say {found}; the build has {limit}",
            key=("", "assembly", "designation"),
            found=LETTERS[place].get(meant, "nothing there"),
            limit=LETTERS[place].get(is_so, "nothing there"),
            written=written,
            remedy="Write {right}, if the parts are right.",
            right=built.text or "the letters of the build",
        )
