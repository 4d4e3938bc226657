"""Pieces of a line: how many are back, which were wrong or lost, and the rework of those that were wrong.

Everything here works on a line whose route card is locked already. A line is back when all its pieces are
accepted or rejected; lost ones keep it out until somebody says what is to be done about them.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from parts.models import GoodsIn, Operation

LONGEST_REASON = 300


@dataclass(frozen=True)
class Count:
    """Pieces of one line that are accounted for."""

    pieces: int  # that the line is for
    accepted: int = 0
    rejected: int = 0
    lost: int = 0

    @property
    def back(self) -> int:
        return self.accepted + self.rejected

    @property
    def left(self) -> int:
        """Neither back nor given up."""
        return max(0, self.pieces - self.back - self.lost)

    @property
    def is_part(self) -> bool:
        """Whether something has come of it, and not yet all."""
        return self.back + self.lost > 0 and self.back < self.pieces

    @property
    def words(self) -> str:
        """'8 of 10 back, 1 rejected, 2 lost'; empty where nothing has been counted.

        Examples
        --------
        >>> Count(10, accepted=7, rejected=1, lost=2).words
        '8 of 10 back, 1 rejected, 2 lost'
        >>> Count(10).words
        ''
        """
        if not self.back and not self.lost:
            return ""
        words = f"{self.back} of {self.pieces} back"
        words += f", {self.rejected} rejected" if self.rejected else ""
        return words + (f", {self.lost} lost" if self.lost else "")


def count_of(line: Operation) -> Count:
    """What was counted in. Reads `goods_in`, so a page prefetches it for many lines.

    A line that got its verdict before pieces were counted has no rows: then all of it is one or the other.
    """
    rows = list(line.goods_in.all())
    if not rows and line.result == Operation.Result.ACCEPTED:
        return Count(line.pieces, accepted=line.pieces)
    if not rows and line.result == Operation.Result.REJECTED:
        return Count(line.pieces, rejected=line.pieces)
    return _sum_of(line, rows)


def _sum_of(line: Operation, rows: list[GoodsIn]) -> Count:
    return Count(
        line.pieces,
        accepted=sum(row.accepted for row in rows),
        rejected=sum(row.rejected for row in rows),
        lost=sum(row.lost for row in rows),
    )


def settle(line: Operation) -> None:
    """Derive goods in, verdict, reason and who checked from what was counted. The caller saves the line."""
    rows = list(line.goods_in.select_related("by").order_by("pk"))
    count = _sum_of(line, rows)
    if count.back < count.pieces:
        line.back_on, line.result, line.reason, line.checked_by = None, "", "", None
        return
    line.back_on = max(row.came_on for row in rows)
    line.result = Operation.Result.REJECTED if count.rejected else Operation.Result.ACCEPTED
    line.reason = _reason(count, rows)
    line.checked_by = rows[-1].by


SETTLED_FIELDS = ("back_on", "result", "reason", "checked_by")


def _reason(count: Count, rows: list[GoodsIn]) -> str:
    reasons = "; ".join(dict.fromkeys(row.reason for row in rows if row.rejected))
    if count.rejected and count.rejected < count.pieces:
        reasons = f"{count.rejected} of {count.pieces}: {reasons}"
    return reasons[:LONGEST_REASON]


# Rework


def rework_add(line: Operation, rejected: int) -> Operation:
    """Let so many pieces go again: a line of their own after this one, or more on one that waits already."""
    tail = _last_rework(line)
    if tail != line and tail.sent_on is None:
        tail.quantity = tail.pieces + rejected
        tail.version += 1
        tail.save(update_fields=["quantity", "version"])
        return tail
    make_room_after(tail)
    rework = Operation(
        part=line.part,
        sequence=tail.sequence + 1,
        process=line.process,
        supplier=line.supplier,
        quantity=line.quantity if rejected == line.pieces else rejected,
        lead_low_days=line.lead_low_days,
        lead_likely_days=line.lead_likely_days,
        lead_high_days=line.lead_high_days,
        colour=line.colour,
        coating_class=line.coating_class,
        specification=line.specification,
        masking=line.masking,
        reworks=tail,
    )
    rework.full_clean()
    rework.save()
    move_needs(tail, rework)
    return rework


def rework_take_back(line: Operation, rejected: int) -> None:
    """Undo `rework_add`. Raises ValidationError if the rework has gone out or is in a batch."""
    tail = _last_rework(line)
    if tail == line:
        return
    if tail.sent_on is not None:
        raise ValidationError(f"The rework of “{line}” has gone out: take that back first.")
    if tail.pieces > rejected:
        tail.quantity = tail.pieces - rejected
        tail.version += 1
        tail.save(update_fields=["quantity", "version"])
        return
    if tail.batch_id is not None:
        raise ValidationError(f"The rework of “{line}” is in {tail.batch}: take it out of there first.")
    move_needs(tail, tail.reworks)
    tail.delete()


def reworked_by(line: Operation) -> set[int]:
    """Keys of the lines that this one makes good, however often it took. Reads `part.operations`."""
    card = {other.pk: other for other in line.part.operations.all()}
    found, good = set(), line.reworks_id
    while good is not None and good not in found:
        found.add(good)
        good = card[good].reworks_id if good in card else None
    return found


def _last_rework(line: Operation) -> Operation:
    """The line itself, or the newest that makes it good."""
    found = line
    while (after := Operation.objects.filter(reworks=found).select_related("batch").first()) is not None:
        after.part = line.part
        found = after
    return found


def make_room_after(line: Operation) -> None:
    """Count the later lines up by one, last first: two lines may not bear one number even for a moment."""
    later = line.part.operations.filter(sequence__gt=line.sequence).order_by("-sequence")
    if later.filter(sequence=line.sequence + 1).exists():
        for other in later:
            Operation.objects.filter(pk=other.pk).update(sequence=other.sequence + 1)


def move_needs(source: Operation, target: Operation | None) -> None:
    """Let the jobs that need the part as it is after `source` wait for `target`."""
    source.job_needs.update(operation=target)
