"""Fit: what sits in a link's bottom, and whether the hook enters its top."""

from __future__ import annotations

from ..figures import hook_entry, seating
from ..finding import Unstated
from ..model import BY_DIAMETER, TEXTILE_KINDS
from ..quantities import Length
from ..sling import Gathering, Part
from .base import Figures, remembered


class FitFigures(Figures):
    """Seating and hook entry."""

    def seat(self, part: Part) -> tuple[float, float]:
        """Width along the bar and depth, in mm, of what hangs in a link's bottom."""
        if part.is_link or part.kind == "chain":
            return part.bar, part.bar
        if part.kind in BY_DIAMETER:
            return part.diameter, part.diameter
        if part.kind in TEXTILE_KINDS:
            return part.width, part.thickness
        if part.kind == "shackle" and part.pin_in == "below" and part.get("seat_width") is None:
            return part.bar, part.bar  # its bow lies in the link as a link would
        return part.seat_width, part.seat_depth

    def bottom_width(self, part: Part) -> Length:
        """The inside width, in mm, of what legs hang in: a link, or the bow of a shackle."""
        return part.bow_width if part.kind == "shackle" else part.inside_width

    @remembered
    def seated_arc(self, gathering: Gathering) -> float:
        """The angle of a link's bottom that all its seats take together, in deg."""
        return sum(angle * count for _, angle, count in self.seat_angles(gathering))

    @remembered
    def seat_angles(self, gathering: Gathering) -> tuple[tuple[Part, float, int], ...]:
        """Each thing that sits in a link's bottom, the angle it takes in deg, and how many."""
        inside = self.bottom_width(gathering.part)
        alike: dict[str, tuple[Part, int]] = {}
        for seat in gathering.seats:
            part, count = alike.get(seat.part.item.id, (seat.part, 0))
            alike[seat.part.item.id] = (part, count + seat.count)
        return tuple(
            (part, seating.seat_angle(*self.seat(part), inside), count)
            for part, count in alike.values()
        )

    @remembered
    def hook_obstacles(self, gathering: Gathering) -> tuple[hook_entry.Obstacle, ...]:
        """What keeps the lifting point from entering a top link; empty where it enters."""
        hook = self.sling.hung_from
        if hook is None:
            raise Unstated("hung_from", "the duty", key="/duty/hung_from")
        link = gathering.part
        deepest = max((self.seat(seat.part)[1] for seat in gathering.seats), default=0.0)
        shackle = hook.kind == "shackle"
        inside, saddle = self.widths_at_hook(gathering)
        by_pin = link.kind == "shackle" and link.pin_in == "above"
        return hook_entry.entry_faults(
            inside,
            link.inside_length,
            link.pin if by_pin else link.bar,
            deepest,
            saddle,
            hook.pin if shackle else hook.saddle_height,
            hook.jaw_width if shackle else hook.throat,
        )

    def widths_at_hook(self, gathering: Gathering) -> tuple[float, float]:
        """Inside width of a top link where the lifting point sits, and the saddle's, in mm."""
        hook = self.sling.hung_from
        if hook is None:
            raise Unstated("hung_from", "the duty", key="/duty/hung_from")
        inside = self._width_at_top(gathering.part)
        return inside, hook.pin if hook.kind == "shackle" else hook.saddle_width

    def _width_at_top(self, part: Part) -> float:
        """The clear width, in mm, of what a sling hangs by, where the lifting point sits."""
        if part.kind == "shackle":
            if part.pin_in is None:
                raise part.unknown_turn()
            return part.jaw_width if part.pin_in == "above" else part.bow_width
        return part.top_width if part.get("shape") == "pear" else part.inside_width

    def gathered_groups(self) -> list[int]:
        """How many loaded legs hang together in each group below the top, the most first."""
        groups: list[int] = []
        for top in self.sling.tops:
            groups += [lower.loaded_legs for lower in top.below]
            groups += [1] * sum(leg.loaded_legs for leg in top.own_legs)
        groups += [1] * sum(leg.loaded_legs for leg in self.sling.legs if leg.on is None)
        return sorted((group for group in groups if group), reverse=True)

    def width_for(self, gathering: Gathering, usable_deg: float) -> float:
        """The inside width, in mm, at which a link's seats take just the usable arc."""
        sizes = [(*self.seat(seat.part), seat.count) for seat in gathering.seats]
        narrow, wide = 0.0, 20 * sum((width + depth) * count for width, depth, count in sizes)
        while wide - narrow > 0.01:
            middle = (narrow + wide) / 2
            arc = sum(seating.seat_angle(w, d, middle) * count for w, d, count in sizes)
            narrow, wide = (middle, wide) if arc > usable_deg else (narrow, middle)
        return wide
