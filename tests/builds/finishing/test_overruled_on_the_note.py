"""What a manager let stand against a rule of the trade is said to the finisher on paper."""

from __future__ import annotations

from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.utils import timezone

from parts.models import Overrule


def test_the_reason_and_the_rule_stand_with_the_piece(
    clip: Any, make_batch: Any, manager: Any, as_manager: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    line, other = clip("tube"), clip("plate")
    Overrule.objects.create(
        operation=line,
        rule="feature:zinc_plate+sealed",
        words="Zinc plate: the part has a sealed hollow section: Traps acid and bleeds",
        reason="sealed fully and proved at 0.2 bar",
        by=manager,
        at=timezone.now(),
    )
    drawn: dict[str, str] = {}

    def draw(template: str, context: dict[str, object], *, images: dict[str, bytes]) -> bytes:
        drawn["html"] = " ".join(render_to_string(template, context).split())
        return b"%PDF"

    monkeypatch.setattr("config.pdf.render_pdf", draw)
    as_manager.get(f"/finishing/batches/{make_batch(line, other).pk}/note.pdf")
    assert drawn["html"].count("Let stand by Maud Ellery:") == 1
    assert "sealed fully and proved at 0.2 bar" in drawn["html"]
    assert "Traps acid and bleeds" in drawn["html"]
