"""Rings: things that wait for one another in a circle, found before they are saved."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Self

from django.core.exceptions import ValidationError

from builds.models import Job, JobLink, Need
from parts.models import FinishingBatch, Operation, Part

Thing = tuple[str, int]  # ('job', 7), ('line', 3) of a route card, ('batch', 2)
Waits = dict[Thing, set[Thing]]  # thing -> what waits for it


def ring_refuse(job: Job, before: Iterable[Job], needs: Mapping[Part, Operation | None]) -> None:
    """Raise ValidationError, naming the ring, if the job would come after itself.

    `before` and `needs` are what the job is about to wait for; what is saved of that is left aside.
    Rings through route cards and finishing batches count: a part made by a later job, for example.
    """
    cards = _Cards.read()
    waits = _everything_that_waits(cards)
    for rest in waits.values():
        rest.discard(("job", job.pk))
    sources: set[Thing] = {("job", other.pk) for other in before}
    for part, operation in needs.items():
        source = cards.source(part.pk, operation.pk if operation else None)
        if source is not None:
            sources.add(source)
    way = way_between(("job", job.pk), sources, waits)
    if way:
        names = _names(way)
        by_way = f" by way of {_listed(names[1:])}" if len(names) > 1 else ""
        raise ValidationError(f"“{job}” would come after itself{by_way}. Take one of these out.")


def route_card_ring_refuse(part: Part) -> None:
    """Raise ValidationError, naming the ring, if the part as it is saved now waits for itself.

    Call it inside the transaction that changed the route card or the job that makes the part.
    """
    cards = _Cards.read()
    waits = _everything_that_waits(cards)
    own: list[Thing] = [("line", line) for line in cards.lines.get(part.pk, ())]
    if not own and part.pk in cards.makers:
        own = [("job", cards.makers[part.pk])]
    for thing in own:
        sources = {before for before, waiting in waits.items() if thing in waiting}
        way = way_between(thing, sources, waits)
        if way:
            names = [name for name in _names(way) if name != f"the part “{part}”"]
            by_way = f" by way of {_listed(names)}" if names else ""
            raise ValidationError(f"“{part}” would wait for itself{by_way}. Take one of these out.")


def ring_through(things: Collection[Thing]) -> list[Thing]:
    """A ring of saved things that one of `things` is on; empty if there is none.

    Call it inside the transaction that saved them. For many things at once, as after an import.
    """
    waits = _everything_that_waits(_Cards.read())
    suspects = _on_or_between_rings(waits)
    for thing in things:
        if thing in suspects:
            sources = {before for before, waiting in waits.items() if thing in waiting}
            way = way_between(thing, sources, waits)
            if way:
                return way
    return []


def ring_in_words(ring: list[Thing]) -> str:
    names = _names(ring)
    return " → ".join([*names, names[0]])


def way_between(start: Thing, ends: set[Thing], waits: Mapping[Thing, set[Thing]]) -> list[Thing]:
    """The shortest way from `start` to one of `ends` along what waits for what; empty if there is none."""
    came_from: dict[Thing, Thing | None] = {start: None}
    edge = [start]
    while edge:
        reached = []
        for here in edge:
            if here in ends:
                return _walked(here, came_from)
            for there in sorted(waits.get(here, ())):
                if there not in came_from:
                    came_from[there] = here
                    reached.append(there)
        edge = reached
    return []


def _on_or_between_rings(waits: Mapping[Thing, set[Thing]]) -> set[Thing]:
    """What is left when all that waits for nothing is taken away, again and again."""
    left_to_wait_for: dict[Thing, int] = defaultdict(int)
    for waiting in waits.values():
        for thing in waiting:
            left_to_wait_for[thing] += 1
    free = [thing for thing in waits if not left_to_wait_for[thing]]
    while free:
        for thing in waits.get(free.pop(), ()):
            left_to_wait_for[thing] -= 1
            if not left_to_wait_for[thing]:
                free.append(thing)
    return {thing for thing, count in left_to_wait_for.items() if count}


def _walked(end: Thing, came_from: Mapping[Thing, Thing | None]) -> list[Thing]:
    way: list[Thing] = []
    here: Thing | None = end
    while here is not None:
        way.append(here)
        here = came_from[here]
    return way[::-1]


@dataclass(frozen=True)
class _Cards:
    """Route cards, as far as they say what waits for what."""

    lines: dict[int, list[int]]  # part -> its lines in order
    makers: dict[int, int]  # part -> the job that makes it
    batches: dict[int, int]  # line -> its batch, while that has not left

    @classmethod
    def read(cls) -> Self:
        lines: dict[int, list[int]] = defaultdict(list)
        batches: dict[int, int] = {}
        rows = Operation.objects.order_by("part_id", "sequence")
        for line, part, batch, sent_on in rows.values_list("pk", "part_id", "batch_id", "batch__sent_on"):
            lines[part].append(line)
            if batch is not None and sent_on is None:
                batches[line] = batch
        makers = dict(Part.objects.exclude(made_by=None).values_list("pk", "made_by_id"))
        return cls(lines, makers, batches)

    def source(self, part: int, line: int | None) -> Thing | None:
        """What a job waits for that needs the part: a line, or the job that makes a part without lines."""
        if line is None and self.lines.get(part):
            line = self.lines[part][-1]
        if line is not None:
            return ("line", line)
        return ("job", self.makers[part]) if part in self.makers else None


def _everything_that_waits(cards: _Cards) -> Waits:
    """All links of the workshop: jobs after jobs, lines after lines, lines after jobs, jobs after lines."""
    waits: Waits = defaultdict(set)
    for before, after in JobLink.objects.values_list("before_id", "after_id"):
        waits["job", before].add(("job", after))
    for part, lines in cards.lines.items():
        if part in cards.makers:
            _line_waits(waits, cards, ("job", cards.makers[part]), lines[0])
        for before, after in pairwise(lines):
            _line_waits(waits, cards, ("line", before), after)
    for line, job in Operation.after_jobs.through.objects.values_list("operation_id", "job_id"):
        _line_waits(waits, cards, ("job", job), line)
    for line, batch in cards.batches.items():
        waits["batch", batch].add(("line", line))
    for job, part, line in Need.objects.values_list("job_id", "part_id", "operation_id"):
        source = cards.source(part, line)
        if source is not None:
            waits[source].add(("job", job))
    return waits


def _line_waits(waits: Waits, cards: _Cards, before: Thing, line: int) -> None:
    """A batch leaves when the last of it is ready: what one line waits for, all of its batch wait for."""
    waits[before].add(("line", line))
    if line in cards.batches:
        waits[before].add(("batch", cards.batches[line]))


def _names(way: list[Thing]) -> list[str]:
    """What a person calls each thing on the way; a part is named once however many lines it has."""
    ids: dict[str, set[int]] = defaultdict(set)
    for kind, key in way:
        ids[kind].add(key)
    jobs = Job.objects.in_bulk(ids["job"])
    lines = Operation.objects.select_related("part").in_bulk(ids["line"])
    batches = FinishingBatch.objects.select_related("process").in_bulk(ids["batch"])
    named = {
        **{("job", key): f"“{job}”" for key, job in jobs.items()},
        **{("line", key): f"the part “{line.part}”" for key, line in lines.items()},
        **{("batch", key): f"the {batch}" for key, batch in batches.items()},
    }
    return list(dict.fromkeys(named[thing] for thing in way))


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
