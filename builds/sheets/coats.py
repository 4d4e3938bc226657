"""What the coat of a line adds to sizes and threads, in words."""

from __future__ import annotations

from dataclasses import dataclass

from parts.models import Operation
from parts.trade.growth import COATS, Growth, GrowthError, coating_growth, film_um

FORMULA = (
    "Film t, share s of it outside the old surface: a face grows by g = s t, a shaft by 2 g, a bore closes "
    "by 2 g, the pitch diameter of a thread moves by 2 g / sin(half its angle), at 60° by 4 g."
)


@dataclass(frozen=True)
class CoatNote:
    """For one line; `refusal` stands where the figures do not hold."""

    face: str = ""
    shaft: str = ""
    bore: str = ""
    pitch: str = ""
    share: str = ""
    source: str = ""
    limits: str = ""
    refusal: str = ""
    formula: str = FORMULA


def coat_note(process: str, text: str) -> CoatNote | None:
    """None where the process adds nothing known, or the line names no thickness."""
    film = film_um(text)
    coat = COATS.get(process)
    if film is None or coat is None:
        return None
    try:
        ends = [coating_growth(process, each) for each in dict.fromkeys(film)]
    except GrowthError as error:
        return CoatNote(refusal=str(error))
    return CoatNote(
        face=_span([end.face_um for end in ends]),
        shaft=_span([end.shaft_um for end in ends]),
        bore=_span([end.bore_um for end in ends]),
        pitch=_span([end.pitch_um for end in ends]),
        share=f"{coat.share:.2f}",
        source=coat.source,
        limits=coat.limits,
    )


def line_coat(operation: Operation) -> CoatNote | None:
    return coat_note(operation.process.key, operation.finish_text)


@dataclass(frozen=True)
class GrowthRows:
    """One row of figures for each place of a part, for a page."""

    growth: Growth

    @property
    def rows(self) -> list[tuple[str, str]]:
        growth = self.growth
        return [
            ("each face", signed(growth.face_um)),
            ("a shaft’s diameter", signed(growth.shaft_um)),
            ("a bore’s diameter", signed(growth.bore_um)),
            (f"pitch diameter of an outside thread, {growth.angle_deg:g}°", signed(growth.pitch_um)),
            (f"pitch diameter of an inside thread, {growth.angle_deg:g}°", signed(-growth.pitch_um)),
        ]


def _span(values: list[float]) -> str:
    if len(values) == 1:
        return signed(values[0])
    return f"{signed(values[0]).removesuffix(' µm')} to {signed(values[-1])}"


def signed(micrometres: float) -> str:
    """'+3.3 µm', '−10 µm', '0 µm'.

    >>> signed(10 / 3), signed(-10.0), signed(0.0)
    ('+3.3 µm', '−10 µm', '0 µm')
    """
    rounded = round(abs(micrometres), 1)
    sign = "" if rounded == 0 else "+" if micrometres > 0 else "−"
    return f"{sign}{rounded:g} µm"
