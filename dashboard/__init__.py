"""The screens: Dash pages over the workbench, for beside the machine and for the office."""

from dashboard.app import create_app
from dashboard.server import serve
from dashboard.sign_in import Rules, rules_for

__all__ = ["Rules", "create_app", "rules_for", "serve"]
