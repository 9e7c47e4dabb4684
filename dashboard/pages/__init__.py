"""The pages, by the first part of their address."""

from dashboard.pages import compare as _compare
from dashboard.pages import hand_over as _hand_over
from dashboard.pages import health as _health
from dashboard.pages import history as _history
from dashboard.pages import holes as _holes
from dashboard.pages import live as _live
from dashboard.pages import look as _look
from dashboard.pages import progress as _progress
from dashboard.pages import settings as _settings
from dashboard.pages import share as _share
from dashboard.pages import start as _start
from dashboard.pages import take_in as _take_in
from dashboard.pages import trial as _trial
from dashboard.pages import trials as _trials
from dashboard.pages import wear as _wear
from dashboard.pages.page import Page

PAGES: dict[str, Page] = {
    "": Page(_trials.layout, _trials.register),
    "trial": Page(_trial.layout, _trial.register),
    "live": Page(_live.layout, _live.register),
    "hand-over": Page(_hand_over.layout, _hand_over.register, stays=True),
    "look": Page(_look.layout, _look.register, of_a_run=True, stays=True),
    "progress": Page(_progress.layout, _progress.register, priced=True),
    "compare": Page(_compare.layout, _compare.register, priced=True),
    "wear": Page(_wear.layout, _wear.register, of_a_run=True),
    "start": Page(_start.layout, _start.register, stays=True, edits=True, priced=True),
    "holes": Page(_holes.layout, _holes.register, of_a_run=True),
    "share": Page(_share.layout, _share.register, stays=True, priced=True),
    "take-in": Page(_take_in.layout, _take_in.register, stays=True, edits=True, priced=True),
    "settings": Page(_settings.layout, _settings.register, stays=True),
    "history": Page(_history.layout, _history.register, stays=True),
    "health": Page(_health.layout, _health.register),
}

__all__ = ["PAGES", "Page"]
