"""The command line: every answer also as JSON."""

from partline.interfaces.cli.main import main

__all__ = ["main"]
