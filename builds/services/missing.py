"""What a job still lacks, read from what was recorded and not from any forecast."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.dateformat import format as date_format

from builds.models import Decision, Job, JobLink, Need
from parts.models import Operation


def missing_for(job: Job, at: datetime) -> list[str]:
    """Jobs before it, needed parts and owed decisions, in words; empty when nothing is missing."""
    return [*_jobs_before(job, at), *_parts(job), *_decisions(job)]


def _jobs_before(job: Job, at: datetime) -> list[str]:
    links = JobLink.objects.filter(after=job).select_related("before")
    return [words for link in links if (words := _link_in_words(link, at))]


def _link_in_words(link: JobLink, at: datetime) -> str:
    before = link.before
    if before.done_at is None:
        return f"“{before}” is not done"
    if not before.is_complete:
        return f"“{before}” waits for its second signature"
    over_at = before.done_at + timedelta(hours=float(link.lag_hours))
    if over_at > at:
        return f"“{before}” needs its time until {date_format(timezone.localtime(over_at), 'D j M, H:i')}"
    return ""


def _parts(job: Job) -> list[str]:
    needs = Need.objects.filter(job=job).select_related("part__made_by", "operation")
    found = (_need_in_words(need) for need in needs.prefetch_related("part__operations__process"))
    return [words for words in found if words]


def _need_in_words(need: Need) -> str:
    route = list(need.part.operations.all())
    maker = need.part.made_by
    if not route and maker is not None and maker.pk != need.job_id and not maker.is_complete:
        return f"{need.part} is not made yet (“{maker}”)"
    last = need.operation.sequence if need.operation else None
    for line in route:
        if (last is None or line.sequence <= last) and not _made_good(line, route):
            return f"{need.part} is not here yet ({line.process.name.lower()}: {line.state})"
    return ""


def _made_good(line: Operation, route: Iterable[Operation]) -> bool:
    """Accepted; or rejected, and its rework is accepted or other lines have taken its place."""
    if line.result != Operation.Result.REJECTED:
        return line.result == Operation.Result.ACCEPTED
    rework = next((other for other in route if other.reworks_id == line.pk), None)
    if rework is not None:
        return _made_good(rework, route)
    return any(other.sequence > line.sequence and other.result != line.result for other in route)


def _decisions(job: Job) -> list[str]:
    owed = Decision.objects.owed().filter(job=job).select_related("person")
    return [f"“{decision}” is not answered" for decision in owed]
