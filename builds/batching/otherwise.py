"""What the network says of an answer: its first start-ups if it were chosen, and how certain its days are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from builds.network import WorkshopState
from builds.network.forecasting import SEED
from builds.network.model import Model
from builds.network.rows import BatchRow
from builds.network.solution import Solution
from builds.schedule.errors import ScheduleError
from builds.schedule.simulation import Simulation
from parts.batching.answers import Answer
from parts.batching.chances import Chances, chances
from parts.batching.errors import BatchingError
from parts.batching.pieces import DAY_MIN
from parts.models import FinishingBatch

from .pieces import Reader
from .working import Working

DRAWS = 1_000


@dataclass(frozen=True)
class StartUp:
    """One car's first start-up under an answer, by the network itself."""

    car: str
    now: date
    then: date
    later_days: int


def start_ups(state: WorkshopState, working: Working, answers: Sequence[Answer]) -> list[tuple[StartUp, ...]]:
    """Lay each answer over the network and read the dates of the cars that move; nothing is saved."""
    return [_start_ups(state, working, answer) for answer in answers]


def _start_ups(state: WorkshopState, working: Working, answer: Answer) -> tuple[StartUp, ...]:
    then = Solution.of(with_answer(state.model, working, answer))
    found = []
    for milestone in state.model.rows.milestones:
        key = f"milestone:{milestone.id}"
        now_on, then_on = state.solution.finish_on(key), then.finish_on(key)
        if key in state.solution.start_up_keys and now_on and then_on and now_on != then_on:
            car = state.model.rows.cars[milestone.car_id].name
            found.append(StartUp(car, now_on, then_on, state.solution.slip(now_on, then_on)))
    return tuple(sorted(found, key=lambda line: line.car))


def with_answer(model: Model, working: Working, answer: Answer) -> Model:
    """The same rows with a batch for each lot, as choosing the answer would plan them."""
    operations, batches = dict(model.rows.operations), dict(model.rows.batches)
    for number, lot in enumerate(answer.lots, start=1):
        leaves_on = working.leaves_on(lot)
        when_ready = FinishingBatch.Leaves.WHEN_READY
        batches[-number] = BatchRow(-number, working.process.name, when_ready, leaves_on)
        for piece_id in lot.piece_ids:
            if piece_id in operations:
                operations[piece_id] = operations[piece_id]._replace(
                    batch_id=-number, supplier_id=working.supplier.pk
                )
    return Model(replace(model.rows, operations=operations, batches=batches), model.today)


def chances_of(
    state: WorkshopState, reader: Reader, working: Working, answers: Sequence[Answer]
) -> list[Chances] | None:
    """Each answer over draws of the days on which its pieces are ready; None if nothing is uncertain."""
    try:
        drawn = ready_draws(state, reader, working)
        if drawn is None:
            return None
        ready, minute = np.divmod(drawn, DAY_MIN)
        return [chances(answer, working.pieces, working.finisher, ready, minute) for answer in answers]
    except (ScheduleError, BatchingError):
        return None  # drawn past the calendars: the plain answers stand


def ready_draws(state: WorkshopState, reader: Reader, working: Working) -> NDArray[np.int64] | None:
    """A row for each draw of the network, a column for each piece: from when it can leave, in minutes of
    working days.
    """
    waits = {
        piece.piece_id: [
            key
            for key in reader.before(working.lines[piece.piece_id])
            if key in state.forecaster.network.place
        ]
        for piece in working.pieces
        if not working.lines[piece.piece_id].candidate.is_ready
    }
    targets = sorted({key for keys in waits.values() for key in keys})
    if not targets:
        return None
    forecaster = state.forecaster
    simulation = Simulation(forecaster.network, forecaster.spreads, targets, SEED, forecaster.together)
    (block,) = simulation.blocks([DRAWS], False)
    finish = dict(zip(simulation.targets, block.finishes, strict=True))
    last = max(working.finisher.back_on) * DAY_MIN
    columns = []
    for piece in working.pieces:
        keys = waits.get(piece.piece_id)
        if keys:
            latest = np.max([finish[key].astype(np.int64) for key in keys], axis=0)
            columns.append(np.minimum(working.days.at_many(latest), last))
        else:
            columns.append(np.full(DRAWS, working.ready_at[piece.piece_id]))
    return np.column_stack(columns).astype(np.int64)
