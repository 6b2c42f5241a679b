"""The loft's own rules. What is asked here is the house's choice; its figures are invented."""

from collections.abc import Iterator

from attrs import frozen

from riglint import Context, Finding, Length, Library, Load, Part, Sling, Unstated, rule


@rule(
    "hook-off-the-list",
    about=Part,
    level="warning",
    title="A sling hook opens wider or narrower than the hooks of the loft's list",
    because="The yards keep spare latches for the hooks of the list, and for no others.",
    sources=["Northmere hook list, 2026 (invented)"],
    when=lambda part: part.kind == "sling-hook",
    fails="""
        base = "single"
        [[item]]
        id = "hook"
        throat = "1.4 in"
    """,
)
def hook_off_the_list(part: Part, ctx: Context) -> Iterator[Finding]:
    table = ctx.table("northmere:hook-list")
    row = next((row for row in table.rows if row["size"] == part.size), None)
    if row is None:
        raise Unstated("throat", part.path, why=f"the hook list has no {part.size} hook")
    least, most = Length.parse(row["least"]), Length.parse(row["most"])
    if not least <= part.throat <= most:
        yield part.finding(
            "{part} opens {found}; hooks of the list open {least} to {limit}",
            found=part.throat,
            limit=most,
            least=least,
            remedy="Fit a hook of the list, or have the list extended.",
            sources=[table.source],
        )


@frozen
class HandSettings:
    """The mass that two people may carry to the load."""

    most: Load = Load(50.0, "50 kg")  # house default


@rule(
    "too-heavy-by-hand",
    about=Sling,
    level="note",
    title="The sling is too heavy for two people",
    because="The theatre has no truck at the grid: every sling is carried up.",
    sources=["House standard NR-11"],
    settings=HandSettings,
    fails="""
        base = "single"
        item = [
            { id = "master", mass = "3 kg" },
            { id = "coupling", mass = "1 kg" },
            { id = "chain", mass = "1.2 kg" },
            { id = "hook", mass = "2 kg" },
        ]
    """,
    repaired="""
        base = "single"
        item = [
            { id = "master", mass = "3 kg" },
            { id = "coupling", mass = "1 kg" },
            { id = "chain", mass = "0.07 kg" },
            { id = "hook", mass = "2 kg" },
        ]
    """,
)
def too_heavy_by_hand(sling: Sling, ctx: Context) -> Iterator[Finding]:
    mass, most = ctx.figures.mass(), ctx.settings.most
    if mass > most:
        yield sling.finding(
            "{part} weighs {found}; two people carry {limit}",
            found=Load(mass),
            limit=most,
            remedy="Build it lighter, or have it marked for the truck.",
        )


def title_of(sling: Sling) -> str:
    """What is compared between builds."""
    return sling.build.assembly.title.strip().lower()


@rule(
    "title-twice",
    about=Library,
    level="warning",
    title="Two builds have one title",
    because="The yards order by the title: they would get one of two slings.",
    sources=["House standard NR-2"],
    gather=title_of,
    fails="""
        base = ["pair", "quad"]
        [[change]]
        assembly = { title = "Sling for slabs" }
        [[change]]
        assembly = { title = "sling for slabs" }
    """,
    repaired='base = ["pair", "quad"]',
)
def title_twice(library: Library, ctx: Context) -> Iterator[Finding]:
    titled = (group for group in library.groups() if group[0].data)
    for first, *others in titled:
        for other in others:
            yield library.finding(
                other,
                "{part} has the title of {first}",
                first=first.id,
                remedy="Say in the title what sets the two apart.",
            )
    if not library.whole:
        raise Unstated("library", why="only a part of the library was checked")
