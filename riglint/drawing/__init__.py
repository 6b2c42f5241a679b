"""Drawings of slings, to scale from the dimensions that their sheets state.

`shapes` is geometry alone, `layout` places each part in mm, `labels` and `pins` put words and
finding numbers beside them, `svg` writes the elements.
"""

from .layout import Layout, lay_out
from .svg import Drawing, draw

__all__ = ["Drawing", "Layout", "draw", "lay_out"]
