"""What a process does to the part on its way: material, features, heat, hydrogen, other finishes."""

import re
from collections.abc import Iterator

from parts.trade.cards import Card, CardLine, Feature, Finding, Rulebook, Verdict, Weight

PRACTICE = "common practice, no source"
# What a line on the card brings about by itself: then the order of the lines decides, not the feature.
BROUGHT_BY = {Feature.STEEL_INSERT: "press_insert", Feature.BONDED: "bond"}
FEATURE_NAMES = {
    Feature.SEALED: "a sealed hollow section",
    Feature.VENTED: "a vented hollow section",
    Feature.HIGH_STRENGTH: "high-strength steel",
    Feature.STEEL_INSERT: "a steel insert or stud",
    Feature.BONDED: "a bonded joint",
    Feature.LAPPED: "lapped joints or crevices",
}
WAYS_OUT = {
    Feature.SEALED: (
        "Have vent and drain holes made at opposite ends and tick “vent and drain holes” on the part, "
        "or choose another finish."
    ),
    Feature.STEEL_INSERT: (
        "Take the insert out and untick it on the part, or write a line “Press in inserts” after this one."
    ),
    Feature.BONDED: "Finish first and bond afterwards: write a line “Bond” after this one.",
    Feature.LAPPED: "Seal-weld the joint and untick it on the part, or choose another finish.",
    Feature.HIGH_STRENGTH: "Tell the finisher how hard the steel is, and agree how he treats it.",
}
OTHER_FINISH = "Choose another finish, or put the material right on the part."
TELL_FINISHER = "Tell the finisher before it goes, and write on the line what was agreed."

# Temperature of the part [°C]. Galvanising: galvanizer's note on hollow sections (450 °C bath). Powder:
# cure of 180 °C and above, coaters' pages. Bake: ISO 4042 practice, 190 to 210 °C. The others: common
# practice, no source.
HEAT_C = {
    "weld": 1000,
    "heat_treat": 160,
    "galvanise": 450,
    "powder_coat": 180,
    "bake": 190,
    "ceramic_exhaust": 200,
}
ADHESIVE_LIMIT_C = 120  # upper end of typical structural adhesives; from memory, makers' data sheets
HEAT_SOURCE = "from memory: structural adhesives typically stand 80 to 120 °C"

PLATED = {"zinc_plate", "nickel_chrome"}
# Property class 12.9 starts at 385 HV, and above 390 HV baking is required.
MUST_BAKE = {
    "fastener_12_9": "seen: ISO 4042:2018 baking text (excerpt): over 390 HV baking is required",
    "steel_high_strength": "from memory: ISO 9587, ISO 9588 (steel over 1000 N/mm²)",
    "spring": "from memory: ISO 9588 (hard or cold-worked steel)",
}
MAY_BAKE = {
    "fastener_10_9": (
        "seen: ISO 4042:2018 baking text (excerpt): 360 to 390 HV, no baking if the process is verified"
    ),
}
BAKED = re.compile(r"\bbak(?:e|ed|es|ing)\b", re.IGNORECASE)
NOT_BAKED = re.compile(r"\b(?:no|not|without|un)[\s-]*(?:(?:to\s+)?be(?:ing)?\s+)?bak", re.IGNORECASE)

# Two processes that make no sense on one part, whichever comes first.
APART = (
    (
        ("anodise_decorative", "anodise_hard"),
        ("zinc_plate", "galvanise"),
        Weight.MUST,
        "Anodising is for aluminium, zinc for steel: they are never on one part",
    ),
    (("zinc_plate",), ("galvanise",), Weight.SHOULD, "Zinc plating and galvanising are one or the other"),
    (("polish",), ("galvanise",), Weight.SHOULD, "The galvanised coat is rough: polishing is thrown away"),
    (("polish",), ("powder_coat",), Weight.SHOULD, "Powder needs a keyed surface, not a polished one"),
)


def material_findings(card: Card, book: Rulebook) -> Iterator[Finding]:
    """Find each finish that the material does not take, or takes with care.

    Parameters
    ----------
    card : Card
        The route card.
    book : Rulebook
        Its verdicts on materials are used.

    Returns
    -------
    iterator of Finding
        'no' is a must, 'care' a should. A card without material has none.
    """
    for line in _open(card):
        verdict = book.materials.get((line.process, card.material))
        if verdict is not None and verdict.verdict != "ok":
            name = card.material_name or card.material
            no = verdict.verdict == "no"
            title = f"{line.name}: {'not for' if no else 'with care on'} {name}"
            way_out = OTHER_FINISH if no else TELL_FINISHER
            key = f"material:{line.process}+{card.material}"
            yield _of_verdict(key, line, verdict, title, way_out)


def feature_findings(card: Card, book: Rulebook) -> Iterator[Finding]:
    """Find each process that spoils a feature of the part, or is spoilt by it.

    Parameters
    ----------
    card : Card
        The route card.
    book : Rulebook
        Its verdicts on features are used.

    Returns
    -------
    iterator of Finding
        An insert or a joint that a line of the card makes is left to the order of the lines.
    """
    for line in _open(card):
        for feature in Feature:
            if feature not in card.features or _is_brought(card, feature):
                continue
            verdict = book.features.get((line.process, feature))
            if verdict is not None and verdict.verdict != "ok":
                title = f"{line.name}: the part has {FEATURE_NAMES[feature]}"
                key = f"feature:{line.process}+{feature.replace(' ', '-')}"
                yield _of_verdict(key, line, verdict, title, WAYS_OUT[feature])


def heat_findings(card: Card, book: Rulebook) -> Iterator[Finding]:
    """Find heat that comes after bonding.

    Parameters
    ----------
    card : Card
        The route card.
    book : Rulebook
        What it says about the same two processes (or about bonded joints in this one) is not said twice.

    Returns
    -------
    iterator of Finding
        One for each hot line after a line that bonds, or on a part that came bonded.
    """
    told = {(rule.before, rule.after) for rule in book.order}
    came_bonded = Feature.BONDED in card.features and not _is_brought(card, Feature.BONDED)
    bonds = [place for place, line in enumerate(card.lines) if line.process == "bond"]
    for line in _open(card):
        heat = HEAT_C.get(line.process, 0)
        if heat <= ADHESIVE_LIMIT_C:
            continue
        before = [card.lines[place] for place in bonds if place < card.lines.index(line)]
        if (before and (line.process, "bond") in told) or (
            not before and (not came_bonded or (line.process, Feature.BONDED) in book.features)
        ):
            continue
        yield Finding(
            key=f"heat:{line.process}+bonded",
            weight=Weight.MUST,
            on=line.id,
            lines=(*(bond.id for bond in before), line.id),
            title=f"{line.name}: heat after bonding",
            why=f"The part comes to about {heat} °C or more; adhesive gives way above {ADHESIVE_LIMIT_C} °C "
            "at the most",
            source=HEAT_SOURCE,
            way_out="Let the bonding come last: nothing hot or wet after it.",
        )


def bake_findings(card: Card) -> Iterator[Finding]:
    """Find hard steel that is plated and not baked afterwards.

    Parameters
    ----------
    card : Card
        The route card. A line 'bake' after the plating counts, and so does the word on the plating line.

    Returns
    -------
    iterator of Finding
        A must above 390 HV or 1000 N/mm²; for property class 10.9 a should.
    """
    for line in _open(card):
        if line.process not in PLATED or _is_baked(card, line):
            continue
        weight, source = _bake_wanted(card)
        if weight is None:
            continue
        what = card.material if card.material in MUST_BAKE | MAY_BAKE else "high-strength"
        yield Finding(
            key=f"bake:{line.process}+{what}",
            weight=weight,
            on=line.id,
            lines=(line.id,),
            title=f"{line.name}: high-strength steel {weight} be baked afterwards",
            why="Plating charges hard steel with hydrogen; it cracks later under load, without warning. "
            "Baking soon after plating drives it out",
            source=source,
            way_out="Add a line “Bake” after it, or write the bake into the specification of this line; "
            "or choose a finish that is not electroplated.",
        )


def retap_findings(card: Card) -> Iterator[Finding]:
    """Find threads that are galvanised and not cleared afterwards.

    Parameters
    ----------
    card : Card
        The route card.

    Returns
    -------
    iterator of Finding
        One for each galvanising line with a threading line above and no clearing line below.
    """
    threaded = False
    for line in card.lines:
        threaded = threaded or line.process == "thread"
        below = {other.process for other in card.after(line)}
        if line.process == "galvanise" and threaded and "retap" not in below and not line.is_gone:
            yield Finding(
                key="retap:galvanise",
                weight=Weight.SHOULD,
                on=line.id,
                lines=(line.id,),
                title=f"{line.name}: no line clears the threads afterwards",
                why="Zinc fills internal threads and holes",
                source="from memory: ISO 1461, ISO 10684",
                way_out="Add a line “Clear threads” after it; external threads only: leave it as it is.",
            )


def apart_findings(card: Card) -> Iterator[Finding]:
    """Find two finishes that make no sense on one part.

    Parameters
    ----------
    card : Card
        The route card.

    Returns
    -------
    iterator of Finding
        One for each pair, at the later of the two lines.
    """
    for ones, others, weight, why in APART:
        for place, line in enumerate(card.lines):
            rivals = others if line.process in ones else ones if line.process in others else ()
            first = next((other for other in card.lines[:place] if other.process in rivals), None)
            if first is not None and not line.is_gone:
                pair = "+".join(sorted((first.process, line.process)))
                yield Finding(
                    key=f"apart:{pair}",
                    weight=weight,
                    on=line.id,
                    lines=(first.id, line.id),
                    title=f"{first.name} and {line.name[:1].lower()}{line.name[1:]} on one part",
                    why=why,
                    source=PRACTICE,
                    way_out="Strike out one of the two.",
                )


def _open(card: Card) -> list[CardLine]:
    return [line for line in card.lines if not line.is_gone]


def _is_brought(card: Card, feature: Feature) -> bool:
    by = BROUGHT_BY.get(feature)
    return by is not None and any(line.process == by for line in card.lines)


def _of_verdict(key: str, line: CardLine, verdict: Verdict, title: str, way_out: str) -> Finding:
    weight = Weight.MUST if verdict.verdict == "no" else Weight.SHOULD
    return Finding(key, weight, line.id, (line.id,), title, verdict.reason, verdict.source, way_out)


def _bake_wanted(card: Card) -> tuple[Weight | None, str]:
    if card.material in MAY_BAKE:
        return Weight.SHOULD, MAY_BAKE[card.material]
    if card.material in MUST_BAKE:
        return Weight.MUST, MUST_BAKE[card.material]
    if Feature.HIGH_STRENGTH in card.features:
        return Weight.MUST, MUST_BAKE["steel_high_strength"]
    return None, ""


def _is_baked(card: Card, line: CardLine) -> bool:
    if any(other.process == "bake" for other in card.after(line)):
        return True
    return bool(BAKED.search(line.text)) and not NOT_BAKED.search(line.text)
