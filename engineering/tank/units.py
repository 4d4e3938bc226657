"""Gallons, by their exact legal sizes. A bare 'gallon' is never used: the two differ by a fifth."""

L_PER_IMPERIAL_GALLON = 4.54609
"""Weights and Measures Act 1985, Schedule 1 (exact)."""

L_PER_US_GALLON = 3.785411784
"""231 cubic inches, NIST Handbook 44 Appendix C (exact)."""

MM3_PER_L = 1_000_000.0

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""Units that a drawing may be in; yard and pound agreement of 1959 for the inch (exact)."""

UNIT_WORDS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}


def imperial_gallons(litres: float) -> float:
    """Litres as imperial gallons.

    Parameters
    ----------
    litres : float
        Volume [L].

    Returns
    -------
    float
        Volume [imperial gallon].

    Examples
    --------
    >>> imperial_gallons(45.4609)
    10.0
    """
    return litres / L_PER_IMPERIAL_GALLON


def us_gallons(litres: float) -> float:
    """Litres as US liquid gallons.

    Parameters
    ----------
    litres : float
        Volume [L].

    Returns
    -------
    float
        Volume [US liquid gallon].

    Examples
    --------
    >>> us_gallons(37.85411784)
    10.0
    """
    return litres / L_PER_US_GALLON
