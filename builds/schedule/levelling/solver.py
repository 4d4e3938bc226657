"""CP-SAT as levelling uses it."""

from collections.abc import Mapping
from itertools import combinations
from typing import Any

MANY_PAIRS = 5000  # so many pairs of tasks at most are told to be one after the other


def cp_solver(threads: int, seed: int, seconds: float) -> Any:
    """Make a solver.

    Parameters
    ----------
    threads : int
        How many it may use.
    seed : int
        Of what it draws.
    seconds : float
        How long it may take [s].

    Returns
    -------
    ortools.sat.python.cp_model.CpSolver
        A new one.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    return solver


def learn_more(solver: Any) -> None:
    """Set a solver to learn more from each conflict and to tidy up less: found by trying on J60.

    What is learnt from whole numbers and not from their bounds alone needs half as many conflicts for a
    proof; what was reasoned with is looked at sooner again; a relaxation and a model made smaller cost more
    than they find.

    Parameters
    ----------
    solver : ortools.sat.python.cp_model.CpSolver
        The solver.
    """
    solver.parameters.linearization_level = 0
    solver.parameters.inprocessing_dtime_ratio = 0.0
    solver.parameters.cp_model_presolve = False
    solver.parameters.use_new_integer_conflict_resolution = True
    solver.parameters.also_bump_variables_in_conflict_reasons = True
    solver.parameters.new_linear_propagation = False


def add_counted(
    model: Any, intervals: Mapping[int, Any], held: Mapping[int, int], room: int
) -> list[tuple[int, int]]:
    """Tell a model that there is only so much of a thing.

    Parameters
    ----------
    model : ortools.sat.python.cp_model.CpModel
        The model.
    intervals : mapping of int to interval variable
        By place of a task.
    held : mapping of int to int
        How much each task takes, by place.
    room : int
        How much there is.

    Returns
    -------
    list of (int, int)
        Pairs of tasks that are too much together, in the order of `held`; none where all of them are, which
        the model then knows.
    """
    taken = {place: amount for place, amount in held.items() if amount}
    if not taken:
        return []
    wanted = [intervals[place] for place in taken]
    if min(taken.values()) * 2 > room:
        model.add_no_overlap(wanted)
        return []
    model.add_cumulative(wanted, list(taken.values()), room)
    return [pair for pair in combinations(taken, 2) if taken[pair[0]] + taken[pair[1]] > room]
