"""A call to a supplier is noted with what was said and the new days promised: all of it or nothing."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.network import load_workshop
from builds.sheets.chasing import read_chase_list
from parts.models import Call, SupplierPromise
from parts.services.calls import call_note


def note(supplier: Any, by: Any, **given: Any) -> Call:
    return call_note(supplier=supplier, at=timezone.now(), today=timezone.localdate(), by=by, **given)


def test_a_call_brings_its_promise(radiator: Any, radiator_maker: Any, manager: Any, day: Any) -> None:
    line = radiator.operations.get()
    call = note(
        radiator_maker, manager, said="  core  came late ", spoke_to="Petra", promises={line.pk: day(8)}
    )
    line.refresh_from_db()
    assert (line.promised_on, line.promises.count()) == (day(8), 2)
    assert (call.said, call.spoke_to, list(call.operations.all())) == ("core came late", "Petra", [line])
    assert call.promises.get().note == "core came late"


def test_the_same_day_said_again_is_a_call_but_no_new_promise(
    radiator: Any, radiator_maker: Any, manager: Any, day: Any
) -> None:
    line = radiator.operations.get()
    for _ in range(2):
        note(radiator_maker, manager, said="next week", promises={line.pk: day(8)})
    assert (Call.objects.count(), line.promises.count()) == (2, 2)


def test_nothing_said_and_no_day_is_refused(radiator: Any, radiator_maker: Any, manager: Any) -> None:
    with pytest.raises(ValidationError, match="Write what was said"):
        note(radiator_maker, manager, said="  ", about=[radiator.operations.get().pk])
    assert not Call.objects.exists()


def test_one_day_that_cannot_be_meant_keeps_nothing_of_the_call(
    radiator: Any, radiator_maker: Any, manager: Any, fitter: Any, make_part: Any, tern: Any, day: Any
) -> None:
    from parts.services.operations import operation_send

    other = make_part(tern, "header tank", route=[("fabricate", radiator_maker, 5)]).operations.get()
    operation_send(operation=other, on=day(-2), by=fitter)
    before = SupplierPromise.objects.count()
    first = radiator.operations.get()
    with pytest.raises(ValidationError) as refused:
        note(radiator_maker, manager, said="both soon", promises={first.pk: day(8), other.pk: day(-1)})
    assert list(refused.value.message_dict) == [f"promised_{other.pk}"]
    assert (Call.objects.count(), SupplierPromise.objects.count()) == (0, before)


def test_a_line_of_another_supplier_is_refused(radiator: Any, plater: Any, manager: Any, day: Any) -> None:
    with pytest.raises(ValidationError, match="no longer at Ferrand Plating"):
        note(plater, manager, said="?", promises={radiator.operations.get().pk: day(8)})
    assert not Call.objects.exists()


def test_who_was_rung_today_stands_apart_with_what_was_said(
    radiator: Any, radiator_maker: Any, manager: Any, today: Any
) -> None:
    note(radiator_maker, manager, said="core came late", about=[radiator.operations.get().pk])
    chase = read_chase_list(load_workshop(today), with_customers=True)
    assert chase.calls == ()
    (rung,) = chase.rung
    assert (rung.whom, [call.said for call in rung.rung]) == ("Ostler Radiators", ["core came late"])
    assert "Ostler Radiators" in chase.text


def test_the_page_ticks_what_the_list_asks_about_and_notes_it(
    radiator: Any, radiator_maker: Any, clip: Any, as_fitter: Client, day: Any
) -> None:
    line = radiator.operations.get()
    address = reverse("call-new", args=[radiator_maker.pk])
    page = as_fitter.get(address).content.decode()
    assert f'name="about_{line.pk}" id="id_about_{line.pk}" checked' in page
    assert "clip" not in page  # at another supplier
    sent = {"said": "core came late", f"about_{line.pk}": "on", f"promised_{line.pk}": day(8).isoformat()}
    answer = as_fitter.post(address, sent, follow=True)
    assert "is noted, with 1 new day promised" in answer.content.decode()
    line.refresh_from_db()
    assert line.promised_on == day(8)


def test_a_bad_day_stands_beside_its_line(
    radiator: Any, radiator_maker: Any, as_fitter: Client, day: Any
) -> None:
    line = radiator.operations.get()
    sent = {"said": "soon", f"promised_{line.pk}": day(-1).isoformat()}
    answer = as_fitter.post(reverse("call-new", args=[radiator_maker.pk]), sent)
    assert answer.status_code == 200
    assert "which was over by then" in str(answer.context["form"].errors[f"promised_{line.pk}"])
    assert not Call.objects.exists()
