"""What a phone needs to know to put drydown on its home screen (W3C Web Application Manifest)."""

from typing import Any

from drydown.texts.language import say, spoken

PAPER = "#f6f1e6"
ICONS = ((192, "any"), (512, "any"), (512, "maskable"))  # sides in px, purposes


def manifest() -> dict[str, Any]:
    """In the language of the site."""
    return {
        "id": "/",
        "name": "drydown",
        "short_name": "drydown",
        "description": say("How dry the fuel in the tank is, and what is wrong. An aid, no safety system."),
        "lang": spoken(),
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {
                "src": f"/static/icon-{side}.png",
                "sizes": f"{side}x{side}",
                "type": "image/png",
                "purpose": purpose,
            }
            for side, purpose in ICONS
        ],
    }
