"""Whether anything is cheaper than the best plan: two questions at once, until one has settled it.

It is asked whether a plan is cheaper by a step, backwards, and whether one is cheaper by two, forwards. Where
the best plan is a step too dear the 'no' to the second shows that the plan found meanwhile is the cheapest;
where it is the cheapest the 'no' to the first does. When the second is answered schedules are bred in its
place, and near the best plans a cheaper one is asked for, each time with the tasks in another order and for a
short while: most such questions are answered soon or not at all.

Before that it is asked whether anything is much cheaper. A 'no' to that takes a moment wherever a proof takes
seconds; where it does not come, better plans are looked for instead of a proof.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from threading import Event, Thread
from time import monotonic

from builds.schedule.levelling.question import Question, Window
from builds.schedule.levelling.search import STOP_EVERY_S, Search
from builds.schedule.levelling.solver import cp_solver, learn_more

BRED, LOOK_BRED = 2600, 6500  # schedules of a new population, and of one with the best known
DEEPER_SHARE = 0.75  # of the time for a question about two steps
OLD_SHARE = 0.15  # of the time: a question that has run for longer is not asked anew, but taken over
NEAR, NEARER = (0.1, 0.17, 0.24), (0.08, 0.12, 0.17)  # of its length: how far the tasks of a plan may move
NEAR_WORK = 0.35  # of CP-SAT's own measure of work, about a second, for a question near a plan
NEARBY = 2  # so many such questions after each population
MUCH_CHEAPER, PROBE_WORK = 0.94, 0.1  # that nothing costs so little is shown at once, or no proof is near


def decide(search: Search, seed: int) -> None:
    """Ask until no time is left or nothing can be cheaper than the best plan.

    Parameters
    ----------
    search : Search
        Of a problem that is the same in steps; it takes in what is found and proven.
    seed : int
        Of the solver.
    """
    if search.is_over:
        return
    deciding = _Deciding(search, seed)
    try:
        is_near = deciding.is_proof_near()
        while not search.is_over:
            if is_near:
                deciding.go_on()
            else:
                deciding.look_on()
    finally:
        deciding.stop()


@dataclass(frozen=True)
class _Wording:
    """What is asked: whether anything costs so much at most."""

    most: int
    backwards: bool = False
    contrary: bool = False
    shuffled: Random | None = None
    near: Sequence[Window] | None = None
    work: float | None = None


class _Asked:
    """A question that is being asked in a thread of its own."""

    def __init__(self, search: Search, question: _Wording, seed: int, seconds: float, news: Event) -> None:
        self.most = question.most
        self.begun, self._done = monotonic(), Event()
        self.is_refuted = False
        self._search, self._question, self._news = search, question, news
        self._solver = cp_solver(1, seed, seconds)
        learn_more(self._solver)
        if question.work is not None:
            self._solver.parameters.max_deterministic_time = question.work
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        return self._done.is_set()

    def stop(self) -> None:
        while self._thread.is_alive():
            self._solver.stop_search()  # said again, should it have been said before the search began
            self._thread.join(STOP_EVERY_S)

    def _run(self) -> None:
        from ortools.sat.python import cp_model

        search, asked = self._search, self._question
        try:
            question = Question(
                search.steps,
                search.bounds,
                self.most,
                asked.backwards,
                asked.contrary,
                asked.shuffled,
                asked.near,
            )
            status = self._solver.solve(question.cp)
            self.is_refuted = status == cp_model.INFEASIBLE
            if self.is_refuted and asked.near is None:
                step = search.steps.grid_min  # what costs more than the question costs whole steps
                search.prove((self.most // step + 1) * step)
            elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                search.take(question.read(self._solver.value))
        finally:
            self._done.set()  # even after a fault, lest somebody wait for it
            self._news.set()


class _Deciding:
    """The questions that are being asked, about one step and about two, and what is done beside them."""

    def __init__(self, search: Search, seed: int) -> None:
        self.search, self.seed = search, seed
        self.step = search.steps.grid_min
        self.news = Event()
        self.first: _Asked | None = None
        self.deeper: _Asked | None = None
        self.tended = -1  # what the best plan cost when the questions were last looked after
        self.was_deeper: set[int] = set()  # costs that were asked about, answered or not

    def stop(self) -> None:
        for asked in (self.first, self.deeper):
            if asked is not None:
                asked.stop()
        self.first = self.deeper = None

    def is_proof_near(self) -> bool:
        """Ask whether anything is much cheaper: where that is not answered at once, no proof is near."""
        best = self.search.best.cost
        asked = self._ask(_Wording(round(best * MUCH_CHEAPER), work=PROBE_WORK), self.search.left)
        self._wait_for(asked, best)
        return asked.is_refuted or self.search.best.cost < best

    def look_on(self) -> None:
        """Breed and ask near the best plans by turns, beside the one question whether any is cheaper."""
        self.search.breed(LOOK_BRED, self._tend)
        for _ in range(NEARBY):
            if not self._tend():
                self._ask_near(self.search.best.cost, NEARER)

    def _tend(self) -> bool:
        """Ask anew where the best plan is another one by now; give whether the search is over."""
        best = self.search.best.cost
        if best != self.tended or self.news.is_set():
            self.news.clear()
            self.tended = best
            self._let_go(best)
            self._ask_first(best)
        return self.search.is_over

    def go_on(self) -> None:
        """Ask what is to be asked about the best plan, and do what can be done until there is news."""
        self.news.clear()
        best = self.search.best.cost
        self._let_go(best)
        if self.deeper is None and self._is_worth_asking(best - 2 * self.step):
            self.was_deeper.add(best - 2 * self.step)
            left = min(self.search.left, self.search.seconds * DEEPER_SHARE)
            self.deeper = self._ask(_Wording(best - 2 * self.step), left)
        self._ask_first(best)
        while self.deeper is not None and not self._is_news(best):
            self.news.wait(STOP_EVERY_S)
        if not self._is_news(best):
            self.search.breed(BRED, lambda: self._is_news(best), anew=True)
            self._ask_near(best, NEAR)

    def _ask_first(self, best: int) -> None:
        if self.first is None:
            wording = _Wording(best - self.step, backwards=True, contrary=True)
            self.first = self._ask(wording, self.search.left)

    def _let_go(self, best: int) -> None:
        """Stop asking what is known by now; what was about two steps may be about one."""
        first, deeper = self.first, self.deeper
        if first is not None and (first.is_over or first.most >= best):
            first.stop()
            self.first = None
        if deeper is None:
            return
        is_old = monotonic() - deeper.begun > self.search.seconds * OLD_SHARE
        if deeper.is_over or deeper.most > best - 2 * self.step:
            if deeper.most == best - self.step and is_old and self.first is None and not deeper.is_over:
                self.first = deeper
            else:
                deeper.stop()
            self.deeper = None

    def _is_worth_asking(self, most: int) -> bool:
        return most >= self.search.bound.cost and most not in self.was_deeper and self.first is None

    def _is_news(self, best: int) -> bool:
        return self.news.is_set() or self.search.best.cost < best or self.search.is_over

    def _ask_near(self, best: int, shares: Sequence[float]) -> None:
        """Ask for something cheaper near one of the best plans, for a short while."""
        search = self.search
        plans = [order for cost, order in search.good if cost == best]
        plan = search.random.choice(plans or [search.order_of(search.best.placed)])
        near = _windows(search, plan, search.random.choice(shares))
        wording = _Wording(
            best - self.step,
            backwards=search.random.random() < 0.5,
            shuffled=Random(search.random.random()),
            near=near,
            work=NEAR_WORK,
        )
        self._wait_for(self._ask(wording, search.left), best)

    def _wait_for(self, asked: _Asked, best: int) -> None:
        while not asked.is_over and not self._is_news(best):
            self.news.wait(STOP_EVERY_S)
        asked.stop()

    def _ask(self, wording: _Wording, seconds: float) -> _Asked:
        return _Asked(self.search, wording, self.seed, seconds, self.news)


def _windows(search: Search, starts_min: Sequence[int], share: float) -> list[Window]:
    """Give where each task may start if it moves by a share of the plan from how soon and late it can be."""
    steps = search.steps
    soon = [at // steps.grid_min for at in starts_min]
    ends = [at + size for at, size in zip(soon, steps.sizes, strict=True)]
    late = steps.latest(ends)
    far = round(share * max(ends, default=0))
    return [(min(a, b) - far, max(a, b) + far) for a, b in zip(soon, late, strict=True)]
