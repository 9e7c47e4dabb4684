"""Alembic's environment and revisions of the store's tables."""
