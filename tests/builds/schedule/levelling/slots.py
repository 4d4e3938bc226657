"""The slow way: tiny problems in half hours, solved by trying every order of tasks with every crew.

For costs that never fall as a finish gets later some schedule in which nothing can start earlier is optimal,
and each of those comes out of one order of tasks and one choice of crews [1]_. Nothing here uses the core.

.. [1] A. Sprecher, R. Kolisch, A. Drexl (1995) 'Semi-active, active, and non-delay schedules for the
   resource-constrained project scheduling problem', European Journal of Operational Research 80, 94-102.
   (From memory.)
"""

from dataclasses import dataclass, field
from itertools import permutations, product


@dataclass
class Tiny:
    """Two people at most; everything in slots of half an hour from the start."""

    here: dict[str, list[bool]]  # person: whether at work in each slot
    open: list[bool]  # whether anybody or the workshop is
    work: dict[str, int]
    crews: dict[str, list[tuple[str, ...]]]
    links: list[tuple[str, str, int]] = field(default_factory=list)
    place: dict[str, str] = field(default_factory=dict)  # all of one car
    targets: dict[str, tuple[int | None, int, int]] = field(default_factory=dict)  # promise, late, early

    def cheapest(self):
        """The least cost of any schedule, in open slots times weights."""
        return min(
            self.cost(finish)
            for order in permutations(self.work)
            if all(order.index(a) < order.index(b) for a, b, _ in self.links)
            for crew in product(*(self.crews[key] for key in order))
            if (finish := self.placed(order, dict(zip(order, crew, strict=True)))) is not None
        )

    def cost(self, finish):
        total = 0
        for key, (promised, late, early) in self.targets.items():
            total += early * sum(self.open[: finish[key]])
            if promised is not None:
                total += late * sum(self.open[promised : finish[key]])
        return total

    def placed(self, order, crew):
        spans = {}
        for key in order:
            ready = max([0, *(spans[a][1] + lag for a, b, lag in self.links if b == key)])
            found = next(
                (s for s in self.spans(key, crew[key], ready) if self.fits(key, crew, s, spans)), None
            )
            if found is None:
                return None
            spans[key] = found
        return {key: finish for key, (_, finish) in spans.items()}

    def spans(self, key, crew, ready):
        for start in range(ready, len(self.open)):
            if not all(self.here[who][start] for who in crew):
                continue
            worked, slot = 0, start
            while worked < self.work[key] and slot < len(self.open):
                worked += all(self.here[who][slot] for who in crew)
                slot += 1
            if worked == self.work[key]:
                yield start, slot

    def fits(self, key, crew, span, spans):
        for other, (start, finish) in spans.items():
            if span[1] <= start or finish <= span[0]:
                continue
            if set(crew[key]) & set(crew[other]):
                return False
            places = {self.place.get(key, "bench"), self.place.get(other, "bench")}
            if "away" in places and "bench" not in places:
                return False
        return True
