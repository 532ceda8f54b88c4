"""Marks as exact numbers: nothing is lost between a row and the sum."""

from fractions import Fraction

NOTHING = Fraction(0)


def read_marks(value: float) -> Fraction:
    """Take a number as a person wrote it: 0.1 is a tenth."""
    return Fraction(str(value))


def round_marks(value: Fraction, step: Fraction, most: Fraction) -> Fraction:
    """Round to the nearest step, halves up, to no more than `most`."""
    return min(most, Fraction((value / step + Fraction(1, 2)).__floor__()) * step)


def written_marks(value: Fraction) -> str:
    """Write marks with two decimals at most: ``7``, ``2.5``, ``0.43``."""
    text = f"{float(value):.2f}"
    return text.rstrip("0").rstrip(".")


def say_product(share: str, marks: Fraction, exact: Fraction, earned: Fraction) -> str:
    """Say how a row's marks come about, and whether they were rounded: ``6/7 × 7 = 6.``"""
    said = f"{share} × {written_marks(marks)} = {written_marks(exact)}"
    same = written_marks(exact) == written_marks(earned)
    return f"{said}." if same else f"{said}, rounded to {written_marks(earned)}."


def as_number(value: Fraction) -> int | float:
    """Return marks as JSON and sheets hold them."""
    number = round(float(value), 2)
    return int(number) if number == int(number) else number
