"""Random lengths of time, many activities by many draws, each activity from a stream of its own.

Each stream is a counter-based generator [1]_ whose key is made from the seed and the name of the activity.
The same seed thus gives an activity the same lengths whatever stands beside it in the network, in
whatever blocks they are drawn: two forecasts that differ in one thing differ by that thing and not
by luck (common random numbers).

A draw is 32 random bits taken as a chance. Its length is looked up among 256 equally likely steps with
straight lines between them, and in the first and the last step on a scale of halvings down to one
chance in 2**33, so that long tails are kept.

References
----------
.. [1] J.K. Salmon, M.A. Moraes, R.O. Dror, D.E. Shaw (2011) 'Parallel random numbers: as easy as 1, 2,
   3', Proceedings of SC'11; here numpy's Philox. From memory.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from builds.schedule.errors import BadForecast
from builds.schedule.spread import Floats, Spread, normal_scores, quantile_table

Bits = NDArray[np.uint32]

LONGEST_MIN = 1 << 30  # a draw is cut off here, two thousand years on, where arithmetic stays exact

_STEP_BITS = 24  # of 32: those that say where inside one of the 256 steps
_STEPS = 1 << (32 - _STEP_BITS)
_PER_HALVING = 4
_TAIL = (_STEP_BITS + 1) * _PER_HALVING  # places of a tail table, the last at half of the least chance
_ROWS = 32  # activities whose tables are made together
_AT_ONCE = 1 << 16  # lengths that are looked up together: they stay in the cache

_TAIL_CHANCES = 2.0 ** (_STEP_BITS - 32 - np.arange(_TAIL + 1) / _PER_HALVING)
_CHANCES = np.concatenate([_TAIL_CHANCES[::-1], np.arange(2, _STEPS - 1) / _STEPS, 1 - _TAIL_CHANCES])
_SCORES = normal_scores(_CHANCES)

# Normal scores and back for what is shared in part, each looked up in as many steps: to one chance in 65,536
# at the ends, and to less than one in 10,000 anywhere
_FINE = 1 << 16
_PER_SCORE = _FINE / 14  # scores from -7 to 7
_FINE_SCORES = np.interp((np.arange(_FINE) + 0.5) / _FINE, _CHANCES, _SCORES)
_BITS = np.minimum(
    np.interp((np.arange(_FINE) + 0.5 - _FINE / 2) / _PER_SCORE, _SCORES, _CHANCES) * 2.0**32, 2.0**32 - 1
).astype(np.uint32)


@dataclass(frozen=True, slots=True)
class Together:
    """An activity takes long when others of the same name do.

    Parameters
    ----------
    name : str
        What they have in common: one batch, one supplier.
    share : float, optional
        How much of the normal score is in common, from 0 to 1: the correlation of the scores of two
        activities of the same name and share. 1, as for the pieces of one batch, makes them the same draw.

    Raises
    ------
    BadForecast
        If `share` is not from 0 to 1.
    """

    name: str
    share: float = 1.0

    def __post_init__(self) -> None:
        if not 0 <= self.share <= 1:
            raise BadForecast(self.share, "a share from 0 to 1")


class Draws:
    """Lengths of time for some activities, drawn block after block.

    Parameters
    ----------
    spreads : mapping of str to Spread
        The activities and how long each may take.
    seed : int
        Not negative; the same seed gives the same lengths.
    together : mapping of str to Together
        Those of the activities that have something in common.

    Attributes
    ----------
    least_min, most_min : ndarray of int64
        Shortest and longest length that can be drawn for each activity [min].

    Examples
    --------
    >>> from builds.schedule.spread import Fixed
    >>> lengths = np.empty((1, 2), np.float32)
    >>> Draws({"paint": Fixed(90)}, 1, {}).block(lengths)
    >>> lengths.astype(int)
    array([[90, 90]])
    """

    def __init__(self, spreads: Mapping[str, Spread], seed: int, together: Mapping[str, Together]) -> None:
        self._streams = [(name, _stream(seed, "activity", name)) for name in spreads]
        self._together = {name: common for name, common in together.items() if name in spreads}
        commons = {common.name for common in self._together.values()}
        self._commons = {name: _stream(seed, "together", name) for name in sorted(commons)}
        self._part_shared = sorted({one.name for one in self._together.values() if one.share < 1})
        self._prepare(tuple(spreads.values()))

    def _prepare(self, spreads: Sequence[Spread]) -> None:
        size = len(spreads)
        self._base = np.empty((size, _STEPS), np.float32)
        self._slope = np.empty((size, _STEPS), np.float32)
        self._tails = np.empty((size, 2, _TAIL + 1), np.float32)
        for begin in range(0, size, _ROWS):
            rows = slice(begin, begin + _ROWS)
            self._fill(rows, _whole(quantile_table(spreads[rows], _CHANCES)))
        # a length is rounded to the nearest minute by cutting it off, so half a minute is added here
        self.least_min = self._tails[:, 0, -1].astype(np.int64)
        self.most_min = self._tails[:, 1, -1].astype(np.int64)

    def _fill(self, rows: slice, lengths: Floats) -> None:
        low, high = lengths[:, _TAIL::-1], lengths[:, -_TAIL - 1 :]
        self._tails[rows, 0], self._tails[rows, 1] = low, high
        nodes = np.concatenate([low[:, -1:], lengths[:, _TAIL:-_TAIL], high[:, -1:]], axis=1)
        self._base[rows] = nodes[:, :-1]
        self._slope[rows] = np.diff(nodes, axis=1) / (1 << _STEP_BITS)

    def block(self, lengths: NDArray[np.float32]) -> None:
        """Draw the next lengths.

        Parameters
        ----------
        lengths : ndarray of float32, shape (activities, count)
            To be filled with lengths plus half a minute: cut off, they are whole minutes, at least 1.
            The count is even, except in the last block [min].
        """
        count = lengths.shape[1]
        common = {name: _take(stream, count) for name, stream in self._commons.items()}
        scores = {name: _score(common[name]) for name in self._part_shared}
        height = max(1, _AT_ONCE // max(1, count))
        bits = np.empty((height, count), np.uint32)
        step = np.empty((height, count), np.intp)
        within = np.empty((height, count), np.float32)
        for begin in range(0, len(self._streams), height):
            streams = self._streams[begin : begin + height]
            rows = slice(0, len(streams))
            for row, (name, stream) in enumerate(streams):
                self._fill_bits(name, _take(stream, count), common, scores, bits[row])
            self._look_up(begin, bits[rows], lengths[begin : begin + height], step[rows], within[rows])

    def _fill_bits(
        self, name: str, own: Bits, common: Mapping[str, Bits], scores: Mapping[str, Floats], bits: Bits
    ) -> None:
        shared = self._together.get(name)
        if shared is None:
            bits[:] = own
        elif shared.share == 1:
            bits[:] = common[shared.name]
        else:
            bits[:] = _mixed(own, scores[shared.name], shared.share)

    def _look_up(
        self,
        begin: int,
        bits: Bits,
        lengths: NDArray[np.float32],
        step: NDArray[np.intp],
        within: NDArray[np.float32],
    ) -> None:
        np.right_shift(bits, _STEP_BITS, out=step, casting="unsafe")
        step += np.arange(begin, begin + len(bits))[:, None] * _STEPS
        np.bitwise_and(bits, (1 << _STEP_BITS) - 1, out=within, casting="unsafe", dtype=np.uint32)
        self._slope.take(step, out=lengths, mode="clip")
        lengths *= within
        self._base.take(step, out=within, mode="clip")
        lengths += within
        # one comparison finds both ends, as the last step wraps round to below the first
        ends = np.flatnonzero((bits + np.uint32(1 << _STEP_BITS)) < np.uint32(2 << _STEP_BITS))
        row, column = np.divmod(ends, bits.shape[1])
        lengths[row, column] = self._in_tail(begin + row, bits[row, column])

    def _in_tail(self, rows: NDArray[np.intp], bits: Bits) -> NDArray[np.float32]:
        high = bits >> 31
        from_end = np.where(high, ~bits, bits) + 0.5
        stand = (_STEP_BITS - np.log2(from_end)) * _PER_HALVING
        place = np.minimum(stand.astype(np.intp), _TAIL - 1)
        near, far = self._tails[rows, high, place], self._tails[rows, high, place + 1]
        lengths: NDArray[np.float32] = near + (far - near) * (stand - place).astype(np.float32)
        return lengths


def _stream(seed: int, kind: str, name: str) -> np.random.Philox:
    key = blake2b(f"{seed}\n{kind}\n{name}".encode(), digest_size=16).digest()
    return np.random.Philox(key=int.from_bytes(key, "little"))


def _take(stream: np.random.Philox, count: int) -> Bits:
    return stream.random_raw((count + 1) // 2).view(np.uint32)[:count]


def _mixed(own: Bits, common: Floats, share: float) -> Bits:
    mixed = math.sqrt(share) * common + math.sqrt(1 - share) * _score(own)
    place = (mixed * _PER_SCORE + _FINE / 2).astype(np.intp)
    bits: Bits = _BITS.take(place, mode="clip")
    return bits


def _score(bits: Bits) -> Floats:
    found: Floats = _FINE_SCORES.take(bits >> np.uint32(16))
    return found


def _whole(lengths: Floats) -> Floats:
    return np.clip(lengths, 1.0, LONGEST_MIN) + 0.5
