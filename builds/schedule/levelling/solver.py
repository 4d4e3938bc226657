"""CP-SAT as levelling uses it."""

from typing import Any


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
