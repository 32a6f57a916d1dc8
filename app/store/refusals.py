"""Why the store refuses a change: each error's text is the sentence for the person who asked for it."""


class Refusal(ValueError):
    """A change that was not made. Its text is the sentence to show."""


class InUse(Refusal):
    """Raised when something that other records need would be removed or changed."""


class NotThere(Refusal):
    """Raised when a record refers to another that does not exist, or names one to change that does not."""


class AlreadyThere(Refusal):
    """Raised when a record would take a place, a number or an id that another has."""
