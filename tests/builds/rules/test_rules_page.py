"""The workshop reads the rules of the trade and adds its own."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from builds.services.route_cards import line_write
from parts.models import Material, MaterialVerdict, Overrule, TradeRule
from parts.reference import reference_load
from parts.services.parts import LineWording
from parts.services.trade import RuleBroken

PAGE = "trade-rules"


@pytest.fixture
def data(process: Any) -> dict[str, Any]:
    return {
        "before": process("engrave").pk,
        "after": process("gauge_threads").pk,
        "weight": "must",
        "reason": "The letters are read on the car",
        "source": "",
    }


@pytest.fixture
def own(process: Any) -> TradeRule:
    return TradeRule.objects.create(
        before=process("engrave"), after=process("gauge_threads"), weight="must", reason="read on the car"
    )


def test_reference_rows_are_read_with_their_source(as_manager: Client) -> None:
    words = as_manager.get(reverse(PAGE), {"process": "galvanise"}).content.decode()
    assert "The zinc bath is about 450 °C" in words
    assert "seen: galvanizer hollow-section note: 450 °C bath" in words
    assert "Zinc attack can crack it (liquid metal embrittlement)" in words
    assert "EXPLOSION HAZARD" in words
    assert ">Change</a>" not in words


def test_without_a_choice_only_our_own_is_shown(own: TradeRule, as_manager: Client) -> None:
    words = as_manager.get(reverse(PAGE)).content.decode()
    assert "read on the car" in words
    assert "The zinc bath is about 450 °C" not in words
    assert (
        "The zinc bath is about 450 °C" in as_manager.get(reverse(PAGE), {"process": "all"}).content.decode()
    )
    assert as_manager.get(reverse(PAGE), {"process": "nonsense"}).status_code == 200


def test_a_rule_of_our_own_counts_at_once(
    tern: Any, make_part: Any, process: Any, data: Any, manager: Any, as_manager: Client
) -> None:
    assert as_manager.post(reverse("trade-rule-new"), data).status_code == 302
    rule = TradeRule.objects.get(is_own=True)
    assert rule.source == "the workshop’s own rule"
    plate = make_part(tern, "plate", route=[("gauge_threads", None, 1)])
    wording = LineWording(process("engrave"), None, 1, 1, 1, follows=plate.operations.get())
    with pytest.raises(RuleBroken, match="Engrave must come before gauge threads"):
        line_write(part=plate, wording=wording, by=manager)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"before": ""}, "This field is required"),
        ({"reason": " "}, "This field is required"),
        ({"reason": "x" * 401}, "at most 400"),
        ({"weight": "may"}, "is not one of the available choices"),
        ({"before": "9" * 30}, "errorlist"),
    ],
)
def test_a_rule_that_cannot_be_is_refused(data: Any, as_manager: Client, wrong: Any, words: str) -> None:
    answer = as_manager.post(reverse("trade-rule-new"), {**data, **wrong})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert not TradeRule.objects.filter(is_own=True).exists()


def test_twice_opposite_itself_and_a_ring_are_refused(data: Any, process: Any, as_manager: Client) -> None:
    pairs = {
        ("weld", "zinc_plate"): "There is a rule for these two processes already",
        ("zinc_plate", "weld"): "a rule already that says the opposite",
        ("weld", "weld"): "A process cannot come before itself",
        # polish before anodise and anodise before engrave stand there already
        ("engrave", "leak_test"): "No order could keep all rules any more",
    }
    for (before, after), words in pairs.items():
        sent = {**data, "before": process(before).pk, "after": process(after).pk}
        if (before, after) == ("engrave", "leak_test"):
            TradeRule.objects.filter(before__key="leak_test", after__key="engrave").delete()
        answer = as_manager.post(reverse("trade-rule-new"), sent)
        assert words in answer.content.decode(), (before, after)
    assert not TradeRule.objects.filter(is_own=True).exists()


def test_our_own_is_changed_and_removed(own: TradeRule, as_manager: Client) -> None:
    url = reverse("trade-rule-edit", args=[own.pk])
    seen = as_manager.get(url).context["form"].initial["seen"]
    sent = {"weight": "should", "reason": "better so", "source": "Maud", "seen": seen}
    assert as_manager.post(url, sent).status_code == 302
    own.refresh_from_db()
    assert (own.weight, own.reason, own.source) == ("should", "better so", "Maud")
    again = as_manager.post(url, {**sent, "reason": "not so"})
    assert "changed by somebody else meanwhile" in again.content.decode()
    as_manager.post(reverse("trade-rule-delete", args=[own.pk]))
    assert not TradeRule.objects.filter(is_own=True).exists()


def test_what_came_with_the_program_is_not_changed(as_manager: Client) -> None:
    rule = TradeRule.objects.get(before__key="weld", after__key="zinc_plate")
    sent = {"weight": "should", "reason": "no", "seen": ""}
    answer = as_manager.post(reverse("trade-rule-edit", args=[rule.pk]), sent)
    assert "came with the program" in answer.content.decode()
    as_manager.post(reverse("trade-rule-delete", args=[rule.pk]))
    rule.refresh_from_db()
    assert rule.weight == "must"
    row = MaterialVerdict.objects.get(process__key="galvanise", material__key="spring")
    as_manager.post(reverse("trade-verdict-delete", args=[row.pk]))
    answer = as_manager.post(
        reverse("trade-verdict-edit", args=[row.pk]), {"verdict": "ok", "reason": "no", "seen": ""}
    )
    assert "came with the program" in answer.content.decode()
    assert MaterialVerdict.objects.get(pk=row.pk).verdict == "no"


def test_a_verdict_of_our_own(process: Any, as_manager: Client) -> None:
    sent = {
        "process": process("electropolish").pk,
        "material": Material.objects.get(key="titanium").pk,
        "verdict": "no",
        "reason": "Our polisher does not take it",
        "source": "his letter",
    }
    url = reverse("trade-verdict-new")
    assert as_manager.post(url, sent).status_code == 302
    assert "That is known already" in as_manager.post(url, sent).content.decode()
    row = MaterialVerdict.objects.get(process__key="electropolish", material__key="titanium")
    assert "Our polisher does not take it" in as_manager.get(reverse(PAGE)).content.decode()
    edit = reverse("trade-verdict-edit", args=[row.pk])
    seen = as_manager.get(edit).context["form"].initial["seen"]
    as_manager.post(edit, {"verdict": "care", "reason": "he tries", "source": "", "seen": seen})
    assert MaterialVerdict.objects.get(pk=row.pk).verdict == "care"
    as_manager.post(reverse("trade-verdict-delete", args=[row.pk]))
    assert not MaterialVerdict.objects.filter(pk=row.pk).exists()


def test_loading_again_leaves_our_own_alone(own: TradeRule, process: Any) -> None:
    rules, verdicts = TradeRule.objects.count(), MaterialVerdict.objects.count()
    # of a pair that the file knows as well, what the workshop wrote stays
    weld = TradeRule.objects.get(before__key="weld", after__key="zinc_plate")
    TradeRule.objects.filter(pk=weld.pk).update(reason="ours", is_own=True)
    reference_load()
    assert (TradeRule.objects.count(), MaterialVerdict.objects.count()) == (rules, verdicts)
    weld.refresh_from_db()
    own.refresh_from_db()
    assert (weld.reason, own.reason) == ("ours", "read on the car")


def test_loading_again_brings_a_better_wording_of_what_came_with_the_program(db: None) -> None:
    weld = TradeRule.objects.get(before__key="weld", after__key="galvanise")
    TradeRule.objects.filter(pk=weld.pk).update(reason="an older wording")
    reference_load()
    assert TradeRule.objects.get(pk=weld.pk).reason == weld.reason


def test_a_file_row_for_each_process_that_a_word_means(db: None) -> None:
    """164 rows; 'anodise' and 'paint' mean two processes each, and the first run is on no card."""
    pairs = set(TradeRule.objects.values_list("before__key", "after__key"))
    assert {("weld", "anodise_decorative"), ("weld", "anodise_hard"), ("bond", "paint_2k")} <= pairs
    assert not TradeRule.objects.filter(is_own=True).exists()


def test_the_page_takes_the_same_queries_whatever_it_shows(own: TradeRule, as_manager: Client) -> None:
    counts = set()
    for chosen in ("", "all", "weld"):
        with CaptureQueriesContext(connection) as asked:
            as_manager.get(reverse(PAGE), {"process": chosen})
        counts.add(len(asked))
    # session, person, workshop; processes, rules, verdicts, count of rules; route cards, overrules and the
    # rulebook's two
    assert counts == {11}


def test_cards_that_break_a_must_are_listed_until_answered_for(
    tern: Any, make_part: Any, plater: Any, manager: Any, as_manager: Client
) -> None:
    """As after an import, or when a rule was added that old cards did not know."""
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 5), ("weld", None, 2)])
    make_part(tern, "plate", route=[("weld", None, 2), ("zinc_plate", plater, 5)])
    words = as_manager.get(reverse(PAGE)).content.decode()
    assert words.count("Tern · Weld must come before zinc plate") == 1
    weld = part.operations.get(sequence=2)
    Overrule.objects.create(
        operation=weld,
        rule="order:weld>zinc_plate",
        words="x",
        reason="ground back",
        by=manager,
        at=timezone.now(),
    )
    assert "nobody has answered for it" not in as_manager.get(reverse(PAGE)).content.decode()
    Overrule.objects.all().delete()
    tern.handed_over_on = timezone.localdate()
    tern.save()
    assert "nobody has answered for it" not in as_manager.get(reverse(PAGE)).content.decode()


def test_rules_are_for_managers(own: TradeRule, as_fitter: Client) -> None:
    for name, arguments in (
        (PAGE, []),
        ("trade-rule-new", []),
        ("trade-rule-edit", [own.pk]),
        ("trade-verdict-new", []),
    ):
        assert as_fitter.get(reverse(name, args=arguments)).status_code == 403
    assert as_fitter.post(reverse("trade-rule-delete", args=[own.pk])).status_code == 403
