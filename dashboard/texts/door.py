"""Words of requests that are refused before any page sees them."""

from __future__ import annotations

NOT_OURS = "This is not a request that the pages make. Nothing was changed."
OTHER_SITE = "This request came from another site and was refused."
UNKNOWN_HOST = (
    "The dashboard is not known by this host name. Use the address in numbers, or start it with "
    "--known-as and the name. Nothing was changed."
)
BY_STATUS = {
    400: NOT_OURS,
    404: "There is nothing at this address. Nothing was changed.",
    405: "This address does not take such a request. Nothing was changed.",
    413: "This is larger than what is accepted here. Nothing was changed.",
    415: NOT_OURS,
    500: (
        "Something went wrong in the program, and nothing was changed. Look at the messages where "
        "the dashboard was started."
    ),
}
