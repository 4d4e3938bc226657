"""The form board: the loom spread out flat, as an overview to scale and in full size on several sheets.

Lengths are in mm on the board; on a full-size sheet they are mm on the paper.
"""

import itertools
import math
from dataclasses import dataclass
from typing import Any

from engineering.models import CalcSheet
from engineering.sheets.loom_drawing import Spread

OVERVIEW_MM = (248.0, 132.0)
ROUND_MM = 14.0
"""Blank paper round the overview, for the names of the outermost joints."""
SCALES = (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 200)
EDGE_MM = 60.0
"""Room round the outermost joints on the board, for tails and names."""

BLEED_MM = 4.0
"""What each sheet shows beyond its own edge, so that lines meet where sheets are stuck together."""

MARK_MM = 100.0
MOST_SHEETS = 200
MOST_NAMES = 14
LEAST_STROKE_MM = 0.35

Point = tuple[float, float]


@dataclass(frozen=True)
class Paper:
    """What of a sheet of paper is drawn on."""

    name: str
    style: str
    wide_mm: float
    high_mm: float


PAPERS = {
    "a4": Paper("A4", "print-board.css", 270.0, 168.0),
    "a3": Paper("A3", "print-board-large.css", 390.0, 254.0),
}


@dataclass(frozen=True)
class BoardRun:
    """A run on the board."""

    name: str
    start: Point
    end: Point
    length_mm: float
    diameter_mm: float
    row: dict[str, Any]

    @property
    def words(self) -> str:
        return f"{self.name}, {self.length_mm:.0f} mm, ⌀ {self.diameter_mm:.1f}"

    def at(self, along_mm: float) -> Point:
        share = along_mm / self.length_mm
        return (
            self.start[0] + share * (self.end[0] - self.start[0]),
            self.start[1] + share * (self.end[1] - self.start[1]),
        )


@dataclass(frozen=True)
class Board:
    """The loom, spread out; the origin is the board's upper left corner."""

    runs: tuple[BoardRun, ...]
    joints: dict[str, Point]
    names_at: dict[str, tuple[str, ...]]
    wide_mm: float
    high_mm: float
    left_out: tuple[str, ...]


def board_of(sheet: CalcSheet) -> Board | None:
    """The board of a loom; None where no run has a wire."""
    rows = sheet.results["runs"]
    if not rows:
        return None
    spread = Spread(rows)
    at = _along_the_board(spread.at)
    xs, ys = zip(*at.values(), strict=True)
    joints = {joint: (x - min(xs) + EDGE_MM, y - min(ys) + EDGE_MM) for joint, (x, y) in at.items()}
    names: dict[str, tuple[str, ...]] = {}
    for place in sheet.inputs["places"]:
        joint, name = (" ".join(place[key].split()) for key in ("joint", "name"))
        if name not in names.get(joint, ()):
            names[joint] = (*names.get(joint, ()), name)
    return Board(
        runs=tuple(
            BoardRun(
                row["name"],
                joints[row["start"]],
                joints[row["end"]],
                row["length_mm"],
                row["diameter_mm"],
                row,
            )
            for row in spread.drawn
        ),
        joints=joints,
        names_at=names,
        wide_mm=max(xs) - min(xs) + 2 * EDGE_MM,
        high_mm=max(ys) - min(ys) + 2 * EDGE_MM,
        left_out=tuple(row["name"] for row in rows if row not in spread.drawn),
    )


def _along_the_board(at: dict[str, Point]) -> dict[str, Point]:
    """Turned so that the board is as narrow as can be: what is printed in full size takes fewest sheets."""
    least: tuple[float, dict[str, Point]] | None = None
    for degrees in range(0, 180, 3):
        turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
        turned = {joint: complex(*point) * turn for joint, point in at.items()}
        high = max(p.imag for p in turned.values()) - min(p.imag for p in turned.values())
        if least is None or high < least[0] - 1e-6:
            least = high, {joint: (p.real, p.imag) for joint, p in turned.items()}
    assert least is not None, "at least one turn was tried"
    return least[1]


# Overview


def scale_of(board: Board) -> int:
    """The largest usual scale at which the board goes on a sheet of A4: n of 1:n."""
    wide, high = OVERVIEW_MM
    return next((n for n in SCALES if board.wide_mm <= wide * n and board.high_mm <= high * n), SCALES[-1])


def overview(board: Board) -> dict[str, Any]:
    """The whole board on one sheet; figures in mm on the paper."""
    n = scale_of(board)
    step = MARK_MM * (10 if n > 10 else 1)
    return {
        "scale": n,
        "width": _mm(board.wide_mm / n + 2 * ROUND_MM),
        "height": _mm(board.high_mm / n + ROUND_MM),
        "view": f"{_mm(-ROUND_MM)} {_mm(-ROUND_MM / 2)} "
        f"{_mm(board.wide_mm / n + 2 * ROUND_MM)} {_mm(board.high_mm / n + ROUND_MM)}",
        "lines": [
            {
                "name": run.name,
                "words": f"{run.name} {run.length_mm:.0f}",
                "stroke": _mm(max(LEAST_STROKE_MM, run.diameter_mm / n)),
                **_ends(run.start, run.end, 1 / n),
                **_beside(run, n),
            }
            for run in board.runs
        ],
        "joints": [
            {"name": joint, "x": _mm(x / n), "y": _mm(y / n), **_aside(board, joint, n)}
            for joint, (x, y) in board.joints.items()
        ],
        "bar": {"long": _mm(step / n), "words": f"{step:.0f} mm on the board"},
        "left_out": board.left_out,
        "wide": f"{board.wide_mm / 1000:.2f}",
        "high": f"{board.high_mm / 1000:.2f}",
    }


def _aside(board: Board, joint: str, n: int) -> dict[str, str]:
    """Where the name of a joint stands: on the side that its runs leave free."""
    x, y = board.joints[joint]
    towards_x = towards_y = 0.0
    for run in board.runs:
        for here, there in ((run.start, run.end), (run.end, run.start)):
            if here == (x, y):
                long = math.dist(here, there) or 1.0
                towards_x += (there[0] - x) / long
                towards_y += (there[1] - y) / long
    long = math.hypot(towards_x, towards_y)
    away = (-towards_x / long, -towards_y / long) if long > 0.2 else (0.0, -1.0)
    anchor = "start" if away[0] > 0.5 else "end" if away[0] < -0.5 else "middle"
    return {"text_x": _mm(x / n + 2.2 * away[0]), "text_y": _mm(y / n + 3.2 * away[1] + 1), "anchor": anchor}


def _beside(run: BoardRun, n: int) -> dict[str, str]:
    """Where the name of a run stands: below the middle of a flat line, to the right of a steep one."""
    x, y = (value / n for value in run.at(run.length_mm / 2))
    long = math.dist(run.start, run.end) or 1.0
    rises = abs(run.end[1] - run.start[1]) / long
    if rises > 0.5:
        return {"x": _mm(x + 1.6 + run.diameter_mm / 2 / n), "y": _mm(y + 1), "anchor": "start"}
    return {"x": _mm(x), "y": _mm(y + 3.4 + 6 * rises), "anchor": "middle"}


# Full size


def sheets_of(board: Board, paper: Paper) -> list[tuple[int, int]]:
    """Column and row of every sheet of paper that some run passes, row by row."""
    cells = set()
    for run in board.runs:
        cells |= _cells_along(run, paper)
    return sorted(cells, key=lambda cell: (cell[1], cell[0]))


def _cells_along(run: BoardRun, paper: Paper) -> set[tuple[int, int]]:
    """Sheets that a line passes: cut where it crosses an edge, and looked up between the cuts."""
    cuts = {0.0, 1.0}
    for axis, size in ((0, paper.wide_mm), (1, paper.high_mm)):
        first, last = sorted((run.start[axis], run.end[axis]))
        for number in range(math.ceil(first / size), math.floor(last / size) + 1):
            if last > first:
                share = (number * size - run.start[axis]) / (run.end[axis] - run.start[axis])
                cuts.add(min(1.0, max(0.0, share)))
    ordered = sorted(cuts)
    shares = [(one + other) / 2 for one, other in itertools.pairwise(ordered)]
    found = set()
    for share in shares:
        x, y = run.at(share * run.length_mm)
        found.add((math.floor(x / paper.wide_mm), math.floor(y / paper.high_mm)))
    return found


def sheet_name(cell: tuple[int, int]) -> str:
    """Letter of the row, number of the column: B3."""
    column, row = cell
    letters = chr(ord("A") + row % 26)
    return (letters if row < 26 else f"{chr(ord('A') + row // 26 - 1)}{letters}") + str(column + 1)


def full_size(board: Board, paper: Paper) -> list[dict[str, Any]]:
    """Every sheet as it is printed 1:1."""
    cells = sheets_of(board, paper)
    return [_sheet(board, paper, cell, set(cells)) for cell in cells]


def _sheet(board: Board, paper: Paper, cell: tuple[int, int], cells: set[tuple[int, int]]) -> dict[str, Any]:
    column, row = cell
    left, top = column * paper.wide_mm, row * paper.high_mm
    runs = [run for run in board.runs if cell in _cells_along(run, paper)]
    around = {
        "left": (column - 1, row),
        "right": (column + 1, row),
        "above": (column, row - 1),
        "below": (column, row + 1),
    }
    return {
        "name": sheet_name(cell),
        "runs": [run.words for run in runs],
        "width": _mm(paper.wide_mm + 2 * BLEED_MM),
        "height": _mm(paper.high_mm + 2 * BLEED_MM),
        "view": f"{_mm(left - BLEED_MM)} {_mm(top - BLEED_MM)} "
        f"{_mm(paper.wide_mm + 2 * BLEED_MM)} {_mm(paper.high_mm + 2 * BLEED_MM)}",
        "lines": [_full_line(run, left, top, paper) for run in runs],
        "joints": [
            _joint(board, joint, at, left, paper)
            for joint, at in board.joints.items()
            if left <= at[0] <= left + paper.wide_mm and top <= at[1] <= top + paper.high_mm
        ],
        "crosses": [
            {"x": _mm(x), "y": _mm(y), "x1": _mm(x - 4), "x2": _mm(x + 4), "y1": _mm(y - 4), "y2": _mm(y + 4)}
            for x in (left, left + paper.wide_mm)
            for y in (top, top + paper.high_mm)
        ],
        "neighbours": [f"{side}: {sheet_name(other)}" for side, other in around.items() if other in cells],
    }


def _full_line(run: BoardRun, left: float, top: float, paper: Paper) -> dict[str, Any]:
    """Both flanks of the bundle, and a mark each 100 mm from its start."""
    long = math.dist(run.start, run.end) or 1.0
    across = (run.end[1] - run.start[1]) / long, (run.start[0] - run.end[0]) / long
    half = run.diameter_mm / 2
    flanks = []
    for sign in (-half, half):
        start, end = (
            (point[0] + sign * across[0], point[1] + sign * across[1]) for point in (run.start, run.end)
        )
        flanks.append(_ends(start, end, 1))
    marks = []
    for number in range(1, math.ceil(run.length_mm / MARK_MM)):
        x, y = run.at(number * MARK_MM)
        reach = half + 2
        marks.append(
            _ends(
                (x - reach * across[0], y - reach * across[1]),
                (x + reach * across[0], y + reach * across[1]),
                1,
            )
            | {"words": f"{run.name} {number * MARK_MM:.0f}"}
            | {"x": _mm(x + (reach + 1) * abs(across[0])), "y": _mm(y + (reach + 4) * abs(across[1]) + 1)}
        )
    return {"flanks": flanks, "marks": marks, "middle": _ends(run.start, run.end, 1)}


def _joint(board: Board, joint: str, at: Point, left: float, paper: Paper) -> dict[str, Any]:
    """A joint with the names of what sits there, set towards the middle of its sheet."""
    x, y = at
    names = board.names_at.get(joint, ())
    shown = [
        *names[:MOST_NAMES],
        *([f"and {len(names) - MOST_NAMES} more"] if len(names) > MOST_NAMES else []),
    ]
    is_right = x - left > paper.wide_mm / 2
    text_x = x - 7 if is_right else x + 7
    return {
        "name": joint,
        "x": _mm(x),
        "y": _mm(y),
        "text_x": _mm(text_x),
        "anchor": "end" if is_right else "start",
        "names": [
            {"words": words, "y": _mm(y + 3.6 * number)} for number, words in enumerate(shown, start=1)
        ],
    }


def _ends(start: Point, end: Point, by: float) -> dict[str, str]:
    return {
        "x1": _mm(start[0] * by), "y1": _mm(start[1] * by), "x2": _mm(end[0] * by), "y2": _mm(end[1] * by),
    }  # fmt: skip


def _mm(value: float) -> str:
    return f"{value:.2f}"
