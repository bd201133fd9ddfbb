"""Exact pounds and feet, for rules that are written in them.

Source: international yard and pound agreement of 1959 (0.453 592 37 kg, 0.3048 m).
"""

from fractions import Fraction

G_PER_POUND = Fraction(45_359_237, 100_000)
MM_PER_INCH = Fraction(254, 10)
MM_PER_FOOT = 12 * MM_PER_INCH


def pounds(weight_g: int | Fraction) -> Fraction:
    return weight_g / G_PER_POUND


def feet(length_mm: int | Fraction) -> Fraction:
    return length_mm / MM_PER_FOOT


def grams(weight_lb: int | Fraction) -> Fraction:
    return weight_lb * G_PER_POUND
