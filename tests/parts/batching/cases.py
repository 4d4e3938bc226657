"""Invented lots for the batch calculation: small ones of every kind, and a workshop's worth."""

import random

from hypothesis import strategies as st

from parts.batching.pieces import Finisher, LotLimits, Piece, Tariff, trips

Case = tuple[list[Piece], Finisher]

tariffs = st.builds(
    Tariff,
    minimum_pence=st.sampled_from([0, 0, 1000, 6000]),
    setup_pence=st.sampled_from([0, 500]),
    per_m2_pence=st.sampled_from([0, 2700]),
    per_kg_pence=st.sampled_from([0, 130]),
    per_piece_pence=st.sampled_from([0, 250]),
    per_line_pence=st.sampled_from([0, 100]),
    carriage_pence=st.sampled_from([0, 0, 800, 3000]),
)
minutes = st.sampled_from([0, 0, 480, 720, 900])
# A lot takes at least the largest colour-match set that `cases` can draw: 3 lines of 3 pieces.
limits = st.builds(
    LotLimits,
    area_cm2=st.sampled_from([None, None, 9 * 2000, 9 * 3000]),
    mass_g=st.sampled_from([None, None, 9 * 1500]),
    pieces=st.sampled_from([None, None, 9, 12]),
)


@st.composite
def cases(draw: st.DrawFn, most: int) -> Case:
    """Up to `most` pieces of up to three cars, some in a set, with days out that a finisher keeps."""
    count = draw(st.integers(1, most))
    sets = draw(st.lists(st.sampled_from(["", "", "", "doors"]), min_size=count, max_size=count))
    while sets.count("doors") > 3:
        sets[sets.index("doors")] = ""
    pieces = [
        Piece(
            piece_id=number + 1,
            name=f"piece {number + 1}",
            car=draw(st.sampled_from(["Tern", "Skua", "Gannet"])),
            ready_day=draw(st.integers(0, 9)),
            limit_day=draw(st.none() | st.integers(2, 20)),
            limit_minute=draw(minutes),
            quantity=draw(st.integers(1, 3)),
            area_cm2=draw(st.integers(1, 2000)),
            mass_g=draw(st.integers(1, 1500)),
            colour_set=sets[number],
        )
        for number in range(count)
    ]
    shut = draw(st.sets(st.integers(0, 12), max_size=5))
    back_on = trips(0, 25, draw(st.integers(0, 6)), sorted(shut))
    in_the_day = {
        day: draw(minutes)
        for day in back_on
        # goods that leave later are never back earlier
        if back_on.get(min((d for d in back_on if d > day), default=-1), back_on[day] + 1) > back_on[day]
    }
    return pieces, Finisher(back_on, draw(tariffs), draw(limits), in_the_day)


def workshop_lot(seed: int, count: int = 200, cars: int = 8, span: int = 60) -> list[Piece]:
    """Pieces that become ready over `span` days; a third of them are wanted within three weeks."""
    pick = random.Random(seed)
    pieces = []
    for number in range(count):
        ready = pick.randrange(span)
        slack = pick.randint(-3, 14) if pick.random() < 0.3 else pick.randint(10, span)
        area = pick.randint(20, 2000)
        pieces.append(
            Piece(
                piece_id=number + 1,
                name=f"piece {number + 1}",
                car=f"car {pick.randrange(cars) + 1}",
                ready_day=ready,
                limit_day=ready + 8 + slack if pick.random() < 0.95 else None,
                area_cm2=area,
                mass_g=2 * area,
                colour_set=f"set {number // 4}" if number % 20 == 0 or number % 20 == 1 else "",
            )
        )
    return pieces
