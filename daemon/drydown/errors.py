"""The kind of error that a person can mend: its text is one or more clear sentences for them."""


class UserError(Exception):
    """Something outside the program is wrong. The text says what, where, and what is allowed.

    The command line prints it without a traceback and ends with exit code 2.
    """
