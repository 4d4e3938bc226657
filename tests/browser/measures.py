"""What a page must hold on any screen, measured in the page itself."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]  # WCAG 2.2 A and AA
THUMB_PX = 48  # the least height and width for a thumb in a glove

# Our policy lets no text become script, so axe comes in as the browser's own, before the page.
AXE_SCRIPT = Axe().axe_script

# Without preloading: we have no film or sound, and fetching every sheet of styles again doubles the time.
_AXE = "(rules) => axe.run(document, {resultTypes: ['violations'], preload: false, runOnly: rules})"


def axe_violations(page: Page, *, only: list[str] | None = None) -> list[str]:
    """Each as 'rule: what to do: where', none if the page is in order."""
    rules = {"type": "rule", "values": only} if only else {"type": "tag", "values": LEVELS}
    result = page.evaluate(_AXE, rules)
    return [
        f"{found['id']}: {node['failureSummary']}: {node['html'][:160]}"
        for found in result["violations"]
        for node in found["nodes"]
    ]


def sideways_scroll(page: Page) -> str:
    """What sticks out to the right; empty if the page fits."""
    return page.evaluate(
        """() => {
            const room = document.documentElement.clientWidth;
            if (document.documentElement.scrollWidth <= room) return "";
            const out = [...document.querySelectorAll("body *")].filter(
                (element) => element.getBoundingClientRect().right > room + 1
                    && !element.closest(".wide-table, .strip-frame"));
            return `${document.documentElement.scrollWidth} px wide: ` + out.slice(0, 3).map(
                (element) => element.outerHTML.slice(0, 120)).join(" | ");
        }"""
    )


def small_targets(page: Page) -> list[str]:
    """What is pressed and is smaller than a thumb: buttons, fields, boxes, tabs, links that act as buttons.

    A tick box is as large as the label around it. Links inside sentences are exempt, as in WCAG 2.5.8.
    """
    return page.evaluate(
        """(thumb) => {
            const pressed = "button, input:not([type=hidden]), select, textarea, summary, a.button, a.box, " +
                "nav a, label.choice, label.tick-target, [role=button]";
            const small = [];
            for (const element of document.querySelectorAll(pressed)) {
                if (!element.checkVisibility({visibilityProperty: true})) continue;
                if (element.matches(".unseen, .unseen *, :disabled")) continue;
                const target = element.matches("[type=checkbox], [type=radio]") && element.closest("label")
                    || element;
                const box = target.getBoundingClientRect();
                if (box.height < thumb - 0.5 || box.width < thumb - 0.5) {
                    small.push(`${Math.round(box.width)} × ${Math.round(box.height)}: ` +
                        element.outerHTML.slice(0, 120));
                }
            }
            return small;
        }""",
        THUMB_PX,
    )


def unseen_focus(page: Page) -> list[str]:
    """What can be pressed and cannot be reached by key, or does not show that it was."""
    page.keyboard.press("Tab")  # from now on the browser shows focus as it does for the keyboard
    return page.evaluate(
        """() => {
            const pressed = "a[href], button, input:not([type=hidden]), select, textarea, " +
                "summary, [tabindex]";
            const missed = [];
            for (const element of document.querySelectorAll(pressed)) {
                if (!element.checkVisibility({visibilityProperty: true})) continue;
                if (element.matches(":disabled, [tabindex='-1']")) continue;
                element.focus();
                const style = getComputedStyle(element);
                const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
                if (document.activeElement !== element || !(outlined || style.boxShadow !== "none")) {
                    missed.push(element.outerHTML.slice(0, 160));
                }
            }
            document.activeElement.blur();
            return missed;
        }"""
    )


def set_ground(page: Page, ground: str) -> None:
    page.evaluate("(ground) => { document.documentElement.dataset.ground = ground }", ground)


def faults(page: Page, screens: dict[str, dict[str, Any]]) -> list[str]:
    """Everything wrong with the page that is open, on both grounds and on all screens."""
    found = [f"axe, day: {words}" for words in axe_violations(page)]
    set_ground(page, "night")
    found += [f"axe, night: {words}" for words in axe_violations(page, only=["color-contrast"])]
    set_ground(page, "day")
    found += [f"no visible focus: {words}" for words in unseen_focus(page)]
    for name, screen in screens.items():
        page.set_viewport_size(screen["viewport"])
        if words := sideways_scroll(page):
            found.append(f"scrolls sideways, {name}: {words}")
        found += [f"too small, {name}: {words}" for words in small_targets(page)]
    return found
