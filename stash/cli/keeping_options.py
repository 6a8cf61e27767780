"""The options of `backup`, `restore` and `verify`, and one that goes with every change that backs up first."""

from __future__ import annotations

from stash.cli.parser import VerbParser


def without_backup_option(parser: VerbParser) -> None:
    parser.add_argument("--without-backup", action="store_true", help="go on where the stash cannot be backed up first")


def backup_options(parser: VerbParser) -> None:
    parser.add_argument("file", metavar="FILE", nargs="?", help="where to (default: the folder of its backups)")


def restore_options(parser: VerbParser) -> None:
    parser.add_argument("file", metavar="FILE", help="a backup; where lists them")
    parser.add_argument("--yes", action="store_true", help="replace the stash that is there, without asking")
    without_backup_option(parser)


def verify_options(parser: VerbParser) -> None:
    parser.add_argument("--repair", action="store_true", help="set pieces to what their history says, on record")
    parser.add_argument("--rescue", metavar="NEW.db", help="write what can still be read to a new stash")
