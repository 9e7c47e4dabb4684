"""What goes in and out as files: trial files, and the record that production keeps."""

from trials.sharing.hand_over import HandOver, hand_over_text
from trials.sharing.machine_card import machine_card
from trials.sharing.trial_file import read_trial, trial_from_plain, trial_toml

__all__ = [
    "HandOver",
    "hand_over_text",
    "machine_card",
    "read_trial",
    "trial_from_plain",
    "trial_toml",
]
