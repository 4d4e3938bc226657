"""The sheet of a loom: from typed tables to the loom core and back to a wire list and a cut list."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.loom import FaultyListError, LoomError
from engineering.loom.advice import better_insulation
from engineering.loom.change import changes
from engineering.loom.cutting import cut_list, purchases, run_bundles
from engineering.loom.results import LoomResult, SizedWire
from engineering.loom.sizing import size_loom
from engineering.sheets.kind import Inputs, PartFacts, Results, SheetKind
from engineering.sheets.loom_drawing import loom_view
from engineering.sheets.loom_form import LoomForm
from engineering.sheets.loom_mass import loom_mass
from engineering.sheets.loom_notes import notes_for
from engineering.sheets.loom_rows import loom_of, refusal

HOTTEST_SHOWN = 5
NOT_COMPARED = "an earlier revision that today's sums refuse"


def work_out(inputs: Inputs) -> Results:
    """Size the loom. Raises ValidationError by table, with the line at fault."""
    result = _sized(inputs)
    advice = better_insulation(result) if inputs["insulation"] in ("a", "b") else ()
    return {
        "wires": [_wire(sized) for sized in result.wires.values()],
        "cut": [asdict(row) for row in cut_list(result)],
        "runs": _runs(result),
        "buy": [asdict(row) for row in purchases(result)],
        "loads": [asdict(load) for load in result.loads.values()],
        "faults": [
            {"kind": str(fault.kind), "thing": fault.thing, "message": fault.message}
            for fault in result.faults
        ],
        "listed": len(result.loom.wires),
        "loss_w": result.loss_w,
        "advice": [str(each) for each in advice],
        "notes": notes_for(result.loom.system_v, result.loom.series).stored(),
    }


def _sized(inputs: Inputs) -> LoomResult:
    loom = loom_of(inputs)
    try:
        return size_loom(loom)
    except FaultyListError as error:
        raise refusal(inputs, error) from error
    except LoomError as error:
        raise ValidationError(error.message) from error


def _wire(sized: SizedWire) -> dict[str, Any]:
    figures = ("why", "device", "rating_a", "current_a", "running_c", "hottest", "drop_v", "loss_w")
    return {
        "label": sized.wire.label,
        "circuit": sized.wire.circuit,
        "colour": sized.wire.colour,
        "size": sized.size.name,
        "thinner": sized.as_it_stands.name if sized.as_it_stands else "",
        **{name: getattr(sized, name) for name in figures},
    }


def _runs(result: LoomResult) -> list[dict[str, Any]]:
    """Each run with its bundle."""
    run_of = {run.name: run for run in result.loom.runs}
    return [
        {
            "name": bundle.name,
            "start": run_of[bundle.name].start,
            "end": run_of[bundle.name].end,
            "length_mm": run_of[bundle.name].length_mm,
            "wires": list(bundle.wires),
            "diameter_mm": bundle.diameter_mm,
            "bore_mm": bundle.bore_mm,
            "shrink": str(bundle.shrink) if bundle.shrink else "",
            "core_c": result.runs[bundle.name].core_c,
        }
        for bundle in run_bundles(result)
    ]


def changed(before: Inputs, after: Inputs) -> list[list[str]]:
    """What a fitter would cut, crimp, lay or fuse differently: wire or device, what, was, is now."""
    try:
        found = changes(_sized(before), _sized(after))
    except ValidationError:  # kept under other rules than today's
        return [["", NOT_COMPARED, "", ""]]
    return [[each.thing, each.what, each.was, each.now] for each in found]


# Words


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    cut = results["cut"]
    return {
        "wires": [_wire_line(wire) for wire in results["wires"]],
        "count": len(cut),
        "listed": results["listed"],
        "metres": f"{sum(row['cut_mm'] for row in cut) / 1000:.0f}",
        "insulated": f"{loom_mass(results).insulation_kg:.2f}",
        "copper": f"{sum(row['copper_g'] for row in cut) / 1000:.2f}",
        "loss": f"{results['loss_w']:.0f}",
        "faults": results["faults"],
        "advice": results["advice"],
        "hottest": _hottest(results["wires"]),
        "cut": [_cut_line(row) for row in cut],
        "runs": [_run_line(row) for row in results["runs"]],
        "view": loom_view(results["runs"]),
        "buy": [_buy_line(row) for row in results["buy"]],
        "loads": [_load_line(row) for row in results["loads"]],
    }


def _hottest(wires: list[dict[str, Any]]) -> list[str]:
    first = sorted(wires, key=lambda wire: -wire["running_c"])[:HOTTEST_SHOWN]
    return [f"{wire['label']} {wire['running_c']:.0f} °C in {wire['hottest']}" for wire in first]


def _wire_line(wire: dict[str, Any]) -> dict[str, str]:
    fuse = f"{wire['device']}, {wire['rating_a']:g} A" if wire["device"] else "none"
    why = wire["why"]
    if wire["thinner"]:
        why += f" Beside the others as they are, {wire['thinner']} would pass."
    return {
        **{key: wire[key] for key in ("label", "circuit", "colour", "size")},
        "why": why,
        "fuse": fuse,
        "current": f"{wire['current_a']:.1f}",
        "drop": f"{wire['drop_v']:.3f}",
        "running": f"{wire['running_c']:.0f}",
        "loss": f"{wire['loss_w']:.2f}",
    }


def _cut_line(row: dict[str, Any]) -> dict[str, Any]:
    ends = {
        end: f"{row[end]}, {row[f'{end}_terminal']}" if row[f"{end}_terminal"] else row[end]
        for end in ("start", "end")
    }
    return {
        **{key: row[key] for key in ("order", "label", "circuit", "colour", "size")},
        **ends,
        "cut": f"{row['cut_mm']:.0f}",
        "route": " ".join(row["route"]),
    }


def _run_line(row: dict[str, Any]) -> dict[str, Any]:
    return {
        **{key: row[key] for key in ("name", "start", "end")},
        "length": f"{row['length_mm']:.0f}",
        "count": len(row["wires"]),
        "diameter": f"{row['diameter_mm']:.1f}",
        "bore": f"{row['bore_mm']:.1f}",
        "shrink": row["shrink"] or "none grips",
        "core": f"{row['core_c']:.0f}",
    }


def _buy_line(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "colour": row["colour"] or "not said",
        "size": row["size"],
        "metres": f"{row['length_m']:.1f}",
        "reels": row["reels"],
        "copper": f"{row['copper_g']:.0f}",
    }


def _load_line(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "component": row["component"],
        "volts": f"{row['at_load_v']:.2f}",
        "drop": f"{row['drop_v']:.2f}",
        "percent": f"{row['drop_percent']:.1f}",
        "limit": f"{row['limit_v']:.2f}",
    }


def table(inputs: Inputs, results: Results) -> list[list[str]]:
    """The cut list for a spreadsheet."""
    headings = [
        "order", "label", "circuit", "colour", "size", "cut length mm", "from", "terminal", "to", "terminal",
        "runs", "cut", "labelled", "laid", "terminated", "tested",
    ]  # fmt: skip
    return [headings, *(_table_line(row) for row in results["cut"])]


def _table_line(row: dict[str, Any]) -> list[str]:
    first = [str(row[key]) for key in ("order", "label", "circuit", "colour", "size")]
    ends = [row[key] for key in ("start", "start_terminal", "end", "end_terminal")]
    return [*first, f"{row['cut_mm']:.0f}", *ends, " ".join(row["route"]), *([""] * 5)]


def facts(inputs: Inputs, results: Results) -> PartFacts:
    """Copper and insulation; what else hangs on the loom is not in the list."""
    return PartFacts(mass_kg=loom_mass(results).total_kg)


LOOM = SheetKind(
    key="loom",
    name="Wire list and cut list",
    new_words="New wire list",
    form=LoomForm,
    work_out=work_out,
    show=show,
    facts=facts,
    table=table,
    changed=changed,
)
