"""How much cloth a shop cuts for what is missing."""

from __future__ import annotations

from fractions import Fraction

from stash.lengths import INCHES_PER_YARD, cm_up, show_cm, show_yards, yards_up
from stash.model import Star
from stash.star.yields import STRAIGHTEN


def to_buy(star: Star, inches: Fraction) -> Fraction:
    """`inches` of cloth and the straightening, up to what shops cut: the next 1/8 yd, or 10 cm for a star in cm.
    In inches."""
    if star.units == "cm":
        return Fraction(cm_up(inches + STRAIGHTEN) * 100, 254)
    return yards_up(inches + STRAIGHTEN) * INCHES_PER_YARD


def as_sold(star: Star, inches: Fraction) -> str:
    """Cloth to buy as a JSON document has it: yards (`1/4`), or `30 cm` for a star in cm."""
    return f"{show_cm(inches)} cm" if star.units == "cm" else show_yards(inches / INCHES_PER_YARD)


def bought_text(star: Star, inches: Fraction) -> str:
    """Cloth to buy as its shop writes it: `1/4 yd`, or `30 cm` for a star in cm."""
    return as_sold(star, inches) if star.units == "cm" else f"{as_sold(star, inches)} yd"
