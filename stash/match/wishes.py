"""What a maker may ask of a search for light-to-dark sequences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

SMALL_STEP = 5.0  # of L*: smaller ones blur (our own figure: none is published)


@dataclass(frozen=True, slots=True)
class Wishes:
    """The options of a search. Fabric names are taken as typed and looked up in the stash.

    top -- how many colourings to list.
    lightest, darkest -- ends of the run in L* (None: the lightest and darkest candidate).
    min_step -- least fall of L* from letter to letter (None: the smaller of 5 and (from - to) / (2 (m - 1))).
    colour_weight, lively -- the weights k and c of the cost (None: 0.5, and 0.3 with `near`).
    apart -- fabrics by which a listed colouring differs from each one before it (None: half of them, rounded up).
    any -- list colourings the stash does not cover, too.
    measured -- leave out fabrics with no piece recorded yet.
    must -- fabrics to be used somewhere; `without` -- fabrics to leave out; `fixed` -- letter to fabric, kept
    even where it is short.
    near -- a fabric whose colours the run is to be near to, and to take up.
    hue -- "warm", "cool" or a hue's name; None for all.
    ground -- the ground fabric; `stand_off` -- how far in L* the rows at the edge keep from it.
    direction -- "light" (light to dark), "dark" (dark to light), None: whichever stands off the ground better.
    time_limit -- seconds after which the search stops and says that its answer is not proven.
    """

    top: int = 5
    lightest: float | None = None
    darkest: float | None = None
    min_step: float | None = None
    colour_weight: float | None = None
    lively: float = 0.25
    apart: int | None = None
    any: bool = False
    measured: bool = False
    must: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    fixed: Mapping[str, str] = field(default_factory=dict)
    near: str | None = None
    hue: str | None = None
    ground: str | None = None
    stand_off: float = 25.0
    direction: str | None = None
    time_limit: float | None = None
