"""Identity: the tag, the trade's letters, and what they say of the build."""

import json
from collections.abc import Iterator
from typing import Any

from riglint import Context, Entry, Finding, Length, Library, Sling, Unstated, rule
from riglint.figures.designation import LETTERS, Designation, decode
from riglint.figures.rating import FLATTEST_DEG
from riglint.figures.textile import material_named
from riglint.model import TEXTILE_KINDS, Tag
from riglint.tables import size_in

from .grade import NOT_FOR_LIFTING

HOOK_LETTERS = {
    "sling-hook": "S",
    "grab-hook": "G",
    "foundry-hook": "F",
    "self-locking-hook": "L",
}
TOP_LETTERS = {"oblong": "O", "pear": "P"}
ROUNDING_MM = 5.0  # house default: a reach that was rounded to another unit
ROUNDING_DEG = 1e-6
SIZE_ROUNDING_MM = 0.05
LEG_LETTERS = {1: "S", 2: "D", 3: "T", 4: "Q"}


def encode(sling: Sling) -> Designation:
    """The letters that the parts stand for; a place that no letter is known for is None."""
    entries = [leg.entry for leg in sling.legs]
    family = "B" if any(e.to for e in entries) else "E" if any(e.endless for e in entries) else None
    count = sum(leg.count for leg in sling.legs)
    legs = LEG_LETTERS.get(count)
    bottoms = {leg.parts[-1].kind for leg in sling.legs}
    bottom = bottoms.pop() if len(bottoms) == 1 else None
    if legs == "S" and bottom in ("end-link", "master-link"):
        legs = "C"
    return Designation(
        legs=legs,
        top=_top_letter(sling),
        bottom=HOOK_LETTERS.get(bottom or ""),
        adjustable=any(leg.adjust is not None for leg in sling.legs),
        family=family,
    )


def _top_letter(sling: Sling) -> str | None:
    """The letter of the top link, or of the hook that a leg hangs by."""
    for gathering in sling.tops:
        if gathering.part.is_link:
            return TOP_LETTERS.get(gathering.part.get("shape") or "")
    upper = sling.legs[0].parts[0]
    return HOOK_LETTERS.get(upper.kind) or TOP_LETTERS.get(upper.get("shape") or "")


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


UPRIGHT = ("straight", "basket")  # a basket rating without an angle is for upright parts
ASKED = {"required": "error", "remembered": "warning", "wanted": "note"}
WORDS = {
    "legs": "the number of legs",
    "rating": "the rated load with its hitch and angle",
    "serial": "a serial number",
}


def same_size(one: float | str, other: float | str) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) < SIZE_ROUNDING_MM
    return one == other


def same_fiber(name: str) -> str:
    """A fiber by the one name of its trade names: nylon is polyamide, PES polyester."""
    try:
        return material_named(name)
    except LookupError:
        return name.strip().casefold()


def is_blank(value: Any) -> bool:
    return not (value.strip() if isinstance(value, str) else value)


def needs_legs(sling: Sling) -> bool:
    return sling.is_chain_sling or sling.loaded_legs > 1


def has_tag(sling: Sling) -> bool:
    return sling.build.tag is not None


def tag_of(sling: Sling) -> Tag:
    assert sling.build.tag is not None
    return sling.build.tag


@rule(
    "tag-incomplete",
    about=Sling,
    level="error",
    title="The tag lacks what must be on it",
    because="A sling without a whole tag may not be used: nobody can tell what it holds.",
    sources=[
        "ASME B30.9-2010, 9-1.7.1 (second-hand)",
        "29 CFR 1926.251(e); WAC 296-24-29425(1) and 296-155-33825",
        "EN 818-4:1996+A1:2008, 7 (second-hand)",
    ],
    when=lambda sling: sling.family is not None,
    judges_absence=True,
    fails="""
        base = "pair"
        without = ["/tag/serial"]
    """,
)
def tag_incomplete(sling: Sling, ctx: Context) -> Iterator[Finding]:
    if not has_tag(sling):
        raise Unstated("tag", why="the build does not say what its tag will say")
    tag = tag_of(sling)
    its = (sling.basis, sling.family)
    asked = next(row for row in ctx.table("tag").rows if (row["basis"], row["family"]) == its)
    for group, level in ASKED.items():
        names = [name for name in asked[group] if name != "legs" or needs_legs(sling)]
        missing = [WORDS.get(name, name) for name in names if is_blank(getattr(tag, name))]
        if missing:
            yield sling.finding(
                "The tag lacks {found}",
                key=("", "tag"),
                level=level,
                found=missing,
                sources=[asked["source"]],
                remembered=" (from memory)" if group == "remembered" else "",
                remedy="Add {found} to the tag{remembered}.",
            )
    for index, row in enumerate(tag.rating):
        hitch = row.hitch or sling.duty.hitch or ""
        if row.angle is None and hitch not in UPRIGHT and ctx.figures.loaded_in(hitch) > 1:
            yield sling.finding(
                "A rating on the tag says no angle, and a sling of {legs} legs has none without",
                key=("", "tag", "rating", index),
                legs=sling.loaded_legs,
                sources=["29 CFR 1915.112(c)", asked["source"]],
                remedy="Say at which angle {load} holds.",
                load=row.load,
            )


@rule(
    "tag-contradicts-build",
    about=Sling,
    level="error",
    title="The tag says another sling than the parts make",
    because="The tag is what the crew and the inspector go by, for as long as the sling lives.",
    sources=[
        "ASME B30.9-2010, 9-1.7.1 (second-hand)",
        "EN 818-4:1996+A1:2008, 7 (second-hand)",
        "common practice: a tag says what the sling is",
    ],
    when=has_tag,
    fails="""
        base = "pair"
        [tag]
        size = "1/2 in"
    """,
)
def tag_contradicts_build(sling: Sling, ctx: Context) -> Iterator[Finding]:
    for name, says, has in _tag_against_build(sling, ctx):
        yield sling.finding(
            "The tag says {name} {found}; the build has {limit}",
            key=("", "tag", name),
            found=says,
            limit=has,
            name=name,
            remedy="Stamp {limit}, or build what the tag says.",
        )
    for index, row in enumerate(tag_of(sling).rating):
        legs = sum(leg.count for leg in sling.bearing_legs)
        fits = {"straight": legs == 1, "bridle": legs > 1}.get(row.hitch or "", True)
        if not fits:
            yield sling.finding(
                "The tag rates a {found} hitch; the sling has {limit}",
                key=("", "tag", "rating", index, "hitch"),
                found=row.hitch,
                limit="1 leg" if legs == 1 else f"{legs} legs",
                remedy="State the hitch that the sling is built for.",
            )
    yield from _duty_not_on_tag(sling)


def _tag_against_build(sling: Sling, ctx: Context) -> Iterator[tuple[str, Any, Any]]:
    """What the tag says that the parts contradict: the key, the tag's word and the build's."""
    tag = tag_of(sling)
    legs = {sling.loaded_legs, sum(leg.count for leg in sling.bearing_legs)}
    if tag.legs is not None and tag.legs not in legs:
        yield "legs", tag.legs, min(legs)
    yield from _material_against_build(sling, ctx)
    stated = sling.build.assembly.reach
    if tag.reach is not None and stated is not None:
        if abs(tag.reach - stated) > ROUNDING_MM:
            yield "reach", tag.reach, stated
    elif tag.reach is not None and all(leg.entry.reach is None for leg in sling.bearing_legs):
        for leg in sling.bearing_legs:
            computed = ctx.figures.reach(leg)
            short, long = ctx.figures.reach_tolerance(leg)
            if not short <= computed - tag.reach <= long:
                yield "reach", tag.reach, Length(computed)
                return


def _material_against_build(sling: Sling, ctx: Context) -> Iterator[tuple[str, Any, Any]]:
    tag, materials = tag_of(sling), [leg.rope for leg in sling.legs]
    if tag.grade is not None and any(leg.kind == "chain" for leg in sling.legs):
        grade = sling.chain.grade
        if tag.grade != grade and grade not in NOT_FOR_LIFTING:
            yield "grade", sling.grade_name(tag.grade), sling.grade_name(grade)
    for one in materials if tag.size is not None else ():
        size = ctx.figures.size_of(one)
        if not same_size(size_in(tag.size or "", one.kind), size):
            by_name = one.kind in ("chain", "roundsling") or isinstance(size, str)
            has = one.size if by_name else Length(size)
            yield "size", tag.size, has
            break
    for one in materials if tag.material is not None else ():
        if one.kind in TEXTILE_KINDS and same_fiber(tag.material or "") != same_fiber(one.material):
            yield "material", tag.material, one.material
            break


def _duty_not_on_tag(sling: Sling) -> Iterator[Finding]:
    """The duty's legs stand flatter than any row of the tag is made for."""
    if sling.duty.hitch != "bridle" or sling.duty.angle is None or sling.angle < FLATTEST_DEG:
        return  # flatter than the basis allows is angle-too-flat's matter
    rows = [row for row in tag_of(sling).rating if row.hitch in ("bridle", None) and row.angle]
    flattest = min((row.angle.flattest for row in rows if row.angle), default=None)
    if flattest is not None and sling.angle < flattest - ROUNDING_DEG:
        yield sling.finding(
            "The duty has the legs at {found} from the {datum}, and the tag rates none flatter"
            " than {limit}",
            key=("", "duty", "angle"),
            found=sling.as_measured(sling.angle),
            limit=sling.as_measured(flattest),
            datum=sling.measured_from,
            remedy="Add a rating for {found} to the tag.",
        )


def identity_of(sling: Sling) -> str:
    return sling.id


@rule(
    "duplicate-id",
    about=Library,
    level="error",
    title="Two builds share an id",
    because="Whoever orders, tags or inspects by the id gets one of two slings.",
    sources=["house default: an id names one build"],
    gather=identity_of,
    fails='base = ["pair", "pair"]',
    repaired='base = ["pair", "quad"]',
)
def duplicate_id(library: Library, ctx: Context) -> Iterator[Finding]:
    for group in library.groups():
        first, *others = group
        for other in others:
            yield library.finding(
                other,
                "{part} is the id of {first} too",
                first=first.file,
                remedy="Give one of the builds another id.",
            )
    _only_a_part(library)


def _only_a_part(library: Library) -> None:
    if not library.whole:
        raise Unstated("library", why="only a part of the library was checked")


def content_of(sling: Sling) -> str:
    """All that a build says but its id and title, as one text."""
    head = {**sling.document.values["assembly"], "id": "", "title": ""}
    values = {**sling.document.values, "assembly": head}
    return json.dumps(values, sort_keys=True, default=str)


@rule(
    "same-build-twice",
    about=Library,
    level="note",
    title="Two builds differ in nothing but id and title",
    because="Two names for one sling: one of them will be changed, and the other forgotten.",
    sources=["house default"],
    gather=content_of,
    fails="""
        base = ["pair", "pair"]
        [[change]]
        [[change]]
        assembly = { id = "pair-again", title = "The same by another name" }
    """,
    repaired='base = ["pair", "quad"]',
)
def same_build_twice(library: Library, ctx: Context) -> Iterator[Finding]:
    for group in library.groups():
        first, *others = group
        for other in others:
            if other.id != first.id:
                yield library.finding(
                    other,
                    "{part} is the same build as {first}",
                    first=first.id,
                    remedy="Keep one of the two, or let them differ in what sets them apart.",
                )
    _only_a_part(library)


def items_of(sling: Sling) -> tuple[tuple[str, str], ...]:
    items = {(part.item.catalog.id, part.item.id) for part in sling.parts}
    whole = {(p.assembly.catalog.id, p.assembly.id) for p in sling.parts if p.assembly}
    hook = sling.hung_from
    hung = {(hook.catalog.id, hook.id)} if hook else set()
    return tuple(sorted(items | whole | hung))


@rule(
    "unused-item",
    about=Library,
    level="note",
    on=False,
    title="No build uses a catalog item",
    because="Stock that nothing is built of is money on a shelf, or a name that was mistyped.",
    sources=["house default"],
    gather=items_of,
    fails='base = ["single"]',
    repaired="""
        base = ["quad", "shortened", "rope", "web", "bolts"]
    """,
)
def unused_item(library: Library, ctx: Context) -> Iterator[Finding]:
    _only_a_part(library)
    used = {item for entry in library.entries for item in entry.data}
    for catalog in library.catalogs:
        for item in catalog.items:
            if (catalog.id, item.id) not in used:
                yield library.finding(
                    Entry(item.id, catalog.file, line=1, key=item.key),
                    "No build uses {part} of the catalog {catalog}",
                    catalog=catalog.id,
                    remedy="Take it out of the catalog, or use it.",
                )
