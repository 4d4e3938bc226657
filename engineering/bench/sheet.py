"""What the sheet of a loom shows of its bench."""

from typing import Any

from engineering.bench.buying import buying_context
from engineering.models import Bench, CalcSheet
from engineering.sheets import KINDS


def bench_context(sheet: CalcSheet) -> dict[str, Any]:
    """The bench of a loom, and what differs from the revision that is cut; nothing for other kinds."""
    if sheet.kind != "loom":
        return {}
    bench = Bench.objects.of_sheet(sheet).with_sheet().first()
    changed = KINDS[sheet.kind].changed
    is_newer = bench is not None and bench.sheet.revision < sheet.revision
    since = changed(bench.sheet.inputs, sheet.inputs) if bench and changed and is_newer else None
    return {"bench": bench, "since_bench": since, **buying_context(sheet)}
