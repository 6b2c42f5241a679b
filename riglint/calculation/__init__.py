"""The figures of one sling, each computed once and remembered.

A figure that lacks a datum raises `Unstated` each time it is asked for. Nothing here says
that a figure is good or bad: that is for rules.
"""

from .allowances import Allowance, Scale, Share
from .base import not_computed
from .fits import FitFigures
from .lengths import LengthFigures, Setting
from .proof import ProofFigures, ProofPull
from .ratings import Rating
from .reductions import Reduction

__all__ = [
    "Allowance",
    "Calculation",
    "ProofPull",
    "Rating",
    "Reduction",
    "Scale",
    "Setting",
    "Share",
    "not_computed",
]


class Calculation(ProofFigures, LengthFigures, FitFigures):
    """Every figure of a sling: rating, lengths, fit and proof loads."""
