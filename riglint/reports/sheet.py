"""The sheet of one build: drawing to scale, findings at their parts, parts, rating, tag, steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TextIO
from xml.etree import ElementTree as ET

from .. import __version__
from ..buildsheet import BuildSheet
from ..drawing import Drawing, draw, lay_out
from ..drawing.forms import stated_in
from ..drawing.pins import Mark
from ..drawing.svg import SVG, ports_apart
from ..drawing.svg import in_words as datum_in_words
from ..finding import LEVELS, Unstated, show
from ..model import DeviationPermit, TagRating
from ..quantities import Length, Load
from ..ratesheet import LINKS_MEASURED, RateSheet
from ..report import angle_words
from ..sling import Part, Sling
from ..stamping import listed_words
from .page import add, cleaned, css, finding_item, numbered, page, put, table, write_page
from .plain import CAUTION, plural, waiting
from .rate import (
    duty_words,
    governs,
    leg_columns,
    leg_rows,
    made_of,
    on_the_safe_side,
    places,
    pulled,
    shown,
)

HEAD_MM = 105.0


def write_sheet(sheet: BuildSheet, out: TextIO) -> None:
    """Write the sheet of a build as one self-contained HTML page."""
    sling = sheet.sling
    html, main = page(f"{sling.id}: {sling.build.assembly.title or 'build sheet'}")
    _block(main, sheet)
    _verdict(main, sheet)
    whole, head = drawings(sheet)
    _views(main, sheet, whole, head)
    _findings(main, sheet)
    _open(main, sheet)
    _drawn(main, sheet, whole)
    for section in SECTIONS:
        section(main, sheet.rated)
    _permits(main, sheet)
    _not_known(main, sheet, (whole, head))
    _inputs(main, sheet)
    put(main, "p", CAUTION, cls="caution")
    write_page(html, out)


def write_svg(sheet: BuildSheet, out: TextIO) -> None:
    """Write the drawing of the whole sling alone, as an SVG file."""
    whole, _ = drawings(sheet)
    svg = cleaned(whole.element)
    svg.set("xmlns", SVG)
    style = ET.Element("style")
    style.text = css("drawing")
    left, top, wide, high = svg.get("viewBox", "").split()
    paper = {"x": left, "y": top, "width": wide, "height": high, "class": "paper"}
    svg.insert(2, style)
    svg.insert(3, ET.Element("rect", paper))
    out.write(ET.tostring(svg, encoding="unicode") + "\n")


def drawings(sheet: BuildSheet) -> tuple[Drawing, Drawing]:
    """The whole sling, and its head on a larger scale, with the findings at their parts."""
    figures, sling = sheet.rated.figures, sheet.sling
    marks = [mark for mark, _ in numbered(sheet.judgment)]
    title = f"{sling.id}: the whole sling"
    words = in_words(sling, marks)
    whole = draw(lay_out(figures), figures, marks, title=title, words=words, name="whole")
    head = draw(
        lay_out(figures, head=True),
        figures,
        marks,
        title=f"{sling.id}: its head enlarged",
        words="The parts that gather the legs and the beginning of each leg, with dimensions.",
        name="head",
        head=True,
        height_mm=HEAD_MM,
    )
    return whole, head


def in_words(sling: Sling, marks: Sequence[Mark], *, below: bool = True) -> str:
    """What the drawing shows, for those who do not see it."""
    hook = f"It hangs from {sling.hung_from.id}. " if sling.hung_from else ""
    tops = ", ".join(f"{one.path} ({one.part.item.id})" for one in sling.gatherings)
    legs = plural(sum(leg.count for leg in sling.legs), "leg")
    run = "; ".join(
        f"{', '.join(leg.refs)}: {', '.join(_measured(part) for part in leg.parts)}"
        for leg in sling.legs[:8]
    )
    found = f" {plural(len(marks), 'finding')} marked by number." if marks else ""
    gathered = f"Gathered by {tops}. " if tops else ""
    same = " The table below says the same." if below else ""
    return f"{hook}{gathered}{legs}. {run}.{found}{same}"


def _measured(part: Part) -> str:
    if part.links:
        return f"{part.item.id} of {part.links} links"
    if part.length is not None:
        return f"{part.item.id} {part.sling.units.show(part.length)} long"
    return part.item.id


# Head of the sheet


def _block(main: ET.Element, sheet: BuildSheet) -> None:
    """The title block of the workshop drawing."""
    sling, rated = sheet.sling, sheet.rated
    block = put(main, "header", cls="block")
    name = put(block, "div", cls="name")
    tag = sling.build.tag
    put(name, "p", (tag and tag.manufacturer) or "Build sheet", cls="what")
    put(name, "h1", sling.id)
    put(name, "p", sling.build.assembly.title)
    for what, text in _block_figures(sheet, rated):
        cell = put(block, "div")
        put(cell, "p", what, cls="what")
        put(cell, "p", text, cls="figure")


def _block_figures(sheet: BuildSheet, rated: RateSheet) -> Iterator[tuple[str, str]]:
    sling, units = sheet.sling, sheet.sling.units
    assembly = sling.build.assembly
    yield "Rated load", _rated_text(rated)
    yield "Reach", "not known" if rated.reach is None else units.show(Length(rated.reach))
    yield "Mass", "not known" if rated.mass is None else units.show(Load(rated.mass))
    yield "Basis, designation", ", ".join(filter(None, (sling.basis, assembly.designation)))
    yield "Hitch", (sling.duty.hitch or "not stated") + _angle_text(rated)
    yield "Hangs from", sling.hung_from.id if sling.hung_from else "not stated"
    yield "Planned load", units.show(sling.planned_load) if sling.planned_load else "not stated"
    yield "As of", str(sheet.as_of)


def _rated_text(rated: RateSheet) -> str:
    rating, units = rated.rating, rated.sling.units
    if rating is None or (rating.load is None and rating.at_most is None):
        return "not known"
    at = f" at {angle_words(rating.angle, rated.sling)}" if rated.sling.loaded_legs > 1 else ""
    if rating.load is None:
        return f"not known; at most {units.show(rating.at_most or Load(0.0))}{at}"
    return f"{units.show(rating.load)}{at}{_in_duty(rated, rating.load)}"


def _in_duty(rated: RateSheet, plate: Load) -> str:
    """What is left of the plate's rating in the planned use, where that is less."""
    left = rated.duty.load if rated.duty is not None else None
    if left is None or left >= plate:
        return ""
    return f"; in its duty {rated.sling.units.show(left)}"


def _angle_text(rated: RateSheet) -> str:
    deg = rated.figures.duty_angle()
    if deg is None or rated.sling.loaded_legs < 2:
        return ""
    return f", legs at {angle_words(deg, rated.sling)}"


def _verdict(main: ET.Element, sheet: BuildSheet) -> None:
    judgment = sheet.judgment
    counts = [plural(n, level) for level in LEVELS if (n := judgment.count(level))]
    waits = sum(verdict == "open" for verdict in judgment.verdicts.values())
    if waits:
        counts.append(plural(waits, "open verdict"))
    if judgment.count("error"):
        text = f"Not to be built or tagged as it stands: {', '.join(counts)}."
        put(main, "p", text, cls="halt")
        return
    style = "good" if not counts else "warn"
    put(main, "p", f"{', '.join(counts) or 'Nothing found'}.", cls=f"verdict {style}")


def _views(main: ET.Element, sheet: BuildSheet, whole: Drawing, head: Drawing) -> None:
    put(main, "h2", "Drawing")
    views = put(main, "div", cls="views")
    captions = [f"Scale {whole.scale_text} at the printed size."]
    if whole.layout.broken:
        captions.append(
            "Long parts are broken out between the break lines; underlined dimensions are"
            " true, the drawn length is not to scale there."
        )
    captions += [*whole.layout.notes, "Links, hooks and couplings are turned to be recognized."]
    choke = sheet.sling.hitch if sheet.sling.duty.hitch else ""
    if choke == "choker":
        captions.append("Drawn hanging free; in use the leg chokes the load.")
    _view(views, whole, "The whole sling.", captions)
    _view(views, head, "Its head.", [f"Scale {head.scale_text} at the printed size."])


def _view(parent: ET.Element, drawing: Drawing, name: str, captions: Sequence[str]) -> None:
    figure = put(parent, "figure")
    roll = put(
        figure, "div", cls="roll", tabindex="0", role="region", aria_label=f"Drawing. {name}"
    )
    roll.append(cleaned(drawing.element))
    caption = put(figure, "figcaption")
    put(caption, "strong", name)
    add(caption, " " + " ".join(dict.fromkeys(captions)))
    for item, datum in drawing.not_stated:
        put(caption, "p", f"{item}, dashed, not to scale: {datum} not stated.")


def _findings(main: ET.Element, sheet: BuildSheet) -> None:
    put(main, "h2", "Findings")
    marked = numbered(sheet.judgment)
    if not marked:
        put(main, "p", "None.")
        return
    put(
        main,
        "p",
        "The numbers are those in the drawing: octagon error, triangle warning, circle"
        " note; a dashed sign is permitted.",
        cls="soft",
    )
    items = put(main, "ul", cls="findings")
    for mark, placed in marked:
        finding_item(items, mark, placed)


def _open(main: ET.Element, sheet: BuildSheet) -> None:
    lines = [one.words for one in waiting(sheet.judgment.missing)]
    lines += [f"broken rule: {problem.message}" for problem in sheet.judgment.problems]
    if lines:
        put(main, "h2", "Not judged")
        items = put(main, "ul")
        for line in lines:
            put(items, "li", line)


# The drawing as a table


def _drawn(main: ET.Element, sheet: BuildSheet, whole: Drawing) -> None:
    put(main, "h2", "What is drawn")
    found: dict[str, list[str]] = {}
    for mark, _ in numbered(sheet.judgment):
        for path in mark.paths:
            found.setdefault(path, []).append(f"{mark.level} {mark.number}")
    table(
        main,
        "The same as the drawing, in words.",
        ("place", "item", "what", "dimensions", "not stated", "findings"),
        list(_drawn_rows(whole, found, _reaches(sheet.rated))),
    )


def _reaches(rated: RateSheet) -> dict[str, float]:
    """The reach of each leg by its ref, in mm, where they are not all alike."""
    try:
        found = {
            ref: rated.figures.reach(leg) for leg in rated.sling.bearing_legs for ref in leg.refs
        }
    except Unstated:
        return {}
    return found if len(set(found.values())) > 1 else {}


def _drawn_rows(
    whole: Drawing, found: dict[str, list[str]], reaches: dict[str, float]
) -> Iterator[tuple[str, ...]]:
    sling = whole.layout.sling
    groups: dict[tuple[str, ...], list[str]] = {}
    materials = [leg.material for leg in sling.bearing_legs]
    for spot in whole.layout.spots:
        item = spot.part.item if spot.part else sling.hung_from
        if item is None:
            continue
        data = dict.fromkeys(d for outline in spot.figure.outlines for d, _ in outline.measures)
        stated = [
            f"{datum_in_words(d)} {sling.units.show(value)}"
            for d in data
            if (value := stated_in(item, d)) is not None
        ]
        if spot.part and spot.part.links:
            stated.insert(0, f"{spot.part.links} links")
        if spot.part and spot.part.length is not None:
            stated.insert(0, f"length {sling.units.show(spot.part.length)}")
        if len(spot.figure.ports) > 1 and spot.part:
            stated.append(f"ports {sling.units.show(Length(ports_apart(spot.part)))} apart")
        if spot.ref in reaches and spot.part in materials:
            stated.append(f"reach {sling.units.show(Length(reaches[spot.ref]))}")
        missing = map(datum_in_words, spot.figure.missing)
        numbers = [*found.get(spot.path, ()), *(found.get(spot.ref, ()) if spot.ref else ())]
        row: tuple[str, ...] = (
            item.id,
            item.sheet.title or item.kind.replace("-", " "),
            ", ".join(stated),
            ", ".join(missing),
            ", ".join(numbers),
        )
        groups.setdefault(row, []).append(spot.path)
    for same, paths in groups.items():
        yield (", ".join(paths), *same)


# Figures


def _rating(main: ET.Element, rated: RateSheet) -> None:
    units, sling = rated.sling.units, rated.sling
    put(main, "h2", "Rating")
    put(main, "p", f"{_rated_text(rated)}{governs(rated)}.", cls="verdict")
    if rated.exact and rated.exact.load is not None:
        put(main, "p", f"By the exact angle it would be {units.show(rated.exact.load)}.")
    for words in duty_words(rated):
        put(main, "p", f"{words}.")
    if rated.at_angles:
        rows = [
            (listed_words(angle, sling), _load(one.load, sling)) for angle, one in rated.at_angles
        ]
        table(main, "By the legs' angle.", ("legs at", "may carry"), rows, (1,))


def _legs(main: ET.Element, rated: RateSheet) -> None:
    rows = leg_rows(rated)
    if not rows:
        return
    put(main, "h2", "Legs")
    load = f" under {_load(rated.demand, rated.sling)}" if rated.demand is not None else ""
    table(main, f"They do not all pull alike{load}.", leg_columns(rated.sling), rows, (1, 2, 3))


def _parts(main: ET.Element, rated: RateSheet) -> None:
    put(main, "h2", "Parts and cut list")
    sling = rated.sling
    alike: dict[tuple[str, ...], list[Part]] = {}
    for one in rated.parts:
        used = "" if one.utilization is None else f"{100 * one.utilization:.0f} %"
        capacity = "unknown" if one.capacity is None else _load(one.capacity, sling)
        cut = f"{one.part.links} links" if one.part.links else ""
        if one.part.length is not None:
            cut = sling.units.show(one.part.length)
        item = one.part.item
        why = "; by ".join(filter(None, (one.because, one.source)))
        key = (item.id, item.sheet.title, cut, capacity, used, why)
        alike.setdefault(key, []).append(one.part)
    rows = []
    for (item_id, title, cut, *figures), parts in alike.items():
        count = sum(part.leg.count if part.leg else 1 for part in parts)
        where = ", ".join(dict.fromkeys(map(places, parts)))
        rows.append((str(count), item_id, title, cut, where, *figures))
    columns = ("pieces", "item", "what", "cut", "at", "sling may carry", "in use", "because")
    table(main, "In the order of the sling, from the top.", columns, rows, (5, 6))


def _settings(main: ET.Element, rated: RateSheet) -> None:
    units = rated.sling.units
    alike: dict[tuple[tuple[int, str], ...], list[str]] = {}
    for leg, settings in rated.settings:
        rows = tuple((one.link, units.show(Length(one.reach))) for one in settings)
        if rows:
            alike.setdefault(rows, []).extend(leg.refs)
    if not alike:
        return
    put(main, "h2", "Settings")
    for rows, refs in alike.items():
        put(main, "h3", f"Legs {', '.join(refs)}: link in the pocket, and the reach it gives")
        items = put(main, "ul", cls="settings")
        for link, reach in rows:
            put(items, "li", f"link {link}: {reach}")


def _tag(main: ET.Element, rated: RateSheet) -> None:
    tag, units = rated.tag, rated.sling.units
    if tag is None:
        return
    put(main, "h2", "Tag")
    if rated.errors:
        put(main, "p", f"Not to be stamped: {plural(rated.errors, 'error')}.", cls="halt")
    plate = put(main, "div", cls="tag")
    reach = units.show(tag.reach) if tag.reach is not None else "not stated"
    put(plate, "p", f"{tag.manufacturer or '(manufacturer)'}, serial {tag.serial or '(serial)'}")
    put(plate, "p", ", ".join([*made_of(rated, tag), f"legs {tag.legs}", f"reach {reach}"]))
    for one in tag.ratings:
        put(plate, "p", f"{units.show(one.load)}, {one.angle}")


def _written_tag(main: ET.Element, rated: RateSheet) -> None:
    """The rating that the build's own tag states, where it states one."""
    tag, sling = rated.sling.build.tag, rated.sling
    if tag is None or not tag.rating:
        return
    rows = [(sling.units.show(row.load), _tag_words(row, sling)) for row in tag.rating]
    table(main, "What the build says that its tag states.", ("load", "at"), rows)


def _tag_words(row: TagRating, sling: Sling) -> str:
    words: list[str] = [row.hitch or ""]
    if row.angle is not None:
        steep, flat = row.angle.steepest, row.angle.flattest
        low = f"{show(sling.as_measured(steep), sling.units)} to " if steep != flat else ""
        words.append(low + angle_words(flat, sling))
    for name in ("temperature", "choke_angle", "edge_radius"):
        value = getattr(row, name)
        if value is not None:
            words.append(f"{name.replace('_', ' ')} {sling.units.show(value)}")
    return ", ".join(filter(None, words))


def _proof(main: ET.Element, rated: RateSheet) -> None:
    if not rated.proof:
        return
    put(main, "h2", "Proof loads")
    show_it, ordered = rated.sling.units.show, rated.sling.build.proof
    rows = []
    for place, pull in rated.proof.items():
        load = getattr(ordered, f"{place}_load", None)
        why = pull.why(rated.sling.units)
        parts = ", ".join(pulled(rated, place))
        rows.append((place, show_it(pull.load), show_it(load) if load else "", parts, why))
    columns = ("pull on", "at least", "ordered", "parts and their limits", "because")
    table(main, "The least pull of the proof test.", columns, rows, (1, 2))


def _heat(main: ET.Element, rated: RateSheet) -> None:
    if not rated.heat:
        return
    put(main, "h2", "Temperature")
    load = rated.rating.load if rated.rating else None
    rows = [
        (
            words,
            f"{100 * hot:.0f} %",
            f"{100 * after:.0f} %",
            _load(load and load * hot, rated.sling),
        )
        for words, hot, after in rated.heat
    ]
    columns = ("legs at", "left while hot", "left for good", "may carry while hot")
    table(main, "What heat leaves of the rating.", columns, rows, (1, 2, 3))


def _removal(main: ET.Element, rated: RateSheet) -> None:
    if not rated.removal:
        return
    put(main, "h2", "Removal card")
    units = rated.sling.units
    rows = []
    for part, card in rated.removal:
        limits = (card.smallest_bar, card.longest, card.widest_throat)
        sizes = (
            on_the_safe_side(one.value, units, up=one is card.smallest_bar) if one else ""
            for one in limits
        )
        sources = dict.fromkeys(one.source for one in limits if one)
        rows.append((part.item.id, *sizes, "; ".join(sources)))
    columns = ("item", "bar at least", f"{LINKS_MEASURED} links at most", "throat at most", "by")
    table(main, "Beyond these sizes a part leaves service.", columns, rows, (1, 2, 3))


def _steps(main: ET.Element, rated: RateSheet) -> None:
    if not rated.steps:
        return
    put(main, "h2", "Calculation")
    units = rated.sling.units
    items = put(main, "ol", cls="steps")
    for step in rated.steps:
        item = put(items, "li")
        where = f"{', '.join(step.parts)}: " if step.parts else ""
        add(item, f"{where}{step.figure} = ")
        put(item, "strong", shown(step.value, units).strip("()"))
        inputs = ", ".join(f"{name} = {shown(v, units)}" for name, v in step.inputs.items())
        put(item, "p", f"= {step.formula} with {inputs}")
        put(item, "p", f"by {step.source}", cls="soft")


def _load(kg: float | None, sling: Sling) -> str:
    return "unknown" if kg is None else sling.units.show(Load(kg))


SECTIONS = (
    _rating,
    _legs,
    _parts,
    _settings,
    _tag,
    _written_tag,
    _proof,
    _heat,
    _removal,
    _steps,
)


# What it rests on


def _permits(main: ET.Element, sheet: BuildSheet) -> None:
    permits = sheet.sling.build.deviation_permit
    if not permits:
        return
    put(main, "h2", "Deviation permits")
    columns = ("rule", "part", "use", "justification", "approved by", "limits")
    table(main, "Leave to depart from a rule.", columns, list(map(_permit_row, permits)))


def _permit_row(permit: DeviationPermit) -> tuple[str, ...]:
    until = f"until {permit.until}" if permit.until else ""
    count = f"for {permit.quantity}" if permit.quantity else ""
    said = (permit.part, permit.use, permit.justification, permit.approved_by)
    limits = ", ".join(filter(None, (until, count)))
    return (permit.rule, *(text or "" for text in said), limits)


def _not_known(main: ET.Element, sheet: BuildSheet, drawings: Sequence[Drawing]) -> None:
    lines = [f"{one.rule}: {one.why}" for one in sheet.rated.missing]
    for drawing in drawings:
        for item, datum in drawing.not_stated:
            lines.append(f"not drawn to scale: {item}: {datum} not stated")
    if sheet.sling.hung_from is None:
        lines.append("not drawn: what the sling hangs from is not stated")
    if not lines:
        return
    put(main, "h2", "Not known")
    items = put(main, "ul")
    for line in dict.fromkeys(lines):
        put(items, "li", line)


def _inputs(main: ET.Element, sheet: BuildSheet) -> None:
    put(main, "h2", "Made from")
    rows = [(one.what, one.file, one.sha256 or "could not be read again") for one in sheet.inputs]
    rows.append(("program", f"riglint {__version__}", ""))
    frame = table(main, f"As of {sheet.as_of}.", ("what", "file", "SHA-256"), rows)
    for cell in frame.iter("td"):
        cell.set("class", "hash")
