"""Looks for what keeps people out of a page: axe-core, in the page itself (the script comes from PyPI)."""

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""Web Content Accessibility Guidelines 2.2, levels A and AA."""


def violations(page: Page) -> list[str]:
    """Each rule that is broken, with the elements that break it, once the page has its style."""
    page.wait_for_load_state()
    if not page.evaluate("Boolean(window.axe)"):
        page.evaluate(AXE_SCRIPT)
    found: dict[str, Any] = page.evaluate(
        """(tags) => axe.run(document, {
            runOnly: { type: "tag", values: tags },
            rules: { "target-size": { enabled: true } },
        })""",  # 2.5.8, which is not tried unless asked for
        TAGS,
    )
    assert len(found["passes"]) > 5, "hardly any rule was tried"
    return [
        f"{broken['id']}: {node['html'][:160]} ({node['failureSummary']})"
        for broken in found["violations"]
        for node in broken["nodes"]
    ]
