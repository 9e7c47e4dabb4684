"""Words of signing in, and of what somebody may not see or do."""

from __future__ import annotations

READER_MAY_NOT = "You can look at everything here, but change nothing; nothing was changed"
READER_ASK = "Ask the person who runs the dashboard, if you need to."
NO_PRICES = "Prices, and what is worked out from them, are not shown to you"
NO_PRICES_ASK = "Ask the person who runs the dashboard, if you need them."
NOT_FOR_YOU = "Not shown to you"
HIDDEN = "not shown"

SIGN_IN = "Sign in"
SIGN_OUT = "Sign out"
SIGNED_IN_AS = "{name} · {role}"
SIGNED_IN_SHARED = "Signed in"
ROLES = {"editor": "editor", "reader": "reader"}
NAME = "Name"
PASSWORD = "Password"  # noqa: S105 - a label
BACK = "Back to the trials"
SIGN_IN_FIRST = "Sign in first. Nothing was changed."
SIGN_IN_WRONG = "Name and password do not belong together. Try again."
SIGN_IN_WAIT = "Too many tries. Wait {seconds} s, then try again."
NOBODY_ADDED = (
    "Nobody may sign in yet. The person who runs the dashboard adds people with the command "
    "holewise people add."
)
FORM_OLD = "This form was too old, or came from elsewhere. Nothing was changed; fill it in again."
FORM_LARGE = "This form is too large. Nothing was changed."
