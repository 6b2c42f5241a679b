"""At which angle each leg is drawn: its own, that of its load, that of its spreader, the duty's."""

from __future__ import annotations

from attrs import define, field

from ..calculation import Calculation
from ..finding import Unstated
from ..sling import Gathering, Leg

USUAL_ANGLE = 60.0
FLATTEST = 5.0
STEEPEST_APART = 82.0  # straight legs side by side are drawn so, that one can tell them apart
NOT_STATED = f"Not to scale: the legs' angle is not stated; drawn at {USUAL_ANGLE:g} deg."
HUNG = "Not to scale: how the spreader hangs by its upper legs is not known."
PLUMB = "The legs hang plumb; they are drawn apart to be told apart."


@define
class LegAngles:
    """The legs' angles in deg from the horizontal, and what to say of those not drawn truly."""

    figures: Calculation
    notes: dict[str, None] = field(factory=dict)

    def true(self, leg: Leg, ref: str) -> float | None:
        """The angle that a leg stands at; None where it is not known."""
        if leg.holds is not None:
            return self._upper(leg.holds, ref)
        if leg.entry.angle is not None and self.figures.sling.legs_differ:
            return leg.entry.angle.horizontal
        if self.figures.sling.duty.load_geometry is not None:
            hung = self._hung(ref)
            if hung is not None:
                return hung
        try:
            return self.figures.sling.angle
        except Unstated:
            return None

    def apart(self, leg: Leg, ref: str) -> tuple[float, bool]:
        """The angle that one of several legs is drawn at, and whether it is the true one."""
        deg = self.true(leg, ref)
        if deg is None:
            self.notes[HUNG if leg.holds is not None else NOT_STATED] = None
            return USUAL_ANGLE, False
        if deg > STEEPEST_APART:
            self.notes[PLUMB] = None
            return STEEPEST_APART, False
        return max(deg, FLATTEST), deg >= FLATTEST

    def _hung(self, ref: str) -> float | None:
        try:
            hang = self.figures.hang()
        except Unstated:
            return None
        return dict(zip(hang.refs, hang.angles, strict=True)).get(ref)

    def _upper(self, spreader: Gathering, ref: str) -> float | None:
        try:
            hang = self.figures.upper_hang(spreader)
        except Unstated:
            return None
        return dict(zip(hang.refs, hang.angles, strict=True)).get(ref)
