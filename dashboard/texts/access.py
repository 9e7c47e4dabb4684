"""Words of signing in, and of what somebody may not see or do."""

from __future__ import annotations

READER_MAY_NOT = "You can look at everything here, but change nothing; nothing was changed"
READER_ASK = "Ask the person who runs the dashboard, if you need to."
NO_PRICES = "Prices, and what is worked out from them, are not shown to you"
NO_PRICES_ASK = "Ask the person who runs the dashboard, if you need them."
