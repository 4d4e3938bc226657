"""Addresses: the rules of the trade."""

from django.urls import path

from builds.views import rules

urlpatterns = [
    path("settings/rules/", rules.trade_rules, name="trade-rules"),
    path("settings/rules/order/new/", rules.trade_rule_new, name="trade-rule-new"),
    path("settings/rules/order/<int:rule_id>/edit/", rules.trade_rule_edit, name="trade-rule-edit"),
    path("settings/rules/order/<int:rule_id>/delete/", rules.trade_rule_delete, name="trade-rule-delete"),
    path("settings/rules/materials/new/", rules.trade_verdict_new, name="trade-verdict-new"),
    path(
        "settings/rules/materials/<int:verdict_id>/edit/",
        rules.trade_verdict_edit,
        name="trade-verdict-edit",
    ),
    path(
        "settings/rules/materials/<int:verdict_id>/delete/",
        rules.trade_verdict_delete,
        name="trade-verdict-delete",
    ),
]
