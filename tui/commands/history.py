"""`halfsplit history`: lists of callouts, files to and from other laptops, backups, corrections."""

import argparse
from typing import TYPE_CHECKING

from tui.commands import (
    history_change,
    history_keep,
    history_list,
    history_pages,
    history_rates,
    history_stock,
    history_travel,
    history_trend,
)

if TYPE_CHECKING:
    from argparse import _SubParsersAction

ABOUT = "The history of all callouts: its screen, pages and lists, files to and from other laptops, backups."
PARTS = (
    history_pages,
    history_list,
    history_rates,
    history_trend,
    history_stock,
    history_travel,
    history_keep,
    history_change,
)
"""Each adds its commands below `history`."""


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `history` and all below it to the command line."""
    parser = subparsers.add_parser("history", help=ABOUT, description=ABOUT)
    below = parser.add_subparsers(dest="history", metavar="WHAT")
    parser.set_defaults(run=history_pages.run_screen, site=None, data=None, db=None, book=None)
    for part in PARTS:
        part.add_parsers(below)
