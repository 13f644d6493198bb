"""`drydown backup FILE` and `drydown restore FILE`: a copy made, and brought back."""

import argparse

from drydown.config.load import load
from drydown.single import hold, hold_store
from drydown.store.copy import back_up, restore


def main_backup(args: argparse.Namespace) -> int:
    """Copy the store of the site of `args.config` into `args.file`. Raises UserError."""
    site = load(args.config)
    size = back_up(site.store_path, args.file)
    print(
        f"The record is copied to {args.file} ({size / 1e6:.1f} MB), checked and whole. It holds"
        " readings, events and what was entered, but no passwords, tokens or configuration: keep those too."
    )
    return 0


def main_restore(args: argparse.Namespace) -> int:
    """Put the copy `args.file` in the place of the site's store. Raises UserError."""
    site = load(args.config)
    with hold(site.folder, "record"), hold_store(site.store_path):
        before = restore(args.file, site.store_path)
    print(f"{site.store_path} is now what {args.file} held.")
    if before:
        print(f"The record until now is kept as {before}: delete it when you no longer need it.")
    print("Start `drydown record` again: it goes on from here with what the watcher still keeps.")
    return 0
