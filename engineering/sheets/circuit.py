"""The circuit sheet: from typed figures to the loom core and back to words."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError

from engineering.forms import CircuitForm
from engineering.loom import (
    FUSE_SOURCE,
    INSULATIONS,
    LOADS,
    WIRE_SOURCES,
    CircuitInputs,
    CircuitResult,
    LoomError,
    Return,
    Series,
    SizeOutcome,
    size_circuit,
)
from engineering.sheets.circuit_drawing import drop_plot
from engineering.sheets.kind import Inputs, Notes, Results, SheetKind

FORMULAS = (
    "Drop = I · R20 · (1 + 0.00393 · (T − 20)) · length of wire there and back, plus the allowance for the "
    "body; T is the running temperature of the conductor.",
    "Current capacity: I² · R(T) per metre for every wire of the bunch = heat that the surface gives to "
    "still air and radiates, with the rise through the insulation or the bunch added.",
    "Fuse = the smallest standard rating not below the current times the factor of the load.",
    "The wire bears the fuse when its rating leaves the conductor 10 °C below the class of the insulation, "
    "1.1 times the rating within the class, 1.35 times the rating within the class and 25 °C; and a short "
    "at the far end draws at least twice the rating.",
)

ASSUMPTIONS = (
    "Direct current, steady load; all wires of the bunch are alike and loaded alike, in still air.",
    "Crimps, connectors, switches, relays and the fuse's own resistance are not counted.",
    "Per cent are of the nominal system voltage.",
    "The fuse sits in surroundings of about 25 °C; in a hot place it carries less, see its maker's sheet.",
)

SOURCES = (
    "Copper: IEC 60028 (58 m/Ω mm² at 20 °C, 0.00393 per °C).",
    "Heat: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049; thermal resistivity of insulation "
    "IEC 60287-2-1 Table 1; bunches never above the grouping factors of BS "
    "7671. Above 10 mm² brought down to DIN VDE 0298-4.",
    "Insulation classes: ISO 6722-1, from memory. The 10 °C kept in hand: common practice, no source.",
    "Drop: 3 % for lamps and electronics, 10 % elsewhere (ABYC E-11, ISO 10133).",
)

LIMITS = (
    "12, 24 and 48 V direct current only; 0.01 to 150 A; runs up to 50 m; bunches up to 40 loaded wires.",
    "The heat balance agrees within 3 % with trade ratings of thin-wall cable up to 4 mm²; it knows no "
    "conduit, no sealed sleeve and no moving air.",
    "Not for battery, starter or alternator cables, nor for ignition high tension or airbag circuits.",
)

CAUTIONS = (
    "Overheated wiring and batteries start fires. This sheet sizes a wire; it does not approve an "
    "installation.",
    "Disconnect the battery, earth side first, before working on any wire. Rings and watches off: a spanner "
    "across the terminals melts. No spark near a battery on charge. (HSE INDG139, Using electric storage "
    "batteries safely)",
    "Put the fuse as near to the source as can be, within 200 mm (ISO 10133, 8.1), and never fit a larger "
    "one than shown.",
    "A usual blade fuse breaks 1000 A at most, and a battery can drive more through a short: near the "
    "battery use a fuse made for it.",
)
HIGHER_VOLTAGE_CAUTION = (
    "48 V: the usual 32 V blade fuse, and switches and relays made for 12 V, cannot break it and may burn. "
    "Use parts rated for at least 58 V direct current."
)
RULES = (
    "ISO 6722 / ISO 19642 (cable), ISO 8820 (fuses) and the makers' sheets of wire, fuse and connector",
    "The IVA inspection manual; BS 7671 and the rules for boats or caravans where they apply; the rules of "
    "the sport, where it races",
)

MOST_SHOWN = 9  # sizes in the plot and in its table


def work_out(inputs: Inputs) -> Results:
    """Size the circuit. Raises ValidationError by field."""
    given = _circuit_inputs(inputs)
    try:
        result = size_circuit(given)
    except LoomError as error:
        raise ValidationError({error.field: error.message}) from error
    return {
        "chosen": _size(result.chosen),
        "fuse_a": result.fuse.rating_a,
        "fuse_family": result.fuse.family,
        "governed_by": str(result.governed_by or ""),
        "why": f"{result.why} {result.advice}".strip(),
        "smaller": _size(result.smaller) if result.smaller else None,
        "sizes": [_size(size) for size in _around(result)],
        "allowed_v": given.allowed_v,
        "allowed_percent": 100 * given.allowed_v / given.system_v,
        "loaded_wires": given.loaded_wires,
        "limit_c": given.insulation.limit_c,
        "notes": _notes(given).stored(),
    }


def show(inputs: Inputs, results: Results) -> dict[str, Any]:
    """What the result template prints."""
    chosen = results["chosen"]
    return {
        "wire": chosen["name"],
        "fuse": f"{results['fuse_a']:g} A {results['fuse_family']}",
        "why": results["why"],
        "figures": [
            ("Drop at the load", f"{chosen['drop_v']:.2f} V, {chosen['drop_percent']:.1f} %"),
            ("Allowed drop", f"{results['allowed_v']:.2f} V, {results['allowed_percent']:.3g} %"),
            ("Conductor runs at", f"{chosen['running_c']:.0f} °C, may reach {results['limit_c']:g} °C"),
            ("Carries here", f"{chosen['capacity_a']:.1f} A, the load draws {inputs['current_a']:g} A"),
            ("Bears a fuse of", f"{chosen['bears_fuse_a']:.1f} A at most"),
            ("A short at the far end draws", f"{chosen['short_a']:.0f} A at most"),
            ("Loaded wires in the bunch", f"{results['loaded_wires']}"),
        ],
        "sizes": [_size_line(size, chosen["name"]) for size in results["sizes"]],
        "plot": drop_plot(results),
    }


def _circuit_inputs(inputs: Inputs) -> CircuitInputs:
    return CircuitInputs(
        system_v=inputs["system_v"],
        load=LOADS[inputs["load"]],
        current_a=inputs["current_a"],
        length_m=inputs["length_m"],
        return_path=Return(inputs["return_path"]),
        body_allowance_v=inputs.get("body_allowance_v", 0.0),
        drop_limit_percent=inputs.get("drop_limit_percent"),
        drop_limit_v=inputs.get("drop_limit_v"),
        ambient_c=inputs["ambient_c"],
        insulation=INSULATIONS[inputs["insulation"]],
        other_wires=inputs["other_wires"],
        least_area_mm2=inputs["least_area_mm2"],
        series=Series(inputs["series"]),
    )


def _notes(given: CircuitInputs) -> Notes:
    return Notes(
        formulas=FORMULAS,
        assumptions=ASSUMPTIONS,
        sources=(
            *SOURCES,
            f"Wire: {WIRE_SOURCES[given.series]}.",
            f"Fuse: {FUSE_SOURCE}. Factor {given.load.fuse_factor:.3g} for this load: {given.load.why}.",
        ),
        limits=LIMITS,
        cautions=(*CAUTIONS, *([HIGHER_VOLTAGE_CAUTION] if given.system_v > 24 else [])),
        rules=RULES,
    )


def _around(result: CircuitResult) -> tuple[SizeOutcome, ...]:
    """The chosen size, some thinner and some thicker."""
    place = result.sizes.index(result.chosen)
    start = max(0, min(place - MOST_SHOWN // 2, len(result.sizes) - MOST_SHOWN))
    return result.sizes[start : start + MOST_SHOWN]


def _size(size: SizeOutcome) -> dict[str, Any]:
    figures = {key: value for key, value in asdict(size).items() if key not in ("wire", "failures")}
    return {
        "name": size.wire.name,
        "area_mm2": size.wire.area_mm2,
        **figures,
        "failures": [{"rule": str(failure.rule), "words": failure.words} for failure in size.failures],
    }


def _size_line(size: dict[str, Any], chosen: str) -> dict[str, Any]:
    if size["name"] == chosen:
        verdict = "chosen: the thinnest that passes"
    elif size["failures"]:
        verdict = "fails: " + ", ".join(dict.fromkeys(failure["rule"] for failure in size["failures"]))
    else:
        verdict = "passes"
    return {
        "name": size["name"],
        "chosen": size["name"] == chosen,
        "drop_v": f"{size['drop_v']:.2f}",
        "drop_percent": f"{size['drop_percent']:.1f}",
        "capacity_a": f"{size['capacity_a']:.1f}",
        "bears_fuse_a": f"{size['bears_fuse_a']:.1f}",
        "verdict": verdict,
    }


CIRCUIT = SheetKind(
    key="circuit",
    name="One circuit: wire and fuse",
    new_words="New circuit sheet",
    form=CircuitForm,
    work_out=work_out,
    show=show,
)
