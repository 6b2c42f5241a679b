"""The command's first step, installed as `riglint_entry` so that it loads nothing of riglint.

Loading riglint takes most of a short run: an interrupt in that time ends it as quietly as later.
"""

from __future__ import annotations

INTERRUPTED = 130  # as a shell says it


def main() -> int:
    """Run the command; returns its exit status."""
    try:
        from riglint.cli import main as run

        return run()
    except KeyboardInterrupt:
        return INTERRUPTED
