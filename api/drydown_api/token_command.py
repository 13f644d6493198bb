"""`drydown token`: who may see the pages from elsewhere, and who may give commands."""

import argparse
import io
from datetime import datetime

import segno

from drydown.clock import zone
from drydown.config.load import load
from drydown.config.services import Serve
from drydown_api.tokens import Right, Token, TokenFile

RIGHTS = {Right.VIEW: "may look", Right.OPERATE: "may look and give commands"}


def main(args: argparse.Namespace) -> int:
    """Make, revoke or list tokens. Raises UserError."""
    site = load(args.config)
    tokens = TokenFile(site.tokens_path)
    match args.deed:
        case "make":
            print(_welcome(args.name, Right(args.may), tokens.make(args.name, Right(args.may)), site.serve))
        case "revoke":
            tokens.revoke(args.name)
            print(f"{args.name} is let in no more; open pages end within seconds.")
        case "list":
            print("\n".join(map(_line, tokens.tokens())) or "Nobody: only this board sees the pages.")
    return 0


def _line(token: Token) -> str:
    made = datetime.fromtimestamp(token.made, zone()).strftime("%-d %B %Y")
    return f"{token.name}: {RIGHTS[token.right]}; since {made}"


def _welcome(name: str, right: Right, secret: str, serve: Serve) -> str:
    shown = [
        f"The token of {name}, who {RIGHTS[right]}. It is shown this once:",
        "",
        f"    {secret}",
        "",
    ]
    home = serve.home_for_phones
    if home:
        picture = io.StringIO()
        segno.make(f"{home}/enter#{secret}", error="m", micro=False).terminal(picture, compact=True)
        shown += [
            f"Type it at {home}/enter, or point the phone's camera at this:",
            "",
            picture.getvalue(),
        ]
    else:
        shown.append(
            "Type it at /enter of the pages. For a code that a phone's camera can read, say how phones reach"
            ' the board: address = "http://NAME:8470" under [serve]. Only this board reaches the pages while'
            " [serve] host is 127.0.0.1."
        )
    if not serve.home.startswith("https://"):
        shown.append(
            "The way there is not encrypted: whoever listens in on this network can read the token. Use it in"
            " a network that you trust, or put the pages behind a web server that speaks https."
        )
    return "\n".join(shown)
