"""The command line (thin)."""


def rungwise() -> None:
    """Open the tutor."""
    raise SystemExit("The drill is not built yet.")
