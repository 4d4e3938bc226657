"""Circuits of a plain car added one by one to a list that stands already: common practice, no source."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, replace

from engineering.loom.errors import LoomInputError
from engineering.loom.generic import (
    GROUNDS,
    RUNS,
    Draft,
    GenericCircuit,
    add_circuit,
    main_feed,
)
from engineering.loom.wire_list import Cavity, Connector, Ground, LoomList, Run, Supply

BOX = "FB"


@dataclass(frozen=True)
class Standing:
    """What a list has already.

    Parameters
    ----------
    names : frozenset of str
        Of connectors, splices, studs, components, devices, links, runs, and labels of wires.
    joints : frozenset of str
        At which something ends or sits.
    pairs : frozenset of frozenset of str
        Joints between which a run is.
    supply, supply_joint : str
        The battery and its joint; empty where there is none yet.
    box_joint : str
        Joint of the fuse box FB; empty where there is none yet.
    box_cavities : frozenset of str
        Its cavities.
    """

    names: frozenset[str] = frozenset()
    joints: frozenset[str] = frozenset()
    pairs: frozenset[frozenset[str]] = frozenset()
    supply: str = ""
    supply_joint: str = ""
    box_joint: str = ""
    box_cavities: frozenset[str] = frozenset()


def more_circuits(circuits: tuple[GenericCircuit, ...], standing: Standing) -> LoomList:
    """What has to be added to a list so that it has some circuits more.

    Parameters
    ----------
    circuits : tuple of GenericCircuit
        The circuits.
    standing : Standing
        What there is.

    Returns
    -------
    LoomList
        Only what is new, under names that are free; runs of the plain car where a joint is missing, and a
        main fuse for each group that has none. Where the box FB stands already, its new cavities come as a
        connector of the same name.

    Raises
    ------
    LoomInputError
        If something of a circuit stands already.

    Examples
    --------
    >>> from engineering.loom.generic import GENERIC
    >>> horns = tuple(circuit for circuit in GENERIC if circuit.name == "Horns")
    >>> new = more_circuits(horns, Standing())
    >>> [wire.label for wire in new.wires][:3], [device.name for device in new.devices]
    (['M1', '1.1', '1.2'], ['MF1', 'F1'])
    """
    for circuit in circuits:
        _refuse_twice(circuit, standing.names)
    draft = Draft()
    supply, supply_joint = standing.supply or "BAT+", standing.supply_joint or "battery"
    cavities: list[Cavity] = []
    feeds = _free(("MF", "M"), standing.names, standing.box_cavities)
    for group in dict.fromkeys(circuit.group for circuit in circuits):
        if group not in standing.box_cavities:
            main_feed(draft, next(feeds), group, supply, supply_joint)
            cavities.append(Cavity(group))
    numbers = _free(("F", "S"), standing.names, standing.box_cavities)
    for circuit in circuits:
        number = next(numbers)
        draft.wires.extend(add_circuit(draft, number, circuit))
        cavities.append(Cavity(str(number), 6.0))
    box = Connector(BOX, standing.box_joint or "fuse box", tuple(cavities))
    connectors = (box, *draft.connectors)
    placed = {connector.joint for connector in connectors} | {splice.joint for splice in draft.splices}
    grounds = tuple(
        Ground(name, joint)
        for name, joint in GROUNDS.items()
        if name not in standing.names and any(name in (w.start.place, w.end.place) for w in draft.wires)
    )
    needed = placed | {ground.joint for ground in grounds} | {supply_joint}
    return LoomList(
        system_v=12,
        wires=tuple(draft.wires),
        runs=tuple(_runs(needed, standing)),
        connectors=connectors,
        components=tuple(draft.components),
        supplies=() if standing.supply else (Supply(supply, supply_joint),),
        grounds=grounds,
        devices=tuple(draft.devices),
        links=tuple(draft.links),
        splices=tuple(draft.splices),
    )


def _refuse_twice(circuit: GenericCircuit, names: frozenset[str]) -> None:
    switch = (f"{circuit.name} switch",) if circuit.switch_at else ()
    for name in (*(load.name for load in circuit.loads), *switch):
        if name in names:
            raise LoomInputError(
                "add",
                f"{circuit.name}: “{name}” stands in the tables already. Rename that one first, or leave the "
                "circuit out.",
            )


def _free(letters: tuple[str, ...], names: frozenset[str], cavities: frozenset[str]) -> Iterator[int]:
    """Numbers under which nothing stands: no fuse, splice, cavity of the box, or wire 12.1 of number 12."""
    numbered = {name.partition(".")[0] for name in names}
    number = 0
    while True:
        number += 1
        used = any(f"{letter}{number}" in names for letter in letters)
        if not used and str(number) not in cavities and str(number) not in numbered:
            yield number


def _runs(needed: set[str], standing: Standing) -> Iterator[Run]:
    """Runs of the plain car on the way from each joint that is missing to the nearest that there is."""
    around: dict[str, list[Run]] = {}
    for run in RUNS:
        around.setdefault(run.start, []).append(run)
        around.setdefault(run.end, []).append(run)
    ends = set(standing.joints) if standing.joints & set(around) else {"battery"}
    wanted: list[Run] = []
    for joint in sorted(needed - standing.joints):
        if joint in around:
            wanted += _way(joint, ends, around)
    names = set(standing.names)
    for run in RUNS:
        if run not in wanted or frozenset((run.start, run.end)) in standing.pairs:
            continue
        name, number = run.name, len(RUNS)
        while name in names:
            number += 1
            name = f"R{number}"
        names.add(name)
        yield replace(run, name=name)


def _way(joint: str, ends: set[str], around: dict[str, list[Run]]) -> list[Run]:
    came: dict[str, Run | None] = {joint: None}
    front = deque([joint])
    while front:
        at = front.popleft()
        if at in ends:
            way: list[Run] = []
            while (run := came[at]) is not None:
                way.append(run)
                at = run.start if run.end == at else run.end
            return way
        for run in around[at]:
            far = run.end if run.start == at else run.start
            if far not in came:
                came[far] = run
                front.append(far)
    return []
