"""What a coat adds to a size and to a thread.

A film of thickness t lets the surface grow by g = s t, where s is the share of the film that stands outside
the old surface. A shaft grows by 2 g on its diameter and a bore closes by 2 g. On the pitch diameter of a
thread with flank angle a (the whole angle between the flanks) the change is 2 g / sin(a / 2): 4 g at 60°.
"""

import re
from dataclasses import dataclass
from math import isfinite, radians, sin

LARGEST_ANGLE_DEG = 90.0
SMALLEST_ANGLE_DEG = 20.0
# Largest thickness that leaves an external thread of tolerance position g inside its allowance, as a share
# of the fundamental deviation: the pitch diameter moves by four times the growth.
PLATED_SHARE_OF_ALLOWANCE = 0.25
LARGEST_PITCH_MM = 8.0
SMALLEST_PITCH_MM = 0.2


class GrowthError(ValueError):
    """The change of a size cannot be given; the message says why, for people."""


class NoFigure(GrowthError):
    """Nothing is known of that process."""


class OutOfRange(GrowthError):
    """A value lies outside what the figures hold for."""


@dataclass(frozen=True, slots=True)
class Coat:
    """What is known of one finish.

    Parameters
    ----------
    name : str
        For people.
    share : float
        Part of the film that stands outside the old surface [1]; negative where the process takes off.
    least_um, most_um : float
        Film thickness for which that holds [µm].
    source, limits : str
        Who says so, and what it leaves out.
    """

    name: str
    share: float
    least_um: float
    most_um: float
    source: str
    limits: str = ""


COATS = {
    "anodise_decorative": Coat(
        "Anodise",
        1 / 3,
        1.8,
        25.4,
        "share 1/3: trade rule of thumb, seen; range: type II of MIL-PRF-8625, seen in a reference guide",
        "Etching before anodising takes metal off, so a thin film can come to nothing. Ask the anodiser for "
        "the share of his own process. Mask a thread of close fit rather than count on it.",
    ),
    "anodise_hard": Coat(
        "Hard anodise",
        1 / 2,
        12.7,
        115,
        "share 1/2: trade rule of thumb, seen; range: type III of MIL-PRF-8625, seen in a reference guide",
        "The film is thin on sharp edges and cracks on a force fit.",
    ),
    "zinc_plate": Coat(
        "Zinc plate",
        1.0,
        2.0,
        30.0,
        "all of it stands on the surface; classes 5, 8, 12 and 25 µm from memory: ISO 2081",
        "Corners and thread crests take more than the mean, recesses less. Passivation hardly adds.",
    ),
    "nickel_chrome": Coat(
        "Nickel and chrome",
        1.0,
        5.0,
        60.0,
        "all of it stands on the surface; range from memory: ISO 1456",
        "Corners take much more than the mean, recesses hardly any.",
    ),
    "galvanise": Coat(
        "Galvanise",
        1.0,
        35.0,
        200.0,
        "mean films of EN ISO 1461:2009, seen: 85 µm on steel over 6 mm, 70 over 3 to 6 mm, "
        "55 from 1.5 to 3 mm, 45 under 1.5 mm",
        "Part of the film lies in the old surface, so this is the most that is added. Internal threads fill: "
        "tap oversize or clear afterwards. Runs and drops are not counted.",
    ),
    "powder_coat": Coat(
        "Powder coat",
        1.0,
        30.0,
        250.0,
        "all of it stands on the surface; usual 60 to 120 µm: common practice, no source",
        "Mask threads, fits and clamp faces: a size under powder is not to be counted on.",
    ),
    "ceramic_exhaust": Coat(
        "Ceramic coat (exhaust)",
        1.0,
        25.0,
        75.0,
        "25 to 75 µm a face: common practice, no source",
        "Mask sensor threads and slip joints.",
    ),
    "ceramic_thin_film": Coat(
        "Ceramic thin film", 1.0, 20.0, 30.0, "20 to 30 µm a face: common practice, no source"
    ),
    "electropolish": Coat(
        "Electropolish",
        -1.0,
        10.0,
        40.0,
        "takes off 10 to 40 µm a face; from memory: Euro Inox, Electropolishing Stainless Steels, vol. 11",
        "Edges lose more than faces.",
    ),
}


@dataclass(frozen=True, slots=True)
class Growth:
    """How sizes change; positive where metal is added.

    Parameters
    ----------
    film_um, share : float
        Thickness of the film [µm] and the part of it that stands outside [1].
    face_um : float
        On each face [µm].
    shaft_um, bore_um : float
        On a shaft's diameter, and on a bore's, which closes [µm].
    pitch_um : float
        On the pitch diameter of an external thread [µm]; an internal one closes by as much.
    angle_deg : float
        Angle between the flanks of that thread [°].
    """

    film_um: float
    share: float
    face_um: float
    shaft_um: float
    bore_um: float
    pitch_um: float
    angle_deg: float


def coating_growth(
    process: str, film_um: float, *, share: float | None = None, angle_deg: float = 60.0
) -> Growth:
    """Give the change of sizes under a coat.

    Parameters
    ----------
    process : str
        Key of the process.
    film_um : float
        Mean thickness of the film [µm].
    share : float, optional
        Part of the film that stands outside the old surface [1], if the finisher gives his own.
    angle_deg : float
        Angle between the flanks of the thread [°]: 60 for metric and unified, 55 for Whitworth, 47.5 for BA.

    Returns
    -------
    Growth
        The change on face, shaft, bore and pitch diameter.

    Raises
    ------
    NoFigure
        If nothing is known of the process.
    OutOfRange
        If a value lies outside the range for which the figures hold; nan does.

    Examples
    --------
    >>> growth = coating_growth("anodise_hard", 50)
    >>> growth.face_um, growth.shaft_um, round(growth.pitch_um, 6)
    (25.0, 50.0, 100.0)
    """
    coat = COATS.get(process)
    if coat is None:
        raise NoFigure("How much this process adds to a size is not known here. Ask the finisher.")
    if not (isfinite(film_um) and coat.least_um <= film_um <= coat.most_um):
        raise OutOfRange(
            f"{coat.name}: the figures hold from {coat.least_um:g} to {coat.most_um:g} µm, not for "
            f"{film_um:g} µm. Look at the class again, or ask the finisher."
        )
    if share is None:
        share = coat.share
    elif not 0 <= share <= 1:
        raise OutOfRange(f"The share that stands outside is from 0 to 1, not {share:g}.")
    if not SMALLEST_ANGLE_DEG <= angle_deg <= LARGEST_ANGLE_DEG:
        raise OutOfRange(
            f"The angle between the flanks of a thread is from {SMALLEST_ANGLE_DEG:g} to "
            f"{LARGEST_ANGLE_DEG:g}°, not {angle_deg:g}°: 60 for metric, 55 for Whitworth, 47.5 for BA."
        )
    face = share * film_um
    return Growth(
        film_um=film_um,
        share=share,
        face_um=face,
        shaft_um=2 * face,
        bore_um=-2 * face,
        pitch_um=2 * face / sin(radians(angle_deg / 2)),
        angle_deg=angle_deg,
    )


def thread_allowance_um(pitch_mm: float) -> float:
    """Give the fundamental deviation of an external metric thread of tolerance position g.

    Parameters
    ----------
    pitch_mm : float
        Pitch [mm].

    Returns
    -------
    float
        es below the nominal size, as a positive number [µm]: 15 + 11 P, unrounded. ISO 965-1 (from memory)
        rounds it to its own series, so it may differ by 1 µm from the printed table.

    Raises
    ------
    OutOfRange
        If the pitch is not from 0.2 to 8 mm.

    Examples
    --------
    >>> thread_allowance_um(1.0)
    26.0
    """
    if not SMALLEST_PITCH_MM <= pitch_mm <= LARGEST_PITCH_MM:
        raise OutOfRange(
            f"The pitch of a metric thread is from {SMALLEST_PITCH_MM:g} to {LARGEST_PITCH_MM:g} mm, "
            f"not {pitch_mm:g} mm."
        )
    return 15.0 + 11.0 * pitch_mm


def thickest_plating_um(pitch_mm: float) -> float:
    """Give the thickest plating that a 6g thread takes without going over its basic size.

    Parameters
    ----------
    pitch_mm : float
        Pitch [mm].

    Returns
    -------
    float
        A quarter of the allowance [µm], for a coat that stands wholly on the surface.

    Raises
    ------
    OutOfRange
        If the pitch is not from 0.2 to 8 mm.

    Examples
    --------
    >>> thickest_plating_um(1.0)
    6.5
    """
    return PLATED_SHARE_OF_ALLOWANCE * thread_allowance_um(pitch_mm)


# AA15 is a class by its mean film; elsewhere the figure before µm, or the last part of 'Fe/Zn 8'.
_ANODIC = re.compile(r"\bAA\s?(\d{1,3})\b", re.IGNORECASE)
_SPAN = re.compile(
    r"(\d{1,3}(?:[.,]\d)?)\s*(?:to|-|–)\s*(\d{1,3}(?:[.,]\d)?)\s*(?:µm|μm|um|micron)", re.IGNORECASE
)
_ONE = re.compile(r"(\d{1,3}(?:[.,]\d)?)\s*(?:µm|μm|um\b|micron)", re.IGNORECASE)
_ZINC_CLASS = re.compile(r"\b(?:Fe\s?/\s?)?Zn\s?(\d{1,2})\b", re.IGNORECASE)


def film_um(text: str) -> tuple[float, float] | None:
    """Read the thickness of a film out of what is written on a line.

    Parameters
    ----------
    text : str
        Class or specification.

    Returns
    -------
    tuple of float, or None
        Least and most thickness [µm], alike where one is given; None where none can be read.

    Examples
    --------
    >>> film_um("AA15"), film_um("60 to 80 µm"), film_um("8 µm, passivated"), film_um("Fe/Zn 12/A")
    ((15.0, 15.0), (60.0, 80.0), (8.0, 8.0), (12.0, 12.0))
    >>> film_um("inside and out")
    """
    span = _SPAN.search(text)
    if span:
        return _number(span[1]), _number(span[2])
    for form in (_ONE, _ANODIC, _ZINC_CLASS):
        found = form.search(text)
        if found:
            return _number(found[1]), _number(found[1])
    return None


def _number(text: str) -> float:
    return float(text.replace(",", "."))
