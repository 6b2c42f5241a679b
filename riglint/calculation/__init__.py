"""The figures of one sling, each computed once and remembered.

A figure that lacks a datum raises `Unstated` each time it is asked for. Nothing here says
that a figure is good or bad: that is for rules.
"""

from .fits import FitFigures
from .hanging import Hang, LegsDoNotMeet
from .lengths import Setting
from .proof import ProofFigures, ProofPull
from .ratings import LegPull, Rating
from .reductions import Reduction
from .shares import Allowance, Scale, Share

__all__ = [
    "Allowance",
    "Calculation",
    "Hang",
    "LegPull",
    "LegsDoNotMeet",
    "ProofPull",
    "Rating",
    "Reduction",
    "Scale",
    "Setting",
    "Share",
]


class Calculation(ProofFigures, FitFigures):
    """Every figure of a sling: rating, lengths, fit and proof loads."""
