"""Holewise: choose, dial in and compare drills by test holes, spindle load, wear and cost."""

__version__ = "0.1.0"
