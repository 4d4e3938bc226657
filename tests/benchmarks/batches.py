"""How long the batch calculation takes: `python -m tests.benchmarks.batches`.

200 pieces of 8 cars that become ready over 60 working days, for three tariffs, and over 120 days. Beside the
time it prints how far the answers can be from the best there is: 0 means that they are proven.
"""

from parts.batching.frontier import frontier
from parts.batching.pieces import Finisher, LotLimits, Tariff, trips
from tests.benchmarks.measuring import measured, print_machine, print_table
from tests.parts.batching.cases import workshop_lot

SEEDS = range(3)
SET_UP = Tariff(setup_pence=6000, per_m2_pence=3000, carriage_pence=2000)
SMALL = Tariff(minimum_pence=60_000, per_m2_pence=900, carriage_pence=2000)
MIXED = Tariff(minimum_pence=6000, per_m2_pence=3000, carriage_pence=2000)
SORTS = (
    ("set-up for each lot", SET_UP, LotLimits(), 60),
    ("minimum that no lot passes", SMALL, LotLimits(), 60),
    ("minimum that some lots pass", MIXED, LotLimits(), 60),
    ("the same, 40 pieces a lot", MIXED, LotLimits(pieces=40), 60),
    ("set-up, over 120 days", SET_UP, LotLimits(), 120),
    ("minimum that some lots pass, over 120 days", MIXED, LotLimits(), 120),
)


def main() -> None:
    print_machine()
    rows, proofs = [], []
    for name, tariff, limits, span in SORTS:
        finisher = Finisher(trips(0, 2 * span, 8), tariff, limits)
        lots = [workshop_lot(seed, span=span) for seed in SEEDS]
        rows.append(measured(name, lambda lots=lots, finisher=finisher: frontier(lots[0], finisher), runs=5))
        found = [frontier(lot, finisher) for lot in lots]
        worst = max(
            (answer.cost_pence - answer.bound_pence) / answer.cost_pence
            for one in found
            for answer in one.answers
        )
        answers = sum(len(one.answers) for one in found)
        proven = sum(answer.is_proven for one in found for answer in one.answers)
        proofs.append(f"  {name}: {answers} answers, {proven} proven, the rest within {worst:.1%}")
    print_table("200 pieces, 8 cars, all answers", rows)
    print("\n".join(proofs))


if __name__ == "__main__":
    main()
