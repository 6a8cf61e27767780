"""The engine of starcover: a star's arithmetic, the stash, and the match between them. It knows no screen."""

__version__ = "0.1.0"
