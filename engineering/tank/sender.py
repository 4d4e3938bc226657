"""Level senders: what they read, the points that a gauge or dash wants, and how wrong a plain one is."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from engineering.tank.attitude import LEVEL, Attitude
from engineering.tank.cutting import Floats
from engineering.tank.dipping import Stick
from engineering.tank.errors import TankInputError
from engineering.tank.hollow import Hollow

_FINE = 801
MOST_POINTS = 32


class Signal(StrEnum):
    """What a sender gives."""

    RESISTANCE = "Ω"
    VOLTAGE = "V"


@dataclass(frozen=True)
class SenderRange:
    """What a sender reads at both ends of its travel.

    Parameters
    ----------
    at_empty, at_full : float
        Reading at the lower and at the upper end [Ω or V].
    signal : Signal
        Whether that is resistance or voltage.
    """

    at_empty: float
    at_full: float
    signal: Signal = Signal.RESISTANCE

    def check(self) -> None:
        """Refuse a range that cannot be meant.

        Raises
        ------
        TankInputError
            Of 'sender_at_empty' or 'sender_at_full'.
        """
        most, unit = (5000.0, "Ω") if self.signal is Signal.RESISTANCE else (24.0, "V")
        for field, words, value in (
            ("sender_at_empty", "Sender at empty", self.at_empty),
            ("sender_at_full", "Sender at full", self.at_full),
        ):
            if not math.isfinite(value) or not 0 <= value <= most:
                raise TankInputError(field, f"{words}: must be 0 to {most:g} {unit}, not {value:g} {unit}.")
        if self.at_empty == self.at_full:
            raise TankInputError(
                "sender_at_full",
                f"Sender at full: it reads {self.at_full:g} {unit} at empty as well, so it says nothing. "
                "Give both ends as its maker does.",
            )


SENDER_RANGES: dict[str, SenderRange] = {
    "240_to_33": SenderRange(240, 33),
    "10_to_180": SenderRange(10, 180),
    "0_to_90": SenderRange(0, 90),
    "90_to_0": SenderRange(90, 0),
    "73_to_10": SenderRange(73, 10),
    "0.5_to_4.5_v": SenderRange(0.5, 4.5, Signal.VOLTAGE),
    "0_to_5_v": SenderRange(0, 5, Signal.VOLTAGE),
}
"""Ranges that are sold, by their figures: common practice, no source. Measure the sender before fitting."""


@dataclass(frozen=True)
class Sender:
    """A sender as fitted.

    Parameters
    ----------
    range : SenderRange
        What it reads.
    stick : Stick
        Where it stands.
    lowest_mm, highest_mm : float
        Wet lengths of the stick at the ends of its travel [mm].
    arm_mm : float or None
        Length of a swinging arm, whose reading follows the angle; None for a tube, whose reading follows
        the depth [mm].
    pivot_mm : float
        Height of the arm's pivot above the foot of the stick [mm].
    """

    range: SenderRange
    stick: Stick
    lowest_mm: float
    highest_mm: float
    arm_mm: float | None = None
    pivot_mm: float = 0.0

    def check(self) -> None:
        """Refuse a sender that does not fit the tank.

        Raises
        ------
        TankInputError
            Names the field.
        """
        self.range.check()
        for field, words, value in (
            ("sender_lowest_mm", "Sender's lowest depth", self.lowest_mm),
            ("sender_highest_mm", "Sender's highest depth", self.highest_mm),
        ):
            if not math.isfinite(value) or not 0 <= value <= self.stick.length_mm + 1e-6:
                raise TankInputError(
                    field,
                    f"{words}: {value:g} mm is outside the tank there, which is "
                    f"{self.stick.length_mm:.4g} mm deep.",
                )
        if self.highest_mm <= self.lowest_mm:
            raise TankInputError(
                "sender_highest_mm",
                f"Sender's highest depth: {self.highest_mm:g} mm must be above its lowest of "
                f"{self.lowest_mm:g} mm.",
            )
        if self.arm_mm is not None:
            reach = max(abs(self.highest_mm - self.pivot_mm), abs(self.lowest_mm - self.pivot_mm))
            if not math.isfinite(self.arm_mm) or self.arm_mm <= reach:
                raise TankInputError(
                    "sender_arm_mm",
                    f"Sender's arm: {self.arm_mm:g} mm is too short to swing {reach:.4g} mm up or down "
                    "from its pivot.",
                )

    def travel_at(self, depths_mm: Floats) -> Floats:
        """Share of its travel at wet lengths of the stick.

        Parameters
        ----------
        depths_mm : ndarray
            Wet lengths [mm].

        Returns
        -------
        ndarray
            From 0 at its lower to 1 at its upper end, where it stops [-].
        """
        depths = np.clip(np.asarray(depths_mm, dtype=np.float64), self.lowest_mm, self.highest_mm)
        if self.arm_mm is None:
            return np.asarray((depths - self.lowest_mm) / (self.highest_mm - self.lowest_mm))
        angle = np.arcsin((depths - self.pivot_mm) / self.arm_mm)
        first, last = (
            math.asin((end - self.pivot_mm) / self.arm_mm) for end in (self.lowest_mm, self.highest_mm)
        )
        return np.asarray((angle - first) / (last - first))

    def reading_at(self, depths_mm: Floats) -> Floats:
        """What it reads at wet lengths of the stick.

        Parameters
        ----------
        depths_mm : ndarray
            Wet lengths [mm].

        Returns
        -------
        ndarray
            Readings [Ω or V].
        """
        span = self.range.at_full - self.range.at_empty
        return np.asarray(self.range.at_empty + span * self.travel_at(depths_mm))


@dataclass(frozen=True)
class SenderRow:
    """One point of a sender table.

    Parameters
    ----------
    depth_mm : float
        Wet length of the stick [mm].
    reading : float
        What the sender reads [Ω or V].
    litres : float
        What the tank holds [L].
    share : float
        The same against the upper end of the travel [-].
    """

    depth_mm: float
    reading: float
    litres: float
    share: float


@dataclass(frozen=True)
class GaugeError:
    """How far a gauge goes wrong at worst.

    Parameters
    ----------
    shows_too_much_l, shows_too_little_l : float
        The largest error each way, both 0 or more [L].
    at_too_much_l, at_too_little_l : float
        What the tank holds then [L].
    """

    shows_too_much_l: float
    shows_too_little_l: float
    at_too_much_l: float
    at_too_little_l: float


@dataclass(frozen=True)
class SenderTable:
    """What a sender reads, and what that is worth.

    Parameters
    ----------
    rows : tuple of SenderRow
        Calibration points, from the lower to the upper end of the travel.
    linear : GaugeError
        Error of a gauge that takes the sender's travel for the share of the tank.
    with_points : GaugeError
        Error of a dash that draws straight lines between the calibration points.
    below_l, above_l : float
        Litres that the sender cannot tell from empty, and from full [L].
    """

    rows: tuple[SenderRow, ...]
    linear: GaugeError
    with_points: GaugeError
    below_l: float
    above_l: float


def sender_table(
    inside: Hollow,
    sender: Sender,
    points: int,
    attitude: Attitude = LEVEL,
    free_share: float = 1.0,
    best: bool = False,
) -> SenderTable:
    """Calibration points of a sender, and the errors of two kinds of gauge.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank.
    sender : Sender
        As fitted.
    points : int
        How many points the gauge or dash takes, 2 to 32.
    attitude : Attitude
        How the car stands.
    free_share : float
        Share of the inside that liquid can take, less than 1 with foam [-].
    best : bool
        Put points where the curve bends most, instead of at even steps of litres.

    Returns
    -------
    SenderTable

    Raises
    ------
    TankInputError
        If the sender does not fit the tank, or the number of points is out of range.

    Notes
    -----
    Errors are looked for at 801 even steps of the travel.

    Examples
    --------
    An upright box needs no correction:

    >>> from engineering.tank.dipping import stick_at
    >>> from engineering.tank.solid import solid_box
    >>> box = solid_box((0, 0, 0), (600, 400, 200))
    >>> fitted = Sender(SENDER_RANGES["10_to_180"], stick_at(box, 300, 200), 0, 200)
    >>> [(row.litres, row.reading) for row in sender_table(box, fitted, 3).rows]
    [(0.0, 10.0), (24.0, 95.0), (48.0, 180.0)]
    """
    sender.check()
    if not 2 <= points <= MOST_POINTS:
        raise TankInputError(
            "sender_points",
            f"Calibration points: take 2 to {MOST_POINTS}, not {points}; see what the dash has.",
        )
    up = attitude.up()
    depths = np.linspace(sender.lowest_mm, sender.highest_mm, _FINE)
    litres = inside.litres_below(up, sender.stick.levels_mm(up, depths)) * free_share
    if litres[-1] <= 0 or litres[-1] - litres[0] <= 0:
        raise TankInputError(
            "sender_highest_mm", "Sender's highest depth: the tank holds the same at both ends of its travel."
        )
    readings = sender.reading_at(depths)
    places = _where_it_bends(litres, readings, points) if best else _even_litres(litres, points)
    at = np.interp(places, np.arange(_FINE), depths)
    held_l = inside.litres_below(up, sender.stick.levels_mm(up, at)) * free_share
    rows = tuple(
        SenderRow(float(depth), float(reading), float(volume), float(volume / litres[-1]))
        for depth, reading, volume in zip(at, sender.reading_at(at), held_l, strict=True)
    )
    order = np.argsort([row.reading for row in rows])
    knots = [rows[i] for i in order]
    drawn = np.interp(readings, [row.reading for row in knots], [row.litres for row in knots])
    return SenderTable(
        rows=rows,
        linear=_error(sender.travel_at(depths) * litres[-1], litres),
        with_points=_error(drawn, litres),
        below_l=float(litres[0]),
        above_l=float(inside.full_l * free_share - litres[-1]),
    )


def _even_litres(litres: Floats, points: int) -> Floats:
    """Where along the fine steps the litres reach even shares, with both ends."""
    rising = np.maximum.accumulate(litres)
    wanted = np.linspace(rising[0], rising[-1], points)
    places = np.interp(wanted, rising, np.arange(len(litres)))
    places[0], places[-1] = 0, len(litres) - 1
    return places


def _where_it_bends(litres: Floats, readings: Floats, points: int) -> Floats:
    """Points one by one where straight lines between those so far are most wrong."""
    chosen = [0, len(litres) - 1]
    while len(chosen) < points:
        chosen.sort()
        travel = (readings - readings[0]) / (readings[-1] - readings[0])
        drawn = np.interp(travel, travel[chosen], litres[chosen])
        worst = int(np.argmax(np.abs(drawn - litres)))
        if worst in chosen:  # straight already: halve the widest gap
            gap = int(np.argmax(np.diff(chosen)))
            worst = (chosen[gap] + chosen[gap + 1]) // 2
        chosen.append(worst)
    return np.array(sorted(chosen), dtype=np.float64)


def _error(shown_l: Floats, true_l: Floats) -> GaugeError:
    wrong = shown_l - true_l
    most, least = int(np.argmax(wrong)), int(np.argmin(wrong))
    return GaugeError(
        max(float(wrong[most]), 0.0),
        max(-float(wrong[least]), 0.0),
        float(true_l[most]),
        float(true_l[least]),
    )
