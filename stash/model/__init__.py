"""The plain records that all layers share. Standard library only.

Units: a stored size is a whole number of ticks (1/320 mm; see `stash.lengths`). A length on paper (strip width,
seam, stagger, usable width) is an exact `Fraction` of inches. Colours are CIE L*a*b*, D65, 2 degrees.
"""

from __future__ import annotations

from stash.model.answers import (
    Coverage,
    GroundCover,
    LetterCover,
    Mark,
    Met,
    Reason,
    Sequence,
    SetSewn,
    Suggestions,
)
from stash.model.cloth import (
    Box,
    Colour,
    Cut,
    Entry,
    Fabric,
    Kind,
    Measured,
    NewFabric,
    NewPiece,
    NewSwatch,
    PaletteColour,
    Piece,
    Reference,
)
from stash.model.plans import (
    CutStrip,
    PieceCut,
    Run,
    StoredPlan,
    StoredStrip,
    Way,
)
from stash.model.stars import (
    Colouring,
    SavedColouring,
    SavedStar,
    Sewn,
    Star,
)

__all__ = [
    "Box",
    "Colour",
    "Colouring",
    "Coverage",
    "Cut",
    "CutStrip",
    "Entry",
    "Fabric",
    "GroundCover",
    "Kind",
    "LetterCover",
    "Mark",
    "Measured",
    "Met",
    "NewFabric",
    "NewPiece",
    "NewSwatch",
    "PaletteColour",
    "Piece",
    "PieceCut",
    "Reason",
    "Reference",
    "Run",
    "SavedColouring",
    "SavedStar",
    "Sequence",
    "SetSewn",
    "Sewn",
    "Star",
    "StoredPlan",
    "StoredStrip",
    "Suggestions",
    "Way",
]
