"""Lengths, areas and weights as the reader wants them: metric, or feet, inches, pounds."""

from collections.abc import Iterable

MM_PER_INCH = 25.4  # exact, international yard and pound agreement of 1959
G_PER_POUND = 453.59237  # exact, same agreement
IMPERIAL = "imperial"


def length(length_mm: int, units: str = "") -> str:
    """182 cm, or 5 ft 11½ in."""
    if units != IMPERIAL:
        return f"{length_mm / 10:.0f} cm"
    halves = round(2 * length_mm / MM_PER_INCH)
    feet, rest = divmod(halves, 24)
    inches = f"{rest // 2 or (0 if rest % 2 == 0 else '')}{'½' if rest % 2 else ''} in"
    return f"{feet} ft {inches}" if feet else inches


def sizes(lengths_mm: Iterable[int], units: str = "") -> str:
    """Several lengths with a times sign between them."""
    return " \u00d7 ".join(length(length_mm, units) for length_mm in lengths_mm)


def sizes_short(lengths_mm: Iterable[int], units: str = "") -> str:
    """The same in one unit, as on a list: 182 \u00d7 60 cm, or 71\u00bd \u00d7 23 in."""
    if units != IMPERIAL:
        return " \u00d7 ".join(f"{length_mm / 10:.0f}" for length_mm in lengths_mm) + " cm"
    halves = [round(2 * length_mm / MM_PER_INCH) for length_mm in lengths_mm]
    inches = [f"{half // 2 or ''}\u00bd" if half % 2 else f"{half // 2}" for half in halves]
    return " \u00d7 ".join(inches) + " in"


def weight(weight_g: int, units: str = "") -> str:
    """12.5 kg, or 28 lb."""
    if units == IMPERIAL:
        return f"{weight_g / G_PER_POUND:.0f} lb"
    return f"{weight_g / 1000:.1f} kg"


def area(area_mm2: int, units: str = "") -> str:
    """4.5 m², or 48 sq ft."""
    if units == IMPERIAL:
        return f"{area_mm2 / (12 * MM_PER_INCH) ** 2:.0f} sq ft"
    return f"{area_mm2 / 1_000_000:.1f} m\u00b2"


def volume(volume_mm3: int, units: str = "") -> str:
    """4.5 m³, or 160 cu ft: the "cube" of the trade."""
    if units == IMPERIAL:
        return f"{volume_mm3 / (12 * MM_PER_INCH) ** 3:.0f} cu ft"
    return f"{volume_mm3 / 1e9:.1f} m\u00b3"
