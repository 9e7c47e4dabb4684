"""One file a revision, from the first."""
