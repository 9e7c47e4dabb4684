"""The screens: Dash pages over the workbench, for beside the machine and for the office."""

from dashboard.app import create_app
from dashboard.server import serve

__all__ = ["create_app", "serve"]
