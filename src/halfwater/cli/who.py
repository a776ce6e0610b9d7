"""Who notes and changes things at the terminal."""

from getpass import getuser


def who_is_here() -> str:
    """The name of the user of this terminal, for the record of who noted what."""
    try:
        return getuser()
    except (KeyError, OSError, ImportError):
        return "terminal"
