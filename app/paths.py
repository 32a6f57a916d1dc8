"""Where the rooms beside app/ are: in a checkout they stand beside the package, in an installed wheel inside it."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
CHECKOUT = PACKAGE.parent
SHIPPED = PACKAGE / "_shipped"


def templates_dir() -> Path:
    """The directory of the page templates."""
    return _room("templates")


def static_dir() -> Path:
    """The directory of style sheets, scripts and fonts."""
    return _room("static")


def migrations_dir() -> Path:
    """The directory of the database migrations."""
    return _room("migrations")


def in_checkout() -> bool:
    """Whether the app runs from a checkout rather than from an installed wheel."""
    return (CHECKOUT / "pyproject.toml").is_file() and not SHIPPED.is_dir()


def _room(name: str) -> Path:
    # The checkout comes first, so that an edit is seen at once.
    beside = CHECKOUT / name
    if beside.is_dir() and in_checkout():
        return beside
    shipped = SHIPPED / name
    if shipped.is_dir():
        return shipped
    raise FileNotFoundError(f"The folder {name} is missing from this copy of Lane Ledger. Install it again.")
